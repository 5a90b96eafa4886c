#include "remain.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
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

/* Half gone after so many hours where the earlier one took 50: twice of it may be chance, of which
 * `share` is carried over; what goes beyond is another temperature, and at the most `slowest`. */
static void more_than_chance(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        double hours, slowest, chance, beyond;
    } ROWS[] = {
        {"twice as slow", 100, REMAIN_GENERIC_SLOWEST, 2, 1},
        {"4.5 times as slow", 225, REMAIN_GENERIC_SLOWEST, 2, 2.25},
        {"twice as fast", 25, REMAIN_SLOWEST, 0.5, 1},
        {"three times as fast", 50.0 / 3, REMAIN_SLOWEST, 0.5, 2.0 / 3},
        {"five times as fast counts as four", 10, REMAIN_SLOWEST, 0.5, 0.5},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct straight a, now;
        const struct remain_course earlier = straight(&a, 100, POINTS),
                                   other = straight(&now, 2 * ROWS[i].hours, 6);
        struct remain_options options = OPTIONS;
        struct remain remain;
        double work[4];
        options.slowest = ROWS[i].slowest;
        options.share = 0.8;
        assert_true(remain_estimate(&other, &earlier, 1, &options, work, &remain));
        double hours = 50 * pow(ROWS[i].chance, 0.8) * ROWS[i].beyond;
        if (!(fabs(remain.hours - hours) < 1e-6))
            fail_msg("%s: %g h, not %g", ROWS[i].title, remain.hours, hours);
    }
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
    assert_true(
        isnan(remain_hours_at(&begun, 0.65))); /* what lies behind its readings is no part */
    /* The generic course is itself to the last digit. */
    assert_float_equal(remain_hours_at(&REMAIN_GENERIC, 0.5), 48.8, 1e-9);
}

/* What readings do besides falling. */
static void finds_hours_of_odd_courses(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        double at[4], left[4], asked, hours;
    } ROWS[] = {
        {"two alike at the beginning: the first is when", {5, 15, 25, 35}, {1, 1, 0.5, 0.4}, 1, 5},
        {"two alike later: the first is when", {0, 10, 20, 30}, {1, 0.5, 0.5, 0.4}, 0.5, 10},
        {"above the pitch no course bends", {0, 10, 20, 30}, {1.04, 1, 0.5, 0}, 1.03, 2.5},
        {"nor under the end", {0, 10, 20, 30}, {1, 0.5, 0, -0.02}, -0.01, 25},
        {"a little above the pitch is the pitch", {0, 48.8, 95, 96}, {1.02, 0.5, 0, 0}, 0.9, 29.2},
        {"a little under the end is the end", {0, 48.8, 95, 96}, {1, 0.5, -0.01, 0}, 0.1, 69},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct remain_course course = {ROWS[i].at, ROWS[i].left, 4, NAN};
        double hours = remain_hours_at(&course, ROWS[i].asked);
        if (!(fabs(hours - ROWS[i].hours) < 1e-9))
            fail_msg("%s: %g h, not %g", ROWS[i].title, hours, ROWS[i].hours);
    }
}

/* Between a pitch at 0 h and the end at 95 h a course bends as the generic one: each share comes at
 * its hour (the medians that remain.h names). */
static void bends_as_the_generic_course(void **state)
{
    (void)state;
    static const double HOURS[] = {0, 95}, LEFT[] = {1, 0};
    const struct remain_course course = {HOURS, LEFT, 2, 95};
    static const struct {
        double left, hours;
    } ROWS[] = {
        {1, 0},       {0.99, 10},    {0.97, 22.3}, {0.95, 24.7},   {0.9, 29.2},
        {0.8, 35.6},  {0.75, 38.25}, {0.7, 40.9},  {0.6, 44.7},    {0.5, 48.8},
        {0.4, 53.5},  {0.3, 58.0},   {0.2, 63.2},  {0.15, 65.7},   {0.1, 69.0},
        {0.07, 71.5}, {0.05, 74.0},  {0.03, 78.2}, {0.0103, 83.6}, {0, 95},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++)
        if (!(fabs(remain_hours_at(&course, ROWS[i].left) - ROWS[i].hours) < 1e-9))
            fail_msg("%g left: %g h", ROWS[i].left, remain_hours_at(&course, ROWS[i].left));
    assert_float_equal(REMAIN_GENERIC.end_hours, 83.6, 1e-9);
    assert_float_equal(REMAIN_GENERIC.hours[0], 0, 1e-9);
}

/* How fast it goes, against an earlier one of `earlier` hours. */
static void tells_the_speed(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        double hours[6], left[6];
        size_t n;
        double earlier, speed;
    } ROWS[] = {
        {"a late start does not matter: only the last three steps count",
         {0, 40, 80, 90, 100, 110},
         {1, 0.9, 0.8, 0.7, 0.6, 0.5},
         6,
         100,
         1},
        {"from the pitch: counted from 95 % left",
         {0, 20, 30, 40},
         {1, 0.9, 0.8, 0.7},
         4,
         100,
         (30 - 10 * 24.7 / 29.2) / (40 - 20 * 24.7 / 29.2)},
        {"97 % left is barely begun: counted from 95 %",
         {0, 10, 20, 30, 40},
         {1, 0.97, 0.9, 0.8, 0.7},
         5,
         100,
         (30 - 10 * 24.7 / 29.2) / (30 - 10 * 2.4 / 6.9)},
        {"96 % left has begun",
         {0, 10, 20, 30, 40},
         {1, 0.96, 0.9, 0.8, 0.7},
         5,
         100,
         (30 - 10 * 23.5 / 29.2) / 30},
        {"two hours tell no speed", {0, 10, 10.5, 11, 12}, {1, 0.8, 0.75, 0.72, 0.7}, 5, 100, 1},
        {"more than two hours do", {0, 10, 10.5, 11, 12.5}, {1, 0.8, 0.75, 0.72, 0.7}, 5, 100, 4},
        {"two hours of the earlier one tell none",
         {0, 10, 12, 13, 14},
         {1, 0.8, 0.75, 0.72, 0.7},
         5,
         20,
         1},
        {"more than two of the earlier one do",
         {0, 10, 12, 13, 14},
         {1, 0.8, 0.75, 0.72, 0.7},
         5,
         30,
         0.75},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct straight a;
        struct remain remain;
        double work[4];
        const struct remain_course now = {ROWS[i].hours, ROWS[i].left, ROWS[i].n, NAN};
        const struct remain_course earlier = straight(&a, ROWS[i].earlier, POINTS);
        if (!remain_estimate(&now, &earlier, 1, &OPTIONS, work, &remain))
            fail_msg("%s: nothing told", ROWS[i].title);
        if (!(fabs(remain.speed - ROWS[i].speed) < 1e-9))
            fail_msg("%s: %g", ROWS[i].title, remain.speed);
    }
}

/* The interval is made of what remain.h names: the prior spread, that of the earlier courses, the
 * guess where none was read between here and the end, and the noise of the last reading, of the gap
 * before it, and of the end. Student's t at 0.9 is 1.637744 of 3 degrees of freedom, 1.533206 of 4,
 * the normal quantile 1.281552 (tables). */
static void interval_holds_each_part(void **state)
{
    (void)state;
    /* hours from 1.53 % left, half a per cent before the end, to the end */
    const double end = 5.4 * 0.005 / 0.0197;
    const struct {
        const char *title;
        double hours[3], left[3];
        size_t n, earlier;
        double noise, gap, end_share;
        bool blind;
    } ROWS[] = {
        {"a reading each ten hours", {0, 50, 60}, {1, 0.6, 0.5}, 3, 1, 0.5, 10, end / 34.8, false},
        {"two readings alike: the fall before them tells the noise",
         {0, 50, 60},
         {1, 0.5, 0.5},
         3,
         1,
         0.6,
         10,
         end / 34.8,
         false},
        {"a last fall of next to nothing tells it too: a day at the most",
         {0, 50, 60},
         {1, 0.5001, 0.5},
         3,
         1,
         24,
         10,
         end / 34.8,
         false},
        {"a long weekend counts as three days", {0, 100}, {1, 0.5}, 2, 1, 1, 72, end / 34.8, false},
        {"hardly begun: the noise is a day at the most",
         {0, 60},
         {1, 0.99},
         2,
         1,
         24,
         60,
         end / 73.6,
         false},
        {"past the usual end: it adds nothing",
         {0, 95, 99},
         {1, 0.05, 0.01},
         3,
         1,
         0.5,
         4,
         0,
         true},
        {"just at the usual end: neither", {0, 95, 99}, {1, 0.0503, 0.0103}, 3, 1, 0.5, 4, 0, true},
        {"at 1.1 % left the end is as far as all that is left",
         {0, 95, 99},
         {1, 0.051, 0.011},
         3,
         1,
         0.5,
         4,
         1,
         true},
        {"two earlier courses scatter",
         {0, 50, 60},
         {1, 0.6, 0.5},
         3,
         2,
         0.5,
         10,
         end / 34.8,
         false},
        {"the earlier course was not read between here and its end",
         {0, 50, 60},
         {1, 0.2, 0.1},
         3,
         1,
         0.5,
         10,
         end / 14.6,
         true},
        {"it was read once",
         {0, 50, 60},
         {1, 0.3, 0.15},
         3,
         1,
         0.005 * 10 / 0.15,
         10,
         end / 17.9,
         false},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct straight a, b;
        struct remain remain;
        double work[8];
        const struct remain_course now = {ROWS[i].hours, ROWS[i].left, ROWS[i].n, NAN};
        const struct remain_course earlier[] = {straight(&a, 100, POINTS),
                                                straight(&b, 140, POINTS)};
        if (!remain_estimate(&now, earlier, ROWS[i].earlier, &OPTIONS, work, &remain))
            fail_msg("%s: nothing told", ROWS[i].title);
        bool two = ROWS[i].earlier == 2;
        double squares = two ? pow(log(1.4), 2) / 2 : 0, dof = two ? 4 : 3;
        double noise = sqrt(pow(ROWS[i].noise, 2) + pow(0.12 * ROWS[i].gap, 2) +
                            pow(ROWS[i].end_share * remain.hours, 2));
        squares += ROWS[i].blind ? 0.3 * 0.3 : 0;
        double variance = (3 * 0.12 * 0.12 + squares) / dof * (two ? 1.5 : 2);
        double factor = exp((two ? 1.533206 : 1.637744) * sqrt(variance));
        double late = hypot(remain.hours * (factor - 1), 1.281552 * noise);
        double early = hypot(remain.hours * (1 - 1 / factor), 1.281552 * noise);
        if (!(fabs(remain.late - remain.hours - late) < 1e-4 * late) ||
            !(fabs(remain.early - fmax(0, remain.hours - early)) < 1e-4 * early))
            fail_msg("%s: %g (%g..%g), not %g earlier, %g later", ROWS[i].title, remain.hours,
                     remain.early, remain.late, early, late);
    }
}

static void counts_what_says_something(void **state)
{
    (void)state;
    struct straight a, now;
    struct remain_course earlier = straight(&a, 100, POINTS);
    struct remain remain;
    double work[4];
    /* Four times as slow is still the same kind of course. */
    const struct remain_course slow = straight(&now, 400, 6);
    assert_true(remain_estimate(&slow, &earlier, 1, &OPTIONS, work, &remain));
    /* One that had come to its end where this one is says nothing of what is left. */
    earlier.end_hours = 50;
    assert_false(remain_estimate(&slow, &earlier, 1, &OPTIONS, work, &remain));
    /* Half an hour is something. */
    earlier.end_hours = 50.5;
    assert_true(remain_estimate(&slow, &earlier, 1, &OPTIONS, work, &remain));
    /* Hardly begun, no speed is told: the earlier hours stand as they are. */
    static const double HOURS[] = {0, 60}, LEFT[] = {1, 0.99};
    const struct remain_course begun = {HOURS, LEFT, 2, NAN};
    earlier.end_hours = 100;
    assert_true(remain_estimate(&begun, &earlier, 1, &OPTIONS, work, &remain));
    assert_true(fabs(remain.hours - (100 - 10 * 10 / 29.2)) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(earlier_courses_tell),
        cmocka_unit_test(says_when_it_cannot),
        cmocka_unit_test(more_than_chance),
        cmocka_unit_test(widens_with_scatter),
        cmocka_unit_test(finds_hours),
        cmocka_unit_test(finds_hours_of_odd_courses),
        cmocka_unit_test(counts_what_says_something),
        cmocka_unit_test(bends_as_the_generic_course),
        cmocka_unit_test(tells_the_speed),
        cmocka_unit_test(interval_holds_each_part),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
