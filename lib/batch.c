#include "batch.h"

#include "extract.h"

#include <math.h>
#include <stdlib.h>

const struct batch_column BATCH_COLUMNS[READS_COUNT] = {
    [READS_GRAVITY] = {"gravity", QUANTITY_GRAVITY},
    [READS_PH] = {"ph", QUANTITY_PH},
    [READS_TEMP] = {"temp", QUANTITY_TEMPERATURE},
    [READS_PRESSURE] = {"pressure", QUANTITY_PRESSURE},
    [READS_VDK] = {"vdk", QUANTITY_VDK},
    [READS_CARBONATION] = {"carbonation", QUANTITY_CARBONATION},
    [READS_OXYGEN] = {"oxygen", QUANTITY_OXYGEN},
    [READS_ALCOHOL] = {"alcohol", QUANTITY_ALCOHOL},
    [READS_CELLS] = {"cells", QUANTITY_CELLS},
    [READS_VIABILITY] = {"viability", QUANTITY_PERCENT},
};

const char *const BATCH_VDK_WORDS[] = {"pass", "trace", "fail", NULL};
static const char *const LABS[] = {"own", "other", NULL};
static const char *const METHODS[] = {"full", "rapid", NULL};

const char *const BATCH_EVENTS[] = {
    "pitch", "dry hop",   "addition", "krausen", "rouse", "close", "vent",    "chill",   "dump",
    "move",  "carbonate", "sample",   "package", "clean", "hold",  "release", "discard", NULL};

#define COUNT(array)    (sizeof(array) / sizeof(array)[0])
#define AT(type, field) offsetof(struct type, field)

#define FIGURE_ROW(index, name, kind, text)                                                        \
    {                                                                                              \
        name, KEY_FIGURE, AT(reading, figure[index]), 0, kind, .help = (text)                      \
    }
#define METER_ROW(index, name)                                                                     \
    {                                                                                              \
        name "-meter", KEY_TEXT, AT(reading, meter[index]),                                        \
            .help = "the meter that read " name ", by its name in cellar.yaml"                     \
    }

static const struct key READING_ROWS[] = {
    {"at", KEY_TIME, AT(reading, at), KEY_REQUIRED, .help = "when it was taken"},
    {"corrects", KEY_TIME, AT(reading, corrects),
     .help = "the time of the reading whose figures these replace; ~ withdraws one"},
    {"tank", KEY_TEXT, AT(reading, tank), .help = "where, while the batch is in two tanks"},
    FIGURE_ROW(READS_GRAVITY, "gravity", QUANTITY_GRAVITY, "apparent extract, degassed"),
    FIGURE_ROW(READS_PH, "ph", QUANTITY_PH, "pH, degassed"),
    FIGURE_ROW(READS_TEMP, "temp", QUANTITY_TEMPERATURE, "temperature of the beer"),
    FIGURE_ROW(READS_PRESSURE, "pressure", QUANTITY_PRESSURE, "gauge pressure of the tank"),
    {"vdk", KEY_FIGURE, AT(reading, figure[READS_VDK]), 0, QUANTITY_VDK, BATCH_VDK_WORDS,
     .help = "diacetyl: a figure, or pass, trace or fail of the warmed sample, or both"},
    FIGURE_ROW(READS_CARBONATION, "carbonation", QUANTITY_CARBONATION, "dissolved CO2"),
    FIGURE_ROW(READS_OXYGEN, "oxygen", QUANTITY_OXYGEN, "dissolved oxygen"),
    FIGURE_ROW(READS_ALCOHOL, "alcohol", QUANTITY_ALCOHOL, "alcohol by volume, measured"),
    FIGURE_ROW(READS_CELLS, "cells", QUANTITY_CELLS, "yeast in suspension"),
    FIGURE_ROW(READS_VIABILITY, "viability", QUANTITY_PERCENT, "living part of the yeast"),
    {"by", KEY_TEXT, AT(reading, by), .help = "initials of who took it"},
    METER_ROW(READS_PH, "ph"),
    METER_ROW(READS_GRAVITY, "gravity"),
    {"note", KEY_TEXT, AT(reading, note), .help = "free text, in double quotes"},
    METER_ROW(READS_TEMP, "temp"),
    METER_ROW(READS_PRESSURE, "pressure"),
    METER_ROW(READS_VDK, "vdk"),
    METER_ROW(READS_CARBONATION, "carbonation"),
    METER_ROW(READS_OXYGEN, "oxygen"),
    METER_ROW(READS_ALCOHOL, "alcohol"),
    METER_ROW(READS_CELLS, "cells"),
    METER_ROW(READS_VIABILITY, "viability"),
};
static const struct key_table READING_KEYS = {"reading", READING_ROWS, COUNT(READING_ROWS),
                                              sizeof(struct reading), true};

static const struct key CONTAINER_ROWS[] = {
    {"size", KEY_FIGURE, AT(batch_container, size), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "volume of one"},
    {"count", KEY_WHOLE, AT(batch_container, count), KEY_REQUIRED, .help = "how many"},
};
static const struct key_table CONTAINER_KEYS = {"container", CONTAINER_ROWS, COUNT(CONTAINER_ROWS),
                                                sizeof(struct batch_container), true};

static const struct key EVENT_ROWS[] = {
    {"at", KEY_TIME, AT(batch_event, at), KEY_REQUIRED, .help = "when"},
    {"what", KEY_WORD, AT(batch_event, what), KEY_REQUIRED, .words = BATCH_EVENTS,
     .help = "what was done"},
    {"tank", KEY_TEXT, AT(batch_event, tank), .help = "where, while the batch is in two tanks"},
    {"strain", KEY_TEXT, AT(batch_event, strain), .help = "pitch: the yeast"},
    {"source", KEY_TEXT, AT(batch_event, source), .help = "pitch: batch the yeast came from"},
    {"generation", KEY_WHOLE, AT(batch_event, generation), .help = "pitch: how often it was used"},
    {"cells", KEY_FIGURE, AT(batch_event, cells), 0, QUANTITY_CELLS, .help = "pitch: cell count"},
    {"viability", KEY_FIGURE, AT(batch_event, viability), 0, QUANTITY_PERCENT,
     .help = "pitch: living part"},
    {"amount", KEY_FIGURE, AT(batch_event, amount), 0, QUANTITY_MASS,
     .help = "dry hop, addition: how much"},
    {"extract", KEY_FIGURE, AT(batch_event, extract), 0, QUANTITY_MASS,
     .help = "addition: extract it brings, which raises the original"},
    {"batch", KEY_TEXT, AT(batch_event, batch), .help = "krausen: batch it came from"},
    {"to", KEY_TEXT, AT(batch_event, to), .help = "move: the tank it went to"},
    {"volume", KEY_FIGURE, AT(batch_event, volume), 0, QUANTITY_VOLUME,
     .help = "move, package, krausen, dump: how much"},
    {"containers", KEY_LIST, AT(batch_event, containers), .most = 200, .table = &CONTAINER_KEYS,
     .help = "package: sizes and counts"},
    {"lot", KEY_TEXT, AT(batch_event, lot), .help = "package: code on the package"},
    {"temp", KEY_FIGURE, AT(batch_event, temp), 0, QUANTITY_TEMPERATURE,
     .help = "chill: temperature aimed at"},
    {"pressure", KEY_FIGURE, AT(batch_event, pressure), 0, QUANTITY_PRESSURE,
     .help = "close, vent, carbonate: gauge pressure"},
    {"empty", KEY_FLAG, AT(batch_event, empty), .help = "yes: the tank is empty after it"},
    {"by", KEY_TEXT, AT(batch_event, by), .help = "initials of who did it"},
    {"note", KEY_TEXT, AT(batch_event, note), .help = "free text, in double quotes"},
};
static const struct key_table EVENT_KEYS = {"event", EVENT_ROWS, COUNT(EVENT_ROWS),
                                            sizeof(struct batch_event), true};

static const struct key FORCED_ROWS[] = {
    {"gravity", KEY_FIGURE, AT(batch_forced, gravity), KEY_REQUIRED, QUANTITY_GRAVITY,
     .help = "where the forced fermentation ended"},
    {"at", KEY_TIME, AT(batch_forced, at), .help = "when it was read"},
    {"lab", KEY_WORD, AT(batch_forced, lab), .words = LABS,
     .help = "own: read where the tank's samples are read; other: another laboratory"},
    {"method", KEY_WORD, AT(batch_forced, method), .words = METHODS,
     .help = "full: fermented out over a day or more; rapid: much yeast, about 7 h"},
    {"by", KEY_TEXT, AT(batch_forced, by), .help = "initials"},
    {"note", KEY_TEXT, AT(batch_forced, note), .help = "free text, in double quotes"},
};
static const struct key_table FORCED_KEYS = {"forced value", FORCED_ROWS, COUNT(FORCED_ROWS),
                                             sizeof(struct batch_forced), true};

static const struct key BREW_ROWS[] = {
    {"at", KEY_TIME, AT(batch_brew, at), KEY_REQUIRED, .help = "when it went into the fermenter"},
    {"volume", KEY_FIGURE, AT(batch_brew, volume), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "how much"},
    {"original", KEY_FIGURE, AT(batch_brew, original), 0, QUANTITY_GRAVITY,
     .help = "its original extract"},
};
static const struct key_table BREW_KEYS = {"brew", BREW_ROWS, COUNT(BREW_ROWS),
                                           sizeof(struct batch_brew), true};

static const struct key STAY_ROWS[] = {
    {"tank", KEY_TEXT, AT(batch_tank, tank), KEY_REQUIRED, .help = "its name in cellar.yaml"},
    {"from", KEY_TIME, AT(batch_tank, from), KEY_REQUIRED, .help = "when it was filled"},
    {"to", KEY_TIME, AT(batch_tank, to), .help = "when it was empty"},
    {"volume", KEY_FIGURE, AT(batch_tank, volume), 0, QUANTITY_VOLUME, .help = "how much went in"},
};
static const struct key_table STAY_KEYS = {"tank entry", STAY_ROWS, COUNT(STAY_ROWS),
                                           sizeof(struct batch_tank), true};

static const struct key PART_ROWS[] = {
    {"batch", KEY_TEXT, AT(batch_part, batch), KEY_REQUIRED, .help = "number of the source"},
    {"volume", KEY_FIGURE, AT(batch_part, volume), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "how much of it"},
};
static const struct key_table PART_KEYS = {"part of a blend", PART_ROWS, COUNT(PART_ROWS),
                                           sizeof(struct batch_part), true};

static const struct key SEEN_ROWS[] = {
    {"rule", KEY_TEXT, AT(batch_seen, rule), KEY_REQUIRED, .help = "the finding's rule"},
    {"at", KEY_TIME, AT(batch_seen, at), KEY_REQUIRED, .help = "when it was acknowledged"},
    {"tank", KEY_TEXT, AT(batch_seen, tank), .help = "where, while the batch is in two tanks"},
    {"by", KEY_TEXT, AT(batch_seen, by), .help = "initials"},
    {"note", KEY_TEXT, AT(batch_seen, note), .help = "free text, in double quotes"},
};
static const struct key_table SEEN_KEYS = {"seen entry", SEEN_ROWS, COUNT(SEEN_ROWS),
                                           sizeof(struct batch_seen), true};

static const struct key BATCH_ROWS[] = {
    {"batch", KEY_TEXT, AT(batch, number), KEY_REQUIRED,
     .help = "its number, as the brewery counts"},
    {"beer", KEY_TEXT, AT(batch, beer), KEY_REQUIRED, .help = "its name in cellar.yaml"},
    {"brewed", KEY_TIME, AT(batch, brewed),
     .help = "when it went into the fermenter; in the future: a planned batch"},
    {"volume", KEY_FIGURE, AT(batch, volume), 0, QUANTITY_VOLUME, .help = "into the fermenter"},
    {"original", KEY_FIGURE, AT(batch, original), 0, QUANTITY_GRAVITY, .help = "original extract"},
    {"wort-ph", KEY_FIGURE, AT(batch, wort_ph), 0, QUANTITY_PH,
     .help = "pH in the fermenter, before the yeast"},
    {"ibu", KEY_FIGURE, AT(batch, ibu), 0, QUANTITY_BITTERNESS, .help = "bitterness"},
    {"forced", KEY_LIST, AT(batch, forced), KEY_OR_ONE, .most = 100, .table = &FORCED_KEYS,
     .help = "forced (fast) fermentation: where it should end; one or a list"},
    {"brews", KEY_LIST, AT(batch, brews), .most = 100, .table = &BREW_KEYS,
     .help = "the turns that filled one fermenter"},
    {"of", KEY_LIST, AT(batch, of), .most = 200, .table = &PART_KEYS,
     .help = "the parts of a blend"},
    {"tanks", KEY_LIST, AT(batch, tanks), .most = 200, .table = &STAY_KEYS,
     .help = "where it is and was: the only truth of occupation"},
    {"events", KEY_LIST, AT(batch, events), .table = &EVENT_KEYS, .help = "what was done"},
    {"seen", KEY_LIST, AT(batch, seen), .most = 1000, .table = &SEEN_KEYS,
     .help = "findings acknowledged"},
    {"note", KEY_TEXT, AT(batch, note), .help = "free text"},
    {"readings", KEY_LIST, AT(batch, readings), .table = &READING_KEYS,
     .help = "readings; keep it the last key: new ones are appended"},
};
const struct key_table BATCH_KEYS = {"batch", BATCH_ROWS, COUNT(BATCH_ROWS), sizeof(struct batch),
                                     false};

struct batch *batch_read(const struct keys_context *context, const struct doc_node *root)
{
    struct batch *batch = arena_alloc(context->arena, sizeof *batch);
    size_t errors = context->diags->errors;
    batch->source = context->source;
    keys_fill(context, &BATCH_KEYS, root, batch);
    batch->errors = context->diags->errors - errors;
    return batch;
}

static int compare_readings(const void *left, const void *right)
{
    const struct reading *a = *(struct reading *const *)left, *b = *(struct reading *const *)right;
    if (a->at.at != b->at.at)
        return a->at.at < b->at.at ? -1 : 1;
    return (a->node->start > b->node->start) - (a->node->start < b->node->start);
}

static int compare_events(const void *left, const void *right)
{
    const struct batch_event *a = *(struct batch_event *const *)left;
    const struct batch_event *b = *(struct batch_event *const *)right;
    if (a->at.at != b->at.at)
        return a->at.at < b->at.at ? -1 : 1;
    return (a->node->start > b->node->start) - (a->node->start < b->node->start);
}

static int compare_stays(const void *left, const void *right)
{
    const struct batch_stay *a = left, *b = right;
    if (a->from != b->from)
        return a->from < b->from ? -1 : 1;
    return (a->entry > b->entry) - (a->entry < b->entry);
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
    if (batch->happened.n > 1)
        qsort(batch->happened.items, batch->happened.n, sizeof *batch->happened.items,
              compare_events);
}

/* What there is of the batch, hL: as written, else by its turns or its parts; 0 when not told. */
static double whole_volume(const struct batch *batch)
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

/* Two entries are the parts of a split where both say how much, and it is no more than there is. */
static bool are_parts(const struct batch *batch, const struct batch_tank *a,
                      const struct batch_tank *b)
{
    const double grace = 1.02; /* two volumes are read by two eyes */
    return figure_is_exact(&a->volume) && figure_is_exact(&b->volume) &&
           a->volume.value + b->volume.value <= whole_volume(batch) * grace;
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
            !are_parts(batch, stay->entry, batch->stays.items[i].entry))
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
    if (batch->stays.n > 1)
        qsort(batch->stays.items, batch->stays.n, sizeof *batch->stays.items, compare_stays);
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
    if (targets.n > 1)
        qsort(targets.items, targets.n, sizeof *targets.items, compare_readings);
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
    if (n > 1)
        qsort(corrections, n, sizeof *corrections, compare_readings);
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
        qsort(batch->course.items, batch->course.n, sizeof *batch->course.items, compare_readings);
    int64_t wort_end = end_of_wort(batch);
    while (batch->first < batch->course.n && batch->course.items[batch->first]->at.at < wort_end)
        batch->first++;
}

/* Mass of wort in kg: a hectolitre of x P weighs 100 L times its density. */
static double wort_kg(double hectolitres, double plato)
{
    return hectolitres * 100 * extract_density_from_plato(plato) / 1000;
}

static void original_of_brews(struct batch *batch)
{
    double mass = 0, extract = 0, step = 0;
    const struct figure *first = NULL;
    for (size_t i = 0; i < batch->brews.n; i++) {
        const struct batch_brew *brew = &batch->brews.items[i];
        if (!figure_is_exact(&brew->original) || !figure_is_exact(&brew->volume))
            return;
        double kg = wort_kg(brew->volume.value, brew->original.value);
        mass += kg;
        extract += kg * brew->original.value;
        first = first == NULL ? &brew->original : first;
        step = fmax(step, brew->original.step);
    }
    if (first == NULL || !(mass > 0))
        return;
    batch->used_original = *first;
    batch->used_original.value = extract / mass;
    batch->used_original.step = step;
}

/* Extract that was added later counts as if it had been in the wort. */
static void add_extract(struct batch *batch)
{
    if (!figure_is_exact(&batch->used_original) || !figure_is_exact(&batch->volume))
        return;
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (!figure_is_exact(&event->extract))
            continue;
        double kg = wort_kg(batch->volume.value, batch->used_original.value);
        double extract = kg * batch->used_original.value / 100 + event->extract.value;
        batch->used_original.value = 100 * extract / (kg + event->extract.value);
    }
}

static void settle_wort(struct batch *batch)
{
    batch->used_original = batch->original;
    batch->used_wort_ph = batch->wort_ph;
    if (batch->used_original.state != FIGURE_SET)
        original_of_brews(batch);
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
    settle_wort(batch);
    batch->errors += context->diags->errors - errors;
}

bool batch_course_had(const struct batch_course *course, const struct batch_event *event)
{
    return event->tank == NULL || course->stay == NULL || event->at.at < course->stay->from ||
           str_eq(event->tank->text, course->stay->tank);
}

const struct batch_event *batch_last_event(const struct batch *batch, int what, int64_t before)
{
    for (size_t i = batch->happened.n; i-- > 0;) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->what == what && event->at.at < before)
            return event;
    }
    return NULL;
}

/* Marks the stays that a stay's beer came from: those in other tanks that ended as it began, or
 * went on beside it; and theirs. */
static void mark_sources(const struct batch *batch, size_t index, bool *marked)
{
    const struct batch_stay *stay = &batch->stays.items[index];
    marked[index] = true;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *other = &batch->stays.items[i];
        if (!marked[i] && other->from < stay->from && other->to >= stay->from - CIVIL_DAY)
            mark_sources(batch, i, marked);
    }
}

static bool belongs(const struct batch *batch, const struct reading *reading,
                    const struct batch_stay *stay, const bool *marked)
{
    if (reading->at.at >= stay->from)
        return reading->where.n == 0 || str_eq(reading->where, stay->tank);
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *source = &batch->stays.items[i];
        if (marked[i] && reading->at.at >= source->from && reading->at.at <= source->to &&
            str_eq(reading->where, source->tank))
            return true;
    }
    return reading->where.n == 0;
}

static struct batch_course course_of(const struct batch *batch, struct arena *arena,
                                     const struct batch_stay *stay)
{
    struct batch_course course = {batch, stay, {NULL, 0}};
    course.readings.items = arena_array(arena, batch->course.n, sizeof *course.readings.items);
    bool *marked = arena_array(arena, batch->stays.n + 1, sizeof *marked);
    if (stay != NULL)
        mark_sources(batch, (size_t)(stay - batch->stays.items), marked);
    for (size_t i = batch->first; i < batch->course.n; i++)
        if (stay == NULL || belongs(batch, batch->course.items[i], stay, marked))
            course.readings.items[course.readings.n++] = batch->course.items[i];
    return course;
}

struct batch_courses batch_courses(const struct batch *batch, struct arena *arena, int64_t now)
{
    struct batch_courses courses = {arena_array(arena, batch->stays.n + 1, sizeof *courses.items),
                                    0};
    int64_t moment = now;
    if (batch->ended) /* the last moment at which there was beer */
        for (size_t i = 0, seen = 0; i < batch->stays.n; i++)
            if (seen++ == 0 || batch->stays.items[i].to - 1 > moment)
                moment = batch->stays.items[i].to - 1;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        if (moment >= stay->from && moment < stay->to)
            courses.items[courses.n++] = course_of(batch, arena, stay);
    }
    if (courses.n == 0)
        courses.items[courses.n++] = course_of(batch, arena, NULL);
    return courses;
}
