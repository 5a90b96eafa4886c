#include "expect.h"

#include "practice.h"

#include <math.h>

struct range expect_range_of_limit(const struct cellar *cellar, const struct limit *limit)
{
    const struct quantity_unit *house = cellar->house[QUANTITY_GRAVITY];
    const struct quantity_unit *unit =
        house != NULL ? house : quantity_library_unit(QUANTITY_GRAVITY);
    /* of SG, three digits are what a hydrometer shows */
    int decimals = (int)fmin(unit->decimals, 3);
    return (struct range){.state = limit->source == LIMIT_NONE ? FIGURE_ABSENT : FIGURE_SET,
                          .low = limit->low_plato,
                          .high = limit->high_plato,
                          .has_low = !isnan(limit->low_plato),
                          .has_high = !isnan(limit->high_plato),
                          .unit = unit,
                          .decimals = (unsigned char)decimals};
}

/* Down into the limit, and no higher than it was: before the first reading, than the wort was. */
static struct range falling(struct range limit, const struct figure *last)
{
    if (last->state != FIGURE_SET || last->censor != 0)
        return limit;
    if (limit.state != FIGURE_SET)
        limit = (struct range){.state = FIGURE_SET, .unit = last->unit, .decimals = last->decimals};
    if (limit.has_low && limit.low > last->value)
        limit.has_low = false;
    limit.has_high = true;
    limit.high = last->value;
    if (last->unit == limit.unit && last->decimals > limit.decimals)
        limit.decimals = last->decimals;
    return limit;
}

/* What is left of a range within the band of the beer's earlier batches at this age; all of it
 * where nothing is. */
static struct range within_band(const struct expect_case *it, enum baseline_figure figure,
                                struct range range)
{
    struct baseline_row row;
    if (it->usual == NULL || it->is_cold || !baseline_at(it->usual, figure, it->hours, &row))
        return range;
    double low = range.has_low ? fmax(range.low, row.low) : row.low;
    double high = range.has_high ? fmin(range.high, row.high) : row.high;
    if (!(low <= high)) /* nor of a band that is not known */
        return range;
    range.state = FIGURE_SET;
    range.has_low = range.has_high = true;
    range.low = low;
    range.high = high;
    return range;
}

/* Down into the beer's range, and never above the wort. */
static struct range ph(const struct range *limit, const struct figure *last,
                       const struct figure *wort)
{
    bool has_last = last->state == FIGURE_SET && last->censor == 0;
    if (has_last && limit->state == FIGURE_SET && limit->has_high && last->value <= limit->high)
        return *limit;
    bool by_wort = wort->state == FIGURE_SET && (!has_last || last->value > wort->value);
    struct range range = falling(*limit, by_wort ? wort : last);
    if (range.state != FIGURE_SET)
        range.decimals = (unsigned char)QUANTITIES[QUANTITY_PH].decimals;
    return range;
}

/* Up to a share of the name plate, with a digit more where the product needs it. */
static struct range up_to_share(const struct figure *rated)
{
    double written = PRACTICE_SHARE_OF_RATED * rated->written * pow(10, rated->decimals);
    bool is_whole = fabs(written - round(written)) < 1e-6;
    return (struct range){.state = rated->state,
                          .has_high = true,
                          .high = PRACTICE_SHARE_OF_RATED * rated->value,
                          .unit = rated->unit,
                          .decimals = (unsigned char)(rated->decimals + (is_whole ? 0 : 1))};
}

/* Nothing is meant to ferment in a bright tank, unless it was brewed into it: a blend was not
 * chilled there, but it came cold. */
bool expect_is_to_be_cold(const struct expect_case *it)
{
    if (it->is_cold || it->tank == NULL || it->tank->kind != TANK_BRIGHT)
        return it->is_cold;
    const struct batch *batch = it->batch;
    bool was_brewed_here = batch->of.n == 0 && batch->stays.n > 0 &&
                           str_eq(batch->stays.items[0].tank, name_of(it->tank->node));
    return !was_brewed_here;
}

struct range expect_today(const struct expect_case *it, int reads, const struct figure *last)
{
    static const struct cellar_beer unknown;
    static const struct figure none;
    const struct cellar_beer *beer = it->batch->type == NULL ? &unknown : it->batch->type;
    switch (reads) {
    case READS_GRAVITY:
        return within_band(
            it, BASELINE_GRAVITY,
            falling(expect_range_of_limit(it->cellar, it->limit),
                    last->state == FIGURE_ABSENT ? &it->batch->used_original : last));
    case READS_PH:
        return within_band(it, BASELINE_PH, ph(&beer->ph, last, &it->batch->used_wort_ph));
    case READS_TEMP:
        return expect_is_to_be_cold(it) ? beer->cold : beer->ferment;
    case READS_PRESSURE:
        return up_to_share(it->tank == NULL ? &none : &it->tank->rated);
    case READS_VDK:
        return beer->vdk;
    case READS_CARBONATION:
        return beer->carbonation;
    case READS_OXYGEN:
        return beer->oxygen;
    default:
        return (struct range){.state = FIGURE_ABSENT};
    }
}
