/*
 * When will it be finished: the time at which gravity comes to its end (within 0.1 P), with an
 * interval of 80 %, and the reading with which it would count as finished. Told by the beer's own
 * earlier batches, else by those of its kind of yeast, else by a generic ale (remain.h). Where the
 * readings do not carry a forecast there is none, and the reason.
 */
#ifndef GYLE_FORECAST_H
#define GYLE_FORECAST_H

#include "finish.h"
#include "history.h"

/* The promise of the interval. */
#define FORECAST_CONFIDENCE 0.8

/* No forecast before this share of the extract is gone. */
#define FORECAST_LEAST_SHARE 0.15

enum forecast_source { FORECAST_NONE, FORECAST_BEER, FORECAST_YEAST, FORECAST_GENERIC };

struct forecast {
    enum forecast_source source;       /* FORECAST_NONE: there is no forecast */
    const char *why_not;               /* the reason then, else "" */
    int64_t end_at, early_at, late_at; /* within 0.1 P of its end; the interval */
    int64_t finish_at;                 /* the first reading with which it would count as finished */
    bool is_there;    /* the end is reached: only days of the same gravity are missing */
    double end_plato; /* where it is taken to end */
    double speed;     /* against the earlier batches; NAN where it is there */
    size_t batches;   /* that told it; 0 of a generic one */
};

/* Of a course that is not over; history may be empty. Words live in context->arena. */
struct forecast forecast_of(const struct finish_context *context, const struct finish *finish,
                            const struct history *history);

/* Appends in words: when, how sure, by what; or why there is none. */
void forecast_explain(const struct finish_context *context, const struct forecast *forecast,
                      struct buf *text);

#endif
