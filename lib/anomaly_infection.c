/* Bacteria and wild yeast: acid that the beer's own yeast does not make. */
#include "anomaly_case.h"

#include <math.h>

#define BELOW_RANGE 0.30 /* under the beer's lowest pH; finished beer scatters by 0.1 */
#define FAR_BELOW   0.45 /* so far that one reading is enough to keep the tank apart */

/* Another meter's word on it, within a day and a half. */
static void tell_other_meter(const struct anomaly_case *c, struct anomaly_finding *f, double least)
{
    for (size_t i = c->index; i-- > 0;) {
        const struct reading *reading = c->course->readings.items[i];
        const struct figure *ph = &reading->figure[READS_PH];
        if (anomaly_hours(reading->at.at, c->at) > 36)
            return;
        if (!figure_is_exact(ph) || !anomaly_less(ph->value, least) ||
            reading->meter[READS_PH] == NULL || c->reading->meter[READS_PH] == NULL ||
            str_eq(reading->meter[READS_PH]->text, c->reading->meter[READS_PH]->text))
            continue;
        anomaly_say(c, &f->more, "two meters agree: " STR_FMT " read %.2f on %s, " STR_FMT " %.2f",
                    STR_ARG(reading->meter[READS_PH]->text), ph->value,
                    anomaly_when(c, reading->at.at), STR_ARG(c->reading->meter[READS_PH]->text),
                    anomaly_figure(c, READS_PH)->value);
        return;
    }
}

bool anomaly_ph_low(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = anomaly_figure(c, READS_PH);
    struct anomaly_limit limit = anomaly_limit_ph(c);
    if ((c->practice->sours && !limit.own) || !(c->hours > 0))
        return false;
    double least = limit.low - BELOW_RANGE;
    if (!anomaly_less(ph->value, least))
        return false;
    if (c->practice->sours) /* souring is its nature; the figure is told all the same */
        f->level = ANOMALY_NOTE;
    else if (anomaly_less(ph->value, limit.low - FAR_BELOW))
        f->level = ANOMALY_ALARM;
    anomaly_say(c, &f->reading, "%s on day %.0f", anomaly_value(c, QUANTITY_PH, ph->value),
                floor(c->hours / 24) + 1);
    anomaly_say(c, &f->expected, "%s", anomaly_limits(c, QUANTITY_PH, limit.low, limit.high));
    anomaly_say(c, &f->source, "%s", limit.source);
    tell_other_meter(c, f, least);
    return true;
}
