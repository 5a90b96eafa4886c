/*
 * What a day's round left out: due on the day's first sheet, and not read by its end.
 */
#ifndef GYLE_SHEET_MISSED_H
#define GYLE_SHEET_MISSED_H

#include "sheet.h"

#include <stdbool.h>
#include <stdio.h>

/* morning: the sheet as of the day's first second; evening: as of its last. Text is a line for each
 * tank or check, nothing when all was read; TSV has the columns date, tank, batch, beer, missed.
 * Errors of the output are left for ferror(). */
void sheet_missed_write(FILE *out, const struct sheet *morning, const struct sheet *evening,
                        bool tsv);

#endif
