#include "sheet.h"

#include "finish.h"
#include "next.h"
#include "practice.h"

#include <math.h>
#include <string.h>

const int SHEET_ORDER[SHEET_CELLS] = {READS_GRAVITY, READS_PH,          READS_TEMP,  READS_PRESSURE,
                                      READS_VDK,     READS_CARBONATION, READS_OXYGEN};

/* A batch that is in no tank is asked after for as long. */
#define LOST_DAYS 60

const struct quantity_unit *sheet_unit(const struct sheet *sheet, enum quantity quantity)
{
    const struct quantity_unit *house = sheet->cellar->house[quantity];
    return house != NULL ? house : quantity_library_unit(quantity);
}

bool sheet_is_visited(const struct sheet_stop *stop)
{
    return stop->is_occupied && stop->due.reads != 0;
}

static void add_line(struct sheet *sheet, struct sheet_line ***end, struct str text)
{
    struct sheet_line *line = arena_alloc(sheet->arena, sizeof *line);
    line->text = arena_copy(sheet->arena, text.p, text.n);
    **end = line;
    *end = &line->next;
}

/* A copy that outlives the file. */
static struct figure kept_figure(const struct figure *figure)
{
    struct figure kept = *figure;
    kept.node = NULL;
    return kept;
}

static struct range kept_range(const struct range *range)
{
    struct range kept = *range;
    kept.node = NULL;
    return kept;
}

static struct sheet_stop *find_stop(struct sheet *sheet, struct str name)
{
    for (size_t i = 0; i < sheet->stops.n; i++)
        if (str_eq(sheet->stops.items[i].name, name))
            return &sheet->stops.items[i];
    return NULL;
}

static struct sheet_stop *add_stop(struct sheet *sheet, struct str name, bool in_walk)
{
    struct sheet_stop *stop = find_stop(sheet, name);
    if (stop != NULL)
        return stop;
    stop = &sheet->stops.items[sheet->stops.n++];
    stop->name = name;
    stop->tank = cellar_tank(sheet->cellar, name);
    stop->in_walk = in_walk;
    stop->remarks_end = &stop->remarks;
    return stop;
}

struct sheet *sheet_new(struct arena *arena, const struct cellar *cellar, int64_t now)
{
    struct sheet *sheet = arena_alloc(arena, sizeof *sheet);
    sheet->arena = arena;
    sheet->cellar = cellar;
    sheet->now = now;
    sheet->today = civil_day(cellar->zone, now);
    sheet->remarks_end = &sheet->remarks;
    sheet->stops.items =
        arena_array(arena, cellar->walk.n + cellar->tanks.n, sizeof *sheet->stops.items);
    for (size_t i = 0; i < cellar->walk.n; i++)
        add_stop(sheet, cellar->walk.items[i]->text, true);
    for (size_t i = 0; i < cellar->tanks.n; i++)
        add_stop(sheet, name_of(cellar->tanks.items[i].node), cellar->walk.n == 0);
    sheet->checks.items = arena_array(arena, cellar->checks.n, sizeof *sheet->checks.items);
    for (size_t i = 0; i < cellar->checks.n; i++) {
        const struct cellar_check *check = &cellar->checks.items[i];
        struct sheet_check *it = &sheet->checks.items[sheet->checks.n++];
        it->name = name_of(check->node);
        it->check = check;
        it->quantity = cellar_reads_quantity(check->reads);
        it->unit = sheet_unit(sheet, it->quantity);
        it->cell.expected = kept_range(&check->limits);
    }
    sheet->meters.items = arena_array(arena, cellar->meters.n, sizeof *sheet->meters.items);
    for (size_t i = 0; i < cellar->meters.n; i++) {
        const struct cellar_meter *meter = &cellar->meters.items[i];
        double hours = meter->calibrate.state == FIGURE_SET ? meter->calibrate.value
                                                            : practice_calibrate_hours(meter->kind);
        sheet->meters.items[sheet->meters.n++] =
            (struct sheet_meter){name_of(meter->node), meter, false, 0, hours};
    }
    return sheet;
}

static void add_check_reading(struct sheet *sheet, const struct plant_reading *reading)
{
    for (size_t i = 0; i < sheet->checks.n; i++) {
        struct sheet_check *check = &sheet->checks.items[i];
        if (!str_eq(check->name, text_of(reading->check)) || reading->value.state != FIGURE_SET ||
            reading->at.at < check->cell.last_at)
            continue;
        check->cell.last = kept_figure(&reading->value);
        check->cell.last_at = reading->at.at;
        if (reading->value.unit != NULL)
            check->unit = reading->value.unit;
    }
}

void sheet_add_plant(struct sheet *sheet, const struct plant *plant)
{
    for (size_t i = 0; i < plant->readings.n; i++)
        if (plant->readings.items[i].at.set && plant->readings.items[i].at.at <= sheet->now)
            add_check_reading(sheet, &plant->readings.items[i]);
    for (size_t i = 0; i < plant->calibrations.n; i++) {
        const struct plant_calibration *it = &plant->calibrations.items[i];
        for (size_t k = 0; k < sheet->meters.n && it->at.set && it->at.at <= sheet->now; k++)
            if (str_eq(sheet->meters.items[k].name, text_of(it->meter)) &&
                it->at.at > sheet->meters.items[k].last_at)
                sheet->meters.items[k].last_at = it->at.at;
    }
    for (size_t i = 0; i < plant->cleaned.n; i++) {
        const struct plant_cleaned *it = &plant->cleaned.items[i];
        struct sheet_stop *stop = find_stop(sheet, text_of(it->tank));
        if (stop != NULL && it->at.set && it->at.at <= sheet->now && it->at.at > stop->cleaned)
            stop->cleaned = it->at.at;
    }
}

/* The largest figure expected: what the last one was, for a quantity that only falls. */
static struct range falling_to(const struct range *limit, const struct figure *last)
{
    struct range expected = *limit;
    if (last->state != FIGURE_SET || last->censor != 0)
        return expected;
    if (expected.state != FIGURE_SET) {
        expected.state = FIGURE_SET;
        expected.has_low = false;
        expected.unit = last->unit;
        expected.decimals = last->decimals;
    }
    if (expected.has_low && expected.low > last->value)
        expected.has_low = false;
    expected.has_high = true;
    expected.high = fmax(last->value, expected.has_low ? expected.low : last->value);
    if (last->decimals > expected.decimals)
        expected.decimals = last->decimals;
    return expected;
}

static struct range up_to(const struct figure *most)
{
    struct range range = {.state = FIGURE_ABSENT};
    if (most->state == FIGURE_SET)
        range = (struct range){.state = FIGURE_SET,
                               .has_high = true,
                               .high = most->value,
                               .unit = most->unit,
                               .decimals = most->decimals};
    return range;
}

/* Down into the beer's range, and never above the wort. */
static struct range expected_ph(const struct range *limit, const struct figure *last,
                                const struct figure *wort)
{
    bool has_last = last->state == FIGURE_SET && last->censor == 0;
    if (has_last && limit->state == FIGURE_SET && limit->has_high && last->value <= limit->high)
        return *limit;
    bool by_wort = wort->state == FIGURE_SET && (!has_last || last->value > wort->value);
    return falling_to(limit, by_wort ? wort : last);
}

/* What the figure should be today. */
static struct range expected_of(const struct sheet_stop *stop, const struct batch *batch, int reads)
{
    static const struct cellar_beer unknown;
    const struct cellar_beer *beer = batch->type == NULL ? &unknown : batch->type;
    const struct figure *last = &stop->cells[reads].last;
    switch (reads) {
    case READS_GRAVITY:
        return falling_to(&stop->verdict.limit, last);
    case READS_PH:
        return expected_ph(&beer->ph, last, &batch->used_wort_ph);
    case READS_TEMP:
        return stop->verdict.is_cold ? beer->cold : beer->ferment;
    case READS_PRESSURE:
        return up_to(stop->tank == NULL ? &(struct figure){0} : &stop->tank->rated);
    case READS_VDK:
        return beer->vdk;
    case READS_CARBONATION:
        return beer->carbonation;
    case READS_OXYGEN:
        return beer->oxygen;
    default:
        return (struct range){.state = FIGURE_ABSENT};
    }
}

static void fill_cells(struct sheet *sheet, struct sheet_stop *stop,
                       const struct batch_course *course)
{
    for (int reads = 0; reads < SHEET_CELLS; reads++) {
        struct sheet_cell *cell = &stop->cells[reads];
        const struct reading *last = due_last_reading(course, reads, sheet->now);
        if (last != NULL) {
            cell->last = kept_figure(&last->figure[reads]);
            cell->last_at = last->at.at;
        }
        cell->expected = expected_of(stop, course->batch, reads);
        cell->expected.node = NULL;
        cell->is_due = (stop->due.reads >> reads & 1U) != 0;
        if (stop->due.because[reads] != NULL && stop->due.because[reads]->every_days > 1)
            cell->why = stop->due.because[reads]->why;
    }
    for (size_t i = 0; i < course->readings.n; i++)
        if (course->readings.items[i]->at.at <= sheet->now)
            stop->last_at = course->readings.items[i]->at.at;
}

/* The stage of the beer, for the rules of what is due. */
static enum due_phase phase_of(const struct finish *finish, int kind, int64_t now)
{
    static const enum due_phase PHASES[FINISH_VERDICTS] = {
        [FINISH_NOT_STARTED] = DUE_NOT_STARTED, [FINISH_FERMENTING] = DUE_FERMENTING,
        [FINISH_SLOWING] = DUE_SLOWING,         [FINISH_FINISHED] = DUE_FINISHED,
        [FINISH_UNCONFIRMED] = DUE_SLOWING,     [FINISH_STUCK] = DUE_WRONG,
        [FINISH_BELOW_LIMIT] = DUE_WRONG,       [FINISH_CHILLED_EARLY] = DUE_WRONG,
        [FINISH_NO_JUDGEMENT] = DUE_FERMENTING,
    };
    enum due_phase phase = PHASES[finish->verdict];
    bool is_wrong = phase == DUE_WRONG;
    if (!is_wrong && (kind == TANK_BRIGHT ||
                      batch_last_event(finish->course->batch, EVENT_CARBONATE, now) != NULL))
        return DUE_BRIGHT;
    if (phase == DUE_FINISHED && finish->needs_confirm)
        return DUE_SLOWING;
    return phase == DUE_FINISHED && finish->chill.is_cold ? DUE_COLD : phase;
}

static struct range range_of_limit(const struct sheet *sheet, const struct limit *limit)
{
    const struct quantity_unit *unit = sheet_unit(sheet, QUANTITY_GRAVITY);
    return (struct range){.state = limit->source == LIMIT_NONE ? FIGURE_ABSENT : FIGURE_SET,
                          .low = limit->low_plato,
                          .high = limit->high_plato,
                          .has_low = !isnan(limit->low_plato),
                          .has_high = !isnan(limit->high_plato),
                          .unit = unit,
                          .decimals = (unsigned char)unit->decimals};
}

/* Plain fermenting needs no words: the blanks say what to do. */
static void put_words(struct sheet *sheet, struct sheet_verdict *verdict,
                      const struct finish *finish, const struct next *next)
{
    struct str step = str_of(next->step);
    if (str_starts(step, "read again"))
        step.n = 0;
    bool is_plain = finish->verdict == FINISH_FERMENTING && step.n == 0;
    struct buf words = buf_new(sheet->arena);
    if (!is_plain)
        buf_printf(&words, "%s: %s", FINISH_VERDICT[finish->verdict].name, finish->reason);
    if (!is_plain && step.n > 0)
        buf_add(&words, STR("; "));
    buf_add(&words, step);
    verdict->words = words.n == 0 ? NULL : words.p;
    verdict->caution = next->caution[0] == '\0'
                           ? NULL
                           : arena_copy(sheet->arena, next->caution, strlen(next->caution));
}

static struct sheet_verdict judge(struct sheet *sheet, const struct batch_course *course, int kind,
                                  struct arena *scratch)
{
    const struct finish_context context = {
        .cellar = sheet->cellar, .arena = scratch, .now = sheet->now};
    struct finish finish = finish_judge(&context, course);
    struct next next = next_step(&context, &finish);
    struct sheet_verdict verdict = {.phase = phase_of(&finish, kind, sheet->now),
                                    .is_cold = finish.chill.is_cold,
                                    .limit = range_of_limit(sheet, &finish.limit),
                                    .limit_from = LIMIT_SOURCES[finish.limit.source]};
    put_words(sheet, &verdict, &finish, &next);
    return verdict;
}

static void fill_stop(struct sheet *sheet, struct sheet_stop *stop,
                      const struct batch_course *course, struct arena *scratch)
{
    const struct batch *batch = course->batch;
    const struct civil_zone *zone = sheet->cellar->zone;
    int kind = stop->tank == NULL ? TANK_UNKNOWN : stop->tank->kind;
    if (stop->is_occupied) {
        struct buf text = buf_new(sheet->arena);
        buf_printf(&text, "the book has two batches in here: %s and %s",
                   str_shown(sheet->arena, stop->batch),
                   str_shown(sheet->arena, text_of(batch->number)));
        add_line(sheet, &stop->remarks_end, buf_str(&text));
        if (course->stay->from <= stop->from)
            return;
    }
    sheet->occupied += stop->is_occupied ? 0 : 1;
    stop->is_occupied = true;
    stop->batch = str_copy(sheet->arena, text_of(batch->number));
    stop->beer = str_copy(sheet->arena, text_of(batch->beer));
    stop->has_day = batch->has_zero;
    stop->day = civil_day(zone, sheet->now) - civil_day(zone, batch->zero);
    stop->brewed_day = civil_day(zone, batch->brewed.set ? batch->brewed.at : batch->zero);
    stop->from = course->stay->from;
    bool told = course->stay->entry->volume.state == FIGURE_SET;
    stop->volume = kept_figure(told ? &course->stay->entry->volume : &batch->volume);
    stop->original = kept_figure(&batch->used_original);
    stop->verdict = judge(sheet, course, kind, scratch);
    struct due_tank tank = {
        course,
        zone,
        sheet->now,
        kind,
        stop->tank != NULL && stop->tank->every.state == FIGURE_SET ? stop->tank->every.value : 24,
        stop->verdict.phase};
    stop->due = due_today(&tank);
    fill_cells(sheet, stop, course);
}

/* Remembers when beer left the tanks it was in. */
static void note_departures(struct sheet *sheet, const struct batch *batch)
{
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        struct sheet_stop *stop = stay->to <= sheet->now ? find_stop(sheet, stay->tank) : NULL;
        if (stop != NULL && stay->to > stop->emptied)
            stop->emptied = stay->to;
    }
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        struct sheet_stop *stop =
            event->what == EVENT_CLEAN ? find_stop(sheet, text_of(event->tank)) : NULL;
        if (stop != NULL && event->at.at > stop->cleaned)
            stop->cleaned = event->at.at;
    }
}

static void note_without_tank(struct sheet *sheet, const struct batch *batch)
{
    const struct civil_zone *zone = sheet->cellar->zone;
    if (batch->stays.n > 0 || !batch->brewed.set || batch->brewed.at > sheet->now ||
        sheet->today - civil_day(zone, batch->brewed.at) > LOST_DAYS)
        return;
    struct buf text = buf_new(sheet->arena);
    buf_printf(&text, "batch %s (%s) is in no tank: its file has no tanks:",
               str_shown(sheet->arena, text_of(batch->number)),
               str_shown(sheet->arena, text_of(batch->beer)));
    add_line(sheet, &sheet->remarks_end, buf_str(&text));
}

void sheet_add_batch(struct sheet *sheet, const struct batch *batch, struct arena *scratch)
{
    note_departures(sheet, batch);
    note_without_tank(sheet, batch);
    if (batch->ended || batch_stay_at(batch, STR(""), sheet->now) == NULL)
        return;
    struct batch_courses courses = batch_courses(batch, scratch, sheet->now);
    for (size_t i = 0; i < courses.n; i++) {
        const struct batch_course *course = &courses.items[i];
        if (course->stay == NULL)
            continue;
        struct sheet_stop *stop = find_stop(sheet, course->stay->tank);
        if (stop != NULL) {
            fill_stop(sheet, stop, course, scratch);
            continue;
        }
        struct buf text = buf_new(sheet->arena);
        buf_printf(&text, "batch %s is in %s, which the cellar file does not declare",
                   str_shown(sheet->arena, text_of(batch->number)),
                   str_shown(sheet->arena, course->stay->tank));
        add_line(sheet, &sheet->remarks_end, buf_str(&text));
    }
}

/* Tanks are filled to less than the brim. */
static void remark_volume(struct sheet *sheet, struct sheet_stop *stop)
{
    if (stop->tank == NULL || stop->tank->capacity.state != FIGURE_SET ||
        stop->volume.state != FIGURE_SET || stop->volume.value <= stop->tank->capacity.value)
        return;
    struct buf text = buf_new(sheet->arena);
    buf_add(&text, STR("the book puts "));
    quantity_write(&text, QUANTITY_VOLUME, stop->volume.value, sheet_unit(sheet, QUANTITY_VOLUME),
                   -1);
    buf_add(&text, STR(" into a tank of "));
    quantity_write(&text, QUANTITY_VOLUME, stop->tank->capacity.value,
                   sheet_unit(sheet, QUANTITY_VOLUME), -1);
    add_line(sheet, &stop->remarks_end, buf_str(&text));
}

static void finish_stop(struct sheet *sheet, struct sheet_stop *stop)
{
    if (stop->tank == NULL)
        add_line(sheet, &stop->remarks_end, STR("in walk:, but not among tanks:"));
    if (!stop->is_occupied)
        return;
    sheet->due |= stop->due.reads;
    remark_volume(sheet, stop);
    for (size_t i = 0; i < DUE_RULE_COUNT; i++)
        if ((stop->due.tasks & DUE_RULES[i].task) != 0)
            add_line(sheet, &stop->remarks_end, str_of(DUE_RULES[i].why));
}

void sheet_finish(struct sheet *sheet)
{
    const struct civil_zone *zone = sheet->cellar->zone;
    for (size_t i = 0; i < sheet->stops.n; i++)
        finish_stop(sheet, &sheet->stops.items[i]);
    for (size_t i = 0; i < sheet->checks.n; i++) {
        struct sheet_check *check = &sheet->checks.items[i];
        double every = check->check->every.state == FIGURE_SET ? check->check->every.value : 24;
        check->cell.is_due =
            check->cell.last_at == 0 || due_by_day(zone, check->cell.last_at, every, sheet->now);
    }
    for (size_t i = 0; i < sheet->meters.n; i++) {
        struct sheet_meter *meter = &sheet->meters.items[i];
        meter->is_due =
            isfinite(meter->due_hours) &&
            (meter->last_at == 0 || due_by_day(zone, meter->last_at, meter->due_hours, sheet->now));
    }
}
