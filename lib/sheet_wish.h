/*
 * What is wanted of a sheet, from the lists that people write: "FV1,FV2", "gravity,ph".
 */
#ifndef GYLE_SHEET_WISH_H
#define GYLE_SHEET_WISH_H

#include "sheet.h"

/* Takes the tanks of a list; empty names are passed over. False when one is not declared: which is
 * in *unknown. */
bool sheet_wish_tanks(struct sheet_wish *wish, struct arena *arena, const struct cellar *cellar,
                      const char *list, struct str *unknown);

/* The same for columns, by the keys of a reading, in letters of any case. */
bool sheet_wish_columns(struct sheet_wish *wish, const char *list, struct str *unknown);

#endif
