#include "due.h"

#include "practice.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define WARM  (DUE_NOT_STARTED | DUE_FERMENTING | DUE_SLOWING | DUE_WRONG)
#define LATE  (DUE_COLD | DUE_BRIGHT)
#define EVERY (WARM | DUE_FINISHED | LATE)
#define TRADE "common practice, no source"

/* A forced (fast) fermentation has ended this long after brewing; it is worth setting one up for
 * a day. What nobody wrote down in five days was hardly made: to ask on is a nuisance (ours). */
#define FORCED_HOURS_READY 36.0
#define FORCED_HOURS_SET   24.0
#define FORCED_HOURS_LOST  120.0

/* While it still falls, diacetyl is asked for in last week's beers only. */
#define VDK_DAYS_FIRST 7

static int64_t days_between(const struct civil_zone *zone, int64_t from, int64_t to)
{
    return civil_day(zone, to) - civil_day(zone, from);
}

/* Whole days, and one at least. */
static double days_of(double hours)
{
    return fmax(1, round(hours / 24));
}

/* A smell without a figure is a result too. */
static bool is_read(const struct figure *figure)
{
    return figure->state == FIGURE_SET || (figure->state == FIGURE_ABSENT && figure->word != 0);
}

const struct reading *due_last_reading(const struct batch_course *course, int reads, int64_t at)
{
    for (size_t i = course->readings.n; i-- > 0;) {
        const struct reading *reading = course->readings.items[i];
        if (reading->at.at <= at && is_read(&reading->figure[reads]))
            return reading;
    }
    return NULL;
}

bool due_by_day(const struct civil_zone *zone, int64_t last, double every_hours, int64_t now)
{
    return (double)days_between(zone, last, now) >= days_of(every_hours);
}

/* Casks and barrels have no gauge. */
static bool has_gauge(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    return tank->kind != TANK_BARREL && tank->kind != TANK_CASK;
}

static bool has_vdk_limit(const struct batch *batch)
{
    return batch->type != NULL && batch->type->vdk.state == FIGURE_SET;
}

bool due_wants_vdk(const struct batch *batch)
{
    return has_vdk_limit(batch) || (!PRACTICE[batch->yeast].sours && batch->yeast != YEAST_NONE);
}

/* While it still falls, no beer without a limit is asked for it. */
static bool knows_vdk(const struct due_tank *tank)
{
    const struct batch *batch = tank->course->batch;
    return due_wants_vdk(batch) && (tank->phase != DUE_SLOWING || has_vdk_limit(batch));
}

bool due_vdk_passed(const struct cellar_beer *type, const struct figure *vdk)
{
    if (vdk->word != VDK_NOT_SMELT && vdk->word != VDK_PASS)
        return false;
    if (vdk->state != FIGURE_SET || type == NULL || type->vdk.state != FIGURE_SET ||
        !type->vdk.has_high)
        return true;
    return vdk->censor <= 0 && !quantity_is_over(&type->vdk, vdk->value);
}

int64_t due_vdk_from(const struct finish *finish)
{
    return finish->has_end ? finish->end_at - (int64_t)DUE_VDK_HOURS_BEFORE_END * CIVIL_HOUR
                           : INT64_MIN;
}

const struct figure *due_vdk_test(const struct batch_course *course, int64_t from, int64_t at)
{
    const struct reading *last = due_last_reading(course, READS_VDK, at);
    return last == NULL || last->at.at < from ? NULL : &last->figure[READS_VDK];
}

static bool vdk_is_untested(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    const struct batch *batch = tank->course->batch;
    bool is_of_age =
        tank->phase != DUE_SLOWING ||
        (batch->has_zero && days_between(tank->zone, batch->zero, tank->now) >= VDK_DAYS_FIRST);
    return is_of_age && knows_vdk(tank) &&
           due_vdk_test(tank->course, tank->vdk_from, tank->now) == NULL;
}

static bool vdk_has_failed(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    const struct figure *last = due_vdk_test(tank->course, tank->vdk_from, tank->now);
    return last != NULL && !due_vdk_passed(tank->course->batch->type, last);
}

/* When the beer last came into its tank or was carbonated. */
static int64_t last_change(const struct due_tank *tank)
{
    const struct batch_course *course = tank->course;
    const struct batch_event *event = batch_course_last(course, 1U << EVENT_CARBONATE, tank->now);
    int64_t from = course->stay == NULL ? INT64_MIN : course->stay->from;
    return event != NULL && event->at.at > from ? event->at.at : from;
}

/* No figure within the beer's limits since the beer was moved or carbonated. */
static bool is_unproved(const struct due_tank *tank, const struct due_rule *rule)
{
    const struct cellar_beer *type = tank->course->batch->type;
    const struct reading *last = due_last_reading(tank->course, rule->reads, tank->now);
    if (last == NULL || last->at.at < last_change(tank))
        return true;
    if (type == NULL)
        return false;
    const struct range *range =
        rule->reads == READS_CARBONATION ? &type->carbonation : &type->oxygen;
    double value = last->figure[rule->reads].value;
    return quantity_is_under(range, value) || quantity_is_over(range, value);
}

static bool gravity_is_open(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    return tank->is_open;
}

/* A blend, or beer that the book began with. */
static bool was_never_read(const struct due_tank *tank, const struct due_rule *rule)
{
    return due_last_reading(tank->course, rule->reads, tank->now) == NULL;
}

static bool forced_is_wanted(const struct due_tank *tank)
{
    const struct batch *batch = tank->course->batch;
    return batch->has_zero && batch->forced.n == 0 && batch->of.n == 0 &&
           batch->yeast != YEAST_NONE && !PRACTICE[batch->yeast].sours;
}

/* Of a beer with a day zero. */
static double age_hours(const struct due_tank *tank)
{
    return (double)(tank->now - tank->course->batch->zero) / CIVIL_HOUR;
}

static bool forced_is_to_set(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    return forced_is_wanted(tank) && age_hours(tank) < FORCED_HOURS_SET;
}

static bool forced_is_ready(const struct due_tank *tank, const struct due_rule *rule)
{
    (void)rule;
    return forced_is_wanted(tank) && age_hours(tank) >= FORCED_HOURS_READY &&
           age_hours(tank) < FORCED_HOURS_LOST;
}

const struct due_rule DUE_RULES[] = {
    {READS_TEMP, 0, EVERY, 1, NULL, "every tank, every day", TRADE},
    {READS_PRESSURE, 0, EVERY, 1, has_gauge, "every tank, every day", TRADE},
    {READS_GRAVITY, 0, WARM, 1, NULL, "daily until finished", TRADE},
    {READS_PH, 0, WARM, 1, NULL, "daily until finished", TRADE},
    {READS_GRAVITY, 0, DUE_FINISHED | LATE, 1, gravity_is_open, "the next step asks for it", TRADE},
    {READS_PH, 0, DUE_BRIGHT, 1, was_never_read, "not read yet", TRADE},
    {READS_VDK, 0, DUE_SLOWING | DUE_FINISHED, 1, vdk_is_untested, "not tested yet", TRADE},
    {READS_VDK, 0, DUE_SLOWING | DUE_FINISHED | LATE, 2, vdk_has_failed,
     "the last test did not pass", TRADE},
    {READS_CARBONATION, 0, DUE_BRIGHT, 1, is_unproved, "until within its limits", TRADE},
    {READS_CARBONATION, 0, DUE_BRIGHT, 3, NULL, "every third day", TRADE},
    {READS_OXYGEN, 0, DUE_BRIGHT, 1, is_unproved, "until within its limits", TRADE},
    {READS_OXYGEN, 0, DUE_BRIGHT, 3, NULL, "every third day", TRADE},
    {.reads = READS_COUNT,
     .task = DUE_FORCED_SET,
     .phases = WARM,
     .when = forced_is_to_set,
     .why = "set a forced sample aside",
     .source = TRADE},
    {.reads = READS_COUNT,
     .task = DUE_FORCED_READ,
     .phases = WARM,
     .when = forced_is_ready,
     .why = "read the forced sample (ready 36 to 48 h after brewing)",
     .source = TRADE},
};
const size_t DUE_RULE_COUNT = COUNT(DUE_RULES);

static bool is_due(const struct due_tank *tank, const struct due_rule *rule)
{
    if ((rule->phases & (unsigned)tank->phase) == 0)
        return false;
    if (rule->reads != READS_COUNT) {
        const struct reading *last = due_last_reading(tank->course, rule->reads, tank->now);
        double every_days = fmax(rule->every_days, days_of(tank->every_hours));
        bool is_daily = rule->every_days == 1 && tank->is_asked;
        if (!is_daily && last != NULL &&
            (double)days_between(tank->zone, last->at.at, tank->now) < every_days)
            return false;
    }
    return rule->when == NULL || rule->when(tank, rule);
}

/* When the round last came to this beer. */
static const struct reading *last_visit(const struct due_tank *tank)
{
    for (size_t i = tank->course->readings.n; i-- > 0;)
        if (tank->course->readings.items[i]->at.at <= tank->now)
            return tank->course->readings.items[i];
    return NULL;
}

struct due due_today(const struct due_tank *tank)
{
    struct due due = {0};
    const struct reading *visit = last_visit(tank);
    int64_t today = civil_day(tank->zone, tank->now);
    double every_days = days_of(tank->every_hours);
    if (visit != NULL) {
        int64_t day = civil_day(tank->zone, visit->at.at);
        due.is_read_today = day == today;
        due.next_day = day + (int64_t)every_days;
    }
    if (!tank->is_asked && every_days > 1 && visit != NULL && due.next_day > today)
        return due; /* a barrel seen last week is left alone, whatever was not read then */
    for (size_t i = 0; i < DUE_RULE_COUNT; i++) {
        const struct due_rule *rule = &DUE_RULES[i];
        if (!is_due(tank, rule))
            continue;
        if (rule->reads == READS_COUNT) {
            due.tasks |= rule->task;
            due.task_because = rule;
        } else if (due.because[rule->reads] == NULL) {
            due.reads |= 1U << rule->reads;
            due.because[rule->reads] = rule;
        }
    }
    return due;
}

bool due_is_open(const struct finish *finish)
{
    return finish->last == NULL || !FINISH_VERDICT[finish->verdict].is_over ||
           finish->fall_unconfirmed || finish->below_unconfirmed;
}

enum due_phase due_phase_of(const struct finish *finish, int tank_kind, int64_t now)
{
    static const enum due_phase PHASES[FINISH_VERDICTS] = {
        [FINISH_NOT_STARTED] = DUE_NOT_STARTED, [FINISH_FERMENTING] = DUE_FERMENTING,
        [FINISH_SLOWING] = DUE_SLOWING,         [FINISH_FINISHED] = DUE_FINISHED,
        [FINISH_UNCONFIRMED] = DUE_SLOWING,     [FINISH_STUCK] = DUE_WRONG,
        [FINISH_BELOW_LIMIT] = DUE_WRONG,       [FINISH_CHILLED_EARLY] = DUE_WRONG,
        [FINISH_NO_JUDGEMENT] = DUE_FERMENTING,
    };
    enum due_phase phase = PHASES[finish->verdict];
    if (phase == DUE_WRONG)
        return phase;
    if (tank_kind == TANK_BRIGHT ||
        batch_course_last(finish->course, 1U << EVENT_CARBONATE, now) != NULL)
        return DUE_BRIGHT;
    if (phase == DUE_FINISHED && finish->needs_confirm)
        return DUE_SLOWING;
    return phase == DUE_FINISHED && finish->chill.is_cold ? DUE_COLD : phase;
}
