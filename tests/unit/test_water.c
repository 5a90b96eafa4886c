#include "water.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void densest_at_four_degrees(void **state)
{
    (void)state;
    double (*const equations[])(double) = {water_density, water_density_icumsa};
    for (size_t e = 0; e < 2; e++)
        for (int i = 0; i < 400; i++) {
            double celsius = i / 10.0, step = equations[e](celsius + 0.1) - equations[e](celsius);
            if (!(celsius < 3.9 ? step > 0 : celsius > 4.0 ? step < 0 : fabs(step) < 1e-3))
                fail_msg("equation %zu at %g C: a step of %g", e, celsius, step);
        }
}

static void nothing_outside_the_range(void **state)
{
    (void)state;
    static const double rows[] = {-0.001, 40.001, -273.15, 100, NAN, INFINITY, -INFINITY};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(water_density(rows[i])) || !isnan(water_density_icumsa(rows[i])))
            fail_msg("%g C", rows[i]);
    assert_true(water_density(0) > 999 && water_density(40) > 992);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(densest_at_four_degrees),
        cmocka_unit_test(nothing_outside_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
