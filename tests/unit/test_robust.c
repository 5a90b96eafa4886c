/* Centre and spread: small cases by hand, the coarse scale, and the small-sample factors by
 * simulation. */
#include "noise.h"
#include "robust.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { MOST = 64 };

static void near(const char *title, double got, double expected, double limit)
{
    if (!(fabs(got - expected) <= limit) && !(isnan(got) && isnan(expected)))
        fail_msg("%s: %.15g instead of %.15g", title, got, expected);
}

static const struct {
    const char *title;
    size_t n;
    double readings[10];
    double mean, sd, median, mad;
} centres[] = {
    {"none", 0, {0}, NAN, NAN, NAN, NAN},
    {"one", 1, {4.2}, 4.2, NAN, 4.2, 0},
    {"two", 2, {1, 3}, 2, 1.4142135623730951, 2, 1},
    {"three, not in order", 3, {9, 1, 2}, 4, 4.358898943540674, 2, 1},
    {"four", 4, {1, 2, 4, 100}, 26.75, 48.849257926809905, 3, 1.5},
    {"equal", 5, {2.5, 2.5, 2.5, 2.5, 2.5}, 2.5, 0, 2.5, 0},
    {"a NAN", 3, {1, NAN, 2}, NAN, NAN, NAN, NAN},
    {"an infinity", 3, {1, INFINITY, 2}, NAN, NAN, NAN, NAN},
};

static void centre_and_spread(void **state)
{
    (void)state;
    double work[MOST];
    for (size_t i = 0; i < COUNT(centres); i++) {
        const double *readings = centres[i].readings;
        size_t n = centres[i].n;
        near(centres[i].title, robust_mean(readings, n), centres[i].mean, 1e-14);
        near(centres[i].title, robust_sd(readings, n), centres[i].sd, 1e-13);
        near(centres[i].title, robust_median(readings, n, work), centres[i].median, 0);
        near(centres[i].title, robust_mad(readings, n, work), centres[i].mad, 0);
    }
}

static void sorting(void **state)
{
    (void)state;
    struct noise noise = {11};
    double values[MOST];
    for (size_t n = 0; n <= MOST; n++) {
        double sum = 0;
        for (size_t i = 0; i < n; i++) {
            values[i] = floor(20 * noise_even(&noise));
            sum += values[i];
        }
        robust_sort(values, n);
        for (size_t i = 0; i < n; i++) {
            sum -= values[i];
            if (i > 0 && values[i] < values[i - 1])
                fail_msg("%zu values: %g before %g", n, values[i - 1], values[i]);
        }
        assert_true(sum == 0);
    }
}

static void quantiles(void **state)
{
    (void)state;
    static const double sorted[] = {1, 2, 4, 8};
    static const struct {
        double p;
        enum robust_rank rank;
        double expected;
    } rows[] = {
        {0, ROBUST_R8, 1},       {1, ROBUST_R8, 8},
        {0.5, ROBUST_R6, 3},     {0.5, ROBUST_R7, 3},
        {0.5, ROBUST_R8, 3},     {0.25, ROBUST_R6, 1.25},
        {0.25, ROBUST_R7, 1.75}, {0.25, ROBUST_R8, 17.0 / 12},
        {0.75, ROBUST_R7, 5},    {1.5, ROBUST_R7, NAN},
        {NAN, ROBUST_R7, NAN},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        near("quantile", robust_quantile(sorted, 4, rows[i].p, rows[i].rank), rows[i].expected,
             1e-14);
    near("of one", robust_quantile(sorted, 1, 0.9, ROBUST_R8), 1, 0);
    near("of none", robust_quantile(sorted, 0, 0.9, ROBUST_R8), NAN, 0);
}

/* The definition itself: every difference, sorted. */
static double qn_by_hand(const double *readings, size_t n, double factor)
{
    double differences[MOST * (MOST - 1) / 2];
    size_t count = 0, half = n / 2 + 1;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++)
            differences[count++] = fabs(readings[i] - readings[j]);
    }
    robust_sort(differences, count);
    return 2.2219 * factor * differences[half * (half - 1) / 2 - 1];
}

static void qn_is_the_kth_difference(void **state)
{
    (void)state;
    struct noise noise = {5};
    double readings[MOST], work[MOST];
    for (size_t n = 10; n <= MOST; n++) {
        double factor = n % 2 ? (double)n / ((double)n + 1.4) : (double)n / ((double)n + 3.8);
        for (int kind = 0; kind < 3; kind++) {
            for (size_t i = 0; i < n; i++) {
                double value = noise_normal(&noise);
                readings[i] = kind == 0 ? value : kind == 1 ? round(2 * value) : exp(8 * value);
            }
            double expected = qn_by_hand(readings, n, factor);
            near("Qn", robust_qn(readings, n, work), expected, 1e-12 * expected);
        }
    }
    near("of one", robust_qn(readings, 1, work), NAN, 0);
}

/* On average both spreads of normal readings must be the standard deviation: this is what the
 * factors are for. 60000 samples know the mean to about 0.3 %. */
static void small_samples_are_right_on_average(void **state)
{
    (void)state;
    struct noise noise = {2026};
    enum { SAMPLES = 60000 };
    double worst_mad = 0, worst_qn = 0;
    for (size_t n = 2; n <= 12; n++) {
        double mad = 0, qn = 0;
        for (int sample = 0; sample < SAMPLES; sample++) {
            double readings[12], work[12];
            for (size_t i = 0; i < n; i++)
                readings[i] = noise_normal(&noise);
            mad += robust_mad_sd(readings, n, work) / SAMPLES;
            qn += robust_qn(readings, n, work) / SAMPLES;
        }
        worst_mad = fmax(worst_mad, fabs(mad - 1));
        worst_qn = fmax(worst_qn, fabs(qn - 1));
        if (fabs(mad - 1) > 0.02 || fabs(qn - 1) > 0.02)
            fail_msg("n = %zu: MAD %.4f, Qn %.4f", n, mad, qn);
    }
    print_message(
        "note: spread of 2..12 normal readings: bias of MAD at most %.1f %%, of Qn %.1f %%\n",
        100 * worst_mad, 100 * worst_qn);
}

static const struct {
    const char *title;
    size_t n;
    double readings[10];
    double step;
    size_t marked; /* how many exceed the limit */
} coarse[] = {
    {"one far away, MAD 0, step known", 10, {10, 10, 10, 10, 10, 10, 10, 10, 10, 100}, 0.1, 1},
    {"one far away, MAD 0, step unknown", 10, {10, 10, 10, 10, 10, 10, 10, 10, 10, 100}, 0, 1},
    {"one a step away", 10, {2.4, 2.4, 2.4, 2.4, 2.5, 2.4, 2.4, 2.4, 2.4, 2.4}, 0.1, 0},
    {"one two steps away", 10, {2.4, 2.4, 2.4, 2.4, 2.6, 2.4, 2.4, 2.4, 2.4, 2.4}, 0.1, 1},
    {"all equal, step known", 5, {7, 7, 7, 7, 7}, 0.1, 0},
    {"all equal, step unknown", 5, {7, 7, 7, 7, 7}, 0, 0},
    {"one reading", 1, {7}, 0, 0},
    {"ordinary", 6, {4.1, 4.2, 4.3, 4.2, 4.1, 5.6}, 0.01, 1},
};

static void modified_z_minds_the_scale(void **state)
{
    (void)state;
    double z[MOST], work[MOST];
    for (size_t i = 0; i < COUNT(coarse); i++) {
        robust_modified_z(coarse[i].readings, coarse[i].n, coarse[i].step, z, work);
        size_t marked = 0;
        for (size_t j = 0; j < coarse[i].n; j++) {
            if (!isfinite(z[j]))
                fail_msg("%s: z is %g", coarse[i].title, z[j]);
            marked += fabs(z[j]) > ROBUST_MODIFIED_Z_LIMIT;
        }
        if (marked != coarse[i].marked)
            fail_msg("%s: %zu marked", coarse[i].title, marked);
    }
    static const double bad[] = {1, NAN, 2};
    robust_modified_z(bad, 3, 0.1, z, work);
    assert_true(isnan(z[0]) && isnan(z[1]) && isnan(z[2]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(centre_and_spread),
        cmocka_unit_test(sorting),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(qn_is_the_kth_difference),
        cmocka_unit_test(small_samples_are_right_on_average),
        cmocka_unit_test(modified_z_minds_the_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
