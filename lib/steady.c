#include "steady.h"

#include "civil.h"
#include "interval.h"
#include "robust.h"

#include <math.h>

/* Where the longest run before end begins whose readings lie within so many steps of each other. */
static size_t run_within(const struct sound_days *days, size_t from, size_t end, long steps)
{
    const struct sound_point *lowest = days->items[end - 1], *highest = lowest;
    size_t first = end - 1;
    while (first > from) {
        const struct sound_point *point = days->items[first - 1];
        const struct sound_point *low = point->plato < lowest->plato ? point : lowest;
        const struct sound_point *high = point->plato > highest->plato ? point : highest;
        if (sound_steps(high, low) > steps)
            break;
        lowest = low;
        highest = high;
        first--;
    }
    return first;
}

/* The readings of one week, counted back from the last day of a run. */
struct week {
    size_t first; /* of days */
    double plato; /* their median */
    double step;  /* of the coarsest scale */
};

/* The week that ends with days.items[end - 1]. */
static struct week week_of(const struct sound_days *days, size_t from, size_t end, int64_t last_day)
{
    double plato[STEADY_WEEK], work[STEADY_WEEK];
    struct week week = {.first = end};
    int64_t back = (last_day - days->day[end - 1]) / STEADY_WEEK;
    size_t n = 0;
    while (week.first > from && (last_day - days->day[week.first - 1]) / STEADY_WEEK == back) {
        const struct sound_point *point = days->items[--week.first];
        plato[n++] = point->plato;
        week.step = fmax(week.step, point->step);
    }
    week.plato = robust_median(plato, n, work);
    return week;
}

struct span {
    double low, high, step; /* of the coarsest scale */
};

/* Takes one more figure into the span, unless it would become too wide. */
static bool widen(struct span *span, double plato, double step, long steps)
{
    struct span wide = {fmin(span->low, plato), fmax(span->high, plato), fmax(span->step, step)};
    if (interval_steps(wide.high, wide.low, wide.step) > steps)
        return false;
    *span = wide;
    return true;
}

/* The same by the medians of weeks; the week before them counts as far as each of its readings
 * agrees with them. It begins with a reading that the last one is not below by more than a step. */
static size_t weeks_within(const struct sound_days *days, size_t from, size_t end, long steps)
{
    struct span span = {INFINITY, -INFINITY, 0};
    size_t first = end;
    while (first > from) {
        struct week week = week_of(days, from, first, days->day[end - 1]);
        if (!widen(&span, week.plato, week.step, steps))
            break;
        first = week.first;
    }
    while (first > from &&
           widen(&span, days->items[first - 1]->plato, days->items[first - 1]->step, steps))
        first--;
    while (sound_steps(days->items[first], days->items[end - 1]) > 1)
        first++;
    return first;
}

static int64_t seconds_between(const struct sound_days *days, size_t first, size_t end)
{
    return days->items[end - 1]->at - days->items[first]->at;
}

/* The run from first on: how many days of `needed` it gives, less `extra` that it must have more.
 */
static struct steady measure(const struct sound_days *days, size_t first, size_t end, int needed,
                             int extra)
{
    int64_t span = days->day[end - 1] - days->day[first] + 1;
    size_t readings = end - first;
    struct steady run = {.first = first, .days = (int)readings - extra};
    run.skipped = (int)(span - (int64_t)readings);
    bool enough = run.days >= needed;
    if (needed > STEADY_READ_DAILY) {
        run.days = (int)span - extra;
        enough = run.days >= needed && readings >= STEADY_FEWEST;
    }
    int64_t least = ((int64_t)needed - 1) * STEADY_HOURS_A_DAY * CIVIL_HOUR;
    run.is_enough = enough && seconds_between(days, first, end) >= least;
    return run;
}

struct steady steady_run(const struct sound_days *days, size_t from, size_t end, int needed)
{
    size_t (*run_of)(const struct sound_days *, size_t, size_t, long) =
        needed > STEADY_READ_DAILY ? weeks_within : run_within;
    struct steady equal = measure(days, run_of(days, from, end, 0), end, needed, 0);
    struct steady within = measure(days, run_of(days, from, end, 1), end, needed, 1);
    equal.is_equal = true;
    if (within.days > equal.days || (within.is_enough && !equal.is_enough))
        return within;
    return equal;
}
