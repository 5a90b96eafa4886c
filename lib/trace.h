/*
 * A lot code followed back: the batch that was packaged under it, its containers, tanks, yeast, the
 * beer that was blended or krausened into it, the meters that read it; and forward to the batches
 * that took its yeast or beer. The lot of what went in (hops, an addition, yeast) is followed to
 * each batch that got it, and to all that was packaged of that.
 */
#ifndef GYLE_TRACE_H
#define GYLE_TRACE_H

#include "arena.h"
#include "cellar.h"
#include "shelf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct trace {
    const struct cellar *cellar;
    struct arena *arena;
    const struct shelf *shelf;
};

/* Writes what there is to say of each packaging under that lot, or of each batch that got something
 * of it, of the batches asked for. How many there are; with tsv the header row is written in any
 * case. */
size_t trace_write(const struct trace *trace, FILE *out, bool tsv, struct str lot);

/* A lot of the shelf that was perhaps meant, fit to be shown, or NULL. */
const char *trace_nearest(const struct trace *trace, struct str lot);

#endif
