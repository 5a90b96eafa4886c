/* The words of a chart: titles, names that are too long, what is missing and why, a description for
 * those who cannot see it. */
#include "plot_book.h"
#include "plot_words.h"

#include <stddef.h>
#include <stdint.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char DONE[] = "11.3 7.9 4.3 2.9 2.5 2.4 2.4";

static void check(const char *title, const struct buf *got, const char *expected)
{
    if (!str_is(buf_str(got), expected))
        fail_msg("%s:\n" STR_FMT "\ninstead of\n%s", title, STR_ARG(buf_str(got)), expected);
}

static const struct {
    const char *title, *keys, *days;
    int now_day;
    const char *expected;
} TITLES[] = {
    {"fermenting", PLOT_BOOK_PITCHED, "11.3 7.9", 3,
     "1 Pale, FV1, day 3: fermenting, 3.4 P in the last day"},
    {"finished", PLOT_BOOK_PITCHED, DONE, 8,
     "1 Pale, FV1, day 8: finished, steady at the terminal limit 2.2..2.8 P"},
    {"not yet read", PLOT_BOOK_PITCHED, "", 2,
     "1 Pale, FV1, day 2: no judgement, no gravity read yet"},
    {"gone",
     PLOT_BOOK_PITCHED "tanks: [{tank: FV1, from: 2026-11-01 15:00, to: 2026-11-09 10:00}]\n", DONE,
     12, "1 Pale, from 1 Nov: finished, steady at the terminal limit 2.2..2.8 P"},
};

static void titles(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(TITLES); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot =
            plot_book_plot(&book, "Pale", TITLES[i].keys, TITLES[i].days, "", TITLES[i].now_day, 0);
        struct buf words = buf_new(&book.arena);
        plot_words_title(&words, &plot, &plot.batches.items[0]);
        check(TITLES[i].title, &words, TITLES[i].expected);
        finish_book_end(&book);
    }
}

static void names(void **state)
{
    (void)state;
    static const struct {
        const char *number, *beer, *tank, *whole, *cut;
    } rows[] = {
        {"0420", "Chalkline Pale", "FV5", "0420 Chalkline Pale, FV5", "0420 Chalkline Pale, FV5"},
        {"", "Chalkline Pale", "", "(no number) Chalkline Pale", "(no number) Chalkline Pale"},
        {"0420", "", "", "0420", "0420"},
        {"123456789012", "123456789012345678901234", "12345678",
         "123456789012 123456789012345678901234, 12345678",
         "123456789012 123456789012345678901234, 12345678"},
        {"1234567890123", "1234567890123456789012345", "123456789",
         "1234567890123 1234567890123456789012345, 123456789",
         "123456789... 123456789012345678901..., 12345..."},
        /* Cut between characters, not within one. */
        {"1", "äöüäöüäöüäöüäöüäöüäöüäöüä", "", "1 äöüäöüäöüäöüäöüäöüäöüäöüä",
         "1 äöüäöüäöüäöüäöüäöüäöü..."},
    };
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct plot_batch batch = {.number = str_of(rows[i].number),
                                   .beer = str_of(rows[i].beer),
                                   .tank = str_of(rows[i].tank)};
        struct buf whole = buf_new(&arena), cut = buf_new(&arena), expected = buf_new(&arena);
        plot_words_name(&whole, &batch);
        plot_words_one(&cut, &(struct plot){.arena = &arena}, &batch);
        buf_printf(&expected, "%s: %s", rows[i].cut, FINISH_VERDICT[batch.finish.verdict].name);
        check(rows[i].whole, &whole, rows[i].whole);
        check(rows[i].whole, &cut, expected.p);
    }
    arena_free(&arena);
}

static const struct {
    const char *title, *days;
    size_t earlier;
    const char *expected; /* clauses, each on a line */
} MISSING[] = {
    {"nothing is", DONE, 4, ""},
    {"a band, of one batch", DONE, 1, "no band: only 1 earlier batch"},
    {"a band, of three batches", DONE, 3, "no band: only 3 earlier batches"},
    {"early", "11.3", 4,
     "no curve: less than a day of gravity\nno forecast: it is too early to tell"},
    {"nothing lost yet", "12.0 12.0", 0, "no curve: gravity has not moved"},
};

static void missing(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(MISSING); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, MISSING[i].days, "", 9,
                                          MISSING[i].earlier);
        struct buf words = buf_new(&book.arena);
        plot_words_missing(&words, &plot, &plot.batches.items[0]);
        check(MISSING[i].title, &words, MISSING[i].expected);
        struct str rest = buf_str(&words);
        size_t clauses = 0, lines = words.n > 0;
        for (size_t k = 0; k < words.n; k++)
            lines += words.p[k] == '\n';
        while (rest.n > 0)
            clauses += plot_words_clause(&rest).n > 0;
        assert_int_equal(clauses, lines);
        finish_book_end(&book);
    }
}

static void values(void **state)
{
    (void)state;
    static const struct {
        const char *title, *days, *last, *reading;
    } rows[] = {
        {"plain", "11.3 7.9", "7.9 P", "7.9 P, 3 Nov 08:00"},
        {"under the scale", "11.3 <4.7", "<4.7 P", "<4.7 P, 3 Nov 08:00"},
        {"none", "", "", NULL},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, rows[i].days, "", 9, 0);
        const struct plot_batch *batch = &plot.batches.items[0];
        const struct plot_trace *trace = &batch->traces[READS_GRAVITY];
        struct buf last = buf_new(&book.arena), reading = buf_new(&book.arena);
        plot_words_last(&last, &plot, batch, READS_GRAVITY);
        check(rows[i].title, &last, rows[i].last);
        if (rows[i].reading != NULL) {
            plot_words_reading(&reading, &plot, READS_GRAVITY,
                               &trace->readings.items[trace->readings.n - 1]);
            check(rows[i].title, &reading, rows[i].reading);
        }
        finish_book_end(&book);
    }
}

static void events(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct plot plot = plot_book_plot(
        &book, "Pale",
        "original: 12 P\nevents: [{at: 2026-11-01 15:00, what: pitch}, {at: 2026-11-05 15:00, "
        "what: dry hop}, {at: 2026-11-05 18:00, what: dry hop}, {at: 2026-11-06 15:00, what: dry "
        "hop}]\n",
        DONE, "", 9, 0);
    static const struct {
        int what;
        size_t batches;
        const char *expected;
    } rows[] = {{EVENT_DRY_HOP, 1, "dry hop 5 Nov, 6 Nov"},
                {EVENT_DRY_HOP, 2, "dry hop"},
                {EVENT_PITCH, 1, "pitch 1 Nov"}};
    struct plot_batch twice[] = {plot.batches.items[0], plot.batches.items[0]};
    plot.batches.items = twice;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf words = buf_new(&book.arena);
        plot.batches.n = rows[i].batches;
        plot_words_event(&words, &plot, rows[i].what);
        check("event", &words, rows[i].expected);
    }
    finish_book_end(&book);
}

static void description(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct plot plot = plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, DONE, ", ph: 4.4", 9, 0);
    struct buf words = buf_new(&book.arena);
    plot_words_describe(&words, &plot, &plot.batches.items[0]);
    check("all", &words,
          "1 Pale, FV1, day 9: finished, steady at the terminal limit 2.2..2.8 P. gravity: 7 "
          "readings, 11.3 P, "
          "2 Nov 08:00, to 2.4 P, 8 Nov 08:00. pH: 7 readings, 4.40, 2 Nov 08:00, to 4.40, 8 Nov "
          "08:00. temp: 7 readings, 19.0 C, 2 Nov 08:00, to 19.0 C, 8 Nov 08:00. limits, gravity "
          "2.2..2.8 P terminal. events: pitch 1 Nov.");
    struct buf ph = buf_new(&book.arena);
    plot.shown[READS_GRAVITY] = plot.shown[READS_TEMP] = false;
    plot_words_describe(&ph, &plot, &plot.batches.items[0]);
    check("pH alone", &ph,
          "1 Pale, FV1, day 9: finished, steady at the terminal limit 2.2..2.8 P. pH: 7 readings, "
          "4.40, 2 Nov "
          "08:00, to 4.40, 8 Nov 08:00. events: pitch 1 Nov.");
    finish_book_end(&book);
}

static void nothing(void **state)
{
    (void)state;
    static const struct {
        bool shown[PLOT_QUANTITIES];
        const char *expected;
    } rows[] = {
        {{true, true, true, true},
         "1 Pale, FV1: nothing to draw, no reading of gravity, pH, temp or pressure yet."},
        {{true, false, false, false}, "1 Pale, FV1: nothing to draw, no reading of gravity yet."},
        {{false, true, false, true},
         "1 Pale, FV1: nothing to draw, no reading of pH or pressure yet."},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, "", "", 3, 0);
        struct buf words = buf_new(&book.arena);
        memcpy(plot.shown, rows[i].shown, sizeof plot.shown);
        plot_words_nothing(&words, &plot, &plot.batches.items[0]);
        check("nothing", &words, rows[i].expected);
        finish_book_end(&book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(titles),  cmocka_unit_test(names),  cmocka_unit_test(missing),
        cmocka_unit_test(values),  cmocka_unit_test(events), cmocka_unit_test(description),
        cmocka_unit_test(nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
