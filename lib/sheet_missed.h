/*
 * What a day's round left out: due on the day's first sheet, and not read by its end.
 */
#ifndef GYLE_SHEET_MISSED_H
#define GYLE_SHEET_MISSED_H

#include "sheet.h"

#include <stdbool.h>
#include <stdio.h>

/* The day before the occupancy's, as two sheets; the occupancy goes back to its first second. */
struct sheet_missed {
    const struct sheet *morning, *evening;
};
struct sheet_missed sheet_missed_make(struct arena *arena, const struct occupancy *occupancy,
                                      const struct sheet_wish *wish);

/* The first second of the day before a moment's. */
int64_t sheet_missed_since(const struct cellar *cellar, int64_t now);

/* Calls with each tank (batch set) or check (batch NULL) and what is missing of it, in words. */
void sheet_missed_each(const struct sheet_missed *missed,
                       void (*tell)(void *context, struct str name, const struct batch *batch,
                                    struct str missing),
                       void *context);

/* Text is a line for each tank or check, nothing when all was read; TSV has the columns date, tank,
 * batch, beer, missed. Errors of the output are left for ferror(). */
void sheet_missed_write(FILE *out, const struct sheet_missed *missed, bool tsv);

#endif
