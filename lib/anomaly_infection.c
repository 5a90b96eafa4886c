/* Bacteria and wild yeast: acid that the beer's own yeast does not make. */
#include "anomaly_case.h"

#include <math.h>

#define BELOW_RANGE 0.30 /* under the beer's lowest pH; finished beer scatters by 0.1 */
#define FAR_BELOW   0.45 /* so far that one reading is enough to keep the tank apart */

bool anomaly_ph_low(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *ph = anomaly_figure(c, READS_PH);
    struct anomaly_limit limit = anomaly_limit_ph(c);
    if (ph == NULL || (c->practice->sours && !limit.own) || !(c->hours > 0))
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
    return true;
}
