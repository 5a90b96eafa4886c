#include "axis.h"

#include <math.h>

/* A tick that is missed by rounding alone is no reason for another step. */
static const double HAIR = 1e-9;

/* The smallest 1, 2 or 5 times a power of ten that is not under `least`. */
static double nice_step(double least)
{
    double power = pow(10, floor(log10(least) + HAIR));
    static const double FACTORS[] = {1, 2, 5};
    for (int i = 0; i < 3; i++)
        if (FACTORS[i] * power >= least * (1 - HAIR))
            return FACTORS[i] * power;
    return 10 * power;
}

static long ticks_between(double low, double high, double step)
{
    return lround((high - low) / step) + 1;
}

struct axis axis_of(double low, double high, long most, double least_step)
{
    if (!isfinite(low) || !isfinite(high))
        low = high = 0;
    if (low > high) {
        double swap = low;
        low = high;
        high = swap;
    }
    struct axis axis = {.step = nice_step(fmax((high - low) / (double)most, least_step))};
    for (;;) {
        axis.low = floor(low / axis.step + HAIR) * axis.step;
        axis.high = ceil(high / axis.step - HAIR) * axis.step;
        if (axis.high - axis.low < axis.step / 2) {
            axis.low -= low == 0 ? 0 : axis.step;
            axis.high += axis.step;
        }
        axis.ticks = ticks_between(axis.low, axis.high, axis.step);
        if (axis.ticks <= most + 1)
            break;
        axis.step = nice_step(axis.step * 1.5);
    }
    axis.decimals = (int)fmax(0, -floor(log10(axis.step) + HAIR));
    return axis;
}

struct axis axis_days(double low, double high, long most)
{
    static const double STEPS[] = {1, 2, 7, 14, 28, 56};
    enum { COUNT = sizeof STEPS / sizeof STEPS[0] };
    struct axis axis = {.low = 0, .high = 1, .step = STEPS[0]};
    if (isfinite(low) && low < 0)
        axis.low = floor(low);
    if (isfinite(high) && high > axis.high)
        axis.high = ceil(high - HAIR);
    double span = axis.high - axis.low;
    for (int i = 0; i < COUNT && span / axis.step > (double)most; i++)
        axis.step = STEPS[i];
    if (span / axis.step > (double)most)
        axis.step = nice_step(fmax(100, span / (double)most));
    axis.ticks = lround(floor(span / axis.step + HAIR)) + 1;
    return axis;
}

double axis_tick(const struct axis *axis, long i)
{
    double value = axis->low + (double)i * axis->step;
    return fabs(value) < axis->step * HAIR ? 0 : value;
}

double axis_share(const struct axis *axis, double value)
{
    return (value - axis->low) / (axis->high - axis->low);
}
