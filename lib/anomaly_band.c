/* Against the beer's own earlier batches: its pH at this progress, its gravity at this hour. Silent
 * where fewer than four of them make a band (baseline.h). */
#include "anomaly_case.h"

#include <math.h>

#define PH_BEYOND    0.05 /* outside of the band: what two meters differ by */
#define PLATO_BEYOND 0.3

/* The band of pH when `share` percent of the extract are gone, straight between the tens;
 * of NAN, which nothing lies beyond, where too few made one. */
static bool ph_band(const struct baseline *baseline, double share, struct baseline_row *band)
{
    double ten = floor(share / 10) * 10, part = (share - ten) / 10;
    const struct baseline_row *before = baseline_row(baseline, BASELINE_PROGRESS, BASELINE_PH, ten);
    const struct baseline_row *after =
        part > 0 ? baseline_row(baseline, BASELINE_PROGRESS, BASELINE_PH, ten + 10) : before;
    if (before == NULL || after == NULL)
        return false;
    *band = *before;
    band->median += part * (after->median - before->median);
    band->low += part * (after->low - before->low);
    band->high += part * (after->high - before->high);
    band->n = before->n < after->n ? before->n : after->n;
    return true;
}

static void say_source(const struct anomaly_case *c, struct anomaly_finding *f, size_t batches)
{
    anomaly_say(c, &f->source, "its %zu earlier batches", batches);
}

bool anomaly_ph_course(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct baseline *baseline = c->cache->earlier;
    const struct figure *ph = anomaly_figure(c, READS_PH);
    struct baseline_row band;
    if (baseline == NULL || anomaly_stage(c) != ANOMALY_FERMENTING)
        return false;
    double share = anomaly_progress(c);
    if (isnan(share) || !ph_band(baseline, share, &band))
        return false;
    if (!anomaly_less(ph->value, band.low - PH_BEYOND) &&
        !anomaly_less(band.high + PH_BEYOND, ph->value))
        return false;
    anomaly_say(c, &f->reading, "%s with %.0f %% fermented",
                anomaly_value(c, QUANTITY_PH, ph->value), share);
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_PH, band.low, band.high));
    say_source(c, f, band.n);
    return true;
}

/* The gravity that the earlier batches had at this hour, for this one's original. There is none
 * before a day is over: the lag is judged by a rule of its own. */
static bool gravity_band(const struct anomaly_case *c, struct baseline_row *band)
{
    const struct baseline *baseline = c->cache->earlier;
    const struct figure *original = &c->batch->used_original;
    if (baseline == NULL || !figure_is_exact(original) || anomaly_stage(c) != ANOMALY_FERMENTING ||
        !baseline_at(baseline, BASELINE_GRAVITY, c->hours, band) || isnan(band->low))
        return false;
    const struct baseline_row *usual = baseline_row(baseline, BASELINE_WHOLE, BASELINE_ORIGINAL, 0);
    double scale = usual == NULL ? 1 : original->value / usual->median;
    band->median *= scale;
    band->low *= scale;
    band->high *= scale;
    return true;
}

static void tell_gravity(const struct anomaly_case *c, struct anomaly_finding *f, double plato,
                         const struct baseline_row *band)
{
    anomaly_say(c, &f->reading, "gravity %s at %.0f h", anomaly_value(c, QUANTITY_GRAVITY, plato),
                c->hours);
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_GRAVITY, band->low, band->high));
    say_source(c, f, band->n);
}

bool anomaly_slow_course(const struct anomaly_case *c, struct anomaly_finding *f)
{
    double plato = anomaly_plato(c, c->reading);
    struct baseline_row band;
    if (isnan(plato) || !gravity_band(c, &band) || !anomaly_less(band.high + PLATO_BEYOND, plato) ||
        anomaly_is_over(c))
        return false;
    tell_gravity(c, f, plato, &band);
    return true;
}

bool anomaly_fast_course(const struct anomaly_case *c, struct anomaly_finding *f)
{
    double plato = anomaly_plato(c, c->reading);
    struct baseline_row band;
    if (isnan(plato) || !gravity_band(c, &band) || !anomaly_less(plato, band.low - PLATO_BEYOND) ||
        anomaly_is_over(c))
        return false;
    tell_gravity(c, f, plato, &band);
    return true;
}
