/*
 * Is gravity creeping down, slowly but evenly, behind readings that look the same from one day to
 * the next? Over the last week of daily readings Mann-Kendall's test must find a fall (one-sided,
 * 5 %); the mean of the first three days must lie 1.5 steps of the scale or more above that of the
 * last three; and the later half must fall at least 0.7 times as fast as the earlier: a beer that
 * has come to a stop falls much less at the end, a trickling one does not. The last two numbers are
 * this module's own choice (tests/replay).
 */
#ifndef GYLE_TRICKLE_H
#define GYLE_TRICKLE_H

#include "sound.h"

#include <stdbool.h>
#include <stddef.h>

enum { TRICKLE_FEWEST = 5, TRICKLE_DAYS = 7 }; /* readings looked at */

struct trickle {
    bool is_trickling;
    double plato_per_day; /* of the later half, above 0; 0 where it is not trickling */
    size_t first;         /* the first day looked at */
};

/* Of the last TRICKLE_DAYS days before index `end`. */
struct trickle trickle_of(const struct sound_days *days, size_t end);

#endif
