/* Temperature: in range while it ferments, falling after the chill, cold after that. */
#include "anomaly_case.h"

#include <math.h>

#define OUT_BY        0.5 /* C outside of the range that a round's reading may be */
#define RUNAWAY       4.0 /* C above it: the cooling has failed */
#define COLD_GRACE    48.0
#define CHILL_HOURS   20.0
#define CHILL_FALL    5.0
#define LATE_PERCENT  66  /* of the extract gone: the warmth that follows makes no esters */
#define LATE_ADF      55  /* the same where no limit is known */
#define FASTEST       1.5 /* C in an hour */
#define WARMER_IN_DAY 4.0

/* Near its end beer is let rise, so that the yeast takes the diacetyl back; in lager by much, up to
 * what its yeast usually bears (common practice, no source). */
static bool may_be_rest(const struct anomaly_case *c, double celsius)
{
    double gone = anomaly_progress(c);
    bool is_late = isnan(gone) ? anomaly_finish(c)->adf_percent >= LATE_ADF : gone >= LATE_PERCENT;
    return is_late && !anomaly_less(c->practice->ferment_high, celsius);
}

bool anomaly_temp_ferment(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *temp = anomaly_figure(c, READS_TEMP);
    if (!(c->hours > 0) || anomaly_stage(c) != ANOMALY_FERMENTING)
        return false;
    struct anomaly_limit limit = anomaly_limit_ferment(c);
    double over = temp->value - limit.high, under = limit.low - temp->value;
    if (!anomaly_less(OUT_BY, over) && !anomaly_less(OUT_BY, under))
        return false;
    if (!anomaly_less(over, RUNAWAY))
        f->level = ANOMALY_ALARM;
    else if (!anomaly_less(1, fmax(over, under)))
        f->level = ANOMALY_NOTE;
    bool is_far = !anomaly_less(over, RUNAWAY) && c->batch->yeast != YEAST_LAGER;
    if (over > 0 && !is_far && may_be_rest(c, temp->value)) {
        f->level = ANOMALY_NOTE;
        anomaly_say(c, &f->more, "near its end: a diacetyl rest, if that is meant");
    }
    anomaly_say(c, &f->reading, "%s", anomaly_value(c, QUANTITY_TEMPERATURE, temp->value));
    anomaly_say(c, &f->expected, "%s",
                anomaly_limits(c, QUANTITY_TEMPERATURE, limit.low, limit.high));
    anomaly_say(c, &f->source, "%s", limit.source);
    return true;
}

/* The last chill, if it tells what it aims at: a tank may be chilled in steps. NULL: none. */
static const struct batch_event *last_step(const struct anomaly_case *c)
{
    const struct batch_event *chill = anomaly_event(c, EVENT_CHILL);
    return chill != NULL && figure_is_exact(&chill->temp) ? chill : NULL;
}

/* What a chilled tank should come to: cold, or where the last step aims higher, that. */
static struct anomaly_limit limit_chilled(const struct anomaly_case *c)
{
    struct anomaly_limit limit = anomaly_limit_cold(c);
    const struct batch_event *step = last_step(c);
    if (step == NULL || step->temp.value <= limit.high)
        return limit;
    limit.high = step->temp.value;
    limit.source = "the temperature aimed at";
    return limit;
}

bool anomaly_temp_cold(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *temp = anomaly_figure(c, READS_TEMP);
    struct chill chill = chill_of(c->course, c->at);
    const struct batch_event *step = last_step(c);
    if (step != NULL && step->at.at > chill.at)
        chill.at = step->at.at;
    if (!chill.is_cold || anomaly_hours(chill.at, c->at) < COLD_GRACE)
        return false;
    struct anomaly_limit limit = limit_chilled(c);
    double over = temp->value - limit.high, under = limit.low - temp->value;
    if (!anomaly_less(OUT_BY, over) && !anomaly_less(OUT_BY, under))
        return false;
    anomaly_say(c, &f->reading, "%s", anomaly_value(c, QUANTITY_TEMPERATURE, temp->value));
    anomaly_say(c, &f->expected, "%s",
                anomaly_limits(c, QUANTITY_TEMPERATURE, limit.low, limit.high));
    anomaly_say(c, &f->source, "%s, chilled on %s", limit.source, anomaly_when(c, chill.at));
    return true;
}

bool anomaly_temp_not_falling(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct figure *temp = anomaly_figure(c, READS_TEMP);
    const struct batch_event *chill = anomaly_event(c, EVENT_CHILL);
    if (chill == NULL)
        return false;
    double hours = anomaly_hours(chill->at.at, c->at);
    if (hours < CHILL_HOURS || hours >= COLD_GRACE)
        return false;
    const struct figure *warm = NULL;
    for (size_t i = c->index; i-- > 0 && warm == NULL;) {
        const struct reading *reading = c->course->readings.items[i];
        if (reading->at.at <= chill->at.at && figure_is_exact(&reading->figure[READS_TEMP]))
            warm = &reading->figure[READS_TEMP];
    }
    double cold = limit_chilled(c).high;
    if (warm == NULL || !anomaly_less(warm->value - temp->value, CHILL_FALL) ||
        !anomaly_less(cold + 1, temp->value))
        return false;
    anomaly_say(c, &f->reading, "%s, %.0f h after the chill",
                anomaly_value(c, QUANTITY_TEMPERATURE, temp->value), hours);
    anomaly_say(c, &f->expected, "below %s",
                anomaly_value(c, QUANTITY_TEMPERATURE, fmax(warm->value - CHILL_FALL, cold + 1)));
    anomaly_say(c, &f->source, "usual in the trade");
    return true;
}

bool anomaly_temp_jump(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const unsigned warming = 1U << EVENT_KRAUSEN | 1U << EVENT_MOVE;
    const struct figure *temp = anomaly_figure(c, READS_TEMP);
    const struct reading *before = anomaly_before(c, READS_TEMP, 36, true);
    if (before == NULL)
        return false;
    double was = before->figure[READS_TEMP].value, by = temp->value - was;
    double hours = fmax(1, anomaly_hours(before->at.at, c->at));
    bool fast = anomaly_less(fmax(2, FASTEST * hours), fabs(by));
    bool warmed = anomaly_less(WARMER_IN_DAY, by);
    if (!fast && !(warmed && !anomaly_event_between(c, warming, before->at.at, c->at)))
        return false;
    anomaly_say(c, &f->reading, "%s, %s %.0f h before",
                anomaly_value(c, QUANTITY_TEMPERATURE, temp->value),
                anomaly_value(c, QUANTITY_TEMPERATURE, was), hours);
    anomaly_say(c, &f->expected, "within %s of that",
                anomaly_difference(c, QUANTITY_TEMPERATURE, was,
                                   was + fmin(FASTEST * hours, WARMER_IN_DAY)));
    anomaly_say(c, &f->source, "usual in the trade");
    return true;
}
