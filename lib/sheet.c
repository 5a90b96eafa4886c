#include "sheet.h"

#include "anomaly_brief.h"
#include "expect.h"
#include "outlook.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const int SHEET_ORDER[SHEET_CELLS] = {READS_GRAVITY, READS_PH,          READS_TEMP,  READS_PRESSURE,
                                      READS_VDK,     READS_CARBONATION, READS_OXYGEN};

#define BIT(reads) (1U << READS_##reads)

const struct quantity_unit *sheet_unit(const struct sheet *sheet, enum quantity quantity)
{
    const struct quantity_unit *house = sheet->cellar->house[quantity];
    return house != NULL ? house : quantity_library_unit(quantity);
}

static void add_line(struct sheet *sheet, struct sheet_lines *lines, enum anomaly_level level,
                     struct str text)
{
    struct sheet_line *line = arena_alloc(sheet->arena, sizeof *line);
    line->level = level;
    line->text = arena_copy(sheet->arena, text.p, text.n);
    *lines->end = line;
    lines->end = &line->next;
}

static void add_words(struct sheet *sheet, struct sheet_lines *lines, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void add_words(struct sheet *sheet, struct sheet_lines *lines, const char *format, ...)
{
    char words[512];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    add_line(sheet, lines, ANOMALY_NONE, str_of(words));
}

static const char *shown(struct sheet *sheet, const struct doc_node *node)
{
    return str_shown(sheet->arena, text_of(node));
}

/* The walk. */

static bool is_wanted(const struct sheet_wish *wish, struct str tank)
{
    for (size_t i = 0; i < wish->tanks.n; i++)
        if (str_eq(wish->tanks.items[i], tank))
            return true;
    return wish->tanks.n == 0;
}

static void add_stops(struct sheet *sheet, const struct occupancy *occupancy,
                      const struct sheet_wish *wish)
{
    sheet->stops.items = arena_array(sheet->arena, occupancy->tanks.n, sizeof *sheet->stops.items);
    for (size_t i = 0; i < occupancy->tanks.n; i++) {
        const struct occupancy_tank *place = &occupancy->tanks.items[i];
        if (!is_wanted(wish, place->name))
            continue;
        struct sheet_stop *stop = &sheet->stops.items[sheet->stops.n++];
        stop->place = place;
        stop->alerts.end = &stop->alerts.first;
        stop->tasks.end = &stop->tasks.first;
        if (place->tank == NULL)
            add_words(sheet, &stop->alerts, "in walk:, but not among tanks:");
    }
    if (occupancy->tanks.n == 0)
        add_words(sheet, &sheet->alerts, "the cellar file lists no tanks");
}

static struct sheet_stop *find_stop(const struct sheet *sheet, struct str tank)
{
    for (size_t i = 0; i < sheet->stops.n; i++)
        if (str_eq(sheet->stops.items[i].place->name, tank))
            return &sheet->stops.items[i];
    return NULL;
}

/* What is in a tank. */

static struct due due_of(const struct sheet *sheet, const struct sheet_stop *stop,
                         const struct sheet_wish *wish)
{
    const struct cellar_tank *declared = stop->place->tank;
    int kind = declared == NULL ? TANK_UNKNOWN : declared->kind;
    bool has_every = declared != NULL && declared->every.state == FIGURE_SET;
    struct due_tank tank = {.course = stop->course,
                            .zone = sheet->cellar->zone,
                            .now = sheet->now,
                            .kind = kind,
                            .every_hours = has_every ? declared->every.value : 24,
                            .phase = due_phase_of(&stop->finish, kind, sheet->now),
                            .is_asked = wish->tanks.n > 0,
                            .is_open = due_is_open(&stop->finish),
                            .vdk_from = due_vdk_from(&stop->finish)};
    struct due due = due_today(&tank);
    if (wish->columns != 0)
        due.reads = wish->columns;
    return due;
}

static double hours_of(const struct sheet *sheet, const struct batch *batch)
{
    return (double)(sheet->now - batch->zero) / CIVIL_HOUR;
}

/* What the beer's earlier batches read at this age, or NULL. */
static const struct baseline *usual_of(const struct sheet *sheet, const struct batch *batch,
                                       const struct history *history)
{
    if (!batch->has_zero || history->batches.n == 0)
        return NULL;
    struct arena scratch;
    struct baseline *usual = NULL;
    arena_init(&scratch, sheet->arena->exhausted, sheet->arena->context);
    struct history_list earlier = history_before(history, batch, sheet->now, &scratch);
    if (earlier.n >= HISTORY_FEWEST) {
        usual = arena_alloc(sheet->arena, sizeof *usual);
        *usual = baseline_at_age(&earlier, hours_of(sheet, batch), sheet->arena);
    }
    arena_free(&scratch);
    return usual;
}

static void fill_cells(struct sheet *sheet, struct sheet_stop *stop)
{
    const struct batch_course *course = stop->course;
    for (int reads = 0; reads < SHEET_CELLS; reads++) {
        struct sheet_cell *cell = &stop->cells[reads];
        const struct reading *last = due_last_reading(course, reads, sheet->now);
        if (last != NULL) {
            cell->last = last->figure[reads];
            cell->last_at = last->at.at;
        }
        cell->is_due = (stop->due.reads >> reads & 1U) != 0;
    }
    for (size_t i = 0; i < course->readings.n; i++)
        if (course->readings.items[i]->at.at <= sheet->now)
            stop->last_at = course->readings.items[i]->at.at;
}

static void expect(struct sheet *sheet, struct sheet_stop *stop, const struct history *history)
{
    const struct batch *batch = stop->course->batch;
    const struct expect_case it = {
        .batch = batch,
        .cellar = sheet->cellar,
        .tank = stop->place->tank,
        .limit = &stop->finish.limit,
        .is_cold = stop->finish.chill.is_cold,
        .usual = usual_of(sheet, batch, history),
        .hours = hours_of(sheet, batch),
    };
    for (int reads = 0; reads < SHEET_CELLS; reads++)
        stop->cells[reads].expected = expect_today(&it, reads, &stop->cells[reads].last);
}

/* The verdict and the next step; nothing where the blanks say what to do. */
static void put_verdict(struct sheet *sheet, struct sheet_stop *stop,
                        const struct occupancy *occupancy)
{
    const struct finish_context context = {
        .cellar = sheet->cellar, .arena = sheet->arena, .now = occupancy->now};
    struct next next = next_step(&context, &stop->finish);
    struct str step = str_of(next.step);
    if (str_starts(step, "read "))
        step.n = 0;
    struct buf words = buf_new(sheet->arena);
    bool is_unread = stop->finish.verdict == FINISH_NO_JUDGEMENT && stop->last_at == 0;
    if (stop->finish.verdict != FINISH_FERMENTING && !is_unread)
        buf_printf(&words, "%s: %s", FINISH_VERDICT[stop->finish.verdict].name,
                   stop->finish.reason);
    if (words.n > 0 && step.n > 0)
        buf_add(&words, STR("; "));
    buf_add(&words, step);
    stop->verdict = words.n > 0 ? words.p : NULL;
    if (next.caution[0] != '\0')
        add_words(sheet, &stop->alerts, "%s", next.caution);
}

static void add_tasks(struct sheet *sheet, struct sheet_stop *stop)
{
    for (size_t i = 0; i < DUE_RULE_COUNT; i++)
        if ((stop->due.tasks & DUE_RULES[i].task & DUE_FORCED_READ) != 0)
            add_words(sheet, &stop->tasks, "%s: ________ %s", DUE_RULES[i].why,
                      sheet_unit(sheet, QUANTITY_GRAVITY)->name);
        else if ((stop->due.tasks & DUE_RULES[i].task) != 0)
            add_words(sheet, &stop->tasks, "%s: done at _____", DUE_RULES[i].why);
}

static void add_volume(struct sheet *sheet, struct sheet_stop *stop,
                       const struct occupancy *occupancy)
{
    const struct cellar_tank *tank = stop->place->tank;
    stop->volume = occupancy_volume(occupancy, stop->course);
    if (tank == NULL || tank->capacity.state != FIGURE_SET || stop->volume.state != FIGURE_SET ||
        stop->volume.value <= tank->capacity.value)
        return;
    const struct quantity_unit *unit = sheet_unit(sheet, QUANTITY_VOLUME);
    struct buf text = buf_new(sheet->arena);
    buf_add(&text, STR("the book puts "));
    quantity_write(&text, QUANTITY_VOLUME, stop->volume.value, unit, -1);
    buf_add(&text, STR(" into a tank of "));
    quantity_write(&text, QUANTITY_VOLUME, tank->capacity.value, unit, -1);
    add_line(sheet, &stop->alerts, ANOMALY_NONE, buf_str(&text));
}

static void fill_stop(struct sheet *sheet, struct sheet_stop *stop,
                      const struct occupancy *occupancy, const struct sheet_wish *wish)
{
    const struct batch_course *course = stop->place->course;
    const struct batch *batch = course->batch;
    const struct civil_zone *zone = sheet->cellar->zone;
    if (stop->place->other != NULL)
        add_words(sheet, &stop->alerts, "the book has two batches in here: %s and %s",
                  shown(sheet, stop->place->other->batch->number), shown(sheet, batch->number));
    stop->course = course;
    stop->finish = outlook_finish(occupancy, course, sheet->arena);
    stop->has_day = batch->has_zero;
    stop->day = civil_day(zone, sheet->now) - civil_day(zone, batch->zero);
    add_volume(sheet, stop, occupancy);
    stop->due = due_of(sheet, stop, wish);
    stop->is_visited = stop->due.reads != 0;
    fill_cells(sheet, stop);
    if (wish->due_only)
        return;
    expect(sheet, stop, &occupancy->history);
    put_verdict(sheet, stop, occupancy);
    add_tasks(sheet, stop);
}

static void add_standing(struct sheet *sheet, const struct occupancy *occupancy,
                         const struct sheet_wish *wish)
{
    for (size_t i = 0; i < sheet->stops.n; i++)
        if (sheet->stops.items[i].place->course != NULL)
            fill_stop(sheet, &sheet->stops.items[i], occupancy, wish);
    for (size_t i = 0; i < occupancy->strays.n && wish->tanks.n == 0; i++)
        add_words(sheet, &sheet->alerts,
                  "batch %s is in %s, which the cellar file does not declare",
                  shown(sheet, occupancy->strays.items[i].batch->number),
                  str_shown(sheet->arena, occupancy->strays.items[i].stay->tank));
    for (size_t i = 0; i < occupancy->lost.n && wish->tanks.n == 0; i++)
        add_words(sheet, &sheet->alerts, "batch %s (%s) is in no tank: its file has no tanks:",
                  shown(sheet, occupancy->lost.items[i]->number),
                  shown(sheet, occupancy->lost.items[i]->beer));
}

/* The plant. */

static void read_check(struct sheet *sheet, struct sheet_check *it,
                       const struct occupancy *occupancy)
{
    for (size_t i = 0; i < occupancy->plants.n; i++) {
        const struct plant *plant = occupancy->plants.items[i];
        for (size_t k = 0; k < plant->readings.n; k++) {
            const struct plant_reading *reading = &plant->readings.items[k];
            if (!reading->at.set || reading->at.at > sheet->now ||
                reading->at.at < it->cell.last_at || reading->value.state != FIGURE_SET ||
                !str_eq(it->name, text_of(reading->check)))
                continue;
            it->cell.last = reading->value;
            it->cell.last_at = reading->at.at;
            it->unit = reading->value.unit;
        }
    }
}

static void add_checks(struct sheet *sheet, const struct occupancy *occupancy)
{
    const struct cellar *cellar = sheet->cellar;
    sheet->checks.items = arena_array(sheet->arena, cellar->checks.n, sizeof *sheet->checks.items);
    for (size_t i = 0; i < cellar->checks.n; i++) {
        const struct cellar_check *check = &cellar->checks.items[i];
        struct sheet_check *it = &sheet->checks.items[sheet->checks.n++];
        it->name = name_of(check->node);
        it->check = check;
        it->quantity = cellar_reads_quantity(check->reads);
        it->unit = sheet_unit(sheet, it->quantity);
        it->cell.expected = check->limits;
        read_check(sheet, it, occupancy);
        if (sheet->is_blank)
            it->cell.last_at = 0;
        double every = check->every.state == FIGURE_SET ? check->every.value : 24;
        it->cell.is_due =
            it->cell.last_at == 0 || due_by_day(cellar->zone, it->cell.last_at, every, sheet->now);
    }
}

static void add_meters(struct sheet *sheet, const struct occupancy *occupancy)
{
    const struct meter_logs logs = {occupancy->plants.items, occupancy->plants.n};
    struct meters *meters = arena_alloc(sheet->arena, sizeof *meters);
    *meters = meter_all(sheet->arena, sheet->cellar, logs, sheet->now);
    sheet->meters.items = arena_array(sheet->arena, meters->n, sizeof *sheet->meters.items);
    for (size_t i = 0; i < meters->n; i++) {
        const struct meter *meter = &meters->items[i];
        const struct meter_check *last = meter_last_check(meter, sheet->now);
        if (isfinite(meter->due_hours) &&
            (last == NULL ||
             due_by_day(sheet->cellar->zone, last->at, meter->due_hours, sheet->now)))
            sheet->meters.items[sheet->meters.n++] = meter;
    }
}

/* Findings. */

/* Findings that say the same as the verdict and its next step: one of the two is enough. */
static const struct {
    enum anomaly_rule rule;
    bool verdict_stays; /* it knows more, as what was tried already */
} SAME[] = {
    {ANOMALY_SLOW_START, false},   {ANOMALY_CARBONATION, false},  {ANOMALY_STUCK, true},
    {ANOMALY_CHILLED_EARLY, true}, {ANOMALY_GRAVITY_BELOW, true},
};

static struct str words_of(struct sheet *sheet, const struct anomaly_finding *finding)
{
    struct buf text = buf_new(sheet->arena);
    anomaly_brief(&text, sheet->cellar, sheet->now, finding);
    if (finding->more.n > 0 && finding->rule == ANOMALY_CARBONATION) {
        buf_add(&text, STR("; "));
        buf_add(&text, finding->more);
    }
    if (finding->doubt.n > 0) {
        buf_add(&text, STR("; the meter first: "));
        buf_add(&text, finding->doubt);
    }
    buf_add(&text, STR(". First: "));
    buf_add(&text, anomaly_brief_first(finding));
    return buf_str(&text);
}

static void add_caution(struct sheet *sheet, struct sheet_lines *lines,
                        const struct anomaly_finding *finding)
{
    const char *caution = ANOMALY_RULES[finding->rule].caution;
    if (caution[0] != '\0' && finding->level == ANOMALY_ALARM)
        add_line(sheet, lines, ANOMALY_NONE, str_of(caution));
}

/* A finding about a gravity or a pH asks for it again, and cold beer may still lack its VDK test:
 * so there is a blank for it, finished or not. The other figures are due wherever they matter. */
static void ask_again(const struct sheet *sheet, struct sheet_stop *stop,
                      const struct anomaly_finding *finding, const struct sheet_wish *wish)
{
    const struct anomaly_info *info = &ANOMALY_RULES[finding->rule];
    unsigned asked = info->scope == ANOMALY_AT_READING  ? info->reads & (BIT(GRAVITY) | BIT(PH))
                     : finding->rule == ANOMALY_VDK_DUE ? BIT(VDK)
                                                        : 0;
    if (wish->columns != 0)
        return;
    for (int reads = 0; reads < SHEET_CELLS; reads++) {
        struct sheet_cell *cell = &stop->cells[reads];
        if ((asked & 1U << reads) == 0 ||
            (cell->last_at != 0 && wish->tanks.n == 0 &&
             civil_day(sheet->cellar->zone, cell->last_at) == sheet->today))
            continue;
        cell->is_due = true;
        stop->is_visited = true;
    }
}

static void add_tank_finding(struct sheet *sheet, struct sheet_stop *stop,
                             const struct anomaly_finding *finding, const struct sheet_wish *wish)
{
    ask_again(sheet, stop, finding, wish);
    struct str words = words_of(sheet, finding);
    for (size_t i = 0; i < sizeof SAME / sizeof SAME[0]; i++) {
        if (SAME[i].rule != finding->rule || stop->verdict == NULL)
            continue;
        if (SAME[i].verdict_stays)
            words = str_of(stop->verdict);
        stop->verdict = NULL;
    }
    add_line(sheet, &stop->alerts, finding->level, words);
    add_caution(sheet, &stop->alerts, finding);
    if (finding->level > stop->worst)
        stop->worst = finding->level;
}

/* "alarms in FV1, FV2; warnings in BT1" */
static void add_look_first(struct sheet *sheet)
{
    static const char *const LEADS[] = {
        [ANOMALY_WARN] = "warnings in ", [ANOMALY_ALARM] = "alarms in "};
    struct buf text = buf_new(sheet->arena);
    for (enum anomaly_level level = ANOMALY_ALARM; level >= ANOMALY_WARN; level--) {
        const char *lead = LEADS[level];
        for (size_t i = 0; i < sheet->stops.n; i++) {
            const struct sheet_stop *stop = &sheet->stops.items[i];
            if (stop->worst != level)
                continue;
            if (lead == LEADS[level] && text.n > 0)
                buf_add(&text, STR("; "));
            buf_add(&text, str_of(lead));
            str_escape(&text, stop->place->name, 20);
            lead = ", ";
        }
    }
    sheet->look_first = text.n > 0 ? text.p : NULL;
}

static void add_findings(struct sheet *sheet, const struct occupancy *occupancy,
                         const struct sheet_wish *wish)
{
    bool *asked = arena_array(sheet->arena, occupancy->standing.n + 1, sizeof *asked);
    for (size_t i = 0; i < occupancy->standing.n; i++)
        asked[i] = true;
    const struct anomaly_book book = {
        .arena = sheet->arena,
        .cellar = sheet->cellar,
        .batches = (const struct batch *const *)occupancy->standing.items,
        .asked = asked,
        .batch_count = occupancy->standing.n,
        .plants = occupancy->plants.items,
        .plant_count = occupancy->plants.n,
        .plants_asked = !sheet->is_part,
        .now = sheet->now,
        .since = sheet->now,
        .house_units = true,
    };
    struct anomaly_findings findings = anomaly_judge(&book);
    for (size_t i = 0; i < findings.n; i++) {
        const struct anomaly_finding *finding = &findings.items[i];
        if (finding->ended || finding->seen != NULL || finding->level < ANOMALY_WARN)
            continue;
        struct sheet_stop *stop = finding->tank.n == 0 ? NULL : find_stop(sheet, finding->tank);
        if (stop == NULL && finding->tank.n > 0)
            continue;
        if (stop != NULL) {
            add_tank_finding(sheet, stop, finding, wish);
        } else {
            add_line(sheet, &sheet->alerts, finding->level, words_of(sheet, finding));
            add_caution(sheet, &sheet->alerts, finding);
        }
    }
    add_look_first(sheet);
}

/* Paper only. */

/* The figures that beer in a tank of a kind can be asked for. */
static unsigned usual_reads(const struct cellar_tank *tank)
{
    switch (tank == NULL ? TANK_UNKNOWN : tank->kind) {
    case TANK_BRIGHT:
        return BIT(TEMP) | BIT(PRESSURE) | BIT(CARBONATION) | BIT(OXYGEN);
    case TANK_BARREL:
    case TANK_CASK:
        return BIT(GRAVITY) | BIT(PH) | BIT(TEMP);
    default:
        return BIT(GRAVITY) | BIT(PH) | BIT(TEMP) | BIT(PRESSURE) | BIT(VDK);
    }
}

static void leave_blank(struct sheet *sheet, unsigned columns)
{
    for (size_t i = 0; i < sheet->stops.n; i++) {
        struct sheet_stop *stop = &sheet->stops.items[i];
        unsigned reads = columns != 0 ? columns : usual_reads(stop->place->tank);
        stop->is_visited = true;
        for (int k = 0; k < SHEET_CELLS; k++)
            stop->cells[k].is_due = (reads >> k & 1U) != 0;
    }
}

struct sheet *sheet_make(struct arena *arena, const struct occupancy *occupancy,
                         const struct sheet_wish *wish)
{
    struct sheet *sheet = arena_alloc(arena, sizeof *sheet);
    sheet->arena = arena;
    sheet->cellar = occupancy->cellar;
    sheet->now = occupancy->now;
    sheet->today = civil_day(sheet->cellar->zone, sheet->now) + wish->days_ahead;
    sheet->is_blank = wish->blank;
    sheet->is_part = occupancy->is_part || wish->tanks.n > 0;
    sheet->alerts.end = &sheet->alerts.first;
    add_stops(sheet, occupancy, wish);
    if (wish->tanks.n == 0)
        add_checks(sheet, occupancy);
    if (wish->blank) {
        leave_blank(sheet, wish->columns);
    } else {
        add_standing(sheet, occupancy, wish);
    }
    if (!wish->blank && !wish->due_only) {
        add_findings(sheet, occupancy, wish);
        add_meters(sheet, occupancy);
    }
    for (size_t i = 0; i < sheet->stops.n; i++)
        for (int k = 0; k < SHEET_CELLS && sheet->stops.items[i].is_visited; k++)
            sheet->due |= sheet->stops.items[i].cells[k].is_due ? 1U << k : 0;
    return sheet;
}
