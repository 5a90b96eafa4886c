/* The outlier test: edges, masking, and how often it cries without cause. */
#include "noise.h"
#include "outlier.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

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

/* At alpha 0.05 about one healthy set in twenty is accused: 4000 sets say so within 0.7 %. With one
 * to look for it is Grubbs' test. */
static void false_alarms_are_as_stated(void **state)
{
    (void)state;
    enum { SETS = 4000, N = 25, MANY = 5 };
    struct noise noise = {77};
    int one = 0, many = 0;
    for (int set = 0; set < SETS; set++) {
        double readings[N];
        struct outlier_step steps[MANY];
        bool gone[N];
        for (size_t i = 0; i < N; i++)
            readings[i] = 2.5 + 0.1 * noise_normal(&noise);
        one += outlier_esd(readings, N, 1, 0.05, steps, gone) > 0;
        many += outlier_esd(readings, N, MANY, 0.05, steps, gone) > 0;
    }
    print_message(
        "note: outlier test at 5 %%: %.1f %% (one) and %.1f %% (up to five) of %d healthy "
        "sets\n",
        100.0 * one / SETS, 100.0 * many / SETS, SETS);
    assert_true(one > 0.040 * SETS && one < 0.060 * SETS);
    assert_true(many > 0.040 * SETS && many < 0.065 * SETS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(esd_sees_two_alike),
        cmocka_unit_test(esd_refuses),
        cmocka_unit_test(false_alarms_are_as_stated),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
