#include "finish_book.h"
#include "forecast.h"

#include <math.h>

static const char BEERS[] = "  ale: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  pale: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  bare: {yeast: ale}\n"
                            "  wild: {yeast: wild, terminal: 2.2..2.6 P}\n";

#define ORIGINAL "original: 12.4 P\n"

enum { MOST = 6, POINTS = 11 };

/* Earlier courses that fall straight to 2.4 P in so many hours; read at each tenth. */
struct earlier {
    struct history history;
    struct history_batch batches[MOST];
    double hours[MOST][POINTS], left[MOST][POINTS];
};

static void add_earlier(struct earlier *earlier, const char *beer, int yeast, double hours)
{
    size_t n = earlier->history.batches.n++;
    for (size_t k = 0; k < POINTS; k++) {
        earlier->left[n][k] = k + 1 < POINTS ? 1 - (double)k / 10 : 0.01;
        earlier->hours[n][k] = hours * (1 - earlier->left[n][k]) / 0.99;
    }
    earlier->batches[n] = (struct history_batch){.number = STR("0"),
                                                 .beer = str_of(beer),
                                                 .yeast = yeast,
                                                 .zero = FINISH_BOOK_PITCH - 10,
                                                 .original_plato = 12.4,
                                                 .end_plato = 2.4,
                                                 .end_hours = hours};
    earlier->batches[n].course =
        (struct remain_course){earlier->hours[n], earlier->left[n], POINTS, hours};
    earlier->history.batches.items = earlier->batches;
}

/* Which earlier batches tell: so many of the beer, of its yeast, of another yeast. */
static const struct row {
    const char *title, *beer, *keys, *days;
    int now_day;
    size_t own, kind, other;
    enum forecast_source source;
    size_t batches;
    const char *why_not;
} ROWS[] = {
    {"three of its own", "ale", ORIGINAL, "9.0 6.0", 2, 3, 2, 0, FORECAST_BEER, 3, ""},
    {"two of its own join those of the yeast", "ale", ORIGINAL, "9.0 6.0", 2, 2, 2, 0,
     FORECAST_YEAST, 4, ""},
    {"two of its own, and no other", "ale", ORIGINAL, "9.0 6.0", 2, 2, 0, 2, FORECAST_BEER, 2, ""},
    {"none of its own", "ale", ORIGINAL, "9.0 6.0", 2, 0, 2, 2, FORECAST_YEAST, 2, ""},
    {"none at all", "ale", ORIGINAL, "9.0 6.0", 2, 0, 0, 2, FORECAST_GENERIC, 0, ""},
    {"a wild beer asks its own only", "wild", ORIGINAL, "9.0 6.0", 2, 0, 0, 0, FORECAST_NONE, 0,
     "wild and sour beers are foretold by their own earlier batches only"},
    {"no limit", "bare", ORIGINAL, "9.0 6.0", 2, 0, 2, 0, FORECAST_NONE, 0, "no limit is known"},
    {"no original", "ale", "", "9.0 6.0", 2, 3, 0, 0, FORECAST_NONE, 0, "no original is known"},
    {"hardly begun", "ale", ORIGINAL, "12.0 11.0", 2, 3, 0, 0, FORECAST_NONE, 0,
     "it is too early to tell"},
    {"begun", "ale", ORIGINAL, "12.0 10.8", 2, 3, 0, 0, FORECAST_BEER, 3, ""},
    {"not started", "ale", ORIGINAL, "12.4 12.4", 2, 3, 0, 0, FORECAST_NONE, 0,
     "it has not started"},
    {"stuck", "ale", ORIGINAL, "9.0 6.0 5.0 5.0 5.0", 5, 3, 0, 0, FORECAST_NONE, 0, "it is stuck"},
    {"finished", "ale", ORIGINAL, "9.0 6.0 2.4 2.4 2.4", 5, 3, 0, 0, FORECAST_NONE, 0,
     "it is finished"},
    {"there, and not yet finished", "ale", ORIGINAL, "9.0 6.0 2.4", 3, 3, 0, 0, FORECAST_BEER, 3,
     ""},
};

static void sources(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        static struct earlier earlier;
        memset(&earlier, 0, sizeof earlier);
        for (size_t k = 0; k < row->own; k++)
            add_earlier(&earlier, row->beer, YEAST_ALE, 90);
        for (size_t k = 0; k < row->kind; k++)
            add_earlier(&earlier, "pale", YEAST_ALE, 90);
        for (size_t k = 0; k < row->other; k++)
            add_earlier(&earlier, "other", YEAST_LAGER, 300);
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, row->days, "", row->now_day);
        struct finish finish = finish_book_judge(&book);
        struct forecast forecast = forecast_of(&book.context, &finish, &earlier.history);
        struct buf text = buf_new(&book.arena);
        forecast_explain(&book.context, &forecast, &text);
        if (forecast.source != row->source || strcmp(forecast.why_not, row->why_not) != 0 ||
            forecast.batches != row->batches || strstr(text.p, "nan") != NULL)
            fail_msg("%s: source %d, %zu batches: %s%s", row->title, (int)forecast.source,
                     forecast.batches, forecast.why_not, text.p);
        finish_book_end(&book);
    }
}

/* Straight courses of 100 h: at 41 h (3 Nov 08:00) half is gone, so 0.49 / 0.99 of 100 h are left;
 * this one took 41 h for what they do in 50.5 h. */
static void tells_the_hour(void **state)
{
    (void)state;
    struct finish_book book;
    static struct earlier earlier;
    memset(&earlier, 0, sizeof earlier);
    for (size_t k = 0; k < 3; k++)
        add_earlier(&earlier, "ale", YEAST_ALE, 100);
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "ale", ORIGINAL "forced: {gravity: 2.4 P}\n", "9.4 7.4", "", 2);
    struct finish finish = finish_book_judge(&book);
    struct forecast forecast = forecast_of(&book.context, &finish, &earlier.history);
    double hours = (double)(forecast.end_at - finish.last->at) / CIVIL_HOUR;
    assert_int_equal(forecast.source, FORECAST_BEER);
    assert_float_equal(forecast.end_plato, 2.4, 1e-9);
    assert_true(forecast.speed > 1);
    if (hours < 40 || hours > 49.5)
        fail_msg("%.2f h left", hours);
    assert_true(forecast.early_at < forecast.end_at && forecast.end_at < forecast.late_at);
    assert_true(forecast.early_at > finish.last->at);
    /* At its end within two days, so the first reading there is the second one, or the third. */
    int64_t days = (forecast.finish_at - finish.last->at) / CIVIL_DAY;
    assert_int_equal((forecast.finish_at - finish.last->at) % CIVIL_DAY, 0);
    assert_int_equal(days, (int64_t)ceil(hours / 24) + 1);
    finish_book_end(&book);
}

/* Read at the end: the crossing of 2.5 P lies between two readings, and is told. */
static void tells_when_it_came(void **state)
{
    (void)state;
    struct finish_book book;
    struct history none = {0};
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "ale", ORIGINAL "forced: {gravity: 2.4 P}\n", "9.4 5.4 2.4", "", 3);
    struct finish finish = finish_book_judge(&book);
    struct forecast forecast = forecast_of(&book.context, &finish, &none);
    assert_true(forecast.is_there);
    assert_int_equal(forecast.late_at, finish.last->at);
    assert_int_equal(forecast.early_at, finish.last->at - CIVIL_DAY);
    assert_true(forecast.end_at > forecast.early_at && forecast.end_at < forecast.late_at);
    assert_int_equal(forecast.finish_at, finish.last->at + CIVIL_DAY);
    assert_true(isnan(forecast.speed));
    finish_book_end(&book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sources),
        cmocka_unit_test(tells_the_hour),
        cmocka_unit_test(tells_when_it_came),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
