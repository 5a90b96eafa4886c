/*
 * The same gravity over days. Of N days needed, the run at the end is long enough when the last N
 * days that have a reading show the same figure, or when the last N + 1 lie within one step of the
 * scale over the whole run: 0.1 P a day for a week is still falling, though no two neighbours
 * differ by more than a step. The first and the last reading are at least (N - 1) x 20 h apart.
 *
 * A beer that needs more than a week (wild, mixed) is not read every day: there the days that the
 * run spans count, and four readings in it are enough.
 */
#ifndef GYLE_STEADY_H
#define GYLE_STEADY_H

#include "sound.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    STEADY_READ_DAILY = 7,  /* beers that need more days than this are not read each day */
    STEADY_FEWEST = 4,      /* readings of those */
    STEADY_HOURS_A_DAY = 20 /* two mornings' readings may be this close */
};

struct steady {
    size_t first;   /* where the run begins in the list of days */
    int days;       /* steady days there are */
    bool is_enough; /* days and hours are enough */
    int skipped;    /* civil days within the run that have no reading */
    bool is_equal;  /* all readings of the run show the same figure; else within one step */
};

/* The run that ends with days.items[end - 1]; only days from index `from` on may be in it.
 * end > from. */
struct steady steady_run(const struct sound_days *days, size_t from, size_t end, int needed);

#endif
