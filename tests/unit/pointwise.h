/*
 * A model for lib/fit that is written for one reading at a time, as its formula is printed: the
 * value at reading number `point`, its derivatives to `gradient`.
 */
#ifndef GYLE_TESTS_POINTWISE_H
#define GYLE_TESTS_POINTWISE_H

#include "fit.h"

/* Makes the model NAME of the function NAME_at. */
#define POINTWISE(name)                                                                            \
    static void name(const double *theta, size_t first, size_t count, double *value,               \
                     double(*gradient)[FIT_BLOCK], const void *data)                               \
    {                                                                                              \
        for (size_t i = 0; i < count; i++) {                                                       \
            double one[FIT_PARAMETERS] = {0};                                                      \
            value[i] = name##_at(theta, first + i, one, data);                                     \
            for (size_t j = 0; j < FIT_PARAMETERS; j++)                                            \
                gradient[j][i] = one[j];                                                           \
        }                                                                                          \
    }

#endif
