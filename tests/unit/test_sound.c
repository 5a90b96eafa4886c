#include "finish_book.h"
#include "sound.h"

#include <math.h>

static const char BEERS[] = "  ale: {yeast: ale}\n";

#define ORIGINAL        "original: 12.0 P\n"
#define EVENT(at, what) "events:\n  - {at: 2026-11-" at ", what: " what "}\n"

#define COARSE(day, plato)                                                                         \
    "\n  - {at: 2026-11-" day " 08:00, gravity: " plato " P, gravity-meter: DM3}\n"

/* A letter a reading: g good, c censored, w coarse (whole degrees), s spike, u unconfirmed. */
static const struct row {
    const char *title, *keys, *days, *states;
    size_t from, risen, spikes;
} ROWS[] = {
    {"a falling beer", ORIGINAL, "11.0 7.5 4.2 2.8", "gggg", 0, 0, 0},
    {"off its scale", ORIGINAL, "11.0 <4.7 2.8", "gcg", 0, 0, 0},
    {"whole degrees", ORIGINAL, "11 7.5 3", "wgw", 0, 0, 0},
    {"half a degree up is no rise", ORIGINAL, "4.0 4.5 4.5", "ggg", 0, 0, 0},
    {"more at the end is not believed", ORIGINAL, "4.0 4.6", "gu", 0, 0, 0},
    {"a spike up", ORIGINAL, "5.0 4.0 4.6 3.9", "ggsg", 0, 0, 1},
    {"a spike down", ORIGINAL, "5.0 4.0 2.0 3.9 3.8", "ggsgg", 0, 0, 1},
    {"the first one too low: nothing bears it out", ORIGINAL, "2.0 4.0 3.9", "ggg", 1, 1, 0},
    {"risen and stayed", ORIGINAL, "4.0 3.9 6.0 5.9", "gggg", 2, 1, 0},
    {"two of them", ORIGINAL, "4.0 3.9 6.0 5.9 8.0 7.9", "gggggg", 4, 2, 0},
    {"an addition explains it", ORIGINAL EVENT("03 10:00", "addition"), "4.0 3.9 6.0 5.9", "gggg",
     2, 0, 0},
    {"krausen too", ORIGINAL EVENT("03 10:00", "krausen"), "4.0 3.9 6.0", "ggg", 2, 0, 0},
    {"a dry hop does not", ORIGINAL EVENT("03 10:00", "dry hop"), "4.0 3.9 6.0 5.9", "gggg", 2, 1,
     0},
    {"an addition before both does not", ORIGINAL EVENT("03 07:00", "addition"), "4.0 3.9 6.0 5.9",
     "gggg", 2, 1, 0},
    {"an addition in the minute of the low reading does not",
     ORIGINAL EVENT("03 08:00", "addition"), "4.0 3.9 6.0 5.9", "gggg", 2, 1, 0},
    {"in the minute of the high one it does", ORIGINAL EVENT("04 08:00", "addition"),
     "4.0 3.9 6.0 5.9", "gggg", 2, 0, 0},
    {"0.6 P up on a scale of 0.3 P is no rise", ORIGINAL, COARSE("02", "4.0") COARSE("03", "4.6"),
     "gg", 0, 0, 0},
    {"0.7 P is one", ORIGINAL, COARSE("02", "4.0") COARSE("03", "4.7"), "gu", 0, 0, 0},
    {"pH alone is no gravity", ORIGINAL, "4.0\n  - {at: 2026-11-03 08:00, ph: 4.5}\n", "g", 0, 0,
     0},
    {"read this minute", ORIGINAL, "4.0\n  - {at: 2026-11-21 09:00, gravity: 3.9 P}\n", "gg", 0, 0,
     0},
    {"censored ones between do not matter", ORIGINAL, "4.0 <4.7 4.6 <4.7 3.9", "gcscg", 0, 0, 1},
};

static void states(void **state)
{
    (void)state;
    static const char LETTERS[SOUND_STATES] = {
        [SOUND_GOOD] = 'g',    [SOUND_CENSORED] = 'c', [SOUND_COARSE] = 'w',
        [SOUND_OUTSIDE] = 'o', [SOUND_SPIKE] = 's',    [SOUND_UNCONFIRMED] = 'u'};
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        char letters[20] = "";
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, "ale", row->keys, row->days, "", 20);
        struct sound sound =
            sound_points(&book.courses.items[0], book.book.cellar, book.context.now, &book.arena);
        size_t good = 0;
        for (size_t k = 0; k < sound.points.n; k++) {
            letters[k] = LETTERS[sound.points.items[k].state];
            good += letters[k] == 'g';
        }
        if (strcmp(letters, row->states) != 0 || sound.from != row->from ||
            sound.risen != row->risen || sound.spikes != row->spikes || sound.good != good)
            fail_msg("%s: %s from %zu, %zu risen, %zu spikes, %zu good", row->title, letters,
                     sound.from, sound.risen, sound.spikes, sound.good);
        finish_book_end(&book);
    }
}

/* The last good reading of each civil day in the cellar's zone. */
static void days(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    finish_book_batch(&book, "ale", ORIGINAL, "11.0 7.5,7.1,<6.9 - 4.2,4.0 9.9", "", 20);
    struct sound sound =
        sound_points(&book.courses.items[0], book.book.cellar, book.context.now, &book.arena);
    struct sound_days days = sound_days(&sound, civil_utc(), &book.arena);
    static const double PLATO[] = {11.0, 7.1, 4.0};
    assert_int_equal(days.n, 3);
    for (size_t i = 0; i < 3; i++)
        assert_float_equal(days.items[i]->plato, PLATO[i], 1e-9);
    assert_int_equal(days.day[1] - days.day[0], 1);
    assert_int_equal(days.day[2] - days.day[1], 2);
    sound.from = 3;
    days = sound_days(&sound, civil_utc(), &book.arena);
    assert_int_equal(days.n, 1);
    finish_book_end(&book);
}

/* The step of the meter goes before the digits written, and none is finer than 0.1 P. */
static void steps(void **state)
{
    (void)state;
    static const struct {
        const char *days, *more;
        double step;
        bool by_refractometer;
    } rows[] = {
        {"3.42", "", 0.1, false},
        {"3.4", "", 0.1, false},
        {"3.42", ", gravity-meter: DM1", 0.1, false},
        {"3.4", ", gravity-meter: RM1", 0.1, true},
        {"3", "", 1, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, "ale", ORIGINAL, rows[i].days, rows[i].more, 20);
        struct sound sound =
            sound_points(&book.courses.items[0], book.book.cellar, book.context.now, &book.arena);
        assert_int_equal(sound.points.n, 1);
        const struct sound_point *point = &sound.points.items[0];
        if (fabs(point->step - rows[i].step) > 1e-9 ||
            point->by_refractometer != rows[i].by_refractometer)
            fail_msg("%s%s: a step of %.3f P", rows[i].days, rows[i].more, point->step);
        finish_book_end(&book);
    }
    const struct sound_point a = {.plato = 2.6, .step = 0.1}, b = {.plato = 2.4, .step = 0.1},
                             c = {.plato = 2.4, .step = 0.2};
    assert_int_equal(sound_steps(&a, &b), 2);
    assert_int_equal(sound_steps(&b, &a), -2);
    assert_int_equal(sound_steps(&a, &c), 1);
    assert_int_equal(sound_steps(&c, &a), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(states),
        cmocka_unit_test(days),
        cmocka_unit_test(steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
