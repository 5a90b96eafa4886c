/* What earlier batches read on a day: between readings, across gaps, in the cold, of too few. */
#include "plot_earlier.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static struct arena arena;

enum { POINTS = 4, MOST = 9 };

/* Batches that fall by 2 P a day from 12 P, each `shift` more than the one before. */
static struct history_batch batches[MOST];
static struct history_point points[MOST][POINTS];
static const struct history_batch *items[MOST];

static struct history_list list_of(size_t n, double shift)
{
    for (size_t i = 0; i < n; i++) {
        batches[i] = (struct history_batch){.original_plato = 12 + (double)i * shift};
        batches[i].points.items = points[i];
        batches[i].points.n = POINTS;
        items[i] = &batches[i];
        for (int k = 0; k < POINTS; k++)
            points[i][k] = (struct history_point){.hours = 24.0 * (k + 1),
                                                  .plato = 12 - 2 * (k + 1) + (double)i * shift,
                                                  .ph = NAN,
                                                  .celsius = 19};
    }
    return (struct history_list){items, n};
}

static void check(const char *title, bool has, const struct plot_point *point, double low,
                  double value, double high)
{
    if (!has || fabs(point->low - low) > 1e-9 || fabs(point->value - value) > 1e-9 ||
        fabs(point->high - high) > 1e-9)
        fail_msg("%s: %d, %g (%g..%g)", title, has, point->value, point->low, point->high);
}

static void test_band(void **state)
{
    (void)state;
    struct plot_point point = {0, NAN, NAN, NAN};
    struct history_list list = list_of(3, 0.2);
    check("the original at the pitch", plot_earlier(&list, READS_GRAVITY, 0, &arena, &point),
          &point, 12, 12.2, 12.4);
    check("between readings", plot_earlier(&list, READS_GRAVITY, 1.5, &arena, &point), &point, 9,
          9.2, 9.4);
    check("at the last one", plot_earlier(&list, READS_GRAVITY, 4, &arena, &point), &point, 4, 4.2,
          4.4);
    assert_false(plot_earlier(&list, READS_GRAVITY, 4.1, &arena, &point));
    assert_false(plot_earlier(&list, READS_PH, 2, &arena, &point));
    assert_false(plot_earlier(&list, READS_PRESSURE, 2, &arena, &point));
    assert_false(plot_earlier(&list, READS_TEMP, 0.5, &arena, &point)); /* before the first one */
    check("temperature", plot_earlier(&list, READS_TEMP, 1, &arena, &point), &point, 19, 19, 19);
}

static void test_of_many(void **state)
{
    (void)state;
    struct plot_point point = {0, NAN, NAN, NAN};
    struct history_list list = list_of(MOST, 0.1);
    /* Rank p (n + 1/3) + 1/3 of nine, 0.1 apart: 0.1 is 1.2667th, 0.9 the 8.7333rd. */
    check("the outer tenths are left out", plot_earlier(&list, READS_GRAVITY, 0, &arena, &point),
          &point, 12 + 0.02666666667, 12.4, 12.8 - 0.02666666667);
}

static void test_what_says_nothing(void **state)
{
    (void)state;
    struct plot_point point = {0, NAN, NAN, NAN};
    struct history_list list = list_of(2, 0.2);
    assert_false(plot_earlier(&list, READS_GRAVITY, 1, &arena, &point));
    list = list_of(0, 0);
    assert_false(plot_earlier(&list, READS_GRAVITY, 1, &arena, &point));
    list = list_of(4, 0.2);
    points[0][2].cold = true; /* chilled by day 3: it tells nothing of day 2.5 */
    check("without the chilled one", plot_earlier(&list, READS_GRAVITY, 2.5, &arena, &point),
          &point, 7.2, 7.4, 7.6);
    points[1][1].plato = points[1][2].plato = NAN; /* three days without a reading */
    assert_false(plot_earlier(&list, READS_GRAVITY, 2.5, &arena, &point));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_band),
        cmocka_unit_test(test_of_many),
        cmocka_unit_test(test_what_says_nothing),
    };
    arena_init(&arena, NULL, NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    arena_free(&arena);
    return failed;
}
