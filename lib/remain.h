/*
 * How long until the end of a fermentation, told by earlier ones. From the share of the extract
 * that is still to go, each earlier course says how long it took from there; that time is
 * stretched by how fast this one went, over its last readings, through the same stretch. The
 * median of them is the estimate. So the tail has whatever shape real beers have, and a lag or a
 * late start does not matter.
 *
 * A sigmoid fitted to the readings and run out to its end was tried against this on real beers and
 * erred more: what is seen by then says little about the tail (tests/replay).
 *
 * Pure arithmetic. A course is a list of hours, rising, and of the share `left` at each, 1 at the
 * pitch and 0 at the end; it may jitter by a reading's noise. Between readings it is
 * taken to bend as the generic course does there.
 */
#ifndef GYLE_REMAIN_H
#define GYLE_REMAIN_H

#include <stdbool.h>
#include <stddef.h>

struct remain_course {
    const double *hours, *left;
    size_t n;
    double end_hours; /* when it first came to its end; of an earlier course only */
};

/* How much of the difference in speed is carried over to what is left (0 none, 1 all of it), and
 * how far the logarithm of the time left scatters from batch to batch before any is seen: for
 * courses of the same beer, of the same kind of yeast, and for the generic one, whose hours say
 * little. The shares were chosen on real beers, halves of which choose none that is better for the
 * rest; the spreads on made-up courses, so that intervals hold what they promise (tests/replay). */
#define REMAIN_OWN_SHARE     0.5
#define REMAIN_OWN_SD        0.10
#define REMAIN_KIND_SHARE    0.7
#define REMAIN_KIND_SD       0.20
#define REMAIN_GENERIC_SHARE 0.8
#define REMAIN_GENERIC_SD    0.20

/* A course of the same beer or yeast that falls four times as slowly has another trouble; a cold
 * lager may take ten times as long as the generic warm ale (common practice, no source). */
#define REMAIN_SLOWEST         4.0
#define REMAIN_GENERIC_SLOWEST 10.0

struct remain_options {
    double share;      /* 0..1, see above */
    double prior_sd;   /* above 0, see above */
    double slowest;    /* so many times as slow as all of them, it is another kind of course; as
                        * many times as fast counts as no faster */
    double noise_left; /* standard deviation of a reading, as a share */
    double confidence; /* of the interval, 0..1 */
};

struct remain {
    double hours;       /* from the last reading to the end, 0 or more */
    double early, late; /* interval, early 0 or more: a factor either way by the prior spread and
                         * that of the earlier courses, and hours either way by the noise of the
                         * reading, of the gap before it and of the end */
    double speed;       /* median: above 1 it is faster than the earlier ones were here */
    size_t used;        /* earlier courses that say something here */
};

/* work is room for 4 x count doubles. False, and *remain not set, where there are fewer than two
 * readings, the last is not below the first, no earlier course passes through the same shares, or
 * it falls more than `slowest` times as slowly as all of them: then nothing says when it will
 * end. */
bool remain_estimate(const struct remain_course *now, const struct remain_course *earlier,
                     size_t count, const struct remain_options *options, double *work,
                     struct remain *remain);

/* When a course first comes to a share; NAN where it does not. */
double remain_hours_at(const struct remain_course *course, double left);

/* A usual ale, pitched warm: the hours at which shares were reached, from the medians of twelve
 * tanks of 17 to 22 C (pilot and commercial scale; Lwele 2025, computed here). */
extern const struct remain_course REMAIN_GENERIC;

#endif
