#include "steady.h"

#include "civil.h"

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
    struct steady equal = measure(days, run_within(days, from, end, 0), end, needed, 0);
    struct steady within = measure(days, run_within(days, from, end, 1), end, needed, 1);
    equal.is_equal = true;
    if (within.days > equal.days || (within.is_enough && !equal.is_enough))
        return within;
    return equal;
}
