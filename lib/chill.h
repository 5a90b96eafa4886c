/*
 * When was a tank chilled: from a chill event, or from the second of two temperature readings in a
 * row that are far below the beer's fermenting range. A fall into a lager's own range is no
 * chilling. A tank that is warm again is not chilled any more.
 */
#ifndef GYLE_CHILL_H
#define GYLE_CHILL_H

#include "batch.h"

#include <stdbool.h>
#include <stdint.h>

/* This far below the low end of the fermenting range it is cold, C. */
#define CHILL_BELOW_CELSIUS 5.0

struct chill {
    bool is_cold;  /* as of now */
    bool by_event; /* else by two readings */
    int64_t at;    /* of the event, or of the first cold reading */
};

/* Of a course up to `until`. */
struct chill chill_of(const struct batch_course *course, int64_t until);

/* Was a reading at `at` taken in the cold? */
bool chill_covers(const struct chill *chill, int64_t at);

#endif
