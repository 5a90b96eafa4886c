/* From batch to batch: control charts of where a beer ends, how far, how sour and how fast. A note,
 * with the rule that fired; each batch alone may be within its limits. */
#include "anomaly_run.h"
#include "chart.h"
#include "civil.h"
#include "order.h"
#include "outlier.h"
#include "robust.h"

#include <math.h>
#include <stdlib.h>

#define LAMBDA   0.2
#define WIDTH    3.0
#define SLACK    0.5  /* sd: half of the shift that matters */
#define DECISION 5.0  /* sd */
#define OUTLYING 0.05 /* the chance that a healthy chart loses a batch */

/* With fewer than OUTLIERS_FROM the test for outliers is rough (outlier.h). */
enum { FEWEST = 8, MOST = 64, RUN = 8, NEW_DAYS = 14, OUTLIERS_FROM = 15, OUTLIERS_MOST = 3 };

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

/* The values of a beer's batches, the new one last, and the chart that the others make. */
struct charted {
    double values[MOST];
    size_t n, left_out;
    double mean, sd, step;
};

/* Leaves out the earlier values that do not belong: one stuck batch must not widen the limits. */
static void leave_out_outlying(struct charted *it)
{
    struct outlier_step steps[OUTLIERS_MOST];
    bool gone[MOST] = {false};
    size_t earlier = it->n - 1, kept = 0;
    if (earlier < OUTLIERS_FROM)
        return;
    it->left_out = outlier_esd(it->values, earlier, OUTLIERS_MOST, OUTLYING, steps, gone);
    for (size_t i = it->left_out; i < OUTLIERS_MOST; i++)
        gone[steps[i].index] = false;
    for (size_t i = 0; i < it->n; i++)
        if (!gone[i])
            it->values[kept++] = it->values[i];
    it->n = kept;
}

static double last_of(const struct charted *it)
{
    return it->values[it->n - 1];
}

static bool is_beyond(const struct charted *it)
{
    return fabs(last_of(it) - it->mean) > WIDTH * it->sd;
}

static bool has_drifted(const struct charted *it)
{
    double ewma = it->mean;
    for (size_t i = 0; i < it->n; i++)
        ewma = chart_ewma_next(ewma, it->values[i], LAMBDA);
    return fabs(ewma - it->mean) > chart_ewma_limit(it->sd, LAMBDA, WIDTH, 0);
}

static bool is_off_the_mean(const struct charted *it)
{
    return fabs(last_of(it) - it->mean) > it->step / 2;
}

static bool is_in_a_run(const struct charted *it)
{
    return labs(chart_run(it->values, it->n, it->mean)) >= RUN && is_off_the_mean(it);
}

static bool has_shifted(const struct charted *it)
{
    struct chart_cusum sums = {0, 0};
    for (size_t i = 0; i < it->n; i++)
        sums = chart_cusum_next(sums, it->values[i], it->mean, SLACK * it->sd);
    return fmax(sums.high, sums.low) > DECISION * it->sd && is_off_the_mean(it);
}

/* The first that fires is told. */
static const struct {
    bool (*fires)(const struct charted *);
    const char *why;
} SIGNALS[] = {
    {is_beyond, "beyond three standard deviations"},
    {has_drifted, "drifting: its weighted mean has left its limits"},
    {is_in_a_run, "eight in a row on one side"},
    {has_shifted, "a small shift that lasts: its cumulative sum has left its limits"},
};

static const char *fired(const struct charted *it)
{
    for (size_t i = 0; i < sizeof SIGNALS / sizeof *SIGNALS; i++)
        if (SIGNALS[i].fires(it))
            return SIGNALS[i].why;
    return NULL;
}

static void report(struct anomaly_run *run, const struct chart_of *of, const struct charted *it,
                   const struct history_batch *last, const char *why)
{
    struct anomaly_finding f = anomaly_finding_of(of->rule, called_at(last));
    f.subject = last->beer;
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, STR_FMT " " STR_FMT ": %s %.*f%s", STR_ARG(last->beer), STR_ARG(last->number),
               of->name, of->decimals, last_of(it), of->unit);
    f.reading = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "%.*f..%.*f%s", of->decimals, it->mean - WIDTH * it->sd, of->decimals,
               it->mean + WIDTH * it->sd, of->unit);
    f.expected = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "its %zu earlier batches", it->n - 1);
    if (it->left_out > 0)
        buf_printf(&buf, ", %zu more left out as outlying", it->left_out);
    f.source = buf_str(&buf);
    f.more = str_of(why);
    anomaly_add(run, f);
}

static void judge_chart(struct anomaly_run *run, const struct chart_of *of,
                        const struct history_batch *const *batches, size_t n)
{
    struct charted it = {.step = of->step};
    const struct history_batch *last = batches[n - 1];
    for (size_t i = n > MOST ? n - MOST : 0; i < n; i++) {
        double value = of->of(batches[i]);
        if (!isnan(value))
            it.values[it.n++] = value;
    }
    if (it.n < FEWEST + 1 || isnan(of->of(last)))
        return;
    leave_out_outlying(&it);
    struct chart_individuals chart = chart_individuals(it.values, it.n - 1);
    it.mean = chart.centre;
    it.sd = fmax(chart.sd, it.step / 2);
    const char *why = fired(&it);
    if (why != NULL)
        report(run, of, &it, last, why);
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
