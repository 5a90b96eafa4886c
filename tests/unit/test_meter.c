/* Calibrations worked out, doubts, shifts and pairs, and whether a meter can be trusted. */
#include "anomaly_book.h"
#include "civil.h"
#include "trust.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

static const char CELLAR[] =
    "---\ncellar: Test\nzone: UTC\nunits: {gravity: P, temperature: C, pressure: bar}\n"
    "tanks:\n  F1: {kind: fermenter}\n  F2: {kind: fermenter}\n  F3: {kind: fermenter}\n"
    "  F4: {kind: fermenter}\n"
    "beers:\n  Pale: {yeast: ale}\n"
    "meters:\n  M1: {reads: ph, kind: bench}\n  M2: {reads: ph, kind: handheld}\n"
    "  S1: {reads: ph, kind: strip}\n  D1: {reads: gravity, kind: density}\n"
    "  H1: {reads: gravity, kind: hydrometer}\n  M3: {reads: ph, kind: bench, calibrate: 12 h}\n"
    "  M4: {reads: ph, kind: bench, calibrate: 36 h}\n  D2: {reads: gravity, kind: density}\n"
    "  M5: {reads: ph, kind: bench, calibrate: 48 h}\n  M6: {reads: ph, kind: bench, calibrate: 21 "
    "d}\n";

#define LOG                  "---\nplant: 2026-11\ncalibrations:\n"
#define CAL(at, meter, rest) "  - {at: 2026-11-" at ", meter: " meter ", " rest "}\n"
#define EVEN                 "temp: 25 C, buffers: [{ph: 8.00, mv: -57}, {ph: 5.00, mv: 115}]"
#define MV(seven, four)      "temp: 25 C, buffers: [{ph: 7.00, mv: " seven "}, {ph: 4.01, mv: " four "}]"

static int64_t moment(const char *text)
{
    char buffer[32];
    int64_t at = 0;
    int n = snprintf(buffer, sizeof buffer, "2026-11-%s", text);
    assert_int_equal(civil_parse(buffer, (size_t)n, civil_utc(), &at), CIVIL_OK);
    return at;
}

static struct meters load(struct anomaly_test *test, const char *text, int64_t now)
{
    anomaly_test_open(test, CELLAR);
    anomaly_test_load(test, text, now);
    assert_int_equal(test->diags.errors, 0);
    const struct anomaly_book *book = &test->judged;
    struct meters meters = meter_all(&test->arena, book->cellar,
                                     (struct meter_logs){book->plants, book->plant_count}, now);
    struct batch_course courses[16];
    size_t n = 0;
    for (size_t i = 0; i < book->batch_count; i++) {
        struct batch_courses all = batch_courses(book->batches[i], &test->arena, now);
        for (size_t k = 0; k < all.n && n < 16; k++)
            courses[n++] = all.items[k];
    }
    meter_find_shifts(&meters, &test->arena, book->cellar, courses, n);
    meter_find_pairs(&meters, &test->arena, book->cellar, courses, n);
    return meters;
}

static void near(const char *title, const char *what, double got, double wanted, double within)
{
    if (isnan(wanted) ? !isnan(got) : !(fabs(got - wanted) <= within))
        fail_msg("%s: %s %g, expected %g", title, what, got, wanted);
}

/* Slope and offset of the last calibration, and what it was found off by. An instrument maker's
 * note gives 150 to 186 mV from pH 7.01 to 4.01 at 25 C as 85 to 105 %. */
static void calibrations(void **state)
{
    static const struct {
        const char *title, *log;
        double slope, offset, found_off;
    } rows[] = {
        {"a perfect electrode: 59.16 mV for each pH", LOG CAL("01 07:00", "M1", MV("0", "176.88")),
         100.0, 0.0, NAN},
        {"the maker's 85 %",
         LOG CAL("01 07:00", "M1", "temp: 25 C, buffers: [{ph: 7.01, mv: 0}, {ph: 4.01, mv: 150}]"),
         84.5, 0.5, NAN},
        {"the maker's 105 %",
         LOG CAL("01 07:00", "M1", "temp: 25 C, buffers: [{ph: 7.01, mv: 0}, {ph: 4.01, mv: 186}]"),
         104.8, 0.6, NAN},
        {"20 mV gone: 0.34 pH too high until it was set",
         LOG CAL("01 07:00", "M1", MV("0", "176.88")) CAL("02 07:00", "M1", MV("-20", "156.88")),
         100.0, -20.0, 0.338},
        {"pH shown instead of mV",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 7.00, reads: 7.10}, {ph: 4.01, reads: 4.11}]"),
         100.0, -5.9, 0.10},
        {"colder buffers: less mV for each pH",
         LOG CAL("01 07:00", "M1", "temp: 5 C, buffers: [{ph: 7.00, mv: 0}, {ph: 4.01, mv: 170}]"),
         99.8, 5.0, NAN},
        {"one buffer gives no slope", LOG CAL("01 07:00", "M1", "buffers: [{ph: 7.00, mv: -3}]"),
         NAN, NAN, NAN},
        {"swapped buffers give none", LOG CAL("01 07:00", "M1", MV("176", "0")), NAN, NAN, NAN},
        {"a buffer of which only a bound is known is left out",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: \">9\", mv: -150}, {ph: 7.00, mv: 0}, "
                 "{ph: 4.01, mv: 176.88}]"),
         100.0, 0.0, NAN},
        {"a buffer that gave no figure too",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 10.01}, {ph: 7.00, mv: 0}, {ph: 4.01, mv: 176.88}]"),
         100.0, 0.0, NAN},
        {"of three buffers the outer ones",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 7.00, mv: 5}, {ph: 10.01, mv: -178.07}, "
                 "{ph: 4.01, mv: 176.88}]"),
         100.0, 0.0, NAN},
        {"the first buffer once more is a check, no calibration",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 7.00, mv: 0}, {ph: 4.01, mv: 176.88}, "
                 "{ph: 7.00, mv: 10}]"),
         100.0, 0.0, NAN},
        {"the low one once more too",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 4.01, mv: 176.88}, {ph: 7.00, mv: 0}, "
                 "{ph: 4.01, mv: 170}]"),
         100.0, 0.0, NAN},
        {"one by mV, one by the pH shown: a slope, but what it was off by is not known",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 7.00, reads: 7.00}, {ph: 4.01, mv: 176.88}]"),
         100.0, 0.0, NAN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct meters meters = load(&test, rows[i].log, moment("10 07:00"));
        const struct meter_check *last = meter_last_check(&meters.items[0], moment("10 07:00"));
        assert_non_null(last);
        near(rows[i].title, "slope", last->slope_percent, rows[i].slope, 0.15);
        near(rows[i].title, "offset", last->offset_mv, rows[i].offset, 0.2);
        near(rows[i].title, "found off", last->found_off, rows[i].found_off, 0.005);
        anomaly_test_close(&test);
    }
}

static void doubts(void **state)
{
    static const struct {
        const char *title, *log, *meter, *at;
        double ph;
        signed char censor;
        unsigned doubts;
        const char *says; /* behind the meter's name */
    } rows[] = {
        {"in order", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "05 08:00", 4.3, 0, 0, ""},
        {"a week and two hours", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "08 09:00", 4.3,
         0, 0, ""},
        {"a minute later", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "08 09:01", 4.3, 0,
         METER_OVERDUE, " was last calibrated on Sun 1 Nov and wants it every 7 days"},
        {"by hand, the next day", LOG CAL("01 07:00", "M2", MV("0", "172")), "M2", "02 08:00", 4.3,
         0, 0, ""},
        {"by hand, two days", LOG CAL("01 07:00", "M2", MV("0", "172")), "M2", "03 08:00", 4.3, 0,
         METER_OVERDUE, " was last calibrated on Sun 1 Nov and wants it daily"},
        {"never", LOG, "M1", "05 08:00", 4.3, 0, METER_NEVER,
         " has no calibration in the plant log"},
        {"a later calibration does not help", LOG CAL("06 07:00", "M1", MV("0", "172")), "M1",
         "05 08:00", 4.3, 0, METER_NEVER, " has no calibration in the plant log"},
        {"slope 91 %", LOG CAL("01 07:00", "M1", MV("0", "161")), "M1", "05 08:00", 4.3, 0,
         METER_SLOPE, " has a slope of 91 %, not 92..102 %"},
        {"slope 92 %", LOG CAL("01 07:00", "M1", MV("0", "163")), "M1", "05 08:00", 4.3, 0, 0, ""},
        {"offset 31 mV", LOG CAL("01 07:00", "M1", MV("31", "203")), "M1", "05 08:00", 4.3, 0,
         METER_OFFSET, " is 31 mV off at pH 7"},
        {"offset 30 mV", LOG CAL("01 07:00", "M1", MV("30", "202")), "M1", "05 08:00", 4.3, 0, 0,
         ""},
        {"7 and 10 are not around beer",
         LOG CAL("01 07:00", "M1",
                 "temp: 25 C, buffers: [{ph: 7.00, mv: 0}, {ph: 10.01, mv: -172}]"),
         "M1", "05 08:00", 4.3, 0, METER_BRACKET,
         " was calibrated from 7.00 to 10.01, which is not around this"},
        {"4 and 7 carry a third of their distance further",
         LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "05 08:00", 3.1, 0, 0, ""},
        {"but not to 2.9", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "05 08:00", 2.9, 0,
         METER_BRACKET, " was calibrated from 4.01 to 7.00, which is not around this"},
        {"a strip", LOG, "S1", "05 08:00", 4.9, 0, METER_IS_STRIP,
         " is a strip, good to 0.1..0.4 at best"},
        {"a strip at its end", LOG, "S1", "05 08:00", 4.7, -1, METER_IS_STRIP | METER_CENSORED,
         " is a strip, good to 0.1..0.4 at best"},
        {"water reads 0.3", LOG CAL("01 07:00", "D1", "water: 0.3 P"), "D1", "05 08:00", 4.3, 0,
         METER_WATER, " read 0.3 P in water"},
        {"water reads 0.2", LOG CAL("01 07:00", "D1", "water: 0.2 P"), "D1", "05 08:00", 4.3, 0, 0,
         ""},
        {"found off by the next calibration",
         LOG CAL("01 07:00", "M1", MV("0", "172")) CAL("07 07:00", "M1", MV("-10", "162")), "M1",
         "05 08:00", 4.3, 0, METER_OFF_AFTER, " was found 0.17 too high on Sat 7 Nov"},
        {"a hydrometer asks for none", LOG, "H1", "05 08:00", 4.3, 0, 0, ""},
        {"the hour itself", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "01 07:00", 4.3, 0, 0,
         ""},
        {"a slope of 102 %", LOG CAL("01 07:00", "M1", MV("0", "180")), "M1", "05 08:00", 4.3, 0, 0,
         ""},
        {"a slope of 103 %", LOG CAL("01 07:00", "M1", MV("0", "182")), "M1", "05 08:00", 4.3, 0,
         METER_SLOPE, " has a slope of 103 %, not 92..102 %"},
        {"offset -31 mV", LOG CAL("01 07:00", "M1", MV("-31", "141")), "M1", "05 08:00", 4.3, 0,
         METER_OFFSET, " is -31 mV off at pH 7"},
        {"4 and 7 reach to 8", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "05 08:00", 7.9, 0,
         0, ""},
        {"but not further", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1", "05 08:00", 8.1, 0,
         METER_BRACKET, " was calibrated from 4.01 to 7.00, which is not around this"},
        {"water reads -0.3", LOG CAL("01 07:00", "D1", "water: -0.3 P"), "D1", "05 08:00", 4.3, 0,
         METER_WATER, " read -0.3 P in water"},
        {"a meter at the end of its scale", LOG CAL("01 07:00", "M1", MV("0", "172")), "M1",
         "05 08:00", 4.3, 1, METER_CENSORED, " was off the end of its scale"},
        {"every twelve hours, two more", LOG CAL("05 07:00", "M3", MV("0", "172")), "M3",
         "05 21:00", 4.3, 0, 0, ""},
        {"every twelve hours, two and a bit", LOG CAL("05 07:00", "M3", MV("0", "172")), "M3",
         "05 21:01", 4.3, 0, METER_OVERDUE,
         " was last calibrated on Thu 5 Nov and wants it every 12 h"},
        {"every day and a half", LOG CAL("05 07:00", "M4", MV("0", "172")), "M4", "06 21:01", 4.3,
         0, METER_OVERDUE, " was last calibrated on Thu 5 Nov and wants it every 36 h"},
        {"found 0.09 too low afterwards",
         LOG CAL("01 07:00", "M1", MV("0", "172")) CAL("07 07:00", "M1", MV("5", "177")), "M1",
         "05 08:00", 4.3, 0, 0, ""},
        {"found 0.12 too low afterwards",
         LOG CAL("01 07:00", "M1", MV("0", "172")) CAL("07 07:00", "M1", MV("7", "179")), "M1",
         "05 08:00", 4.3, 0, METER_OFF_AFTER, " was found 0.12 too low on Sat 7 Nov"},
        {"a density meter found 0.3 P too high afterwards",
         LOG CAL("01 07:00", "D1", "water: 0.1 P") CAL("07 07:00", "D1", "water: 0.3 P"), "D1",
         "05 08:00", 4.3, 0, METER_OFF_AFTER, " was found 0.3 P too high on Sat 7 Nov"},
        {"a density meter found 0.2 P too high afterwards",
         LOG CAL("01 07:00", "D1", "water: 0.1 P") CAL("07 07:00", "D1", "water: 0.2 P"), "D1",
         "05 08:00", 4.3, 0, 0, ""},
        {"by just a quarter",
         LOG CAL("01 07:00", "D1", "water: 0.1 P") CAL("07 07:00", "D1", "water: 0.25 P"), "D1",
         "05 08:00", 4.3, 0, 0, ""},
        {"never, though the next one found it off", LOG CAL("07 07:00", "D1", "water: 0.6 P"), "D1",
         "05 08:00", 4.3, 0, METER_NEVER, " has no calibration in the plant log"},
        {"one buffer lies around nothing, and accuses nothing",
         LOG CAL("01 07:00", "M1", "buffers: [{ph: 7.00, mv: 0}]"), "M1", "05 08:00", 4.3, 0, 0,
         ""},
        {"5 and 8 serve for 4 to 9: the low end", LOG CAL("01 07:00", "M1", EVEN), "M1", "05 08:00",
         4.0, 0, 0, ""},
        {"the high end", LOG CAL("01 07:00", "M1", EVEN), "M1", "05 08:00", 9.0, 0, 0, ""},
        {"every other day", LOG CAL("05 07:00", "M5", MV("0", "172")), "M5", "07 09:01", 4.3, 0,
         METER_OVERDUE, " was last calibrated on Thu 5 Nov and wants it every 2 days"},
        {"every three weeks", LOG CAL("01 07:00", "M6", MV("0", "172")), "M6", "22 09:01", 4.3, 0,
         METER_OVERDUE, " was last calibrated on Sun 1 Nov and wants it every 21 days"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct meters meters = load(&test, rows[i].log, moment("10 07:00"));
        const struct meter *meter = meter_find(&meters, str_of(rows[i].meter));
        const struct figure figure = {
            .value = rows[i].ph, .state = FIGURE_SET, .censor = rows[i].censor};
        unsigned got = meter_doubts(meter, test.book.cellar->zone, moment(rows[i].at), &figure);
        if (got != rows[i].doubts)
            fail_msg("%s: doubts %#x, expected %#x", rows[i].title, got, rows[i].doubts);
        struct buf words = buf_new(&test.arena);
        meter_write_doubt(&words, meter, test.book.cellar->zone, NULL, moment(rows[i].at), got);
        if (strcmp(words.p + meter->name.n, rows[i].says) != 0)
            fail_msg("%s: says \"%s\"", rows[i].title, words.p);
        anomaly_test_close(&test);
    }
}

#define BATCH(number, tank, rows)                                                                  \
    "---\nbatch: " number "\nbeer: Pale\nbrewed: 2026-11-01 12:00\n"                               \
    "tanks: [{tank: " tank ", from: 2026-11-01 12:00}]\nreadings:\n" rows
#define PH(at, ph, meter) "  - {at: 2026-11-" at ", ph: " ph ", ph-meter: " meter "}\n"
#define REST(number, tank, later)                                                                  \
    BATCH(number, tank, PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.21", "M1") later)

static size_t all_shifts(const struct meters *meters)
{
    size_t n = 0;
    for (size_t i = 0; i < meters->n; i++)
        n += meters->items[i].shifts.n;
    return n;
}

static void shifts(void **state)
{
    static const struct {
        const char *title, *text;
        double by; /* on the seventh, by M2; 0: none */
    } rows[] = {
        {"three tanks together",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("07 08:10", "4.42", "M2")),
         0.19},
        {"one of four apart does not hide it",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("07 08:10", "4.42", "M2"))
                 REST("4", "F4", PH("07 08:15", "3.60", "M2")),
         0.185},
        {"two are not enough",
         REST("1", "F1", PH("07 08:00", "4.40", "M2"))
             REST("2", "F2", PH("07 08:05", "4.39", "M2")),
         0},
        {"another meter the same day does not count",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("07 08:10", "4.42", "M1")),
         0},
        {"a third tank the day after does not count",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("08 08:10", "4.42", "M2")),
         0},
        {"in three directions",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.00", "M2"))
             REST("3", "F3", PH("07 08:10", "4.21", "M2")),
         0},
        {"exactly a tenth",
         REST("1", "F1", PH("07 08:00", "4.31", "M2")) REST("2", "F2", PH("07 08:05", "4.31", "M2"))
             REST("3", "F3", PH("07 08:10", "4.31", "M2")),
         0.10},
        {"beer still on its way",
         BATCH("1", "F1",
               PH("02 08:00", "4.60", "M1") PH("03 08:00", "4.35", "M1")
                   PH("04 08:00", "4.20", "M2"))
             BATCH("2", "F2",
                   PH("02 08:00", "4.60", "M1") PH("03 08:00", "4.35", "M1")
                       PH("04 08:00", "4.20", "M2"))
                 BATCH("3", "F3",
                       PH("02 08:00", "4.60", "M1") PH("03 08:00", "4.35", "M1")
                           PH("04 08:00", "4.20", "M2")),
         0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct meters meters = load(&test, rows[i].text, moment("10 07:00"));
        const struct meter *meter = meter_find(&meters, STR("M2"));
        const struct meter_shift *shift =
            meter_shift_on(meter, test.book.cellar->zone, moment("07 09:00"));
        if ((shift != NULL) != (rows[i].by != 0))
            fail_msg("%s: %s", rows[i].title, shift == NULL ? "not found" : "found");
        if (all_shifts(&meters) != (shift != NULL))
            fail_msg("%s: another meter or day was found too", rows[i].title);
        if (shift != NULL)
            near(rows[i].title, "shift", shift->by, rows[i].by, 0.0051);
        if (i == 0 && (shift->at != moment("07 08:00") || shift->last != moment("07 08:10")))
            fail_msg("%s: not from its first to its last reading", rows[i].title);
        anomaly_test_close(&test);
    }
}

#define EVENT(at, what) "events: [{at: 2026-11-" at ", what: " what "}]\n"
#define READ(at, ph)    "  - {at: 2026-11-" at ", ph: " ph ", ph-meter: M2}\n"
#define G(at, plato)    "  - {at: 2026-11-" at ", gravity: " plato " P, gravity-meter: D1}\n"
#define TANK(number, tank, event, rows)                                                            \
    "---\nbatch: " number "\nbeer: Pale\nbrewed: 2026-10-01 12:00\n"                               \
    "tanks: [{tank: " tank ", from: 2026-10-01 12:00}]\n" event "readings:\n" rows
/* The same story in three tanks. */
#define ALL(event, rows)                                                                           \
    TANK("1", "F1", event, rows) TANK("2", "F2", event, rows) TANK("3", "F3", event, rows)
#define QUIET PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")

/* What counts as beer at rest: three tanks that jump by the same tell of the meter only then. */
static void rests(void **state)
{
    static const struct {
        const char *title, *text, *meter;
        double by;
    } rows[] = {
        {"at rest", ALL("", QUIET), "M2", 0.20},
        {"pH fell by a tenth a day",
         ALL("",
             PH("05 08:00", "4.30", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0.20},
        {"by more",
         ALL("",
             PH("05 08:00", "4.31", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0},
        {"by two tenths in two days",
         ALL("",
             PH("04 08:00", "4.40", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0.20},
        {"by more in two days",
         ALL("",
             PH("04 08:00", "4.41", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0},
        {"by a tenth in an hour",
         ALL("",
             PH("06 07:00", "4.30", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0.20},
        {"the last reading is four days old",
         ALL("",
             PH("02 08:00", "4.20", "M1") PH("03 08:00", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0.20},
        {"it is older",
         ALL("",
             PH("02 08:00", "4.20", "M1") PH("03 07:59", "4.20", "M1") READ("07 08:00", "4.40")),
         "M2", 0},
        {"two meters in one minute are one reading before",
         ALL("", PH("06 08:00", "4.20", "M1") READ("06 08:00", "4.20") READ("07 08:00", "4.40")),
         "M2", 0},
        {"both meters in each tank, one of them off",
         ALL("", PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")
                     PH("07 08:05", "4.20", "M1")),
         "M2", 0.20},
        {"one reading before is no rest",
         ALL("", PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.40")), "M2", 0},
        {"hops since", ALL(EVENT("06 10:00", "dry hop"), QUIET), "M2", 0},
        {"hops on the minute of the reading", ALL(EVENT("07 08:00", "dry hop"), QUIET), "M2", 0},
        {"hops after it", ALL(EVENT("07 08:01", "dry hop"), QUIET), "M2", 0.20},
        {"hops on the minute of the last one", ALL(EVENT("06 08:00", "dry hop"), QUIET), "M2", 0},
        {"hops before the last one", ALL(EVENT("06 07:59", "dry hop"), QUIET), "M2", 0.20},
        {"pitched since", ALL(EVENT("06 10:00", "pitch"), QUIET), "M2", 0},
        {"pitched again since",
         ALL("events: [{at: 2026-10-01 13:00, what: pitch}, {at: 2026-11-06 10:00, what: pitch}]\n",
             QUIET),
         "M2", 0},
        {"sugar since", ALL(EVENT("06 10:00", "addition"), QUIET), "M2", 0},
        {"krausen since", ALL(EVENT("06 10:00", "krausen"), QUIET), "M2", 0},
        {"roused since", ALL(EVENT("06 10:00", "rouse"), QUIET), "M2", 0},
        {"chilled since", ALL(EVENT("06 10:00", "chill"), QUIET), "M2", 0},
        {"closed since", ALL(EVENT("06 10:00", "close"), QUIET), "M2", 0.20},
        {"vented since", ALL(EVENT("06 10:00", "vent"), QUIET), "M2", 0.20},
        {"apart by half as much as they are off",
         TANK("1", "F1", "",
              PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.30"))
             TANK("2", "F2", "", QUIET)
                 TANK("3", "F3", "",
                      PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1")
                          READ("07 08:00", "4.50")),
         "M2", 0.20},
        {"by more",
         TANK("1", "F1", "",
              PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.29"))
             TANK("2", "F2", "", QUIET)
                 TANK("3", "F3", "",
                      PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1")
                          READ("07 08:00", "4.51")),
         "M2", 0},
        {"twice in one tank counts once",
         TANK("1", "F1", "", QUIET READ("07 08:10", "4.40")) TANK("2", "F2", "", QUIET), "M2", 0},
        {"low",
         ALL("",
             PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.05")),
         "M2", -0.15},
        {"0.09 is within its wander",
         ALL("",
             PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1") READ("07 08:00", "4.29")),
         "M2", 0},
        {"a day within its wander is a measure for the next",
         ALL("", PH("04 08:00", "4.20", "M1") PH("05 08:00", "4.20", "M1") READ("06 08:00", "4.29")
                     READ("07 08:00", "4.50")),
         "M2", 0.21},
        {"off the end of the scale is no measure",
         ALL("", PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1")
                     READ("07 08:00", "\">4.40\"")),
         "M2", 0},
        {"a meter that nobody wrote down",
         ALL("", PH("05 08:00", "4.20", "M1")
                     PH("06 08:00", "4.20", "M1") "  - {at: 2026-11-07 08:00, ph: 4.40}\n"),
         "M2", 0},
        {"a meter that nobody declared",
         ALL("", PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1")
                     PH("07 08:00", "4.40", "M9")),
         "M2", 0},
        {"a strip is not compared",
         ALL("", PH("05 08:00", "4.20", "M1") PH("06 08:00", "4.20", "M1")
                     PH("07 08:00", "4.60", "S1")),
         "S1", 0},
        {"gravity, apart by half as much as it is off",
         TANK("1", "F1", "", G("05 08:00", "2.25") G("06 08:00", "2.25") G("07 08:00", "2.50"))
             TANK("2", "F2", "", G("05 08:00", "2.25") G("06 08:00", "2.25") G("07 08:00", "2.75"))
                 TANK("3", "F3", "",
                      G("05 08:00", "2.25") G("06 08:00", "2.25") G("07 08:00", "3.00")),
         "D1", 0.50},
        {"gravity off by a quarter",
         ALL("", G("05 08:00", "2.50") G("06 08:00", "2.50") G("07 08:00", "2.75")), "D1", 0.25},
        {"by less", ALL("", G("05 08:00", "2.50") G("06 08:00", "2.50") G("07 08:00", "2.74")),
         "D1", 0},
        {"gravity that fell by 0.15",
         ALL("", G("05 08:00", "2.65") G("06 08:00", "2.50") G("07 08:00", "2.80")), "D1", 0.30},
        {"by more", ALL("", G("05 08:00", "2.66") G("06 08:00", "2.50") G("07 08:00", "2.80")),
         "D1", 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct meters meters = load(&test, rows[i].text, moment("10 07:00"));
        const struct meter *meter = meter_find(&meters, str_of(rows[i].meter));
        const struct meter_shift *shift =
            meter_shift_on(meter, test.book.cellar->zone, moment("07 09:00"));
        near(rows[i].title, "shift", shift == NULL ? 0 : shift->by, rows[i].by, 1e-6);
        assert_int_equal(meter->shifts.n, rows[i].by != 0);
        assert_int_equal(all_shifts(&meters), meter->shifts.n);
        if (shift != NULL) {
            assert_int_equal(shift->at, moment("07 08:00"));
            assert_int_equal(shift->tanks, 3);
        }
        anomaly_test_close(&test);
    }
}

static void words_of_a_shift(void **state)
{
    struct anomaly_test test;
    struct meters meters = load(&test, ALL("", QUIET), moment("10 07:00"));
    const struct meter *meter = meter_find(&meters, STR("M2"));
    int64_t at = moment("07 09:00");
    unsigned doubts = meter_doubts(meter, test.book.cellar->zone, at, NULL);
    struct buf words = buf_new(&test.arena);
    (void)state;
    assert_int_equal(doubts, METER_NEVER | METER_SHIFTED);
    meter_write_doubt(&words, meter, test.book.cellar->zone, NULL, at, doubts);
    assert_string_equal(words.p, "M2 read 0.20 too high in 3 tanks on Sat 7 Nov");
    words = buf_new(&test.arena); /* the shift itself is not asked for */
    meter_write_doubt(&words, meter, test.book.cellar->zone, NULL, at, METER_NEVER);
    assert_string_equal(words.p, "M2 has no calibration in the plant log");
    anomaly_test_close(&test);
}

/* In the unit of the house where it is told; at 2.5 P a thousandth of SG is a quarter of a Plato.
 */
static void words_of_an_error(void **state)
{
    static const struct {
        enum quantity quantity;
        const char *unit;
        double by;
        const char *words;
    } OFF[] = {
        {QUANTITY_PH, "SG", 0.2, "0.20 too high"},
        {QUANTITY_GRAVITY, NULL, -0.3, "0.3 P too low"},
        {QUANTITY_GRAVITY, "P", 0.3, "0.3 P too high"},
        {QUANTITY_GRAVITY, "SG", 0.25, "0.001 SG too high"},
        {QUANTITY_GRAVITY, "SG", -0.38, "0.0015 SG too low"},
    };
    struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < sizeof OFF / sizeof OFF[0]; i++) {
        struct buf words = buf_new(&arena);
        meter_write_off(&words, OFF[i].quantity,
                        OFF[i].unit == NULL ? NULL : quantity_unit_find(str_of(OFF[i].unit)),
                        OFF[i].by);
        assert_string_equal(words.p, OFF[i].words);
    }
    arena_free(&arena);
}

/* As many digits as show that a figure is outside, three at most. */
static void outside(void **state)
{
    static const struct {
        const char *title;
        double value;
        const char *says;
    } rows[] = {
        {"a whole number shows it", 91.4, "91"},
        {"above", 102.6, "103"},
        {"92 would be within, so a digit more", 91.6, "91.6"},
        {"102 would be", 102.4, "102.4"},
        {"92.0 would be too", 91.96, "91.96"},
        {"102.0 would be", 102.04, "102.04"},
        {"half of the last digit is rounded up", 91.95, "91.95"},
        {"and of the next", 91.995, "91.995"},
        {"three digits are enough for anybody", 91.99996, "92.000"},
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct buf buf = buf_new(&arena);
        meter_write_outside(&buf, rows[i].value, METER_SLOPE_LOW, METER_SLOPE_HIGH);
        if (strcmp(buf.p, rows[i].says) != 0)
            fail_msg("%s: %s, not %s", rows[i].title, buf.p, rows[i].says);
    }
    arena_free(&arena);
}

/* Pairs of one sample, or of neighbouring days at rest. */
static void pairs(void **state)
{
    static const struct {
        const char *title, *text;
        size_t n;
        double difference; /* M1 less M2 */
    } rows[] = {
        {"two hours apart",
         TANK("1", "F1", "", PH("05 08:00", "4.60", "M1") PH("05 10:00", "4.50", "M2")), 1, 0.10},
        {"longer", TANK("1", "F1", "", PH("05 08:00", "4.60", "M1") PH("05 10:01", "4.50", "M2")),
         0, 0},
        {"the other first",
         TANK("1", "F1", "", PH("05 08:00", "4.60", "M2") PH("05 08:10", "4.50", "M1")), 1, -0.10},
        {"both in one minute, then the first again",
         TANK("1", "F1", "",
              PH("05 08:00", "4.60", "M1") PH("05 08:00", "4.50", "M2")
                  PH("05 08:10", "4.60", "M1")),
         1, 0.10},
        {"off the end of the scale",
         TANK("1", "F1", "", PH("05 08:00", "4.60", "M1") PH("05 08:10", "\">4.50\"", "M2")), 0, 0},
        {"one meter twice",
         TANK("1", "F1", "", PH("05 08:00", "4.60", "M1") PH("05 08:10", "4.50", "M1")), 0, 0},
        {"at rest, a day and a half apart",
         TANK("1", "F1", "",
              PH("04 20:00", "4.20", "M1") PH("05 20:00", "4.20", "M1")
                  PH("07 08:00", "4.25", "M2")),
         1, -0.05},
        {"longer",
         TANK("1", "F1", "",
              PH("04 20:00", "4.20", "M1") PH("05 20:00", "4.20", "M1")
                  PH("07 08:01", "4.25", "M2")),
         0, 0},
        {"on its way",
         TANK("1", "F1", "",
              PH("04 20:00", "4.50", "M1") PH("05 20:00", "4.20", "M1")
                  PH("06 20:00", "4.25", "M2")),
         0, 0},
        {"a day later, hops between",
         TANK("1", "F1", EVENT("06 10:00", "dry hop"),
              PH("04 20:00", "4.20", "M1") PH("05 20:00", "4.20", "M1")
                  PH("06 20:00", "4.25", "M2")),
         0, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        struct meters meters = load(&test, rows[i].text, moment("10 07:00"));
        if (meters.pairs.n != rows[i].n)
            fail_msg("%s: %zu pairs", rows[i].title, meters.pairs.n);
        for (size_t k = 0; k < meters.pairs.n; k++) {
            assert_ptr_equal(meters.pairs.items[k].a, meter_find(&meters, STR("M1")));
            assert_ptr_equal(meters.pairs.items[k].b, meter_find(&meters, STR("M2")));
            near(rows[i].title, "difference", meters.pairs.items[k].difference, rows[i].difference,
                 1e-9);
        }
        anomaly_test_close(&test);
    }
}

/* Which calibration stands before and behind a moment, in whatever order the log has them. */
static void checks_by_time(void **state)
{
    struct anomaly_test test;
    struct meters meters =
        load(&test,
             LOG CAL("06 07:00", "M1", MV("6", "172")) CAL("04 07:00", "M1", MV("4", "172"))
                 CAL("05 07:00", "M1", MV("5", "172")) CAL("05 12:00", "M2", MV("5", "172"))
                     CAL("10 07:00", "M1", MV("10", "172")) CAL("10 07:01", "M1", MV("11", "172")),
             moment("10 07:00"));
    const struct meter *meter = &meters.items[0];
    (void)state;
    assert_int_equal(meter->checks.n,
                     4); /* M2's is not its own, the one after now is not known yet */
    assert_null(meter_last_check(meter, moment("04 06:59")));
    assert_int_equal(meter_last_check(meter, moment("04 07:00"))->at, moment("04 07:00"));
    assert_int_equal(meter_last_check(meter, moment("06 06:59"))->at, moment("05 07:00"));
    assert_int_equal(meter_next_check(meter, moment("03 07:00"))->at, moment("04 07:00"));
    assert_int_equal(meter_next_check(meter, moment("04 07:00"))->at, moment("05 07:00"));
    assert_null(meter_next_check(meter, moment("10 07:00")));
    anomaly_test_close(&test);
}

/* Beer that was split shares what was read before: one tank, however many it fills now. */
static void split(void **state)
{
    static const char BATCH[] =
        "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 08:00\nvolume: 30 hL\noriginal: 12.0 P\n"
        "tanks:\n  - {tank: F1, from: 2026-11-01 08:00, to: 2026-11-08 12:00}\n"
        "  - {tank: F2, from: 2026-11-08 12:00, volume: 10 hL}\n"
        "  - {tank: F3, from: 2026-11-08 12:00, volume: 10 hL}\n"
        "  - {tank: F4, from: 2026-11-08 12:00, volume: 10 hL}\nreadings:\n"
        "  - {at: 2026-11-05 08:00, ph: 4.20, ph-meter: M1}\n"
        "  - {at: 2026-11-06 08:00, ph: 4.20, ph-meter: M1}\n"
        "  - {at: 2026-11-07 08:00, ph: 4.40, ph-meter: M1}\n"
        "  - {at: 2026-11-08 08:00, ph: 4.20, ph-meter: M1}\n"
        "  - {at: 2026-11-08 08:10, ph: 4.25, ph-meter: M2}\n";
    struct anomaly_test test;
    (void)state;
    struct meters meters = load(&test, BATCH, moment("08 13:00"));
    assert_int_equal(all_shifts(&meters), 0);
    assert_int_equal(meters.pairs.n, 1);
    anomaly_test_close(&test);
}

/* A shifted day is not the measure of the next: the meter that reads right again is not blamed. */
static void next_day(void **state)
{
    struct anomaly_test test;
    const char *text = REST("1", "F1", PH("07 08:00", "4.40", "M2") PH("08 08:00", "4.20", "M1"))
        REST("2", "F2", PH("07 08:05", "4.39", "M2") PH("08 08:05", "4.21", "M1"))
            REST("3", "F3", PH("07 08:10", "4.42", "M2") PH("08 08:10", "4.20", "M1"));
    (void)state;
    struct meters meters = load(&test, text, moment("10 07:00"));
    assert_int_equal(meter_find(&meters, STR("M1"))->shifts.n, 0);
    assert_int_equal(meter_find(&meters, STR("M2"))->shifts.n, 1);
    assert_int_equal(meters.pairs.n, 0); /* shifted days are no pairs */
    anomaly_test_close(&test);
}

#define GOOD_WEEK                                                                                  \
    CAL("02 07:00", "M1", MV("-1", "170"))                                                         \
    CAL("03 07:00", "M1", MV("-2", "168"))                                                         \
    CAL("04 07:00", "M1", MV("-2", "170")) CAL("05 07:00", "M1", MV("-1", "168"))
#define WEAR                                                                                       \
    CAL("01 07:00", "M1", MV("0", "174"))                                                          \
    CAL("02 07:00", "M1", MV("0", "173"))                                                          \
    CAL("03 07:00", "M1", MV("0", "172"))                                                          \
    CAL("04 07:00", "M1", MV("0", "171"))                                                          \
    CAL("05 07:00", "M1", MV("0", "170"))                                                          \
    CAL("06 07:00", "M1", MV("0", "169"))                                                          \
    CAL("07 07:00", "M1", MV("0", "168"))                                                          \
    CAL("08 07:00", "M1", MV("0", "167")) CAL("09 07:00", "M1", MV("0", "166"))

#define SOUND "calibrated, nothing against it"
/* Eight days' slopes, the last first. */
#define FALLING(seven, a, b, c, d, e, f, g, h)                                                     \
    CAL("09 07:00", "M1", MV(seven, a))                                                            \
    CAL("08 07:00", "M1", MV(seven, b))                                                            \
    CAL("07 07:00", "M1", MV(seven, c))                                                            \
    CAL("06 07:00", "M1", MV(seven, d))                                                            \
    CAL("05 07:00", "M1", MV(seven, e))                                                            \
    CAL("04 07:00", "M1", MV(seven, f))                                                            \
    CAL("03 07:00", "M1", MV(seven, g)) CAL("02 07:00", "M1", MV(seven, h))
#define SEVEN                                                                                      \
    CAL("09 07:00", "M1", MV("0", "166"))                                                          \
    CAL("08 07:00", "M1", MV("0", "167"))                                                          \
    CAL("07 07:00", "M1", MV("0", "168"))                                                          \
    CAL("06 07:00", "M1", MV("0", "169"))                                                          \
    CAL("05 07:00", "M1", MV("0", "170"))                                                          \
    CAL("04 07:00", "M1", MV("0", "171")) CAL("03 07:00", "M1", MV("0", "172"))
#define APART(ph)                                                                                  \
    TANK("1", "F1", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", ph, "M2"))                     \
    TANK("2", "F2", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", ph, "M2"))                     \
    TANK("3", "F3", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", ph, "M2"))                     \
    LOG CAL("10 06:00", "M1", MV("0", "172")) CAL("10 06:00", "M2", MV("0", "172"))
/* Ninety days before the tenth of November it was the twelfth of August. */
#define THEN(number, tank, at)                                                                     \
    "---\nbatch: " number "\nbeer: Pale\nbrewed: 2026-08-01 12:00\n"                               \
    "tanks: [{tank: " tank ", from: 2026-08-01 12:00}]\nreadings:\n"                               \
    "  - {at: 2026-08-12 06:50, ph: 4.20, ph-meter: M1}\n"                                         \
    "  - {at: 2026-08-" at ", ph: 4.40, ph-meter: M2}\n"
#define LONG_AGO(at)                                                                               \
    THEN("1", "F1", at)                                                                            \
    THEN("2", "F2", at)                                                                            \
    THEN("3", "F3", at)                                                                            \
    LOG CAL("10 06:00", "M1", MV("0", "172")) CAL("10 06:00", "M2", MV("0", "172"))
#define D2(at, plato) "  - {at: 2026-11-" at ", gravity: " plato " P, gravity-meter: D2}\n"
#define DENSITY(plato)                                                                             \
    TANK("1", "F1", "", G("06 08:00", "2.50") D2("06 08:10", plato))                               \
    TANK("2", "F2", "", G("06 08:00", "2.50") D2("06 08:10", plato))                               \
    TANK("3", "F3", "", G("06 08:00", "2.50") D2("06 08:10", plato))                               \
    LOG CAL("10 06:00", "D1", "water: 0.0 P") CAL("10 06:00", "D2", "water: 0.0 P")

/* The offset of eight days, rising by one and falling by one. */
#define RISES                                                                                      \
    CAL("09 07:00", "M1", MV("29", "201"))                                                         \
    CAL("08 07:00", "M1", MV("28", "200"))                                                         \
    CAL("07 07:00", "M1", MV("27", "199"))                                                         \
    CAL("06 07:00", "M1", MV("26", "198"))                                                         \
    CAL("05 07:00", "M1", MV("25", "197"))                                                         \
    CAL("04 07:00", "M1", MV("24", "196"))                                                         \
    CAL("03 07:00", "M1", MV("23", "195"))                                                         \
    CAL("02 07:00", "M1", MV("22", "194"))
#define FALLS                                                                                      \
    CAL("09 07:00", "M1", MV("-28", "144"))                                                        \
    CAL("08 07:00", "M1", MV("-27", "145"))                                                        \
    CAL("07 07:00", "M1", MV("-26", "146"))                                                        \
    CAL("06 07:00", "M1", MV("-25", "147"))                                                        \
    CAL("05 07:00", "M1", MV("-24", "148"))                                                        \
    CAL("04 07:00", "M1", MV("-23", "149"))                                                        \
    CAL("03 07:00", "M1", MV("-22", "150"))                                                        \
    CAL("02 07:00", "M1", MV("-21", "151"))

static void trust(void **state)
{
    static const struct {
        const char *title, *text, *meter;
        enum trust_verdict verdict;
        const char *says;
    } rows[] = {
        {"in order", LOG GOOD_WEEK, "M1", TRUST_YES, SOUND},
        {"worn", LOG CAL("09 07:00", "M1", MV("0", "150")), "M1", TRUST_NO,
         "slope 85 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"dirty", LOG CAL("09 07:00", "M1", MV("-40", "132")), "M1", TRUST_NO,
         "-40 mV at pH 7, sound is within 30: clean the electrode, calibrate, else replace it"},
        {"off in water", LOG CAL("09 07:00", "D1", "water: -0.4 P"), "D1", TRUST_NO,
         "read -0.4 P in water: clean and adjust it"},
        {"overdue", LOG CAL("02 07:00", "M1", MV("0", "172")), "M1", TRUST_CHECK,
         "calibrate it before use: due since 9 Nov 07:00"},
        {"never", LOG, "M1", TRUST_CHECK, "no calibration in the plant log"},
        {"one buffer", LOG CAL("09 07:00", "M1", "buffers: [{ph: 7.00, mv: 0}]"), "M1", TRUST_CHECK,
         "its last calibration has not two buffers around beer: take 4.01 and 7.00"},
        {"a strip", LOG, "S1", TRUST_CHECK,
         "a strip is good to 0.1..0.4 and says nothing beyond its ends"},
        {"wearing fast", LOG WEAR, "M1", TRUST_CHECK,
         "its slope will leave the limits about 12 Nov: have a new electrode ready"},
        {"a hydrometer", LOG, "H1", TRUST_YES,
         "no calibration asked for; read it in water now and then"},
        {"shifted since",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("07 08:10", "4.42", "M2"))
                 LOG CAL("06 07:00", "M2", MV("0", "172")),
         "M2", TRUST_NO, "read 0.19 too high in 3 tanks on 7 Nov and was not calibrated since"},
        {"shifted, and calibrated since",
         REST("1", "F1", PH("07 08:00", "4.40", "M2")) REST("2", "F2", PH("07 08:05", "4.39", "M2"))
             REST("3", "F3", PH("07 08:10", "4.42", "M2"))
                 LOG CAL("09 07:00", "M2", MV("0", "172")),
         "M2", TRUST_YES, "read 0.19 too high in 3 tanks on 7 Nov, calibrated since"},
        {"apart from the other one",
         REST("1", "F1", PH("06 08:30", "4.36", "M2"))
             REST("2", "F2", PH("06 08:30", "4.34", "M2") PH("06 09:00", "4.35", "M2"))
                 LOG CAL("09 07:00", "M2", MV("0", "172")),
         "M2", TRUST_YES, SOUND},
        {"apart in three samples",
         REST("1", "F1", PH("06 08:30", "4.36", "M2")) REST("2", "F2", PH("06 08:30", "4.34", "M2"))
             REST("3", "F3", PH("06 08:30", "4.35", "M2"))
                 LOG CAL("09 07:00", "M2", MV("0", "172")),
         "M2", TRUST_CHECK, "reads 0.14 higher than M1 (3 pairs): calibrate both in fresh buffers"},
        {"a slope of 92 %", LOG CAL("09 07:00", "M1", MV("0", "163")), "M1", TRUST_YES, SOUND},
        {"a slope of 103 %", LOG CAL("09 07:00", "M1", MV("0", "182")), "M1", TRUST_NO,
         "slope 103 %, sound is 92..102: clean the electrode, calibrate, else replace it"},
        {"a slope of 102 %", LOG CAL("09 07:00", "M1", MV("0", "180")), "M1", TRUST_YES, SOUND},
        {"an offset of 30 mV", LOG CAL("09 07:00", "M1", MV("30", "202")), "M1", TRUST_YES, SOUND},
        {"0.2 P in water", LOG CAL("09 07:00", "D1", "water: 0.2 P"), "D1", TRUST_YES, SOUND},
        {"due two hours ago", LOG CAL("03 05:00", "M1", MV("0", "172")), "M1", TRUST_YES, SOUND},
        {"due two hours and a minute ago", LOG CAL("03 04:59", "M1", MV("0", "172")), "M1",
         TRUST_CHECK, "calibrate it before use: due since 10 Nov 04:59"},
        {"leaves in two weeks",
         LOG FALLING("0", "170.4", "170.9", "171.4", "171.9", "172.4", "172.9", "173.4", "173.9"),
         "M1", TRUST_CHECK,
         "its slope will leave the limits about 24 Nov: have a new electrode ready"},
        {"later",
         LOG FALLING("0", "170.5", "171.0", "171.5", "172.0", "172.5", "173.0", "173.5", "174.0"),
         "M1", TRUST_YES, SOUND},
        {"seven calibrations make no trend", LOG SEVEN, "M1", TRUST_YES, SOUND},
        {"the offset rises", LOG RISES, "M1", TRUST_CHECK,
         "its offset will leave the limits about 10 Nov: have a new electrode ready"},
        {"the offset falls", LOG FALLS, "M1", TRUST_CHECK,
         "its offset will leave the limits about 11 Nov: have a new electrode ready"},
        {"0.10 apart", APART("4.30"), "M2", TRUST_CHECK,
         "reads 0.10 higher than M1 (3 pairs): calibrate both in fresh buffers"},
        {"0.10 the other way", APART("4.10"), "M2", TRUST_CHECK,
         "reads 0.10 lower than M1 (3 pairs): calibrate both in fresh buffers"},
        {"and seen from the other one", APART("4.10"), "M1", TRUST_CHECK,
         "reads 0.10 higher than M2 (3 pairs): calibrate both in fresh buffers"},
        {"0.09 apart", APART("4.29"), "M2", TRUST_YES, SOUND},
        {"apart three months ago", LONG_AGO("12 07:00"), "M2", TRUST_CHECK,
         "reads 0.20 higher than M1 (3 pairs): calibrate both in fresh buffers"},
        {"apart longer ago", LONG_AGO("12 06:59"), "M2", TRUST_YES, SOUND},
        {"two density meters apart", DENSITY("2.75"), "D2", TRUST_CHECK,
         "reads 0.2 higher than D1 (3 pairs): read water with both"},
        {"less", DENSITY("2.74"), "D2", TRUST_YES, SOUND},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct anomaly_test test;
        int64_t now = moment("10 07:00");
        struct meters meters = load(&test, rows[i].text, now);
        struct trust result = trust_judge(&meters, meter_find(&meters, str_of(rows[i].meter)),
                                          &test.arena, test.book.cellar, now);
        if (result.verdict != rows[i].verdict || strcmp(result.why, rows[i].says) != 0)
            fail_msg("%s: %s, %s", rows[i].title, TRUST_VERDICTS[result.verdict], result.why);
        anomaly_test_close(&test);
    }
}

/* The figures behind the verdict. */
static void trust_figures(void **state)
{
    struct anomaly_test test;
    int64_t now = moment("10 07:00");
    struct meters meters =
        load(&test,
             TANK("1", "F1", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", "4.30", "M2"))
                 TANK("2", "F2", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", "4.40", "M2"))
                     TANK("3", "F3", "", PH("06 08:00", "4.20", "M1") PH("06 08:10", "4.50", "M2"))
                         LOG WEAR,
             now);
    struct trust trust = trust_judge(&meters, &meters.items[0], &test.arena, test.book.cellar, now);
    (void)state;
    assert_true(trust.has_due);
    assert_int_equal(trust.due_at, moment("16 07:00"));
    near("due", "days", trust.days_to_due, 6, 1e-9);
    assert_true(trust.slope.is_moving && trust.slope.leaves);
    /* 1 mV a day of 59.16 mV for each of 2.994 pH: 0.565 % a day */
    near("wear", "percent a month", trust.slope.per_month, -16.94, 0.01);
    near("wear", "days to 92 %", (double)(trust.slope.leaves_at - now) / CIVIL_DAY, 2.04, 0.02);
    assert_int_equal(trust.pairs.n, 3);
    assert_ptr_equal(trust.pairs.other, &meters.items[1]);
    near("pairs", "difference", trust.pairs.difference, -0.2, 1e-9);
    near("pairs", "low", trust.pairs.low, -0.2 - 1.96 * 0.1, 1e-9);
    near("pairs", "high", trust.pairs.high, -0.2 + 1.96 * 0.1, 1e-9);
    anomaly_test_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calibrations),
        cmocka_unit_test(doubts),
        cmocka_unit_test(shifts),
        cmocka_unit_test(rests),
        cmocka_unit_test(pairs),
        cmocka_unit_test(checks_by_time),
        cmocka_unit_test(next_day),
        cmocka_unit_test(split),
        cmocka_unit_test(words_of_a_shift),
        cmocka_unit_test(words_of_an_error),
        cmocka_unit_test(outside),
        cmocka_unit_test(trust),
        cmocka_unit_test(trust_figures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
