/* Figures that no beer steps to from the ones before and after. */
#include "check_scope.h"
#include "corrected.h"

#include <math.h>

/* What one figure may differ from both of its neighbours, when these lie on the same side of it.
 * Below `doubtful` nothing is said, up to `impossible` it is a warning. */
static const struct step_limit {
    size_t quantity;
    double doubtful, impossible;
} STEP_LIMITS[] = {
    {READS_PH, 1.0, 2.0},
    {READS_TEMP, 10, 20},
};

/* Gravity only falls. A rise above the first is doubtful, above the second no beer's; so is a fall
 * of that much at over 0.8 P an hour. */
static const double DOUBTFUL_RISE = 1.0, IMPOSSIBLE_RISE = 3.0, FASTEST_FALL_PER_HOUR = 0.8;

static void report_step(const struct scope *s, const struct reading *reading, size_t q,
                        bool impossible, const struct reading *before, const struct reading *after)
{
    const struct figure *figure = &reading->figure[q];
    if (check_is_seen(s, RULE_STEP, reading))
        return;
    const char *a = before == NULL ? NULL : check_written(s, &before->figure[q]);
    const char *b = after == NULL ? NULL : check_written(s, &after->figure[q]);
    enum diag_level level = impossible ? DIAG_ERROR : DIAG_WARNING;
    if (a != NULL && b != NULL)
        diag_add_level(s->diags, check_at(s, figure->node), RULE_STEP, level,
                       "%s \"%s\" stands between \"%s\" and \"%s\": is a digit wrong?",
                       BATCH_COLUMNS[q].key, check_written(s, figure), a, b);
    else
        diag_add_level(s->diags, check_at(s, figure->node), RULE_STEP, level,
                       "%s \"%s\" %s \"%s\": is a digit wrong?", BATCH_COLUMNS[q].key,
                       check_written(s, figure), a != NULL ? "follows" : "stands before",
                       a != NULL ? a : b);
}

/* True when extract came in between two moments. */
static bool is_raised_between(const struct batch *batch, int64_t from, int64_t to)
{
    size_t low = 0, high = batch->happened.n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (batch->happened.items[middle]->at.at < from - CIVIL_HOUR)
            low = middle + 1;
        else
            high = middle;
    }
    for (; low < batch->happened.n && batch->happened.items[low]->at.at <= to; low++)
        if (batch_event_is(batch->happened.items[low], EVENTS_WITH_EXTRACT))
            return true;
    for (size_t i = 0; i < batch->brews.n; i++)
        if (batch->brews.items[i].at.set && batch->brews.items[i].at.at >= from &&
            batch->brews.items[i].at.at <= to)
            return true;
    return false;
}

/* The readings of one tank that have an exact figure of one quantity, in order. */
struct row {
    const struct reading **items;
    double *values;
    size_t n;
};

static double value_of(const struct row *row, size_t i)
{
    return row->values[i];
}

static void check_gravity_steps(const struct scope *s, const struct row *row)
{
    for (size_t i = 1; i < row->n; i++) {
        double before = value_of(row, i - 1), here = value_of(row, i);
        int64_t from = row->items[i - 1]->at.at, to = row->items[i]->at.at;
        double hours = (double)(to - from) / CIVIL_HOUR;
        double rise = here - before;
        /* Which one is wrong shows in the next, or in the one before. */
        bool earlier_is_low = i >= 2 && value_of(row, i - 2) >= here;
        if (rise > DOUBTFUL_RISE && !is_raised_between(s->batch, from, to)) {
            if (earlier_is_low)
                report_step(s, row->items[i - 1], READS_GRAVITY, rise > IMPOSSIBLE_RISE,
                            row->items[i - 2], row->items[i]);
            else
                report_step(s, row->items[i], READS_GRAVITY, rise > IMPOSSIBLE_RISE,
                            row->items[i - 1], i + 1 < row->n ? row->items[i + 1] : NULL);
        } else if (-rise > IMPOSSIBLE_RISE && -rise > FASTEST_FALL_PER_HOUR * hours) {
            bool comes_back = i + 1 < row->n && value_of(row, i + 1) > here + DOUBTFUL_RISE;
            bool was_spike = i >= 2 && before > value_of(row, i - 2) + DOUBTFUL_RISE;
            if (!comes_back && !was_spike)
                report_step(s, row->items[i], READS_GRAVITY, true, row->items[i - 1], NULL);
        }
    }
}

static void check_spikes(const struct scope *s, const struct row *row,
                         const struct step_limit *limit)
{
    size_t q = limit->quantity;
    for (size_t i = 1; i + 1 < row->n; i++) {
        double up = value_of(row, i) - value_of(row, i - 1);
        double down = value_of(row, i) - value_of(row, i + 1);
        double least = up * down > 0 ? fmin(fabs(up), fabs(down)) : 0;
        if (least > limit->doubtful - 1e-9)
            report_step(s, row->items[i], q, least > limit->impossible - 1e-9, row->items[i - 1],
                        row->items[i + 1]);
    }
}

/* A refractometer's gravity is that of the beer, not what it shows. NAN: that cannot be told. */
static double compared(const struct scope *s, const struct reading *reading, size_t q)
{
    const struct figure *figure = &reading->figure[q];
    if (q != READS_GRAVITY || reading->meter[q] == NULL)
        return figure->value;
    return corrected_to_compare(figure, cellar_meter(s->check->cellar, reading->meter[q]->text),
                                &s->batch->used_original);
}

/* Fills items and values, which have room for all readings. */
static struct row row_of(const struct scope *s, struct str tank, size_t q,
                         const struct reading **items, double *values)
{
    struct row row = {items, values, 0};
    for (size_t i = s->batch->first; i < s->batch->course.n; i++) {
        const struct reading *reading = s->batch->course.items[i];
        if (!figure_is_exact(&reading->figure[q]) || !str_eq(reading->where, tank))
            continue;
        values[row.n] = compared(s, reading, q);
        items[row.n] = reading;
        row.n += isnan(values[row.n]) ? 0 : 1;
    }
    return row;
}

static void check_steps_in(const struct scope *s, struct str tank)
{
    const struct reading **items =
        arena_array(s->check->scratch, s->batch->course.n, sizeof *items);
    double *values = arena_array(s->check->scratch, s->batch->course.n, sizeof *values);
    struct row row = row_of(s, tank, READS_GRAVITY, items, values);
    check_gravity_steps(s, &row);
    for (size_t i = 0; i < sizeof STEP_LIMITS / sizeof STEP_LIMITS[0]; i++) {
        row = row_of(s, tank, STEP_LIMITS[i].quantity, items, values);
        check_spikes(s, &row, &STEP_LIMITS[i]);
    }
}

/* Each tank of the batch once. */
void check_steps(const struct scope *s)
{
    check_steps_in(s, STR(""));
    for (size_t i = 0; i < s->batch->stays.n && i < CHECK_MOST_STAYS; i++) {
        bool before = false;
        for (size_t k = 0; k < i && !before; k++)
            before = str_eq(s->batch->stays.items[k].tank, s->batch->stays.items[i].tank);
        if (!before)
            check_steps_in(s, s->batch->stays.items[i].tank);
    }
}
