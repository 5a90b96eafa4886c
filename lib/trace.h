/*
 * A lot code followed back: the batch that was packaged under it, its containers, tanks, yeast, the
 * beer that was blended or krausened into it, the meters that read it; and forward to the batches
 * that took its yeast or beer.
 */
#ifndef GYLE_TRACE_H
#define GYLE_TRACE_H

#include "arena.h"
#include "batch.h"
#include "cellar.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct trace {
    const struct cellar *cellar;
    struct arena *arena;
    struct batch *const *batches; /* settled; all that may be named */
    size_t batch_count;
};

/* The package event of the batch with that lot, the first from index *from on, which is then set
 * behind it; NULL: no more. */
const struct batch_event *trace_find(const struct batch *batch, struct str lot, size_t *from);

/* Writes what there is to say of one packaging. With tsv rows only: trace_header() comes first. */
void trace_write(const struct trace *trace, FILE *out, bool tsv, const struct batch *batch,
                 const struct batch_event *packaged);
void trace_header(const struct trace *trace, FILE *out);

/* A lot of the batches that was perhaps meant, or NULL. */
const char *trace_nearest(const struct trace *trace, struct str lot);

#endif
