#include "check_scope.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    BEFORE_BREWING = 12 * CIVIL_HOUR, /* wort is tasted and read before it is in the tank */
    LONGEST_GAP = 12 * CIVIL_HOUR,
    LONGEST_MOVE = CIVIL_DAY,
    FORCED_DAYS = 14
};

/* Volumes are read off a sight glass: part of them by which they may differ. */
static const double VOLUME_TOLERANCE = 0.02, VOLUME_LOSS = 0.15;

/* Times. */

static void check_time(const struct scope *s, const struct moment *moment, int64_t begin)
{
    char then[CIVIL_TEXT_SIZE], brewed[CIVIL_TEXT_SIZE];
    check_not_future(s->check, s->batch->source, moment);
    if (moment->set && begin != INT64_MIN && moment->at < begin - BEFORE_BREWING)
        diag_add(s->diags, check_at(s, moment->node), RULE_BEFORE_BREWING,
                 "%s lies before the batch was brewed, %s: check the date",
                 check_minute_text(s, moment->at, then), check_minute_text(s, begin, brewed));
}

static int64_t begin_of(const struct batch *batch)
{
    int64_t begin = batch->brewed.set ? batch->brewed.at : INT64_MAX;
    for (size_t i = 0; i < batch->brews.n; i++)
        if (batch->brews.items[i].at.set && batch->brews.items[i].at.at < begin)
            begin = batch->brews.items[i].at.at;
    return begin == INT64_MAX ? INT64_MIN : begin;
}

static void check_times(const struct scope *s)
{
    const struct batch *batch = s->batch;
    int64_t begin = begin_of(batch);
    for (size_t i = 0; i < batch->readings.n; i++)
        check_time(s, &batch->readings.items[i].at, begin);
    for (size_t i = 0; i < batch->events.n; i++)
        check_time(s, &batch->events.items[i].at, begin);
    for (size_t i = 0; i < batch->forced.n; i++)
        check_time(s, &batch->forced.items[i].at, begin);
    for (size_t i = 0; i < batch->seen.n; i++)
        check_time(s, &batch->seen.items[i].at, begin);
}

/* Tanks. */

static void check_stay_times(const struct scope *s, int64_t begin)
{
    char from[CIVIL_TEXT_SIZE], to[CIVIL_TEXT_SIZE];
    for (size_t i = 0; i < s->batch->tanks.n; i++) {
        const struct batch_tank *entry = &s->batch->tanks.items[i];
        check_tank_name(s->check, s->batch->source, entry->tank);
        if (entry->from.set && begin != INT64_MIN && entry->from.at < begin - BEFORE_BREWING)
            diag_add(s->diags, check_at(s, entry->from.node), RULE_BEFORE_BREWING,
                     "%s lies before the batch was brewed, %s: check the date",
                     check_minute_text(s, entry->from.at, from), check_minute_text(s, begin, to));
        if (entry->from.set && entry->to.set && entry->to.at < entry->from.at)
            diag_add(s->diags, check_at(s, entry->to.node), RULE_TIME_ORDER,
                     "it leaves the tank (%s) before it comes (%s): swap them, or check the date",
                     check_minute_text(s, entry->to.at, to),
                     check_minute_text(s, entry->from.at, from));
    }
}

static void check_gap(const struct scope *s)
{
    char left[CIVIL_TEXT_SIZE], came[CIVIL_TEXT_SIZE];
    const struct batch_stay *last = NULL;
    for (size_t i = 0; i < s->batch->stays.n; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (stay->to < stay->from)
            continue;
        if (last != NULL && last->to != BATCH_OPEN_END && stay->from - last->to > LONGEST_GAP)
            diag_add(s->diags, check_at(s, stay->entry->from.node), RULE_GAP,
                     "the beer left %s at %s and came into %s at %s: where was it between?",
                     check_shown(s, last->tank), check_minute_text(s, last->to, left),
                     check_shown(s, stay->tank), check_minute_text(s, stay->from, came));
        if (last == NULL || stay->to > last->to)
            last = stay;
    }
}

/* The volume that came into a tank: as its entry says, or the batch's for its first tank. */
static const struct figure *volume_of(const struct scope *s, size_t index)
{
    const struct batch_stay *stay = &s->batch->stays.items[index];
    if (stay->entry->volume.state != FIGURE_ABSENT)
        return &stay->entry->volume;
    bool alone =
        index == 0 && (s->batch->stays.n == 1 || s->batch->stays.items[1].from > stay->from);
    return alone ? &s->batch->volume : &stay->entry->volume;
}

static void check_capacity(const struct scope *s)
{
    const double slack = 1.005;
    for (size_t i = 0; i < s->batch->stays.n; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        const struct figure *volume = volume_of(s, i);
        const struct cellar_tank *tank = cellar_tank(s->check->cellar, stay->tank);
        if (tank == NULL || !figure_is_exact(volume) || !figure_is_exact(&tank->capacity) ||
            volume->value <= tank->capacity.value * slack)
            continue;
        diag_add(
            s->diags, check_at(s, volume->node), RULE_CAPACITY,
            "volume \"%s\" does not fit into %s, which holds %s: check the figure and its unit",
            check_written(s, volume), check_shown(s, stay->tank),
            check_in_unit_of(s, QUANTITY_VOLUME, tank->capacity.value, volume));
    }
}

/* Two stays that last beside each other, not only while the beer is pumped over. */
static bool is_split(const struct batch_stay *a, const struct batch_stay *b)
{
    if (str_eq(a->tank, b->tank))
        return false;
    int64_t from = a->from > b->from ? a->from : b->from, to = a->to < b->to ? a->to : b->to;
    return to > from && to - from > LONGEST_MOVE;
}

static void check_split(const struct scope *s)
{
    const struct batch *batch = s->batch;
    for (size_t i = 1; i < batch->stays.n && batch->stays.n <= CHECK_MOST_STAYS; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        double sum = stay->entry->volume.value;
        const struct batch_stay *without = NULL;
        size_t others = 0;
        for (size_t k = 0; k < i; k++) {
            const struct batch_stay *other = &batch->stays.items[k];
            if (!is_split(stay, other))
                continue;
            others++;
            sum += other->entry->volume.value;
            if (!figure_is_exact(&other->entry->volume))
                without = other;
        }
        if (!figure_is_exact(&stay->entry->volume))
            without = stay;
        if (others == 0)
            continue;
        if (without != NULL)
            diag_add(s->diags, check_at(s, without->entry->node), RULE_ADDS_UP,
                     "the batch is in two tanks at once (%s): write volume: in the entry of each",
                     check_tank_list(s, stay->from));
        else if (figure_is_exact(&batch->volume) &&
                 sum > batch->volume.value * (1 + VOLUME_TOLERANCE))
            diag_add(s->diags, check_at(s, stay->entry->volume.node), RULE_ADDS_UP,
                     "the tanks %s hold %s together, the batch is \"%s\": check the volumes",
                     check_tank_list(s, stay->from),
                     check_in_unit_of(s, QUANTITY_VOLUME, sum, &batch->volume),
                     check_written(s, &batch->volume));
    }
}

static const struct batch_stay *stay_near(const struct scope *s, struct str tank, int64_t moment,
                                          int64_t slack)
{
    for (size_t i = 0; i < s->batch->stays.n; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (str_eq(stay->tank, tank) && moment >= stay->from - slack &&
            (stay->to == BATCH_OPEN_END || moment <= stay->to + slack))
            return stay;
    }
    return NULL;
}

void check_where(const struct scope *s, const struct doc_node *tank, const struct moment *moment)
{
    char text[CIVIL_TEXT_SIZE];
    if (tank == NULL)
        return;
    if (cellar_tank(s->check->cellar, tank->text) == NULL) {
        check_tank_name(s->check, s->batch->source, tank);
        return;
    }
    if (!moment->set || stay_near(s, tank->text, moment->at, CHECK_NEAR_STAY) != NULL)
        return;
    diag_add(s->diags, check_at(s, tank), RULE_WHERE,
             "the batch is not in %s at %s (in: %s): check the tank, the date, and tanks:",
             check_shown(s, tank->text), check_minute_text(s, moment->at, text),
             check_tank_list(s, moment->at));
}

static void check_move(const struct scope *s, const struct batch_event *event)
{
    if (event->to == NULL)
        return;
    if (cellar_tank(s->check->cellar, event->to->text) == NULL) {
        check_tank_name(s->check, s->batch->source, event->to);
        return;
    }
    for (size_t i = 0; i < s->batch->stays.n && event->at.set; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (str_eq(stay->tank, event->to->text) &&
            llabs((long long)(stay->from - event->at.at)) <= LONGEST_MOVE)
            return;
    }
    char text[CIVIL_TEXT_SIZE];
    if (event->at.set)
        diag_add(s->diags, check_at(s, event->to), RULE_MOVE,
                 "tanks: has no entry for this move: write - {tank: %s, from: %s} there",
                 check_shown(s, event->to->text), check_minute_text(s, event->at.at, text));
}

/* Volumes. */

static void check_sum(const struct scope *s, const struct figure *total, double sum,
                      const struct doc_node *node, const char *what)
{
    if (!figure_is_exact(total) || isnan(sum))
        return;
    double slack = total->step;
    if (total->value <= sum * (1 + VOLUME_TOLERANCE) + slack &&
        total->value >= sum * (1 - VOLUME_LOSS) - slack)
        return;
    diag_add(s->diags, check_at(s, node), RULE_ADDS_UP,
             "volume \"%s\", but its %s make %s together: check the volumes and their units",
             check_written(s, total), what, check_in_unit_of(s, QUANTITY_VOLUME, sum, total));
}

static void check_turns(const struct scope *s)
{
    double sum = 0;
    for (size_t i = 0; i < s->batch->brews.n; i++) {
        const struct figure *volume = &s->batch->brews.items[i].volume;
        sum += figure_is_exact(volume) ? volume->value : NAN;
    }
    if (s->batch->brews.n > 0)
        check_sum(s, &s->batch->volume, sum, s->batch->volume.node, "turns (brews:)");
    sum = 0;
    for (size_t i = 0; i < s->batch->of.n; i++) {
        const struct figure *volume = &s->batch->of.items[i].volume;
        sum += figure_is_exact(volume) ? volume->value : NAN;
    }
    if (s->batch->of.n > 0)
        check_sum(s, &s->batch->volume, sum, s->batch->volume.node, "parts (of:)");
}

static void check_package(const struct scope *s, const struct batch_event *event)
{
    double sum = 0;
    for (size_t i = 0; i < event->containers.n; i++) {
        const struct batch_container *container = &event->containers.items[i];
        bool told = figure_is_exact(&container->size) && container->count.set;
        sum += told ? container->size.value * (double)container->count.n : NAN;
    }
    if (event->containers.n > 0)
        check_sum(s, &event->volume, sum, event->volume.node, "containers");
}

static void check_events(const struct scope *s)
{
    for (size_t i = 0; i < s->batch->events.n; i++) {
        const struct batch_event *event = &s->batch->events.items[i];
        if (event->what == EVENT_CLEAN)
            check_tank_name(s->check, s->batch->source, event->tank);
        else
            check_where(s, event->tank, &event->at);
        check_move(s, event);
        check_package(s, event);
        check_tank_pressure(s->check, s->batch->source, "pressure", &event->pressure);
    }
}

/* Forced values. */

static void check_forced(const struct scope *s, int64_t begin)
{
    const struct figure *original = &s->batch->used_original;
    char text[CIVIL_TEXT_SIZE];
    for (size_t i = 0; i < s->batch->forced.n; i++) {
        const struct batch_forced *forced = &s->batch->forced.items[i];
        if (figure_is_exact(&forced->gravity) && figure_is_exact(original) &&
            forced->gravity.value >= original->value)
            diag_add(s->diags, check_at(s, forced->gravity.node), RULE_FORCED,
                     "a forced value of \"%s\" is no lower than the original, %s: check the figure",
                     check_written(s, &forced->gravity),
                     check_in_unit_of(s, QUANTITY_GRAVITY, original->value, &forced->gravity));
        if (forced->at.set && begin != INT64_MIN &&
            forced->at.at > begin + (int64_t)FORCED_DAYS * CIVIL_DAY)
            diag_add_level(s->diags, check_at(s, forced->at.node), RULE_FORCED, DIAG_WARNING,
                           "%s is over %d days after the brewing; a forced fermentation takes two: "
                           "check the date",
                           check_minute_text(s, forced->at.at, text), FORCED_DAYS);
    }
}

/* How it is written. */

static void check_form(const struct scope *s)
{
    const struct batch *batch = s->batch;
    static const char *const LISTS[] = {"readings", "events", "tanks", NULL};
    const struct doc_node *readings = doc_get(batch->node, "readings");
    if (readings != NULL && readings->next != NULL)
        diag_add(s->diags, check_at(s, readings->key), RULE_READINGS_LAST,
                 "readings: should be the last key: new readings are added at its end");
    if (batch->number != NULL && s->file->stream.count == 1 &&
        check_name_differs(batch->source, batch->number->text))
        diag_add(s->diags, check_at(s, batch->number), RULE_FILE_NAME,
                 "the file is named for another batch than %s: rename it, or mend the number",
                 check_shown(s, batch->number->text));
    if (s->diags->level[RULE_BLOCK_ENTRY] == DIAG_OFF)
        return;
    for (size_t i = 0; LISTS[i] != NULL; i++) {
        const struct doc_node *list = doc_get(batch->node, LISTS[i]);
        for (const struct doc_node *n = list == NULL ? NULL : list->first; n != NULL; n = n->next)
            if (n->kind == DOC_MAP && !n->flow)
                diag_add(s->diags, check_at(s, n), RULE_BLOCK_ENTRY,
                         "write this entry on one line, as - {at: ..., ...}");
    }
}

void check_batch(const struct check *check, const struct book_file *file, const struct batch *batch)
{
    struct scope s = {check, file, batch, check->diags};
    int64_t begin = begin_of(batch);
    check_times(&s);
    check_stay_times(&s, begin);
    check_gap(&s);
    check_capacity(&s);
    check_split(&s);
    check_turns(&s);
    check_events(&s);
    check_forced(&s, begin);
    check_readings(&s);
    check_conflicts(&s);
    check_seen(check, batch);
    check_steps(&s);
    check_form(&s);
}
