#include "baseline.h"
#include "finish_book.h"

#include <math.h>

static const char BEERS[] = "  Pale: {yeast: ale}\n";

#define HEADER "beer\tby\tat\tfigure\tn\tmedian\tspread\tlow\thigh\tbatches\tleft_out\n"
#define WHOLE                                                                                      \
    "Pale\twhole\t\toriginal_P\t5\t12.4\t0.1\t12\t12.8\t5\t\n"                                     \
    "Pale\twhole\t\tend_P\t5\t2.4\t0.1\t2.1\t2.7\t5\t\n"
#define HOURS(at, hours) "Pale\tprogress\t" at "\thours\t5\t" hours "\t4\t\t\t5\t\n"
#define LEFT(at, hours, spread)                                                                    \
    "Pale\tprogress\t" at "\tleft_h\t5\t" hours "\t" spread "\t\t\t5\t\n"

static struct history read_into_history(struct finish_book *book, const char *text)
{
    struct history history = {.arena = &book->arena};
    struct baselines *baselines = arena_alloc(&book->arena, sizeof *baselines);
    size_t line;
    const char *why = "";
    *baselines = (struct baselines){.arena = &book->arena};
    if (!baselines_read(baselines, str_of(text), book->book.cellar, &line, &why))
        fail_msg("line %zu: %s", line, why);
    baselines_into_history(baselines, &history);
    return history;
}

/* Five batches stand for five, the middle one of them on the medians, the others as far from it as
 * five normal values are: 1.18 and 0.50 standard deviations (Blom). */
static void stands_for_as_many_batches(void **state)
{
    (void)state;
    static const double SCORES[] = {-1.1798, -0.4972, 0, 0.4972, 1.1798};
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    struct history history = read_into_history(
        &book, HEADER WHOLE HOURS("0", "0") HOURS("50", "40") HOURS("90", "70") HOURS("100", "100")
                   LEFT("0", "100", "4") LEFT("50", "60", "4") LEFT("90", "30", "5"));
    assert_int_equal(history.batches.n, 5);
    for (size_t i = 0; i < 5; i++) {
        const struct history_batch *batch = &history.batches.items[i];
        assert_int_equal(batch->yeast, YEAST_ALE);
        assert_float_equal(batch->end_hours, 100, 1e-9);
        assert_int_equal(batch->course.n, 4);
        double left = 100 - remain_hours_at(&batch->course, 0.5);
        if (fabs(left - (60 + 4 * SCORES[i])) > 0.01)
            fail_msg("batch %zu: %.3f h from half of it", i, left);
        left = 100 - remain_hours_at(&batch->course, 0.1);
        if (fabs(left - (30 + 5 * SCORES[i])) > 0.01)
            fail_msg("batch %zu: %.3f h from a tenth of it", i, left);
        for (size_t k = 1; k < batch->course.n; k++)
            assert_true(batch->course.hours[k] > batch->course.hours[k - 1]);
    }
    finish_book_end(&book);
}

/* A batch whose number is left empty is a batch of its beer like any other. */
static void counts_an_empty_number(void **state)
{
    (void)state;
    struct finish_book book;
    struct doc_node number = {.text = STR("")};
    finish_book_begin(&book, BEERS);
    struct history history = {.arena = &book.arena};
    finish_book_batch(&book, "Pale", "original: 12 P\nforced: {gravity: 2.4 P}\n",
                      "9.0 5.0 2.5 2.4 2.4 2.4", "", 8);
    struct finish finish = finish_book_judge(&book);
    book.batch->number = &number;
    history_add(&history, &finish);
    struct baselines baselines = baselines_of(&history, &book.arena);
    assert_int_equal(baselines.beers.n, 1);
    assert_int_equal(baselines.beers.items[0].batches, 1);
    finish_book_end(&book);
}

/* Five batches, each unlike most others in its end, its half time or its end time: all are kept. */
static void keeps_batches_that_are_all_odd(void **state)
{
    (void)state;
    static const struct {
        double end, left[3];
    } ODD[] = {{4.8, {0.5, 0.1, 0}},
               {1.0, {0.5, 0.1, 0}},
               {2.5, {0.9, 0.5, 0}},
               {2.5, {0.9, 0.5, 0}},
               {2.5, {0.5, 0.1, 0.05}}};
    for (size_t odd = 3; odd <= 5; odd += 2) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        double hours[5][5], left[5][5];
        struct history_batch batches[5] = {0};
        const struct history_batch *items[5];
        for (size_t i = 0; i < 5; i++) {
            size_t like = i < odd ? i : 0; /* of the first there are more */
            for (size_t k = 0; k < 5; k++) {
                hours[i][k] = 24 * (double)k;
                left[i][k] = k == 0 ? 1 : k == 4 ? 0 : ODD[like].left[k - 1];
            }
            bool is_late = left[i][3] > 0;
            batches[i].original_plato = 12;
            batches[i].end_plato = ODD[like].end;
            batches[i].end_hours = is_late ? 150 : 70;
            batches[i].course = (struct remain_course){hours[i], left[i], 5, batches[i].end_hours};
            items[i] = &batches[i];
        }
        struct history_list list = {items, 5};
        struct baseline baseline = baseline_of(&list, &arena);
        size_t out = odd == 5 ? 0 : 2;
        if (baseline.left_out.n != out || baseline.batches != 5 - out)
            fail_msg("%zu odd ones: %zu left out", odd, baseline.left_out.n);
        assert_non_null(baseline_row(&baseline, BASELINE_WHOLE, BASELINE_END, 0));
        arena_free(&arena);
    }
}

/* The lowest and the highest of five normal values lie 1.18 standard deviations from their middle,
 * of four 1.05 (Blom): the limit goes a step's doubt beyond, whatever the band promises. */
static void limits(void **state)
{
    (void)state;
    static const struct {
        const char *row;
        double low, high; /* NAN: none */
    } ROWS[] = {
        {"Pale\twhole\t\tend_P\t5\t2.4\t0.1\t2.3\t2.5\t5\t\n", 2.3, 2.5},
        {"Pale\twhole\t\tend_P\t5\t2.4\t0.1\t2.05\t2.75\t5\t\n", 2.4 - 0.118 - 0.101,
         2.4 + 0.118 + 0.101},
        {"Pale\twhole\t\tend_P\t4\t3\t1\t-1.16\t7.16\t4\t\n", 3 - 1.049 - 0.120, 3 + 1.049 + 0.120},
        {"Pale\twhole\t\tend_P\t3\t3\t1\t\t\t3\t\n", NAN, NAN},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        struct baselines baselines = {.arena = &arena};
        char text[300];
        size_t line;
        const char *why = "";
        snprintf(text, sizeof text, HEADER "%s", ROWS[i].row);
        struct cellar cellar = {0};
        assert_true(baselines_read(&baselines, str_of(text), &cellar, &line, &why));
        struct limit_baseline limit = baseline_limit(baselines_find(&baselines, STR("Pale")));
        bool has = !isnan(ROWS[i].low);
        if (limit.has != has || (has && (!(fabs(limit.low_plato - ROWS[i].low) < 2e-3) ||
                                         !(fabs(limit.high_plato - ROWS[i].high) < 2e-3))))
            fail_msg("row %zu: %g..%g P", i, limit.low_plato, limit.high_plato);
        assert_false(baseline_limit(baselines_find(&baselines, STR("Stout"))).has);
        arena_free(&arena);
    }
}

/* Of each beer as many as are kept, the newest, in whatever order they come. */
static void forgets_the_oldest(void **state)
{
    (void)state;
    static const char *const NUMBERS[] = {"5", "1", "9", "3", "7", "2", "8"};
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    struct history history = {.arena = &book.arena, .most = 3};
    for (size_t i = 0; i < sizeof NUMBERS / sizeof NUMBERS[0]; i++) {
        finish_book_batch(&book, "Pale", "original: 12 P\nforced: {gravity: 2.4 P}\n",
                          "9.0 5.0 2.5 2.4 2.4 2.4", "", 8);
        struct finish finish = finish_book_judge(&book);
        struct doc_node *number = arena_alloc(&book.arena, sizeof *number);
        number->text = str_of(NUMBERS[i]);
        book.batch->number = number;
        book.batch->zero -= (9 - (NUMBERS[i][0] - '0')) * CIVIL_HOUR;
        history_add(&history, &finish);
        history_add(&history, &finish); /* it is there already, or was too old */
    }
    assert_int_equal(history.batches.n, 3);
    double end = 0;
    for (size_t i = 0; i < 3; i++) {
        const struct history_batch *batch = &history.batches.items[i];
        assert_true(str_eq(batch->beer, STR("Pale")));
        assert_true(batch->number.p[0] >= '7');
        assert_int_equal(batch->points.n, 6);
        end += batch->end_hours;
    }
    /* 2.5 P on the fourth morning, 65 h after the brewing of number 9. */
    assert_float_equal(end, 3 * 65 + 1 + 2, 1e-6);
    finish_book_end(&book);
}

/* A file of the time before left_h: its hours, without spread. */
static void reads_a_file_without_the_time_left(void **state)
{
    (void)state;
    struct finish_book book;
    finish_book_begin(&book, BEERS);
    struct history history = read_into_history(&book, HEADER WHOLE HOURS("0", "0") HOURS("50", "40")
                                                          HOURS("90", "70") HOURS("100", "100"));
    assert_int_equal(history.batches.n, 5);
    for (size_t i = 0; i < 5; i++)
        assert_float_equal(remain_hours_at(&history.batches.items[i].course, 0.5), 40, 1e-6);
    finish_book_end(&book);
}

static void says_nothing_from_too_little(void **state)
{
    (void)state;
    static const char *const TEXTS[] = {
        HEADER,
        HEADER WHOLE,
        HEADER WHOLE HOURS("100", "100"),
        HEADER HOURS("0", "0") HOURS("50", "40") HOURS("100", "100"),
    };
    for (size_t i = 0; i < sizeof TEXTS / sizeof TEXTS[0]; i++) {
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        struct history history = read_into_history(&book, TEXTS[i]);
        assert_int_equal(history.batches.n, 0);
        finish_book_end(&book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stands_for_as_many_batches),
        cmocka_unit_test(counts_an_empty_number),
        cmocka_unit_test(keeps_batches_that_are_all_odd),
        cmocka_unit_test(limits),
        cmocka_unit_test(forgets_the_oldest),
        cmocka_unit_test(reads_a_file_without_the_time_left),
        cmocka_unit_test(says_nothing_from_too_little),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
