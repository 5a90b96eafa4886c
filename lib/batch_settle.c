/* What follows from a batch's file as of a moment: see batch_settle(). */
#include "batch.h"
#include "order.h"
#include "volumes.h"

#include <math.h>

static int compare_readings(const void *left, const void *right)
{
    const struct reading *a = *(struct reading *const *)left, *b = *(struct reading *const *)right;
    return order_then(order_of(a->at.at, b->at.at), order_of(a->node->start, b->node->start));
}

static int compare_events(const void *left, const void *right)
{
    const struct batch_event *a = *(struct batch_event *const *)left;
    const struct batch_event *b = *(struct batch_event *const *)right;
    return order_then(order_of(a->at.at, b->at.at), order_of(a->node->start, b->node->start));
}

static int compare_stays(const void *left, const void *right)
{
    const struct batch_stay *a = left, *b = right;
    return order_then(order_of(a->from, b->from), order_of(a->entry - b->entry, 0));
}

static void settle_events(struct batch *batch, struct arena *arena, int64_t now)
{
    batch->happened.items = arena_array(arena, batch->events.n, sizeof *batch->happened.items);
    for (size_t i = 0; i < batch->events.n; i++) {
        struct batch_event *event = &batch->events.items[i];
        if (event->at.set && event->at.at <= now)
            batch->happened.items[batch->happened.n++] = event;
        else if (event->at.set)
            batch->later++;
    }
    order_sort(batch->happened.items, batch->happened.n, sizeof *batch->happened.items,
               compare_events);
}

double batch_whole_volume(const struct batch *batch)
{
    double sum = 0;
    if (figure_is_exact(&batch->volume))
        return batch->volume.value;
    for (size_t i = 0; i < batch->brews.n; i++)
        if (figure_is_exact(&batch->brews.items[i].volume))
            sum += batch->brews.items[i].volume.value;
    for (size_t i = 0; i < batch->of.n; i++)
        if (figure_is_exact(&batch->of.items[i].volume))
            sum += batch->of.items[i].volume.value;
    return sum;
}

bool batch_are_parts(const struct batch *batch, const struct batch_tank *a,
                     const struct batch_tank *b)
{
    return figure_is_exact(&a->volume) && figure_is_exact(&b->volume) &&
           a->volume.value + b->volume.value <=
               batch_whole_volume(batch) * (1 + BATCH_VOLUMES_AGREE);
}

/* Beer moved on into another tank of its own is not at its end there, though the move emptied the
 * tank it came from: the entries of `tanks:` say where it is. */
static bool is_moved_on(const struct batch *batch, const struct batch_event *event)
{
    if (event->what != EVENT_MOVE || event->to == NULL || event->tank != NULL)
        return false;
    for (size_t i = 0; i < batch->stays.n; i++)
        if (str_eq(batch->stays.items[i].tank, event->to->text))
            return true;
    return false;
}

/* Without `to` a stay ends where the next one begins, but for the other part of a split, or at an
 * event that empties the tank. */
static int64_t end_of_stay(const struct batch *batch, const struct batch_stay *stay)
{
    if (stay->entry->to.set)
        return stay->entry->to.at;
    int64_t to = BATCH_OPEN_END;
    for (size_t i = 0; i < batch->stays.n; i++)
        if (batch->stays.items[i].from > stay->from && batch->stays.items[i].from < to &&
            !batch_are_parts(batch, stay->entry, batch->stays.items[i].entry))
            to = batch->stays.items[i].from;
    for (size_t i = 0; i < batch->events.n; i++) {
        const struct batch_event *event = &batch->events.items[i];
        bool here = event->tank == NULL || str_eq(event->tank->text, stay->tank);
        if (event->empty.yes && event->at.set && here && event->at.at >= stay->from &&
            event->at.at < to && !is_moved_on(batch, event))
            to = event->at.at;
    }
    return to;
}

static void settle_stays(struct batch *batch, struct arena *arena, int64_t now)
{
    batch->stays.items = arena_array(arena, batch->tanks.n, sizeof *batch->stays.items);
    for (size_t i = 0; i < batch->tanks.n; i++) {
        const struct batch_tank *entry = &batch->tanks.items[i];
        if (entry->tank == NULL || !entry->from.set)
            continue;
        batch->stays.items[batch->stays.n++] =
            (struct batch_stay){entry->tank->text, entry->from.at, BATCH_OPEN_END, entry};
    }
    order_sort(batch->stays.items, batch->stays.n, sizeof *batch->stays.items, compare_stays);
    batch->ended = batch->stays.n > 0;
    for (size_t i = 0; i < batch->stays.n; i++) {
        batch->stays.items[i].to = end_of_stay(batch, &batch->stays.items[i]);
        if (batch->stays.items[i].to > now)
            batch->ended = false;
    }
}

const struct batch_stay *batch_stay_at(const struct batch *batch, struct str tank, int64_t at)
{
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        if (at >= stay->from && at < stay->to && (tank.n == 0 || str_eq(tank, stay->tank)))
            return stay;
    }
    return NULL;
}

static bool same_minute(int64_t a, int64_t b)
{
    return a / CIVIL_MINUTE == b / CIVIL_MINUTE;
}

/* True when a correction may mean this reading: by its minute and its tank. */
static bool may_be_meant(const struct reading *reading, const struct reading *correction)
{
    return reading->at.set && reading->corrects.node == NULL &&
           same_minute(reading->at.at, correction->corrects.at) &&
           (correction->tank == NULL || str_eq(reading->where, correction->tank->text));
}

/* Readings by time, corrections left out. */
struct targets {
    struct reading **items;
    size_t n;
};

static struct targets sort_targets(struct batch *batch, struct arena *arena)
{
    struct targets targets = {arena_array(arena, batch->readings.n, sizeof *targets.items), 0};
    for (size_t i = 0; i < batch->readings.n; i++) {
        struct reading *reading = &batch->readings.items[i];
        if (reading->at.set && reading->corrects.node == NULL)
            targets.items[targets.n++] = reading;
    }
    order_sort(targets.items, targets.n, sizeof *targets.items, compare_readings);
    return targets;
}

/* Those that a correction may mean: of its minute, and not more than anyone takes in one. */
static struct targets targets_of(const struct targets *all, const struct reading *correction)
{
    enum { MOST = 100 };
    int64_t minute = correction->corrects.at / CIVIL_MINUTE;
    size_t low = 0, high = all->n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (all->items[middle]->at.at / CIVIL_MINUTE < minute)
            low = middle + 1;
        else
            high = middle;
    }
    struct targets targets = {all->items + low, 0};
    while (targets.n < MOST && low + targets.n < all->n &&
           all->items[low + targets.n]->at.at / CIVIL_MINUTE == minute)
        targets.n++;
    return targets;
}

/* The reading whose figure a correction means. Of two of one minute it is the one of the meter
 * named, or the one that has that quantity. */
static struct reading *find_meant(const struct targets *targets, const struct reading *correction,
                                  size_t q)
{
    struct reading *found = NULL;
    const struct doc_node *meter = correction->meter[q];
    for (size_t i = 0; i < targets->n; i++) {
        struct reading *reading = targets->items[i];
        const struct doc_node *other = reading->meter[q];
        if (!may_be_meant(reading, correction) ||
            (meter != NULL && other != NULL && !str_eq(meter->text, other->text)))
            continue;
        if (reading->figure[q].node != NULL)
            return reading;
        found = found == NULL ? reading : found;
    }
    return found;
}

/* Puts the figures that a correction names into the readings it corrects. False when there is none.
 */
static bool correct(const struct targets *targets, const struct reading *correction)
{
    bool found = false, named = false;
    for (size_t q = 0; q < READS_COUNT; q++) {
        if (correction->figure[q].node == NULL)
            continue;
        struct reading *target = find_meant(targets, correction, q);
        named = true;
        if (target == NULL)
            return false;
        found = true;
        target->figure[q] = correction->figure[q];
        if (correction->meter[q] != NULL)
            target->meter[q] = correction->meter[q];
    }
    for (size_t i = 0; i < targets->n && !named; i++)
        found = found || may_be_meant(targets->items[i], correction);
    return found;
}

static void settle_corrections(struct batch *batch, int64_t now, const struct keys_context *context)
{
    size_t n = 0;
    for (size_t i = 0; i < batch->readings.n; i++)
        n += batch->readings.items[i].corrects.set;
    if (n == 0)
        return;
    struct targets all = sort_targets(batch, context->arena);
    struct reading **corrections = arena_array(context->arena, n, sizeof *corrections);
    n = 0;
    for (size_t i = 0; i < batch->readings.n; i++) {
        struct reading *reading = &batch->readings.items[i];
        if (reading->corrects.set && reading->at.set && reading->at.at <= now)
            corrections[n++] = reading;
    }
    order_sort(corrections, n, sizeof *corrections, compare_readings);
    for (size_t i = 0; i < n; i++) {
        struct targets targets = targets_of(&all, corrections[i]);
        if (!correct(&targets, corrections[i]))
            diag_add(context->diags, doc_place(batch->source, corrections[i]->corrects.node),
                     RULE_REFERENCE, "corrects: this batch has no reading at \"%s\"%s",
                     str_shown(context->diags->arena, corrections[i]->corrects.node->text),
                     corrections[i]->tank == NULL ? "" : " in that tank");
    }
}

/* Day zero is the first pitch, else brewed, else the first of brews. */
static void settle_zero(struct batch *batch)
{
    for (size_t i = 0; i < batch->events.n; i++) {
        const struct batch_event *event = &batch->events.items[i];
        if (event->what != EVENT_PITCH || !event->at.set)
            continue;
        if (!batch->has_zero || event->at.at < batch->zero)
            batch->zero = event->at.at;
        batch->has_zero = true;
    }
    if (!batch->has_zero && batch->brewed.set) {
        batch->zero = batch->brewed.at;
        batch->has_zero = true;
    }
    for (size_t i = 0; i < batch->brews.n && !batch->brewed.set; i++) {
        const struct batch_brew *brew = &batch->brews.items[i];
        if (brew->at.set && !batch->has_zero) {
            batch->zero = brew->at.at;
            batch->has_zero = true;
        }
    }
}

/* Readings before day zero, or before the last of brews, are wort. */
static int64_t end_of_wort(const struct batch *batch)
{
    int64_t end = batch->has_zero ? batch->zero : INT64_MIN;
    for (size_t i = 0; i < batch->brews.n; i++)
        if (batch->brews.items[i].at.set && batch->brews.items[i].at.at > end)
            end = batch->brews.items[i].at.at;
    return end;
}

static void settle_course(struct batch *batch, int64_t now, const struct keys_context *context)
{
    for (size_t i = 0; i < batch->readings.n; i++) {
        struct reading *reading = &batch->readings.items[i];
        const struct batch_stay *stay =
            reading->at.set ? batch_stay_at(batch, text_of(reading->tank), reading->at.at) : NULL;
        reading->where = reading->tank != NULL ? reading->tank->text
                         : stay != NULL        ? stay->tank
                                               : STR("");
    }
    settle_corrections(batch, now, context);
    batch->course.items =
        arena_array(context->arena, batch->readings.n, sizeof *batch->course.items);
    bool sorted = true;
    for (size_t i = 0; i < batch->readings.n; i++) {
        struct reading *reading = &batch->readings.items[i];
        if (!reading->at.set || reading->corrects.node != NULL)
            continue;
        if (reading->at.at > now) {
            batch->later++;
            continue;
        }
        if (batch->course.n > 0 && batch->course.items[batch->course.n - 1]->at.at > reading->at.at)
            sorted = false;
        batch->course.items[batch->course.n++] = reading;
    }
    if (!sorted)
        order_sort(batch->course.items, batch->course.n, sizeof *batch->course.items,
                   compare_readings);
    int64_t wort_end = end_of_wort(batch);
    while (batch->first < batch->course.n && batch->course.items[batch->first]->at.at < wort_end)
        batch->first++;
}

static void original_of_brews(struct batch *batch, struct arena *arena)
{
    double *hl = arena_array(arena, batch->brews.n, sizeof *hl);
    double *plato = arena_array(arena, batch->brews.n, sizeof *plato), step = 0;
    for (size_t i = 0; i < batch->brews.n; i++) {
        const struct batch_brew *brew = &batch->brews.items[i];
        if (!figure_is_exact(&brew->original) || !figure_is_exact(&brew->volume))
            return;
        hl[i] = brew->volume.value;
        plato[i] = brew->original.value;
        step = fmax(step, brew->original.step);
    }
    double mixed = volumes_mixed_plato(hl, plato, batch->brews.n);
    if (isnan(mixed))
        return;
    batch->used_original = batch->brews.items[0].original;
    batch->used_original.value = mixed;
    batch->used_original.step = step;
}

/* Extract that was added later counts as if it had been in the wort. */
static void add_extract(struct batch *batch)
{
    if (!figure_is_exact(&batch->used_original) || !figure_is_exact(&batch->volume))
        return;
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct figure *extract = &batch->happened.items[i]->extract;
        double with = figure_is_exact(extract)
                          ? volumes_plato_with(batch->volume.value, batch->used_original.value,
                                               extract->value)
                          : NAN;
        if (!isnan(with))
            batch->used_original.value = with;
    }
}

static void settle_wort(struct batch *batch, struct arena *arena)
{
    batch->used_original = batch->original;
    batch->used_wort_ph = batch->wort_ph;
    if (batch->used_original.state != FIGURE_SET)
        original_of_brews(batch, arena);
    for (size_t i = 0; i < batch->first; i++) {
        const struct reading *reading = batch->course.items[i];
        if (batch->used_original.state != FIGURE_SET &&
            figure_is_exact(&reading->figure[READS_GRAVITY]))
            batch->used_original = reading->figure[READS_GRAVITY];
        if (batch->used_wort_ph.state != FIGURE_SET && figure_is_exact(&reading->figure[READS_PH]))
            batch->used_wort_ph = reading->figure[READS_PH];
    }
    add_extract(batch);
}

void batch_settle(struct batch *batch, const struct cellar *cellar, int64_t now,
                  const struct keys_context *context)
{
    size_t errors = context->diags->errors;
    batch->type = batch->beer == NULL ? NULL : cellar_beer(cellar, batch->beer->text);
    batch->yeast = batch->type == NULL ? YEAST_UNKNOWN : batch->type->yeast;
    settle_events(batch, context->arena, now);
    settle_stays(batch, context->arena, now);
    settle_zero(batch);
    settle_course(batch, now, context);
    settle_wort(batch, context->arena);
    batch->errors += context->diags->errors - errors;
}
