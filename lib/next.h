/*
 * What to do next with a beer, once its verdict is known: one step in a few words, when it is due,
 * and a caution where the step or the beer can hurt somebody. The steps are those of a usual
 * cellar (common practice, no source), in the order of one table in next.c.
 */
#ifndef GYLE_NEXT_H
#define GYLE_NEXT_H

#include "finish.h"

/* What sort of step it is. */
enum next_kind {
    NEXT_NOTHING, /* nothing is left to do, or to wait for */
    NEXT_READ,    /* as every day */
    NEXT_OTHER,
    NEXT_CLOSE, /* the valve */
    NEXT_VDK,
    NEXT_CHILL,
    NEXT_CARBONATE, /* or measure how far it is */
    NEXT_DUMP,      /* the yeast */
    NEXT_MOVE,
    NEXT_PACKAGE
};

struct next {
    enum next_kind kind;
    const char *step;    /* "chill to -1..2 C"; "" when nothing is left to do; never NULL */
    const char *caution; /* one line, or "" */
    bool has_at;
    int64_t at; /* when it is due; never in the past */
};

/* The words live in context->arena. */
struct next next_step(const struct finish_context *context, const struct finish *finish);

#endif
