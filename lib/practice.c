#include "practice.h"

#include <math.h>

const struct practice PRACTICE[YEAST_NONE + 1] = {
    [YEAST_UNKNOWN] = {2, 30, false, 3.9, 4.6, 15, 25},
    [YEAST_ALE] = {2, 30, false, 3.9, 4.6, 15, 25},
    [YEAST_WHEAT] = {2, 30, false, 3.9, 4.6, 16, 25},
    [YEAST_BELGIAN] = {3, 30, false, 3.9, 4.6, 17, 30},
    [YEAST_LAGER] = {3, 72, false, 4.0, 4.7, 7, 18},
    [YEAST_MIXED] = {30, 72, true, 2.9, 4.6, 15, 30},
    [YEAST_WILD] = {30, 72, true, 2.9, 4.6, 10, 30},
    [YEAST_SOUR] = {30, 72, true, 2.9, 4.2, 15, 42},
    [YEAST_NONE] = {2, 30, false, 3.9, 4.6, 15, 25},
};

static const double CALIBRATE_HOURS[] = {
    [METER_BENCH] = 7 * 24,
    [METER_HANDHELD] = 24,
    [METER_DENSITY] = 7 * 24,
};

double practice_calibrate_hours(int meter_kind)
{
    size_t n = sizeof CALIBRATE_HOURS / sizeof CALIBRATE_HOURS[0];
    double hours = meter_kind > 0 && (size_t)meter_kind < n ? CALIBRATE_HOURS[meter_kind] : 0;
    return hours > 0 ? hours : INFINITY;
}

int practice_steady_days(const struct cellar_beer *type)
{
    if (type != NULL && type->steady.set && type->steady.n > 0)
        return (int)type->steady.n;
    return PRACTICE[type == NULL ? YEAST_UNKNOWN : type->yeast].steady_days;
}
