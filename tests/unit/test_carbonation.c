/* Properties of the arithmetic of carbon dioxide; charts and tables are in tests/reference. */
#include "alcohol.h"
#include "carbonation.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double sea = CARBONATION_SEA_LEVEL;

static void near(const char *title, double value, double expected, double tolerance)
{
    if (!(fabs(value - expected) <= tolerance))
        fail_msg("%s: %.10g, not %.10g", title, value, expected);
}

static void volumes_and_grams(void **state)
{
    (void)state;
    near("1 vol", carbonation_g_per_litre(1), 1.9770, 0.00005);
    near("back", carbonation_vol(carbonation_g_per_litre(2.5)), 2.5, 1e-12);
    near("none", carbonation_vol(0), 0, 0);
}

static void pressure_and_back(void **state)
{
    (void)state;
    static const double atmospheres[] = {0.75, 0.95, 1.01325};
    for (size_t a = 0; a < sizeof atmospheres / sizeof *atmospheres; a++)
        for (int celsius = -2; celsius <= 30; celsius++)
            for (int i = -7; i <= 80; i++) {
                double bar = i / 10.0, atmosphere = atmospheres[a];
                double beer = carbonation_beer(celsius, bar, atmosphere);
                near("beer", carbonation_beer_pressure(celsius, beer, atmosphere), bar, 1e-9);
            }
}

static void cold_and_pressure_hold_more(void **state)
{
    (void)state;
    double (*const laws[])(double, double, double) = {carbonation_beer, carbonation_water};
    for (size_t k = 0; k < 2; k++)
        for (int i = 0; i < 300; i++) {
            double celsius = i / 10.0;
            if (!(laws[k](celsius + 0.1, 1, sea) < laws[k](celsius, 1, sea)))
                fail_msg("law %zu at %g C", k, celsius);
            if (!(laws[k](celsius, 1.01, sea) > laws[k](celsius, 1, sea)))
                fail_msg("law %zu at %g C, pressure", k, celsius);
        }
}

/* Beyond the chart only water can speak for beer: extract and alcohol take a few percent. */
static void beer_holds_a_little_less_than_water(void **state)
{
    (void)state;
    for (int celsius = 0; celsius <= 30; celsius++) {
        double share = carbonation_beer(celsius, 0, sea) / carbonation_water(celsius, 0, sea);
        if (!(share > 0.92 && share < 0.97))
            fail_msg("at %d C: %g of water's", celsius, share);
    }
}

/* ISO 2533 gives 0.89875 bar at 1000 m and 0.79495 at 2000 m (from memory). */
static void the_atmosphere_thins(void **state)
{
    (void)state;
    near("sea", carbonation_atmosphere(0), 1.01325, 0);
    near("1000 m", carbonation_atmosphere(1000), 0.89875, 0.00002);
    near("2000 m", carbonation_atmosphere(2000), 0.79495, 0.00002);
    assert_true(carbonation_atmosphere(-400) > 1.06);
    assert_true(isnan(carbonation_atmosphere(5001)));
    assert_true(isnan(carbonation_atmosphere(-501)));
    /* the same gauge holds less beer gas up the hill */
    assert_true(carbonation_beer(4, 0.8, carbonation_atmosphere(1500)) <
                carbonation_beer(4, 0.8, sea));
}

static void gas_from_extract(void **state)
{
    (void)state;
    double whole = carbonation_from_extract(12, 12, 2.5);
    /* 100 g of wort with e g fermented; a litre of 12 P weighs 1046.5 g */
    double real = alcohol_real_extract(12, 2.5);
    double fermented = (12 - real) / (1 - 0.0051609 * real);
    near("a whole beer", whole, 0.46286 * fermented / 100 * 1046.5, 0.02);
    near("nothing left", carbonation_from_extract(12, 2.5, 2.5), 0, 1e-12);
    near("below the limit", carbonation_from_extract(12, 2.3, 2.5), 0, 0);
    double one = carbonation_vol(carbonation_from_extract(12, 3.5, 2.5));
    assert_true(one > 1.9 && one < 2.1);
    assert_true(isnan(carbonation_from_extract(0, 3, 2)));
    assert_true(isnan(carbonation_from_extract(12, 12.5, 2)));
    assert_true(isnan(carbonation_from_extract(12, NAN, 2)));
}

static void priming_fills_the_gap(void **state)
{
    (void)state;
    const struct carbonation_sugar *sucrose = carbonation_sugar_named("sucrose");
    assert_non_null(sucrose);
    double grams = carbonation_priming(1.7, 5.0, sucrose);
    near("gap", 1.7 + grams * sucrose->g_co2, 5.0, 1e-12);
    /* common practice, no source: about 4 g of sugar a litre for a volume */
    double per_vol = carbonation_priming(0, carbonation_g_per_litre(1), sucrose);
    assert_true(per_vol > 3.8 && per_vol < 4.4);
    near("none needed", carbonation_priming(5, 5, sucrose), 0, 0);
    assert_true(isnan(carbonation_priming(5.1, 5, sucrose)));
    assert_true(carbonation_sugar_named("glucose")->g_co2 < sucrose->g_co2);
    assert_null(carbonation_sugar_named("honey"));

    double wort = carbonation_from_extract(12, 12, 2.5),
           litres = carbonation_priming_wort(2, 5, wort);
    near("mixed", (2 + litres * wort) / (1 + litres), 5, 1e-12);
    assert_true(isnan(carbonation_priming_wort(2, 5, 4)));
}

static const struct carbonation_tank fermenter = {
    .original_plato = 12,
    .now_plato = 3.2,
    .end_plato = 2.5,
    .celsius = 12,
    .headspace = 0.1,
    .bar_gauge = 0.2,
    .bar_atmosphere = CARBONATION_SEA_LEVEL,
};

/* What the beer and the head space hold at the end is what they held and what was made. */
static void a_closed_tank_loses_nothing(void **state)
{
    (void)state;
    double end = carbonation_closed_pressure(&fermenter);
    double beer = carbonation_beer(12, end, sea) - carbonation_beer(12, 0.2, sea);
    double gas = (end - 0.2) * 1e5 * (0.1 / 0.9) / (8.314463 * 285.15) / 1000 * 44.0095;
    near("balance", beer + gas, carbonation_from_extract(12, 3.2, 2.5), 1e-5);
}

static void a_closed_tank_at_its_limits(void **state)
{
    (void)state;
    struct carbonation_tank tank = fermenter;
    tank.now_plato = 2.5;
    near("nothing left", carbonation_closed_pressure(&tank), 0.2, 1e-12);
    tank.now_plato = 12;
    assert_true(carbonation_closed_pressure(&tank) == INFINITY);
    tank = fermenter;
    tank.headspace = 0;
    double full = carbonation_closed_pressure(&tank);
    assert_true(full > carbonation_closed_pressure(&fermenter));
    tank.headspace = 1;
    assert_true(isnan(carbonation_closed_pressure(&tank)));
    tank = fermenter;
    tank.celsius = 31;
    assert_true(isnan(carbonation_closed_pressure(&tank)));
    tank = fermenter;
    tank.bar_gauge = -2;
    assert_true(isnan(carbonation_closed_pressure(&tank)));
    tank = fermenter;
    tank.end_plato = NAN;
    assert_true(isnan(carbonation_closed_pressure(&tank)));
}

static void when_to_close(void **state)
{
    (void)state;
    struct carbonation_tank tank = fermenter;
    for (int i = 3; i <= 30; i++) {
        tank.now_plato = carbonation_closing_plato(&fermenter, i / 10.0);
        near("closed then", carbonation_closed_pressure(&tank), i / 10.0, 1e-9);
    }
    assert_true(isnan(carbonation_closing_plato(&fermenter, 0.1))); /* it is there already */
    tank = fermenter;
    tank.original_plato = 3;
    assert_true(isnan(carbonation_closing_plato(&tank, 3))); /* there is not so much in it */
}

static void nothing_outside_the_range(void **state)
{
    (void)state;
    const struct {
        const char *title;
        double value;
    } rows[] = {
        {"beer too cold", carbonation_beer(-2.1, 1, sea)},
        {"beer too warm", carbonation_beer(30.1, 1, sea)},
        {"less than a vacuum", carbonation_beer(4, -1.1, sea)},
        {"above 10 bar", carbonation_beer(4, 9.1, sea)},
        {"psi taken for bar", carbonation_beer(4, 12, sea)},
        {"not a number", carbonation_beer(NAN, 1, sea)},
        {"infinite", carbonation_beer(4, INFINITY, sea)},
        {"water frozen", carbonation_water(-0.1, 1, sea)},
        {"water too warm", carbonation_water(40.1, 1, sea)},
        {"more than 10 bar hold", carbonation_beer_pressure(4, 100, sea)},
        {"negative content", carbonation_beer_pressure(4, -1, sea)},
        {"negative volumes", carbonation_g_per_litre(-1)},
        {"infinite volumes", carbonation_vol(INFINITY)},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!isnan(rows[i].value))
            fail_msg("%s: %g", rows[i].title, rows[i].value);
    near("flat beer", carbonation_beer_pressure(4, 0, sea), -sea, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(volumes_and_grams),
        cmocka_unit_test(pressure_and_back),
        cmocka_unit_test(cold_and_pressure_hold_more),
        cmocka_unit_test(beer_holds_a_little_less_than_water),
        cmocka_unit_test(the_atmosphere_thins),
        cmocka_unit_test(gas_from_extract),
        cmocka_unit_test(priming_fills_the_gap),
        cmocka_unit_test(a_closed_tank_loses_nothing),
        cmocka_unit_test(a_closed_tank_at_its_limits),
        cmocka_unit_test(when_to_close),
        cmocka_unit_test(nothing_outside_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
