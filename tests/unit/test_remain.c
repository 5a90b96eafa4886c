#include "remain.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Straight courses, so that every time can be told by hand: `hours` from all to nothing. */
enum { POINTS = 11 };
struct straight {
    double hours[POINTS], left[POINTS];
};

static struct remain_course straight(struct straight *course, double hours, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        course->hours[i] = hours * (double)i / 10;
        course->left[i] = 1 - (double)i / 10;
    }
    return (struct remain_course){course->hours, course->left, n, hours};
}

static const struct remain_options OPTIONS = {.share = 0,
                                              .prior_sd = 0.12,
                                              .slowest = REMAIN_SLOWEST,
                                              .noise_left = 0.005,
                                              .confidence = 0.8};

static void earlier_courses_tell(void **state)
{
    (void)state;
    struct straight a, b, c, now;
    const struct remain_course earlier[] = {straight(&a, 100, POINTS), straight(&b, 120, POINTS),
                                            straight(&c, 140, POINTS)};
    /* Half gone after 60 h, so 50, 60 and 70 h are left by the three. */
    const struct remain_course half = straight(&now, 120, 6);
    struct remain_options options = OPTIONS;
    struct remain remain;
    double work[12];
    assert_true(remain_estimate(&half, earlier, 3, &options, work, &remain));
    assert_int_equal(remain.used, 3);
    assert_float_equal(remain.hours, 60, 1e-6);
    assert_float_equal(remain.speed, 1, 1e-6);
    assert_true(remain.early < 60 && remain.late > 60 && remain.early > 0);
    /* One that ran half as fast, with all of its slowness carried over. */
    const struct remain_course slow = straight(&now, 240, 6);
    options.share = 1;
    assert_true(remain_estimate(&slow, earlier, 3, &options, work, &remain));
    assert_float_equal(remain.hours, 120, 1e-6);
    assert_float_equal(remain.speed, 0.5, 1e-6);
}

static void says_when_it_cannot(void **state)
{
    (void)state;
    struct straight a, now;
    const struct remain_course earlier[] = {straight(&a, 100, POINTS)};
    struct remain remain;
    double work[4];
    const struct {
        const char *title;
        double hours;
        size_t n, earlier;
    } ROWS[] = {
        {"one reading", 100, 1, 1},
        {"no earlier course", 100, 6, 0},
        {"more than four times as slow", 450, 6, 1},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct remain_course course = straight(&now, ROWS[i].hours, ROWS[i].n);
        if (remain_estimate(&course, earlier, ROWS[i].earlier, &OPTIONS, work, &remain))
            fail_msg("%s: %.1f h", ROWS[i].title, remain.hours);
    }
    static const double HOURS[] = {0, 24, 48}, FLAT[] = {1, 1, 1};
    const struct remain_course flat = {HOURS, FLAT, 3, NAN};
    assert_false(remain_estimate(&flat, earlier, 1, &OPTIONS, work, &remain));
}

/* Half gone after 225 h where the earlier one took 50: twice of it may be chance, of which `share`
 * is carried over; the other 2.25 are another temperature. */
static void slower_by_more_than_chance(void **state)
{
    (void)state;
    struct straight a, now;
    const struct remain_course earlier[] = {straight(&a, 100, POINTS)},
                               cold = straight(&now, 450, 6);
    struct remain_options options = OPTIONS;
    struct remain remain;
    double work[4];
    options.slowest = REMAIN_GENERIC_SLOWEST;
    options.share = 0.8;
    assert_true(remain_estimate(&cold, earlier, 1, &options, work, &remain));
    assert_true(fabs(remain.hours - 50 * pow(2, 0.8) * 2.25) < 1e-6);
}

/* The interval widens with the scatter of the earlier courses, and never begins before now. */
static void widens_with_scatter(void **state)
{
    (void)state;
    struct straight courses[8], now;
    struct remain_course alike[8], unlike[8];
    struct remain narrow, wide;
    double work[32];
    const struct remain_course half = straight(&now, 120, 6);
    for (size_t i = 0; i < 4; i++) {
        alike[i] = straight(&courses[i], 118 + (double)i, POINTS);
        unlike[i] = straight(&courses[4 + i], 60 + 40 * (double)i, POINTS);
    }
    assert_true(remain_estimate(&half, alike, 4, &OPTIONS, work, &narrow));
    assert_true(remain_estimate(&half, unlike, 4, &OPTIONS, work, &wide));
    assert_true(wide.late - wide.early > 1.5 * (narrow.late - narrow.early));
    assert_true(wide.early >= 0);
}

/* Where a reading stands the time is exact; outside of the course there is none. */
static void finds_hours(void **state)
{
    (void)state;
    struct straight a;
    const struct remain_course course = straight(&a, 100, POINTS);
    assert_float_equal(remain_hours_at(&course, 0.7), 30, 1e-9);
    double between = remain_hours_at(&course, 0.65);
    assert_true(between > 30 && between < 40);
    const struct remain_course begun = straight(&a, 100, 4);
    assert_true(isnan(remain_hours_at(&begun, 0.2)));
    /* The generic course is itself to the last digit. */
    assert_float_equal(remain_hours_at(&REMAIN_GENERIC, 0.5), 48.8, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(earlier_courses_tell),
        cmocka_unit_test(says_when_it_cannot),
        cmocka_unit_test(slower_by_more_than_chance),
        cmocka_unit_test(widens_with_scatter),
        cmocka_unit_test(finds_hours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
