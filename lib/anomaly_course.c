/* The course of gravity: it falls, and when it rises something is wrong with the sample first. */
#include "anomaly_case.h"

#define RISE 0.3 /* P; less is what two samples of one tank differ by */

bool anomaly_gravity_rising(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const unsigned adds = 1U << EVENT_ADDITION | 1U << EVENT_KRAUSEN | 1U << EVENT_CHILL;
    const struct figure *gravity = anomaly_figure(c, READS_GRAVITY);
    if (gravity == NULL)
        return false;
    /* the lowest of the last four days that nothing was added to */
    const struct reading *lowest = NULL;
    struct anomaly_case back = *c;
    for (const struct reading *r = c->reading; r != NULL;) {
        r = anomaly_before(&back, READS_GRAVITY, 96, false);
        if (r == NULL || anomaly_event_between(c, adds, r->at.at, c->at))
            break;
        if (lowest == NULL || r->figure[READS_GRAVITY].value < lowest->figure[READS_GRAVITY].value)
            lowest = r;
        while (back.index > 0 && c->course->readings.items[back.index] != r)
            back.index--;
    }
    if (lowest == NULL || anomaly_less(gravity->value - lowest->figure[READS_GRAVITY].value, RISE))
        return false;
    anomaly_say(c, &f->reading, "gravity %s after %s",
                anomaly_value(c, QUANTITY_GRAVITY, gravity->value),
                anomaly_value(c, QUANTITY_GRAVITY, lowest->figure[READS_GRAVITY].value));
    anomaly_say(c, &f->expected, "%s or less",
                anomaly_value(c, QUANTITY_GRAVITY, lowest->figure[READS_GRAVITY].value));
    anomaly_say(c, &f->source, "its reading of %s", anomaly_when(c, lowest->at.at));
    return true;
}
