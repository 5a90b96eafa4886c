/* What is kept of a batch that came to its end, which batches are kept, and what is asked of them.
 */
#include "finish_book.h"
#include "history.h"

#include <math.h>
#include <stdio.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char BEERS[] = "  ale: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  stout: {yeast: ale, terminal: 2.2..2.6 P}\n"
                            "  lager: {yeast: lager, terminal: 2.2..2.6 P}\n"
                            "  bare: {yeast: ale}\n";

#define ORIGINAL "original: 12.4 P\n"

static void begin(struct finish_book *book, const char *beer, const char *keys, const char *days)
{
    finish_book_begin(book, BEERS);
    finish_book_batch(book, beer, keys, days, "", 12);
}

/* The same batch under another number and beer, pitched so many days earlier. */
static void add(struct history *history, struct finish_book *book, const char *number,
                const char *beer, int64_t days_before)
{
    struct finish finish = finish_book_judge(book);
    struct batch batch = *book->batch;
    struct batch_course course = *finish.course;
    struct doc_node number_node = {.text = str_of(number)}, beer_node = {.text = str_of(beer)};
    batch.number = &number_node;
    batch.beer = &beer_node;
    batch.zero -= days_before * CIVIL_DAY;
    course.batch = &batch;
    finish.course = &course;
    history_add(history, &finish);
}

static const struct history_batch *find(const struct history *history, const char *number)
{
    for (size_t i = 0; i < history->batches.n; i++)
        if (str_is(history->batches.items[i].number, number))
            return &history->batches.items[i];
    return NULL;
}

/* Only what came to its end says how long a beer takes. */
static void passes_over(void **state)
{
    (void)state;
    static const struct {
        const char *title, *beer, *keys, *days;
        size_t kept;
    } ROWS[] = {
        {"finished", "ale", ORIGINAL, "9.0 6.0 2.4 2.4", 1},
        {"finished, unconfirmed", "bare", ORIGINAL, "9.0 6.0 2.4 2.4", 1},
        {"fermenting", "ale", ORIGINAL, "9.0 6.0 4.0", 0},
        {"stuck", "ale", ORIGINAL, "9.0 6.0 4.0 4.0 4.0", 0},
        {"no original", "ale", "", "9.0 6.0 2.4 2.4", 0},
        {"an original that is hardly above its end", "ale", "original: 2.5 P\n", "2.4 2.4", 0},
    };
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct finish_book book;
        begin(&book, ROWS[i].beer, ROWS[i].keys, ROWS[i].days);
        struct history history = {.arena = &book.arena};
        add(&history, &book, "1", ROWS[i].beer, 0);
        if (history.batches.n != ROWS[i].kept)
            fail_msg("%s: %zu kept", ROWS[i].title, history.batches.n);
        finish_book_end(&book);
    }
}

/* Nor does a batch of which the file leaves out who it is. */
static void asks_who_it_is(void **state)
{
    (void)state;
    for (int without = 0; without < 4; without++) {
        struct finish_book book;
        begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
        struct history history = {.arena = &book.arena};
        struct finish finish = finish_book_judge(&book);
        if (without == 1)
            book.batch->number = NULL;
        if (without == 2)
            book.batch->beer = NULL;
        if (without == 3)
            book.batch->has_zero = false;
        history_add(&history, &finish);
        assert_int_equal(history.batches.n, without == 0);
        finish_book_end(&book);
    }
}

/* A document with an error says nothing, even one. */
static void asks_for_no_error(void **state)
{
    (void)state;
    for (size_t errors = 0; errors < 3; errors++) {
        struct finish_book book;
        begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
        struct history history = {.arena = &book.arena};
        book.batch->errors = errors;
        history_add_batch(&history, &book.context, book.batch);
        assert_int_equal(history.batches.n, errors == 0);
        finish_book_end(&book);
    }
}

/* What is kept of one: hours count from the pitch, 1 November 15:00. */
static void keeps(void **state)
{
    (void)state;
    static const char DAYS[] = "9.4/18 12.0 4.4/20 2.4 2.4/3 2.4/2\n"
                               "  - {at: 2026-11-01 20:00, ph: 5.0, temp: 17 C}\n"
                               "  - {at: 2026-11-04 08:01, ph: <4.4}\n"
                               "  - {at: 2026-11-04 08:00, gravity: 4.2 P, gravity-meter: DM1}\n";
    static const struct {
        double hours, plato, ph, celsius;
        bool cold;
    } POINTS[] = {
        {5, NAN, 5.0, 17, false},
        {17, 9.4, NAN, 18, false},
        {41, NAN, NAN, 19, false}, /* a spike */
        {65, 4.4, NAN, 20, false},
        {65, 4.2, NAN, NAN, false},
        {65 + 1 / 60.0, NAN, NAN, NAN, false}, /* off the end of its scale */
        {89, 2.4, NAN, 19, false},
        {113, 2.4, NAN, 3, true},
        {137, 2.4, NAN, 2, true},
    };
    static const double HOURS[] = {0, 17, 65, 89, 113, 137}, LEFT[] = {1, 0.7, 0.2, 0, 0, 0};
    struct finish_book book;
    begin(&book, "ale", ORIGINAL "events: [{at: 2026-11-05 09:00, what: chill}]\n", DAYS);
    struct history history = {.arena = &book.arena};
    add(&history, &book, "0417", "ale", 0);
    assert_int_equal(history.batches.n, 1);
    const struct history_batch *batch = &history.batches.items[0];
    assert_true(str_is(batch->number, "0417") && str_is(batch->beer, "ale"));
    assert_int_equal(batch->yeast, YEAST_ALE);
    assert_int_equal(batch->zero, FINISH_BOOK_PITCH);
    assert_true(fabs(batch->original_plato - 12.4) < 1e-9);
    assert_true(fabs(batch->end_plato - 2.4) < 1e-9);
    assert_true(fabs(batch->steady_hours - 113) < 1e-9);
    assert_true(batch->abv_percent > 5 && batch->abv_percent < 5.6);
    assert_int_equal(batch->points.n, COUNT(POINTS));
    for (size_t i = 0; i < COUNT(POINTS); i++) {
        const struct history_point *point = &batch->points.items[i];
        const double got[] = {point->hours, point->plato, point->ph, point->celsius};
        const double wanted[] = {POINTS[i].hours, POINTS[i].plato, POINTS[i].ph, POINTS[i].celsius};
        for (size_t k = 0; k < COUNT(got); k++)
            if (isnan(wanted[k]) ? !isnan(got[k]) : !(fabs(got[k] - wanted[k]) < 1e-9))
                fail_msg("point %zu: figure %zu is %g", i, k, got[k]);
        if (point->cold != POINTS[i].cold)
            fail_msg("point %zu: cold %d", i, point->cold);
    }
    assert_int_equal(batch->course.n, COUNT(HOURS));
    for (size_t i = 0; i < COUNT(HOURS); i++)
        if (!(fabs(batch->course.hours[i] - HOURS[i]) < 1e-9) ||
            !(fabs(batch->course.left[i] - LEFT[i]) < 1e-9))
            fail_msg("course %zu: %g h, %g", i, batch->course.hours[i], batch->course.left[i]);
    /* within 0.1 P of its end: 1 % of what there was, late on its last stretch */
    assert_true(batch->end_hours > 77 && batch->end_hours < 89);
    assert_true(batch->course.end_hours == batch->end_hours);
    finish_book_end(&book);
}

/* A number counts once, whichever way they are kept; many are found. */
static void takes_a_number_once(void **state)
{
    (void)state;
    static const size_t MOSTS[] = {0, 1000};
    enum { MANY = 200 };
    for (size_t m = 0; m < COUNT(MOSTS); m++) {
        struct finish_book book;
        begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
        struct history history = {.arena = &book.arena, .most = MOSTS[m]};
        for (int i = 0; i < 3 * MANY; i++) {
            char number[16];
            snprintf(number, sizeof number, "%d", i % MANY);
            add(&history, &book, number, "ale", 7 * i);
        }
        assert_int_equal(history.batches.n, MANY);
        for (int i = 0; i < MANY; i++)
            assert_int_equal(history.batches.items[i].zero, FINISH_BOOK_PITCH - 7 * i * CIVIL_DAY);
        add(&history, &book, "0", "stout", 0);
        assert_int_equal(history.batches.n, MANY);
        finish_book_end(&book);
    }
}

/* Of a beer the newest are kept, in whatever order they are read; of each beer as many. */
static void forgets_the_oldest(void **state)
{
    (void)state;
    static const struct {
        const char *number, *beer;
        int64_t days_before;
    } READ[] = {
        {"1", "ale", 30},   {"2", "stout", 90},
        {"3", "ale", 10},   {"4", "ale", 40},   /* passed over */
        {"5", "ale", 20},                       /* for 1 */
        {"6", "ale", 20},                       /* no newer */
        {"7", "stout", 80}, {"8", "stout", 85}, /* for 2 */
    };
    static const char *const KEPT[] = {"3", "5", "7", "8"};
    struct finish_book book;
    begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
    struct history history = {.arena = &book.arena, .most = 2};
    for (size_t i = 0; i < COUNT(READ); i++)
        add(&history, &book, READ[i].number, READ[i].beer, READ[i].days_before);
    assert_int_equal(history.batches.n, COUNT(KEPT));
    for (size_t i = 0; i < COUNT(KEPT); i++) {
        const struct history_batch *batch = find(&history, KEPT[i]);
        if (batch == NULL)
            fail_msg("%s is forgotten", KEPT[i]);
        /* its own readings, in memory that served another one before */
        assert_int_equal(batch->points.n, 4);
        assert_true(batch->course.hours == batch->hours && batch->course.n == 5);
    }
    for (size_t i = 0; i < COUNT(KEPT); i++)
        for (size_t k = i + 1; k < COUNT(KEPT); k++)
            assert_ptr_not_equal(find(&history, KEPT[i])->hours, find(&history, KEPT[k])->hours);
    finish_book_end(&book);
}

/* One of a beer: the same number is still passed over. */
static void keeps_one(void **state)
{
    (void)state;
    struct finish_book book;
    begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
    struct history history = {.arena = &book.arena, .most = 1};
    add(&history, &book, "1", "ale", 30);
    add(&history, &book, "1", "ale", 10);
    assert_int_equal(history.batches.items[0].zero, FINISH_BOOK_PITCH - 30 * CIVIL_DAY);
    add(&history, &book, "2", "ale", 20);
    assert_int_equal(history.batches.n, 1);
    assert_non_null(find(&history, "2"));
    finish_book_end(&book);
}

/* Looking back, only what could be called over by then counts: the second day at the end. */
static void until_a_moment(void **state)
{
    (void)state;
    struct finish_book book;
    begin(&book, "ale", ORIGINAL, "9.0 6.0 2.4 2.4");
    struct history history = {.arena = &book.arena}, then = {.arena = &book.arena}, before = then;
    add(&history, &book, "1", "ale", 0);
    add(&history, &book, "2", "stout", 100);
    int64_t called = FINISH_BOOK_PITCH + 89 * CIVIL_HOUR;
    history_until(&then, &history, called);
    assert_int_equal(then.batches.n, 2);
    history_until(&before, &history, called - 1);
    assert_int_equal(before.batches.n, 0); /* 2 only had longer for it */
    finish_book_end(&book);
}

/* Batches made by hand, pitched so many days ago. */
static void make(struct history *history, struct history_batch *batch, const char *number,
                 const char *beer, int yeast, int64_t days_ago)
{
    history->batches.items = history->batches.n == 0 ? batch : history->batches.items;
    *batch = (struct history_batch){.number = str_of(number),
                                    .beer = str_of(beer),
                                    .yeast = yeast,
                                    .zero = -days_ago * CIVIL_DAY,
                                    .end_plato = 2.4};
    history->batches.n++;
}

static void lists(void **state)
{
    (void)state;
    struct arena arena;
    struct history_batch batches[5];
    struct history history = {.most = 0};
    arena_init(&arena, NULL, NULL);
    make(&history, &batches[0], "1", "ale", YEAST_ALE, 30);
    make(&history, &batches[1], "2", "stout", YEAST_ALE, 20);
    make(&history, &batches[2], "3", "ale", YEAST_ALE, 10);
    make(&history, &batches[3], "4", "lager", YEAST_LAGER, 25);
    make(&history, &batches[4], "5", "", YEAST_ALE, 25);
    struct doc_node ale = {.text = STR("ale")}, number = {.text = STR("9")};
    const struct batch pitched = {
        .number = &number, .beer = &ale, .has_zero = true, .zero = -10 * CIVIL_DAY};
    const struct batch blend = {.number = &number, .beer = &ale};
    const struct {
        const char *title;
        struct history_list list;
        const char *numbers;
    } ROWS[] = {
        {"of a beer", history_of_beer(&history, STR("ale"), 0, STR("9"), &arena), "13"},
        {"but for itself", history_of_beer(&history, STR("ale"), 0, STR("3"), &arena), "1"},
        {"pitched before it",
         history_of_beer(&history, STR("ale"), -10 * CIVIL_DAY, STR("9"), &arena), "1"},
        {"a second later",
         history_of_beer(&history, STR("ale"), 1 - 10 * CIVIL_DAY, STR("9"), &arena), "13"},
        {"but for none", history_of_beer(&history, STR("ale"), 0, (struct str){NULL, 0}, &arena),
         "13"},
        {"before a batch", history_before(&history, &pitched, 0, &arena), "1"},
        {"before a blend: all so far", history_before(&history, &blend, 0, &arena), "13"},
        {"of a kind of yeast", history_of_yeast(&history, YEAST_ALE, 0, STR("9"), &arena), "1235"},
        {"of another", history_of_yeast(&history, YEAST_LAGER, 0, STR("9"), &arena), "4"},
        {"of no name: not those of any yeast",
         history_of_beer(&history, (struct str){NULL, 0}, 0, STR("9"), &arena), "5"},
    };
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct buf numbers = buf_new(&arena);
        buf_printf(&numbers, "%s", "");
        for (size_t k = 0; k < ROWS[i].list.n; k++)
            buf_add(&numbers, ROWS[i].list.items[k]->number);
        if (strcmp(numbers.p, ROWS[i].numbers) != 0)
            fail_msg("%s: %s", ROWS[i].title, numbers.p);
    }
    arena_free(&arena);
}

/* Of many the newest 24 are taken, wherever they stand. */
static void lists_the_newest(void **state)
{
    (void)state;
    enum { MANY = 40 };
    for (int order = 0; order < 3; order++) {
        struct arena arena;
        struct history_batch batches[MANY];
        struct history history = {.most = 0};
        arena_init(&arena, NULL, NULL);
        for (int i = 0; i < MANY; i++) /* rising, falling, mixed */
            make(&history, &batches[i], "1", "ale", YEAST_ALE,
                 1 + (order == 0   ? MANY - 1 - i
                      : order == 1 ? i
                                   : 7 * i % MANY));
        struct history_list list = history_of_beer(&history, STR("ale"), 0, STR("9"), &arena);
        bool seen[MANY + 1] = {false};
        assert_int_equal(list.n, 24);
        for (size_t i = 0; i < list.n; i++)
            seen[-list.items[i]->zero / CIVIL_DAY] = true;
        for (int day = 1; day <= 24; day++)
            if (!seen[day])
                fail_msg("order %d: the batch of %d days ago is missing", order, day);
        arena_free(&arena);
    }
}

/* Where they ended: two-sided tolerance factors for 9 of 10 at a confidence of 0.9 are 4.16 of
 * four and 3.50 of five (tables differ in the next digit); a scale of 0.1 P scatters by 0.1 /
 * sqrt(12) by itself, and by as much the band may go beyond the ends. */
static void limits(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        size_t n;
        double ends[5], low, high; /* NAN: none */
    } ROWS[] = {
        {"three say nothing", 3, {2.4, 2.4, 2.4}, NAN, NAN},
        {"four alike: a step's doubt",
         4,
         {2.4, 2.4, 2.4, 2.4},
         2.4 - 4.16 * 0.028868,
         2.4 + 4.16 * 0.028868},
        {"five alike, about their median",
         5,
         {2.2, 2.4, 2.4, 2.4, 2.4},
         2.4 - 3.50 * 0.028868,
         2.4 + 3.50 * 0.028868},
        /* Qn of five: the third of the differences, 0.1 P, times 2.2219 and 0.844 */
        {"one far below, one far above",
         5,
         {3.6, 1.4, 2.4, 2.4, 2.5},
         2.4 - 3.50 * 0.1 * 2.2219 * 0.844,
         2.4 + 3.50 * 0.1 * 2.2219 * 0.844},
        /* which of 0.2 P would be 1.1..3.7 P: no farther than a step's doubt from what was */
        {"a step of 0.2 P between each",
         5,
         {2.8, 2.0, 2.2, 2.4, 2.6},
         2.0 - 3.50 * 0.028868,
         2.8 + 3.50 * 0.028868},
        {"four far apart do not promise 7 P",
         4,
         {2.2, 3.4, 2.4, 2.9},
         2.2 - 4.16 * 0.028868,
         3.4 + 4.16 * 0.028868},
    };
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct arena arena;
        struct history_batch batches[5];
        const struct history_batch *items[5];
        arena_init(&arena, NULL, NULL);
        for (size_t k = 0; k < ROWS[i].n; k++) {
            batches[k] = (struct history_batch){.end_plato = ROWS[i].ends[k]};
            items[k] = &batches[k];
        }
        const struct history_list list = {items, ROWS[i].n};
        struct limit_baseline limit = history_limit(&list, &arena);
        bool has = !isnan(ROWS[i].low);
        if (limit.has != has || (has && (!(fabs(limit.low_plato - ROWS[i].low) < 1e-3) ||
                                         !(fabs(limit.high_plato - ROWS[i].high) < 1e-3))))
            fail_msg("%s: %g..%g P", ROWS[i].title, limit.low_plato, limit.high_plato);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(passes_over),
        cmocka_unit_test(asks_who_it_is),
        cmocka_unit_test(asks_for_no_error),
        cmocka_unit_test(keeps),
        cmocka_unit_test(takes_a_number_once),
        cmocka_unit_test(forgets_the_oldest),
        cmocka_unit_test(until_a_moment),
        cmocka_unit_test(keeps_one),
        cmocka_unit_test(lists),
        cmocka_unit_test(lists_the_newest),
        cmocka_unit_test(limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
