/*
 * How much a few readings can promise: tolerance factors, which say where the next batches will
 * lie; and what the step of a scale does to readings. Pure arithmetic; NAN outside the stated
 * ranges.
 */
#ifndef GYLE_INTERVAL_H
#define GYLE_INTERVAL_H

#include <stddef.h>

/*
 * The normal tolerance factor k: with the stated confidence, at least `coverage` of all readings
 * lie within mean +- k sd, where mean and sd come from n readings. Exact: the integral of Wald &
 * Wolfowitz 1946 over the error of the mean. n from 2 to 100000; coverage from 0.5 to below 1,
 * confidence above 0 and below 1. It costs about 0.1 ms: keep it where one n is asked for again and
 * again.
 */
double interval_tolerance(size_t n, double coverage, double confidence);

/* The standard deviation that a scale step alone gives a reading: step / sqrt(12) (GUM F.2.2.1).
 * NAN for a negative step. */
double interval_step_sd(double step);

/* How many whole steps of the scale lie from b to a: (a - b) / step, rounded. Doubles do not
 * compare: 2.5 - 2.4 > 0.1, but it is 1 step. 0 unless step > 0 and both are finite. */
long interval_steps(double a, double b, double step);

#endif
