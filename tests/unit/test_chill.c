#include "chill.h"
#include "finish_book.h"

static const char BEERS[] = "  ale: {yeast: ale, ferment: 18..20 C}\n"
                            "  bare: {yeast: ale}\n"
                            "  open: {yeast: ale, ferment: ..20 C}\n"
                            "  lager: {yeast: lager, ferment: 10..14 C}\n";

#define CHILL(at) "events:\n  - {at: 2026-11-" at ", what: chill}\n"

/* As of 20 days after the pitch. */
static const struct row {
    const char *title, *beer, *keys, *days;
    bool cold, by_event;
    int day, hour; /* of November, when it was chilled */
} ROWS[] = {
    {"warm", "ale", "", "4/19 4/19 4/19", false, false, 0, 0},
    {"by an event", "ale", CHILL("03 10:00"), "4/19 4/19", true, true, 3, 10},
    {"the first of two events", "ale",
     CHILL("03 10:00") "  - {at: 2026-11-04 10:00, what: chill}\n", "4/19 4/19", true, true, 3, 10},
    {"one cold reading is none", "ale", "", "4/19 4/5", false, false, 0, 0},
    {"two are", "ale", "", "4/19 4/5 4/5", true, false, 3, 8},
    {"with a warm one between they are not", "ale", "", "4/5 4/19 4/5", false, false, 0, 0},
    {"5 C below the range", "ale", "", "4/13 4/13", true, false, 2, 8},
    {"4.9 C below it", "ale", "", "4/13.1 4/13.1", false, false, 0, 0},
    {"no ferment: the yeast's own 15 C", "bare", "", "4/10 4/10", true, false, 2, 8},
    {"and not above", "bare", "", "4/10.1 4/10.1", false, false, 0, 0},
    {"a range without a low end: the same", "open", "", "4/10.1 4/10.1", false, false, 0, 0},
    {"a lager's own cold", "lager", "", "4/6 4/6", false, false, 0, 0},
    {"a lager's chill", "lager", "", "4/5 4/5", true, false, 2, 8},
    {"two warm ones end it", "ale", CHILL("03 10:00"), "4/19 4/19 4/3 4/3 4/18 4/18", false, false,
     0, 0},
    {"one does not", "ale", CHILL("03 10:00"), "4/19 4/19 4/3 4/3 4/18", true, true, 3, 10},
    {"nor two that are not quite warm", "ale", CHILL("03 10:00"), "4/19 4/19 4/3 4/17.9 4/17.9",
     true, true, 3, 10},
    {"two warm ones with a cold one between", "ale", CHILL("03 10:00"),
     "4/19 4/19 4/18 4/3 4/18 4/3", true, true, 3, 10},
    {"while it cools it may still be warm", "ale", CHILL("03 07:00"), "4/19 4/19,4/18 4/3", true,
     true, 3, 7},
    {"a day later it may not", "ale", CHILL("03 07:00"), "4/19 4/19 4/18 4/18", false, false, 0, 0},
    {"warm again, then cold by its readings", "ale", CHILL("03 10:00"),
     "4/19 4/19 4/3 4/18 4/18 4/5 4/5", true, false, 7, 8},
    {"a bound is no temperature", "ale", "", "4/<5 4/<5", false, false, 0, 0},
    {"warm once, two days after the event", "ale", CHILL("02 10:00"), "4/19 - - 4/18", true, true,
     2, 10},
    {"warm to the minute a day after the event, and the day after", "ale", CHILL("03 08:00"),
     "4/19 4/19 4/18 4/18", true, true, 3, 8},
    {"the event in the minute of the second cold reading goes first", "ale", CHILL("04 08:00"),
     "4/19 4/5 4/5", true, true, 4, 8},
    {"cold on a second reading, this minute", "ale", "",
     "4/5\n  - {at: 2026-11-21 09:00, gravity: 4, temp: 5 C}\n", true, false, 2, 8},
    {"chilled this minute", "ale", CHILL("21 09:00"), "4/19", true, true, 21, 9},
    {"later than now", "ale", CHILL("22 10:00"), "4/19", false, false, 0, 0},
    {"after the last reading", "ale", CHILL("20 10:00"), "4/19", true, true, 20, 10},
};

static void chills(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, row->days, "", 20);
        struct chill chill = chill_of(&book.courses.items[0], book.context.now);
        int64_t at = row->day == 0 ? 0
                                   : FINISH_BOOK_PITCH + (row->day - 1) * CIVIL_DAY +
                                         (row->hour - 15) * CIVIL_HOUR;
        if (chill.is_cold != row->cold || chill.by_event != row->by_event || chill.at != at)
            fail_msg("%s: %s, %s, %+.1f h", row->title, chill.is_cold ? "cold" : "warm",
                     chill.by_event ? "by an event" : "by readings",
                     (double)(chill.at - at) / CIVIL_HOUR);
        finish_book_end(&book);
    }
}

static void covers_what_is_after(void **state)
{
    (void)state;
    const struct chill warm = {false, false, 100}, event = {true, true, 100},
                       readings = {true, false, 100};
    assert_false(chill_covers(&warm, 200));
    assert_false(chill_covers(&event, 100));
    assert_true(chill_covers(&event, 101));
    assert_false(chill_covers(&readings, 99));
    assert_true(chill_covers(&readings, 100));
    assert_true(chill_covers(&readings, 101));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chills),
        cmocka_unit_test(covers_what_is_after),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
