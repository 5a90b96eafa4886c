#include "outlook.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] =
    "---\ncellar: Test\nzone: UTC\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL}\n"
    "tanks:\n  FV1: {kind: fermenter, capacity: 60 hL}\n  BT1: {kind: bright, capacity: 60 hL}\n"
    "beers:\n  Pale: {yeast: ale, terminal: 2.2..2.8 P}\n  Stout: {yeast: ale}\n"
    "  Lager: {yeast: lager}\n";

enum { MOST_STAYS = 4 };

/* The batch of Pale went into its tank on 14 November at noon; now is the 20th at noon. */
static const struct row {
    const char *title;
    const char *tank, *more;
    struct {
        const char *beer;
        int yeast, kind;
        double days;
    } stays[MOST_STAYS];
    enum outlook_free_source source;
    double after_days; /* NAN: not foretold */
    double half_days;  /* of the interval, where it is not cut by now */
    bool is_overdue;
} ROWS[] = {
    {"nothing known", "FV1", "", {{0}}, OUTLOOK_UNKNOWN, NAN, NAN, false},
    {"nothing known, but it is far from its end",
     "FV1",
     "}]\noriginal: 12.0 P\nforced: {gravity: 2.4 P}\n"
     "readings: [{at: 2026-11-18 08:00, gravity: 9.5 P}, {at: 2026-11-19 08:00, gravity: 8.0 P}, "
     "{at: 2026-11-20 08:00, gravity: 6.5 P",
     {{0}},
     OUTLOOK_UNKNOWN,
     NAN,
     NAN,
     false},
    {"two stays are too few",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 12}, {"Pale", YEAST_ALE, TANK_FERMENTER, 14}},
     OUTLOOK_UNKNOWN,
     NAN,
     NAN,
     false},
    /* sd 1 d; t(2, 0.9) = 1.8856; sqrt(1 + 1/3) */
    {"three of the beer",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 12},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 14},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_BY_BEER,
     13,
     2.1773,
     false},
    /* sd taken as half a day */
    {"stays never differ by less than half a day",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_BY_BEER,
     13,
     1.0887,
     false},
    {"another beer of its yeast helps out",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Stout", YEAST_ALE, TANK_FERMENTER, 13},
      {"Stout", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_BY_YEAST,
     13,
     1.0887,
     false},
    {"a lager does not, in a fermenter",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Lager", YEAST_LAGER, TANK_FERMENTER, 13}},
     OUTLOOK_UNKNOWN,
     NAN,
     NAN,
     false},
    {"it does in a bright tank",
     "BT1",
     "",
     {{"Pale", YEAST_ALE, TANK_BRIGHT, 8},
      {"Lager", YEAST_LAGER, TANK_BRIGHT, 8},
      {"Lager", YEAST_LAGER, TANK_BRIGHT, 8}},
     OUTLOOK_BY_KIND,
     8,
     1.0887,
     false},
    {"stays in another kind of tank say nothing",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_BRIGHT, 13},
      {"Pale", YEAST_ALE, TANK_BRIGHT, 13},
      {"Pale", YEAST_ALE, TANK_BRIGHT, 13}},
     OUTLOOK_UNKNOWN,
     NAN,
     NAN,
     false},
    {"it should have left two days ago",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 4},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 4},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 4}},
     OUTLOOK_BY_BEER,
     4,
     NAN,
     true},
    {"it leaves just now: not overdue",
     "FV1",
     "",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 6},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 6},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 6}},
     OUTLOOK_BY_BEER,
     6,
     NAN,
     false},
    {"the book says when it leaves",
     "FV1",
     ", to: 2026-11-23 12:00",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_WRITTEN,
     9,
     0,
     false},
    {"a later reading tells of looking back: what is written was not known",
     "FV1",
     ", to: 2026-11-23 12:00}]\nreadings: [{at: 2026-11-22 08:00, temp: 19 C",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_BY_BEER,
     13,
     1.0887,
     false},
    {"stuck: no usual stay",
     "FV1",
     "}]\noriginal: 12.0 P\nforced: {gravity: 2.4 P}\n"
     "readings: [{at: 2026-11-16 08:00, gravity: 6.0 P}, {at: 2026-11-17 08:00, gravity: 4.0 P}, "
     "{at: 2026-11-18 08:00, gravity: 4.0 P}, {at: 2026-11-19 08:00, gravity: 4.0 P}, "
     "{at: 2026-11-20 08:00, gravity: 4.0 P",
     {{"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13},
      {"Pale", YEAST_ALE, TANK_FERMENTER, 13}},
     OUTLOOK_UNKNOWN,
     NAN,
     NAN,
     false},
};

static struct outlook outlook_of_row(struct arena *arena, const struct row *row, const char *beer,
                                     const struct history *history)
{
    static struct source cellar_source;
    struct diags diags;
    diag_init(&diags, arena);
    cellar_source = (struct source){STR("cellar.yaml"), str_of(CELLAR)};
    struct doc_stream stream = doc_read(arena, &cellar_source, &diags);
    struct book book = {.arena = arena, .diags = &diags, .folder = ""};
    book.cellar = cellar_read(arena, &cellar_source, stream.first->root, NULL, &diags);
    struct occupancy *occupancy = arena_alloc(arena, sizeof *occupancy);
    occupancy->cellar = book.cellar;
    occupancy->history = *history;
    assert_int_equal(civil_parse("2026-11-20 12:00", 16, civil_utc(), &occupancy->now), CIVIL_OK);
    struct occupancy_tank tanks[] = {
        {.name = STR("FV1"), .tank = cellar_tank(book.cellar, STR("FV1"))},
        {.name = STR("BT1"), .tank = cellar_tank(book.cellar, STR("BT1"))},
    };
    occupancy->tanks.items = tanks;
    occupancy->tanks.n = COUNT(tanks);
    struct occupancy_stay stays[MOST_STAYS];
    occupancy->stays.items = stays;
    for (size_t i = 0; i < MOST_STAYS && row->stays[i].beer != NULL; i++)
        stays[occupancy->stays.n++] =
            (struct occupancy_stay){str_of(row->stays[i].beer), row->stays[i].yeast,
                                    row->stays[i].kind, row->stays[i].days * 24};
    struct buf text = buf_new(arena);
    buf_printf(&text,
               "---\nbatch: 0417\nbeer: %s\nbrewed: 2026-11-14 12:00\nvolume: 50 hL\n"
               "tanks: [{tank: %s, from: 2026-11-14 12:00%s}]\n",
               beer, row->tank, row->more);
    struct book_file *file =
        book_parse(&book, arena, (struct source){STR("b.yaml"), buf_str(&text)});
    if (diags.errors > 0)
        fail_msg("%s: %s", row->title, diags.items[0].message);
    struct batch *batch = file->batches.items[0];
    book_settle(&book, arena, batch, occupancy->now);
    struct batch_courses courses = batch_courses(batch, arena, occupancy->now);
    return outlook_of(occupancy, courses.items, arena);
}

static void when_a_tank_is_free(void **state)
{
    (void)state;
    struct arena arena;
    size_t held = 0;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        const struct row *row = &ROWS[i];
        const struct history none = {.arena = &arena};
        struct outlook outlook = outlook_of_row(&arena, row, "Pale", &none);
        int64_t from = 1794657600; /* 2026-11-14T12:00:00Z */
        double after = (double)(outlook.free_at - from) / CIVIL_DAY;
        double half = (double)(outlook.free_late - outlook.free_early) / 2 / CIVIL_DAY;
        bool is_held = outlook.free_source == OUTLOOK_UNKNOWN &&
                       outlook.forecast.source != FORECAST_NONE &&
                       outlook.forecast.early_at > from + 6 * CIVIL_DAY;
        held += is_held;
        if (outlook.is_held != is_held ||
            (is_held && outlook.free_early != outlook.forecast.early_at))
            fail_msg("%s: held %d", row->title, outlook.is_held);
        if (outlook.free_source != row->source || outlook.is_overdue != row->is_overdue)
            fail_msg("%s: source %d", row->title, (int)outlook.free_source);
        if (!isnan(row->after_days) && !(fabs(after - row->after_days) < 1e-3))
            fail_msg("%s: after %g days, not %g", row->title, after, row->after_days);
        if (!isnan(row->half_days) && !(fabs(half - row->half_days) < 1e-3))
            fail_msg("%s: half an interval of %g days, not %g", row->title, half, row->half_days);
        if ((outlook.free_source == OUTLOOK_UNKNOWN) != (outlook.why_not[0] != '\0'))
            fail_msg("%s: the reason is \"%s\"", row->title, outlook.why_not);
        arena_reset(&arena);
    }
    assert_int_equal(held, 1);
    arena_free(&arena);
}

#define HALFWAY                                                                                    \
    "}]\noriginal: 12.0 P\nreadings: [{at: 2026-11-17 08:00, gravity: 11.0 P}, "                   \
    "{at: 2026-11-18 08:00, gravity: 9.5 P}, {at: 2026-11-19 08:00, gravity: 8.0 P}, "             \
    "{at: 2026-11-20 08:00, gravity: 6.5 P"

/* Beers like it left after a week, which is tomorrow: but this one has half of its way to go. */
static void not_before_it_is_finished(void **state)
{
    static const struct row LATE = {"",
                                    "FV1",
                                    HALFWAY,
                                    {{"Pale", YEAST_ALE, TANK_FERMENTER, 7},
                                     {"Pale", YEAST_ALE, TANK_FERMENTER, 7},
                                     {"Pale", YEAST_ALE, TANK_FERMENTER, 7}},
                                    OUTLOOK_BY_BEER,
                                    NAN,
                                    NAN,
                                    false};
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    const struct history none = {.arena = &arena};
    struct outlook outlook = outlook_of_row(&arena, &LATE, "Pale", &none);
    assert_int_equal(outlook.free_source, OUTLOOK_BY_BEER);
    assert_int_equal(outlook.forecast.source, FORECAST_GENERIC);
    assert_true(outlook.forecast.finish_at > 1794657600 + 7 * CIVIL_DAY);
    assert_int_equal(outlook.free_at, outlook.forecast.finish_at);
    assert_true(outlook.free_early >= outlook.forecast.early_at);
    assert_true(outlook.free_late >= outlook.forecast.late_at);
    assert_true(outlook.free_late >= outlook.free_at);
    assert_false(outlook.is_held);
    arena_free(&arena);
}

/* A beer without a limit is judged by where its earlier batches ended; a limit goes before them. */
static void judged_by_earlier_batches(void **state)
{
    static const struct row ROW = {"", "FV1", HALFWAY, {{0}}, OUTLOOK_UNKNOWN, NAN, NAN, false};
    static const struct {
        const char *beer;
        size_t earlier;
        enum limit_source source;
    } ROWS_OF[] = {
        {"Pale", 4, LIMIT_TERMINAL},
        {"Stout", 3, LIMIT_NONE},
        {"Stout", 4, LIMIT_BASELINE},
        {"Lager", 4, LIMIT_NONE}, /* all of them are of another beer */
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(ROWS_OF); i++) {
        struct history_batch batches[4];
        struct history history = {.arena = &arena};
        for (size_t k = 0; k < ROWS_OF[i].earlier; k++)
            batches[k] = (struct history_batch){.number = STR("0"),
                                                .beer = i == 0 ? STR("Pale") : STR("Stout"),
                                                .yeast = YEAST_ALE,
                                                .original_plato = 12,
                                                .end_plato = 3.5};
        history.batches.items = batches;
        history.batches.n = ROWS_OF[i].earlier;
        struct outlook outlook = outlook_of_row(&arena, &ROW, ROWS_OF[i].beer, &history);
        if (outlook.finish.limit.source != ROWS_OF[i].source)
            fail_msg("%s, %zu earlier: limit %s", ROWS_OF[i].beer, ROWS_OF[i].earlier,
                     LIMIT_SOURCES[outlook.finish.limit.source]);
        arena_reset(&arena);
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(when_a_tank_is_free),
                                       cmocka_unit_test(not_before_it_is_finished),
                                       cmocka_unit_test(judged_by_earlier_batches)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
