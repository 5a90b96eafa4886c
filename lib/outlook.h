/*
 * All that the book says of the beer in a tank: is it finished (with what its earlier batches
 * tell), what comes next, when it will be finished, and when the tank should be free.
 */
#ifndef GYLE_OUTLOOK_H
#define GYLE_OUTLOOK_H

#include "forecast.h"
#include "next.h"
#include "occupancy.h"

#include <stdbool.h>
#include <stdint.h>

/* Fewer earlier stays than this say nothing about the next one. */
#define OUTLOOK_FEWEST_STAYS 3

/* The promise of the interval, and the least that stays differ by: a tank is emptied when there is
 * time for it. */
#define OUTLOOK_CONFIDENCE     0.8
#define OUTLOOK_LEAST_SD_HOURS 12.0

enum outlook_free_source {
    OUTLOOK_UNKNOWN,
    OUTLOOK_WRITTEN,  /* the book says when it leaves: to:, or where it goes next */
    OUTLOOK_BY_BEER,  /* as long as the beer's earlier batches were in this kind of tank */
    OUTLOOK_BY_YEAST, /* as beers of its kind of yeast */
    OUTLOOK_BY_KIND   /* as any beer in this kind of tank */
};

struct outlook {
    struct finish finish;
    struct forecast forecast;
    struct next next;

    /* When the tank should be free: after the median of the earlier stays, with an interval of
     * OUTLOOK_CONFIDENCE; not before the beer is forecast to be finished. Where the source is
     * unknown nothing tells the end, but is_held says that it is not before free_early. */
    enum outlook_free_source free_source;
    int64_t free_at, free_early, free_late;
    size_t free_stays; /* that told it */
    bool is_held;
    bool is_overdue;     /* it would usually have left by now; free_at is that time */
    const char *why_not; /* OUTLOOK_UNKNOWN: the reason, else "" */
};

/* Its verdict alone: by its limit, else by what its earlier batches came to. */
struct finish outlook_finish(const struct occupancy *occupancy, const struct batch_course *course,
                             struct arena *arena);

/* Of a course of the occupancy. Words live in the arena. */
struct outlook outlook_of(const struct occupancy *occupancy, const struct batch_course *course,
                          struct arena *arena);

#endif
