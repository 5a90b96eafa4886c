#include "volumes.h"

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

static void how_full(void **state)
{
    (void)state;
    near("fill", volumes_fill_percent(58, 60), 96.6667, 1e-4);
    near("over full", volumes_fill_percent(63, 60), 105, 1e-9);
    near("head space", volumes_headspace(54, 60), 0.1, 1e-12);
    near("empty", volumes_headspace(0, 60), 1, 0);
    assert_true(isnan(volumes_headspace(61, 60)));
    assert_true(isnan(volumes_fill_percent(58, 0)));
    assert_true(isnan(volumes_fill_percent(-1, 60)));
    assert_true(isnan(volumes_fill_percent(INFINITY, 60)));
}

static void beer_shrinks_as_it_cools(void **state)
{
    (void)state;
    double cold = volumes_at(100, 2.5, 20, 1);
    assert_true(cold > 99.7 && cold < 99.9);
    near("back", volumes_at(cold, 2.5, 1, 20), 100, 1e-9);
    near("by way of 10 C", volumes_at(volumes_at(100, 2.5, 20, 10), 2.5, 10, 1), cold, 1e-9);
    near("stays", volumes_at(100, 2.5, 7, 7), 100, 1e-12);
    near("below 0 as at 0", volumes_at(100, 2.5, 20, -2), volumes_at(100, 2.5, 20, 0), 0);
    assert_true(isnan(volumes_at(100, 2.5, 41, 20)));
    assert_true(isnan(volumes_at(100, 2.5, 20, -3.1)));
    assert_true(isnan(volumes_at(100, 41, 20, 4)));
    assert_true(isnan(volumes_at(-1, 2.5, 20, 4)));
}

static void what_is_lost(void **state)
{
    (void)state;
    near("hL", volumes_loss(58, 55.1), 2.9, 1e-12);
    near("%", volumes_loss_percent(58, 55.1), 5, 1e-9);
    near("more than before", volumes_loss(55, 58), -3, 1e-12);
    assert_true(isnan(volumes_loss_percent(0, 0)));
    assert_true(isnan(volumes_loss(58, -1)));
}

static void brews_mix_by_extract(void **state)
{
    (void)state;
    const double hl[] = {29, 29}, plato[] = {12.0, 12.4};
    double mixed = volumes_mixed_plato(hl, plato, 2);
    assert_true(mixed > 12.2 && mixed < 12.202); /* the heavier brew counts a little more */
    const double water[] = {50, 50}, weak[] = {0, 20};
    near("half water", volumes_mixed_plato(water, weak, 2), 10.4, 0.05);
    near("one", volumes_mixed_plato(hl, plato, 1), 12, 1e-12);
    assert_true(isnan(volumes_mixed_plato(hl, plato, 0)));
    const double none[] = {0, -1};
    assert_true(isnan(volumes_mixed_plato(none, plato, 1)));
    assert_true(isnan(volumes_mixed_plato(none, plato, 2)));
}

static void extract_is_weighed(void **state)
{
    (void)state;
    /* 100 L of 12 P at 1046.5 kg/m3 (CRC Handbook) hold 12 % of 104.65 kg */
    near("kg", volumes_extract_kg(1, 12), 12.558, 0.001);
    double stronger = volumes_plato_with(10, 12, 40);
    near("40 kg in 10 hL", stronger, 100 * (125.58 + 40) / (1046.5 + 40), 0.001);
    near("none", volumes_plato_with(10, 12, 0), 12, 1e-12);
    assert_true(isnan(volumes_plato_with(10, 12, -1)));
    assert_true(isnan(volumes_plato_with(0, 12, 1)));
    assert_true(isnan(volumes_plato_with(10, 12, 1000)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(how_full),           cmocka_unit_test(beer_shrinks_as_it_cools),
        cmocka_unit_test(what_is_lost),       cmocka_unit_test(brews_mix_by_extract),
        cmocka_unit_test(extract_is_weighed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
