/* What the stories of gyle-anomaly share: a cellar, the pieces of a book, and a row of a table that
 * says what is found in it. */
#ifndef GYLE_TEST_ANOMALY_STORY_H
#define GYLE_TEST_ANOMALY_STORY_H

#include "anomaly_book.h"
#include "civil.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

static const char CELLAR[] =
    "---\ncellar: Test\nzone: UTC\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL, carbonation: vol}\n"
    "walk: [F1, F2, F3, F4, B1]\n"
    "tanks:\n"
    "  F1: {kind: fermenter, rated: 1.0 bar}\n  F2: {kind: fermenter, rated: 1.0 bar}\n"
    "  F3: {kind: fermenter, rated: 1.0 bar}\n  F4: {kind: barrel, every: 30 d}\n"
    "  B1: {kind: bright, rated: 2.0 bar}\n"
    "  U1: {kind: unitank, rated: 0 bar}\n  U2: {kind: unitank, every: 1 d}\n" /* not on the walk */
    "beers:\n"
    "  Pale: {yeast: ale, terminal: 2.2..2.8 P, ph: 4.05..4.45, vdk: ..0.10 mg/L, ferment: 18..20 "
    "C,"
    " cold: -1..2 C, carbonation: 2.4..2.6 vol, oxygen: ..50 ppb}\n"
    "  Lager: {yeast: lager, terminal: 2.2..2.8 P, ph: 4.20..4.65, ferment: 10..15 C}\n"
    "  Sour: {yeast: mixed}\n"
    "  Plain: {yeast: ale}\n"
    "  Salty: {yeast: mixed, ph: 3.20..3.60, carbonation: 2.0.. vol}\n"
    "  Abbey: {yeast: belgian, terminal: 2.2..2.8 P, vdk: ..0.15 mg/L, carbonation: ..3.0 vol}\n"
    "meters:\n"
    "  M1: {reads: ph, kind: bench}\n  M2: {reads: ph, kind: handheld}\n"
    "  S1: {reads: ph, kind: strip}\n  D1: {reads: gravity, kind: density}\n"
    "  R1: {reads: gravity, kind: hydrometer, reference: 20 C}\n"
    "checks:\n"
    "  cold room: {reads: temperature, limits: 1..4 C}\n"
    "  water in: {reads: volume, counter: yes}\n  silo: {reads: volume}\n"
    "  steam: {reads: pressure, limits: 1.0.. bar, every: 12 h}\n";

/* A batch of each beer, pitched on the first of November at noon. */
#define HEAD(number, beer, tank)                                                                   \
    "---\nbatch: " number "\nbeer: " beer "\nbrewed: 2026-11-01 12:00\nvolume: 28 hL\n"            \
    "original: 12.0 P\nwort-ph: 5.10\ntanks: [{tank: " tank ", from: 2026-11-01 12:00}]\n"
#define PALE   HEAD("1", "Pale", "F1")
#define LAGER  HEAD("1", "Lager", "F1")
#define SOUR   HEAD("1", "Sour", "F1")
#define PLAIN  HEAD("1", "Plain", "F1")
#define BRIGHT HEAD("1", "Pale", "B1")
#define SALTY  HEAD("1", "Salty", "F1")
#define ABBEY  HEAD("1", "Abbey", "F1")
/* Nobody measured the wort's pH. */
#define UNKNOWN                                                                                    \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\noriginal: 12.0 P\n"                      \
    "tanks: [{tank: F1, from: 2026-11-01 12:00}]\n"
#define FORCED          "forced: {gravity: 2.4 P, at: 2026-11-03 12:00}\n"
#define EVENTS          "events:\n"
#define EVENT(at, what) "  - {at: 2026-11-" at ", what: " what "}\n"
#define CHILL(at, temp) "  - {at: 2026-11-" at ", what: chill, temp: " temp "}\n"
#define READINGS        "readings:\n"
#define R(at, figures)  "  - {at: 2026-11-" at ", " figures "}\n"
/* A healthy course up to its end, without and with its last days. */
#define COURSE                                                                                     \
    R("02 08:00", "gravity: 11.1 P, ph: 4.60, temp: 19.0 C")                                       \
    R("03 08:00", "gravity: 7.7 P, ph: 4.33, temp: 19.2 C")                                        \
    R("04 08:00", "gravity: 4.2 P, ph: 4.24, temp: 19.5 C")                                        \
    R("05 08:00", "gravity: 2.8 P, ph: 4.22, temp: 19.4 C")
#define ENDED                                                                                      \
    COURSE R("06 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C")                                 \
        R("07 08:00", "gravity: 2.5 P, ph: 4.20, temp: 19.4 C, vdk: 0.05 mg/L")
#define M1_IN_ORDER                                                                                \
    "---\nplant: 2026-11\ncalibrations:\n"                                                         \
    "  - {at: 2026-11-01 07:00, meter: M1, temp: 25 C, buffers: [{ph: 7.00, mv: 0}, {ph: 4.01, "   \
    "mv: "                                                                                         \
    "172}]}\n"                                                                                     \
    "  - {at: 2026-11-08 07:00, meter: M1, temp: 25 C, buffers: [{ph: 7.00, mv: 0}, {ph: 4.01, "   \
    "mv: "                                                                                         \
    "172}]}\n"

/* A beer at rest with M1, and its reading of the seventh. */
#define AT_REST(number, tank, ph)                                                                  \
    HEAD(number, "Pale", tank)                                                                     \
    READINGS R("05 08:00", "gravity: 2.5 P, ph: 4.20, ph-meter: M1")                               \
        R("06 08:00", "gravity: 2.5 P, ph: 4.21, ph-meter: M1")                                    \
            R("07 08:00", "gravity: 2.5 P, vdk: pass, ph: " ph ", ph-meter: M1")
#define THREE(a, b, c) AT_REST("1", "F1", a) AT_REST("2", "F2", b) AT_REST("3", "F3", c)
/* Two people by turns, one of them with a thermometer of his own mind. */
#define TURN(a, b, other)                                                                          \
    R(a " 08:00", "temp: 19.0 C, by: AB") R(b " 08:00", "temp: " other " C, by: CD")
#define BY_TURNS(other)                                                                            \
    PLAIN READINGS TURN("10", "11", other) TURN("12", "13", other) TURN("14", "15", other)         \
        TURN("16", "17", other) TURN("18", "19", other) TURN("20", "21", other)
/* Fortnights of one brew each, and the counter at their ends. */
#define BREW(number, at)                                                                           \
    "---\nbatch: " number "\nbeer: Plain\nbrewed: 2026-" at " 12:00\nvolume: 28 hL\n"
#define COUNTER(at, value) "  - {at: 2026-" at " 08:00, check: water in, value: " value " m3}\n"
#define FORTNIGHTS(last)                                                                           \
    BREW("1", "09-20")                                                                             \
    BREW("2", "10-04")                                                                             \
    BREW("3", "10-20")                                                                             \
    BREW("4", "11-02")                                                                             \
    BREW("5", "11-12")                                                                             \
    "---\nplant: 2026-11\nreadings:\n" COUNTER("09-15", "100") COUNTER("09-29", "120")             \
        COUNTER("10-13", "141") COUNTER("10-27", "160") COUNTER("11-10", "181")                    \
            COUNTER("11-24", last)

#define PACKAGED(volume, count)                                                                    \
    "  - {at: 2026-11-08 10:00, what: package, volume: " volume ", empty: yes, containers: "       \
    "[{size: 30 L, count: " count "}]}\n"
#define FILLED                                                                                     \
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 12:00\n"                                        \
    "tanks: [{tank: B1, from: 2026-11-06 12:00, volume: 28 hL}]\n"

/* A story: a book as it stands at a moment, and all that is found in it. */
struct row {
    const char *title;
    const char *now; /* 2026-11-.. */
    const char *text;
    const char *found; /* "rule:level" of each finding, in order, parted by blanks; a ? behind an
                        * unconfirmed one, a * behind an acknowledged one */
};

static int64_t moment(const char *text)
{
    char buffer[32];
    int64_t at = 0;
    int n = snprintf(buffer, sizeof buffer, "2026-11-%s", text);
    assert_int_equal(civil_parse(buffer, (size_t)n, civil_utc(), &at), CIVIL_OK);
    return at;
}

static struct str describe(struct arena *arena, const struct anomaly_findings *findings)
{
    struct buf buf = buf_new(arena);
    for (size_t i = 0; i < findings->n; i++) {
        const struct anomaly_finding *f = &findings->items[i];
        buf_printf(&buf, "%s%s:%s%s%s", i > 0 ? " " : "", ANOMALY_RULES[f->rule].name,
                   ANOMALY_LEVELS[f->level], f->unconfirmed ? "?" : "", f->seen != NULL ? "*" : "");
        if (f->ended)
            buf_printf(&buf, "-");
    }
    return buf_str(&buf);
}

/* Every finding says what was read and what was expected. */
static void check_words(const char *title, const struct anomaly_findings *findings)
{
    for (size_t i = 0; i < findings->n; i++)
        if (findings->items[i].reading.n == 0 || findings->items[i].expected.n == 0 ||
            findings->items[i].source.n == 0)
            fail_msg("%s: %s says nothing", title, ANOMALY_RULES[findings->items[i].rule].name);
}

/* Each finding in a line: its tank or subject, how often it was so, and what it says. */
static inline struct str words_of(struct arena *arena, const struct anomaly_findings *findings)
{
    struct buf buf = buf_new(arena);
    for (size_t i = 0; i < findings->n; i++) {
        const struct anomaly_finding *f = &findings->items[i];
        const struct str parts[] = {f->reading, f->expected, f->source, f->more, f->doubt};
        size_t n = sizeof parts / sizeof parts[0];
        while (n > 0 && parts[n - 1].n == 0)
            n--;
        buf_printf(&buf, "%s" STR_FMT, i > 0 ? "\n" : "",
                   STR_ARG(f->tank.n > 0 ? f->tank : f->subject));
        if (f->times != 1)
            buf_printf(&buf, " %zu times", f->times);
        for (size_t k = 0; k < n; k++)
            buf_printf(&buf, "%s" STR_FMT, k > 0 ? " | " : ": ", STR_ARG(parts[k]));
    }
    return buf_str(&buf);
}

/* Judges a book, with what earlier batches came to, or NULL. */
static struct anomaly_findings judge_story(struct anomaly_test *test, const char *title,
                                           const char *now, const char *text,
                                           const struct history *history)
{
    anomaly_test_open(test, CELLAR);
    anomaly_test_load(test, text, moment(now));
    if (test->diags.n > 0) {
        diag_write(stderr, &test->diags);
        fail_msg("%s: the story has an error", title);
    }
    test->judged.history = history;
    struct anomaly_findings findings = anomaly_judge(&test->judged);
    check_words(title, &findings);
    return findings;
}

/* Prints what is not found as it should be. fired: marked by rule, or NULL. */
static bool tell_story(const struct row *row, const struct history *history, bool *fired)
{
    struct anomaly_test test;
    struct anomaly_findings findings = judge_story(&test, row->title, row->now, row->text, history);
    struct str found = describe(&test.arena, &findings);
    bool right = str_is(found, row->found);
    for (size_t k = 0; fired != NULL && k < findings.n; k++)
        fired[findings.items[k].rule] = true;
    if (!right)
        print_error("%s: found \"" STR_FMT "\", expected \"%s\"\n", row->title, STR_ARG(found),
                    row->found);
    anomaly_test_close(&test);
    return right;
}

static inline void tell_stories(const struct row *rows, size_t n, const struct history *history)
{
    size_t wrong = 0;
    for (size_t i = 0; i < n; i++)
        wrong += !tell_story(&rows[i], history, NULL);
    assert_int_equal(wrong, 0);
}

#endif
