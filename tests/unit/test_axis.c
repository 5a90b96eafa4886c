/* Axes: their ends, steps and decimals, and figures that are none. */
#include "axis.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const struct {
    const char *title;
    double low, high;
    long most;
    double least_step;
    double axis_low, axis_high, step;
    long ticks;
    int decimals;
} VALUES[] = {
    {"gravity over a fermentation", 2.5, 12.2, 16, 0.5, 2, 13, 1, 12, 0},
    {"few steps", 2.5, 12.2, 4, 0.5, 0, 15, 5, 4, 0},
    {"pH", 4.23, 4.58, 8, 0.05, 4.2, 4.6, 0.05, 9, 2},
    {"ends that are ticks stay", 18, 20, 8, 0.5, 18, 20, 0.5, 5, 1},
    {"specific gravity", 1.0094, 1.0486, 16, 0.0005, 1.005, 1.05, 0.005, 10, 3},
    {"no finer than the least step", 19.3, 19.4, 8, 0.5, 19, 19.5, 0.5, 2, 1},
    {"one figure", 0.1, 0.1, 8, 0.05, 0.1 - 0.05, 0.1 + 0.05, 0.05, 3, 2},
    {"zero alone", 0, 0, 8, 0.05, 0, 0.05, 0.05, 2, 2},
    {"below zero", -1, 20, 8, 0.5, -5, 20, 5, 6, 0},
    {"the wrong way round", 12.2, 2.5, 16, 0.5, 2, 13, 1, 12, 0},
    {"no figure at all", INFINITY, -INFINITY, 8, 0.5, 0, 0.5, 0.5, 2, 1},
    {"not a number", NAN, NAN, 8, 0.5, 0, 0.5, 0.5, 2, 1},
    {"large", 0, 123456, 8, 0.5, 0, 140000, 20000, 8, 0},
};

static void test_values(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(VALUES); i++) {
        struct axis axis =
            axis_of(VALUES[i].low, VALUES[i].high, VALUES[i].most, VALUES[i].least_step);
        double near = VALUES[i].step * 1e-6;
        if (fabs(axis.low - VALUES[i].axis_low) > near ||
            fabs(axis.high - VALUES[i].axis_high) > near ||
            fabs(axis.step - VALUES[i].step) > near || axis.ticks != VALUES[i].ticks ||
            axis.decimals != VALUES[i].decimals)
            fail_msg("%s: %g..%g by %g, %ld ticks, %d decimals", VALUES[i].title, axis.low,
                     axis.high, axis.step, axis.ticks, axis.decimals);
        if (fabs(axis_tick(&axis, axis.ticks - 1) - axis.high) > near)
            fail_msg("%s: the last tick is %g", VALUES[i].title, axis_tick(&axis, axis.ticks - 1));
    }
}

static const struct {
    const char *title;
    double low, high;
    long most;
    double axis_low, axis_high, step;
    long ticks;
} DAYS[] = {
    {"nothing yet", 0, 0, 10, 0, 1, 1, 2},
    {"half a day", 0, 0.4, 10, 0, 1, 1, 2},
    {"a week", 0, 6.2, 10, 0, 7, 1, 8},
    {"a whole day is not rounded up", 0, 6, 10, 0, 6, 1, 7},
    {"three weeks", 0, 19.7, 11, 0, 20, 2, 11},
    {"a month, by weeks", 0, 27.3, 10, 0, 28, 7, 5},
    {"years", 0, 800, 10, 0, 800, 100, 9},
    {"a century", 0, 46000, 10, 0, 46000, 5000, 10},
    {"before the pitch", -0.3, 3, 10, -1, 3, 1, 5},
    {"not finite", -INFINITY, NAN, 10, 0, 1, 1, 2},
};

static void test_days(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(DAYS); i++) {
        struct axis axis = axis_days(DAYS[i].low, DAYS[i].high, DAYS[i].most);
        if (axis.low != DAYS[i].axis_low || axis.high != DAYS[i].axis_high ||
            axis.step != DAYS[i].step || axis.ticks != DAYS[i].ticks)
            fail_msg("%s: %g..%g by %g, %ld ticks", DAYS[i].title, axis.low, axis.high, axis.step,
                     axis.ticks);
    }
}

static void test_shares(void **state)
{
    (void)state;
    struct axis axis = axis_of(-0.2, 0.4, 6, 0.1);
    assert_true(fabs(axis_share(&axis, axis.low)) < 1e-12);
    assert_true(fabs(axis_share(&axis, axis.high) - 1) < 1e-12);
    assert_true(axis_share(&axis, axis.high + 1) > 1);
    assert_true(axis_tick(&axis, 2) == 0 && !signbit(axis_tick(&axis, 2)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_days),
        cmocka_unit_test(test_shares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
