#include "finish.h"

#include "alcohol.h"
#include "civil.h"
#include "practice.h"
#include "words.h"

#include <math.h>

const struct finish_verdict_info FINISH_VERDICT[FINISH_VERDICTS] = {
    [FINISH_NOT_STARTED] = {"not started", false, false},
    [FINISH_FERMENTING] = {"fermenting", false, false},
    [FINISH_SLOWING] = {"slowing", false, false},
    [FINISH_FINISHED] = {"finished", true, false},
    [FINISH_UNCONFIRMED] = {"finished, unconfirmed", true, false},
    [FINISH_STUCK] = {"stuck", false, true},
    [FINISH_BELOW_LIMIT] = {"below limit", false, true},
    [FINISH_CHILLED_EARLY] = {"chilled early", false, false},
    [FINISH_NO_JUDGEMENT] = {"no judgement", false, false},
};

/* Once finished, cold or carbonated beer may read so far below, P; above it as far as readings can
 * jump (sound.h): gravity does not rise, so it is the sample or the meter. */
static const double COLD_SHIFT = 0.3;

/* Ten degrees make yeast two to three times as slow, so of beer that was chilled as it fell so many
 * cold days show no more than one warm one. Where it lies as far above its limit as readings
 * repeat, weeks of lagering show what days cannot. */
enum { COLD_DAYS = 3, COLD_DAYS_ABOVE = 7 };

/* Figures that differ by less than this are the same, whatever doubles make of them. */
static const double HAIR = 1e-6;

static bool at_most(double figure, double bound)
{
    return figure <= bound + HAIR;
}

/* Chilled with no limit known: it counts as fair only when the last warm day lost no more, P. */
static const double FAIR_LOSS = 0.3;

/* A day's loss of which the three hours that a small tank takes to cool show more than a step. */
static const double FAST_LOSS = 2.0;

/* Rises that stay, with spikes, from which no course can be made out, unless so many days without
 * any have passed since; and the share of readings that may be spikes. */
enum { MOST_RISES = 1, CALM_DAYS = 5, SPIKES_OF = 3 };

/* From so long after the pitch on, one day's readings are not the beginning of a course. */
static const int64_t BEGINNING = 3 * CIVIL_DAY;

/* So far above the original lies no wort of it, P: a tank not mixed yet reads 0.5 P off. */
static const double ABOVE_ORIGINAL = 1.0;

/* No yeast falls faster, P an hour, and by more, P: the fastest recorded lost 0.3 P an hour. */
static const double FASTEST_AN_HOUR = 0.8, LEAST_TOO_FAST = 2.0;

/* Without a limit that is reached, one reading is at rest nowhere, whatever days a beer asks for.
 */
enum { FEWEST_FLAT_DAYS = 2 };

/* A verdict of a moving beer says how old it is from so long after the last reading on. */
static const int64_t STALE = 3 * CIVIL_DAY;

/* Of a tank that is read each day so long a gap is a reading missed. */
static const int64_t ROUND_MISSED = 36 * CIVIL_HOUR;

/* A loss of gravity over a time, for a day of it; over less than a day as it is, P. */
static double loss_a_day(double loss, int64_t seconds)
{
    return loss / fmax(1, (double)seconds / CIVIL_DAY);
}

/* The lost gravity of the last day before index `end` of days, P in 24 h; NAN with fewer than two.
 */
static double day_loss(const struct sound_days *days, size_t end)
{
    if (end < 2)
        return NAN;
    const struct sound_point *before = days->items[end - 2], *last = days->items[end - 1];
    return loss_a_day(before->plato - last->plato, last->at - before->at);
}

/* The state that the conditions look at: the result being made, and what it does not tell. */
struct facts {
    const struct finish_context *context;
    struct finish *out;
    const struct batch *batch;
    bool sours;
    bool is_over;
    size_t over_from; /* of days: where the state "finished" was first reached */
    double most_loss; /* the greatest loss of a day so far */
};

/* The first day whose reading came after the last rouse before `until`. */
static size_t days_from(const struct facts *facts, int64_t until)
{
    const struct batch_event *rouse =
        batch_course_last(facts->out->course, EVENTS_THAT_ROUSE, until);
    size_t from = 0;
    while (rouse != NULL && from < facts->out->days.n &&
           facts->out->days.items[from]->at <= rouse->at.at)
        from++;
    return from;
}

static bool is_cold(const struct facts *facts, int64_t at)
{
    return chill_covers(&facts->out->chill, at);
}

/* The last sound reading before the tank was chilled, or NULL. */
static const struct sound_point *last_warm(const struct facts *facts)
{
    const struct sound *sound = &facts->out->sound;
    for (size_t i = sound->points.n; i-- > sound->from;)
        if (sound->points.items[i].state == SOUND_GOOD &&
            !is_cold(facts, sound->points.items[i].at))
            return &sound->points.items[i];
    return NULL;
}

/* The first sound reading of the chilled tank at a moment or later, or NULL. */
static const struct sound_point *first_cold(const struct facts *facts, int64_t from)
{
    const struct sound *sound = &facts->out->sound;
    for (size_t i = sound->from; i < sound->points.n; i++)
        if (sound->points.items[i].state == SOUND_GOOD && sound->points.items[i].at >= from &&
            is_cold(facts, sound->points.items[i].at))
            return &sound->points.items[i];
    return NULL;
}

/* What the 24 hours before a point lost, from the reading nearest to a day before it, by at least
 * STEADY_HOURS_A_DAY; from the original where there is none. NAN where that is not known. */
static double day_loss_before(const struct facts *facts, const struct sound_point *point)
{
    const struct finish *out = facts->out;
    int64_t from = facts->batch->has_zero ? facts->batch->zero : INT64_MIN;
    double plato = out->original_plato;
    for (size_t i = out->sound.from; i < out->sound.points.n; i++) {
        const struct sound_point *before = &out->sound.points.items[i];
        if (before->at > point->at - STEADY_HOURS_A_DAY * CIVIL_HOUR)
            break;
        if (before->state != SOUND_GOOD)
            continue;
        from = before->at;
        plato = before->plato;
    }
    if (from == INT64_MIN)
        return NAN;
    return loss_a_day(plato - point->plato, point->at - from);
}

/*
 * Without a limit: what shows that a beer was at rest when its tank was chilled? It has stayed
 * within a cold reading's doubt of its last warm one; and either its last warm day had lost next to
 * nothing, or it had fallen fast and then lost no more than a step to the first cold reading, most
 * of a day later. Had it still been falling, it would have gone on until the tank was cold, which
 * takes hours. Of a slow fall those hours show too little to tell.
 */
static enum finish_chill judge_chill_alone(const struct facts *facts,
                                           const struct sound_point *warm, double loss)
{
    const struct sound_point *now = facts->out->last;
    const struct sound_point *cold = first_cold(facts, warm->at + STEADY_HOURS_A_DAY * CIVIL_HOUR);
    bool held = cold != NULL && at_most(warm->plato - cold->plato, SOUND_FINEST_STEP_PLATO);
    bool was_over = at_most(loss, FAIR_LOSS) || (held && at_most(FAST_LOSS, loss));
    /* Where there is a warm reading, there is a last one.
     * NOLINTNEXTLINE(clang-analyzer-core.NullDereference) */
    return was_over && at_most(fabs(warm->plato - now->plato), COLD_SHIFT)
               ? FINISH_CHILLED_AT_END
               : FINISH_CHILLED_BEFORE_END;
}

/* Where a beer that was read began: its original, else what was read first. */
static double top_of(const struct finish *out)
{
    return isnan(out->original_plato) ? out->days.items[0]->plato : out->original_plato;
}

/* How near its end the beer was when it was chilled. */
static enum finish_chill judge_chill(const struct facts *facts)
{
    const struct finish *out = facts->out;
    const struct sound_point *warm = last_warm(facts);
    if (!out->chill.is_cold)
        return FINISH_WARM;
    double limit = out->limit.high_plato;
    if (warm == NULL)
        return isnan(limit) ? FINISH_CHILLED_BEFORE_END : FINISH_CHILLED_IN_FALL;
    double loss = day_loss_before(facts, warm);
    if (isnan(limit))
        return judge_chill_alone(facts, warm, loss);
    if (!limit_reached(&out->limit, warm->plato, out->limit.margin_plato)) {
        const struct sound_point *cold = first_cold(facts, INT64_MIN);
        bool fell =
            cold != NULL && limit_reached(&out->limit, cold->plato, out->limit.margin_plato);
        return fell ? FINISH_CHILLED_IN_FALL : FINISH_CHILLED_BEFORE_END;
    }
    return loss < (top_of(out) - limit) / 4 - HAIR ? FINISH_CHILLED_AT_END : FINISH_CHILLED_IN_FALL;
}

static double adf_of(const struct facts *facts, double plato)
{
    return alcohol_apparent_fermentation(facts->out->original_plato, plato);
}

/* Low enough to be the end, steadiness apart. */
static bool is_low_enough(const struct facts *facts, const struct sound_point *point)
{
    const struct limit *limit = &facts->out->limit;
    if (isnan(limit->high_plato))
        return adf_of(facts, point->plato) >= FINISH_LEAST_ADF;
    return limit_reached(limit, point->plato, limit->margin_plato);
}

/* At or about the upper end: nothing is to be confirmed. */
static bool is_at_end(const struct facts *facts, const struct sound_point *point)
{
    return limit_reached(&facts->out->limit, point->plato, point->step);
}

/* So low that a slow fall is no matter: at a forced value, or at the lower end of a range, which
 * says where batches end, not where this one does. Sour beers trickle by nature. */
static bool rests_at_end(const struct facts *facts, const struct sound_point *point)
{
    const struct limit *limit = &facts->out->limit;
    if (facts->sours || (limit->source == LIMIT_FORCED && !limit->upper_only))
        return is_at_end(facts, point);
    return at_most(point->plato, limit->low_plato);
}

/* How many days of the same gravity prove the end if a cold reading is the last of them; 0: none
 * do. Beer that fell fast as it was chilled must reach the limit itself; so must beer that was
 * chilled far above it and fermented on in the cold, and stay there for long. */
static int cold_days_needed(const struct facts *facts, const struct sound_point *point)
{
    const struct finish *out = facts->out;
    bool reached = limit_reached(&out->limit, point->plato, point->step / 2); /* as it is rounded */
    if (out->chilled == FINISH_CHILLED_AT_END ||
        (out->chilled == FINISH_CHILLED_IN_FALL && reached))
        return out->days_needed;
    if (!rests_at_end(facts, point))
        return 0;
    return (reached ? COLD_DAYS : COLD_DAYS_ABOVE) * out->days_needed;
}

/* Does day i end a run that says finished? */
static bool ends_run(const struct facts *facts, size_t i)
{
    const struct finish *out = facts->out;
    const struct sound_point *point = out->days.items[i];
    size_t from = days_from(facts, point->at);
    if (from > i || !is_low_enough(facts, point))
        return false;
    bool cold = is_cold(facts, point->at);
    int needed = cold ? cold_days_needed(facts, point) : out->days_needed;
    if (needed == 0)
        return false;
    if (!rests_at_end(facts, point) && trickle_of(&out->days, i + 1).is_trickling)
        return false;
    struct steady run = steady_run(&out->days, from, i + 1, needed);
    return run.is_enough && (!isnan(out->limit.high_plato) || run.days >= FEWEST_FLAT_DAYS);
}

/* Does day i leave a finished beer finished? */
static bool stays_over(const struct facts *facts, size_t i)
{
    const struct finish *out = facts->out;
    const struct sound_point *point = out->days.items[i],
                             *level = out->days.items[facts->over_from];
    if (is_cold(facts, point->at) ||
        batch_course_last(out->course, 1U << EVENT_CARBONATE, point->at) != NULL)
        return at_most(level->plato - point->plato, COLD_SHIFT);
    return days_from(facts, point->at) <= facts->over_from && sound_steps(level, point) <= 1;
}

/* One reading alone does not open a finished beer again: the next must bear it out. */
static bool is_unconfirmed_fall(const struct facts *facts, size_t i)
{
    const struct finish *out = facts->out;
    return days_from(facts, out->days.items[i]->at) <= facts->over_from &&
           (i + 1 == out->days.n || stays_over(facts, i + 1));
}

static void walk_days(struct facts *facts)
{
    const struct finish *out = facts->out;
    for (size_t i = 0; i < out->days.n; i++) {
        if (facts->is_over && (stays_over(facts, i) || is_unconfirmed_fall(facts, i)))
            continue;
        facts->is_over = ends_run(facts, i);
        facts->over_from = i;
    }
    if (out->run_from == out->days.n) /* roused, and not read since */
        facts->is_over = false;
}

/* The last day on which a beer that is over was read warm, or the one that called it so. */
static size_t rest_day(const struct facts *facts)
{
    const struct sound_days *days = &facts->out->days;
    for (size_t i = days->n; i-- > facts->over_from;)
        if (!is_cold(facts, days->items[i]->at) && stays_over(facts, i))
            return i;
    return facts->over_from;
}

/* The first reading at the figure the beer came to rest at, rousing events or not. */
static void find_end(const struct facts *facts)
{
    struct finish *out = facts->out;
    size_t rest = rest_day(facts);
    const struct sound_point *level = out->days.items[rest];
    size_t first = steady_run(&out->days, 0, rest + 1, 1).first;
    while (sound_steps(out->days.items[first], level) > 0)
        first++;
    out->has_end = true;
    out->end_at = out->days.items[first]->at;
    out->rest_plato = level->plato;
    out->called_at = out->days.items[facts->over_from]->at;
}

/* How many of the last good readings lie under the limit. */
static int count_below(const struct facts *facts)
{
    const struct finish *out = facts->out;
    int count = 0;
    for (size_t i = out->sound.points.n; i-- > out->sound.from;) {
        const struct sound_point *point = &out->sound.points.items[i];
        if (point->state != SOUND_GOOD)
            continue;
        if (!limit_is_under(&out->limit, point->plato))
            break;
        count++;
    }
    return facts->sours ? 0 : count;
}

static double lost_in_all(const struct facts *facts)
{
    return top_of(facts->out) - facts->out->last->plato;
}

static bool has_started(const struct facts *facts)
{
    return at_most(fmax(FINISH_STARTED_PLATO, 2 * facts->out->last->step), lost_in_all(facts));
}

/*
 * The conditions, in the order in which they are asked; the first that holds gives the verdict.
 * Each writes its reason into the buffer.
 */

static void say_gravity(const struct facts *facts, struct buf *text, double plato)
{
    words_value(text, facts->context->cellar, QUANTITY_GRAVITY, plato);
}

static void say_above(const struct facts *facts, struct buf *text, double plato, double above)
{
    words_gravity_difference(text, facts->context->cellar, plato, above);
}

/* "lost 0.3 P": gravity is now so much lower. */
static void say_lost(const struct facts *facts, struct buf *text, double lost)
{
    say_above(facts, text, facts->out->last->plato, fmax(lost, 0));
}

static const char *source_word(const struct facts *facts)
{
    return LIMIT_SOURCES[facts->out->limit.source];
}

static bool is_planned(const struct facts *facts, struct buf *reason)
{
    if (!facts->batch->has_zero || facts->batch->zero <= facts->context->now)
        return false;
    buf_printf(reason, "not brewed yet");
    return true;
}

static bool has_no_gravity(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (out->days.n > 0)
        return false;
    if (out->sound.points.n == 0)
        buf_printf(reason, "no gravity read yet");
    else
        buf_printf(reason, "no gravity to judge by: %s",
                   SOUND_WHY[out->sound.points.items[out->sound.points.n - 1].state]);
    return true;
}

static bool has_no_start(const struct facts *facts, struct buf *reason)
{
    if (!isnan(facts->out->original_plato) || facts->out->days.n > 1)
        return false;
    buf_printf(reason, "one day's reading and no original");
    return true;
}

/* One day's readings long after the pitch show where it is, not where it goes. */
static bool has_one_day(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    int64_t age = out->last->at - facts->batch->zero;
    if (out->days.n > 1 || !facts->batch->has_zero || age < BEGINNING)
        return false;
    buf_printf(reason, "read on one day only, %.0f days after the pitch", (double)age / CIVIL_DAY);
    return true;
}

static bool is_above_original(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    double above = out->last->plato - out->original_plato;
    if (!(above > ABOVE_ORIGINAL))
        return false;
    say_above(facts, reason, out->original_plato, above);
    buf_printf(reason, " above the original of ");
    say_gravity(facts, reason, out->original_plato);
    buf_printf(reason, ": is that right?");
    return true;
}

static bool fell_too_fast(const struct sound_point *before, const struct sound_point *now)
{
    double hours = (double)(now->at - before->at) / CIVIL_HOUR;
    return !at_most(before->plato - now->plato, fmax(LEAST_TOO_FAST, FASTEST_AN_HOUR * hours));
}

/* Faster than any yeast, and borne out since, so that the times are wrong. */
static bool falls_too_fast(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    const struct sound_point *before = NULL, *now = NULL;
    for (size_t i = out->sound.from; i < out->sound.points.n; i++) {
        const struct sound_point *point = &out->sound.points.items[i];
        if (point->state != SOUND_GOOD)
            continue;
        if (now != NULL && fell_too_fast(now, point))
            before = now;
        now = point;
    }
    if (before == NULL || out->days.n >= CALM_DAYS)
        return false;
    buf_printf(reason, "gravity fell faster after ");
    words_time(reason, facts->context->cellar, before->at);
    buf_printf(reason, " than any beer does: are the times right?");
    return true;
}

static size_t wild_readings(const struct sound *sound)
{
    size_t n = 0;
    for (size_t i = 0; i < sound->points.n; i++)
        n += sound->points.items[i].state == SOUND_SPIKE ||
             sound->points.items[i].state == SOUND_UNCONFIRMED;
    return n;
}

static bool is_up_and_down(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    bool zigzag = out->sound.risen > 0 && out->sound.risen + out->sound.spikes > MOST_RISES &&
                  out->days.n < CALM_DAYS;
    if (zigzag || wild_readings(&out->sound) * SPIKES_OF > out->sound.points.n) {
        buf_printf(reason, "gravity goes up and down: were all samples of this tank?");
        return true;
    }
    if (out->sound.risen == 0 || out->days.n > 2)
        return false;
    buf_printf(reason, "gravity rose and stayed up on a second reading: is it the same beer?");
    return true;
}

static bool is_below(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (count_below(facts) < 2)
        return false;
    say_above(facts, reason, out->last->plato, out->limit.low_plato - out->last->plato);
    buf_printf(reason, " under the %s limit on two readings", source_word(facts));
    return true;
}

static bool is_finished(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (!facts->is_over || isnan(out->limit.high_plato))
        return false;
    if (!out->needs_confirm) {
        buf_printf(reason, "steady at the %s limit ", source_word(facts));
        words_gravity_limit(reason, facts->context->cellar, out->limit.low_plato,
                            out->limit.high_plato);
        return true;
    }
    buf_printf(reason, "steady ");
    say_above(facts, reason, out->limit.high_plato, out->to_go_plato);
    buf_printf(reason, " above the %s limit, within its margin", source_word(facts));
    return true;
}

/* It was last read long before it was chilled, and lost more by the first cold reading than cold
 * readings shift: at what gravity it was chilled nobody knows. */
static bool say_fell_unseen(const struct facts *facts, struct buf *reason,
                            const struct sound_point *warm)
{
    const struct sound_point *cold = first_cold(facts, INT64_MIN);
    double limit = facts->out->limit.high_plato;
    if (cold == NULL || facts->out->chill.at - warm->at < ROUND_MISSED ||
        at_most(warm->plato - cold->plato, COLD_SHIFT))
        return false;
    buf_printf(reason, "last read warm at ");
    say_gravity(facts, reason, warm->plato);
    buf_printf(reason, ", first cold at ");
    say_gravity(facts, reason, cold->plato);
    buf_printf(reason, ", ");
    say_above(facts, reason, limit, cold->plato - limit);
    buf_printf(reason, " above the limit");
    return true;
}

static bool is_chilled_early(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    const struct sound_point *warm = last_warm(facts);
    if (out->chilled != FINISH_CHILLED_BEFORE_END && out->chilled != FINISH_CHILLED_IN_FALL)
        return false;
    if (warm == NULL) {
        buf_printf(reason, "cold before any reading");
        return true;
    }
    double loss = day_loss_before(facts, warm);
    bool has_limit = !isnan(out->limit.high_plato);
    bool was_above = has_limit && out->chilled == FINISH_CHILLED_BEFORE_END;
    bool fell = !isnan(loss) && (has_limit || !at_most(loss, FAIR_LOSS));
    if (!was_above && !fell) {
        buf_printf(reason, "last read warm at ");
        say_gravity(facts, reason, warm->plato);
        buf_printf(reason, ", so nothing tells whether it was over when it was chilled");
        return true;
    }
    if (was_above && say_fell_unseen(facts, reason, warm))
        return true;
    buf_printf(reason, "chilled at ");
    say_gravity(facts, reason, warm->plato);
    if (was_above) {
        buf_printf(reason, ", ");
        say_above(facts, reason, out->limit.high_plato, warm->plato - out->limit.high_plato);
        buf_printf(reason, " above the limit");
    } else {
        buf_printf(reason, " while still falling by ");
        say_above(facts, reason, warm->plato, loss);
        buf_printf(reason, " a day");
        if (!has_limit && is_low_enough(facts, warm))
            buf_printf(reason, "; no limit is known, so it may have been over soon after");
    }
    return true;
}

static bool is_unconfirmed(const struct facts *facts, struct buf *reason)
{
    if (!facts->is_over)
        return false;
    buf_printf(reason, "steady at %.0f %% attenuation, but no limit is known",
               facts->out->adf_percent);
    return true;
}

static bool is_flat(const struct facts *facts)
{
    const struct finish *out = facts->out;
    return out->run.is_enough && out->days_steady >= FEWEST_FLAT_DAYS && !out->trickle.is_trickling;
}

static bool is_flat_without_limit(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (!is_flat(facts) || !isnan(out->limit.high_plato))
        return false;
    buf_printf(reason, "flat at ");
    if (isnan(out->adf_percent)) {
        say_gravity(facts, reason, out->last->plato);
        buf_printf(reason, ", no original known");
    } else
        buf_printf(reason, "%.0f %%", fmax(out->adf_percent, 0));
    buf_printf(reason, ", no limit known");
    if (out->limit.forced_high) {
        buf_printf(reason, ": forced ");
        say_gravity(facts, reason, out->limit.passed_plato);
        buf_printf(reason, " is passed over, so high is it");
    }
    return true;
}

static bool is_not_started(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (has_started(facts))
        return false;
    say_lost(facts, reason, lost_in_all(facts));
    buf_printf(reason, " lost");
    if (facts->batch->has_zero)
        buf_printf(reason, " in %.0f hours",
                   (double)(out->last->at - facts->batch->zero) / CIVIL_HOUR);
    return true;
}

static bool is_stuck(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    if (!is_flat(facts) || limit_reached(&out->limit, out->last->plato, out->limit.margin_plato))
        return false;
    buf_printf(reason, "steady ");
    say_above(facts, reason, out->limit.high_plato, out->to_go_plato);
    buf_printf(reason, " above the %s limit", source_word(facts));
    return true;
}

static void say_creep(const struct facts *facts, struct buf *text)
{
    double week = facts->out->trickle.plato_per_day * 7;
    bool by_month = week < SOUND_FINEST_STEP_PLATO / 2;
    buf_printf(text, "still falling, ");
    say_lost(facts, text, by_month ? week * 30 / 7 : week);
    buf_printf(text, by_month ? " a month" : " a week");
}

/* Days enough, but too few readings in them, or those of two days in a few hours. */
static void say_days(const struct facts *facts, struct buf *text)
{
    const struct finish *out = facts->out;
    size_t readings = out->days.n - out->run.first;
    int days = out->days_steady, needed = out->days_needed;
    int64_t apart = out->last->at - out->days.items[out->run.first]->at;
    if (days < needed || out->run.is_enough)
        buf_printf(text, "the same gravity for %d of %d days", days, needed);
    else if (needed > STEADY_READ_DAILY && readings < STEADY_FEWEST)
        buf_printf(text, "the same gravity for %d days, but %zu of %d readings", days, readings,
                   STEADY_FEWEST);
    else
        buf_printf(text, "the same gravity on %d days, but only %.0f hours apart", days,
                   (double)apart / CIVIL_HOUR);
}

static bool is_slowing(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    bool slow = out->fall_per_day < facts->most_loss / 2;
    if (out->days.n < 2 || (!slow && !out->trickle.is_trickling && out->days_steady < 2))
        return false;
    if (out->trickle.is_trickling) {
        say_creep(facts, reason);
    } else if (out->days_steady == 0) {
        buf_printf(reason, "%s: the days count anew",
                   BATCH_EVENTS[out->roused->what - EVENT_PITCH]);
    } else if (out->days_steady >= 2 || out->fall_per_day < 0.05) {
        say_days(facts, reason);
    } else {
        say_lost(facts, reason, out->fall_per_day);
        buf_printf(reason, " in the last day, ");
        say_lost(facts, reason, facts->most_loss);
        buf_printf(reason, " at its fastest");
    }
    return true;
}

static bool is_fermenting(const struct facts *facts, struct buf *reason)
{
    const struct finish *out = facts->out;
    bool first = isnan(out->fall_per_day);
    say_lost(facts, reason, first ? lost_in_all(facts) : out->fall_per_day);
    buf_printf(reason, first ? " lost by the first reading" : " in the last day");
    return true;
}

static const struct condition {
    enum finish_verdict verdict;
    bool (*holds)(const struct facts *facts, struct buf *reason);
} CONDITIONS[] = {
    {FINISH_NO_JUDGEMENT, is_planned},     {FINISH_NO_JUDGEMENT, has_no_gravity},
    {FINISH_NO_JUDGEMENT, has_no_start},   {FINISH_NO_JUDGEMENT, is_up_and_down},
    {FINISH_NO_JUDGEMENT, has_one_day},    {FINISH_NO_JUDGEMENT, is_above_original},
    {FINISH_NO_JUDGEMENT, falls_too_fast}, {FINISH_BELOW_LIMIT, is_below},
    {FINISH_FINISHED, is_finished},        {FINISH_CHILLED_EARLY, is_chilled_early},
    {FINISH_UNCONFIRMED, is_unconfirmed},  {FINISH_NO_JUDGEMENT, is_flat_without_limit},
    {FINISH_NOT_STARTED, is_not_started},  {FINISH_STUCK, is_stuck},
    {FINISH_SLOWING, is_slowing},          {FINISH_FERMENTING, is_fermenting},
};

/* What the result tells besides the verdict. */

static void measure_readings(struct facts *facts)
{
    struct finish *out = facts->out;
    const struct finish_context *context = facts->context;
    const struct figure *original = &facts->batch->used_original;
    out->original_plato = figure_is_exact(original) ? original->value : NAN;
    out->sound = sound_points(out->course, context->cellar, context->now, context->arena);
    out->days = sound_days(&out->sound, context->cellar->zone, context->arena);
    out->last = out->days.n > 0 ? out->days.items[out->days.n - 1] : NULL;
    out->limit = limit_of(facts->batch, out->original_plato, context->baseline, context->now);
    out->days_needed = practice_steady_days(facts->batch->type);
    out->chill = chill_of(out->course, context->now);
    out->chilled = judge_chill(facts);
}

static void measure_run(struct facts *facts)
{
    struct finish *out = facts->out;
    size_t n = out->days.n;
    out->roused = batch_course_last(out->course, EVENTS_THAT_ROUSE, facts->context->now);
    out->run_from = days_from(facts, facts->context->now);
    out->fall_per_day = day_loss(&out->days, n);
    out->trickle = trickle_of(&out->days, n);
    if (out->run_from < n) {
        out->run = steady_run(&out->days, out->run_from, n, out->days_needed);
        out->days_steady = out->run.days;
    }
    for (size_t end = 2; end <= n; end++)
        facts->most_loss = fmax(facts->most_loss, day_loss(&out->days, end));
    if (n > 0 && !isnan(out->original_plato) && facts->batch->has_zero) {
        double loss = out->original_plato - out->days.items[0]->plato;
        facts->most_loss =
            fmax(facts->most_loss, loss_a_day(loss, out->days.items[0]->at - facts->batch->zero));
    }
}

static void measure_beer(struct facts *facts)
{
    struct finish *out = facts->out;
    out->gravity_plato = out->to_go_plato = out->adf_percent = out->abv_percent = NAN;
    if (out->last == NULL)
        return;
    double plato = out->last->plato;
    out->gravity_plato = plato;
    out->gravity_at = out->last->at;
    out->adf_percent = adf_of(facts, plato);
    out->abv_percent = alcohol_from_gravity(out->original_plato, plato);
    if (!isnan(out->limit.high_plato))
        out->to_go_plato = fmax(plato - out->limit.high_plato, 0);
}

static bool is_moving(enum finish_verdict verdict)
{
    return verdict == FINISH_NOT_STARTED || verdict == FINISH_FERMENTING ||
           verdict == FINISH_SLOWING;
}

struct finish finish_judge(const struct finish_context *context, const struct batch_course *course)
{
    struct finish out = {.course = course, .reason = ""};
    struct facts facts = {.context = context, .out = &out, .batch = course->batch};
    facts.sours = PRACTICE[course->batch->yeast].sours;
    if (course->batch->has_zero && course->batch->zero <= context->now) {
        out.has_day = true;
        out.day = (long)(civil_day(context->cellar->zone, context->now) -
                         civil_day(context->cellar->zone, course->batch->zero));
    }
    measure_readings(&facts);
    measure_run(&facts);
    measure_beer(&facts);
    walk_days(&facts);
    if (facts.is_over) {
        find_end(&facts);
        out.fall_unconfirmed = !stays_over(&facts, out.days.n - 1);
        out.needs_confirm =
            out.limit.source != LIMIT_NONE && !is_at_end(&facts, out.days.items[facts.over_from]);
    }
    out.below_unconfirmed = count_below(&facts) == 1;
    struct buf reason = buf_new(context->arena);
    size_t i = 0;
    while (!CONDITIONS[i].holds(&facts, &reason))
        i++;
    out.verdict = CONDITIONS[i].verdict;
    if (is_moving(out.verdict) && context->now - out.last->at >= STALE) {
        buf_printf(&reason, ", as of ");
        words_time(&reason, context->cellar, out.last->at);
    }
    out.has_end = out.has_end && FINISH_VERDICT[out.verdict].is_over;
    out.reason = reason.p == NULL ? "" : reason.p;
    return out;
}
