/* Pressure: below the name plate, and steady where the beer is at rest. */
#include "anomaly_case.h"
#include "practice.h"

#include <math.h>

#define RATED_ALARM 0.9
#define CHANGE      0.15  /* bar; a gauge is read to 0.05 */
#define SAME_TEMP   1.0   /* C */
#define DAYS_BACK   72.0  /* h */
#define SETTLES     168.0 /* h in which chilled beer takes up the gas above it */

bool anomaly_pressure_rated(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *pressure = anomaly_figure(c, READS_PRESSURE);
    if (c->tank == NULL || !figure_is_exact(&c->tank->rated))
        return false;
    double rated = c->tank->rated.value, part = pressure->value / rated;
    if (!(rated > 0) || anomaly_less(part, PRACTICE_SHARE_OF_RATED))
        return false;
    f->level = anomaly_less(part, RATED_ALARM) ? ANOMALY_WARN : ANOMALY_ALARM;
    anomaly_say(c, &f->reading, "%s of %s", anomaly_value(c, QUANTITY_PRESSURE, pressure->value),
                anomaly_value(c, QUANTITY_PRESSURE, rated));
    anomaly_say(c, &f->expected, "below %s",
                anomaly_value(c, QUANTITY_PRESSURE, rated * PRACTICE_SHARE_OF_RATED));
    anomaly_say(c, &f->source, "80 %% of the name plate");
    const struct reading *before = anomaly_before(c, READS_PRESSURE, DAYS_BACK, true);
    if (before != NULL)
        anomaly_say(c, &f->more, "it was %s on %s",
                    anomaly_value(c, QUANTITY_PRESSURE, before->figure[READS_PRESSURE].value),
                    anomaly_when(c, before->at.at));
    return true;
}

/* The reading of the last days, in the same tank at the same temperature and with nothing done
 * since, that lies farthest below (rising) or above the one now; NULL. */
static const struct reading *farthest(const struct anomaly_case *c, unsigned kinds, bool rising)
{
    const struct figure *temp = anomaly_beside(c, READS_TEMP);
    const struct reading *found = NULL;
    double most = 0, now = anomaly_figure(c, READS_PRESSURE)->value;
    for (size_t i = c->index; i-- > 0 && temp != NULL;) {
        const struct reading *before = c->course->readings.items[i];
        const struct figure *then = &before->figure[READS_PRESSURE];
        if (anomaly_hours(before->at.at, c->at) > DAYS_BACK ||
            !str_eq(before->where, c->reading->where) ||
            anomaly_event_between(c, kinds, before->at.at, c->at))
            break;
        if (!figure_is_exact(then) || !figure_is_exact(&before->figure[READS_TEMP]) ||
            fabs(temp->value - before->figure[READS_TEMP].value) > SAME_TEMP)
            continue;
        double by = rising ? now - then->value : then->value - now;
        if (by > most) {
            most = by;
            found = before;
        }
    }
    return found == NULL || anomaly_less(most, CHANGE) ? NULL : found;
}

static void tell_change(const struct anomaly_case *c, struct anomaly_finding *f,
                        const struct reading *before, double now)
{
    double was = before->figure[READS_PRESSURE].value;
    anomaly_say(c, &f->reading, "%s, %s on %s", anomaly_value(c, QUANTITY_PRESSURE, now),
                anomaly_value(c, QUANTITY_PRESSURE, was), anomaly_when(c, before->at.at));
    anomaly_say(c, &f->expected, "within %s of that", anomaly_value(c, QUANTITY_PRESSURE, 0.1));
    anomaly_say(c, &f->source, "its own reading, at the same temperature");
}

bool anomaly_pressure_rising(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const unsigned gas =
        1U << EVENT_CLOSE | 1U << EVENT_CARBONATE | 1U << EVENT_KRAUSEN | 1U << EVENT_MOVE;
    const struct figure *pressure = anomaly_figure(c, READS_PRESSURE);
    if (anomaly_stage(c) == ANOMALY_FERMENTING)
        return false;
    const struct reading *before = farthest(c, gas, true);
    if (before == NULL)
        return false;
    tell_change(c, f, before, pressure->value);
    return true;
}

bool anomaly_pressure_falling(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const unsigned vents = 1U << EVENT_VENT | 1U << EVENT_CHILL | 1U << EVENT_MOVE |
                           1U << EVENT_CARBONATE | 1U << EVENT_PACKAGE | 1U << EVENT_DUMP |
                           1U << EVENT_DRY_HOP;
    const struct figure *pressure = anomaly_figure(c, READS_PRESSURE);
    const struct batch_event *chill = anomaly_event(c, EVENT_CHILL);
    if (chill != NULL && anomaly_stage(c) == ANOMALY_CHILLED &&
        anomaly_hours(chill->at.at, c->at) < SETTLES)
        return false;
    const struct reading *before = farthest(c, vents, false);
    if (before == NULL)
        return false;
    tell_change(c, f, before, pressure->value);
    return true;
}

/* The last exact figure up to a moment, or NULL. */
static const struct figure *last_until(const struct anomaly_case *c, enum batch_reads reads,
                                       int64_t moment)
{
    for (size_t i = c->index; i-- > 0;) {
        const struct reading *reading = c->course->readings.items[i];
        if (reading->at.at <= moment && figure_is_exact(&reading->figure[reads]))
            return &reading->figure[reads];
    }
    return NULL;
}

bool anomaly_pressure_not_building(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *pressure = anomaly_figure(c, READS_PRESSURE);
    const struct batch_event *close = anomaly_event(c, EVENT_CLOSE);
    const struct figure *gravity = anomaly_beside(c, READS_GRAVITY);
    if (close == NULL || gravity == NULL || anomaly_stage(c) != ANOMALY_FERMENTING)
        return false;
    if (anomaly_hours(close->at.at, c->at) < 40 ||
        anomaly_event_between(c, 1U << EVENT_VENT, close->at.at, c->at))
        return false;
    const struct figure *closed = last_until(c, READS_PRESSURE, close->at.at);
    const struct figure *then = last_until(c, READS_GRAVITY, close->at.at);
    if (closed == NULL || then == NULL || anomaly_less(then->value - gravity->value, 0.3))
        return false;
    double was = closed->value;
    if (anomaly_less(was + 0.1, pressure->value))
        return false;
    anomaly_say(c, &f->reading, "%s, closed on %s at %s",
                anomaly_value(c, QUANTITY_PRESSURE, pressure->value), anomaly_when(c, close->at.at),
                anomaly_value(c, QUANTITY_PRESSURE, was));
    anomaly_say(c, &f->expected, "%s or more", anomaly_value(c, QUANTITY_PRESSURE, was + 0.2));
    anomaly_say(c, &f->source, "gravity fell by %s since",
                anomaly_difference(c, QUANTITY_GRAVITY, gravity->value, then->value));
    return true;
}
