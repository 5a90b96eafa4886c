/* A chart as characters, as a picture and as rows: its size, its alphabet, what each holds; of no
 * reading, of one, of several batches, of names and numbers that a file should not have. */
#include "plot_book.h"
#include "plot_svg.h"
#include "plot_text.h"
#include "plot_tsv.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const struct row {
    const char *title, *beer, *keys, *days, *more;
    size_t earlier, batches;
    const char *text, *svg; /* what must be in it */
} ROWS[] = {
    {"no reading", "Pale", PLOT_BOOK_PITCHED, "", "", 0, 1, "nothing to draw", "nothing to draw"},
    {"one reading", "Pale", PLOT_BOOK_PITCHED, "11.3", ", ph: 4.9, pressure: 0.1 bar", 0, 1,
     "no curve: less than a day", "no curve: less than a day"},
    {"every reading the same", "Plain", PLOT_BOOK_PITCHED, "11.9 11.9 11.9 11.9",
     ", ph: 5.0, pressure: 0 bar", 0, 1, "no curve: gravity has not moved", "class=\"full\""},
    {"with curve and band", "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3", ", ph: 4.5", 6, 1,
     "6 earlier batches", "6 earlier batches"},
    {"finished", "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 2.9 2.5 2.4 2.4", ", ph: 4.4", 0, 1,
     "fitted curve", "class=\"curve\""},
    {"off the scale, and a spike", "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 9.9 <4.7 <4.7", "", 0,
     1, "off the end of a scale", "off the end of a scale"},
    {"three of a kind", "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 2.9", ", ph: 4.4", 4, 3,
     "c 1 Pale", "c  1 Pale"},
    {"eight", "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 2.9", ", ph: 4.4", 4, 8, "h 1 Pale",
     "h  1 Pale"},
    {"a name of a line and a half",
     "\"A beer whose name goes on from the first barrel of the row to "
     "the last one and then round the corner of the cellar once more\"",
     PLOT_BOOK_PITCHED, "11.3 7.9 4.3", "", 0, 1, "fermenting", "fermenting"},
    {"a name to break out with", "\"]]> <script>alert(1)</script> \\e[31m & \\\"\"",
     PLOT_BOOK_PITCHED, "11.3 7.9 4.3", "", 0, 1, "\\x1B[31m", "&lt;script&gt;"},
    {"sixty days", "Pale", PLOT_BOOK_PITCHED,
     "11.9 11.8 11.7 11.6 11.5 11.4 11.3 11.2 11.1 11.0 "
     "10.9 10.8 10.7 10.6 10.5 10.4 10.3 10.2 10.1 10.0 9.9 9.8 9.7 9.6 9.5 9.4 9.3",
     ", ph: 4.4", 0, 1, "gravity", "gravity"},
};

static struct plot plot_of(struct finish_book *book, const struct row *row)
{
    struct plot plot = {.cellar = book->book.cellar, .arena = &book->arena};
    struct history history = {.arena = &book->arena};
    memcpy(plot.shown, PLOT_BOOK_ALL, sizeof plot.shown);
    plot_book_history(&history, row->beer, row->earlier);
    for (size_t i = 0; i < row->batches; i++) {
        finish_book_batch(book, row->beer, row->keys, row->days, row->more, 30);
        struct batch_course *course = arena_alloc(&book->arena, sizeof *course);
        *course = book->courses.items[0];
        plot_add(&plot, &book->context, course, &history);
    }
    return plot;
}

static void check_lines(const struct row *row, bool ascii, const char *text, long most)
{
    struct str rest = str_of(text);
    long lines = 0;
    while (rest.n > 0) {
        struct str line = str_split(&rest, '\n');
        lines++;
        if (str_width(line) > PLOT_TEXT_WIDTH)
            fail_msg("%s: %zu columns: " STR_FMT, row->title, str_width(line), STR_ARG(line));
        if (str_ends(line, " "))
            fail_msg("%s: a blank at the end: " STR_FMT, row->title, STR_ARG(line));
        for (size_t i = 0; i < line.n; i++)
            if ((unsigned char)line.p[i] < ' ' || (ascii && (unsigned char)line.p[i] > '~'))
                fail_msg("%s: byte %#x", row->title, (unsigned)(unsigned char)line.p[i]);
    }
    if (lines > most)
        fail_msg("%s: %ld lines:\n%s", row->title, lines, text);
}

static void text(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_of(&book, &ROWS[i]);
        for (int ascii = 0; ascii < 2; ascii++) {
            char *written = NULL;
            size_t size = 0;
            struct plot_text how = {open_memstream(&written, &size), &book.arena, ascii != 0,
                                    PLOT_TEXT_WIDTH, PLOT_TEXT_HEIGHT};
            plot_text_write(&how, &plot);
            fclose(how.out);
            /* Each of several batches has a line of events and one of words. */
            check_lines(&ROWS[i], ascii != 0, written,
                        PLOT_TEXT_HEIGHT + (ROWS[i].batches > 3 ? 2 * (long)ROWS[i].batches : 0));
            if (strstr(written, ROWS[i].text) == NULL)
                fail_msg("%s: no \"%s\" in\n%s", ROWS[i].title, ROWS[i].text, written);
            free(written);
        }
        finish_book_end(&book);
    }
}

/* Do tags open and close in order, and is every < one of a tag? */
static void check_tags(const char *title, const char *xml)
{
    const char *open[64];
    size_t length[64], depth = 0;
    for (const char *p = strchr(xml, '<'); p != NULL; p = strchr(p + 1, '<')) {
        const char *end = strchr(p, '>');
        if (end == NULL)
            fail_msg("%s: a tag without an end", title);
        if (p[1] == '?' || end[-1] == '/')
            continue;
        size_t n = strcspn(p + 1, " >");
        if (p[1] != '/') {
            assert_true(depth < COUNT(open));
            open[depth] = p + 1;
            length[depth++] = n;
        } else if (depth-- == 0 || length[depth] != n - 1 || memcmp(open[depth], p + 2, n - 1) != 0)
            fail_msg("%s: %.*s closes nothing", title, (int)n, p + 1);
    }
    if (depth != 0)
        fail_msg("%s: %.*s is not closed", title, (int)length[depth - 1], open[depth - 1]);
}

static void svg(void **state)
{
    (void)state;
    static const char *const FORBIDDEN[] = {"<script", "href",   "url(", "@import",
                                            "NaN",     "nan",    "inf ", "inf\"",
                                            "-inf",    "<image", "\x1b", "(null)"};
    static const char *const NEEDED[] = {"<title>", "<desc>", "role=\"img\"",
                                         "viewBox=", "prefers-color-scheme:dark"};
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_of(&book, &ROWS[i]);
        for (int together = 0; together < 2; together++) {
            char *written = NULL;
            size_t size = 0;
            FILE *out = open_memstream(&written, &size);
            plot_svg_write(out, &book.arena, &plot, together != 0);
            fclose(out);
            check_tags(ROWS[i].title, written);
            for (size_t k = 0; k < COUNT(NEEDED); k++)
                if (strstr(written, NEEDED[k]) == NULL)
                    fail_msg("%s: no %s", ROWS[i].title, NEEDED[k]);
            for (size_t k = 0; k < COUNT(FORBIDDEN); k++)
                if (strstr(written, FORBIDDEN[k]) != NULL)
                    fail_msg("%s: %s", ROWS[i].title, FORBIDDEN[k]);
            if ((together || ROWS[i].batches == 1) && strstr(written, ROWS[i].svg) == NULL)
                fail_msg("%s: no \"%s\"", ROWS[i].title, ROWS[i].svg);
            free(written);
        }
        finish_book_end(&book);
    }
}

/* How many rows of a series and a quantity there are, and the last one's cells. */
struct series {
    size_t n;
    struct str cells[12];
};

static struct series series_of(const char *tsv, const char *name, const char *quantity)
{
    struct series series = {0};
    struct str rest = str_of(tsv);
    while (rest.n > 0) {
        struct str line = str_split(&rest, '\n'), cells[12];
        for (size_t i = 0; i < COUNT(cells); i++)
            cells[i] = str_split(&line, '\t');
        assert_true(line.p == NULL);
        if (!str_is(cells[3], name) || !str_is(cells[4], quantity))
            continue;
        memcpy(series.cells, cells, sizeof cells);
        series.n++;
    }
    return series;
}

static void tsv(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    static const struct row row = {.beer = "Pale",
                                   .keys = PLOT_BOOK_PITCHED,
                                   .days = "11.3 7.9 4.3 9.9 <4.7",
                                   .more = ", ph: 4.4",
                                   .earlier = 6,
                                   .batches = 1};
    struct plot plot = plot_of(&book, &row);
    char *written = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&written, &size);
    plot_tsv_write(out, &book.arena, &plot);
    fclose(out);
    assert_true(str_starts(str_of(written), "batch\tbeer\ttank\tseries\tquantity\tat\tday\tvalue\t"
                                            "low\thigh\tcensored\tnote\n"));
    struct series reading = series_of(written, "reading", "gravity_P");
    assert_int_equal(reading.n, 5);
    static const char *const CELLS[] = {
        "1",      "Pale",   "FV1", "reading", "gravity_P", "2026-11-06T08:00:00Z",
        "4.7083", "4.7000", "",    "",        "<"};
    for (size_t i = 0; i < COUNT(CELLS); i++)
        if (!str_is(reading.cells[i], CELLS[i]))
            fail_msg("cell %zu: " STR_FMT " instead of %s", i, STR_ARG(reading.cells[i]), CELLS[i]);
    assert_int_equal(series_of(written, "reading", "ph").n, 5);
    assert_int_equal(series_of(written, "reading", "pressure_bar").n, 0);
    struct series limit = series_of(written, "limit", "gravity_P");
    assert_true(limit.n == 1 && str_is(limit.cells[8], "2.2000") &&
                str_is(limit.cells[9], "2.8000") && str_is(limit.cells[11], "terminal"));
    struct series event = series_of(written, "event", "");
    assert_true(event.n == 1 && str_is(event.cells[11], "pitch"));
    struct series earlier = series_of(written, "earlier", "gravity_P");
    assert_true(earlier.n == plot.batches.items[0].traces[READS_GRAVITY].earlier.n &&
                earlier.n > 0 && earlier.cells[8].n > 0 && earlier.cells[9].n > 0);
    assert_int_equal(series_of(written, "fit", "gravity_P").n,
                     plot.batches.items[0].traces[READS_GRAVITY].fit.n);
    free(written);
    finish_book_end(&book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text),
        cmocka_unit_test(svg),
        cmocka_unit_test(tsv),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
