#include "check_rules.h"
#include "order.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    BEFORE_BREWING = 12 * CIVIL_HOUR, /* wort is tasted and read before it is in the tank */
    NEAR_STAY = CIVIL_HOUR,           /* the entry of a move and the reading beside it */
    LONGEST_GAP = 12 * CIVIL_HOUR,
    LONGEST_MOVE = CIVIL_DAY,
    SEEN_WITHIN = 2 * CIVIL_DAY,
    FORCED_DAYS = 14,
    MOST_STAYS = 64 /* beyond it, stays are not compared with each other */
};

/* Volumes are read off a sight glass: part of them by which they may differ. */
static const double VOLUME_TOLERANCE = 0.02, VOLUME_LOSS = 0.15;
static const double HOTTEST_CELSIUS = 45, ABOVE_ORIGINAL_PLATO = 1;

struct scope {
    const struct check *check;
    const struct book_file *file;
    const struct batch *batch;
    struct diags *diags;
};

static struct place at(const struct scope *s, const struct doc_node *node)
{
    return doc_place(s->batch->source, node);
}

static const char *shown(const struct scope *s, struct str text)
{
    return str_shown(s->diags->arena, text);
}

static const char *minute(const struct scope *s, int64_t moment, char text[CIVIL_TEXT_SIZE])
{
    return civil_minute(s->check->cellar->zone, moment, text);
}

/* A figure as written, for messages. */
static const char *written(const struct scope *s, const struct figure *figure)
{
    return figure->node == NULL ? "" : shown(s, figure->node->text);
}

/* A library value in the unit that a figure was written in. */
static const char *in_unit_of(const struct scope *s, enum quantity quantity, double value,
                              const struct figure *figure)
{
    struct buf buf = buf_new(s->diags->arena);
    quantity_write(&buf, quantity, value, figure->unit, -1);
    return buf.p;
}

static const char *tank_list(const struct scope *s, int64_t moment)
{
    struct buf buf = buf_new(s->diags->arena);
    for (size_t i = 0; i < s->batch->stays.n && i < MOST_STAYS; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (moment >= stay->from && moment < stay->to)
            buf_printf(&buf, "%s%s", buf.n == 0 ? "" : " and ", shown(s, stay->tank));
    }
    return buf.n == 0 ? "none" : buf.p;
}

/* seen: entries acknowledge odd figures that were read up to two days before. */
static bool is_seen(const struct scope *s, enum rule rule, const struct reading *reading)
{
    for (size_t i = 0; i < s->batch->seen.n; i++) {
        const struct batch_seen *seen = &s->batch->seen.items[i];
        if (seen->rule == NULL || !str_is(seen->rule->text, RULES[rule].name) || !seen->at.set ||
            (seen->tank != NULL && !str_eq(seen->tank->text, reading->where)))
            continue;
        int64_t later = seen->at.at - reading->at.at;
        if (later >= 0 && later <= SEEN_WITHIN)
            return true;
    }
    return false;
}

/* Times. */

static void check_time(const struct scope *s, const struct moment *moment, int64_t begin)
{
    char then[CIVIL_TEXT_SIZE], brewed[CIVIL_TEXT_SIZE];
    check_not_future(s->check, s->batch->source, moment);
    if (moment->set && begin != INT64_MIN && moment->at < begin - BEFORE_BREWING)
        diag_add(s->diags, at(s, moment->node), RULE_BEFORE_BREWING,
                 "%s lies before the batch was brewed, %s: check the date",
                 minute(s, moment->at, then), minute(s, begin, brewed));
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
            diag_add(s->diags, at(s, entry->from.node), RULE_BEFORE_BREWING,
                     "%s lies before the batch was brewed, %s: check the date",
                     minute(s, entry->from.at, from), minute(s, begin, to));
        if (entry->from.set && entry->to.set && entry->to.at < entry->from.at)
            diag_add(s->diags, at(s, entry->to.node), RULE_TIME_ORDER,
                     "it leaves the tank (%s) before it comes (%s): swap them, or check the date",
                     minute(s, entry->to.at, to), minute(s, entry->from.at, from));
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
            diag_add(s->diags, at(s, stay->entry->from.node), RULE_GAP,
                     "the beer left %s at %s and came into %s at %s: where was it between?",
                     shown(s, last->tank), minute(s, last->to, left), shown(s, stay->tank),
                     minute(s, stay->from, came));
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
            s->diags, at(s, volume->node), RULE_CAPACITY,
            "volume \"%s\" does not fit into %s, which holds %s: check the figure and its unit",
            written(s, volume), shown(s, stay->tank),
            in_unit_of(s, QUANTITY_VOLUME, tank->capacity.value, volume));
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
    for (size_t i = 1; i < batch->stays.n && batch->stays.n <= MOST_STAYS; i++) {
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
            diag_add(s->diags, at(s, without->entry->node), RULE_ADDS_UP,
                     "the batch is in two tanks at once (%s): write volume: in the entry of each",
                     tank_list(s, stay->from));
        else if (figure_is_exact(&batch->volume) &&
                 sum > batch->volume.value * (1 + VOLUME_TOLERANCE))
            diag_add(s->diags, at(s, stay->entry->volume.node), RULE_ADDS_UP,
                     "the tanks %s hold %s together, the batch is \"%s\": check the volumes",
                     tank_list(s, stay->from), in_unit_of(s, QUANTITY_VOLUME, sum, &batch->volume),
                     written(s, &batch->volume));
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

/* A tank that is named must hold the batch at that moment. */
static void check_where(const struct scope *s, const struct doc_node *tank,
                        const struct moment *moment)
{
    char text[CIVIL_TEXT_SIZE];
    if (tank == NULL)
        return;
    if (cellar_tank(s->check->cellar, tank->text) == NULL) {
        check_tank_name(s->check, s->batch->source, tank);
        return;
    }
    if (!moment->set || stay_near(s, tank->text, moment->at, NEAR_STAY) != NULL)
        return;
    diag_add(s->diags, at(s, tank), RULE_WHERE,
             "the batch is not in %s at %s (in: %s): check the tank, the date, and tanks:",
             shown(s, tank->text), minute(s, moment->at, text), tank_list(s, moment->at));
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
        diag_add(s->diags, at(s, event->to), RULE_MOVE,
                 "tanks: has no entry for this move: write - {tank: %s, from: %s} there",
                 shown(s, event->to->text), minute(s, event->at.at, text));
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
    diag_add(s->diags, at(s, node), RULE_ADDS_UP,
             "volume \"%s\", but its %s make %s together: check the volumes and their units",
             written(s, total), what, in_unit_of(s, QUANTITY_VOLUME, sum, total));
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
            diag_add(s->diags, at(s, forced->gravity.node), RULE_FORCED,
                     "a forced value of \"%s\" is no lower than the original, %s: check the figure",
                     written(s, &forced->gravity),
                     in_unit_of(s, QUANTITY_GRAVITY, original->value, &forced->gravity));
        if (forced->at.set && begin != INT64_MIN &&
            forced->at.at > begin + (int64_t)FORCED_DAYS * CIVIL_DAY)
            diag_add_level(s->diags, at(s, forced->at.node), RULE_FORCED, DIAG_WARNING,
                           "%s is over %d days after the brewing; a forced fermentation takes two: "
                           "check the date",
                           minute(s, forced->at.at, text), FORCED_DAYS);
    }
}

/* Readings. */

static void check_meter(const struct scope *s, const struct reading *reading, size_t q)
{
    const struct doc_node *name = reading->meter[q];
    const struct figure *figure = &reading->figure[q];
    const struct batch_column *column = &BATCH_COLUMNS[q];
    const struct cellar_meter *meter = check_meter_name(s->check, s->batch->source, name);
    if (name == NULL || meter == NULL)
        return;
    if (figure->node == NULL)
        diag_add_level(s->diags, at(s, name), RULE_METER, DIAG_WARNING,
                       "%s-meter: without %s: is the figure missing?", column->key, column->key);
    enum quantity reads = cellar_reads_quantity(meter->reads);
    if (meter->reads != 0 && reads != column->quantity)
        diag_add(s->diags, at(s, name), RULE_METER, "%s reads %s, not %s: name the %s meter",
                 shown(s, name->text), QUANTITIES[reads].name, column->key, column->key);
    else if (figure_is_exact(figure) && meter->range.state == FIGURE_SET &&
             ((meter->range.has_low && figure->value < meter->range.low - figure->step / 2) ||
              (meter->range.has_high && figure->value > meter->range.high + figure->step / 2))) {
        struct buf range = buf_new(s->diags->arena);
        quantity_write_range(&range, &meter->range, NULL);
        diag_add(
            s->diags, at(s, figure->node), RULE_METER_RANGE,
            "%s \"%s\" is off the scale of %s, %s: write it with < or >, or name another meter",
            column->key, written(s, figure), shown(s, name->text), range.p);
    }
}

static void check_gravity(const struct scope *s, const struct reading *reading, int64_t raised)
{
    const struct figure *figure = &reading->figure[READS_GRAVITY];
    const struct figure *original = &s->batch->used_original;
    if (!figure_is_exact(figure) || !figure_is_exact(original) || reading->at.at >= raised ||
        figure->value <= original->value + ABOVE_ORIGINAL_PLATO)
        return;
    if (!is_seen(s, RULE_HIGH_GRAVITY, reading))
        diag_add(s->diags, at(s, figure->node), RULE_HIGH_GRAVITY,
                 "gravity \"%s\" is above the original, %s: check the figure and its unit",
                 written(s, figure), in_unit_of(s, QUANTITY_GRAVITY, original->value, figure));
}

static void check_temperature(const struct scope *s, const struct reading *reading)
{
    const struct figure *figure = &reading->figure[READS_TEMP];
    if (!figure_is_exact(figure) || figure->value <= HOTTEST_CELSIUS ||
        is_seen(s, RULE_HOT, reading))
        return;
    double as_fahrenheit = (figure->written - 32) * 5 / 9;
    if (as_fahrenheit < HOTTEST_CELSIUS && as_fahrenheit > -5)
        diag_add(s->diags, at(s, figure->node), RULE_HOT,
                 "temp \"%s\" is too hot for beer in a tank; if the meter showed F, write %g F "
                 "(%.1f C)",
                 written(s, figure), figure->written, as_fahrenheit);
    else
        diag_add(s->diags, at(s, figure->node), RULE_HOT,
                 "temp \"%s\" is too hot for beer in a tank: check the figure and its unit",
                 written(s, figure));
}

static void check_pressure(const struct scope *s, const struct reading *reading)
{
    const struct figure *figure = &reading->figure[READS_PRESSURE];
    const struct cellar_tank *tank = cellar_tank(s->check->cellar, reading->where);
    if (!check_tank_pressure(s->check, s->batch->source, BATCH_COLUMNS[READS_PRESSURE].key,
                             figure) ||
        !figure_is_exact(figure) || tank == NULL || !figure_is_exact(&tank->rated) ||
        figure->value <= tank->rated.value + figure->step / 2 ||
        is_seen(s, RULE_HIGH_PRESSURE, reading))
        return;
    diag_add(
        s->diags, at(s, figure->node), RULE_HIGH_PRESSURE,
        "pressure \"%s\" in %s, which is rated for %s: check the figure; if it is true, see to the "
        "tank first",
        written(s, figure), shown(s, reading->where),
        in_unit_of(s, QUANTITY_PRESSURE, tank->rated.value, figure));
}

/* Two tanks at once: which one was read? */
static void check_told_tank(const struct scope *s, const struct reading *reading)
{
    if (reading->tank != NULL || !reading->at.set)
        return;
    for (size_t i = 0; i < s->batch->stays.n && i < MOST_STAYS; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (reading->at.at < stay->from || reading->at.at >= stay->to ||
            str_eq(stay->tank, reading->where))
            continue;
        diag_add(s->diags, at(s, reading->node), RULE_WHERE,
                 "the batch is in %s then: say which with tank:", tank_list(s, reading->at.at));
        return;
    }
}

/* True when the reading was taken after the last tank was empty. */
static bool check_after_end(const struct scope *s, const struct reading *reading, int64_t end)
{
    char then[CIVIL_TEXT_SIZE], last[CIVIL_TEXT_SIZE];
    if (!reading->at.set || end == BATCH_OPEN_END || reading->at.at <= end + NEAR_STAY)
        return false;
    if (is_seen(s, RULE_AFTER_END, reading))
        return true;
    bool of_tank = reading->tank != NULL || reading->figure[READS_TEMP].node != NULL ||
                   reading->figure[READS_PRESSURE].node != NULL;
    diag_add_level(s->diags, at(s, reading->at.node), RULE_AFTER_END,
                   of_tank ? DIAG_ERROR : DIAG_WARNING,
                   "at %s the batch was in no tank any more, since %s: check the date",
                   minute(s, reading->at.at, then), minute(s, end, last));
    return true;
}

/* When the last stay ended; BATCH_OPEN_END when there is none, or it goes on. */
static int64_t end_of(const struct batch *batch)
{
    int64_t end = batch->stays.n == 0 ? BATCH_OPEN_END : INT64_MIN;
    for (size_t i = 0; i < batch->stays.n; i++)
        if (batch->stays.items[i].to > end)
            end = batch->stays.items[i].to;
    return end;
}

static bool brings_extract(const struct batch_event *event)
{
    return event->what == EVENT_ADDITION || event->what == EVENT_KRAUSEN;
}

/* From when on the original is not what it was: fruit, sugar or young beer that nobody measured. */
static int64_t raised_at(const struct batch *batch)
{
    int64_t raised = INT64_MAX;
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (brings_extract(event) && event->extract.state != FIGURE_SET && event->at.at < raised)
            raised = event->at.at;
    }
    return raised;
}

static void check_readings(const struct scope *s)
{
    const struct batch *batch = s->batch;
    int64_t end = end_of(batch), raised = raised_at(batch);
    for (size_t i = 0; i < batch->readings.n; i++) {
        const struct reading *reading = &batch->readings.items[i];
        for (size_t q = 0; q < READS_COUNT; q++)
            if (reading->meter[q] != NULL)
                check_meter(s, reading, q);
        if (reading->corrects.node != NULL) {
            check_tank_name(s->check, batch->source, reading->tank);
            continue;
        }
        if (check_after_end(s, reading, end)) {
            check_tank_name(s->check, batch->source, reading->tank);
            continue;
        }
        check_where(s, reading->tank, &reading->at);
        check_told_tank(s, reading);
    }
    for (size_t i = 0; i < batch->course.n; i++) {
        const struct reading *reading = batch->course.items[i];
        check_pressure(s, reading);
        if (i < batch->first)
            continue;
        check_gravity(s, reading, raised);
        check_temperature(s, reading);
    }
}

/* One figure twice. */

struct sighting {
    const struct reading *reading;
    size_t quantity;
};

static struct str meter_of(const struct sighting *sighting)
{
    return text_of(sighting->reading->meter[sighting->quantity]);
}

static int compare_identity(const struct sighting *a, const struct sighting *b)
{
    if (a->quantity != b->quantity)
        return a->quantity < b->quantity ? -1 : 1;
    int by_tank = str_cmp(a->reading->where, b->reading->where);
    return by_tank != 0 ? by_tank : str_cmp(meter_of(a), meter_of(b));
}

static int compare_sightings(const void *left, const void *right)
{
    const struct sighting *a = left, *b = right;
    int order = compare_identity(a, b);
    size_t i = a->reading->node->start, k = b->reading->node->start;
    return order != 0 ? order : (i > k) - (i < k);
}

static bool is_same_figure(const struct figure *a, const struct figure *b)
{
    if (a->state != b->state || a->word != b->word)
        return false;
    return a->state != FIGURE_SET || (a->censor == b->censor && figure_steps_between(a, b, 0) == 0);
}

static void compare_figures(const struct scope *s, const struct sighting *a,
                            const struct sighting *b)
{
    const struct figure *one = &a->reading->figure[a->quantity];
    const struct figure *other = &b->reading->figure[b->quantity];
    if (compare_identity(a, b) != 0 || is_same_figure(one, other) || one->state == FIGURE_REFUSED ||
        other->state == FIGURE_REFUSED)
        return;
    diag_add(s->diags, at(s, other->node), RULE_CONFLICT,
             "%s is \"%s\" here and \"%s\" in line %u, for the same minute: remove one, name the "
             "meters, or write a corrects: entry",
             BATCH_COLUMNS[b->quantity].key, written(s, other), written(s, one),
             (unsigned)one->node->line);
}

/* The readings first..last of the course are of one minute. */
static void check_minute(const struct scope *s, size_t first, size_t last)
{
    struct arena *arena = s->check->scratch;
    struct sighting *sightings =
        arena_array(arena, (last - first + 1) * READS_COUNT, sizeof *sightings);
    size_t n = 0;
    for (size_t i = first; i <= last; i++)
        for (size_t q = 0; q < READS_COUNT; q++)
            if (s->batch->course.items[i]->figure[q].node != NULL)
                sightings[n++] = (struct sighting){s->batch->course.items[i], q};
    order_sort(sightings, n, sizeof *sightings, compare_sightings);
    for (size_t i = 1; i < n; i++)
        compare_figures(s, &sightings[i - 1], &sightings[i]);
}

static void check_conflicts(const struct scope *s)
{
    const struct batch *batch = s->batch;
    for (size_t i = 0, k; i < batch->course.n; i = k) {
        int64_t minute = batch->course.items[i]->at.at / CIVIL_MINUTE;
        for (k = i + 1; k < batch->course.n; k++)
            if (batch->course.items[k]->at.at / CIVIL_MINUTE != minute)
                break;
        if (k - i > 1)
            check_minute(s, i, k - 1);
    }
}

/* Steps. */

/* What one figure may differ from both of its neighbours, when these lie on the same side of it.
 * Below `doubtful` nothing is said, up to `impossible` it is a warning. */
static const struct step_limit {
    size_t quantity;
    double doubtful, impossible;
} STEP_LIMITS[] = {
    {READS_PH, 1.0, 2.0},
    {READS_TEMP, 10, 20},
};

/* Gravity only falls. A rise above the first is doubtful, above the second no beer's; so is a fall
 * of that much at over 0.8 P an hour. */
static const double DOUBTFUL_RISE = 1.0, IMPOSSIBLE_RISE = 3.0, FASTEST_FALL_PER_HOUR = 0.8;

static void report_step(const struct scope *s, const struct reading *reading, size_t q,
                        bool impossible, const struct reading *before, const struct reading *after)
{
    const struct figure *figure = &reading->figure[q];
    if (is_seen(s, RULE_STEP, reading))
        return;
    const char *a = before == NULL ? NULL : written(s, &before->figure[q]);
    const char *b = after == NULL ? NULL : written(s, &after->figure[q]);
    enum diag_level level = impossible ? DIAG_ERROR : DIAG_WARNING;
    if (a != NULL && b != NULL)
        diag_add_level(s->diags, at(s, figure->node), RULE_STEP, level,
                       "%s \"%s\" stands between \"%s\" and \"%s\": is a digit wrong?",
                       BATCH_COLUMNS[q].key, written(s, figure), a, b);
    else
        diag_add_level(s->diags, at(s, figure->node), RULE_STEP, level,
                       "%s \"%s\" %s \"%s\": is a digit wrong?", BATCH_COLUMNS[q].key,
                       written(s, figure), a != NULL ? "follows" : "stands before",
                       a != NULL ? a : b);
}

/* True when extract came in between two moments. */
static bool is_raised_between(const struct batch *batch, int64_t from, int64_t to)
{
    size_t low = 0, high = batch->happened.n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (batch->happened.items[middle]->at.at < from - CIVIL_HOUR)
            low = middle + 1;
        else
            high = middle;
    }
    for (; low < batch->happened.n && batch->happened.items[low]->at.at <= to; low++)
        if (brings_extract(batch->happened.items[low]))
            return true;
    for (size_t i = 0; i < batch->brews.n; i++)
        if (batch->brews.items[i].at.set && batch->brews.items[i].at.at >= from &&
            batch->brews.items[i].at.at <= to)
            return true;
    return false;
}

/* The readings of one tank that have an exact figure of one quantity, in order. */
struct row {
    const struct reading **items;
    size_t n;
};

static double value_of(const struct row *row, size_t i, size_t q)
{
    return row->items[i]->figure[q].value;
}

static void check_gravity_steps(const struct scope *s, const struct row *row)
{
    for (size_t i = 1; i < row->n; i++) {
        double before = value_of(row, i - 1, READS_GRAVITY), here = value_of(row, i, READS_GRAVITY);
        int64_t from = row->items[i - 1]->at.at, to = row->items[i]->at.at;
        double hours = (double)(to - from) / CIVIL_HOUR;
        double rise = here - before;
        /* Which one is wrong shows in the next, or in the one before. */
        bool earlier_is_low = i >= 2 && value_of(row, i - 2, READS_GRAVITY) >= here;
        if (rise > DOUBTFUL_RISE && !is_raised_between(s->batch, from, to)) {
            if (earlier_is_low)
                report_step(s, row->items[i - 1], READS_GRAVITY, rise > IMPOSSIBLE_RISE,
                            row->items[i - 2], row->items[i]);
            else
                report_step(s, row->items[i], READS_GRAVITY, rise > IMPOSSIBLE_RISE,
                            row->items[i - 1], i + 1 < row->n ? row->items[i + 1] : NULL);
        } else if (-rise > IMPOSSIBLE_RISE && -rise > FASTEST_FALL_PER_HOUR * hours) {
            bool comes_back =
                i + 1 < row->n && value_of(row, i + 1, READS_GRAVITY) > here + DOUBTFUL_RISE;
            bool was_spike = i >= 2 && before > value_of(row, i - 2, READS_GRAVITY) + DOUBTFUL_RISE;
            if (!comes_back && !was_spike)
                report_step(s, row->items[i], READS_GRAVITY, true, row->items[i - 1], NULL);
        }
    }
}

static void check_spikes(const struct scope *s, const struct row *row,
                         const struct step_limit *limit)
{
    size_t q = limit->quantity;
    for (size_t i = 1; i + 1 < row->n; i++) {
        double up = value_of(row, i, q) - value_of(row, i - 1, q);
        double down = value_of(row, i, q) - value_of(row, i + 1, q);
        double least = up * down > 0 ? fmin(fabs(up), fabs(down)) : 0;
        if (least > limit->doubtful - 1e-9)
            report_step(s, row->items[i], q, least > limit->impossible - 1e-9, row->items[i - 1],
                        row->items[i + 1]);
    }
}

static struct row row_of(const struct scope *s, struct str tank, size_t q,
                         const struct reading **items)
{
    struct row row = {items, 0};
    for (size_t i = s->batch->first; i < s->batch->course.n; i++) {
        const struct reading *reading = s->batch->course.items[i];
        if (figure_is_exact(&reading->figure[q]) && str_eq(reading->where, tank))
            row.items[row.n++] = reading;
    }
    return row;
}

static void check_steps_in(const struct scope *s, struct str tank)
{
    const struct reading **items =
        arena_array(s->check->scratch, s->batch->course.n, sizeof *items);
    struct row row = row_of(s, tank, READS_GRAVITY, items);
    check_gravity_steps(s, &row);
    for (size_t i = 0; i < sizeof STEP_LIMITS / sizeof STEP_LIMITS[0]; i++) {
        row = row_of(s, tank, STEP_LIMITS[i].quantity, items);
        check_spikes(s, &row, &STEP_LIMITS[i]);
    }
}

/* Each tank of the batch once. */
static void check_steps(const struct scope *s)
{
    check_steps_in(s, STR(""));
    for (size_t i = 0; i < s->batch->stays.n && i < MOST_STAYS; i++) {
        bool before = false;
        for (size_t k = 0; k < i && !before; k++)
            before = str_eq(s->batch->stays.items[k].tank, s->batch->stays.items[i].tank);
        if (!before)
            check_steps_in(s, s->batch->stays.items[i].tank);
    }
}

/* How it is written. */

static void check_form(const struct scope *s)
{
    const struct batch *batch = s->batch;
    static const char *const LISTS[] = {"readings", "events", "tanks", NULL};
    const struct doc_node *readings = doc_get(batch->node, "readings");
    if (readings != NULL && readings->next != NULL)
        diag_add(s->diags, at(s, readings->key), RULE_READINGS_LAST,
                 "readings: should be the last key: new readings are added at its end");
    if (batch->number != NULL && s->file->stream.count == 1 &&
        check_name_differs(batch->source, batch->number->text))
        diag_add(s->diags, at(s, batch->number), RULE_FILE_NAME,
                 "the file is named for another batch than %s: rename it, or mend the number",
                 shown(s, batch->number->text));
    if (s->diags->level[RULE_BLOCK_ENTRY] == DIAG_OFF)
        return;
    for (size_t i = 0; LISTS[i] != NULL; i++) {
        const struct doc_node *list = doc_get(batch->node, LISTS[i]);
        for (const struct doc_node *n = list == NULL ? NULL : list->first; n != NULL; n = n->next)
            if (n->kind == DOC_MAP && !n->flow)
                diag_add(s->diags, at(s, n), RULE_BLOCK_ENTRY,
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
