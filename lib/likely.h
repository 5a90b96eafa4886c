/*
 * Is a figure likely for this beer today? It is held against what the round sheet expects of it
 * (expect.h): the beer's limits, its last reading, and what its earlier batches read at this age;
 * far outside of that, a remark tells so and shows what was expected.
 *
 * How far is far is wide on purpose: a remark on sound readings would soon be read by nobody. The
 * earlier batches of a beer are read only when one of its readings is to be judged, the last
 * HISTORY_NEWEST of them, and once.
 */
#ifndef GYLE_LIKELY_H
#define GYLE_LIKELY_H

#include "book.h"
#include "entry.h"
#include "known.h"
#include "roster.h"

struct likely;

/* What is learned of beers lives in arena; book and roster must outlive it. */
struct likely *likely_new(struct arena *arena, const struct book *book, const struct roster *roster,
                          int64_t now);

/* Remarks on the figures of a reading of a settled batch. known is what its file holds, with what
 * was taken for it since. Wort readings are passed over. */
void likely_reading(struct likely *likely, struct entry *entry, const struct reading *reading,
                    const struct batch *batch, const struct known *known);

/* Remarks on a tank that is closed, no pressure being told at which it opens, with more left to
 * ferment than its name plate bears. */
void likely_close(struct likely *likely, struct entry *entry, const struct batch *batch,
                  const struct known *known);

/* Remarks on beer that is packaged though it is still above its end, at a pH at which it does not
 * keep, or over its limit of oxygen: the beer is gone from the tanks then, and nothing else would
 * tell. */
void likely_package(struct likely *likely, struct entry *entry, const struct batch *batch,
                    const struct known *known);

#endif
