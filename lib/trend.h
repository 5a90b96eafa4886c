/*
 * Is it moving, which way and how fast, by the rank methods that ask for no normal noise:
 * Mann-Kendall's test and Sen's slope. Pure arithmetic on the caller's arrays.
 */
#ifndef GYLE_TREND_H
#define GYLE_TREND_H

#include <stdbool.h>
#include <stddef.h>

/* Up to this many readings the probability of Mann-Kendall is counted, not approximated. */
enum { TREND_EXACT_TO = 18 };

struct trend_kendall {
    long s;          /* pairs that rise less pairs that fall, in the order given */
    double variance; /* of s by chance, with the correction for ties */
    double z;        /* (s - sign) / sqrt(variance); 0 when s is 0 */
    double p;        /* one-sided: chance of an s as far from 0 to the same side, or farther */
};

/*
 * Mann-Kendall's test on readings in order of time. `p` is exact up to TREND_EXACT_TO readings,
 * ties included (the orders of the tied values counted by inversions), and from the normal z
 * beyond (US EPA QA/G-9S 2006, 4.3.4). For two sides double it. `work` is room for n doubles.
 * False, and *result not set, for n < 2 or values that are not finite. If every reading is equal,
 * variance and z are 0 and p is 1.
 */
bool trend_kendall(const double *y, size_t n, double *work, struct trend_kendall *result);

struct trend_sen {
    double slope;     /* median of the slopes of all pairs, per unit of t */
    double low, high; /* interval of the slope */
    double intercept; /* median of y - slope t */
};

/*
 * Sen's slope with its interval (Gilbert 1987, 16.5: ranks of the sorted slopes from the
 * variance of Mann-Kendall's s, ties included; rough below 10 readings). Pairs with the same t
 * are left out. `confidence` in 0..1; `work` is room for n (n - 1) / 2 + n doubles. False, and
 * *result not set, where no pair has a slope or a value is not finite. An end of the interval
 * beyond the slopes there are is INFINITY, with its sign.
 */
bool trend_sen(const double *t, const double *y, size_t n, double confidence, double *work,
               struct trend_sen *result);

#endif
