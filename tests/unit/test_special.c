/* Distribution functions: closed forms, symmetries, inverses, and what is refused. */
#include "special.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(const char *title, double got, double expected, double limit)
{
    if (!(fabs(got - expected) <= limit * fmax(1, fabs(expected))))
        fail_msg("%s: %.17g instead of %.17g", title, got, expected);
}

static void closed_forms(void **state)
{
    (void)state;
    const struct {
        const char *title;
        double got, expected;
    } rows[] = {
        {"normal at 0", special_normal_cdf(0), 0.5},
        {"I_x(1, 1) is x", special_beta_cdf(0.3, 1, 1), 0.3},
        {"I_x(1, b) is 1 - (1-x)^b", special_beta_cdf(0.3, 1, 7), 1 - pow(0.7, 7)},
        {"I_x(a, 1) is x^a", special_beta_cdf(0.3, 7, 1), pow(0.3, 7)},
        {"P(1, x) is 1 - exp(-x)", special_gamma_cdf(2.5, 1), 1 - exp(-2.5)},
        {"P(1/2, x) is erf sqrt x", special_gamma_cdf(0.8, 0.5), erf(sqrt(0.8))},
        {"chi2 with 2 degrees", special_chi2_quantile(0.95, 2), -2 * log(0.05)},
        {"t with 1 degree", special_t_cdf(1, 1), 0.75},
        {"t with 1 degree, far", special_t_quantile(1e-6, 1), -1 / tan(1e-6 * acos(-1))},
        {"t with 2 degrees", special_t_quantile(0.9, 2), 0.8 / sqrt(2 * 0.9 * 0.1)},
        {"t without end is normal", special_t_quantile(0.975, INFINITY), 1.959963984540054},
        {"t median", special_t_quantile(0.5, 7), 0},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        near(rows[i].title, rows[i].got, rows[i].expected, 1e-12);
}

static void quantiles_invert(void **state)
{
    (void)state;
    static const double p[] = {1e-9, 0.001, 0.1, 0.4999, 0.5, 0.75, 0.975, 0.999999};
    static const double dof[] = {0.7, 1, 3, 10, 57.5, 400};
    for (size_t i = 0; i < COUNT(p); i++) {
        near("normal", special_normal_cdf(special_normal_quantile(p[i])), p[i], 1e-15);
        for (size_t j = 0; j < COUNT(dof); j++) {
            near("t", special_t_cdf(special_t_quantile(p[i], dof[j]), dof[j]), p[i], 1e-13);
            near("chi2", special_chi2_cdf(special_chi2_quantile(p[i], dof[j]), dof[j]), p[i],
                 1e-13);
        }
    }
}

static void ends(void **state)
{
    (void)state;
    assert_true(special_normal_quantile(0) == -INFINITY && special_normal_quantile(1) == INFINITY);
    assert_true(special_t_quantile(0, 4) == -INFINITY && special_t_quantile(1, 4) == INFINITY);
    assert_true(special_chi2_quantile(0, 4) == 0 && special_chi2_quantile(1, 4) == INFINITY);
    assert_true(special_beta_cdf(0, 2, 3) == 0 && special_beta_cdf(1, 2, 3) == 1);
    assert_true(special_t_cdf(-INFINITY, 4) == 0 && special_t_cdf(INFINITY, 4) == 1);
    assert_true(special_chi2_cdf(-1, 4) == 0 && special_chi2_cdf(INFINITY, 4) == 1);
}

static void refused(void **state)
{
    (void)state;
    const double rows[] = {
        special_normal_quantile(-0.1),
        special_normal_quantile(NAN),
        special_beta_cdf(1.1, 2, 3),
        special_beta_cdf(0.5, 0, 3),
        special_beta_cdf(0.5, 2, INFINITY),
        special_gamma_cdf(-1, 2),
        special_gamma_cdf(1, 0),
        special_chi2_quantile(0.5, 0),
        special_chi2_cdf(NAN, 1),
        special_t_cdf(0, 0),
        special_t_cdf(NAN, 3),
        special_t_quantile(1.5, 3),
        special_t_quantile(0.5, NAN),
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (!isnan(rows[i]))
            fail_msg("row %zu gives %g", i, rows[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed_forms),
        cmocka_unit_test(quantiles_invert),
        cmocka_unit_test(ends),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
