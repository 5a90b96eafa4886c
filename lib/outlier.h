/*
 * Tests for readings that do not belong: Grubbs' test for one, and the generalised ESD test
 * (Rosner 1983) for up to as many as are named beforehand. Both take the other readings to be
 * normal; with fewer than about 15 of them they are rough. Pure arithmetic on the caller's
 * arrays.
 */
#ifndef GYLE_OUTLIER_H
#define GYLE_OUTLIER_H

#include <stdbool.h>
#include <stddef.h>

enum outlier_side { OUTLIER_LOW, OUTLIER_HIGH, OUTLIER_EITHER };

/* The largest |reading - mean| / sd that chance allows n normal readings, at the level alpha:
 * (n-1)/sqrt(n) sqrt(t^2 / (n - 2 + t^2)), t the upper alpha/n point (alpha/2n for either side)
 * of Student's t with n - 2 degrees of freedom. NAN for n < 3 or alpha outside 0..1. */
double outlier_grubbs_critical(size_t n, double alpha, enum outlier_side side);

struct outlier_grubbs {
    size_t index;    /* the reading farthest out on that side */
    double distance; /* its distance from the mean in standard deviations; 0 if sd is 0 */
    double critical;
    bool found; /* distance > critical */
};

/* False if n < 3, alpha is outside 0..1, or a reading is not finite; *result is then not set. */
bool outlier_grubbs(const double *readings, size_t n, double alpha, enum outlier_side side,
                    struct outlier_grubbs *result);

struct outlier_step {
    size_t index;    /* the reading taken away in this step */
    double distance; /* of it, in standard deviations of those still there */
    double critical; /* outlier if any step up to here or beyond exceeds its critical value */
};

/*
 * Generalised ESD: takes the farthest reading away `most` times and returns how many of them are
 * outliers: the last step whose distance exceeds its critical value, so that two alike do not
 * hide each other. steps[0..most-1] are filled in order of removal; `gone` is room for n flags.
 * Returns 0 and fills nothing if most + 2 >= n, alpha is outside 0..1, or a reading is not
 * finite. Readings that are all equal have no outlier.
 */
size_t outlier_esd(const double *readings, size_t n, size_t most, double alpha,
                   struct outlier_step *steps, bool *gone);

#endif
