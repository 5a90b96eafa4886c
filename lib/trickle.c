#include "trickle.h"

#include "civil.h"
#include "trend.h"

static double days_between(const struct sound_point *a, const struct sound_point *b)
{
    return (double)(b->at - a->at) / CIVIL_DAY;
}

struct trickle trickle_of(const struct sound_days *days, size_t from, size_t end)
{
    struct trickle none = {false, 0, end}, trickle;
    size_t first = end - from > TRICKLE_DAYS ? end - TRICKLE_DAYS : from, n = end - first;
    double plato[TRICKLE_DAYS], work[TRICKLE_DAYS];
    if (end < from || n < TRICKLE_FEWEST)
        return none;
    for (size_t i = 0; i < n; i++)
        plato[i] = days->items[first + i]->plato;
    struct trend_kendall test;
    if (!trend_kendall(plato, n, work, &test) || test.s >= 0 || test.p > 0.05)
        return none;
    const struct sound_point *oldest = days->items[first], *newest = days->items[end - 1];
    const struct sound_point *middle = days->items[first + (n - 1) / 2];
    double older = oldest->plato - middle->plato, newer = middle->plato - newest->plato;
    double older_days = days_between(oldest, middle), newer_days = days_between(middle, newest);
    if (sound_steps(middle, newest) < 1 || newer_days <= 0 || older_days <= 0 ||
        newer / newer_days < 0.5 * older / older_days)
        return none;
    trickle = (struct trickle){true, newer / newer_days, first};
    return trickle;
}
