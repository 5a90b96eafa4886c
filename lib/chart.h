/*
 * Control charts of single readings: individuals with moving range, the exponentially weighted
 * mean, the cumulative sum, and runs. They show when a quantity that should stay has left its
 * place: at once and far (individuals), slowly (weighted mean, runs), or by a small shift that lasts
 * (cumulative sum). Pure arithmetic; NAN in, NAN out.
 * Formulae: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 to 6.3.2.4.
 */
#ifndef GYLE_CHART_H
#define GYLE_CHART_H

#include <stddef.h>

struct chart_individuals {
    double centre;       /* mean of the readings */
    double moving_range; /* mean of |x[i] - x[i-1]| */
    double sd;           /* moving_range / 1.128 */
    double lower, upper; /* centre -+ 3 sd */
    double range_upper;  /* 3.267 moving_range: above it one reading jumped from the last */
};

/* Limits from the readings themselves, n of 2 or more (about 20 make them firm); all NAN for
 * fewer. Equal readings give limits on the centre: the caller minds the scale step. */
struct chart_individuals chart_individuals(const double *readings, size_t n);

/* The next exponentially weighted mean: lambda reading + (1 - lambda) mean; lambda above 0, up to
 * 1, usually 0.2 or 0.3; else NAN. It starts from the target. */
double chart_ewma_next(double mean, double reading, double lambda);

/* How far the weighted mean may lie from the target after `count` readings: width sd
 * sqrt(lambda / (2 - lambda) (1 - (1 - lambda)^(2 count))), width usually 3. count = 0 gives the
 * steady limit, which it widens to. */
double chart_ewma_limit(double sd, double lambda, double width, size_t count);

/* The sums of a two-sided cumulative sum chart; {0, 0} to begin. */
struct chart_cusum {
    double high, low;
};

/* Adds a reading: what it exceeds the target by more than `slack` (or falls short by), never
 * below 0. A shift is signalled where a sum exceeds the decision limit, usually 4 or 5 sd; slack
 * is half the shift that matters, usually 0.5 sd. */
struct chart_cusum chart_cusum_next(struct chart_cusum sums, double reading, double target,
                                    double slack);

/* How many of the last readings in a row lie on one side of the centre: positive above, negative
 * below, 0 if the last lies on it. Eight in a row are rare by chance (1 in 128). */
long chart_run(const double *readings, size_t n, double centre);

#endif
