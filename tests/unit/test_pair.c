/* The exponential and the logarithm of two numbers at once, against the C library's. */
#include "pair.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static double units_off(double got, double expected)
{
    double unit = nextafter(fabs(expected), INFINITY) - fabs(expected);
    return fabs(got - expected) / unit;
}

static void exponential(void **state)
{
    (void)state;
    double worst = 0;
    for (double x = -699.9; x < 700; x += 0.00731) {
        pair both = pair_exp((pair){x, -x});
        worst = fmax(worst, fmax(units_off(both[0], exp(x)), units_off(both[1], exp(-x))));
    }
    print_message("note: exponential of pairs: at most %.2f units of the last digit off\n", worst);
    assert_true(worst <= 3);
    static const double edges[][2] = {{0, 1},         {-0.0, 1},   {-701, 0},
                                      {-INFINITY, 0}, {1e-300, 1}, {-1e-300, 1}};
    for (size_t i = 0; i < sizeof edges / sizeof *edges; i++) {
        double got = pair_exp(pair_of(edges[i][0]))[1];
        if (!(fabs(got - edges[i][1]) < 1e-300))
            fail_msg("exp(%g) is %g", edges[i][0], got);
    }
    assert_true(pair_exp(pair_of(INFINITY))[0] == pair_exp(pair_of(700))[1]);
    assert_true(isnan(pair_exp((pair){0, NAN})[1]) && pair_exp((pair){0, NAN})[0] == 1);
}

static void logarithm(void **state)
{
    (void)state;
    double worst = 0;
    for (double x = 1e-307; x < 1e307; x *= 1.00137) {
        pair both = pair_log((pair){x, 1 / x});
        worst = fmax(worst, fmax(units_off(both[0], log(x)), units_off(both[1], log(1 / x))));
    }
    for (double x = 0.5; x < 2; x += 0.0000317) {
        pair both = pair_log((pair){x, 1 + 0x1p-40 * x});
        worst =
            fmax(worst, fmax(units_off(both[0], log(x)), units_off(both[1], log(1 + 0x1p-40 * x))));
    }
    print_message("note: logarithm of pairs: at most %.2f units of the last digit off\n", worst);
    assert_true(worst <= 3);
    assert_true(pair_log(pair_of(1))[0] == 0 && pair_log(pair_of(1))[1] == 0);
}

static void choice_and_sum(void **state)
{
    (void)state;
    pair a = {1, -2}, b = {-3, 4};
    pair more = pair_choose(a > b, a, b), size = pair_abs(b);
    assert_true(more[0] == 1 && more[1] == 4 && size[0] == 3 && size[1] == 4);
    assert_true(pair_sum(b) == 1);
    double three[] = {1, 2, 3};
    pair_store(three, pair_load(three + 1));
    assert_true(three[0] == 2 && three[1] == 3 && three[2] == 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exponential),
        cmocka_unit_test(logarithm),
        cmocka_unit_test(choice_and_sum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
