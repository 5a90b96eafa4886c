#include "alcohol.h"
#include "refractometer.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double factor = REFRACTOMETER_WORT_FACTOR;

static void wort_is_divided_by_its_factor(void **state)
{
    (void)state;
    assert_true(fabs(refractometer_wort(12.48, 1.04) - 12) < 1e-12);
    assert_true(refractometer_wort(12, 1) == 12);
    assert_true(refractometer_wort(0, factor) == 0);
}

/* What the reading says of the beer must be what the beer makes the instrument say. */
static void there_and_back(void **state)
{
    (void)state;
    for (int o = 4; o <= 28; o++)
        for (int i = 0; i <= 20; i++) {
            double original = o, apparent = original - i * (original + 1) / 20;
            double real = alcohol_real_extract(original, apparent);
            double by_mass = alcohol_by_mass(original, real);
            double brix = factor * (real + REFRACTOMETER_ALCOHOL_SHARE * by_mass);
            double back = refractometer_beer(brix, factor, original);
            if (!(fabs(back - apparent) < 1e-9))
                fail_msg("%g of %g P: %.12g", apparent, original, back);
        }
}

static void no_step_at_the_original(void **state)
{
    (void)state;
    double below = refractometer_beer(factor * (12 - 1e-9), factor, 12);
    double above = refractometer_beer(factor * (12 + 1e-9), factor, 12);
    assert_true(fabs(below - 12) < 1e-8);
    assert_true(fabs(above - 12) < 1e-8);
}

static void nothing_outside_the_range(void **state)
{
    (void)state;
    const struct {
        const char *title;
        double value;
    } rows[] = {
        {"below 0", refractometer_wort(-0.1, factor)},
        {"above 40", refractometer_wort(40.1, factor)},
        {"a factor of 0", refractometer_wort(12, 0)},
        {"a factor in percent", refractometer_wort(12, 104)},
        {"not a number", refractometer_wort(NAN, factor)},
        {"no original", refractometer_beer(6, factor, 0)},
        {"original too high", refractometer_beer(6, factor, 31)},
        {"less than any beer reads", refractometer_beer(1, factor, 25)},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(rows[i].value))
            fail_msg("%s: %g", rows[i].title, rows[i].value);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wort_is_divided_by_its_factor),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(no_step_at_the_original),
        cmocka_unit_test(nothing_outside_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
