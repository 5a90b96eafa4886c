/* What earlier batches read on a day, as the chart takes it from the beer's baseline: between days,
 * before the first, in the cold, of too few. */
#include "plot_earlier.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static struct arena arena;

enum { POINTS = 4, MOST = 9 };

/* Batches that fall by 2 P a day from 12 P, each 0.1 P more than the one before. */
static struct history_batch batches[MOST];
static struct history_point points[MOST][POINTS];
static double hours[POINTS + 1], left[POINTS + 1];
static const struct history_batch *items[MOST];

static struct history_list list_of(size_t n)
{
    for (int k = 0; k <= POINTS; k++) {
        hours[k] = 24.0 * k;
        left[k] = 1 - 0.25 * k;
    }
    for (size_t i = 0; i < n; i++) {
        double shift = 0.1 * (double)i;
        batches[i] = (struct history_batch){.original_plato = 12 + shift,
                                            .end_plato = 4 + shift,
                                            .end_hours = 96,
                                            .course = {hours, left, POINTS + 1, 96}};
        batches[i].points.items = points[i];
        batches[i].points.n = POINTS;
        items[i] = &batches[i];
        for (int k = 0; k < POINTS; k++)
            points[i][k] = (struct history_point){
                .hours = 24.0 * (k + 1), .plato = 10 - 2 * k + shift, .ph = NAN, .celsius = 19};
    }
    return (struct history_list){items, n};
}

static const struct {
    const char *title;
    size_t batches;
    int reads;
    double day, value; /* NAN: nothing is known */
} rows[] = {
    {"the original at the pitch", 5, READS_GRAVITY, 0, 12.2},
    {"before the first day is over", 5, READS_GRAVITY, 0.5, 11.2},
    {"on a day", 5, READS_GRAVITY, 2, 8.2},
    {"between days", 5, READS_GRAVITY, 2.75, 6.7},
    {"on the last day", 9, READS_GRAVITY, 4, 4.4},
    {"after it", 9, READS_GRAVITY, 4.1, NAN},
    {"before the pitch", 5, READS_GRAVITY, -0.1, NAN},
    {"temperature before its first reading", 5, READS_TEMP, 0.5, NAN},
    {"temperature", 5, READS_TEMP, 1.5, 19},
    {"what none reads", 5, READS_PH, 2, NAN},
    {"what no baseline keeps", 5, READS_PRESSURE, 2, NAN},
    {"too few for a band", 3, READS_GRAVITY, 2, NAN},
};

static void test_middle(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct history_list list = list_of(rows[i].batches);
        struct baseline baseline = baseline_of(&list, &arena);
        struct plot_point point = {0, NAN, NAN, NAN};
        bool has = plot_earlier(&baseline, rows[i].reads, rows[i].day, &point);
        if (has == isnan(rows[i].value) ||
            (has && !(fabs(point.value - rows[i].value) < 1e-9 && point.day == rows[i].day &&
                      point.low < point.value && point.value < point.high)))
            fail_msg("%s: %d, %g (%g..%g)", rows[i].title, has, point.value, point.low, point.high);
    }
}

/* The band is that of gyle-baseline to the digit, and nearer where more batches tell it. */
static void test_band(void **state)
{
    (void)state;
    double width = INFINITY;
    for (size_t n = 4; n <= MOST; n++) {
        struct history_list list = list_of(n);
        struct baseline baseline = baseline_of(&list, &arena);
        const struct baseline_row *row = baseline_row(&baseline, BASELINE_DAY, BASELINE_GRAVITY, 3);
        struct plot_point point;
        assert_non_null(row);
        assert_true(plot_earlier(&baseline, READS_GRAVITY, 3, &point));
        assert_true(point.low == row->low && point.high == row->high);
        double per_spread = (point.high - point.low) / row->spread;
        if (!(per_spread < width))
            fail_msg("%zu batches: %g spreads wide, %g with one less", n, per_spread, width);
        width = per_spread;
    }
}

static void test_cold(void **state)
{
    (void)state;
    struct history_list list = list_of(5);
    for (size_t i = 0; i < list.n; i++)
        points[i][2].cold = points[i][3].cold = true;
    struct baseline baseline = baseline_of(&list, &arena);
    struct plot_point point;
    assert_true(plot_earlier(&baseline, READS_TEMP, 2, &point));
    assert_false(plot_earlier(&baseline, READS_TEMP, 2.5, &point));
    assert_false(plot_earlier(&baseline, READS_TEMP, 3, &point));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_middle),
        cmocka_unit_test(test_band),
        cmocka_unit_test(test_cold),
    };
    arena_init(&arena, NULL, NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    arena_free(&arena);
    return failed;
}
