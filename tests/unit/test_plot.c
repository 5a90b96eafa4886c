/* What a chart shows, before it is drawn: readings, limits by stage, flags, the fitted curve or why
 * there is none, earlier batches, axes. */
#include "plot.h"
#include "plot_book.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static void letters(void **state)
{
    (void)state;
    bool taken[128] = {false};
    for (int what = EVENT_PITCH; what <= EVENT_DISCARD; what++) {
        char letter = plot_flag_letter(what);
        if (!(letter >= 'a' && letter <= 'z') || taken[(unsigned char)letter])
            fail_msg("%s: %c", BATCH_EVENTS[what - EVENT_PITCH], letter);
        taken[(unsigned char)letter] = true;
    }
    assert_true(plot_flag_letter(EVENT_NONE) == '?' && plot_flag_letter(-1) == '?' &&
                plot_flag_letter(EVENT_DISCARD + 1) == '?');
}

static void chosen_quantities(void **state)
{
    (void)state;
    static const struct {
        const char *names[2];
        size_t n;
        const char *shown, *unknown; /* of each quantity a digit */
    } rows[] = {{{NULL}, 0, "1111", NULL},
                {{"ph"}, 1, "0100", NULL},
                {{"temperature", "gravity"}, 2, "1010", NULL},
                {{"temp", "temp"}, 2, "0010", NULL},
                {{"pressure", "vdk"}, 2, "0001", "vdk"},
                {{"PH"}, 1, "0000", "PH"},
                {{""}, 1, "0000", ""}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        bool shown[PLOT_QUANTITIES] = {true, true, true, true};
        const char *unknown = plot_choose(shown, rows[i].names, rows[i].n);
        for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
            assert_true(shown[reads] == (rows[i].shown[reads] == '1'));
        assert_true(unknown == rows[i].unknown ||
                    (rows[i].unknown != NULL && strcmp(unknown, rows[i].unknown) == 0));
    }
}

/* Curves: how many earlier batches, and what is said where there is none. */
static const struct {
    const char *title, *keys, *days;
    size_t earlier;
    const char *no_fit; /* NULL: there is a curve */
} CURVES[] = {
    {"a whole fermentation", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 2.9 2.5 2.4 2.4", 0, NULL},
    {"in the middle of it", PLOT_BOOK_PITCHED, "11.3 7.9 4.3", 0, "too few readings"},
    {"two readings and no original", "events: [{at: 2026-11-01 15:00, what: pitch}]\n", "11.3 7.9",
     0, "too few readings"},
    {"with earlier batches", PLOT_BOOK_PITCHED, "11.3 7.9 4.3", 6, NULL},
    {"no original, so no first point", "events: [{at: 2026-11-01 15:00, what: pitch}]\n",
     "11.3 7.9 4.3 2.9 2.5 2.4 2.4", 0, NULL},
    {"one reading", PLOT_BOOK_PITCHED, "11.3", 0, "less than a day of gravity"},
    {"one reading, earlier batches", PLOT_BOOK_PITCHED, "11.3", 6, "less than a day of gravity"},
    {"none", PLOT_BOOK_PITCHED, "", 6, "no sound reading of gravity"},
    {"none, and no original", "", "", 6, "no sound reading of gravity"},
    {"only off the scale", "", "<4.7 <4.7", 6, "no sound reading of gravity"},
    {"nothing lost", PLOT_BOOK_PITCHED, "12.0 12.0 11.9 11.9", 0, "gravity has not moved"},
    {"up and down", PLOT_BOOK_PITCHED, "9.0 11.9 7.0 11.5 6.0 11.0 5.0 10.0", 0,
     "none goes through these readings"},
    {"the cold is left out", PLOT_BOOK_PITCHED "", "11.3 7.9 4.3 2.9 2.5 2.4 2.4 2.4/3 2.2/1 2.2/1",
     0, NULL},
};

static void curves(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(CURVES); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_book_plot(&book, "Pale", CURVES[i].keys, CURVES[i].days, "", 12,
                                          CURVES[i].earlier);
        const struct plot_batch *batch = &plot.batches.items[0];
        const struct plot_trace *trace = &batch->traces[READS_GRAVITY];
        const char *why = trace->no_fit;
        if (CURVES[i].no_fit == NULL
                ? why != NULL || trace->fit.n < 2
                : why == NULL || strcmp(why, CURVES[i].no_fit) != 0 || trace->fit.n > 0)
            fail_msg("%s: %s", CURVES[i].title, why == NULL ? "a curve" : why);
        for (size_t k = 0; k < trace->fit.n; k++) {
            const struct plot_point *point = &trace->fit.items[k];
            if (!(point->low < point->value && point->value < point->high && point->value < 12.7 &&
                  point->value > 1.9) ||
                (k > 0 && !(point->day > point[-1].day && point->value < point[-1].value + 1e-9)))
                fail_msg("%s: day %g: %g (%g..%g)", CURVES[i].title, point->day, point->value,
                         point->low, point->high);
        }
        finish_book_end(&book);
    }
}

/* The curve ends with the last reading that it was fitted to. */
static void curve_ends_warm(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct plot plot = plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED,
                                      "11.3 7.9 4.3 2.9 2.5 2.4 2.4 2.4/3 2.2/1 2.2/1", "", 12, 0);
    const struct plot_trace *trace = &plot.batches.items[0].traces[READS_GRAVITY];
    assert_true(trace->fit.n > 1);
    double last = trace->fit.items[trace->fit.n - 1].day;
    assert_true(trace->fit.items[0].day == 0);
    assert_true(fabs(last - (6 + 17.0 / 24)) < 1e-9); /* day 7, 08:00, from 15:00 of the pitch */
    finish_book_end(&book);
}

static void readings(void **state)
{
    (void)state;
    static const struct {
        const char *title, *days;
        size_t i;
        double day, value;
        int censor;
        bool left_out;
    } rows[] = {
        {"the first", "11.3 7.9 4.3", 0, 17.0 / 24, 11.3, 0, false},
        {"the last of two a day", "11.3 7.9,7.4", 2, 1 + 21.0 / 24, 7.4, 0, false},
        {"under the scale", "11.3 <4.7", 1, 1 + 17.0 / 24, 4.7, -1, false},
        {"a spike", "11.3 7.9 4.3 9.9 2.9 2.5", 3, 3 + 17.0 / 24, 9.9, 0, true},
        {"a day later", "11.3 - 4.3", 1, 2 + 17.0 / 24, 4.3, 0, false},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot =
            plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, rows[i].days, "", 12, 0);
        const struct plot_trace *trace = &plot.batches.items[0].traces[READS_GRAVITY];
        assert_true(trace->readings.n > rows[i].i);
        const struct plot_reading *reading = &trace->readings.items[rows[i].i];
        if (fabs(reading->day - rows[i].day) > 1e-9 ||
            fabs(reading->value - rows[i].value) > 1e-9 || reading->censor != rows[i].censor ||
            (reading->left_out != NULL) != rows[i].left_out)
            fail_msg("%s: day %g, %g, %d, %s", rows[i].title, reading->day, reading->value,
                     reading->censor, reading->left_out == NULL ? "judged by" : reading->left_out);
        finish_book_end(&book);
    }
}

static void withdrawn(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    finish_book_batch(&book, "Pale", PLOT_BOOK_PITCHED, "11.3 7.9", ", ph: 4.5", 4);
    buf_printf(&book.text, "  - {at: 2026-11-04 08:00, corrects: 2026-11-03 08:00, ph: ~}\n");
    struct source source = {STR("batch.yaml"), buf_str(&book.text)};
    struct book_file *file = book_parse(&book.book, &book.arena, source);
    book_settle(&book.book, &book.arena, file->batches.items[0], book.context.now);
    struct batch_courses courses =
        batch_courses(file->batches.items[0], &book.arena, book.context.now);
    struct plot plot = {.cellar = book.book.cellar, .arena = &book.arena};
    struct history history = {.arena = &book.arena};
    plot_add(&plot, &book.context, &courses.items[0], &history);
    const struct plot_trace *ph = &plot.batches.items[0].traces[READS_PH];
    assert_int_equal(ph->withdrawn, 1);
    assert_int_equal(ph->readings.n, 1);
    assert_int_equal(plot.batches.items[0].traces[READS_GRAVITY].readings.n, 2);
    finish_book_end(&book);
}

/* Which limits are in force, and from when: days; -1 as `from`: no such limit. */
static void limits(void **state)
{
    (void)state;
    static const char FINISHED[] = "11.3 7.9 4.3 2.9 2.5 2.4 2.4 2.4";
    static const char COLD[] = "11.3 7.9 4.3 2.9 2.5 2.4 2.4 2.4/3 2.4/1 2.4/1";
    static const struct {
        const char *title, *beer, *days;
        int reads;
        const char *name;
        double from, to, low, high; /* NAN ends: any */
    } rows[] = {
        {"gravity", "Pale", "11.3", READS_GRAVITY, "terminal", 0, INFINITY, 2.2, 2.8},
        {"no limit of gravity", "Plain", "11.3", READS_GRAVITY, "terminal", -1, 0, 0, 0},
        {"pH before the end", "Pale", "11.3 7.9", READS_PH, "ph", -1, 0, 0, 0},
        {"pH from the end on", "Pale", FINISHED, READS_PH, "ph", 5 + 17.0 / 24, INFINITY, 4.0, 4.5},
        {"warm", "Pale", FINISHED, READS_TEMP, "ferment", 0, INFINITY, 18, 20},
        {"not chilled", "Pale", FINISHED, READS_TEMP, "cold", -1, 0, 0, 0},
        {"warm until it is chilled", "Pale", COLD, READS_TEMP, "ferment", 0, 7 + 17.0 / 24, 18, 20},
        {"cold from then on", "Pale", COLD, READS_TEMP, "cold", 7 + 17.0 / 24, INFINITY, -1, 2},
        {"the name plate", "Plain", "11.3", READS_PRESSURE, "rated", 0, INFINITY, NAN, 1.5},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot = plot_book_plot(&book, rows[i].beer, PLOT_BOOK_PITCHED, rows[i].days,
                                          ", ph: 4.4", 12, 0);
        const struct plot_trace *trace = &plot.batches.items[0].traces[rows[i].reads];
        const struct plot_limit *found = NULL;
        for (size_t k = 0; k < trace->limits.n; k++)
            if (strcmp(trace->limits.items[k].name, rows[i].name) == 0)
                found = &trace->limits.items[k];
        if (rows[i].from < 0 && found != NULL)
            fail_msg("%s: %g..%g", rows[i].title, found->low, found->high);
        if (rows[i].from >= 0 &&
            (found == NULL || fabs(found->from - rows[i].from) > 1e-9 ||
             !(found->to == rows[i].to || fabs(found->to - rows[i].to) < 1e-9) ||
             !(found->low == rows[i].low || (isnan(found->low) && isnan(rows[i].low))) ||
             found->high != rows[i].high))
            fail_msg("%s: %s, from day %g to %g, %g..%g", rows[i].title,
                     found == NULL ? "none" : found->name, found == NULL ? NAN : found->from,
                     found == NULL ? NAN : found->to, found == NULL ? NAN : found->low,
                     found == NULL ? NAN : found->high);
        finish_book_end(&book);
    }
}

/* The band of earlier batches: from four on, of the newest 24, up to where the chart goes. */
static void earlier(void **state)
{
    (void)state;
    static const struct {
        size_t n, said;
        bool drawn;
    } rows[] = {{0, 0, false}, {1, 1, false},  {3, 3, false}, {4, 4, true},
                {9, 9, true},  {24, 24, true}, {60, 24, true}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot =
            plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3", "", 4, rows[i].n);
        const struct plot_batch *batch = &plot.batches.items[0];
        const struct plot_trace *gravity = &batch->traces[READS_GRAVITY];
        if (batch->earlier_batches != rows[i].said || (gravity->earlier.n > 0) != rows[i].drawn)
            fail_msg("%zu: %zu said, %zu points", rows[i].n, batch->earlier_batches,
                     gravity->earlier.n);
        assert_int_equal(batch->traces[READS_PRESSURE].earlier.n, 0);
        for (size_t k = 0; k < gravity->earlier.n; k++)
            assert_true(gravity->earlier.items[k].low < gravity->earlier.items[k].high);
        finish_book_end(&book);
    }
}

/* Everything that is drawn lies on the axes, in whatever unit the house has. */
static void axes(void **state)
{
    (void)state;
    static const struct {
        const char *gravity, *temperature;
    } units[] = {{"P", "C"}, {"SG", "F"}, {"Bx", "K"}};
    for (size_t i = 0; i < COUNT(units); i++) {
        struct finish_book book;
        finish_book_begin(&book, PLOT_BOOK_BEERS);
        struct plot plot =
            plot_book_plot(&book, "Pale", PLOT_BOOK_PITCHED, "11.3 7.9 4.3 2.9", "", 6, 6);
        struct cellar other = *book.book.cellar;
        other.house[QUANTITY_GRAVITY] = quantity_unit_find(str_of(units[i].gravity));
        other.house[QUANTITY_TEMPERATURE] = quantity_unit_find(str_of(units[i].temperature));
        plot.cellar = &other;
        const struct plot_batch *batch = &plot.batches.items[0];
        struct axis days = plot_days(&plot, 12);
        assert_true(days.low <= 0 && days.high >= batch->last_day);
        assert_true(!batch->has_forecast || days.high >= batch->late_day);
        for (int reads = READS_GRAVITY; reads <= READS_TEMP; reads++) {
            const struct plot_trace *trace = &batch->traces[reads];
            struct axis axis = plot_axis(&plot, reads, 8);
            for (size_t k = 0; k < trace->readings.n; k++) {
                double shown = plot_shown(&plot, reads, trace->readings.items[k].value);
                if (!(shown >= axis.low && shown <= axis.high))
                    fail_msg("%s: %g outside %g..%g", units[i].gravity, shown, axis.low, axis.high);
            }
            for (size_t k = 0; k < trace->earlier.n; k++) {
                double low = plot_shown(&plot, reads, trace->earlier.items[k].low);
                double high = plot_shown(&plot, reads, trace->earlier.items[k].high);
                if (!(low >= axis.low && high <= axis.high))
                    fail_msg("%s: band %g..%g outside", units[i].gravity, low, high);
            }
        }
        finish_book_end(&book);
    }
}

static void flags_and_zero(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct plot plot = plot_book_plot(
        &book, "Pale",
        "original: 12 P\nevents: [{at: 2026-11-01 15:00, what: pitch}, {at: 2026-11-05 15:00, "
        "what: dry hop}, {at: 2026-11-05 18:00, what: dry hop, tank: FV2}, {at: 2026-11-20 15:00, "
        "what: chill}]\n",
        "11.3 7.9", "", 6, 0);
    const struct plot_batch *batch = &plot.batches.items[0];
    /* What happens later, and in another tank, is not shown. */
    assert_int_equal(batch->flags.n, 2);
    assert_int_equal(batch->flags.items[0].what, EVENT_PITCH);
    assert_true(batch->flags.items[0].day == 0 && batch->flags.items[1].day == 4);
    assert_true(batch->zero == FINISH_BOOK_PITCH && !batch->zero_is_guessed);
    assert_true(batch->last_day == 4);
    finish_book_end(&book);
}

/* Without pitch, brewing and readings days are counted from the stay: not from 1970. */
static void zero_of_nothing(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct source source = {STR("batch.yaml"),
                            STR("---\nbatch: 1\nbeer: Pale\n"
                                "tanks: [{tank: FV1, from: 2026-11-01 15:00}]\n"
                                "events: [{at: 2026-11-03 15:00, what: dry hop}]\n")};
    struct batch *batch = book_parse(&book.book, &book.arena, source)->batches.items[0];
    book.context = (struct finish_context){
        .cellar = book.book.cellar, .arena = &book.arena, .now = FINISH_BOOK_PITCH + 4 * CIVIL_DAY};
    book_settle(&book.book, &book.arena, batch, book.context.now);
    struct batch_courses courses = batch_courses(batch, &book.arena, book.context.now);
    struct history history = {.arena = &book.arena};
    struct plot plot = {.cellar = book.book.cellar, .arena = &book.arena};
    plot_add(&plot, &book.context, &courses.items[0], &history);
    assert_true(plot.batches.items[0].zero_is_guessed);
    assert_true(plot.batches.items[0].last_day == 2);
    assert_true(plot_days(&plot, 10).high <= 7);
    finish_book_end(&book);
}

/* A band is drawn from point to point, but not over days that tell nothing. */
static void goes_on(void **state)
{
    (void)state;
    struct plot_point points[] = {{.day = 0}, {.day = 1}, {.day = 1.25}, {.day = 1.5}, {.day = 2}};
    static const bool expected[] = {false, true, true, false, false};
    struct plot_trace trace = {.earlier = {points, COUNT(points)}, .earlier_step = 0.25};
    for (size_t i = 0; i < COUNT(expected); i++)
        if (plot_goes_on(&trace, i) != expected[i])
            fail_msg("point %zu", i);
}

static void several(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, PLOT_BOOK_BEERS);
    struct plot plot = {.cellar = book.book.cellar, .arena = &book.arena};
    struct history history = {.arena = &book.arena};
    static const char *const beers[] = {"Pale", "Pale", "Plain"};
    memcpy(plot.shown, PLOT_BOOK_ALL, sizeof plot.shown);
    for (size_t i = 0; i < COUNT(beers); i++) {
        finish_book_batch(&book, beers[i], PLOT_BOOK_PITCHED, "11.3 7.9", "", 4);
        struct batch_course *course = arena_alloc(&book.arena, sizeof *course);
        *course = book.courses.items[0];
        plot_add(&plot, &book.context, course, &history);
        assert_true(plot_one_limit(&plot) == (i < 2));
    }
    struct plot one = plot_one(&plot, 2);
    assert_int_equal(one.batches.n, 1);
    assert_true(str_is(one.batches.items[0].beer, "Plain"));
    assert_true(plot_has(&plot, READS_GRAVITY) && !plot_has(&plot, READS_PRESSURE));
    plot.shown[READS_GRAVITY] = plot.shown[READS_TEMP] = false;
    assert_false(plot_has(&plot, READS_GRAVITY) || plot_has_any(&plot));
    finish_book_end(&book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(letters),           cmocka_unit_test(curves),
        cmocka_unit_test(curve_ends_warm),   cmocka_unit_test(readings),
        cmocka_unit_test(withdrawn),         cmocka_unit_test(limits),
        cmocka_unit_test(earlier),           cmocka_unit_test(axes),
        cmocka_unit_test(flags_and_zero),    cmocka_unit_test(several),
        cmocka_unit_test(chosen_quantities), cmocka_unit_test(goes_on),
        cmocka_unit_test(zero_of_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
