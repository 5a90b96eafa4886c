#include "door.h"
#include "ingest_run.h"

#include <math.h>
#include <string.h>

static struct entry *copy_without_figures(struct run *run, const struct entry *entry)
{
    struct entry *copy = arena_alloc(run->arena, sizeof *copy);
    *copy = *entry;
    copy->remarks = NULL;
    copy->beside = NULL;
    memset(copy->parts, 0, sizeof copy->parts);
    for (int q = 0; q < READS_COUNT; q++) {
        struct buf key = buf_new(run->arena);
        buf_printf(&key, "%s-meter", BATCH_COLUMNS[q].key);
        entry_remove(copy, BATCH_COLUMNS[q].key);
        entry_remove(copy, key.p);
    }
    entry_remove(copy, "note");
    return copy;
}

static void copy_figure(struct run *run, struct entry *to, const struct entry *from, int q,
                        struct str meter)
{
    struct buf key = buf_new(run->arena);
    buf_printf(&key, "%s-meter", BATCH_COLUMNS[q].key);
    entry_set(to, BATCH_COLUMNS[q].key, entry_get(from, BATCH_COLUMNS[q].key));
    if (meter.n > 0)
        entry_set(to, key.p, meter);
}

/* Sorting out the figures of a reading. */
struct sorted {
    struct entry *fresh, *correction;
    size_t new_figures, corrected, there;
    struct buf already, conflict;
};

/* "ph 4.23 (PH1) is in the book, this says 4.32" */
static void add_conflict(struct run *run, struct sorted *sorted, int q, const struct figure *figure,
                         const struct known_figure *k)
{
    struct str now = entry_figure_text(run->arena, &k->now);
    struct str typed = entry_figure_text(run->arena, figure);
    buf_printf(&sorted->conflict, "%s%s " STR_FMT, sorted->conflict.n > 0 ? "; " : "",
               BATCH_COLUMNS[q].key, STR_ARG(now));
    if (k->meter.n > 0)
        buf_printf(&sorted->conflict, " (" STR_FMT ")", STR_ARG(k->meter));
    buf_printf(&sorted->conflict,
               run->ingest->correct ? " to " STR_FMT : " is in the book, this says " STR_FMT,
               STR_ARG(typed));
}

static void sort_figure(struct run *run, const struct entry *entry, struct part *part,
                        const struct reading *reading, int q, struct sorted *sorted)
{
    const struct figure *figure = &reading->figure[q];
    struct str meter = text_of(reading->meter[q]);
    if (figure->state == FIGURE_ABSENT && figure->word == 0)
        return;
    struct known_figure *k = known_find(part->known, entry->tank, entry->at, q, meter, figure);
    if (k == NULL && figure->state == FIGURE_WITHDRAWN)
        return;
    if (k == NULL) {
        copy_figure(run, sorted->fresh, entry, q, meter);
        sorted->new_figures++;
    } else if (known_same(&k->now, figure) ||
               (known_same(&k->first, figure) && !run->ingest->correct)) {
        buf_printf(&sorted->already, "%s%s", sorted->already.n > 0 ? ", " : "",
                   BATCH_COLUMNS[q].key);
        if (!known_same(&k->now, figure))
            buf_printf(&sorted->already, " (corrected since to " STR_FMT ")",
                       STR_ARG(entry_figure_text(run->arena, &k->now)));
        sorted->there++;
    } else if (run->ingest->correct) {
        copy_figure(run, sorted->correction, entry, q, meter.n > 0 ? meter : k->meter);
        add_conflict(run, sorted, q, figure, k);
        sorted->corrected++;
    } else {
        add_conflict(run, sorted, q, figure, k);
    }
}

static void know_reading(struct part *part, const struct entry *entry,
                         const struct reading *reading)
{
    for (int q = 0; q < READS_COUNT; q++) {
        const struct figure *figure = &reading->figure[q];
        struct str meter = text_of(reading->meter[q]);
        if (figure->state == FIGURE_ABSENT && figure->word == 0)
            continue;
        struct known_figure *k = known_find(part->known, entry->tank, entry->at, q, meter, figure);
        if (k != NULL)
            k->now = *figure;
        else
            known_add_figure(part->known, (struct known_figure){entry->tank, meter, entry->at, q,
                                                                *figure, *figure});
    }
    struct str note = entry_get(entry, "note");
    if (note.p != NULL)
        known_add_note(part->known, (struct known_note){entry->tank, note, entry->at});
}

static void remark_again(struct run *run, struct entry *entry, int64_t at)
{
    char clock[CIVIL_CLOCK_SIZE];
    entry_remark(entry, run->arena, false,
                 "the same is there from %s today; if this is another one, write its time",
                 civil_clock(run->ingest->book->cellar->zone, at, clock));
    entry->state = ENTRY_THERE;
}

/* The civil day of an entry, [from, to). */
static void day_of(const struct run *run, const struct entry *entry, int64_t *from, int64_t *to)
{
    const struct civil_zone *zone = run->ingest->book->cellar->zone;
    int64_t day = civil_day(zone, entry->at);
    *from = civil_day_start(zone, day);
    *to = civil_day_start(zone, day + 1);
}

/* True when all figures and the note of a reading are there at a moment. */
static bool is_there_at(const struct entry *entry, const struct part *part,
                        const struct reading *reading, int64_t at)
{
    size_t told = 0;
    for (int q = 0; q < READS_COUNT; q++) {
        const struct figure *figure = &reading->figure[q];
        if (figure->state != FIGURE_SET && figure->word == 0)
            continue;
        const struct known_figure *k =
            known_find(part->known, entry->tank, at, q, text_of(reading->meter[q]), figure);
        if (k == NULL || !(known_same(&k->first, figure) || known_same(&k->now, figure)))
            return false;
        told++;
    }
    return told > 0;
}

/* A line without a time that says what was already read today is the same line read again. */
static bool is_again_today(struct run *run, struct entry *entry, const struct part *part,
                           const struct reading *reading)
{
    int64_t from, to;
    struct str note = entry_get(entry, "note");
    day_of(run, entry, &from, &to);
    bool noted = note.p == NULL || known_has_note_between(part->known, entry->tank, from, to, note);
    for (size_t i = 0; noted && i < part->known->figures.n; i++) {
        int64_t at = part->known->figures.items[i].at;
        if (at >= from && at < to && is_there_at(entry, part, reading, at)) {
            remark_again(run, entry, at);
            return true;
        }
    }
    for (int q = 0; q < READS_COUNT; q++)
        if (reading->figure[q].state == FIGURE_SET || reading->figure[q].word != 0)
            return false;
    if (noted && note.p != NULL)
        entry->state = ENTRY_THERE;
    return noted && note.p != NULL;
}

static void add_taken(struct entry *entry, struct entry *part)
{
    size_t i = 0;
    while (entry->parts[i] != NULL)
        i++;
    entry->parts[i] = part;
    entry->state = ENTRY_TAKEN;
}

static void take_sorted(struct run *run, struct entry *entry, struct part *part,
                        const struct reading *reading, struct sorted *sorted)
{
    struct str note = entry_get(entry, "note");
    bool new_note = note.p != NULL && !known_has_note(part->known, entry->tank, entry->at, note);
    if (sorted->conflict.n > 0 && !run->ingest->correct) {
        entry_refuse(entry, run->arena, "%s (--correct adds a correction)", sorted->conflict.p);
        return;
    }
    if (new_note)
        entry_set(sorted->fresh, "note", note);
    if (sorted->new_figures == 0 && !new_note && sorted->corrected == 0) {
        entry->state = ENTRY_THERE;
        if (sorted->already.n > 0 && strchr(sorted->already.p, '(') != NULL)
            entry_remark(entry, run->arena, false, "%s", sorted->already.p);
        return;
    }
    if (sorted->new_figures > 0 || new_note)
        add_taken(entry, sorted->fresh);
    if (sorted->corrected > 0) {
        entry_remark(entry, run->arena, false, "corrects %s", sorted->conflict.p);
        add_taken(entry, sorted->correction);
    }
    if (sorted->there > 0)
        entry_remark(entry, run->arena, false, "there already: %s", sorted->already.p);
    know_reading(part, entry, reading);
}

static struct entry *new_correction(struct run *run, const struct entry *entry)
{
    char at[CIVIL_TEXT_SIZE];
    struct entry *correction = copy_without_figures(run, entry);
    struct str when = str_of(civil_exact(run->ingest->book->cellar->zone, entry->at, at));
    correction->at = run->ingest->now;
    entry_set(correction, "corrects", str_copy(run->arena, when));
    return correction;
}

static void judge_reading(struct run *run, struct entry *entry, struct part *part,
                          const struct reading *reading, const struct roster_row *row)
{
    struct sorted sorted = {.fresh = copy_without_figures(run, entry),
                            .correction = new_correction(run, entry),
                            .already = buf_new(run->arena),
                            .conflict = buf_new(run->arena)};
    if (entry->assumed_time && is_again_today(run, entry, part, reading))
        return;
    for (int q = 0; q < READS_COUNT; q++)
        sort_figure(run, entry, part, reading, q, &sorted);
    if (sorted.new_figures > 0 || sorted.corrected > 0) {
        door_reading(entry, reading, row, part->batch, part->known, run->ingest->book->cellar,
                     run->arena);
        likely_reading(run->ingest->likely, entry, reading, part->batch, part->known);
    }
    take_sorted(run, entry, part, reading, &sorted);
}

static void refuse_other(struct run *run, struct entry *entry, const struct known_entry *k)
{
    const char *what = ENTRY_FORMS[entry->kind].what;
    if (k->taken != NULL)
        entry_refuse(entry, run->arena,
                     "line %zu has another %s of that minute; give this one its own time",
                     k->taken->line, what);
    else
        entry_refuse(entry, run->arena,
                     "the book has another %s of that minute, in line %u of %s; give this one its "
                     "own time, or edit that one",
                     what, (unsigned)k->map->line, str_shown(run->arena, str_of(entry->path)));
}

static void judge_other(struct run *run, struct entry *entry, struct part *part,
                        const struct doc_node *map)
{
    bool same;
    int64_t from, to;
    day_of(run, entry, &from, &to);
    const struct known_entry *k = known_entry(part->known, entry, map, &same);
    const struct known_entry *again =
        entry->assumed_time ? known_entry_between(part->known, entry, map, from, to) : NULL;
    if (again != NULL && again != k) {
        remark_again(run, entry, again->at);
    } else if (k != NULL && same) {
        entry->state = ENTRY_THERE;
    } else if (k != NULL) {
        refuse_other(run, entry, k);
    } else {
        known_add_entry(part->known, (struct known_entry){(int)entry->kind, entry->at, map, entry});
        add_taken(entry, entry);
    }
}

/* Beer that stayed behind, more than a move loses, would be out of sight. */
static void remark_rest(struct run *run, struct entry *entry, const struct roster_row *row,
                        const struct batch *batch, const struct batch_tank *next)
{
    const double lost = 0.1; /* common practice: pipes, yeast and hops keep less */
    const struct batch_stay *stay = batch_stay_at(batch, row->tank, entry->at - 1);
    bool goes_on = stay != NULL && batch_are_parts(batch, stay->entry, next);
    if (goes_on || !(next->volume.value > 0) || !(row->left_hl > lost * row->filled_hl))
        return;
    struct figure rest = next->volume;
    rest.written *= row->left_hl / next->volume.value;
    entry_remark(entry, run->arena, false,
                 "%s counts as empty now, though " STR_FMT " of it are not told of: give each part "
                 "that leaves a line; if some stays, add volume: to it in tanks: of the file",
                 str_shown(run->arena, row->tank), STR_ARG(entry_figure_text(run->arena, &rest)));
}

/* A move that is told late: the tank must be free again before the batch that came after it. */
static void remark_next(struct run *run, struct entry *entry, const struct entry *stay)
{
    char from[CIVIL_TEXT_SIZE];
    const struct roster_row *next = roster_after(run->ingest->roster, stay->tank, stay->at);
    if (next == NULL || str_eq(next->batch, entry->batch))
        return;
    entry_remark(entry, run->arena, true, "%s holds batch %s from %s on: tell when this left it",
                 str_shown(run->arena, stay->tank), str_shown(run->arena, next->batch),
                 civil_minute(run->ingest->book->cellar->zone, next->from, from));
}

/* A stay that goes with a move: the tank must be free. */
static void judge_stay(struct run *run, struct entry *entry, struct part *part,
                       const struct roster_row *row)
{
    struct entry *stay = entry->beside;
    struct batch_tank object = {0};
    const struct doc_node *map = NULL;
    const struct roster_row *second;
    bool same;
    stay->batch = entry->batch;
    stay->beer = entry->beer;
    stay->path = entry->path;
    const struct roster_row *holder = roster_at(run->ingest->roster, stay->tank, stay->at, &second);
    if (holder != NULL && !str_eq(holder->batch, entry->batch)) {
        entry_refuse(entry, run->arena,
                     "%s holds batch %s then; if both were mixed, give the blend a file of its "
                     "own, with of: (gyle-batch)",
                     str_shown(run->arena, stay->tank), str_shown(run->arena, holder->batch));
        return;
    }
    if (str_eq(stay->tank, entry->tank)) {
        entry_refuse(entry, run->arena, "batch %s is in %s already: write the tank it goes to",
                     str_shown(run->arena, entry->batch), str_shown(run->arena, stay->tank));
        return;
    }
    door_names(stay, run->ingest->book->cellar, run->arena);
    if (stay->state != ENTRY_REFUSED)
        entry_read(stay, run->ingest->book->cellar, run->arena, &object, &map);
    if (stay->state == ENTRY_REFUSED) {
        entry_refuse(entry, run->arena, "%s", stay->reason);
        return;
    }
    if (known_entry(part->known, stay, map, &same) != NULL)
        return;
    if (holder != NULL) {
        entry_refuse(entry, run->arena,
                     "%s holds a part of batch %s already: add the volume to its entry in tanks: "
                     "of the file",
                     str_shown(run->arena, stay->tank), str_shown(run->arena, entry->batch));
        return;
    }
    known_add_entry(part->known, (struct known_entry){ENTRY_STAY, stay->at, map, stay});
    add_taken(entry, stay);
    double hl = figure_is_exact(&object.volume) ? object.volume.value : (double)NAN;
    row = roster_move(run->ingest->roster, run->arena, row, stay->tank, stay->at, hl);
    remark_rest(run, entry, row, part->batch, &object);
    remark_next(run, entry, stay);
}

void ingest_judge(struct run *run, struct entry *entry)
{
    const struct cellar *cellar = run->ingest->book->cellar;
    const struct roster_row *row;
    struct part *part = NULL;
    const struct doc_node *map = NULL;
    union {
        struct reading reading;
        struct batch_event event;
        struct batch_tank stay;
        struct batch_forced forced;
        struct plant_reading check;
        struct plant_calibration calibration;
        struct plant_cleaned cleaned;
    } object;
    memset(&object, 0, sizeof object);
    if (entry->at > run->ingest->now) {
        char text[CIVIL_TEXT_SIZE];
        entry_refuse(entry, run->arena, "%s is still to come",
                     civil_minute(cellar->zone, entry->at, text));
        return;
    }
    door_place(entry, run->ingest->roster, run->arena, &row);
    if (entry->state == ENTRY_REFUSED)
        return;
    door_names(entry, cellar, run->arena);
    if (entry->state == ENTRY_REFUSED || !entry_read(entry, cellar, run->arena, &object, &map) ||
        !ingest_find_part(run, entry, &part))
        return;
    if (entry->kind == ENTRY_READING) {
        judge_reading(run, entry, part, &object.reading, row);
        return;
    }
    if (entry->kind == ENTRY_CHECK) {
        const struct cellar_check *check = cellar_check(cellar, entry_get(entry, "check"));
        struct diags unshown;
        diag_init(&unshown, run->arena);
        struct source source = {STR("entry"), STR("")};
        struct keys_context context = cellar_context(cellar, run->arena, &source, &unshown);
        keys_read_figure(&context, object.check.value_node, cellar_reads_quantity(check->reads),
                         &object.check.value);
        if (unshown.n > 0)
            entry_refuse(entry, run->arena, "%s", unshown.items[0].message);
        else
            door_check(entry, &object.check, part->known, cellar, run->arena);
        if (entry->state == ENTRY_REFUSED)
            return;
    }
    judge_other(run, entry, part, map);
    if (entry->state == ENTRY_TAKEN && entry->kind == ENTRY_EVENT &&
        object.event.what == EVENT_PACKAGE)
        likely_package(run->ingest->likely, entry, part->batch, part->known);
    if (entry->state == ENTRY_TAKEN && entry->kind == ENTRY_EVENT &&
        object.event.what == EVENT_CLOSE && object.event.pressure.state != FIGURE_SET)
        likely_close(run->ingest->likely, entry, part->batch, part->known);
    if (entry->state == ENTRY_TAKEN && entry->beside != NULL)
        judge_stay(run, entry, part, row);
    else if (entry->state == ENTRY_TAKEN && object.event.empty.yes && entry->kind == ENTRY_EVENT)
        roster_move(run->ingest->roster, run->arena, row, STR(""), entry->at, (double)NAN);
}
