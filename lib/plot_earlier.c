#include "plot_earlier.h"

#include "robust.h"

#include <math.h>

static double value_of(const struct history_point *point, int reads)
{
    switch (reads) {
    case READS_GRAVITY:
        return point->plato;
    case READS_PH:
        return point->ph;
    case READS_TEMP:
        return point->celsius;
    default:
        return NAN;
    }
}

/* The batch's value at an hour; NAN where it tells none. */
static double value_at(const struct history_batch *batch, int reads, double hours)
{
    double before = NAN, before_hours = 0;
    if (reads == READS_GRAVITY)
        before = batch->original_plato;
    for (size_t i = 0; i < batch->points.n; i++) {
        const struct history_point *point = &batch->points.items[i];
        double value = value_of(point, reads), gap = point->hours - before_hours;
        if (isnan(value))
            continue;
        if (point->cold)
            return NAN;
        if (point->hours >= hours) {
            if (isnan(before) || gap > PLOT_EARLIER_GAP * 24)
                return point->hours == hours ? value : NAN;
            return gap > 0 ? before + (value - before) * (hours - before_hours) / gap : value;
        }
        before = value;
        before_hours = point->hours;
    }
    return NAN;
}

bool plot_earlier(const struct history_list *list, int reads, double day, struct arena *arena,
                  struct plot_point *point)
{
    double *values = arena_array(arena, list->n, sizeof *values);
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        double value = value_at(list->items[i], reads, day * 24);
        if (!isnan(value))
            values[n++] = value;
    }
    if (n < PLOT_EARLIER_FEWEST)
        return false;
    robust_sort(values, n);
    *point = (struct plot_point){
        .day = day,
        .value = robust_quantile(values, n, 0.5, ROBUST_R8),
        .low = robust_quantile(values, n, PLOT_EARLIER_LEFT_OUT, ROBUST_R8),
        .high = robust_quantile(values, n, 1 - PLOT_EARLIER_LEFT_OUT, ROBUST_R8),
    };
    return true;
}
