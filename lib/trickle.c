#include "trickle.h"

#include "civil.h"
#include "trend.h"

/* The means of the first three and the last three days differ by as many steps, at least. */
static const double LEAST_STEPS = 1.5;

/* The later half falls at this share of the speed of the earlier one, at least. */
static const double LEAST_SHARE = 0.7;

/* A beer that loses more than this in a day is not creeping: it ferments. P. */
static const double MOST_A_DAY = 0.3;

/* Figures that differ by less than this are the same, whatever doubles make of them. */
static const double HAIR = 1e-6;

/* The mean of three days in a row: gravity, and when. */
struct mean {
    double plato, days;
};

static struct mean mean_of(const struct sound_point *const *three)
{
    const struct sound_point *a = three[0], *b = three[1], *c = three[2];
    return (struct mean){(a->plato + b->plato + c->plato) / 3,
                         (double)(a->at + b->at + c->at) / CIVIL_DAY / 3};
}

struct trickle trickle_of(const struct sound_days *days, size_t end)
{
    const struct trickle none = {false, 0, end};
    double plato[TRICKLE_DAYS], work[TRICKLE_DAYS];
    struct trend_kendall test;
    if (end < TRICKLE_FEWEST)
        return none;
    size_t n = end > TRICKLE_DAYS ? TRICKLE_DAYS : end, first = end - n;
    for (size_t i = 0; i < n; i++)
        plato[i] = days->items[first + i]->plato;
    if (!trend_kendall(plato, n, work, &test) || test.p > 0.05) /* the means tell which way */
        return none;
    const struct sound_point *const *items = days->items;
    struct mean old = mean_of(items + first), middle = mean_of(items + first + (n - 3) / 2);
    struct mean newest = mean_of(items + end - 3);
    double earlier = (old.plato - middle.plato) / (middle.days - old.days);
    double later = (middle.plato - newest.plato) / (newest.days - middle.days);
    double step = days->items[end - 1]->step;
    if (old.plato - newest.plato < LEAST_STEPS * step - HAIR || later > MOST_A_DAY + HAIR ||
        later < LEAST_SHARE * earlier - HAIR)
        return none;
    return (struct trickle){true, later, first};
}
