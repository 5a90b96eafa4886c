/*
 * The round sheet that was printed as TSV, filled in, read into entries.
 *
 * The first row names the columns, in any order: date, time, tank, batch, beer, value, by, note; a
 * quantity with its unit, such as gravity_P, temp_C, vdk_mg_L (a unit in the cell wins); a quantity
 * and _meter. Columns of other names are passed over. A row is of the tank or the plant's check in
 * its column tank, or of its batch; a check's figure stands in value. Rows without a figure, a word
 * or a note are passed over, and so are rows that begin with #.
 */
#ifndef GYLE_FILLED_H
#define GYLE_FILLED_H

#include "typed.h"

/* True when text begins with a row that names columns of a sheet. */
bool filled_is_sheet(struct str text);

/* True when it is one that was saved with commas or semicolons between its cells. */
bool filled_is_other_sheet(struct str text);

/* Reads every row. Names of columns that are not known go to *unknown, a list for people. */
void filled_read(struct arena *arena, const struct roster *roster, const struct source *source,
                 int64_t now, struct entry_list *list, struct buf *unknown);

#endif
