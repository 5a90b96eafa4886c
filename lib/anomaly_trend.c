/* From batch to batch: control charts of where a beer ends, how far, how sour and how fast. A note,
 * with the rule that fired; each batch alone may be within its limits. */
#include "anomaly_run.h"
#include "chart.h"
#include "civil.h"
#include "order.h"
#include "robust.h"

#include <math.h>
#include <stdlib.h>

#define LAMBDA 0.2
#define WIDTH  3.0

enum { FEWEST = 8, MOST = 64, RUN = 8, NEW_DAYS = 14 };

static double end_of(const struct history_batch *batch)
{
    return batch->end_plato;
}

static double attenuation_of(const struct history_batch *batch)
{
    return 100 * (batch->original_plato - batch->end_plato) / batch->original_plato;
}

static double hours_of(const struct history_batch *batch)
{
    return batch->end_hours;
}

/* The median of the last warm readings of pH, three at most. */
static double ph_of(const struct history_batch *batch)
{
    double last[3], work[3];
    size_t n = 0;
    for (size_t i = batch->points.n; i-- > 0 && n < 3;) {
        const struct history_point *point = &batch->points.items[i];
        if (!point->cold && !isnan(point->ph) && point->hours >= batch->end_hours)
            last[n++] = point->ph;
    }
    return robust_median(last, n, work);
}

static const struct chart_of {
    enum anomaly_rule rule;
    const char *name, *unit;
    double (*of)(const struct history_batch *);
    double step; /* of the scale; equal readings still let the next one be a step off */
    int decimals;
} CHARTS[] = {
    {ANOMALY_TREND_GRAVITY, "final gravity", " P", end_of, 0.1, 1},
    {ANOMALY_TREND_ATTENUATION, "apparent attenuation", " %", attenuation_of, 0.8, 1},
    {ANOMALY_TREND_PH, "final pH", "", ph_of, 0.02, 2},
    {ANOMALY_TREND_TIME, "time to the end", " h", hours_of, 12, 0},
};

/* When it was called finished. */
static int64_t called_at(const struct history_batch *batch)
{
    return batch->zero + (int64_t)(batch->steady_hours * CIVIL_HOUR);
}

static int compare_zero(const void *left, const void *right)
{
    const struct history_batch *a = *(const struct history_batch *const *)left;
    const struct history_batch *b = *(const struct history_batch *const *)right;
    return order_then(order_of(a->zero, b->zero), str_cmp(a->number, b->number));
}

/* What fired, or NULL. The last of n values is the new one; the others make the chart. */
static const char *fired(const double *values, size_t n, double step,
                         struct chart_individuals *chart)
{
    *chart = chart_individuals(values, n - 1);
    double sd = fmax(chart->sd, step / 2), mean = chart->centre;
    double ewma = mean;
    if (fabs(values[n - 1] - mean) > WIDTH * sd)
        return "beyond three standard deviations";
    for (size_t i = 0; i < n; i++)
        ewma = chart_ewma_next(ewma, values[i], LAMBDA);
    if (fabs(ewma - mean) > chart_ewma_limit(sd, LAMBDA, WIDTH, 0))
        return "drifting: its weighted mean has left its limits";
    if (labs(chart_run(values, n, mean)) >= RUN && fabs(values[n - 1] - mean) > step / 2)
        return "eight in a row on one side";
    return NULL;
}

static void judge_chart(struct anomaly_run *run, const struct chart_of *of,
                        const struct history_batch *const *batches, size_t n)
{
    double values[MOST];
    size_t count = 0;
    for (size_t i = n > MOST ? n - MOST : 0; i < n; i++) {
        double value = of->of(batches[i]);
        if (!isnan(value))
            values[count++] = value;
    }
    const struct history_batch *last = batches[n - 1];
    if (count < FEWEST + 1 || isnan(of->of(last)))
        return;
    struct chart_individuals chart;
    const char *why = fired(values, count, of->step, &chart);
    if (why == NULL)
        return;
    struct anomaly_finding f = anomaly_finding_of(of->rule, called_at(last));
    f.subject = last->beer;
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, STR_FMT " " STR_FMT ": %s %.*f%s", STR_ARG(last->beer), STR_ARG(last->number),
               of->name, of->decimals, values[count - 1], of->unit);
    f.reading = buf_str(&buf);
    double sd = fmax(chart.sd, of->step / 2);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "%.*f..%.*f%s", of->decimals, chart.centre - WIDTH * sd, of->decimals,
               chart.centre + WIDTH * sd, of->unit);
    f.expected = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "its %zu earlier batches", count - 1);
    f.source = buf_str(&buf);
    f.more = str_of(why);
    anomaly_add(run, f);
}

void anomaly_of_trends(struct anomaly_run *run)
{
    const struct history *history = run->book->history;
    if (history == NULL)
        return;
    const struct history_batch **list =
        arena_array(run->book->arena, history->batches.n + 1, sizeof *list);
    for (size_t i = 0; i < run->book->cellar->beers.n; i++) {
        struct str beer = name_of(run->book->cellar->beers.items[i].node);
        size_t n = 0;
        for (size_t k = 0; k < history->batches.n; k++)
            if (str_eq(history->batches.items[k].beer, beer))
                list[n++] = &history->batches.items[k];
        if (n < FEWEST + 1)
            continue;
        order_sort(list, n, sizeof *list, compare_zero);
        const struct history_batch *last = list[n - 1];
        int64_t called = called_at(last);
        if (called < run->book->now - NEW_DAYS * CIVIL_DAY || called > run->book->now)
            continue;
        for (size_t k = 0; k < sizeof CHARTS / sizeof *CHARTS; k++)
            judge_chart(run, &CHARTS[k], list, n);
    }
}
