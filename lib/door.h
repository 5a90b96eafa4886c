/*
 * The questions an entry is asked before it goes into the book: which batch it is of, whether its
 * names are those of the cellar, and whether its figures are likely in this tank today. What cannot
 * be is refused; what is unlikely is remarked and added all the same.
 */
#ifndef GYLE_DOOR_H
#define GYLE_DOOR_H

#include "entry.h"
#include "known.h"
#include "roster.h"

/* Finds the batch and the tank of an entry, and the file it goes to; for the plant's entries
 * nothing. Fills tank, batch, beer and path, and the key tank where the batch is in two. Refuses
 * what lies in no tank's time. *row is the stay, or NULL. */
void door_place(struct entry *entry, const struct roster *roster, struct arena *arena,
                const struct roster_row **row);

/* Refuses names the cellar does not have, and meters that read something else. */
void door_names(struct entry *entry, const struct cellar *cellar, struct arena *arena);

/* Remarks on the figures of a reading, beside the last ones of the same tank, the tank's name plate
 * and the beer. */
void door_reading(struct entry *entry, const struct reading *reading, const struct roster_row *row,
                  const struct batch *batch, const struct known *known, const struct cellar *cellar,
                  struct arena *arena);

/* The same for a check of the plant. A bare figure in another unit than the one before is refused.
 */
void door_check(struct entry *entry, const struct plant_reading *reading, const struct known *known,
                const struct cellar *cellar, struct arena *arena);

/* A figure as it is held against others: of a refractometer the beer's gravity, not what it shows;
 * NAN where that cannot be told. meter: "" when not known. */
double door_compared(const struct figure *figure, int reads, struct str meter,
                     const struct batch *batch, const struct cellar *cellar);

/* May the gravity of a settled batch have risen between two moments? Extract came with an addition,
 * with krausen, or with another of its brews. */
bool door_extract_came(const struct batch *batch, int64_t from, int64_t to);

#endif
