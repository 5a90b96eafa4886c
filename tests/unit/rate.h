/*
 * What so many hits in so many trials can promise, for tests that count: the exact (Clopper &
 * Pearson 1934) two-sided interval of the rate behind them.
 */
#ifndef GYLE_TEST_RATE_H
#define GYLE_TEST_RATE_H

#include "special.h"

#include <math.h>
#include <stddef.h>

struct rate {
    double low, high;
};

/* x with I_x(a, b) = p, by halving. */
static inline double rate_quantile(double p, double a, double b)
{
    double low = 0, high = 1;
    for (int step = 0; step < 60; step++) {
        double middle = low + (high - low) / 2;
        if (special_beta_cdf(middle, a, b) < p)
            low = middle;
        else
            high = middle;
    }
    return low + (high - low) / 2;
}

/* Both ends NAN for n = 0, hits > n, or a confidence outside 0..1. For a one-sided bound of 95 %
 * take that end of the two-sided interval of 90 %. */
static inline struct rate rate_of(size_t hits, size_t n, double confidence)
{
    if (n == 0 || hits > n || !(confidence > 0 && confidence < 1))
        return (struct rate){NAN, NAN};
    double tail = 0.5 * (1 - confidence), k = (double)hits, misses = (double)(n - hits);
    return (struct rate){
        .low = hits == 0 ? 0 : rate_quantile(tail, k, misses + 1),
        .high = hits == n ? 1 : rate_quantile(1 - tail, k + 1, misses),
    };
}

#endif
