/* Tolerance factors, the rates that tests tell, steps of a scale: what they promise by simulation,
 * and the edges. */
#include "interval.h"
#include "noise.h"
#include "rate.h"
#include "robust.h"
#include "special.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* The share of sets whose interval holds the promised part of the whole. */
static void tolerance_holds_its_promise(void **state)
{
    (void)state;
    enum { SETS = 20000 };
    static const size_t sizes[] = {2, 3, 5, 10};
    struct noise noise = {31};
    for (size_t i = 0; i < COUNT(sizes); i++) {
        size_t n = sizes[i];
        double k = interval_tolerance(n, 0.9, 0.95);
        int held = 0;
        for (int set = 0; set < SETS; set++) {
            double readings[10];
            for (size_t j = 0; j < n; j++)
                readings[j] = noise_normal(&noise);
            double mean = robust_mean(readings, n), sd = robust_sd(readings, n);
            held += special_normal_cdf(mean + k * sd) - special_normal_cdf(mean - k * sd) >= 0.9;
        }
        if (fabs(held / (double)SETS - 0.95) > 0.006)
            fail_msg("n = %zu: %.4f instead of 0.95", n, held / (double)SETS);
    }
}

static void tolerance_refuses(void **state)
{
    (void)state;
    assert_true(isnan(interval_tolerance(1, 0.9, 0.95)));
    assert_true(isnan(interval_tolerance(10, 1, 0.95)));
    assert_true(isnan(interval_tolerance(10, 0.3, 0.95)));
    assert_true(isnan(interval_tolerance(10, NAN, 0.95)));
    assert_true(isnan(interval_tolerance(10, 0.9, 0)));
    assert_true(isnan(interval_tolerance(10, 0.9, 1)));
    assert_true(isnan(interval_tolerance(100001, 0.9, 0.95)));
    assert_true(isfinite(interval_tolerance(100000, 0.99, 0.99)));
}

static const struct {
    const char *title;
    size_t hits, n;
    double low, high;
} rates[] = {
    {"none of one", 0, 1, 0, 0.975},    {"one of one", 1, 1, 0.025, 1},
    {"none of 22", 0, 22, 0, 0.154373}, /* 1 - 0.025^(1/22) */
    {"no trials", 0, 0, NAN, NAN},      {"more hits than trials", 3, 2, NAN, NAN},
};

static void rate_of_few(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rates); i++) {
        struct rate got = rate_of(rates[i].hits, rates[i].n, 0.95);
        bool same = isnan(rates[i].low) ? isnan(got.low) && isnan(got.high)
                                        : fabs(got.low - rates[i].low) < 1e-6 &&
                                              fabs(got.high - rates[i].high) < 1e-6;
        if (!same)
            fail_msg("%s: %.6f .. %.6f", rates[i].title, got.low, got.high);
    }
    assert_true(isnan(rate_of(1, 2, 1).low));
}

static const struct {
    const char *title;
    double a, b, step;
    long steps;
} pairs[] = {
    {"one step, though 2.5 - 2.4 > 0.1", 2.5, 2.4, 0.1, 1},
    {"one step of SG", 1.012, 1.011, 0.001, 1},
    {"two steps", 2.6, 2.4, 0.1, 2},
    {"falling", 2.4, 2.6, 0.1, -2},
    {"equal", 2.4, 2.4, 0.1, 0},
    {"no step", 2.4, 2.4, 0, 0},
    {"a NAN", NAN, 2.4, 0.1, 0},
    {"beyond counting", 1e30, 0, 0.1, 0},
};

static void whole_steps(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++) {
        long steps = interval_steps(pairs[i].a, pairs[i].b, pairs[i].step);
        if (steps != pairs[i].steps)
            fail_msg("%s: %ld steps", pairs[i].title, steps);
    }
    assert_true(isnan(interval_step_sd(-1)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tolerance_holds_its_promise),
        cmocka_unit_test(tolerance_refuses),
        cmocka_unit_test(rate_of_few),
        cmocka_unit_test(whole_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
