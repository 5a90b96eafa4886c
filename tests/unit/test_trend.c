/* Trends: Mann-Kendall with ties counted against every order, edges, and coverage of the slope. */
#include "noise.h"
#include "trend.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { MOST = 40 };

static long s_of(const double *y, size_t n)
{
    long s = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++)
            s += (y[j] > y[i]) - (y[j] < y[i]);
    }
    return s;
}

/* Goes through every order of y[0..k-1] (Heap 1963) and counts those with s at least `least`. */
struct orders {
    double all, tail;
};

static void count_orders(double *y, size_t n, size_t k, long least, struct orders *orders)
{
    if (k == 1) {
        orders->all++;
        orders->tail += s_of(y, n) >= least;
        return;
    }
    for (size_t i = 0; i < k; i++) {
        count_orders(y, n, k - 1, least, orders);
        size_t other = k % 2 ? 0 : i;
        double swap = y[other];
        y[other] = y[k - 1];
        y[k - 1] = swap;
    }
}

static const struct {
    const char *title;
    size_t n;
    double y[8];
} courses[] = {
    {"two", 2, {1, 2}},
    {"two equal", 2, {1, 1}},
    {"no ties", 5, {3, 1, 4, 2, 5}},
    {"gravity in steps of 0.1", 7, {2.6, 2.6, 2.5, 2.5, 2.5, 2.4, 2.4}},
    {"flat but for one", 6, {2.5, 2.5, 2.4, 2.5, 2.5, 2.5}},
    {"pairs", 8, {1, 1, 2, 2, 3, 3, 4, 4}},
    {"no trend", 4, {1, 2, 2, 1}},
    {"all equal", 5, {2.4, 2.4, 2.4, 2.4, 2.4}},
};

static void exact_with_ties(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(courses); i++) {
        double y[8], work[8];
        size_t n = courses[i].n;
        for (size_t j = 0; j < n; j++)
            y[j] = courses[i].y[j];
        struct trend_kendall test;
        assert_true(trend_kendall(y, n, work, &test));
        struct orders orders = {0, 0};
        long s = s_of(y, n);
        count_orders(y, n, n, s < 0 ? -s : s, &orders);
        if (test.s != s || fabs(test.p - orders.tail / orders.all) > 1e-14)
            fail_msg("%s: s %ld, p %.15f; counted %ld, %.15f", courses[i].title, test.s, test.p, s,
                     orders.tail / orders.all);
    }
}

/* At the largest n that is counted the normal approximation must be close to the count. */
static void exact_meets_normal(void **state)
{
    (void)state;
    double y[TREND_EXACT_TO + 1], work[TREND_EXACT_TO + 1];
    for (size_t i = 0; i < COUNT(y); i++)
        y[i] = (double)((i * 7) % COUNT(y)) + 0.6 * (double)i;
    struct trend_kendall exact, normal;
    assert_true(trend_kendall(y, TREND_EXACT_TO, work, &exact));
    assert_true(fabs(exact.p - 0.5 * erfc(fabs(exact.z) / sqrt(2))) < 0.005);
    assert_true(trend_kendall(y, TREND_EXACT_TO + 1, work, &normal));
    assert_true(normal.p == 0.5 * erfc(fabs(normal.z) / sqrt(2)));
    for (size_t i = 0; i < COUNT(y); i++)
        y[i] = 3;
    assert_true(trend_kendall(y, TREND_EXACT_TO + 1, work, &normal));
    assert_true(normal.s == 0 && normal.z == 0 && normal.p == 1);
}

static void kendall_refuses(void **state)
{
    (void)state;
    static const double y[] = {1, NAN, 2};
    double work[3];
    struct trend_kendall test;
    assert_false(trend_kendall(y, 3, work, &test));
    assert_false(trend_kendall(y, 1, work, &test));
    assert_false(trend_kendall(y, 0, work, &test));
}

static void sen_edges(void **state)
{
    (void)state;
    static const double t[] = {0, 24, 48, 72}, y[] = {2.6, 2.5, 2.4, 9.9}, same[] = {5, 5, 5, 5};
    double work[4 * 3 / 2 + 4];
    struct trend_sen sen;
    assert_true(trend_sen(t, y, 3, 0.9, work, &sen));
    assert_true(fabs(sen.slope + 0.1 / 24) < 1e-12 && fabs(sen.intercept - 2.6) < 1e-12);
    assert_true(sen.low <= sen.slope && sen.slope <= sen.high);
    assert_false(trend_sen(same, y, 4, 0.9, work, &sen));
    assert_false(trend_sen(t, y, 1, 0.9, work, &sen));
    assert_false(trend_sen(t, y, 4, 1, work, &sen));
    static const double bad[] = {1, 2, INFINITY, 3};
    assert_false(trend_sen(t, bad, 4, 0.9, work, &sen));
    /* Two readings cannot bound a slope. */
    assert_true(trend_sen(t, y, 2, 0.99, work, &sen));
    assert_true(sen.low == -INFINITY && sen.high == INFINITY);
}

/* A slope of known size in normal noise lies in the 90 % interval in about 90 of 100 cases. */
static void sen_interval_holds(void **state)
{
    (void)state;
    enum { COURSES = 2000, N = 15 };
    struct noise noise = {9};
    int held = 0;
    for (int course = 0; course < COURSES; course++) {
        double t[N], y[N], work[N * (N - 1) / 2 + N];
        struct trend_sen sen;
        for (size_t i = 0; i < N; i++) {
            t[i] = (double)i;
            y[i] = 3 - 0.1 * t[i] + 0.2 * noise_normal(&noise);
        }
        assert_true(trend_sen(t, y, N, 0.9, work, &sen));
        held += sen.low <= -0.1 && sen.high >= -0.1;
    }
    print_message("note: Sen's slope, 90 %% interval: held in %.1f %% of %d courses\n",
                  100.0 * held / COURSES, COURSES);
    assert_true(held >= 0.88 * COURSES && held <= 0.94 * COURSES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_with_ties),    cmocka_unit_test(exact_meets_normal),
        cmocka_unit_test(kendall_refuses),    cmocka_unit_test(sen_edges),
        cmocka_unit_test(sen_interval_holds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
