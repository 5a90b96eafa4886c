#include "door.h"

#include "corrected.h"
#include "practice.h"

#include <math.h>

static const char *shown(struct arena *arena, struct str text)
{
    return str_shown(arena, text);
}

static void refuse_empty(struct entry *entry, const struct roster *roster, struct arena *arena)
{
    char since[CIVIL_TEXT_SIZE], until[CIVIL_TEXT_SIZE], at[CIVIL_TEXT_SIZE];
    const struct civil_zone *zone = roster->cellar->zone;
    const struct roster_row *before = roster_before(roster, entry->tank, entry->at);
    const struct roster_row *after = roster_after(roster, entry->tank, entry->at);
    const char *tank = shown(arena, entry->tank);
    civil_minute(zone, entry->at, at);
    if (before != NULL && after != NULL)
        entry_refuse(entry, arena, "%s was empty at %s: batch %s left it %s, %s came %s", tank, at,
                     shown(arena, before->batch), civil_minute(zone, before->to, since),
                     shown(arena, after->batch), civil_minute(zone, after->from, until));
    else if (after != NULL)
        entry_refuse(entry, arena, "%s was empty at %s: batch %s came into it %s", tank, at,
                     shown(arena, after->batch), civil_minute(zone, after->from, until));
    else if (before != NULL)
        entry_refuse(entry, arena, "%s was empty at %s: batch %s left it %s", tank, at,
                     shown(arena, before->batch), civil_minute(zone, before->to, since));
    else
        entry_refuse(entry, arena, "%s is empty: no batch names it under tanks:", tank);
}

static void refuse_batch_out(struct entry *entry, const struct roster *roster, struct arena *arena)
{
    char at[CIVIL_TEXT_SIZE];
    const char *number = shown(arena, entry->batch);
    const struct roster_row *second, *holder = roster_at(roster, entry->tank, entry->at, &second);
    if (roster_find(roster, entry->batch) == NULL)
        entry_refuse(entry, arena, "there is no batch %s in this book", number);
    else if (entry->tank.n > 0 && holder != NULL)
        entry_refuse(entry, arena, "%s held batch %s at %s, not %s", shown(arena, entry->tank),
                     shown(arena, holder->batch), civil_minute(roster->cellar->zone, entry->at, at),
                     number);
    else if (entry->tank.n > 0)
        entry_refuse(entry, arena, "batch %s was not in %s at %s", number,
                     shown(arena, entry->tank), civil_minute(roster->cellar->zone, entry->at, at));
    else
        entry_refuse(entry, arena, "batch %s was in no tank at %s", number,
                     civil_minute(roster->cellar->zone, entry->at, at));
}

/* A tank that is empty and was cleaned belongs to the plant log. */
static bool is_cleaning_of_empty(const struct entry *entry, const struct roster *roster)
{
    const struct roster_row *second;
    return entry->kind == ENTRY_EVENT && str_is(entry_get(entry, "what"), "clean") &&
           entry->tank.n > 0 && roster_at(roster, entry->tank, entry->at, &second) == NULL;
}

/* How much a line moves, hL; NAN: all that is there. */
static double moved_hl(const struct entry *entry, const struct cellar *cellar)
{
    struct figure volume;
    enum quantity_status status = quantity_read(entry_get(entry, "volume"), QUANTITY_VOLUME,
                                                cellar->house[QUANTITY_VOLUME], &volume);
    return status == QUANTITY_OK ? volume.value : (double)NAN;
}

/* Who left an empty tank in just this minute, or by a part of it before this move. */
static const struct roster_row *row_of_left(const struct entry *entry, const struct roster *roster)
{
    bool moves = entry->beside != NULL;
    return roster_left(roster, entry->tank, entry->at, moves ? entry_get(entry, "to") : STR(""),
                       moves ? moved_hl(entry, roster->cellar) : (double)NAN);
}

/* Of a split tank the file cannot tell by itself that all of its part has gone on. */
static void empty_part(struct entry *entry, const struct roster *roster,
                       const struct roster_row *row)
{
    const double nearly = 0.9; /* common practice: pipes and yeast keep the rest */
    bool stays = moved_hl(entry, roster->cellar) < nearly * row->filled_hl;
    if (entry->beside != NULL && row->shared && !stays && entry_get(entry, "empty").p == NULL)
        entry_set(entry, "empty", STR("yes"));
}

static void place_in_tank(struct entry *entry, const struct roster *roster, struct arena *arena,
                          const struct roster_row **row)
{
    const struct roster_row *second = NULL;
    if (entry->batch.n > 0)
        *row = roster_batch(roster, entry->batch, entry->tank, entry->at, &second);
    else
        *row = roster_at(roster, entry->tank, entry->at, &second);
    if (*row == NULL && entry->batch.n == 0)
        *row = row_of_left(entry, roster);
    if (*row == NULL && entry->batch.n > 0)
        refuse_batch_out(entry, roster, arena);
    else if (*row == NULL)
        refuse_empty(entry, roster, arena);
    else if (second != NULL && entry->batch.n > 0)
        entry_refuse(entry, arena, "batch %s was in %s and in %s then: write the tank",
                     shown(arena, entry->batch), shown(arena, (*row)->tank),
                     shown(arena, second->tank));
    else if (second != NULL)
        entry_refuse(entry, arena,
                     "two batches are said to be in %s then, %s and %s: mend their "
                     "tanks: first (gyle-validate)",
                     shown(arena, entry->tank), shown(arena, (*row)->batch),
                     shown(arena, second->batch));
}

void door_place(struct entry *entry, const struct roster *roster, struct arena *arena,
                const struct roster_row **row)
{
    *row = NULL;
    if (is_cleaning_of_empty(entry, roster)) {
        entry->kind = ENTRY_CLEANED;
        entry_remove(entry, "what");
        entry_set(entry, "tank", entry->tank);
    }
    if (ENTRY_FORMS[entry->kind].plant)
        return;
    const char *doubt = entry->tank.n > 0 ? roster_doubt(roster, entry->tank) : NULL;
    if (doubt != NULL) {
        entry_refuse(entry, arena,
                     "it is not known what is in %s: %s names it and has an error (gyle-validate)",
                     shown(arena, entry->tank), shown(arena, str_of(doubt)));
        return;
    }
    place_in_tank(entry, roster, arena, row);
    if (entry->state == ENTRY_REFUSED || *row == NULL)
        return;
    if (entry->beer.n > 0 && !str_eq(entry->beer, (*row)->beer)) {
        entry_refuse(entry, arena, "it says %s, but batch %s is %s", shown(arena, entry->beer),
                     shown(arena, (*row)->batch), shown(arena, (*row)->beer));
        return;
    }
    entry->tank = (*row)->tank;
    entry->batch = (*row)->batch;
    entry->beer = (*row)->beer;
    entry->path = (*row)->path;
    if ((*row)->shared)
        entry_set(entry, "tank", entry->tank);
    empty_part(entry, roster, *row);
}

static int reads_of_meter_key(struct str key)
{
    for (int i = 0; i < READS_COUNT; i++) {
        struct str name = str_of(BATCH_COLUMNS[i].key);
        if (key.n > name.n && str_eq(str_cut(key, 0, name.n), name) &&
            str_is(str_cut(key, name.n, key.n), "-meter"))
            return i;
    }
    return -1;
}

static void check_meter(struct entry *entry, const struct cellar *cellar, struct arena *arena,
                        struct str name, int reads)
{
    const struct cellar_meter *meter = cellar_meter(cellar, name);
    const char *nearest = cellar_nearest_meter(cellar, arena, name);
    if (meter == NULL)
        entry_refuse(entry, arena, "\"%s\" is no meter of this cellar%s", shown(arena, name),
                     str_meant(arena, nearest, ""));
    else if (reads >= 0 && cellar_reads_quantity(meter->reads) != BATCH_COLUMNS[reads].quantity)
        entry_refuse(entry, arena, "%s reads %s, not %s", shown(arena, name),
                     CELLAR_READS[meter->reads - 1], BATCH_COLUMNS[reads].key);
}

static void check_tank(struct entry *entry, const struct cellar *cellar, struct arena *arena,
                       struct str name)
{
    const char *nearest = cellar_nearest_tank(cellar, arena, name);
    if (cellar_tank(cellar, name) == NULL)
        entry_refuse(entry, arena, "\"%s\" is no tank of this cellar%s", shown(arena, name),
                     str_meant(arena, nearest, ""));
}

void door_names(struct entry *entry, const struct cellar *cellar, struct arena *arena)
{
    for (size_t i = 0; i < entry->n; i++) {
        struct str key = str_of(entry->pairs[i].key), value = entry->pairs[i].value;
        int reads = reads_of_meter_key(key);
        if (reads >= 0 || str_is(key, "meter"))
            check_meter(entry, cellar, arena, value, reads);
        if (str_is(key, "tank") || str_is(key, "to"))
            check_tank(entry, cellar, arena, value);
        if (str_is(key, "check") && cellar_check(cellar, value) == NULL)
            entry_refuse(entry, arena, "\"%s\" is no check of this cellar", shown(arena, value));
    }
}

/* How far a figure moves from one day to the next in a sound beer; more is asked about. Common
 * practice, no source. Pressure and the rest move as people wish. */
static const struct change {
    int reads;
    double rise, fall;         /* at once, whatever the time between */
    double rise_day, fall_day; /* and for each day more */
    bool same_tank;            /* a move changes it */
    const char *advice;
} CHANGES[] = {
    {READS_GRAVITY, 0.35, 1.0, 0, 8, false, "check the decimal point, the tank and the sample"},
    {READS_PH, 0.25, 0.35, 0.05, 0.8, false, "check the meter and its calibration"},
    {READS_TEMP, 4, 4, 6, 18, true, "check the unit and the tank"},
    {READS_CARBONATION, 0.5, 0.3, 1.5, 0.2, true, "check the unit and the tank"},
};

static void write_figure(struct buf *out, const struct figure *figure, int reads)
{
    quantity_write(out, BATCH_COLUMNS[reads].quantity, figure->value, figure->unit,
                   figure->decimals);
}

/* moved: from the one to the other, as their meters ask; NAN: that cannot be told. */
static void check_change(struct entry *entry, const struct figure *figure,
                         const struct known_figure *before, double moved,
                         const struct change *change, const struct civil_zone *zone,
                         struct arena *arena)
{
    double days = (double)(entry->at - before->at) / CIVIL_DAY;
    if (isnan(moved) || (moved <= change->rise + change->rise_day * days &&
                         -moved <= change->fall + change->fall_day * days))
        return;
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    struct buf text = buf_new(arena);
    write_figure(&text, figure, change->reads);
    buf_printf(&text, " after ");
    write_figure(&text, &before->now, change->reads);
    entry_remark(entry, arena, true, "%s %s on %s at %s: %s", BATCH_COLUMNS[change->reads].key,
                 text.p, civil_short_date(civil_day(zone, before->at), day),
                 civil_clock(zone, before->at, clock), change->advice);
}

static void check_pressure(struct entry *entry, const struct figure *figure,
                           const struct cellar_tank *tank, struct arena *arena)
{
    const double near = 0.9;
    if (tank == NULL || !figure_is_exact(&tank->rated) || figure->value < near * tank->rated.value)
        return;
    struct buf rated = buf_new(arena);
    write_figure(&rated, &tank->rated, READS_PRESSURE);
    bool over = figure->value > tank->rated.value;
    entry_remark(entry, arena, true,
                 "%s the %s on the name plate of %s: make it safe by the plate and your rules, "
                 "then check the gauge",
                 over ? "over" : "near", rated.p, shown(arena, entry->tank));
}

double door_compared(const struct figure *figure, int reads, struct str meter,
                     const struct batch *batch, const struct cellar *cellar)
{
    if (reads != READS_GRAVITY || meter.n == 0)
        return figure->value;
    return corrected_to_compare(figure, cellar_meter(cellar, meter), &batch->used_original);
}

static void check_original(struct entry *entry, double plato, const struct roster_row *row,
                           struct arena *arena)
{
    const double margin = 0.35;
    if (isnan(row->original_plato) || isnan(plato) || plato <= row->original_plato + margin)
        return;
    entry_remark(entry, arena, true, "above the original gravity, %.1f P: check the tank",
                 row->original_plato);
}

/* A cider, a seltzer: the book says that it reads so. */
static bool is_as_sour(const struct cellar_beer *beer, double value)
{
    const double off = 0.3; /* as of gyle-anomaly's ph-low */
    return beer != NULL && beer->ph.state == FIGURE_SET && beer->ph.has_low &&
           value >= beer->ph.low - off - 1e-9;
}

static void check_ph(struct entry *entry, const struct figure *figure, const struct cellar *cellar,
                     struct arena *arena)
{
    const struct cellar_beer *beer = cellar_beer(cellar, entry->beer);
    const struct practice *practice = &PRACTICE[beer == NULL ? YEAST_UNKNOWN : beer->yeast];
    const double low = 3.7, high = 5.8;
    if (figure->value > high)
        entry_remark(
            entry, arena, true,
            "pH is above any wort's: do not taste it; cleaner in the tank? check the meter");
    else if (figure->value < low && !practice->sours && !is_as_sour(beer, figure->value))
        entry_remark(entry, arena, true,
                     "pH is low for a clean beer: do not taste it; acid in the tank, or infection? "
                     "check the meter");
}

bool door_extract_came(const struct batch *batch, int64_t from, int64_t to)
{
    static const int WHATS[] = {EVENT_ADDITION, EVENT_KRAUSEN};
    for (size_t i = 0; i < sizeof WHATS / sizeof WHATS[0]; i++) {
        const struct batch_event *event = batch_last_event(batch, WHATS[i], to);
        if (event != NULL && event->at.at >= from)
            return true;
    }
    for (size_t i = 0; i < batch->brews.n; i++) {
        const struct moment *brewed = &batch->brews.items[i].at;
        if (brewed->set && brewed->at >= from && brewed->at <= to)
            return true;
    }
    return false;
}

void door_reading(struct entry *entry, const struct reading *reading, const struct roster_row *row,
                  const struct batch *batch, const struct known *known, const struct cellar *cellar,
                  struct arena *arena)
{
    struct str tank = row->shared ? entry->tank : STR("");
    for (size_t i = 0; i < sizeof CHANGES / sizeof CHANGES[0]; i++) {
        const struct figure *figure = &reading->figure[CHANGES[i].reads];
        const struct known_figure *before = known_before(
            known, CHANGES[i].same_tank ? entry->tank : tank, entry->at, CHANGES[i].reads);
        bool expected = before != NULL && CHANGES[i].reads == READS_GRAVITY &&
                        door_extract_came(batch, before->at, entry->at);
        if (figure_is_exact(figure) && before != NULL && !expected)
            check_change(
                entry, figure, before,
                door_compared(figure, CHANGES[i].reads, text_of(reading->meter[CHANGES[i].reads]),
                              batch, cellar) -
                    door_compared(&before->now, CHANGES[i].reads, before->meter, batch, cellar),
                &CHANGES[i], cellar->zone, arena);
    }
    if (figure_is_exact(&reading->figure[READS_GRAVITY]))
        check_original(entry,
                       door_compared(&reading->figure[READS_GRAVITY], READS_GRAVITY,
                                     text_of(reading->meter[READS_GRAVITY]), batch, cellar),
                       row, arena);
    if (figure_is_exact(&reading->figure[READS_PH]))
        check_ph(entry, &reading->figure[READS_PH], cellar, arena);
    if (figure_is_exact(&reading->figure[READS_PRESSURE]))
        check_pressure(entry, &reading->figure[READS_PRESSURE], cellar_tank(cellar, entry->tank),
                       arena);
}

/* The last reading of a check before a moment. */
static const struct doc_node *last_value(const struct known *known, struct str check, int64_t at)
{
    const struct known_entry *best = NULL;
    for (size_t i = 0; i < known->entries.n; i++) {
        const struct known_entry *k = &known->entries.items[i];
        const struct doc_node *name = doc_get(k->map, "check");
        if (k->kind == ENTRY_CHECK && k->at < at && name != NULL && name->kind == DOC_SCALAR &&
            str_eq(name->text, check) && doc_get(k->map, "value") != NULL &&
            (best == NULL || k->at > best->at))
            best = k;
    }
    return best == NULL ? NULL : doc_get(best->map, "value");
}

static bool is_outside(const struct range *limits, double value)
{
    return limits->state == FIGURE_SET &&
           ((limits->has_low && value < limits->low) || (limits->has_high && value > limits->high));
}

void door_check(struct entry *entry, const struct plant_reading *reading, const struct known *known,
                const struct cellar *cellar, struct arena *arena)
{
    struct str name = text_of(reading->check);
    const struct cellar_check *check = cellar_check(cellar, name);
    if (check == NULL || !figure_is_exact(&reading->value))
        return;
    enum quantity quantity = cellar_reads_quantity(check->reads);
    const struct doc_node *last = last_value(known, name, entry->at);
    struct figure before = {0};
    if (last != NULL && last->kind == DOC_SCALAR)
        quantity_read(last->text, quantity, cellar->house[quantity], &before);
    if (entry->bare_unit && before.state == FIGURE_SET && before.unit != NULL &&
        before.unit != reading->value.unit) {
        struct buf other = buf_new(arena);
        quantity_write_number(&other, reading->value.written, reading->value.decimals);
        buf_printf(&other, " %s", before.unit->name);
        entry_refuse(entry, arena, "%s was last written in %s: write the unit, %s or %s",
                     shown(arena, name), before.unit->name, other.p,
                     shown(arena, entry_get(entry, "value")));
        return;
    }
    if (check->counter.yes && last != NULL && figure_is_exact(&before) &&
        reading->value.value < before.value)
        entry_remark(
            entry, arena, true,
            "it only counts up, and last read %s; write reset: yes in its line where it began anew",
            shown(arena, last->text));
    if (is_outside(&check->limits, reading->value.value)) {
        struct buf limits = buf_new(arena);
        quantity_write_range(&limits, &check->limits, NULL);
        entry_remark(entry, arena, true, "outside of its limits, %s", limits.p);
    }
}
