/* The course of gravity: it falls until the beer is at its end, and then it stays. */
#include "anomaly_case.h"

#include <math.h>

#define RISE       0.3 /* P; less is what two samples of one tank differ by */
#define RISE_OTHER 0.5 /* the same between two meters */
#define STAND_DAYS 2
#define FAR_ABOVE  1.0 /* P above the limit: nearer it may just be slowing */
#define BEGUN      0.1 /* of the original: before that it is a slow start */
#define STILL_ADF  60.0
#define FALL_AGAIN 0.2 /* P below the end: finished beer keeps within 0.1 */

/* So many days of the same gravity before a Belgian beer is an alarm: some fall by a tenth in a few
 * days for two or three weeks (common practice). */
enum { TRICKLE_PATIENCE = 5 };

static bool same_meter(const struct reading *a, const struct reading *b)
{
    return str_eq(text_of(a->meter[READS_GRAVITY]), text_of(b->meter[READS_GRAVITY]));
}

/* The lowest gravity of the last days that nothing was added to; NULL. */
static const struct reading *lowest_before(const struct anomaly_case *c, double hours)
{
    const unsigned adds = EVENTS_WITH_EXTRACT | 1U << EVENT_CHILL;
    const struct reading *lowest = NULL;
    for (size_t i = c->index; i-- > 0;) {
        const struct reading *reading = c->course->readings.items[i];
        if (anomaly_hours(reading->at.at, c->at) > hours ||
            anomaly_event_between(c, adds, reading->at.at, c->at))
            break;
        double plato = anomaly_plato(c, reading);
        if (!isnan(plato) && (lowest == NULL || plato < anomaly_plato(c, lowest)))
            lowest = reading;
    }
    return lowest;
}

bool anomaly_gravity_rising(const struct anomaly_case *c, struct anomaly_finding *f)
{
    double plato = anomaly_plato(c, c->reading);
    const struct reading *lowest = isnan(plato) ? NULL : lowest_before(c, 96);
    if (lowest == NULL)
        return false;
    double was = anomaly_plato(c, lowest);
    bool other = !same_meter(c->reading, lowest);
    if (anomaly_less(plato - was, other ? RISE_OTHER : RISE))
        return false;
    anomaly_say(c, &f->reading, "gravity %s after %s", anomaly_value(c, QUANTITY_GRAVITY, plato),
                anomaly_value(c, QUANTITY_GRAVITY, was));
    anomaly_say(c, &f->expected, "%s or less", anomaly_value(c, QUANTITY_GRAVITY, was));
    anomaly_say(c, &f->source, "its reading of %s", anomaly_when(c, lowest->at.at));
    if (other)
        anomaly_say(c, &f->more, "the two were read with different meters");
    return true;
}

/* "0.5 P above 2.4 P" */
static void say_above(const struct anomaly_case *c, struct str *text, double plato, double limit)
{
    anomaly_say(c, text, "gravity %s, %s above its limit",
                anomaly_value(c, QUANTITY_GRAVITY, plato),
                anomaly_difference(c, QUANTITY_GRAVITY, limit, plato));
}

static void say_limit(const struct anomaly_case *c, struct anomaly_finding *f)
{
    static const char *const SOURCES[] = {[LIMIT_NONE] = "",
                                          [LIMIT_FORCED] = "its forced value",
                                          [LIMIT_TERMINAL] = "the beer's terminal gravity",
                                          [LIMIT_BASELINE] = "its earlier batches"};
    const struct limit *limit = &anomaly_finish(c)->limit;
    if (limit->low_plato < limit->high_plato)
        anomaly_say(c, &f->expected, "%s",
                    anomaly_limits(c, QUANTITY_GRAVITY, limit->low_plato, limit->high_plato));
    else
        anomaly_say(c, &f->expected, "%s",
                    anomaly_value(c, QUANTITY_GRAVITY,
                                  isnan(limit->high_plato) ? limit->low_plato : limit->high_plato));
    anomaly_say(c, &f->source, "%s", SOURCES[limit->source]);
}

bool anomaly_stalled(const struct anomaly_case *c, struct anomaly_finding *f)
{
    double plato = anomaly_plato(c, c->reading);
    const struct figure *original = &c->batch->used_original;
    if (isnan(plato) || c->practice->sours || !figure_is_exact(original) ||
        plato > original->value * (1 - BEGUN) || anomaly_stage(c) != ANOMALY_FERMENTING)
        return false;
    const struct finish *finish = anomaly_finish(c);
    double high = finish->limit.high_plato;
    if (isnan(high) ? !(finish->adf_percent < STILL_ADF) : anomaly_less(plato, high + FAR_ABOVE))
        return false;
    if (finish->trickle.is_trickling || FINISH_VERDICT[finish->verdict].is_over)
        return false;
    const struct reading *before = NULL; /* the last one that is two days older */
    for (size_t i = 0; i < c->index; i++)
        if (anomaly_hours(c->course->readings.items[i]->at.at, c->at) >= STAND_DAYS * 22 &&
            !isnan(anomaly_plato(c, c->course->readings.items[i])))
            before = c->course->readings.items[i];
    if (before == NULL || anomaly_hours(before->at.at, c->at) > STAND_DAYS * 24 + 12 ||
        anomaly_less(c->batch->yeast == YEAST_BELGIAN ? 0.05 : 0.1,
                     anomaly_plato(c, before) - plato))
        return false;
    if (isnan(high)) {
        anomaly_say(c, &f->reading, "gravity %s", anomaly_value(c, QUANTITY_GRAVITY, plato));
        anomaly_say(c, &f->expected, "still falling");
        anomaly_say(c, &f->source, "only %.0f %% attenuated", finish->adf_percent);
    } else {
        say_above(c, &f->reading, plato, high);
        say_limit(c, f);
    }
    anomaly_say(c, &f->more, "it was %s on %s",
                anomaly_value(c, QUANTITY_GRAVITY, anomaly_plato(c, before)),
                anomaly_when(c, before->at.at));
    return true;
}

bool anomaly_stuck(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct finish *finish = anomaly_finish(c);
    if (finish->verdict != FINISH_STUCK || c->practice->sours)
        return false;
    say_above(c, &f->reading, finish->gravity_plato, finish->limit.high_plato);
    anomaly_say(c, &f->reading, ", steady for %d days", finish->days_steady);
    say_limit(c, f);
    if (c->batch->yeast == YEAST_BELGIAN && finish->days_steady < TRICKLE_PATIENCE) {
        f->level = ANOMALY_WARN;
        anomaly_say(c, &f->more, "Belgian yeast may creep on for weeks; ");
    }
    const struct batch_event *rouse = anomaly_event(c, EVENT_ROUSE);
    if (rouse != NULL)
        anomaly_say(c, &f->more, "roused on %s, without effect", anomaly_when(c, rouse->at.at));
    f->more = str_ends(f->more, "; ") ? str_cut(f->more, 0, f->more.n - 2) : f->more;
    return true;
}

bool anomaly_chilled_early(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct finish *finish = anomaly_finish(c);
    if (finish->verdict != FINISH_CHILLED_EARLY || isnan(finish->gravity_plato))
        return false;
    bool has_limit = !isnan(finish->limit.high_plato);
    if (c->batch->of.n > 0 && !has_limit) /* a blend comes cold, from beer that was judged before */
        return false;
    if (!has_limit) {
        anomaly_say(c, &f->reading, "gravity %s",
                    anomaly_value(c, QUANTITY_GRAVITY, finish->gravity_plato));
        anomaly_say(c, &f->expected, "an end before the chill");
        anomaly_say(c, &f->source, "usual in the trade");
    } else {
        say_above(c, &f->reading, finish->gravity_plato, finish->limit.high_plato);
        say_limit(c, f);
    }
    anomaly_say(c, &f->more, "chilled on %s, while it still fell",
                anomaly_when(c, finish->chill.at));
    return true;
}

bool anomaly_restart(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const unsigned meant = 1U << EVENT_PITCH | 1U << EVENT_ROUSE; /* to make it go on */
    double plato = anomaly_plato(c, c->reading);
    if (isnan(plato) || !c->over.was || c->practice->sours || anomaly_stage(c) == ANOMALY_CHILLED ||
        anomaly_less(c->over.plato - plato, FALL_AGAIN) ||
        anomaly_event_between(c, meant, c->over.at, c->at))
        return false;
    anomaly_say(c, &f->reading, "gravity %s", anomaly_value(c, QUANTITY_GRAVITY, plato));
    anomaly_say(c, &f->expected, "%s", anomaly_value(c, QUANTITY_GRAVITY, c->over.plato));
    anomaly_say(c, &f->source, "where it had ended on %s", anomaly_when(c, c->over.at));
    const struct batch_event *hops = anomaly_event(c, EVENT_DRY_HOP);
    if (hops != NULL)
        anomaly_say(c, &f->more, "dry hopped on %s: hops can start it again",
                    anomaly_when(c, hops->at.at));
    return true;
}

bool anomaly_gravity_below(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct finish *finish = anomaly_finish(c);
    double plato = anomaly_plato(c, c->reading);
    bool below = finish->verdict == FINISH_BELOW_LIMIT;
    if (isnan(plato) || (!below && !finish->below_unconfirmed) ||
        !limit_is_under(&finish->limit, plato))
        return false;
    f->level = below ? ANOMALY_ALARM : ANOMALY_WARN;
    f->unconfirmed = !below;
    anomaly_say(c, &f->reading, "gravity %s", anomaly_value(c, QUANTITY_GRAVITY, plato));
    say_limit(c, f);
    return true;
}

bool anomaly_forced_high(const struct anomaly_case *c, struct anomaly_finding *f)
{
    const struct finish *finish = anomaly_finish(c);
    if (!finish->limit.forced_high)
        return false;
    anomaly_say(c, &f->reading, "forced value %s of %s",
                anomaly_value(c, QUANTITY_GRAVITY, finish->limit.passed_plato),
                anomaly_value(c, QUANTITY_GRAVITY, finish->original_plato));
    anomaly_say(
        c, &f->expected, "below %s",
        anomaly_value(c, QUANTITY_GRAVITY, finish->original_plato * LIMIT_FORCED_HIGHEST_SHARE));
    anomaly_say(c, &f->source, "usual in the trade");
    return true;
}
