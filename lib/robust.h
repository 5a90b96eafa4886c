/*
 * Centre and spread of a few readings, the plain way and the way that one bad reading cannot
 * move. Pure arithmetic on the caller's arrays. `n` is the number of readings; a NAN or an
 * infinity among them makes the result NAN. `work` is room for n doubles, overwritten, and may
 * not overlap the readings.
 */
#ifndef GYLE_ROBUST_H
#define GYLE_ROBUST_H

#include <stdbool.h>
#include <stddef.h>

/* Is none of them a NAN or an infinity? */
bool robust_all_finite(const double *readings, size_t n);

/* Sorts in place, rising; NANs are not allowed. */
void robust_sort(double *values, size_t n);

/* Arithmetic mean; NAN for n = 0. */
double robust_mean(const double *readings, size_t n);

/* Standard deviation with n - 1, in two passes (about the mean); NAN for n < 2. */
double robust_sd(const double *readings, size_t n);

/* Median, the mean of the middle two for even n; NAN for n = 0. */
double robust_median(const double *readings, size_t n, double *work);

/* How the p-quantile is placed between sorted readings: its rank among 1..n. The names are the
 * numbers of Hyndman & Fan 1996. */
enum robust_rank {
    ROBUST_R6, /* p (n + 1) */
    ROBUST_R7, /* p (n - 1) + 1 */
    ROBUST_R8  /* p (n + 1/3) + 1/3, nearly median-unbiased: the one to take */
};

/* The p-quantile of sorted readings, by straight line between neighbours; p in 0..1. A rank
 * before the first or after the last reading gives that reading. NAN for n = 0. */
double robust_quantile(const double *sorted, size_t n, double p, enum robust_rank rank);

/* Median absolute deviation about the median, as it is: no factor. NAN for n = 0. */
double robust_mad(const double *readings, size_t n, double *work);

/* The standard deviation estimated from the MAD: 1.4826 MAD and a small-sample factor that makes
 * it right on average for normal readings, within 2 % (Croux & Rousseeuw 1992, factors from memory,
 * checked by simulation in tests/unit). Efficiency 37 %. NAN for n < 2. */
double robust_mad_sd(const double *readings, size_t n, double *work);

/* The standard deviation estimated by Qn, the lower quarter of all differences between readings,
 * with its small-sample factor (Rousseeuw & Croux 1993; factors as above). Efficiency 82 %: the
 * better one where readings are few. Like the MAD it is 0 when most readings are equal.
 * NAN for n < 2. */
double robust_qn(const double *readings, size_t n, double *work);

/* From here a modified z marks an outlier: Iglewicz & Hoaglin 1993. */
#define ROBUST_MODIFIED_Z_LIMIT 3.5

/*
 * Modified z of each reading: z[i] = (reading - median) / scale, where scale is MAD / 0.6745, but
 * never less than the scale step's own standard deviation, step / sqrt(12) (GUM F.2.2.1). So
 * nine equal readings and one a step away are no outlier, and one far away is, though the MAD is 0.
 * `step` is what the instrument can show, 0 if not known: then a MAD of 0 gives way to the mean
 * absolute deviation times 1.253314 (Iglewicz & Hoaglin 1993), and if that is 0 too every z is 0.
 * With n = 0 nothing is written.
 */
void robust_modified_z(const double *readings, size_t n, double step, double *z, double *work);

#endif
