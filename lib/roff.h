/*
 * Text for groff: nothing in it is taken for a request or an escape, and letters that the standard
 * fonts of PostScript lack (the Czech, Polish, Hungarian, Turkish ones) are made of a letter and an
 * accent. What cannot be shown at all prints as "?", never as nothing.
 */
#ifndef GYLE_ROFF_H
#define GYLE_ROFF_H

#include "arena.h"
#include "str.h"

#include <stdint.h>
#include <stdio.h>

struct roff {
    struct arena *arena;
    uint32_t *codes; /* those that need a fallback, each once */
    size_t n, capacity;
};

/* Appends text, escaped as str_escape() does, cut to limit columns (0: all). */
void roff_add(struct roff *roff, struct buf *buf, struct str text, size_t limit);

/* The requests that define the fallbacks of all that was added; to be written before it. */
void roff_write_fallbacks(FILE *out, const struct roff *roff);

#endif
