/* What single readings of a batch say that cannot be, and figures that are there twice. */
#include "check_scope.h"
#include "corrected.h"
#include "order.h"

static const double HOTTEST_CELSIUS = 45, ABOVE_ORIGINAL_PLATO = 1;

static void check_meter(const struct scope *s, const struct reading *reading, size_t q)
{
    const struct doc_node *name = reading->meter[q];
    const struct figure *figure = &reading->figure[q];
    const struct batch_column *column = &BATCH_COLUMNS[q];
    const struct cellar_meter *meter = check_meter_name(s->check, s->batch->source, name);
    if (name == NULL || meter == NULL)
        return;
    if (figure->node == NULL)
        diag_add_level(s->diags, check_at(s, name), RULE_METER, DIAG_WARNING,
                       "%s-meter: without %s: is the figure missing?", column->key, column->key);
    enum quantity reads = cellar_reads_quantity(meter->reads);
    if (meter->reads != 0 && reads != column->quantity)
        diag_add(s->diags, check_at(s, name), RULE_METER, "%s reads %s, not %s: name the %s meter",
                 check_shown(s, name->text), QUANTITIES[reads].name, column->key, column->key);
    else if (figure_is_exact(figure) && meter->range.state == FIGURE_SET &&
             ((meter->range.has_low && figure->value < meter->range.low - figure->step / 2) ||
              (meter->range.has_high && figure->value > meter->range.high + figure->step / 2))) {
        struct buf range = buf_new(s->diags->arena);
        quantity_write_range(&range, &meter->range, NULL);
        diag_add(
            s->diags, check_at(s, figure->node), RULE_METER_RANGE,
            "%s \"%s\" is off the scale of %s, %s: write it with < or >, or name another meter",
            column->key, check_written(s, figure), check_shown(s, name->text), range.p);
    }
}

static void check_gravity(const struct scope *s, const struct reading *reading, int64_t raised)
{
    const struct figure *figure = &reading->figure[READS_GRAVITY];
    const struct figure *original = &s->batch->used_original;
    const struct doc_node *meter = reading->meter[READS_GRAVITY];
    if (!figure_is_exact(figure) || !figure_is_exact(original) || reading->at.at >= raised)
        return;
    double plato = corrected_to_compare(
        figure, meter == NULL ? NULL : cellar_meter(s->check->cellar, meter->text), original);
    if (plato <= original->value + ABOVE_ORIGINAL_PLATO)
        return;
    if (!check_is_seen(s, RULE_HIGH_GRAVITY, reading))
        diag_add(s->diags, check_at(s, figure->node), RULE_HIGH_GRAVITY,
                 "gravity \"%s\" is above the original, %s: check the figure and its unit",
                 check_written(s, figure),
                 check_in_unit_of(s, QUANTITY_GRAVITY, original->value, figure));
}

static void check_temperature(const struct scope *s, const struct reading *reading)
{
    const struct figure *figure = &reading->figure[READS_TEMP];
    if (!figure_is_exact(figure) || figure->value <= HOTTEST_CELSIUS ||
        check_is_seen(s, RULE_HOT, reading))
        return;
    double as_fahrenheit = (figure->written - 32) * 5 / 9;
    if (as_fahrenheit < HOTTEST_CELSIUS && as_fahrenheit > -5)
        diag_add(s->diags, check_at(s, figure->node), RULE_HOT,
                 "temp \"%s\" is too hot for beer in a tank; if the meter showed F, write %g F "
                 "(%.1f C)",
                 check_written(s, figure), figure->written, as_fahrenheit);
    else
        diag_add(s->diags, check_at(s, figure->node), RULE_HOT,
                 "temp \"%s\" is too hot for beer in a tank: check the figure and its unit",
                 check_written(s, figure));
}

static void check_pressure(const struct scope *s, const struct reading *reading)
{
    const struct figure *figure = &reading->figure[READS_PRESSURE];
    const struct cellar_tank *tank = cellar_tank(s->check->cellar, reading->where);
    if (!check_tank_pressure(s->check, s->batch->source, BATCH_COLUMNS[READS_PRESSURE].key,
                             figure) ||
        !figure_is_exact(figure) || tank == NULL || !figure_is_exact(&tank->rated) ||
        figure->value <= tank->rated.value + figure->step / 2 ||
        check_is_seen(s, RULE_HIGH_PRESSURE, reading))
        return;
    diag_add(
        s->diags, check_at(s, figure->node), RULE_HIGH_PRESSURE,
        "pressure \"%s\" in %s, which is rated for %s: check the figure; if it is true, see to the "
        "tank first",
        check_written(s, figure), check_shown(s, reading->where),
        check_in_unit_of(s, QUANTITY_PRESSURE, tank->rated.value, figure));
}

/* Two tanks at once: which one was read? */
static void check_told_tank(const struct scope *s, const struct reading *reading)
{
    if (reading->tank != NULL || !reading->at.set)
        return;
    for (size_t i = 0; i < s->batch->stays.n && i < CHECK_MOST_STAYS; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (reading->at.at < stay->from || reading->at.at >= stay->to ||
            str_eq(stay->tank, reading->where))
            continue;
        diag_add(
            s->diags, check_at(s, reading->node), RULE_WHERE,
            "the batch is in %s then: say which with tank:", check_tank_list(s, reading->at.at));
        return;
    }
}

/* True when the reading was taken after the last tank was empty. */
static bool check_after_end(const struct scope *s, const struct reading *reading, int64_t end)
{
    char then[CIVIL_TEXT_SIZE], last[CIVIL_TEXT_SIZE];
    if (!reading->at.set || end == BATCH_OPEN_END || reading->at.at <= end + CHECK_NEAR_STAY)
        return false;
    if (check_is_seen(s, RULE_AFTER_END, reading))
        return true;
    bool of_tank = reading->tank != NULL || reading->figure[READS_TEMP].node != NULL ||
                   reading->figure[READS_PRESSURE].node != NULL;
    diag_add_level(s->diags, check_at(s, reading->at.node), RULE_AFTER_END,
                   of_tank ? DIAG_ERROR : DIAG_WARNING,
                   "at %s the batch was in no tank any more, since %s: check the date",
                   check_minute_text(s, reading->at.at, then), check_minute_text(s, end, last));
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

/* From when on the original is not what it was: fruit, sugar or young beer that nobody measured. */
static int64_t raised_at(const struct batch *batch)
{
    int64_t raised = INT64_MAX;
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (batch_event_is(event, EVENTS_WITH_EXTRACT) && event->extract.state != FIGURE_SET &&
            event->at.at < raised)
            raised = event->at.at;
    }
    return raised;
}

void check_readings(const struct scope *s)
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
    diag_add(s->diags, check_at(s, other->node), RULE_CONFLICT,
             "%s is \"%s\" here and \"%s\" in line %u, for the same minute: remove one, name the "
             "meters, or write a corrects: entry",
             BATCH_COLUMNS[b->quantity].key, check_written(s, other), check_written(s, one),
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

void check_conflicts(const struct scope *s)
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
