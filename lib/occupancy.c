#include "occupancy.h"

#include "civil.h"

size_t occupancy_find(const struct occupancy *occupancy, struct str tank)
{
    for (size_t i = 0; i < occupancy->tanks.n; i++)
        if (str_eq(occupancy->tanks.items[i].name, tank))
            return i;
    return SIZE_MAX;
}

static void add_tank(struct occupancy *it, struct str name, bool in_walk)
{
    if (occupancy_find(it, name) == SIZE_MAX)
        it->tanks.items[it->tanks.n++] = (struct occupancy_tank){
            .name = name, .tank = cellar_tank(it->cellar, name), .in_walk = in_walk};
}

static void list_tanks(struct occupancy *it)
{
    const struct cellar *cellar = it->cellar;
    it->tanks.items =
        arena_array(it->arena, cellar->walk.n + cellar->tanks.n, sizeof *it->tanks.items);
    for (size_t i = 0; i < cellar->walk.n; i++)
        add_tank(it, text_of(cellar->walk.items[i]), true);
    for (size_t i = 0; i < cellar->tanks.n; i++)
        add_tank(it, name_of(cellar->tanks.items[i].node), cellar->walk.n == 0);
}

static void *grown(struct occupancy *it, void *items, size_t n, size_t *capacity)
{
    return n < *capacity ? items : arena_grow(it->arena, items, capacity, sizeof(void *));
}

static void left(struct occupancy *it, struct str tank, int64_t at)
{
    size_t i = occupancy_find(it, tank);
    if (i != SIZE_MAX && at > it->tanks.items[i].emptied)
        it->tanks.items[i].emptied = at;
}

static void cleaned(struct occupancy *it, struct str tank, int64_t at)
{
    size_t i = occupancy_find(it, tank);
    if (i != SIZE_MAX && at <= it->now && at > it->tanks.items[i].cleaned)
        it->tanks.items[i].cleaned = at;
}

static bool has_plant(const struct occupancy *it, const struct plant *plant)
{
    for (size_t i = 0; i < it->plants.n; i++)
        if (str_eq(text_of(it->plants.items[i]->month), text_of(plant->month)))
            return true;
    return false;
}

/* True when the log is kept. A stream may hold logs that the book has too. */
static bool take_plant(struct occupancy *it, const struct plant *plant)
{
    if (plant->errors > 0 || has_plant(it, plant))
        return false;
    for (size_t i = 0; i < plant->cleaned.n; i++)
        if (plant->cleaned.items[i].at.set)
            cleaned(it, text_of(plant->cleaned.items[i].tank), plant->cleaned.items[i].at.at);
    if (!shelf_keeps(&it->logs, plant))
        return false;
    it->plants.items = grown(it, it->plants.items, it->plants.n, &it->plant_capacity);
    it->plants.items[it->plants.n++] = plant;
    return true;
}

/* A batch with later entries is known by looking back, not by planning. */
static bool is_planned(const struct batch *batch, int64_t now)
{
    if (batch->later > 0)
        return false;
    return batch->stays.n > 0 ? batch->stays.items[0].from > now
                              : batch->brewed.set && batch->brewed.at > now;
}

static bool is_lost(const struct occupancy *it, const struct batch *batch)
{
    const struct civil_zone *zone = it->cellar->zone;
    return batch->stays.n == 0 && batch->brewed.set &&
           civil_day(zone, it->now) - civil_day(zone, batch->brewed.at) <= OCCUPANCY_LOST_DAYS;
}

/* What a batch that was there tells of tanks: when it left, how long it stayed. */
static void remember(struct occupancy *it, const struct batch *batch)
{
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        size_t tank = occupancy_find(it, stay->tank);
        if (stay->to > it->now || tank == SIZE_MAX)
            continue;
        left(it, stay->tank, stay->to);
        if (it->stays.n == it->stay_capacity)
            it->stays.items =
                arena_grow(it->arena, it->stays.items, &it->stay_capacity, sizeof *it->stays.items);
        const struct cellar_tank *declared = it->tanks.items[tank].tank;
        it->stays.items[it->stays.n++] =
            (struct occupancy_stay){batch->type == NULL ? STR("") : name_of(batch->type->node),
                                    batch->yeast, declared == NULL ? TANK_UNKNOWN : declared->kind,
                                    (double)(stay->to - stay->from) / CIVIL_HOUR};
    }
    for (size_t i = 0; i < batch->happened.n; i++)
        if (batch->happened.items[i]->what == EVENT_CLEAN)
            cleaned(it, text_of(batch->happened.items[i]->tank), batch->happened.items[i]->at.at);
}

static void add_history(struct occupancy *it, const struct batch *batch, struct arena *scratch)
{
    const struct finish_context context = {.cellar = it->cellar, .arena = scratch, .now = it->now};
    struct arena_mark before = arena_mark(scratch);
    history_add_batch(&it->history, &context, batch);
    arena_rewind(scratch, before);
}

/* True when it has a place among the tanks or the plans. */
static bool place_batch(struct occupancy *it, struct batch *batch)
{
    if (batch_stay_at(batch, STR(""), it->now) != NULL) {
        it->standing.items = grown(it, it->standing.items, it->standing.n, &it->standing_capacity);
        it->standing.items[it->standing.n++] = batch;
    } else if (is_planned(batch, it->now)) {
        it->planned.items = grown(it, it->planned.items, it->planned.n, &it->planned_capacity);
        it->planned.items[it->planned.n++] = batch;
    } else if (is_lost(it, batch)) {
        it->lost.items = grown(it, it->lost.items, it->lost.n, &it->lost_capacity);
        it->lost.items[it->lost.n++] = batch;
    } else {
        return false;
    }
    return true;
}

/* True when the batch is kept. */
static bool keep_batch(struct occupancy *it, struct batch *batch)
{
    bool placed = place_batch(it, batch);
    if (!placed && (it->since >= it->now || shelf_end_of(batch) < it->since))
        return false;
    it->kept.items = grown(it, it->kept.items, it->kept.n, &it->kept_capacity);
    it->kept.items[it->kept.n++] = batch;
    return true;
}

static bool was_seen(const struct occupancy *it, const struct batch *batch)
{
    for (size_t i = 0; i < it->seen.n; i++)
        if (str_eq(it->seen.items[i], text_of(batch->number)))
            return true;
    return false;
}

static void see(struct occupancy *it, const struct batch *batch)
{
    if (it->seen.n == it->seen_capacity)
        it->seen.items =
            arena_grow(it->arena, it->seen.items, &it->seen_capacity, sizeof *it->seen.items);
    it->seen.items[it->seen.n++] = str_copy(it->arena, text_of(batch->number));
}

/* True when something in the file is kept. */
static bool take_file(struct occupancy *it, struct book *book, struct arena *arena,
                      const char *path, bool asked)
{
    size_t errors = book->diags->errors;
    struct book_file *file = book_load(book, arena, path);
    bool kept = false;
    for (size_t i = 0; i < file->plants.n && asked; i++)
        kept = take_plant(it, file->plants.items[i]) || kept;
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        if (batch->errors == 0)
            book_settle(book, arena, batch, it->now);
        if (batch->errors > 0 || (!asked && was_seen(it, batch)))
            continue;
        if (asked && it->is_part)
            see(it, batch);
        remember(it, batch);
        ledger_add_draws(&it->draws, it->arena, batch);
        add_history(it, batch, arena);
        it->later += asked ? batch->later : 0;
        if (asked)
            kept = keep_batch(it, batch) || kept;
    }
    it->left_out += asked && book->diags->errors > errors;
    if (kept && it->since < it->now) {
        it->files.items = grown(it, it->files.items, it->files.n, &it->file_capacity);
        it->files.items[it->files.n++] = file;
    }
    return kept;
}

static void take_files(struct occupancy *it, struct book *book, const struct file_list *files,
                       bool asked)
{
    for (size_t i = 0; i < files->n; i++) {
        struct arena_mark before = arena_mark(&it->read);
        if (!take_file(it, book, &it->read, files->paths[i], asked))
            arena_rewind(&it->read, before);
    }
}

/* The rest of the book, for what earlier batches tell. */
static void take_rest(struct occupancy *it, const struct book *book)
{
    struct diags silent;
    struct book quiet = *book;
    diag_init_silent(&silent, it->arena);
    quiet.diags = &silent;
    struct file_list batches = book_batches(&quiet);
    take_files(it, &quiet, &batches, false);
}

/* The later of two batches counts as what is in the tank. */
static void put_in(struct occupancy_tank *tank, const struct batch_course *course)
{
    if (tank->course == NULL || course->stay->from > tank->course->stay->from) {
        tank->other = tank->course;
        tank->course = course;
    } else {
        tank->other = course;
    }
}

static void fill_tanks(struct occupancy *it)
{
    size_t most = 0;
    for (size_t i = 0; i < it->standing.n; i++)
        most += it->standing.items[i]->stays.n;
    it->strays.items = arena_array(it->arena, most, sizeof *it->strays.items);
    for (size_t i = 0; i < it->standing.n; i++) {
        struct batch_courses courses = batch_courses(it->standing.items[i], it->arena, it->now);
        for (size_t k = 0; k < courses.n; k++) {
            const struct batch_course *course = &courses.items[k];
            size_t tank = course->stay == NULL ? SIZE_MAX : occupancy_find(it, course->stay->tank);
            if (tank != SIZE_MAX)
                put_in(&it->tanks.items[tank], course);
            else if (course->stay != NULL)
                it->strays.items[it->strays.n++] = *course;
        }
    }
}

static struct occupancy *begin(struct arena *arena, const struct cellar *cellar, int64_t since,
                               int64_t now)
{
    struct occupancy *it = arena_alloc(arena, sizeof *it);
    it->arena = it->history.arena = arena;
    arena_init(&it->read, arena->exhausted, arena->context);
    it->history.most = HISTORY_MOST;
    it->cellar = cellar;
    it->now = now;
    it->since = since;
    it->logs = (struct shelf_logs){
        .cellar = cellar, .arena = arena, .now = now, .keep_from = since - SHELF_DAYS * CIVIL_DAY};
    list_tanks(it);
    return it;
}

static struct file_list newest_first(struct file_list files)
{
    for (size_t i = 0, k = files.n; i + 1 < k; i++) {
        const char *last = files.paths[--k];
        files.paths[k] = files.paths[i];
        files.paths[i] = last;
    }
    return files;
}

struct occupancy *occupancy_read(struct book *book, struct arena *arena,
                                 const struct occupancy_request *request)
{
    struct occupancy *it = begin(arena, book->cellar, request->since, request->now);
    it->is_part = !request->whole;
    struct file_list plants = newest_first(book_plants(book));
    take_files(it, book, &request->asked, true);
    take_files(it, book, &plants, true);
    if (it->is_part && it->standing.n > 0)
        take_rest(it, book);
    fill_tanks(it);
    return it;
}

/* A batch's model made anew from what was read of it: settling leaves its traces. */
static struct batch *fresh(const struct occupancy *it, const struct batch *batch)
{
    struct diags silent;
    diag_init_silent(&silent, it->arena);
    struct keys_context context = cellar_context(it->cellar, it->arena, batch->source, &silent);
    return batch_read(&context, batch->node);
}

static struct batch *settled(const struct occupancy *it, struct batch *batch)
{
    struct diags silent;
    diag_init_silent(&silent, it->arena);
    struct keys_context context = cellar_context(it->cellar, it->arena, batch->source, &silent);
    batch_settle(batch, it->cellar, it->now, &context);
    return batch;
}

struct book_file *occupancy_fresh_file(const struct occupancy *occupancy,
                                       const struct book_file *file)
{
    struct book_file *copy = arena_alloc(occupancy->arena, sizeof *copy);
    *copy = *file;
    copy->batches.items =
        arena_array(occupancy->arena, file->batches.n + 1, sizeof *copy->batches.items);
    for (size_t i = 0; i < file->batches.n; i++)
        copy->batches.items[i] = fresh(occupancy, file->batches.items[i]);
    return copy;
}

struct occupancy *occupancy_at(const struct occupancy *occupancy, int64_t moment)
{
    struct occupancy *it = begin(occupancy->arena, occupancy->cellar, moment, moment);
    it->is_part = occupancy->is_part;
    it->draws = occupancy->draws;
    for (size_t i = 0; i < occupancy->plants.n; i++)
        take_plant(it, occupancy->plants.items[i]);
    for (size_t i = 0; i < occupancy->kept.n; i++) {
        if (shelf_end_of(occupancy->kept.items[i]) < moment)
            continue;
        struct batch *batch = settled(it, fresh(it, occupancy->kept.items[i]));
        remember(it, batch);
        keep_batch(it, batch);
    }
    history_until(&it->history, &occupancy->history, moment);
    fill_tanks(it);
    return it;
}

struct figure occupancy_volume(const struct occupancy *occupancy, const struct batch_course *course)
{
    const struct batch *batch = course->batch;
    double taken = 0;
    for (size_t i = 0; i < occupancy->draws.n; i++) {
        const struct ledger_draw *draw = &occupancy->draws.items[i];
        if (draw->at <= occupancy->now && str_eq(draw->from, text_of(batch->number)) &&
            batch_stay_at(batch, STR(""), draw->at) == course->stay)
            taken += draw->hl;
    }
    return batch_course_volume(course, taken);
}

void occupancy_free(struct occupancy *occupancy)
{
    arena_free(&occupancy->read);
}
