/* Meters made by hand, so that figures lie where no calibration brings them: on the bounds. What a
 * book makes of the same rules is in test_meter.c. */
#include "arena.h"
#include "civil.h"
#include "trust.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const int64_t NOW = 1794657600; /* 2026-11-14 12:00 UTC */
static const int64_t MINUTES = 60;

enum { MOST = 12 };

/* A bench pH meter that is calibrated each week, and what it lives in. */
struct bench {
    struct arena arena;
    struct cellar cellar;
    struct cellar_meter declared;
    struct meter items[4];
    struct meters meters;
};

static void begin(struct bench *bench)
{
    static const struct str NAMES[] = {STR_ROW("A"), STR_ROW("B"), STR_ROW("C"), STR_ROW("D")};
    memset(bench, 0, sizeof *bench);
    arena_init(&bench->arena, NULL, NULL);
    bench->cellar.zone = civil_utc();
    bench->declared.kind = METER_BENCH;
    bench->meters.items = bench->items;
    bench->meters.n = COUNT(bench->items);
    for (size_t i = 0; i < COUNT(bench->items); i++)
        bench->items[i] = (struct meter){.declared = &bench->declared,
                                         .name = NAMES[i],
                                         .quantity = QUANTITY_PH,
                                         .reads = READS_PH,
                                         .due_hours = 168};
}

static struct meter_check check_of(int64_t at, double slope, double offset)
{
    return (struct meter_check){.at = at,
                                .celsius = 25,
                                .slope_percent = slope,
                                .offset_mv = offset,
                                .low = 4.01,
                                .high = 7.00,
                                .water_plato = NAN,
                                .found_off = NAN};
}

static struct trust judge(struct bench *bench, size_t which)
{
    return trust_judge(&bench->meters, &bench->items[which], &bench->arena, &bench->cellar, NOW);
}

/* Where the offset is going. Days before now, and mV at pH 7; NAN: one buffer, no offset. */
static void trends(void **state)
{
    static const struct {
        const char *title;
        size_t n;
        double day[MOST], mv[MOST];
        bool is_moving;
        double a_month, leaves_after; /* days; NAN: it does not leave its limits */
    } ROWS[] = {
        {"half a millivolt a day: at 30 in eight days",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {22.5, 23, 23.5, 24, 24.5, 25, 25.5, 26},
         true,
         15,
         8},
        {"the same downwards: at -30",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {-22.5, -23, -23.5, -24, -24.5, -25, -25.5, -26},
         true,
         -15,
         8},
        {"back from the limit: it meets the other one, much later",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {29, 28.5, 28, 27.5, 27, 26.5, 26, 25.5},
         true,
         -15,
         111},
        {"seven are too few",
         7,
         {6, 5, 4, 3, 2, 1, 0},
         {20, 21, 22, 23, 24, 25, 26},
         false,
         0,
         NAN},
        {"one buffer gives no offset, and leaves eight",
         9,
         {8, 7, 6, 5, 4, 3, 2, 1, 0},
         {22, 22.5, 23, NAN, 24, 24.5, 25, 25.5, 26},
         true,
         15,
         8},
        {"up and down is no trend, though a line through it rises",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {24, 28, 23, 27, 25, 29, 24, 29.5},
         false,
         0,
         NAN},
        /* 7 of the 280 orders of four, three and one alike have as many pairs that rise */
        {"a chance of just 2.5 % to one side is a trend",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {20, 20, 21, 20, 20, 21, 21, 22},
         true,
         NAN,
         NAN},
        /* one of 45 orders, but most pairs are alike: the median of the slopes is 0 */
        {"a step is no slope",
         10,
         {9, 8, 7, 6, 5, 4, 3, 2, 1, 0},
         {10, 10, 10, 10, 10, 10, 10, 10, 12, 12},
         false,
         0,
         NAN},
        {"eight, the first of them 90 days ago",
         8,
         {90, 70, 50, 30, 20, 10, 5, 0},
         {17, 19, 21, 23, 24, 25, 25.5, 26},
         true,
         3,
         40},
        {"the first a minute before that is not looked at",
         8,
         {90 + 1.0 / 1440, 70, 50, 30, 20, 10, 5, 0},
         {17, 19, 21, 23, 24, 25, 25.5, 26},
         false,
         0,
         NAN},
        {"a day short of ten years",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {30 - 3656 / 128.0, 30 - 3655 / 128.0, 30 - 3654 / 128.0, 30 - 3653 / 128.0,
          30 - 3652 / 128.0, 30 - 3651 / 128.0, 30 - 3650 / 128.0, 30 - 3649 / 128.0},
         true,
         30 / 128.0,
         3649},
        {"a day more than ten years is not told",
         8,
         {7, 6, 5, 4, 3, 2, 1, 0},
         {30 - 3658 / 128.0, 30 - 3657 / 128.0, 30 - 3656 / 128.0, 30 - 3655 / 128.0,
          30 - 3654 / 128.0, 30 - 3653 / 128.0, 30 - 3652 / 128.0, 30 - 3651 / 128.0},
         true,
         30 / 128.0,
         NAN},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct bench bench;
        struct meter_check checks[MOST];
        begin(&bench);
        for (size_t k = 0; k < ROWS[i].n; k++)
            checks[k] = check_of(NOW - llround(ROWS[i].day[k] * CIVIL_DAY), 98, ROWS[i].mv[k]);
        bench.items[0].checks.items = checks;
        bench.items[0].checks.n = ROWS[i].n;
        struct trust trust = judge(&bench, 0);
        const struct trust_trend *trend = &trust.offset;
        double after = trend->leaves ? (double)(trend->leaves_at - NOW) / CIVIL_DAY : NAN;
        if (trend->is_moving != ROWS[i].is_moving || trust.slope.is_moving)
            fail_msg("%s: moving %d", ROWS[i].title, trend->is_moving);
        if (!isnan(ROWS[i].a_month) && !(fabs(trend->per_month - ROWS[i].a_month) < 1e-9))
            fail_msg("%s: %g a month", ROWS[i].title, trend->per_month);
        if (!isnan(ROWS[i].a_month) &&
            (isnan(ROWS[i].leaves_after) ? trend->leaves
                                         : !(fabs(after - ROWS[i].leaves_after) < 1e-4)))
            fail_msg("%s: leaves after %g days", ROWS[i].title, after);
        arena_free(&bench.arena);
    }
}

#define SOUND "calibrated, nothing against it"

/* One calibration that lies on a bound, or just beyond it. */
static void bounds(void **state)
{
    static const struct {
        const char *title;
        double slope, offset, water;
        enum trust_verdict verdict;
        const char *says;
    } ROWS[] = {
        {"a slope of 92 %", 92, 0, NAN, TRUST_YES, SOUND},
        {"less", 91, 0, NAN, TRUST_NO,
         "slope 91 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"a little less is not written as 92", 91.7, 0, NAN, TRUST_NO,
         "slope 91.7 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"nor less than that", 91.97, 0, NAN, TRUST_NO,
         "slope 91.97 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"next to nothing less: three digits at the most", 91.999996, 0, NAN, TRUST_NO,
         "slope 92.000 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"further below a whole figure shows it", 91.4, 0, NAN, TRUST_NO,
         "slope 91 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"a slope of 102 %", 102, 0, NAN, TRUST_YES, SOUND},
        {"more", 103, 0, NAN, TRUST_NO,
         "slope 103 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"30 mV at pH 7", 98, 30, NAN, TRUST_YES, SOUND},
        {"a little more", 98, 30.2, NAN, TRUST_NO,
         "30.2 mV at pH 7, sound is within 30: clean the electrode, calibrate, else replace it"},
        {"-30 mV", 98, -30, NAN, TRUST_YES, SOUND},
        {"-31 mV", 98, -31, NAN, TRUST_NO,
         "-31 mV at pH 7, sound is within 30: clean the electrode, calibrate, else replace it"},
        {"water of 0.2 P", 98, 0, 0.2, TRUST_YES, SOUND},
        {"water of -0.3 P", 98, 0, -0.3, TRUST_NO, "read -0.3 P in water: clean and adjust it"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct bench bench;
        struct meter_check check = check_of(NOW - CIVIL_DAY, ROWS[i].slope, ROWS[i].offset);
        begin(&bench);
        check.water_plato = ROWS[i].water;
        bench.items[0].checks.items = &check;
        bench.items[0].checks.n = 1;
        struct trust trust = judge(&bench, 0);
        if (trust.verdict != ROWS[i].verdict || strcmp(trust.why, ROWS[i].says) != 0)
            fail_msg("%s: %s, %s", ROWS[i].title, TRUST_VERDICTS[trust.verdict], trust.why);
        arena_free(&bench.arena);
    }
}

/* Its offset leaves the limits in so many days, as eight calibrations go. */
static void warns_two_weeks_ahead(void **state)
{
    static const struct {
        const char *title;
        double days;
        enum trust_verdict verdict;
        const char *says;
    } ROWS[] = {
        {"in just two weeks", 14, TRUST_CHECK,
         "its offset will leave the limits about 28 Nov: have a new electrode ready"},
        {"later", 14.125, TRUST_YES, SOUND},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct bench bench;
        struct meter_check checks[8];
        begin(&bench);
        for (int k = 0; k < 8; k++)
            checks[k] = check_of(NOW - (7 - k) * CIVIL_DAY, 98, 30 - ROWS[i].days - (7 - k));
        bench.items[0].checks.items = checks;
        bench.items[0].checks.n = 8;
        struct trust trust = judge(&bench, 0);
        if (trust.verdict != ROWS[i].verdict || strcmp(trust.why, ROWS[i].says) != 0)
            fail_msg("%s: %s, %s", ROWS[i].title, TRUST_VERDICTS[trust.verdict], trust.why);
        arena_free(&bench.arena);
    }
}

/* A day off in four tanks, so long before now, and a calibration. */
static void shifts(void **state)
{
    static const struct {
        const char *title;
        int64_t days_ago, minutes_more, calibrated_after; /* minutes after its last reading */
        enum trust_verdict verdict;
        const char *says;
    } ROWS[] = {
        {"calibrated with its last reading", 2, 0, 0, TRUST_NO,
         "read 0.19 too high in 4 tanks on 12 Nov and was not calibrated since"},
        {"calibrated a minute later", 2, 0, 1, TRUST_YES,
         "read 0.19 too high in 4 tanks on 12 Nov, calibrated since"},
        {"ninety days ago", 90, 0, 89 * 1440, TRUST_YES,
         "read 0.19 too high in 4 tanks on 16 Aug, calibrated since"},
        {"a minute before that", 90, 1, 89 * 1440, TRUST_YES, SOUND},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct bench bench;
        int64_t at = NOW - ROWS[i].days_ago * CIVIL_DAY - ROWS[i].minutes_more * MINUTES;
        struct meter_shift shift = {
            .at = at, .last = at + 30 * MINUTES, .by = 0.19, .spread = 0.02, .tanks = 4};
        struct meter_check check = check_of(shift.last + ROWS[i].calibrated_after * MINUTES, 98, 0);
        begin(&bench);
        bench.items[0].checks.items = &check;
        bench.items[0].checks.n = 1;
        bench.items[0].shifts.items = &shift;
        bench.items[0].shifts.n = 1;
        struct trust trust = judge(&bench, 0);
        if (trust.verdict != ROWS[i].verdict || strcmp(trust.why, ROWS[i].says) != 0)
            fail_msg("%s: %s, %s", ROWS[i].title, TRUST_VERDICTS[trust.verdict], trust.why);
        arena_free(&bench.arena);
    }
}

/* Three pH meters side by side, and a density meter: each is held against the one with which it
 * has most pairs, the first of the file where there are as many. */
static void pairs(void **state)
{
    static const struct {
        size_t which;
        const char *other;
        size_t n;
        double difference, low, high;
    } ROWS[] = {
        {0, "B", 3, 0.2, 0.2 - 1.96 * 0.1, 0.2 + 1.96 * 0.1},
        {1, "A", 3, -0.2, -0.2 - 1.96 * 0.1, -0.2 + 1.96 * 0.1},
        {2, "A", 2, -0.025, NAN, NAN},
        {3, NULL, 0, 0, 0, 0},
    };
    (void)state;
    struct bench bench;
    begin(&bench);
    const struct meter *a = &bench.items[0], *b = &bench.items[1], *c = &bench.items[2];
    bench.items[3].quantity = QUANTITY_GRAVITY;
    bench.items[3].reads = READS_GRAVITY;
    struct meter_pair taken[] = {
        {a, b, NOW - 90 * CIVIL_DAY - MINUTES, 1.0},
        {a, b, NOW - 90 * CIVIL_DAY, 0.1},
        {a, b, NOW - CIVIL_DAY, 0.2},
        {a, b, NOW, 0.3},
        {a, c, NOW - CIVIL_DAY, 0.0},
        {a, c, NOW, 0.05},
        {b, c, NOW - CIVIL_DAY, -0.4},
        {b, c, NOW, -0.3},
    };
    bench.meters.pairs.items = taken;
    bench.meters.pairs.n = COUNT(taken);
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct trust trust = judge(&bench, ROWS[i].which);
        const struct trust_pairs *it = &trust.pairs;
        if (ROWS[i].other == NULL ? it->other != NULL
                                  : it->other == NULL || !str_is(it->other->name, ROWS[i].other))
            fail_msg("meter %zu: held against another one", ROWS[i].which);
        if (it->n != ROWS[i].n || !(fabs(it->difference - ROWS[i].difference) < 1e-9))
            fail_msg("meter %zu: %zu pairs, %g", ROWS[i].which, it->n, it->difference);
        if (isnan(ROWS[i].low)
                ? !isnan(it->low) || !isnan(it->high)
                : !(fabs(it->low - ROWS[i].low) < 1e-9) || !(fabs(it->high - ROWS[i].high) < 1e-9))
            fail_msg("meter %zu: within %g..%g", ROWS[i].which, it->low, it->high);
    }
    arena_free(&bench.arena);
}

/* A meter for which no calibration is asked, and what to hold it against. */
static void asked_for_none(void **state)
{
    static const struct {
        enum quantity quantity;
        const char *says;
    } ROWS[] = {
        {QUANTITY_GRAVITY, "no calibration asked for; read it in water now and then"},
        {QUANTITY_PH, "no calibration asked for; read a buffer with it now and then"},
        {QUANTITY_TEMPERATURE,
         "no calibration asked for; hold it against another one now and then"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct bench bench;
        begin(&bench);
        bench.items[0].quantity = ROWS[i].quantity;
        bench.items[0].due_hours = INFINITY;
        struct trust trust = judge(&bench, 0);
        assert_false(trust.has_due);
        if (trust.verdict != TRUST_YES || strcmp(trust.why, ROWS[i].says) != 0)
            fail_msg("%s, %s", TRUST_VERDICTS[trust.verdict], trust.why);
        arena_free(&bench.arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(trends), cmocka_unit_test(bounds), cmocka_unit_test(warns_two_weeks_ahead),
        cmocka_unit_test(shifts), cmocka_unit_test(pairs),  cmocka_unit_test(asked_for_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
