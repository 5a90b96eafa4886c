#include "ingest.h"

#include "door.h"
#include "insert.h"
#include "known.h"

#include <stdlib.h>
#include <string.h>

/* A document of a target file, and what it holds. */
struct part {
    struct part *next;
    struct str name; /* the batch's number or the month */
    const struct doc_node *root;
    struct known *known;
};

/* A file that entries go to, as it was read. */
struct target {
    struct target *next;
    struct store_file file;
    struct book_file *parsed;
    struct part *parts;
    const char *why; /* it cannot be used; NULL: it can */
    bool plant, fresh;
};

struct run {
    struct ingest *ingest;
    struct arena *arena;
    struct book quiet; /* the book, with findings that are not shown */
    struct diags diags;
    struct entry_list *list;
    struct target *targets;
};

static struct part *add_part(struct run *run, struct target *target, struct str name,
                             const struct doc_node *root, struct known *known)
{
    struct part *part = arena_alloc(run->arena, sizeof *part);
    *part = (struct part){target->parts, name, root, known};
    target->parts = part;
    return part;
}

static void read_parts(struct run *run, struct target *target)
{
    target->parsed = book_parse(&run->quiet, run->arena, target->file.source);
    for (size_t i = 0; i < target->parsed->batches.n; i++) {
        struct batch *batch = target->parsed->batches.items[i];
        add_part(run, target, text_of(batch->number), batch->node,
                 known_batch(run->arena, &run->quiet, batch, run->ingest->now));
    }
    for (size_t i = 0; i < target->parsed->plants.n; i++) {
        const struct plant *plant = target->parsed->plants.items[i];
        add_part(run, target, text_of(plant->month), plant->node,
                 known_plant(run->arena, &run->quiet, plant));
    }
    if (target->parsed->stream.broken)
        target->why = "the file is not YAML: see gyle-validate";
}

static struct target *find_target(struct run *run, const char *path)
{
    for (struct target *target = run->targets; target != NULL; target = target->next)
        if (strcmp(target->file.path, path) == 0)
            return target;
    struct target *target = arena_alloc(run->arena, sizeof *target);
    target->next = run->targets;
    run->targets = target;
    if (!store_read(&target->file, run->arena, path, &target->why)) {
        run->ingest->trouble = true;
        return target;
    }
    read_parts(run, target);
    return target;
}

static struct part *find_part(const struct target *target, struct str name, bool plant)
{
    for (struct part *part = target->parts; part != NULL; part = part->next)
        if (doc_get(part->root, plant ? "plant" : "batch") != NULL && str_eq(part->name, name))
            return part;
    return NULL;
}

/* The plant log of an entry's month: the file of that name, else any that holds the month, else a
 * new one. */
static struct target *plant_target(struct run *run, struct str month, struct part **part)
{
    struct arena *arena = run->arena;
    struct buf name = buf_new(arena);
    buf_printf(&name, "plant/" STR_FMT ".yaml", STR_ARG(month));
    const char *usual = file_join(arena, run->ingest->book->folder, name.p);
    struct target *target = find_target(run, usual);
    *part = find_part(target, month, true);
    if (*part != NULL || target->why != NULL)
        return target;
    struct file_list files = book_plants(&run->quiet);
    for (size_t i = 0; i < files.n; i++) {
        struct target *other = find_target(run, files.paths[i]);
        *part = find_part(other, month, true);
        if (*part != NULL)
            return other;
    }
    if (target->file.exists) {
        target->why = "the file holds no plant log of that month";
        return target;
    }
    struct buf text = buf_new(arena);
    buf_printf(&text, "---\nplant: " STR_FMT "\n", STR_ARG(month));
    target->file.source.text = buf_str(&text);
    target->fresh = true;
    read_parts(run, target);
    *part = find_part(target, month, true);
    return target;
}

static struct str month_of(const struct run *run, const struct entry *entry)
{
    char text[CIVIL_TEXT_SIZE];
    civil_minute(run->ingest->book->cellar->zone, entry->at, text);
    return (struct str){arena_copy(run->arena, text, strlen("2026-11")), strlen("2026-11")};
}

static bool find_place(struct run *run, struct entry *entry, struct part **part)
{
    struct target *target;
    if (ENTRY_FORMS[entry->kind].plant) {
        target = plant_target(run, month_of(run, entry), part);
        entry->path = target->file.path;
    } else {
        target = find_target(run, entry->path);
        *part = find_part(target, entry->batch, false);
    }
    if (target->why != NULL)
        entry_refuse(entry, run->arena, "%s: %s", str_shown(run->arena, str_of(entry->path)),
                     target->why);
    else if (*part == NULL)
        entry_refuse(entry, run->arena, "%s was changed by another program: run it again",
                     str_shown(run->arena, str_of(entry->path)));
    return entry->state != ENTRY_REFUSED;
}

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
    if (sorted.new_figures > 0 || sorted.corrected > 0)
        door_reading(entry, reading, row, part->known, run->ingest->book->cellar, run->arena);
    take_sorted(run, entry, part, reading, &sorted);
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
        entry_refuse(entry, run->arena,
                     "the book has another %s of that minute, in line %u of %s; give this one its "
                     "own time, or edit that one",
                     ENTRY_FORMS[entry->kind].what, (unsigned)k->map->line,
                     str_shown(run->arena, str_of(entry->path)));
    } else {
        known_add_entry(part->known, (struct known_entry){(int)entry->kind, entry->at, map});
        add_taken(entry, entry);
    }
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
        entry_refuse(entry, run->arena, "%s holds batch %s then", str_shown(run->arena, stay->tank),
                     str_shown(run->arena, holder->batch));
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
    known_add_entry(part->known, (struct known_entry){ENTRY_STAY, stay->at, map});
    add_taken(entry, stay);
    roster_move(run->ingest->roster, run->arena, row, stay->tank, stay->at);
}

static void judge(struct run *run, struct entry *entry)
{
    const struct cellar *cellar = run->ingest->book->cellar;
    const struct roster_row *row;
    struct part *part = NULL;
    const struct doc_node *map = NULL;
    union {
        struct reading reading;
        struct batch_event event;
        struct batch_tank stay;
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
        !find_place(run, entry, &part))
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
    if (entry->state == ENTRY_TAKEN && entry->beside != NULL)
        judge_stay(run, entry, part, row);
    else if (entry->state == ENTRY_TAKEN && object.event.empty.yes && entry->kind == ENTRY_EVENT)
        roster_move(run->ingest->roster, run->arena, row, STR(""), entry->at);
}

/* Writing */

struct addition {
    const struct entry *entry;
    size_t order;
};

static int compare_additions(const void *left, const void *right)
{
    const struct addition *a = left, *b = right;
    if (a->entry->at != b->entry->at)
        return a->entry->at < b->entry->at ? -1 : 1;
    return (a->order > b->order) - (a->order < b->order);
}

static bool goes_to(const struct run *run, const struct target *target, const struct part *part,
                    const struct entry *entry)
{
    if (entry->state != ENTRY_TAKEN || strcmp(entry->path, target->file.path) != 0)
        return false;
    struct str name = ENTRY_FORMS[entry->kind].plant ? month_of(run, entry) : entry->batch;
    return find_part(target, name, ENTRY_FORMS[entry->kind].plant) == part;
}

/* Everything new for one list of one document, in order of time. */
static size_t collect(const struct run *run, const struct target *target, const struct part *part,
                      enum entry_kind kind, struct addition *additions)
{
    size_t n = 0;
    for (size_t i = 0; i < run->list->n; i++) {
        const struct entry *entry = run->list->items[i];
        if (!goes_to(run, target, part, entry))
            continue;
        for (size_t k = 0; entry->parts[k] != NULL; k++)
            if (entry->parts[k]->kind == kind) {
                additions[n] = (struct addition){entry->parts[k], n};
                n++;
            }
    }
    if (n > 1)
        qsort(additions, n, sizeof *additions, compare_additions);
    return n;
}

static const char *add_list(struct run *run, struct insert *insert, const struct target *target,
                            const struct part *part, enum entry_kind kind)
{
    const struct key_table *table = entry_table(kind);
    const struct key_table *document = ENTRY_FORMS[kind].plant ? &PLANT_KEYS : &BATCH_KEYS;
    struct addition *additions = arena_array(run->arena, run->list->n * 3 + 1, sizeof *additions);
    size_t n = collect(run, target, part, kind, additions);
    if (n == 0)
        return NULL;
    const char **order = arena_array(run->arena, table->count, sizeof *order);
    struct str *lines = arena_array(run->arena, n, sizeof *lines);
    const struct doc_node *list = doc_get(part->root, ENTRY_FORMS[kind].list);
    entry_order(table, list != NULL && list->kind == DOC_LIST ? list : NULL, order);
    for (size_t i = 0; i < n; i++) {
        struct buf line = buf_new(run->arena);
        entry_write(&line, additions[i].entry, run->ingest->book->cellar->zone, order,
                    table->count);
        lines[i] = buf_str(&line);
    }
    return insert_entries(insert, part->root, document, ENTRY_FORMS[kind].list, lines, n);
}

/* Reads the new bytes as the book's readers will: nothing of the old may be lost, no error new. */
static const char *check_result(struct run *run, const struct target *target, struct str bytes)
{
    struct source source = {target->file.source.name, bytes};
    struct book_file *after = book_parse(&run->quiet, run->arena, source);
    if (!insert_keeps(&target->parsed->stream, &after->stream))
        return "the entries cannot be added without changing what is there: it ends in an unusual "
               "way; add a line by hand first";
    if (after->errors > target->parsed->errors)
        return run->diags.n > 0 ? run->diags.items[run->diags.n - 1].message : "a new error";
    return NULL;
}

static void finish(struct run *run, const struct target *target, enum entry_state state,
                   const char *why)
{
    for (size_t i = 0; i < run->list->n; i++) {
        struct entry *entry = run->list->items[i];
        if (entry->state != ENTRY_TAKEN || strcmp(entry->path, target->file.path) != 0)
            continue;
        entry->state = state;
        entry->reason = why;
    }
}

static bool has_taken(const struct run *run, const struct target *target)
{
    for (size_t i = 0; i < run->list->n; i++)
        if (run->list->items[i]->state == ENTRY_TAKEN &&
            strcmp(run->list->items[i]->path, target->file.path) == 0)
            return true;
    return false;
}

static void note_written(struct ingest *ingest, const char *path)
{
    const char **paths = arena_array(ingest->arena, ingest->written.n + 1, sizeof *paths);
    for (size_t i = 0; i < ingest->written.n; i++)
        paths[i] = ingest->written.items[i];
    paths[ingest->written.n++] = path;
    ingest->written.items = paths;
}

/* True when the file was changed meanwhile and its entries wait again. */
static bool write_target(struct run *run, struct target *target)
{
    struct insert insert = insert_new(run->arena, target->file.source.text);
    const char *why = NULL;
    for (const struct part *part = target->parts; part != NULL && why == NULL; part = part->next)
        for (int kind = 0; kind < ENTRY_NOTHING && why == NULL; kind++)
            why = add_list(run, &insert, target, part, (enum entry_kind)kind);
    struct str bytes = insert_apply(&insert);
    if (why == NULL)
        why = check_result(run, target, bytes);
    if (why != NULL) {
        finish(run, target, ENTRY_FAILED, why);
        run->ingest->trouble = true;
        return false;
    }
    if (run->ingest->dry_run)
        return false;
    switch (store_write(&target->file, run->arena, bytes, &why)) {
    case STORE_DONE:
        finish(run, target, ENTRY_ADDED, NULL);
        note_written(run->ingest, target->file.path);
        return false;
    case STORE_CHANGED:
        finish(run, target, ENTRY_WAITING, why);
        return true;
    default:
        finish(run, target, ENTRY_FAILED, why);
        run->ingest->trouble = true;
        return false;
    }
}

void ingest_begin(struct ingest *ingest)
{
    ingest->roster = roster_read(ingest->book, ingest->arena, ingest->now);
    ingest->trouble = ingest->trouble || ingest->roster->doubts.n > 0;
}

static bool run_once(struct ingest *ingest, struct entry_list *list)
{
    struct run run = {
        .ingest = ingest, .arena = ingest->arena, .quiet = *ingest->book, .list = list};
    bool again = false;
    diag_init(&run.diags, ingest->arena);
    run.quiet.diags = &run.diags;
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i]->state == ENTRY_WAITING)
            judge(&run, list->items[i]);
    for (struct target *target = run.targets; target != NULL; target = target->next)
        if (has_taken(&run, target))
            again = write_target(&run, target) || again;
    return again;
}

static size_t count_remarks(const struct entry *entry)
{
    size_t n = 0;
    for (const struct entry_remark *remark = entry->remarks; remark != NULL; remark = remark->next)
        n++;
    return n;
}

/* An entry as it was before it was judged, with so many remarks. */
static void restore(struct entry *entry, const struct entry *before, size_t remarks)
{
    struct entry_remark **end = &entry->remarks;
    while (remarks-- > 0)
        end = &(*end)->next;
    *end = NULL;
    struct entry_remark *kept = entry->remarks;
    *entry = *before;
    entry->remarks = kept;
    if (entry->beside != NULL) {
        entry->beside->state = ENTRY_WAITING;
        entry->beside->remarks = NULL;
    }
}

void ingest_run(struct ingest *ingest, struct entry_list *list)
{
    enum { TRIES = 3 };
    struct entry *before = arena_array(ingest->arena, list->n, sizeof *before);
    size_t *remarks = arena_array(ingest->arena, list->n, sizeof *remarks);
    for (size_t i = 0; i < list->n; i++) {
        before[i] = *list->items[i];
        remarks[i] = count_remarks(list->items[i]);
    }
    for (int try = 0; try < TRIES; try++) {
        if (!run_once(ingest, list))
            return;
        if (try + 1 == TRIES)
            break;
        for (size_t i = 0; i < list->n; i++)
            if (list->items[i]->state == ENTRY_WAITING)
                restore(list->items[i], &before[i], remarks[i]);
        ingest_begin(ingest);
    }
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i]->state == ENTRY_WAITING) {
            list->items[i]->state = ENTRY_FAILED;
            ingest->trouble = true;
        }
}
