#include "shelf.h"

#include <string.h>

struct names {
    struct str *items;
    size_t n, capacity;
};

struct loading {
    struct shelf shelf;
    struct book *book;
    struct arena *arena;
    const struct shelf_request *request;
    struct arena scratch; /* of a verdict */
    int64_t keep_from;
    struct shelf_logs logs;
    struct names numbers, months; /* of all documents asked for */
    size_t batch_capacity, plant_capacity;
};

static bool is_in(const struct names *names, struct str name)
{
    for (size_t i = 0; i < names->n; i++)
        if (str_eq(names->items[i], name))
            return true;
    return false;
}

static void remember(struct loading *loading, struct names *names, struct str name)
{
    if (names->n == names->capacity)
        names->items =
            arena_grow(loading->arena, names->items, &names->capacity, sizeof *names->items);
    names->items[names->n++] = str_copy(loading->arena, name);
}

int64_t shelf_end_of(const struct batch *batch)
{
    int64_t end = batch->has_zero ? batch->zero : INT64_MIN;
    for (size_t i = 0; i < batch->stays.n; i++)
        if (batch->stays.items[i].to > end)
            end = batch->stays.items[i].to;
    if (batch->course.n > 0 && batch->course.items[batch->course.n - 1]->at.at > end)
        end = batch->course.items[batch->course.n - 1]->at.at;
    return end;
}

/* True when so many of a beer's batches are summed up. */
static bool has_enough(const struct history *history, struct str beer, size_t most)
{
    size_t n = 0;
    if (history->batches.n < most)
        return false;
    for (size_t i = 0; i < history->batches.n && n < most; i++)
        n += str_eq(history->batches.items[i].beer, beer);
    return n >= most;
}

static void sum_up(struct loading *loading, const struct batch *batch)
{
    struct history *history = &loading->shelf.history;
    size_t most = loading->request->most_earlier;
    if (!loading->request->history || !batch->has_zero ||
        has_enough(history, text_of(batch->beer), most > 0 ? most : HISTORY_NEWEST))
        return;
    const struct finish_context context = {
        .cellar = loading->book->cellar, .arena = &loading->scratch, .now = loading->request->now};
    history_add_batch(history, &context, batch);
    arena_reset(&loading->scratch);
}

static bool is_kept(const struct loading *loading, const struct batch *batch, bool asked)
{
    const struct shelf_request *request = loading->request;
    return request->keep != NULL ? request->keep(batch, asked, request->keep_data)
                                 : shelf_end_of(batch) >= loading->keep_from;
}

static bool add_batch(struct loading *loading, struct batch *batch, bool asked)
{
    struct shelf *shelf = &loading->shelf;
    if (asked)
        shelf->later += batch->later;
    sum_up(loading, batch);
    if (!is_kept(loading, batch, asked))
        return false;
    if (shelf->batches.n == loading->batch_capacity)
        shelf->batches.items = arena_grow(loading->arena, shelf->batches.items,
                                          &loading->batch_capacity, sizeof *shelf->batches.items);
    shelf->batches.items[shelf->batches.n++] = (struct shelf_batch){batch, asked};
    return true;
}

/* Whether a log has anything of the days that are kept. */
static bool is_recent(const struct plant *plant, int64_t keep_from)
{
    for (size_t i = plant->readings.n; i-- > 0;)
        if (plant->readings.items[i].at.at >= keep_from)
            return true;
    for (size_t i = plant->calibrations.n; i-- > 0;)
        if (plant->calibrations.items[i].at.at >= keep_from)
            return true;
    for (size_t i = plant->rounds.n; i-- > 0;)
        if (plant->rounds.items[i].at.at >= keep_from)
            return true;
    return false;
}

/* Marks what an entry tells of; true when nothing newer did. */
static bool is_news(bool *told, bool known, size_t index)
{
    bool news = known && !told[index];
    if (news)
        told[index] = true;
    return news;
}

bool shelf_keeps(struct shelf_logs *logs, const struct plant *plant)
{
    const struct cellar *cellar = logs->cellar;
    bool keeps = is_recent(plant, logs->keep_from);
    if (logs->meters == NULL) {
        logs->meters = arena_array(logs->arena, cellar->meters.n + 1, sizeof *logs->meters);
        logs->checks = arena_array(logs->arena, cellar->checks.n + 1, sizeof *logs->checks);
    }
    for (size_t i = 0; i < plant->calibrations.n; i++) {
        const struct plant_calibration *entry = &plant->calibrations.items[i];
        const struct cellar_meter *meter =
            entry->at.set && entry->at.at <= logs->now && entry->meter != NULL
                ? cellar_meter(cellar, entry->meter->text)
                : NULL;
        keeps |= is_news(logs->meters, meter != NULL,
                         meter == NULL ? 0 : (size_t)(meter - cellar->meters.items));
    }
    for (size_t i = 0; i < plant->readings.n; i++) {
        const struct plant_reading *entry = &plant->readings.items[i];
        const struct cellar_check *check =
            entry->at.set && entry->at.at <= logs->now && entry->check != NULL
                ? cellar_check(cellar, entry->check->text)
                : NULL;
        keeps |= is_news(logs->checks, check != NULL,
                         check == NULL ? 0 : (size_t)(check - cellar->checks.items));
    }
    return keeps;
}

static bool add_plant(struct loading *loading, const struct plant *plant)
{
    struct shelf *shelf = &loading->shelf;
    if (!shelf_keeps(&loading->logs, plant))
        return false;
    if (shelf->plants.n == loading->plant_capacity)
        shelf->plants.items = arena_grow(loading->arena, shelf->plants.items,
                                         &loading->plant_capacity, sizeof *shelf->plants.items);
    shelf->plants.items[shelf->plants.n++] = plant;
    return true;
}

static bool take_batch(struct loading *loading, struct arena *arena, struct batch *batch,
                       bool asked)
{
    struct str number = text_of(batch->number);
    if (!asked && is_in(&loading->numbers, number))
        return false;
    if (asked && loading->request->asked.paths != NULL)
        remember(loading, &loading->numbers, number);
    if (batch->errors == 0)
        book_settle(loading->book, arena, batch, loading->request->now);
    return batch->errors == 0 && add_batch(loading, batch, asked);
}

static bool take_plant(struct loading *loading, const struct plant *plant, bool asked)
{
    struct str month = text_of(plant->month);
    loading->shelf.plants_wanted |= asked;
    if (!asked && is_in(&loading->months, month))
        return false;
    if (asked && loading->request->asked.paths != NULL)
        remember(loading, &loading->months, month);
    return plant->errors == 0 && add_plant(loading, plant);
}

static void load(struct loading *loading, const char *path, bool asked)
{
    struct arena *arena = loading->shelf.files;
    struct arena_mark before = arena_mark(arena);
    size_t errors = loading->book->diags->errors;
    struct book_file *file = book_load(loading->book, arena, path);
    bool kept = false;
    for (size_t i = file->batches.n; i-- > 0;)
        kept |= take_batch(loading, arena, file->batches.items[i], asked);
    for (size_t i = 0; i < file->plants.n; i++)
        kept |= take_plant(loading, file->plants.items[i], asked);
    loading->shelf.left_out += asked && loading->book->diags->errors > errors;
    if (!kept)
        arena_rewind(arena, before);
}

static bool is_among(const struct file_list *list, const char *path)
{
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->paths[i], path) == 0)
            return true;
    return false;
}

/* The newest first: of those the earlier batches are wanted. */
static void load_rest(struct loading *loading, const struct file_list *list, bool asked)
{
    for (size_t i = list->n; i-- > 0;)
        if (!is_among(&loading->request->asked, list->paths[i]))
            load(loading, list->paths[i], asked);
}

static void turn_round(struct shelf *shelf)
{
    for (size_t i = 0, k = shelf->batches.n; i + 1 < k; i++) {
        struct shelf_batch last = shelf->batches.items[--k];
        shelf->batches.items[k] = shelf->batches.items[i];
        shelf->batches.items[i] = last;
    }
}

struct shelf shelf_load(struct book *book, struct arena *arena, const struct shelf_request *request)
{
    struct loading loading = {.book = book, .arena = arena, .request = request};
    struct file_list batches = book_batches(book), plants = {NULL, 0, 0};
    if (!request->without_plants)
        plants = book_plants(book);
    const struct file_list *asked = &request->asked;
    bool whole = asked->paths == NULL;
    loading.keep_from = INT64_MIN;
    if (request->since > INT64_MIN + SHELF_DAYS * CIVIL_DAY)
        loading.keep_from = request->since - SHELF_DAYS * CIVIL_DAY;
    loading.logs = (struct shelf_logs){.cellar = book->cellar,
                                       .arena = arena,
                                       .now = request->now,
                                       .keep_from = loading.keep_from};
    loading.shelf.history.arena = arena;
    loading.shelf.files = arena_alloc(arena, sizeof *loading.shelf.files);
    arena_init(loading.shelf.files, arena->exhausted, arena->context);
    arena_init(&loading.scratch, arena->exhausted, arena->context);
    for (size_t i = asked->n; i-- > 0;)
        load(&loading, asked->paths[i], true);
    load_rest(&loading, &batches, whole);
    load_rest(&loading, &plants, whole);
    loading.shelf.plants_wanted |= whole;
    turn_round(&loading.shelf);
    arena_free(&loading.scratch);
    return loading.shelf;
}

struct batch_courses shelf_courses(const struct shelf *shelf, struct arena *arena, int64_t now)
{
    struct batch_courses all = {NULL, 0};
    size_t capacity = 0;
    for (size_t i = 0; i < shelf->batches.n; i++)
        batch_courses_add(&all, &capacity, shelf->batches.items[i].batch, arena, now);
    return all;
}

bool shelf_asks_for_meter(const struct shelf *shelf, struct str name)
{
    if (shelf->plants_wanted)
        return true;
    for (size_t i = 0; i < shelf->batches.n; i++) {
        const struct batch *batch = shelf->batches.items[i].batch;
        for (size_t k = 0; shelf->batches.items[i].asked && k < batch->course.n; k++)
            for (int reads = 0; reads < READS_COUNT; reads++)
                if (str_eq(text_of(batch->course.items[k]->meter[reads]), name))
                    return true;
    }
    return false;
}

void shelf_free(struct shelf *shelf)
{
    if (shelf->files != NULL)
        arena_free(shelf->files);
    shelf->files = NULL;
}
