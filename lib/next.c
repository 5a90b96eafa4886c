#include "next.h"

#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "civil.h"
#include "due.h"
#include "practice.h"
#include "volumes.h"
#include "words.h"

#include <math.h>

/* At or above this pH, or below this strength, beer is not safe by its own means: 21 CFR 114
 * draws the line for pH; that of the labels for the strength is a cautious choice of ours. */
static const double CAUTION_PH = ACIDITY_LOW_ACID_ABOVE;
static const double CAUTION_ABV = ALCOHOL_LOW_BELOW_ABV;

/* What the rows look at. */
struct facts {
    const struct finish_context *context;
    const struct finish *finish;
    const struct batch *batch;
    const struct cellar *cellar;
    const struct cellar_tank *tank; /* NULL: not known */
};

/* The last exact figure of a quantity in the course from a moment on, or NULL. */
static const struct figure *last_figure(const struct facts *facts, enum batch_reads reads,
                                        int64_t after)
{
    const struct batch_course *course = facts->finish->course;
    for (size_t i = course->readings.n; i-- > 0 && course->readings.items[i]->at.at >= after;) {
        const struct figure *figure = &course->readings.items[i]->figure[reads];
        if (figure_is_exact(figure))
            return figure;
    }
    return NULL;
}

/* The last event of a kind that the course had, or NULL. */
static const struct batch_event *last_event(const struct facts *facts, int what)
{
    return batch_course_last(facts->finish->course, 1U << what, facts->context->now);
}

/* True when there was such an event, and none of the other kind after it. */
static bool lasts(const struct facts *facts, int what, int until)
{
    const struct batch_event *last =
        batch_course_last(facts->finish->course, 1U << what | 1U << until, facts->context->now);
    return last != NULL && last->what == what;
}

static bool is_kind(const struct facts *facts, int kind)
{
    return facts->tank != NULL && facts->tank->kind == kind;
}

static bool can_be_carbonated_here(const struct facts *facts)
{
    return is_kind(facts, TANK_BRIGHT) || is_kind(facts, TANK_UNITANK);
}

/* A day after the last reading, so the next morning's round, or as seldom as the cellar file wants
 * this tank read; what is overdue is due now. */
static void due_after_reading(const struct facts *facts, struct next *next)
{
    const struct finish *finish = facts->finish;
    if (finish->last == NULL)
        return;
    next->has_at = true;
    double hours = 24;
    if (facts->tank != NULL && figure_is_exact(&facts->tank->every))
        hours = fmax(hours, facts->tank->every.value);
    int64_t at = finish->last->at + (int64_t)(hours * CIVIL_HOUR);
    next->at = at > facts->context->now ? at : facts->context->now;
}

/* Rows: each says whether its step is the one, and writes it. */

static bool is_held(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (!lasts(facts, EVENT_HOLD, EVENT_RELEASE))
        return false;
    buf_printf(step, "on hold: wait for the release");
    return true;
}

static bool brew(const struct facts *facts, struct buf *step, struct next *next)
{
    if (!facts->batch->has_zero || facts->batch->zero <= facts->context->now)
        return false;
    buf_printf(step, "brew");
    next->has_at = true;
    next->at = facts->batch->zero;
    return true;
}

static bool read_again(const struct facts *facts, struct buf *step, struct next *next)
{
    buf_printf(step, facts->finish->last == NULL ? "read gravity" : "read again");
    due_after_reading(facts, next);
    return true;
}

static bool read_twice(const struct facts *facts, struct buf *step, struct next *next)
{
    if (facts->finish->sound.risen == 0)
        return false;
    buf_printf(step, "take a fresh sample of this tank and read it twice");
    due_after_reading(facts, next);
    return true;
}

static bool force(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (facts->finish->days.n < 2 || !isnan(facts->finish->limit.high_plato))
        return false;
    if (facts->finish->limit.forced_high)
        buf_printf(step, "is it meant to end so high? then give the beer a terminal; else look at "
                         "mash and yeast");
    else
        buf_printf(step, "force a sample (stirred, warm) to learn where it should end");
    return true;
}

static bool start_it(const struct facts *facts, struct buf *step, struct next *next)
{
    int64_t hours = (facts->context->now - facts->batch->zero) / CIVIL_HOUR;
    if (!facts->batch->has_zero || (double)hours < PRACTICE[facts->batch->yeast].start_hours)
        return false;
    buf_printf(step, "slow start: look at temperature and yeast, read again");
    due_after_reading(facts, next);
    return true;
}

/* What a known tank would come to, closed now. NAN where something is not known. */
static double closed_pressure(const struct facts *facts)
{
    const struct finish *finish = facts->finish;
    const struct figure *temp = last_figure(facts, READS_TEMP, INT64_MIN);
    const struct figure *pressure = last_figure(facts, READS_PRESSURE, INT64_MIN);
    const struct figure volume = batch_course_volume(finish->course, 0); /* at most */
    if (!figure_is_exact(&facts->tank->capacity) || !figure_is_exact(&volume) || temp == NULL)
        return NAN;
    const struct carbonation_tank tank = {
        .original_plato = finish->original_plato,
        .now_plato = finish->last->plato,
        .end_plato = fmin(finish->limit.high_plato, finish->last->plato),
        .celsius = temp->value,
        .headspace = volumes_headspace(volume.value, facts->tank->capacity.value),
        .bar_gauge = pressure == NULL ? 0 : pressure->value,
        .bar_atmosphere = CARBONATION_SEA_LEVEL, /* the rise is the same at any height */
    };
    return carbonation_closed_pressure(&tank);
}

/* Only where something is left to ferment, and the name plate's pressure is known and far enough
 * away. */
static bool close_valve(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct finish *finish = facts->finish;
    if (isnan(finish->limit.high_plato) || limit_reached(&finish->limit, finish->last->plato, 0) ||
        lasts(facts, EVENT_CLOSE, EVENT_VENT) || facts->tank == NULL ||
        is_kind(facts, TANK_BRIGHT) || !figure_is_exact(&facts->tank->rated))
        return false;
    double rated = facts->tank->rated.value, bar = closed_pressure(facts);
    if (!(bar <= PRACTICE_SHARE_OF_RATED * rated))
        return false;
    struct buf caution = buf_new(facts->context->arena);
    buf_printf(step, "the valve can be closed: what is left makes ");
    words_value(step, facts->cellar, QUANTITY_PRESSURE, bar);
    buf_printf(&caution, "closing: rated ");
    words_value(&caution, facts->cellar, QUANTITY_PRESSURE, rated);
    buf_printf(&caution, " here; go by the name plate, and watch the relief valve");
    next->caution = caution.p;
    due_after_reading(facts, next);
    return true;
}

static bool count_days(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct finish *finish = facts->finish;
    int more = finish->days_needed - finish->days_steady;
    if (finish->days_steady < 1 || finish->trickle.is_trickling || more < 1 ||
        !limit_reached(&finish->limit, finish->last->plato, finish->limit.margin_plato))
        return false;
    buf_printf(step, "read again: %d more %s the same", more, more == 1 ? "day" : "days");
    due_after_reading(facts, next);
    return true;
}

static bool unstick(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (last_event(facts, EVENT_ROUSE) != NULL)
        buf_printf(step, "rousing did not help: force a sample, pitch active yeast");
    else
        buf_printf(step, "look at yeast and temperature; rouse, and force a sample");
    return true;
}

static bool hold_low(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)facts;
    (void)next;
    buf_printf(step, "hold; read with another meter; look for wild yeast or enzyme");
    return true;
}

/* Chilled well attenuated, or a blend, with no limit known: a forced sample tells whether it was
 * over. */
static bool force_chilled(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    bool is_blend = facts->batch->of.n > 0;
    if (!isnan(facts->finish->limit.high_plato) ||
        (!is_blend && !(facts->finish->adf_percent >= FINISH_LEAST_ADF)))
        return false;
    buf_printf(step, "do not package: force a sample (stirred, warm) to learn whether it was over");
    return true;
}

static bool warm_again(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)facts;
    (void)next;
    buf_printf(step, "do not package: warm it again and rouse, or ask");
    return true;
}

static bool confirm_low(const struct facts *facts, struct buf *step, struct next *next)
{
    if (!facts->finish->below_unconfirmed)
        return false;
    buf_printf(step, "read again: the last one alone is below the limit");
    due_after_reading(facts, next);
    return true;
}

static bool confirm_rest(const struct facts *facts, struct buf *step, struct next *next)
{
    if (!facts->finish->fall_unconfirmed)
        return false;
    buf_printf(step, "read again: the last one alone has moved");
    due_after_reading(facts, next);
    return true;
}

static bool confirm_end(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct finish *finish = facts->finish;
    (void)next;
    if (!finish->needs_confirm)
        return false;
    double end = finish->limit.high_plato;
    double grams = carbonation_from_extract(finish->original_plato, finish->last->plato, end);
    buf_printf(step, "confirm before packaging: ");
    words_gravity_difference(step, facts->cellar, end, finish->to_go_plato);
    buf_printf(step, " left");
    if (isfinite(grams)) {
        buf_printf(step, " can make ");
        words_value(step, facts->cellar, QUANTITY_CARBONATION, carbonation_vol(grams));
    }
    return true;
}

static bool confirm_refractometer(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (!facts->finish->last->by_refractometer)
        return false;
    buf_printf(step, "confirm with a hydrometer or density meter");
    return true;
}

/* Too little or too much gas; false where it is right, or no range is told. */
static bool say_gas(const struct facts *facts, const struct figure *figure, struct buf *step)
{
    const struct cellar_beer *type = facts->batch->type;
    if (type == NULL)
        return false;
    if (quantity_is_under(&type->carbonation, figure->value))
        buf_printf(step, "carbonate further: ");
    else if (quantity_is_over(&type->carbonation, figure->value))
        buf_printf(step, "let gas off: ");
    else
        return false;
    words_value(step, facts->cellar, QUANTITY_CARBONATION, figure->value);
    buf_printf(step, ", wants ");
    words_range(step, facts->cellar, QUANTITY_CARBONATION, &type->carbonation);
    return true;
}

static bool measure_carbonation(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct batch_event *carbonated = last_event(facts, EVENT_CARBONATE);
    (void)next;
    if (carbonated == NULL)
        return false;
    const struct figure *figure = last_figure(facts, READS_CARBONATION, carbonated->at.at);
    if (figure == NULL) {
        buf_printf(step, "measure the carbonation");
        return true;
    }
    return say_gas(facts, figure, step);
}

static bool package(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (last_event(facts, EVENT_CARBONATE) == NULL)
        return false;
    buf_printf(step, "package");
    return true;
}

/* What was read in this tank of beer at its end, where nobody gave gas: it was closed in time. */
static const struct figure *own_gas(const struct facts *facts)
{
    const struct cellar_beer *type = facts->batch->type;
    if (!can_be_carbonated_here(facts) || type == NULL || !type->carbonation.has_low)
        return NULL;
    int64_t filled = facts->finish->course->stay->from, end = facts->finish->end_at;
    const struct figure *figure =
        last_figure(facts, READS_CARBONATION, filled > end ? filled : end);
    return figure == NULL || quantity_is_under(&type->carbonation, figure->value) ? NULL : figure;
}

static bool let_gas_off(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct figure *figure = own_gas(facts);
    (void)next;
    return figure != NULL && say_gas(facts, figure, step);
}

static bool package_own_gas(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (own_gas(facts) == NULL)
        return false;
    buf_printf(step, "package");
    return true;
}

static bool carbonate(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (!can_be_carbonated_here(facts))
        return false;
    bool came_from_elsewhere = facts->finish->course->stay->from > facts->batch->zero + CIVIL_DAY;
    if (is_kind(facts, TANK_BRIGHT) && !came_from_elsewhere)
        return false;
    buf_printf(step, "carbonate");
    return true;
}

static void say_vdk(const struct facts *facts, const struct figure *vdk, struct buf *step)
{
    if (vdk->word == VDK_TRACE || vdk->word == VDK_FAIL) {
        buf_printf(step, "smelt \"%s\"", BATCH_VDK_WORDS[vdk->word - 1]);
        return;
    }
    buf_printf(step, vdk->censor == 0 ? "" : vdk->censor < 0 ? "<" : ">");
    words_value(step, facts->cellar, QUANTITY_VDK, vdk->value);
    buf_printf(step, ", wants ");
    words_range(step, facts->cellar, QUANTITY_VDK, &facts->batch->type->vdk);
}

static bool test_vdk(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct finish *finish = facts->finish;
    if (finish->chill.is_cold)
        return false;
    const struct figure *vdk =
        due_vdk_test(finish->course, due_vdk_from(finish), facts->context->now);
    if (vdk == NULL && !due_wants_vdk(facts->batch))
        return false;
    if (vdk == NULL) {
        buf_printf(step, "VDK sample, warmed and smelt, before it is chilled");
        next->has_at = true;
        next->at = facts->context->now;
        return true;
    }
    if (due_vdk_passed(facts->batch->type, vdk))
        return false;
    buf_printf(step, "VDK to come: ");
    say_vdk(facts, vdk, step);
    buf_printf(step, "; keep it warm, sample again");
    return true;
}

/* Cold or carbonated already, and the last test did not pass: there is no yeast at work to mend it,
 * and in the package it will be smelt. */
static bool vdk_is_left(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct finish *finish = facts->finish;
    (void)next;
    if (!finish->chill.is_cold && last_event(facts, EVENT_CARBONATE) == NULL)
        return false;
    const struct figure *vdk =
        due_vdk_test(finish->course, due_vdk_from(finish), facts->context->now);
    if (vdk == NULL || due_vdk_passed(facts->batch->type, vdk))
        return false;
    buf_printf(step, "do not package: VDK ");
    say_vdk(facts, vdk, step);
    buf_printf(step, "; warm and smell a sample again, or ask");
    return true;
}

static void say_cold(const struct facts *facts, struct buf *step)
{
    const struct cellar_beer *type = facts->batch->type;
    if (type != NULL && type->cold.state == FIGURE_SET) {
        buf_printf(step, " to ");
        words_range(step, facts->cellar, QUANTITY_TEMPERATURE, &type->cold);
    }
}

/* Whether beer of this temperature still has to get colder. */
static bool is_warm(const struct facts *facts, const struct figure *temp)
{
    static const struct range USUAL = {
        .state = FIGURE_SET, .has_high = true, .high = PRACTICE_COLD_HIGH};
    const struct cellar_beer *type = facts->batch->type;
    return quantity_is_over(type != NULL && type->cold.has_high ? &type->cold : &USUAL,
                            temp->value);
}

/* Of a fermenter two cold readings tell; beer was moved into a bright tank to be cold there. */
static bool is_cold_in_bright(const struct facts *facts)
{
    if (!is_kind(facts, TANK_BRIGHT))
        return false;
    const struct figure *temp = last_figure(facts, READS_TEMP, facts->finish->course->stay->from);
    return temp != NULL && !is_warm(facts, temp);
}

static bool chill(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    if (facts->finish->chill.is_cold || is_cold_in_bright(facts))
        return false;
    bool is_open = !lasts(facts, EVENT_CLOSE, EVENT_VENT) && !is_kind(facts, TANK_BRIGHT);
    buf_printf(step, is_open ? "close the valve, chill" : "chill");
    say_cold(facts, step);
    return true;
}

static bool wait_cold(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)next;
    const struct figure *temp = last_figure(facts, READS_TEMP, INT64_MIN);
    if (temp == NULL || !is_warm(facts, temp))
        return false;
    buf_printf(step, "wait until it is cold, now ");
    words_value(step, facts->cellar, QUANTITY_TEMPERATURE, temp->value);
    return true;
}

static bool dump_yeast(const struct facts *facts, struct buf *step, struct next *next)
{
    const struct batch_event *dumped = last_event(facts, EVENT_DUMP);
    (void)next;
    if (is_kind(facts, TANK_BRIGHT) || (dumped != NULL && dumped->at.at > facts->finish->chill.at))
        return false;
    buf_printf(step, "dump the yeast");
    return true;
}

static bool move(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)facts;
    (void)next;
    buf_printf(step, "move to a bright tank");
    return true;
}

static bool confirm_by_forcing(const struct facts *facts, struct buf *step, struct next *next)
{
    (void)facts;
    (void)next;
    buf_printf(step, "force a sample before chilling or packaging: no limit is known");
    return true;
}

/* The steps of each verdict, in the order in which they are asked; each may take for granted what
 * the rows before it were not the step for. A beer that is finished and warm is chilled first. */
static const struct row {
    enum finish_verdict verdict;
    enum next_kind kind;
    bool (*is_next)(const struct facts *facts, struct buf *step, struct next *next);
} ROWS[] = {
    {FINISH_NO_JUDGEMENT, NEXT_OTHER, brew},
    {FINISH_NO_JUDGEMENT, NEXT_NOTHING, is_held},
    {FINISH_NO_JUDGEMENT, NEXT_OTHER, read_twice},
    {FINISH_NO_JUDGEMENT, NEXT_OTHER, force},
    {FINISH_NO_JUDGEMENT, NEXT_READ, read_again},
    {FINISH_NOT_STARTED, NEXT_OTHER, start_it},
    {FINISH_NOT_STARTED, NEXT_READ, read_again},
    {FINISH_FERMENTING, NEXT_CLOSE, close_valve},
    {FINISH_FERMENTING, NEXT_READ, read_again},
    {FINISH_SLOWING, NEXT_OTHER, confirm_low},
    {FINISH_SLOWING, NEXT_READ, count_days},
    {FINISH_SLOWING, NEXT_CLOSE, close_valve},
    {FINISH_SLOWING, NEXT_READ, read_again},
    {FINISH_STUCK, NEXT_NOTHING, is_held},
    {FINISH_STUCK, NEXT_OTHER, unstick},
    {FINISH_BELOW_LIMIT, NEXT_NOTHING, is_held},
    {FINISH_BELOW_LIMIT, NEXT_OTHER, hold_low},
    {FINISH_CHILLED_EARLY, NEXT_NOTHING, is_held},
    {FINISH_CHILLED_EARLY, NEXT_OTHER, force_chilled},
    {FINISH_CHILLED_EARLY, NEXT_OTHER, warm_again},
    {FINISH_UNCONFIRMED, NEXT_NOTHING, is_held},
    {FINISH_UNCONFIRMED, NEXT_OTHER, confirm_by_forcing},
    {FINISH_FINISHED, NEXT_NOTHING, is_held},
    {FINISH_FINISHED, NEXT_OTHER, confirm_low},
    {FINISH_FINISHED, NEXT_OTHER, confirm_rest},
    {FINISH_FINISHED, NEXT_OTHER, confirm_refractometer},
    {FINISH_FINISHED, NEXT_OTHER, confirm_end},
    {FINISH_FINISHED, NEXT_VDK, vdk_is_left},
    {FINISH_FINISHED, NEXT_CARBONATE, measure_carbonation},
    {FINISH_FINISHED, NEXT_PACKAGE, package},
    {FINISH_FINISHED, NEXT_VDK, test_vdk},
    {FINISH_FINISHED, NEXT_CHILL, chill},
    {FINISH_FINISHED, NEXT_NOTHING, wait_cold},
    {FINISH_FINISHED, NEXT_CARBONATE, let_gas_off},
    {FINISH_FINISHED, NEXT_PACKAGE, package_own_gas},
    {FINISH_FINISHED, NEXT_CARBONATE, carbonate},
    {FINISH_FINISHED, NEXT_DUMP, dump_yeast},
    {FINISH_FINISHED, NEXT_MOVE, move},
};

/* Nothing that brings beer nearer to the drinker follows where it is to be held. A release, once it
 * came to its end, says that someone looked. */
static void hold_back(const struct facts *facts, struct next *next)
{
    static const bool ONWARD[] = {
        [NEXT_CARBONATE] = true, [NEXT_MOVE] = true, [NEXT_PACKAGE] = true};
    const struct batch_event *released = last_event(facts, EVENT_RELEASE);
    if ((size_t)next->kind >= sizeof ONWARD / sizeof ONWARD[0] || !ONWARD[next->kind] ||
        (released != NULL && released->at.at >= facts->finish->end_at))
        return;
    next->kind = NEXT_OTHER;
    next->step = "hold it until someone qualified releases it";
}

/* Beer that is not safe by its own acid and alcohol, said once it is at rest. */
static void add_caution(const struct facts *facts, struct next *next)
{
    const struct finish *finish = facts->finish;
    if (!FINISH_VERDICT[finish->verdict].is_over)
        return;
    const struct figure *ph = last_figure(facts, READS_PH, finish->end_at);
    struct buf caution = buf_new(facts->context->arena);
    if (ph != NULL && ph->value >= CAUTION_PH - 1e-9)
        buf_printf(&caution, "pH %.2f, at or above 4.6: hold it, ask someone qualified", ph->value);
    else if (finish->abv_percent < CAUTION_ABV)
        buf_printf(&caution, "only %.1f %% alcohol: hold it, ask someone qualified",
                   finish->abv_percent);
    if (caution.n == 0)
        return;
    next->caution = caution.p;
    hold_back(facts, next);
}

/* Too much oxygen for the package, by the last reading in this tank; a release says it may go. */
static void stop_for_oxygen(const struct facts *facts, struct next *next)
{
    if (next->kind != NEXT_PACKAGE || facts->batch->type == NULL)
        return;
    const struct range *limit = &facts->batch->type->oxygen;
    const struct batch_stay *stay = facts->finish->course->stay;
    const struct figure *oxygen =
        last_figure(facts, READS_OXYGEN, stay == NULL ? INT64_MIN : stay->from);
    const struct batch_event *released = last_event(facts, EVENT_RELEASE);
    if (oxygen == NULL || !quantity_is_over(limit, oxygen->value) ||
        (released != NULL && released->at.at >= facts->finish->end_at))
        return;
    struct buf step = buf_new(facts->context->arena);
    buf_printf(&step, "do not package: oxygen ");
    words_value(&step, facts->cellar, QUANTITY_OXYGEN, oxygen->value);
    buf_printf(&step, ", wants ");
    words_range(&step, facts->cellar, QUANTITY_OXYGEN, limit);
    buf_printf(&step, "; measure it again, or ask");
    next->kind = NEXT_OTHER;
    next->step = step.p;
}

struct next next_step(const struct finish_context *context, const struct finish *finish)
{
    const struct batch_stay *stay = finish->course->stay;
    struct facts facts = {context, finish, finish->course->batch, context->cellar, NULL};
    struct next next = {.step = "", .caution = ""};
    if (facts.batch->ended)
        return next;
    if (stay != NULL)
        facts.tank = cellar_tank(context->cellar, stay->tank);
    struct buf step = buf_new(context->arena);
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++)
        if (ROWS[i].verdict == finish->verdict && ROWS[i].is_next(&facts, &step, &next)) {
            next.kind = ROWS[i].kind;
            break;
        }
    if (step.p != NULL)
        next.step = step.p;
    stop_for_oxygen(&facts, &next);
    add_caution(&facts, &next);
    return next;
}
