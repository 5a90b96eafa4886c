/* When a falling curve of gravity reaches a figure: by halving. */
#ifndef GYLE_TESTS_REACHED_H
#define GYLE_TESTS_REACHED_H

#include "curve.h"

#include <math.h>

/* NAN where it never does: at or below its end, at or above its start. */
static inline double reached(const struct curve *curve, double plato)
{
    double low = -1e6, high = 1e6;
    if (!(plato < curve->fit.theta[CURVE_START] && plato > curve->fit.theta[CURVE_END]))
        return NAN;
    for (double middle = 0; low < middle && middle < high; middle = low + 0.5 * (high - low)) {
        if (curve_plato(curve, middle) > plato)
            low = middle;
        else
            high = middle;
    }
    return low;
}

#endif
