/*
 * Intervals that say how much a few readings can promise: tolerance factors (where the next
 * batches will lie), the exact interval of a rate, and when two readings are "the same".
 * Pure arithmetic; NAN outside the stated ranges.
 */
#ifndef GYLE_INTERVAL_H
#define GYLE_INTERVAL_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Normal tolerance factors: with the stated confidence, at least `coverage` of all readings lie
 * within mean +- k sd (two sides) or below mean + k sd (one side), where mean and sd come from n
 * readings. n from 2 to 100000; coverage from 0.5 to below 1, confidence above 0 and below 1.
 * A factor costs about 0.1 ms: keep it where one n is asked for again and again.
 */

/* One side, exact (non-central t). */
double interval_tolerance_one_side(size_t n, double coverage, double confidence);

/* Two sides, exact: the integral of Wald & Wolfowitz 1946 over the error of the mean. */
double interval_tolerance(size_t n, double coverage, double confidence);

/* Two sides, Howe 1969: z sqrt((n-1)(1 + 1/n) / chi2), as many tables print it: 5 % too
 * large at n = 2, 0.3 % too small at n = 10. With Guenther's correction if asked for. */
double interval_tolerance_howe(size_t n, double coverage, double confidence, bool guenther);

struct interval {
    double low, high;
};

/* Exact (Clopper & Pearson 1934) two-sided interval of the rate behind `hits` in n trials. Both
 * ends NAN for n = 0, hits > n, or a confidence outside 0..1. For a one-sided bound of 95 % take
 * that end of the two-sided interval of 90 %. */
struct interval interval_of_rate(size_t hits, size_t n, double confidence);

/* The standard deviation that a scale step alone gives a reading: step / sqrt(12) (GUM F.2.2.1).
 * NAN for a negative step. */
double interval_step_sd(double step);

/* Repeatability limit: two readings of the same thing differ by more in at most 5 % of cases.
 * r = 2.8 sqrt(sd^2 + step^2/12): the factor of ISO 5725-6 (1.96 sqrt(2), rounded up), noise and
 * resolution added the GUM way. sd and step 0 or more, else NAN. */
double interval_repeatability(double sd, double step);

/* The range of n readings of the same thing that chance exceeds in 5 % of cases, in standard
 * deviations: ISO 5725-6, f(n), n = 2..10; NAN otherwise. */
double interval_range_factor(size_t n);

/* How many whole steps of the scale lie from b to a: (a - b) / step, rounded. Doubles do not
 * compare: 2.5 - 2.4 > 0.1, but it is 1 step. 0 unless step > 0 and both are finite. */
long interval_steps(double a, double b, double step);

/* Are a and b the same within `limit`, both read on a scale of `step`? Whole steps are compared,
 * so a difference of exactly the limit counts as within. False for a NAN or a step not above 0. */
bool interval_same(double a, double b, double limit, double step);

#endif
