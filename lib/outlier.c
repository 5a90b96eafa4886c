#include "outlier.h"

#include "robust.h"
#include "special.h"

#include <math.h>

/* The largest distance that chance allows n normal readings, to either side (Grubbs 1950). */
static double critical_of(size_t n, double alpha)
{
    double count = (double)n;
    double t = special_t_quantile(alpha / (2 * count), count - 2);
    return (count - 1) / sqrt(count) * sqrt(t * t / (count - 2 + t * t));
}

/* The reading farthest from the mean of those not gone, and how far in standard deviations. */
static struct outlier_step find_farthest(const double *readings, size_t n, const bool *gone)
{
    double count = 0, sum = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        count += !gone[i];
        sum += gone[i] ? 0 : readings[i];
    }
    double mean = sum / count;
    struct outlier_step far = {.distance = -1};
    for (size_t i = 0; i < n; i++) {
        if (gone[i])
            continue;
        double deviation = fabs(readings[i] - mean);
        squares += deviation * deviation;
        if (deviation > far.distance)
            far = (struct outlier_step){.index = i, .distance = deviation};
    }
    double sd = sqrt(squares / (count - 1));
    /* Equal readings have an sd of rounding only; it must not divide. */
    far.distance = sd > 1e-14 * fabs(mean) ? far.distance / sd : 0;
    return far;
}

size_t outlier_esd(const double *readings, size_t n, size_t most, double alpha,
                   struct outlier_step *steps, bool *gone)
{
    if (n < 3 || most >= n - 2 || !(alpha > 0 && alpha < 1) || !robust_all_finite(readings, n))
        return 0;
    for (size_t i = 0; i < n; i++)
        gone[i] = false;
    size_t outliers = 0;
    for (size_t step = 0; step < most; step++) {
        steps[step] = find_farthest(readings, n, gone);
        steps[step].critical = critical_of(n - step, alpha);
        gone[steps[step].index] = true;
        if (steps[step].distance > steps[step].critical)
            outliers = step + 1;
    }
    return outliers;
}
