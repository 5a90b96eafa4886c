/*
 * Readings that do not belong: the generalised ESD test (Rosner 1983) for up to as many as are named
 * beforehand; for one it is Grubbs' test. It takes the other readings to be normal; with fewer than
 * about 15 of them it is rough. Pure arithmetic on the caller's arrays.
 */
#ifndef GYLE_OUTLIER_H
#define GYLE_OUTLIER_H

#include <stdbool.h>
#include <stddef.h>

struct outlier_step {
    size_t index;    /* the reading taken away in this step */
    double distance; /* |reading - mean| / sd of those still there; 0 if all are equal */
    double critical; /* outlier if any step up to here or beyond exceeds its critical value */
};

/*
 * Takes the farthest reading away `most` times and returns how many of them are outliers: the last
 * step whose distance exceeds its critical value, so that two alike do not hide each other. The
 * critical value of m readings is (m-1)/sqrt(m) sqrt(t^2 / (m - 2 + t^2)), t the upper alpha/2m
 * point of Student's t with m - 2 degrees of freedom. steps[0..most-1] are filled in order of
 * removal; `gone` is room for n flags. Returns 0 and fills nothing if most + 2 >= n, alpha is
 * outside 0..1, or a reading is not finite. Readings that are all equal have no outlier.
 */
size_t outlier_esd(const double *readings, size_t n, size_t most, double alpha,
                   struct outlier_step *steps, bool *gone);

#endif
