/* Properties of the scales; the published figures are in tests/reference. */
#include "extract.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double lowest = EXTRACT_LOWEST_PLATO, highest = EXTRACT_HIGHEST_PLATO;

/* Fails unless `back` is `plato` again. */
static void same(const char *title, double plato, double back)
{
    if (!(fabs(back - plato) <= 1e-11))
        fail_msg("%s: %.15g became %.15g", title, plato, back);
}

static void there_and_back(void **state)
{
    (void)state;
    for (int i = -4000; i <= 40000; i += 7) {
        double plato = i / 1000.0;
        same("SG", plato, extract_plato_from_sg(extract_sg_from_plato(plato)));
        same("density", plato, extract_plato_from_density(extract_density_from_plato(plato)));
        same("SG 60/60", plato,
             extract_plato_from_sg_at(extract_sg_at(plato, EXTRACT_60F), EXTRACT_60F));
    }
    for (int i = 9850; i < 11780; i++) {
        double sg = i / 10000.0;
        if (!(fabs(extract_sg_from_plato(extract_plato_from_sg(sg)) - sg) < 1e-14))
            fail_msg("%.4f SG", sg);
    }
}

static void there_and_back_at_any_temperature(void **state)
{
    (void)state;
    for (int celsius = 0; celsius <= 40; celsius++) {
        for (int i = -40; i <= 400; i++) {
            double plato = i / 10.0;
            double density = extract_density_at(plato, celsius);
            same("density", plato, extract_plato_from_density_at(density, celsius));
        }
        for (int i = 0; i <= 350; i++) {
            double plato = i / 10.0;
            double read = extract_hydrometer_reading(plato, celsius, EXTRACT_60F);
            same("hydrometer", plato, extract_hydrometer(read, celsius, EXTRACT_60F));
        }
    }
}

static void water_is_exactly_nothing(void **state)
{
    (void)state;
    assert_true(extract_sg_from_plato(0) == 1.0);
    assert_true(extract_plato_from_sg(1) == 0.0);
    assert_true(extract_plato_from_density(extract_density_from_plato(0)) == 0.0);
    assert_true(extract_sg_at(0, 7) == 1.0);
}

/* Rising, and bending only slowly: a step or a kink between two pieces would show. */
static void smooth_and_rising(void **state)
{
    (void)state;
    const double h = 0.01;
    for (int i = -398; i <= 3998; i++) {
        double plato = i / 100.0;
        double before = extract_sg_from_plato(plato - h), at = extract_sg_from_plato(plato);
        double after = extract_sg_from_plato(plato + h);
        double slope = (after - before) / (2 * h), bend = (after - 2 * at + before) / (h * h);
        if (!(slope > 0.0037 && slope < 0.0052))
            fail_msg("slope at %g P: %g", plato, slope);
        if (!(bend > 2.0e-5 && bend < 4.0e-5))
            fail_msg("bend at %g P: %g", plato, bend);
    }
}

static void nothing_outside_the_range(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        double (*scale)(double);
        double value;
    } rows[] = {
        {"Plato too low", extract_sg_from_plato, -4.001},
        {"Plato too high", extract_sg_from_plato, 40.001},
        {"not a number", extract_sg_from_plato, NAN},
        {"infinite", extract_sg_from_plato, INFINITY},
        {"SG too low", extract_plato_from_sg, 0.984},
        {"SG too high", extract_plato_from_sg, 1.18},
        {"SG as points", extract_plato_from_sg, 1048},
        {"SG of nothing", extract_plato_from_sg, 0},
        {"SG infinite", extract_plato_from_sg, -INFINITY},
        {"density too low", extract_plato_from_density, 980},
        {"density in g/mL", extract_plato_from_density, 1.048},
        {"density too high", extract_plato_from_density, 1200},
        {"density infinite", extract_plato_from_density, INFINITY},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(rows[i].scale(rows[i].value)))
            fail_msg("%s: %g", rows[i].title, rows[i].scale(rows[i].value));

    assert_true(isnan(extract_density_at(12, -0.1)));
    assert_true(isnan(extract_density_at(12, 40.1)));
    assert_true(isnan(extract_density_at(12, NAN)));
    assert_true(isnan(extract_hydrometer(12, 41, 20)));
    assert_true(isnan(extract_hydrometer(12, 20, 68)));
    assert_true(isnan(extract_hydrometer(41, 20, 20)));
}

/* The ends belong to the range, also when they come back from another scale. */
static void the_ends_belong(void **state)
{
    (void)state;
    assert_true(extract_plato_from_sg(extract_sg_from_plato(lowest)) >= lowest);
    assert_true(extract_plato_from_sg(extract_sg_from_plato(highest)) <= highest);
    assert_true(extract_plato_from_density(extract_density_from_plato(highest)) <= highest);
    assert_true(extract_plato_from_density(extract_density_from_plato(lowest)) >= lowest);
}

static void a_hydrometer_at_its_own_temperature(void **state)
{
    (void)state;
    for (int plato = -3; plato <= 30; plato++) {
        same("20 C", plato, extract_hydrometer(plato, 20, EXTRACT_20C));
        same("60 F", plato, extract_hydrometer(plato, EXTRACT_60F, EXTRACT_60F));
    }
    /* warm beer is thin: the scale shows too little */
    assert_true(extract_hydrometer(12, 30, EXTRACT_20C) > 12.4);
    assert_true(extract_hydrometer(12, 10, EXTRACT_20C) < 11.7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(there_and_back_at_any_temperature),
        cmocka_unit_test(water_is_exactly_nothing),
        cmocka_unit_test(smooth_and_rising),
        cmocka_unit_test(nothing_outside_the_range),
        cmocka_unit_test(the_ends_belong),
        cmocka_unit_test(a_hydrometer_at_its_own_temperature),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
