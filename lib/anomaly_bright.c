/* The bright tank: enough gas, little oxygen. */
#include "anomaly_case.h"
#include "carbonation.h"
#include "practice.h"

#include <math.h>

#define OVER_FAR    0.3  /* vol above the range: packages may burst */
#define OXYGEN_RISE 20.0 /* ppb between two readings of one tank */

/* Gauge pressure that would bring the beer to a content at its temperature; NAN: not known. */
static double pressure_for(const struct anomaly_case *c, double vol)
{
    const struct figure *temp = anomaly_beside(c, READS_TEMP);
    const struct figure *altitude = &c->book->cellar->altitude;
    double air =
        figure_is_exact(altitude) ? carbonation_atmosphere(altitude->value) : CARBONATION_SEA_LEVEL;
    if (temp == NULL)
        return NAN;
    return carbonation_beer_pressure(temp->value, carbonation_g_per_litre(vol), air);
}

bool anomaly_carbonation(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *vol = anomaly_figure(c, READS_CARBONATION);
    struct anomaly_limit limit = anomaly_limit_of(c->beer == NULL ? NULL : &c->beer->carbonation);
    if (!limit.own || anomaly_stage(c) != ANOMALY_BRIGHT)
        return false;
    bool low = anomaly_less(vol->value, limit.low);
    bool high = anomaly_less(limit.high, vol->value);
    if (!low && !high)
        return false;
    if (anomaly_less(limit.high + OVER_FAR, vol->value))
        f->level = ANOMALY_ALARM;
    anomaly_say(c, &f->reading, "%s", anomaly_value(c, QUANTITY_CARBONATION, vol->value));
    anomaly_say(c, &f->expected, "%s",
                anomaly_limits(c, QUANTITY_CARBONATION, limit.low, limit.high));
    anomaly_say(c, &f->source, "%s", limit.source);
    double middle = isfinite(limit.low) && isfinite(limit.high) ? (limit.low + limit.high) / 2
                    : low                                       ? limit.low
                                                                : limit.high;
    double pressure = pressure_for(c, middle);
    if (isnan(pressure))
        return true;
    anomaly_say(c, &f->more, "%s at %s would hold %s",
                anomaly_value(c, QUANTITY_PRESSURE, pressure),
                anomaly_value(c, QUANTITY_TEMPERATURE, anomaly_beside(c, READS_TEMP)->value),
                anomaly_value(c, QUANTITY_CARBONATION, middle));
    if (c->tank != NULL && figure_is_exact(&c->tank->rated) &&
        pressure > PRACTICE_SHARE_OF_RATED * c->tank->rated.value)
        anomaly_say(c, &f->more, ", but the tank is rated for %s: chill it further",
                    anomaly_value(c, QUANTITY_PRESSURE, c->tank->rated.value));
    if (high)
        anomaly_say(c, &f->more, "; do not package it: over-carbonated packages can burst");
    return true;
}

bool anomaly_oxygen(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *oxygen = anomaly_figure(c, READS_OXYGEN);
    struct anomaly_limit limit = anomaly_limit_of(c->beer == NULL ? NULL : &c->beer->oxygen);
    if (anomaly_stage(c) != ANOMALY_BRIGHT)
        return false;
    const struct reading *before = anomaly_before(c, READS_OXYGEN, 7 * 24, true);
    bool over = limit.own && oxygen->value > limit.high;
    bool rose = before != NULL && oxygen->value - before->figure[READS_OXYGEN].value > OXYGEN_RISE;
    if (!over && !rose)
        return false;
    if (!over)
        f->level = ANOMALY_NOTE;
    anomaly_say(c, &f->reading, "%s", anomaly_value(c, QUANTITY_OXYGEN, oxygen->value));
    if (rose)
        anomaly_say(c, &f->reading, ", %s on %s",
                    anomaly_value(c, QUANTITY_OXYGEN, before->figure[READS_OXYGEN].value),
                    anomaly_when(c, before->at.at));
    if (limit.own)
        anomaly_say(c, &f->expected, "%s",
                    anomaly_limits(c, QUANTITY_OXYGEN, limit.low, limit.high));
    else
        anomaly_say(c, &f->expected, "no rise");
    anomaly_say(c, &f->source, "%s", limit.own ? limit.source : "its reading before");
    return true;
}
