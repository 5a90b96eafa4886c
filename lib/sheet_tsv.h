/*
 * The round sheet to type into: a row for each tank that is due and for each check, in the order of
 * the walk, with an empty cell for each figure. Units are the house's and stand in the names of the
 * columns; the same table is read back when it is filled in.
 */
#ifndef GYLE_SHEET_TSV_H
#define GYLE_SHEET_TSV_H

#include "sheet.h"

#include <stdio.h>

/* Errors of the output are left for ferror(). The header row comes only with the first sheet of
 * several. */
void sheet_tsv_write(FILE *out, const struct sheet *sheet, bool is_first);

#endif
