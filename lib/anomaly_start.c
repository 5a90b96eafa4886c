/* The first days: has the yeast begun, and is there cleaner or acid in the tank? */
#include "anomaly_case.h"

#include <math.h>

#define PH_FALL       0.15 /* less is not yet the yeast's work */
#define PH_WORKING    4.9  /* under it after a day, where nobody measured the wort */
#define GRAVITY_FALL  0.03 /* of the original */
#define WORT_PH       5.3  /* the highest usual one, where nobody measured it */
#define ABOVE_WORT    0.10 /* two meters agree better than that */
#define RESIDUE_HOURS 96   /* later on chilling and dry hops raise pH too */
#define EARLY_HOURS   26
#define EARLY_PH      4.2 /* a day's work of healthy yeast ends at 4.5..4.7 */
#define EARLY_BEGUN   0.25
#define BEGUN         0.3

/* The last exact figure up to the reading, no older than half a day. */
static const struct figure *latest(const struct anomaly_case *c, enum batch_reads reads)
{
    const struct figure *figure = anomaly_beside(c, reads);
    const struct reading *before = anomaly_before(c, reads, 12, false);
    if (figure == NULL && before != NULL)
        figure = &before->figure[reads];
    return figure;
}

/* The part of the original that has gone; NAN when it is not known. */
static double gone(const struct anomaly_case *c, const struct figure *gravity)
{
    const struct figure *original = &c->batch->used_original;
    if (gravity == NULL || !figure_is_exact(original))
        return NAN;
    return (original->value - gravity->value) / original->value;
}

/* The pH that working yeast is below by its hour; NAN where pH says nothing: a sour, or wort that
 * was soured before. */
static double ph_of_start(const struct anomaly_case *c)
{
    const struct figure *wort = &c->batch->used_wort_ph;
    if (c->practice->sours)
        return NAN;
    if (!figure_is_exact(wort))
        return PH_WORKING;
    return wort->value > 4.6 ? wort->value - PH_FALL : NAN;
}

static void tell_start(const struct anomaly_case *c, struct anomaly_finding *f,
                       const struct figure *ph, double below, const struct figure *gravity)
{
    double original = c->batch->used_original.value;
    if (ph != NULL)
        anomaly_say(c, &f->reading, "%s", anomaly_value(c, QUANTITY_PH, ph->value));
    if (gravity != NULL)
        anomaly_say(c, &f->reading, "%sgravity %s", ph != NULL ? ", " : "",
                    anomaly_value(c, QUANTITY_GRAVITY, gravity->value));
    anomaly_say(c, &f->reading, " at %.0f h", c->hours);
    if (ph != NULL)
        anomaly_say(c, &f->expected, "below %s", anomaly_value(c, QUANTITY_PH, below));
    if (gravity != NULL)
        anomaly_say(c, &f->expected, "%sgravity below %s", ph != NULL ? ", " : "",
                    anomaly_value(c, QUANTITY_GRAVITY, original * (1 - GRAVITY_FALL)));
    anomaly_say(c, &f->expected, " by %.0f h", c->practice->start_hours);
    if (ph != NULL && figure_is_exact(&c->batch->used_wort_ph))
        anomaly_say(c, &f->source, "wort %s",
                    anomaly_value(c, QUANTITY_PH, c->batch->used_wort_ph.value));
    else if (ph != NULL)
        anomaly_say(c, &f->source, "pH usual in the trade");
    if (gravity != NULL)
        anomaly_say(c, &f->source, "%soriginal %s", ph != NULL ? ", " : "",
                    anomaly_value(c, QUANTITY_GRAVITY, original));
}

/* A blend is beer already: it need not start, and may be as acid as what went into it. */
static bool is_blend(const struct anomaly_case *c)
{
    return c->batch->of.n > 0;
}

bool anomaly_slow_start(const struct anomaly_case *c, struct anomaly_finding *f)
{
    if (is_blend(c) || isnan(c->hours) || c->hours < c->practice->start_hours)
        return false;
    const struct figure *ph = latest(c, READS_PH), *gravity = latest(c, READS_GRAVITY);
    double below = ph_of_start(c), part = gone(c, gravity);
    bool ph_still = ph != NULL && anomaly_less(below, ph->value);
    bool gravity_still = anomaly_less(part, GRAVITY_FALL);
    if (!ph_still && !gravity_still)
        return false;
    if (ph_still && anomaly_less(BEGUN, part)) /* it works; its pH is another matter */
        return false;
    f->level = ph_still && gravity_still ? ANOMALY_ALARM : ANOMALY_WARN;
    tell_start(c, f, isnan(below) ? NULL : ph, below, isnan(part) ? NULL : gravity);
    return true;
}

bool anomaly_ph_above_wort(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = anomaly_figure(c, READS_PH), *wort = &c->batch->used_wort_ph;
    if (!(c->hours >= 0) || c->hours > RESIDUE_HOURS || anomaly_stage(c) != ANOMALY_FERMENTING)
        return false;
    bool known = figure_is_exact(wort);
    double from = known ? wort->value : WORT_PH;
    double most = from + ABOVE_WORT + (c->practice->sours || !known ? 0.1 : 0);
    if (!anomaly_less(most, ph->value))
        return false;
    anomaly_say(c, &f->reading, "%s at %.0f h", anomaly_value(c, QUANTITY_PH, ph->value), c->hours);
    anomaly_say(c, &f->expected, "below %s", anomaly_value(c, QUANTITY_PH, from));
    anomaly_say(c, &f->source, known ? "the wort's own pH" : "usual for wort");
    if (!known)
        f->level = ANOMALY_WARN;
    return true;
}

bool anomaly_ph_acid_early(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = anomaly_figure(c, READS_PH), *wort = &c->batch->used_wort_ph;
    if (is_blend(c) || c->practice->sours || !(c->hours >= 0) || c->hours > EARLY_HOURS)
        return false;
    if (figure_is_exact(wort) && wort->value <= 4.6) /* soured before it was pitched */
        return false;
    double part = gone(c, latest(c, READS_GRAVITY));
    if (!anomaly_less(ph->value, EARLY_PH) || anomaly_less(EARLY_BEGUN, part))
        return false;
    anomaly_say(c, &f->reading, "%s at %.0f h", anomaly_value(c, QUANTITY_PH, ph->value), c->hours);
    anomaly_say(c, &f->expected, "above %s on the first day",
                anomaly_value(c, QUANTITY_PH, EARLY_PH));
    anomaly_say(c, &f->source, "usual in the trade");
    return true;
}
