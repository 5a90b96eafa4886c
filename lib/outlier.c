#include "outlier.h"

#include "robust.h"
#include "special.h"

#include <math.h>

double outlier_grubbs_critical(size_t n, double alpha, enum outlier_side side)
{
    if (n < 3 || !(alpha > 0 && alpha < 1))
        return NAN;
    double count = (double)n;
    double tail = alpha / (side == OUTLIER_EITHER ? 2 * count : count);
    double t = -special_t_quantile(tail, count - 2);
    return (count - 1) / sqrt(count) * sqrt(t * t / (count - 2 + t * t));
}

/* The reading farthest from the mean of those not gone, and how far in standard deviations. */
struct farthest {
    size_t index;
    double distance;
};

static double signed_by_side(double deviation, enum outlier_side side)
{
    switch (side) {
    case OUTLIER_LOW:
        return -deviation;
    case OUTLIER_HIGH:
        return deviation;
    case OUTLIER_EITHER:
        break;
    }
    return fabs(deviation);
}

static struct farthest find_farthest(const double *readings, size_t n, const bool *gone,
                                     enum outlier_side side)
{
    double count = 0, sum = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        if (gone && gone[i])
            continue;
        count++;
        sum += readings[i];
    }
    double mean = sum / count;
    struct farthest far = {n, -INFINITY};
    for (size_t i = 0; i < n; i++) {
        if (gone && gone[i])
            continue;
        double deviation = readings[i] - mean;
        squares += deviation * deviation;
        if (signed_by_side(deviation, side) > far.distance)
            far = (struct farthest){i, signed_by_side(deviation, side)};
    }
    double sd = sqrt(squares / (count - 1));
    /* Equal readings have an sd of rounding only; it must not divide. */
    far.distance = sd > 1e-14 * fabs(mean) ? far.distance / sd : 0;
    return far;
}

bool outlier_grubbs(const double *readings, size_t n, double alpha, enum outlier_side side,
                    struct outlier_grubbs *result)
{
    double critical = outlier_grubbs_critical(n, alpha, side);
    if (isnan(critical) || !robust_all_finite(readings, n))
        return false;
    struct farthest far = find_farthest(readings, n, NULL, side);
    *result = (struct outlier_grubbs){far.index, far.distance, critical, far.distance > critical};
    return true;
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
        struct farthest far = find_farthest(readings, n, gone, OUTLIER_EITHER);
        double critical = outlier_grubbs_critical(n - step, alpha, OUTLIER_EITHER);
        gone[far.index] = true;
        steps[step] = (struct outlier_step){far.index, far.distance, critical};
        if (far.distance > critical)
            outliers = step + 1;
    }
    return outliers;
}
