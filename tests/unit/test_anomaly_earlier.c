/* Against the beer's earlier batches: the control charts, and the bands on its way. */
#include "anomaly_story.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* What eleven batches came to, the newest last; 0: as usual, -1: not known. */
struct chart_row {
    const char *title;
    int n; /* of the last ones that are there */
    double plato[11], hours[11], ph[11];
    const char *found, *says; /* says: NULL: not looked at */
};

#define USUAL 2.4, 2.5, 2.3, 2.4, 2.4, 2.5, 2.4, 2.3, 2.5, 2.4
#define SAME  2.4, 2.4, 2.4, 2.4, 2.4, 2.4, 2.4, 2.4, 2.4, 2.4
#define BOTH  "trend-gravity:note trend-attenuation:note"

static const struct chart_row CHART_ROWS[] = {
    {"as always", 11, {USUAL, 2.4}, {0}, {0}, "", NULL},
    {"at the edge", 11, {USUAL, 2.70}, {0}, {0}, "", NULL},
    {"beyond it",
     11,
     {USUAL, 2.71},
     {0},
     {0},
     BOTH,
     "Pale: Pale 0011: final gravity 2.7 P | 2.1..2.7 P | its 10 earlier batches | beyond three "
     "standard deviations\n"
     "Pale: Pale 0011: apparent attenuation 77.4 % | 77.5..82.4 % | its 10 earlier batches | "
     "beyond three standard deviations"},
    {"below it", 11, {USUAL, 2.11}, {0}, {0}, BOTH, NULL},
    {"just within it", 11, {USUAL, 2.12}, {0}, {0}, "", NULL},
    {"eight batches before", 9, {USUAL, 2.9}, {0}, {0}, BOTH, NULL},
    {"seven are too few", 8, {USUAL, 2.9}, {0}, {0}, "", NULL},
    {"eight in a row above",
     11,
     {2.0, 2.0, 2.0, 2.4, 2.4, 2.4, 2.4, 2.6, 2.4, 2.5, 2.4},
     {0},
     {0},
     BOTH,
     "Pale: Pale 0011: final gravity 2.4 P | 2.0..2.6 P | its 10 earlier batches | eight in a row "
     "on one side\n"
     "Pale: Pale 0011: apparent attenuation 80.0 % | 78.5..83.0 % | its 10 earlier batches | eight "
     "in a row on one side"},
    {"eight in a row above, the last by less than half a digit",
     11,
     {2.0, 2.0, 2.0, 2.4, 2.4, 2.4, 2.4, 2.6, 2.4, 2.5, 2.35},
     {0},
     {0},
     "",
     NULL},
    {"seven in a row",
     11,
     {2.2, 2.6, 2.2, 2.2, 2.5, 2.4, 2.5, 2.4, 2.5, 2.4, 2.5},
     {0},
     {0},
     "",
     NULL},
    {"drifting",
     11,
     {2.4, 2.5, 2.3, 2.4, 2.4, 2.5, 2.6, 2.6, 2.65, 2.65, 2.65},
     {0},
     {0},
     BOTH,
     NULL},
    {"a small shift that lasts",
     11,
     {2.4, 2.2, 2.3, 2.3, 2.4, 2.4, 2.5, 2.6, 2.5, 2.5, 2.5},
     {0},
     {0},
     BOTH,
     "Pale: Pale 0011: final gravity 2.5 P | 2.2..2.6 P | its 10 earlier batches | a small shift "
     "that lasts: its cumulative sum has left its limits\n"
     "Pale: Pale 0011: apparent attenuation 79.2 % | 78.2..81.6 % | its 10 earlier batches | a "
     "small shift that lasts: its cumulative sum has left its limits"},
    {"the same, and the last one back at the mean",
     11,
     {2.4, 2.2, 2.3, 2.3, 2.4, 2.4, 2.5, 2.6, 2.5, 2.5, 2.4},
     {0},
     {0},
     "",
     NULL},
    {"equal to the last digit", 11, {SAME, 2.4}, {0}, {0}, "", NULL},
    {"a tenth off what was always equal", 11, {SAME, 2.5}, {0}, {0}, "", NULL},
    {"two tenths off",
     11,
     {SAME, 2.6},
     {0},
     {0},
     BOTH,
     "Pale: Pale 0011: final gravity 2.6 P | 2.2..2.5 P | its 10 earlier batches | beyond three "
     "standard deviations\n"
     "Pale: Pale 0011: apparent attenuation 78.3 % | 78.8..81.2 % | its 10 earlier batches | "
     "beyond three standard deviations"},
    {"18 h later than always", 11, {0}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 118}, {0}, "", NULL},
    {"19 h later",
     11,
     {0},
     {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 119},
     {0},
     "trend-time:note",
     "Pale: Pale 0011: time to the end 119 h | 82..118 h | its 10 earlier batches | beyond three "
     "standard deviations"},
    {"19 h sooner", 11, {0}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 81}, {0}, "trend-time:note", NULL},
    {"pH 0.03 off", 11, {0}, {0}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 4.229}, "", NULL},
    {"a little more",
     11,
     {0},
     {0},
     {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 4.232},
     "trend-ph:note",
     "Pale: Pale 0011: final pH 4.23 | 4.17..4.23 | its 10 earlier batches | beyond three standard "
     "deviations"},
    {"no pH of the last one", 11, {0}, {0}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 4.3, -1}, "", NULL},
    {"pH of eight before it",
     11,
     {0},
     {0},
     {-1, -1, 0, 0, 0, 0, 0, 0, 0, 0, 4.3},
     "trend-ph:note",
     NULL},
    {"of seven", 11, {0}, {0}, {-1, -1, -1, 0, 0, 0, 0, 0, 0, 0, 4.3}, "", NULL},
};

#define EMPTY "---\nplant: 2026-11\n"

/* Judges batches a month apart, of which the last was called finished some hours ago. */
static struct str judge_batches(struct anomaly_test *test, struct history_batch *batches, size_t n,
                                double called_hours_ago, const char *book,
                                struct anomaly_findings *findings)
{
    static struct history history;
    history = (struct history){.batches = {batches, n}};
    int64_t now = moment("25 07:00");
    for (size_t k = 0; k < n; k++) {
        batches[k].beer = STR("Pale");
        batches[k].steady_hours = 140;
        batches[k].zero = now - (int64_t)((140 + called_hours_ago) * CIVIL_HOUR) -
                          (int64_t)(n - 1 - k) * 30 * CIVIL_DAY;
    }
    /* in whatever order the history has them */
    struct history_batch first = batches[0];
    batches[0] = batches[n - 1];
    batches[n - 1] = first;
    anomaly_test_open(test, CELLAR);
    anomaly_test_load(test, book, now);
    test->judged.history = &history;
    *findings = anomaly_judge(&test->judged);
    return describe(&test->arena, findings);
}

static void charts(void **state)
{
    static const char *const NUMBERS[] = {"0001", "0002", "0003", "0004", "0005", "0006",
                                          "0007", "0008", "0009", "0010", "0011"};
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < COUNT(CHART_ROWS); i++) {
        const struct chart_row *row = &CHART_ROWS[i];
        struct history_batch batches[11];
        struct history_point points[11];
        struct anomaly_test test;
        struct anomaly_findings findings;
        size_t n = (size_t)row->n;
        for (size_t k = 0; k < n; k++) {
            size_t at = 11 - n + k;
            points[k] = (struct history_point){.hours = 120,
                                               .plato = NAN,
                                               .celsius = NAN,
                                               .ph = row->ph[at] < 0   ? NAN
                                                     : row->ph[at] > 0 ? row->ph[at]
                                                                       : 4.2};
            batches[k] =
                (struct history_batch){.number = str_of(NUMBERS[at]),
                                       .original_plato = 12.0,
                                       .end_plato = row->plato[at] > 0 ? row->plato[at] : 2.4,
                                       .end_hours = row->hours[at] > 0 ? row->hours[at] : 100,
                                       .points = {&points[k], 1}};
        }
        struct str found = judge_batches(&test, batches, n, 24, EMPTY, &findings);
        struct str says = words_of(&test.arena, &findings);
        if (!str_is(found, row->found) || (row->says != NULL && !str_is(says, row->says))) {
            print_error("%s: found \"" STR_FMT "\", says " STR_FMT "\n", row->title, STR_ARG(found),
                        STR_ARG(says));
            wrong++;
        }
        anomaly_test_close(&test);
    }
    assert_int_equal(wrong, 0);
}

/* One batch that got stuck must not hide the next one that ends too high. */
static void outlying_batches_are_left_out(void **state)
{
    enum { MOST_BATCHES = 17 };
    static const struct {
        const char *title;
        size_t n; /* with the new one, which ended at 2.8 P */
        double first, second;
        const char *found, *source;
    } rows[] = {
        {"one of fifteen earlier ones", 16, 4.5, 2.4, BOTH,
         "its 14 earlier batches, 1 more left out as outlying"},
        {"two alike", 17, 4.5, 4.5, BOTH, "its 14 earlier batches, 2 more left out as outlying"},
        {"one far below", 16, 0.8, 2.4, BOTH,
         "its 14 earlier batches, 1 more left out as outlying"},
        {"none is", 16, 2.5, 2.4, BOTH, "its 15 earlier batches"},
        {"fourteen earlier ones are too few to tell", 15, 4.5, 2.4, "", NULL},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        static const double usual[] = {USUAL};
        struct history_batch batches[MOST_BATCHES];
        struct anomaly_test test;
        struct anomaly_findings findings;
        size_t n = rows[i].n;
        for (size_t k = 0; k < n; k++)
            batches[k] = (struct history_batch){.number = STR("1"),
                                                .original_plato = 12.0,
                                                .end_hours = 100,
                                                .end_plato = usual[k % COUNT(usual)]};
        batches[4].end_plato = rows[i].first;
        batches[9].end_plato = rows[i].second;
        batches[n - 1].end_plato = 2.8;
        struct str found = judge_batches(&test, batches, n, 24, EMPTY, &findings);
        if (!str_is(found, rows[i].found))
            fail_msg("%s: found \"" STR_FMT "\"", rows[i].title, STR_ARG(found));
        for (size_t k = 0; k < findings.n; k++)
            if (!str_is(findings.items[k].source, rows[i].source))
                fail_msg("%s: " STR_FMT, rows[i].title, STR_ARG(findings.items[k].source));
        anomaly_test_close(&test);
    }
}

/* A batch is told for two weeks from when it was called finished. */
static void charts_of_late(void **state)
{
    static const struct {
        double hours_ago;
        const char *found;
    } rows[] = {{0, BOTH}, {-0.1, ""}, {14 * 24, BOTH}, {14 * 24 + 0.1, ""}};
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct history_batch batches[11] = {{.end_plato = 0}};
        struct anomaly_test test;
        struct anomaly_findings findings;
        for (size_t k = 0; k < 11; k++)
            batches[k] = (struct history_batch){.number = STR("1"),
                                                .original_plato = 12.0,
                                                .end_hours = 100,
                                                .end_plato = k < 10 ? 2.4 : 3.0};
        struct str found = judge_batches(&test, batches, 11, rows[i].hours_ago, EMPTY, &findings);
        if (!str_is(found, rows[i].found))
            fail_msg("%g h ago: found \"" STR_FMT "\"", rows[i].hours_ago, STR_ARG(found));
        anomaly_test_close(&test);
    }
}

/* A chart has the newest 64 batches, the last one among them. */
static void charts_of_many(void **state)
{
    struct history_batch batches[70];
    struct anomaly_test test;
    struct anomaly_findings findings;
    (void)state;
    for (size_t k = 0; k < 70; k++)
        batches[k] = (struct history_batch){.number = STR("1"),
                                            .original_plato = 12.0,
                                            .end_hours = 100,
                                            .end_plato = k < 6    ? 5.0
                                                         : k < 69 ? 2.4
                                                                  : 2.8};
    struct str found = judge_batches(&test, batches, 70, 24, EMPTY, &findings);
    assert_true(str_is(found, BOTH));
    assert_true(str_is(findings.items[0].source, "its 63 earlier batches"));
    anomaly_test_close(&test);
}

/* Whatever is graver or older: meters first, then tanks, the plant, and the beers. */
static void in_order(void **state)
{
    struct history_batch batches[11];
    struct anomaly_test test;
    struct anomaly_findings findings;
    (void)state;
    for (size_t k = 0; k < 11; k++)
        batches[k] = (struct history_batch){.number = STR("1"),
                                            .original_plato = 12.0,
                                            .end_hours = 100,
                                            .end_plato = k < 10 ? 2.4 : 3.0};
    struct str found = judge_batches(
        &test, batches, 11, 24,
        PALE READINGS R("24 08:00", "ph: 3.55, gravity: 2.8 P, ph-meter: M2") R(
            "24 08:10",
            "ph: 3.55, ph-meter: M2") "---\nplant: 2026-11\nreadings:\n"
                                      "  - {at: 2026-11-24 07:30, check: steam, value: 2.0 bar}\n",
        &findings);
    if (!str_is(found, "meter-doubt:warn ph-low:warn check-missed:note " BOTH))
        fail_msg("found " STR_FMT, STR_ARG(found));
    anomaly_test_close(&test);
}

/* The final pH is the median of the last three warm readings from the end on. */
static void final_ph(void **state)
{
    static const struct {
        const char *title;
        struct history_point points[5];
        size_t n;
        const char *found;
    } rows[] = {
        {"the last three",
         {{110, NAN, 4.60, NAN, false},
          {120, NAN, 4.40, NAN, false},
          {130, NAN, 4.20, NAN, false},
          {140, NAN, 4.20, NAN, false}},
         4,
         ""},
        {"their median, not the last",
         {{120, NAN, 4.20, NAN, false}, {130, NAN, 4.20, NAN, false}, {140, NAN, 4.60, NAN, false}},
         3,
         ""},
        {"cold beer is left out",
         {{120, NAN, 4.20, NAN, false}, {130, NAN, 4.60, NAN, true}, {140, NAN, 4.60, NAN, true}},
         3,
         ""},
        {"and what is before the end",
         {{90, NAN, 4.60, NAN, false}, {99, NAN, 4.60, NAN, false}, {100, NAN, 4.20, NAN, false}},
         3,
         ""},
        {"high in all three",
         {{110, NAN, 4.20, NAN, false},
          {120, NAN, 4.30, NAN, false},
          {130, NAN, 4.30, NAN, false},
          {140, NAN, 4.20, NAN, false}},
         4,
         "trend-ph:note"},
        {"high in one alone", {{100, NAN, 4.30, NAN, false}}, 1, "trend-ph:note"},
        {"none", {{100, NAN, NAN, NAN, false}}, 1, ""},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        static const struct history_point usual = {120, NAN, 4.20, NAN, false};
        struct history_point points[5];
        struct history_batch batches[11];
        struct anomaly_test test;
        struct anomaly_findings findings;
        memcpy(points, rows[i].points, sizeof points);
        struct history_point same = usual;
        for (size_t k = 0; k < 11; k++) {
            batches[k] = (struct history_batch){.number = STR("1"),
                                                .original_plato = 12.0,
                                                .end_hours = 100,
                                                .end_plato = 2.4,
                                                .points = {&same, 1}};
            if (k == 10) {
                batches[k].points.items = points;
                batches[k].points.n = rows[i].n;
            }
        }
        struct str found = judge_batches(&test, batches, 11, 24, EMPTY, &findings);
        if (!str_is(found, rows[i].found))
            fail_msg("%s: found \"" STR_FMT "\"", rows[i].title, STR_ARG(found));
        anomaly_test_close(&test);
    }
}

#define STRONG                                                                                     \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 13.0 P\nwort-ph: 5.10\n"       \
    "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n"

#define SMALL(original)                                                                            \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: " original " P\n"              \
    "wort-ph: 5.10\ntanks: [{tank: F1, from: 2026-11-01 12:00}]\n"

/* Six earlier batches, a little apart from each other, as a history. */
static void brew_earlier(struct history *history, struct arena *arena)
{
    static const double PLATO[] = {11.1, 7.7, 4.2, 2.8, 2.5, 2.5, 2.5};
    static const double PH[] = {4.60, 4.33, 4.24, 4.22, 4.20, 4.20, 4.20};
    static const double APART[] = {-0.2, -0.1, 0, 0, 0.1, 0.2};
    *history = (struct history){.arena = arena};
    for (size_t i = 0; i < sizeof APART / sizeof APART[0]; i++) {
        struct anomaly_test test;
        struct buf buf = buf_new(arena);
        buf_printf(&buf,
                   "---\nbatch: %zu\nbeer: Pale\nbrewed: 2026-09-01 12:00\noriginal: 12.0 P\n"
                   "tanks: [{tank: F1, from: 2026-09-01 12:00}]\nreadings:\n",
                   100 + i);
        for (size_t k = 0; k < sizeof PLATO / sizeof PLATO[0]; k++)
            buf_printf(&buf, "  - {at: 2026-09-%02zu 08:00, gravity: %.1f P, ph: %.2f}\n", k + 2,
                       PLATO[k] + (k < 3 ? APART[i] : 0), PH[k] + APART[i] / 10);
        anomaly_test_open(&test, CELLAR);
        anomaly_test_load(&test, buf.p, moment("01 00:00"));
        struct batch_courses courses =
            batch_courses(test.judged.batches[0], &test.arena, moment("01 00:00"));
        const struct finish_context context = {
            .cellar = test.book.cellar, .arena = &test.arena, .now = moment("01 00:00")};
        struct finish finish = finish_judge(&context, &courses.items[0]);
        history_add(history, &finish);
        anomaly_test_close(&test);
    }
    assert_int_equal(history->batches.n, sizeof APART / sizeof APART[0]);
}

static void against_earlier(void **state)
{
    static const struct row rows[] = {
        {"as the batches before", "04 09:00", PALE READINGS COURSE, ""},
        {"slower, once", "03 09:00", PALE READINGS R("03 08:00", "gravity: 9.5 P"),
         "slow-course:note?"},
        {"slower, twice", "04 09:00",
         PALE READINGS R("03 08:00", "gravity: 9.5 P") R("04 08:00", "gravity: 7.0 P"),
         "slow-course:warn"},
        {"a little slower", "03 09:00", PALE READINGS R("03 08:00", "gravity: 8.2 P"), ""},
        {"faster", "03 09:00", PALE READINGS R("03 08:00", "gravity: 5.5 P"), "fast-course:note"},
        {"pH under theirs, twice", "04 09:00",
         PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.15")
             R("04 08:00", "gravity: 4.2 P, ph: 4.02"),
         "ph-course:warn"},
        {"pH a little under theirs", "03 09:00",
         PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.28"), ""},
        {"0.3 P over the band", "03 09:00", PALE READINGS R("03 08:00", "gravity: 8.41 P"), ""},
        {"more than that", "03 09:00", PALE READINGS R("03 08:00", "gravity: 8.42 P"),
         "slow-course:note?"},
        {"0.3 P under it", "03 09:00", PALE READINGS R("03 08:00", "gravity: 6.96 P"), ""},
        {"more under it", "03 09:00", PALE READINGS R("03 08:00", "gravity: 6.95 P"),
         "fast-course:note"},
        {"a stronger wort's band lies higher", "03 09:00",
         STRONG READINGS R("03 08:00", "gravity: 9.08 P"), ""},
        {"and ends", "03 09:00", STRONG READINGS R("03 08:00", "gravity: 9.09 P"),
         "slow-course:note?"},
        {"pH 0.05 under the band", "03 09:00",
         PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.26"), ""},
        {"pH more under it", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.25"),
         "ph-course:note?"},
        {"pH 0.05 over it", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.41"),
         ""},
        {"pH more over it", "03 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.42"),
         "ph-course:note?"},
        {"a day after the pitch", "02 13:00", PALE READINGS R("02 12:00", "gravity: 11.95 P"),
         "slow-course:note?"},
        {"before that it is the lag", "02 13:00", PALE READINGS R("02 11:59", "gravity: 11.95 P"),
         ""},
        {"pH over theirs at its end", "05 09:00",
         PALE READINGS R("05 08:00", "gravity: 2.8 P, ph: 4.40"), "ph-course:note?"},
        {"and below it", "05 09:00", PALE READINGS R("05 08:00", "gravity: 2.6 P, ph: 4.40"),
         "ph-course:note?"},
        {"an original a Plato above the limit tells no progress", "03 09:00",
         SMALL("3.8") READINGS R("03 08:00", "gravity: 2.85 P, ph: 4.00"), ""},
        {"a little more does", "03 09:00",
         SMALL("3.9") READINGS R("03 08:00", "gravity: 2.85 P, ph: 4.00"), "ph-course:note?"},
        {"chilled beer is not compared", "06 09:00",
         PALE EVENTS EVENT("05 10:00", "chill") READINGS R("05 08:00", "gravity: 3.6 P, temp: 19 C")
             R("06 08:00", "gravity: 3.6 P, ph: 4.42, temp: 12 C"),
         "chilled-early:warn"},
        {"before they were read there is no band", "02 09:00",
         PALE READINGS R("02 08:00", "gravity: 11.6 P, ph: 5.05"), ""},
        {"a beer without earlier batches", "04 09:00",
         PLAIN READINGS R("03 08:00", "gravity: 9.5 P") R("04 08:00", "gravity: 7.0 P"), ""},
    };
    /* title, now, book, words */
    static const char *const told[][4] = {
        {"slower", "03 09:00", PALE READINGS R("03 08:00", "gravity: 9.5 P"),
         "F1: gravity 9.5 P at 44 h | 7.3..8.1 P | its 6 earlier batches"},
        {"slower at 68 h", "04 09:00", PALE READINGS R("04 08:00", "gravity: 7.0 P"),
         "F1: gravity 7.0 P at 68 h | 4.1..4.9 P | its 6 earlier batches"},
        {"slower at 56 h", "03 21:00", PALE READINGS R("03 20:00", "gravity: 9.5 P"),
         "F1: gravity 9.5 P at 56 h | 5.7..6.5 P | its 6 earlier batches"},
        {"a stronger wort", "03 09:00", STRONG READINGS R("03 08:00", "gravity: 10.0 P"),
         "F1: gravity 10.0 P at 44 h | 7.9..8.8 P | its 6 earlier batches"},
        {"faster", "03 09:00", PALE READINGS R("03 08:00", "gravity: 5.5 P"),
         "F1: gravity 5.5 P at 44 h | 7.3..8.1 P | its 6 earlier batches"},
        {"pH by progress", "04 09:00", PALE READINGS R("03 08:00", "gravity: 7.7 P, ph: 4.15"),
         "F1: pH 4.15 with 47 % fermented | pH 4.31..4.36 | its 6 earlier batches"},
        {"pH by the gravity of twelve hours before", "03 21:00",
         PALE READINGS R("03 08:00", "gravity: 7.7 P") R("03 20:00", "ph: 4.00"),
         "F1: pH 4.00 with 47 % fermented | pH 4.31..4.36 | its 6 earlier batches"},
        {"not of thirteen", "03 22:00",
         PALE READINGS R("03 08:00", "gravity: 7.7 P") R("03 21:00", "ph: 4.00"), ""},
        {"and was moved since", "03 21:00",
         "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\n"
         "tanks: [{tank: F1, from: 2026-11-01 12:00, to: 2026-11-03 12:00}, {tank: F2, from: "
         "2026-11-03 12:00}]\n" READINGS R("03 08:00", "gravity: 7.7 P") R("03 20:00", "ph: 4.00"),
         "F2: pH 4.00 with 47 % fermented | pH 4.31..4.36 | its 6 earlier batches"},
        {"pH between the tens", "02 17:00",
         PALE READINGS R("02 16:00", "gravity: 10.2 P, ph: 4.30"),
         "F1: pH 4.30 with 20 % fermented | pH 4.48..4.52 | its 4 earlier batches"},
        {"pH by its forced value", "04 09:00",
         PALE FORCED READINGS R("04 08:00", "gravity: 4.2 P, ph: 4.02"),
         "F1: pH 4.02 with 81 % fermented | pH 4.21..4.28 | its 6 earlier batches"},
    };
    struct arena arena;
    struct history history;
    (void)state;
    arena_init(&arena, NULL, NULL);
    brew_earlier(&history, &arena);
    tell_stories(rows, sizeof rows / sizeof rows[0], &history);
    for (size_t i = 0; i < COUNT(told); i++) {
        struct anomaly_test test;
        struct anomaly_findings findings =
            judge_story(&test, told[i][0], told[i][1], told[i][2], &history);
        struct str says = words_of(&test.arena, &findings);
        if (!str_is(says, told[i][3]))
            fail_msg("%s: says " STR_FMT, told[i][0], STR_ARG(says));
        anomaly_test_close(&test);
    }
    static const struct row four = {"four earlier batches are enough", "03 09:00",
                                    PALE READINGS R("03 08:00", "gravity: 9.5 P"),
                                    "slow-course:note?"};
    static const struct row three = {"three are not", "03 09:00",
                                     PALE READINGS R("03 08:00", "gravity: 9.5 P"), ""};
    history.batches.n = 4;
    tell_stories(&four, 1, &history);
    history.batches.n = 3;
    tell_stories(&three, 1, &history);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(charts),          cmocka_unit_test(outlying_batches_are_left_out),
        cmocka_unit_test(charts_of_late),  cmocka_unit_test(charts_of_many),
        cmocka_unit_test(in_order),        cmocka_unit_test(final_ph),
        cmocka_unit_test(against_earlier),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
