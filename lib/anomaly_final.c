/* What is judged only once the beer is finished: its pH and its VDK. */
#include "acidity.h"
#include "anomaly_case.h"
#include "due.h"

#include <math.h>

#define PASSED     4.5
#define HOLD       ACIDITY_LOW_ACID_ABOVE
#define DULL       4.7
#define CHILL_RISE 0.17 /* pH that chilling adds at most (in-line records of 11 tanks) */
#define VDK_LIMIT  0.10 /* mg/L: MEBAK B-420.21.111 */
#define VDK_RISE   0.05

/* The pH of finished beer, or NULL. */
static const struct figure *final_ph(const struct anomaly_case *c)
{
    const struct figure *ph = anomaly_figure(c, READS_PH);
    return ph != NULL && anomaly_is_over(c) ? ph : NULL;
}

/* How much of a high pH the cold may have done. */
static double cold_part(const struct anomaly_case *c)
{
    return anomaly_stage(c) == ANOMALY_FERMENTING ? 0 : CHILL_RISE;
}

static void tell_ph(const struct anomaly_case *c, struct anomaly_finding *f, double ph)
{
    anomaly_say(c, &f->reading, "%s, finished", anomaly_value(c, QUANTITY_PH, ph));
    if (ph > DULL)
        anomaly_say(c, &f->more, "it will taste dull and heavy");
}

bool anomaly_ph_final(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = final_ph(c);
    struct anomaly_limit limit = anomaly_limit_ph(c);
    if (ph == NULL || (c->practice->sours && !limit.own))
        return false;
    if (!anomaly_less(ph->value, limit.low) && !anomaly_less(limit.high + cold_part(c), ph->value))
        return false;
    double out = fmax(limit.low - ph->value, ph->value - limit.high);
    if (!limit.own || !anomaly_less(0.05, out)) /* within what two meters differ by */
        f->level = ANOMALY_NOTE;
    tell_ph(c, f, ph->value);
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_PH, limit.low, limit.high));
    anomaly_say(c, &f->source, "%s", limit.source);
    return true;
}

bool anomaly_ph_not_passed(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = final_ph(c);
    struct anomaly_limit limit = anomaly_limit_ph(c);
    if (ph == NULL || anomaly_less(ph->value, PASSED))
        return false;
    for (size_t i = c->index; i-- > 0;) { /* it did pass, and came back with the cold */
        const struct figure *earlier = &c->course->readings.items[i]->figure[READS_PH];
        if (figure_is_exact(earlier) && anomaly_less(earlier->value, PASSED))
            return false;
    }
    if (limit.own && !anomaly_less(limit.high, ph->value))
        f->level = ANOMALY_NOTE;
    tell_ph(c, f, ph->value);
    anomaly_say(c, &f->expected, "below %s", anomaly_value(c, QUANTITY_PH, PASSED));
    anomaly_say(c, &f->source, "usual in the trade");
    return true;
}

bool anomaly_ph_hold(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = final_ph(c);
    struct anomaly_limit limit = anomaly_limit_ph(c);
    if (ph == NULL || anomaly_less(ph->value, HOLD))
        return false;
    if (limit.own && !anomaly_less(limit.high, ph->value))
        f->level = ANOMALY_WARN;
    tell_ph(c, f, ph->value);
    anomaly_say(c, &f->expected, "below %s", anomaly_value(c, QUANTITY_PH, HOLD));
    anomaly_say(c, &f->source, "21 CFR 114");
    return true;
}

static double vdk_limit(const struct anomaly_case *c)
{
    const struct anomaly_limit limit = anomaly_limit_of(c->beer == NULL ? NULL : &c->beer->vdk);
    return isfinite(limit.high) ? limit.high : VDK_LIMIT;
}

/* The figure, NAN where only the smell was written. */
static double vdk_value(const struct figure *vdk)
{
    return figure_is_exact(vdk) ? vdk->value : NAN;
}

bool anomaly_vdk_high(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *vdk = &c->reading->figure[READS_VDK]; /* perhaps by smell alone */
    if (!anomaly_is_over(c))
        return false;
    double value = vdk_value(vdk), limit = vdk_limit(c);
    bool over = anomaly_less(limit, value);
    bool smells = vdk->word == VDK_TRACE || vdk->word == VDK_FAIL;
    if (!over && !smells)
        return false;
    if (!over && vdk->word == VDK_TRACE)
        f->level = ANOMALY_NOTE;
    if (!isnan(value))
        anomaly_say(c, &f->reading, "VDK %s", anomaly_value(c, QUANTITY_VDK, value));
    if (smells)
        anomaly_say(c, &f->reading, "%ssmell: %s", isnan(value) ? "VDK " : ", ",
                    BATCH_VDK_WORDS[vdk->word - 1]);
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_VDK, -INFINITY, limit));
    anomaly_say(c, &f->source, "%s",
                c->beer != NULL && c->beer->vdk.state == FIGURE_SET ? "the beer's limit"
                                                                    : "off-flavour above that");
    return true;
}

bool anomaly_vdk_rising(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *vdk = anomaly_figure(c, READS_VDK);
    if (vdk == NULL || !anomaly_is_over(c))
        return false;
    const struct reading *before = anomaly_before(c, READS_VDK, INFINITY, false);
    if (before == NULL || anomaly_less(vdk->value - before->figure[READS_VDK].value, VDK_RISE))
        return false;
    double was = before->figure[READS_VDK].value;
    anomaly_say(c, &f->reading, "VDK %s", anomaly_value(c, QUANTITY_VDK, vdk->value));
    anomaly_say(c, &f->expected, "%s or less", anomaly_value(c, QUANTITY_VDK, was));
    anomaly_say(c, &f->source, "its reading of %s", anomaly_when(c, before->at.at));
    return true;
}

bool anomaly_vdk_due(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct finish *finish = anomaly_finish(c);
    if (c->beer == NULL || c->beer->vdk.state != FIGURE_SET || !finish->has_end)
        return false;
    int64_t at = c->course->readings.items[c->index]->at.at;
    if (due_vdk_test(c->course, due_vdk_from(finish), at) != NULL)
        return false;
    bool late = anomaly_stage(c) != ANOMALY_FERMENTING;
    if (late)
        f->level = ANOMALY_WARN;
    anomaly_say(c, &f->reading, "no VDK test, finished on %s%s", anomaly_when(c, finish->end_at),
                late ? ", and already cold" : "");
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_VDK, -INFINITY, vdk_limit(c)));
    anomaly_say(c, &f->source, "the beer's limit");
    return true;
}
