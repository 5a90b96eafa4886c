/* Examples and properties; measured beers are in tests/reference. */
#include "alcohol.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void near(const char *title, double value, double expected, double tolerance)
{
    if (!(fabs(value - expected) <= tolerance))
        fail_msg("%s: %.10g, not %.10g", title, value, expected);
}

/* Worked by hand with Balling's coefficients; not published. */
static void a_beer_of_12_and_2_5(void **state)
{
    (void)state;
    double real = alcohol_real_extract(12, 2.5), mass = alcohol_by_mass(12, real);
    near("real extract", real, 4.218, 0.0005);
    near("alcohol by mass", mass, 4.015, 0.0005);
    near("alcohol by volume", alcohol_by_volume(mass, 2.5), 5.127, 0.001);
    near("in one step", alcohol_from_gravity(12, 2.5), 5.127, 0.001);
    near("apparent fermentation", alcohol_apparent_fermentation(12, 2.5), 79.17, 0.005);
    near("real fermentation", alcohol_real_fermentation(12, real), 66.30, 0.005);
    near("energy", alcohol_kcal_355ml(mass, real, 2.5), 158.3, 0.05);
    near("energy in 100 mL", alcohol_kcal_100ml(mass, real, 2.5), 44.59, 0.02);
}

static void there_and_back(void **state)
{
    (void)state;
    for (int o = 1; o <= 60; o++)
        for (int a = -6; a <= o; a++) {
            double original = o / 2.0, apparent = a / 2.0;
            double real = alcohol_real_extract(original, apparent);
            double mass = alcohol_by_mass(original, real);
            near("original", alcohol_original(mass, real), original, 1e-9);
            near("from apparent", alcohol_original_from_apparent(mass, apparent), original, 1e-9);
            double volume = alcohol_by_volume(mass, apparent);
            near("volume", alcohol_mass_from_volume(volume, apparent), mass, 1e-9);
        }
}

/* The balance itself: extract gone is alcohol, gas and yeast, and the rest of the wort is beer. */
static void the_balance_closes(void **state)
{
    (void)state;
    near("shares", ALCOHOL_CO2_MADE + ALCOHOL_YEAST_MADE + 1, ALCOHOL_EXTRACT_USED, 1e-12);
    for (int o = 2; o <= 30; o++) {
        double original = o, real = original * 0.35;
        double mass = alcohol_by_mass(original, real); /* of 100 g of beer */
        double lost = mass * (ALCOHOL_CO2_MADE + ALCOHOL_YEAST_MADE);
        double wort = 100 + lost; /* g of wort that became 100 g of beer */
        double extract = real + mass * ALCOHOL_EXTRACT_USED;
        near("wort's extract", 100 * extract / wort, original, 1e-9);
    }
}

static void more_fermented_is_more_alcohol(void **state)
{
    (void)state;
    for (int o = 4; o <= 30; o++) {
        double last = -1;
        for (int i = 0; i <= 100; i++) {
            double alcohol = alcohol_from_gravity(o, o - i * (o + 2) / 100.0);
            if (!(alcohol > last))
                fail_msg("original %d: %g after %g", o, alcohol, last);
            last = alcohol;
        }
    }
    near("none yet", alcohol_from_gravity(12, 12), 0, 1e-12);
}

static void nothing_outside_the_range(void **state)
{
    (void)state;
    const struct {
        const char *title;
        double value;
    } rows[] = {
        {"no original", alcohol_real_extract(0, 0)},
        {"original too high", alcohol_real_extract(30.1, 5)},
        {"gravity too low", alcohol_real_extract(12, -4.1)},
        {"gravity above the original", alcohol_from_gravity(12, 12.1)},
        {"real above the original", alcohol_by_mass(12, 12.5)},
        {"negative alcohol", alcohol_by_volume(-0.1, 2)},
        {"alcohol above 100 %", alcohol_by_volume(101, 2)},
        {"not a number", alcohol_from_gravity(NAN, 2)},
        {"infinite", alcohol_from_gravity(12, -INFINITY)},
        {"wort above 30 P", alcohol_original(20, 10)},
        {"ethanol below 0 %", alcohol_ethanol_density(-1)},
        {"ethanol above 100 %", alcohol_ethanol_density(100.1)},
        {"energy of nothing", alcohol_kcal_100ml(NAN, 4, 2)},
        {"fermentation of water", alcohol_apparent_fermentation(0, 0)},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(rows[i].value))
            fail_msg("%s: %g", rows[i].title, rows[i].value);
    /* a gravity just above the original is a figure of its own */
    near("above the original", alcohol_apparent_fermentation(12, 12.12), -1, 1e-9);
}

/* OIML R 22: pure ethanol 789.239 kg/m3, from the sum of the coefficients. */
static void ethanol_gets_lighter(void **state)
{
    (void)state;
    near("ethanol", alcohol_ethanol_density(100), 789.239, 0.001);
    for (int i = 0; i < 1000; i++)
        if (!(alcohol_ethanol_density((i + 1) / 10.0) < alcohol_ethanol_density(i / 10.0)))
            fail_msg("at %g %%", i / 10.0);
}

static void strengths_are_declared(void **state)
{
    (void)state;
    static const struct {
        const char *rule;
        double by_volume, declared;
    } rows[] = {
        {"nearest-0.1", 4.94, 4.9},    {"nearest-0.1", 4.95, 5.0},
        {"nearest-0.1", 4.05, 4.1},    {"nearest-0.1", 0.04, 0.0},
        {"nearest-0.1", 5.127, 5.1},   {"cut-0.1", 4.19, 4.1},
        {"cut-0.1", 4.1, 4.1},         {"cut-0.1", 0.3, 0.3},
        {"cut-0.1", 4.9999, 4.9},      {"nearest-0.01", 0.485, 0.49},
        {"nearest-0.01", 0.494, 0.49}, {"cut-0.01", 4.35, 4.35},
        {"cut-0.01", 0.499, 0.49},     {"cut-0.01", 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near(rows[i].rule, alcohol_declared(rows[i].by_volume, alcohol_rule_named(rows[i].rule)),
             rows[i].declared, 1e-12);
    assert_null(alcohol_rule_named("nearest"));
    assert_true(isnan(alcohol_declared(-0.1, &alcohol_rules[0])));
    assert_true(isnan(alcohol_declared(NAN, &alcohol_rules[0])));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_beer_of_12_and_2_5),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(the_balance_closes),
        cmocka_unit_test(more_fermented_is_more_alcohol),
        cmocka_unit_test(nothing_outside_the_range),
        cmocka_unit_test(ethanol_gets_lighter),
        cmocka_unit_test(strengths_are_declared),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
