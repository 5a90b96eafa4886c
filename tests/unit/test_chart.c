/* Control charts: edges that the published examples do not reach. */
#include "chart.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void individuals_edges(void **state)
{
    (void)state;
    static const double one[] = {4}, equal[] = {4, 4, 4}, bad[] = {4, NAN, 4};
    assert_true(isnan(chart_individuals(one, 1).centre));
    struct chart_individuals chart = chart_individuals(equal, 3);
    assert_true(chart.centre == 4 && chart.lower == 4 && chart.upper == 4);
    chart = chart_individuals(bad, 3);
    assert_true(isnan(chart.centre) && isnan(chart.upper) && isnan(chart.range_upper));
}

static void ewma_edges(void **state)
{
    (void)state;
    assert_true(chart_ewma_next(5, 7, 1) == 7);
    assert_true(isnan(chart_ewma_next(5, 7, 0)) && isnan(chart_ewma_next(5, 7, 1.1)));
    assert_true(isnan(chart_ewma_next(5, NAN, 0.3)));
    assert_true(isnan(chart_ewma_limit(-1, 0.3, 3, 0)) && isnan(chart_ewma_limit(1, 2, 3, 0)));
    /* One reading alone: lambda times its own limit. Many: the steady limit. */
    assert_true(fabs(chart_ewma_limit(1, 0.3, 3, 1) - 0.9) < 1e-12);
    assert_true(fabs(chart_ewma_limit(1, 0.3, 3, 500) - chart_ewma_limit(1, 0.3, 3, 0)) < 1e-12);
}

static void cusum_keeps_a_nan(void **state)
{
    (void)state;
    struct chart_cusum sums = chart_cusum_next((struct chart_cusum){1, 2}, NAN, 0, 0.5);
    assert_true(isnan(sums.high) && isnan(sums.low));
}

static const struct {
    const char *title;
    size_t n;
    double readings[6];
    long run;
} runs[] = {
    {"none", 0, {0}, 0},
    {"one above", 1, {6}, 1},
    {"last on the centre", 3, {6, 6, 5}, 0},
    {"three above", 4, {4, 6, 7, 6}, 3},
    {"all below", 3, {4, 3, 4}, -3},
    {"the centre ends a run", 4, {6, 5, 6, 6}, 2},
    {"a NAN is on no side", 3, {6, 6, NAN}, 0},
};

static void run_length(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(runs); i++) {
        long run = chart_run(runs[i].readings, runs[i].n, 5);
        if (run != runs[i].run)
            fail_msg("%s: %ld", runs[i].title, run);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(individuals_edges),
        cmocka_unit_test(ewma_edges),
        cmocka_unit_test(cusum_keeps_a_nan),
        cmocka_unit_test(run_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
