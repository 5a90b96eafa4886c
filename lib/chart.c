#include "chart.h"

#include "robust.h"

#include <math.h>

/* The mean range of two normal readings in sds, to the digits that the published limits use, and
 * the upper limit of such a range in mean ranges. */
static const double D2_OF_TWO = 1.128;
static const double D4_OF_TWO = 3.267;

struct chart_individuals chart_individuals(const double *readings, size_t n)
{
    if (n < 2)
        return (struct chart_individuals){NAN, NAN, NAN, NAN, NAN, NAN};
    double centre = robust_mean(readings, n), sum = 0;
    for (size_t i = 1; i < n; i++)
        sum += fabs(readings[i] - readings[i - 1]);
    double moving_range = sum / (double)(n - 1);
    double sd = moving_range / D2_OF_TWO;
    return (struct chart_individuals){
        .centre = centre,
        .moving_range = moving_range,
        .sd = sd,
        .lower = centre - 3 * sd,
        .upper = centre + 3 * sd,
        .range_upper = D4_OF_TWO * moving_range,
    };
}

double chart_ewma_next(double mean, double reading, double lambda)
{
    return lambda > 0 && lambda <= 1 ? lambda * reading + (1 - lambda) * mean : NAN;
}

double chart_ewma_limit(double sd, double lambda, double width, size_t count)
{
    if (!(lambda > 0 && lambda <= 1) || !(sd >= 0))
        return NAN;
    double settled = count == 0 ? 1 : 1 - pow(1 - lambda, 2 * (double)count);
    return width * sd * sqrt(lambda / (2 - lambda) * settled);
}

/* fmax would turn a NAN into 0. */
static double above_zero(double x)
{
    return x < 0 ? 0 : x;
}

struct chart_cusum chart_cusum_next(struct chart_cusum sums, double reading, double target,
                                    double slack)
{
    return (struct chart_cusum){
        .high = above_zero(sums.high + reading - target - slack),
        .low = above_zero(sums.low + target - slack - reading),
    };
}

static int side_of(double reading, double centre)
{
    return (reading > centre) - (reading < centre);
}

long chart_run(const double *readings, size_t n, double centre)
{
    if (n == 0)
        return 0;
    int side = side_of(readings[n - 1], centre);
    long run = 0;
    while (run < (long)n && side != 0 && side_of(readings[n - 1 - (size_t)run], centre) == side)
        run++;
    return side * run;
}
