/* Outlier tests: edges, masking, and how often they cry without cause. */
#include "noise.h"
#include "outlier.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const struct {
    const char *title;
    size_t n;
    double readings[8];
    enum outlier_side side;
    bool tested, found;
    size_t index;
} grubbs[] = {
    {"two readings", 2, {1, 9}, OUTLIER_EITHER, false, false, 0},
    {"a NAN", 4, {1, NAN, 2, 3}, OUTLIER_EITHER, false, false, 0},
    {"all equal", 4, {0.1, 0.1, 0.1, 0.1}, OUTLIER_EITHER, true, false, 0},
    {"one high", 6, {2.1, 2.2, 9.0, 2.0, 2.1, 2.2}, OUTLIER_HIGH, true, true, 2},
    {"one high, looked for below", 6, {2.1, 2.2, 9.0, 2.0, 2.1, 2.2}, OUTLIER_LOW, true, false, 3},
    {"one low", 6, {2.1, 2.2, -5.0, 2.0, 2.1, 2.2}, OUTLIER_EITHER, true, true, 2},
    {"two alike hide each other",
     7,
     {2.1, 2.2, 9.0, 9.1, 2.0, 2.1, 2.2},
     OUTLIER_HIGH,
     true,
     false,
     3},
};

static void grubbs_for_one(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(grubbs); i++) {
        struct outlier_grubbs test = {0};
        bool tested = outlier_grubbs(grubbs[i].readings, grubbs[i].n, 0.05, grubbs[i].side, &test);
        if (tested != grubbs[i].tested)
            fail_msg("%s: tested %d", grubbs[i].title, tested);
        if (tested && (test.found != grubbs[i].found || test.index != grubbs[i].index))
            fail_msg("%s: found %d at %zu, distance %.3f", grubbs[i].title, test.found, test.index,
                     test.distance);
    }
    assert_true(isnan(outlier_grubbs_critical(8, 0, OUTLIER_HIGH)));
    assert_true(isnan(outlier_grubbs_critical(8, 1, OUTLIER_HIGH)));
}

static void esd_sees_two_alike(void **state)
{
    (void)state;
    static const double readings[] = {2.1, 2.2, 9.0, 2.0, 2.1, 9.1, 2.2, 2.3, 2.1, 2.0};
    struct outlier_step steps[3];
    bool gone[COUNT(readings)];
    assert_int_equal(outlier_esd(readings, COUNT(readings), 3, 0.05, steps, gone), 2);
    assert_int_equal(steps[0].index, 5);
    assert_int_equal(steps[1].index, 2);
}

static void esd_refuses(void **state)
{
    (void)state;
    static const double equal[] = {4, 4, 4, 4, 4, 4}, bad[] = {4, 4, 4, NAN, 4, 4};
    struct outlier_step steps[6];
    bool gone[6];
    assert_int_equal(outlier_esd(equal, 6, 3, 0.05, steps, gone), 0);
    assert_int_equal(outlier_esd(equal, 6, 4, 0.05, steps, gone), 0);
    assert_int_equal(outlier_esd(equal, 2, 1, 0.05, steps, gone), 0);
    assert_int_equal(outlier_esd(equal, 6, 3, 2, steps, gone), 0);
    assert_int_equal(outlier_esd(bad, 6, 3, 0.05, steps, gone), 0);
}

/* At alpha 0.05 about one healthy set in twenty is accused: 4000 sets say so within 0.7 %. */
static void false_alarms_are_as_stated(void **state)
{
    (void)state;
    enum { SETS = 4000, N = 25 };
    struct noise noise = {77};
    int one = 0, many = 0;
    for (int set = 0; set < SETS; set++) {
        double readings[N];
        struct outlier_grubbs test;
        struct outlier_step steps[5];
        bool gone[N];
        for (size_t i = 0; i < N; i++)
            readings[i] = 2.5 + 0.1 * noise_normal(&noise);
        assert_true(outlier_grubbs(readings, N, 0.05, OUTLIER_EITHER, &test));
        one += test.found;
        many += outlier_esd(readings, N, 5, 0.05, steps, gone) > 0;
    }
    print_message(
        "note: outlier tests at 5 %%: %.1f %% (Grubbs) and %.1f %% (ESD) of %d healthy sets\n",
        100.0 * one / SETS, 100.0 * many / SETS, SETS);
    assert_true(one > 0.040 * SETS && one < 0.060 * SETS);
    assert_true(many > 0.040 * SETS && many < 0.065 * SETS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grubbs_for_one),
        cmocka_unit_test(esd_sees_two_alike),
        cmocka_unit_test(esd_refuses),
        cmocka_unit_test(false_alarms_are_as_stated),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
