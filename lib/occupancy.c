#include "occupancy.h"

#include "civil.h"

/* Each file that holds something to keep keeps the arena that it was read into. */
struct occupancy_arena {
    struct arena arena;
    struct occupancy_arena *next;
};

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
        it->tanks.items[it->tanks.n++] =
            (struct occupancy_tank){name, cellar_tank(it->cellar, name), in_walk, 0, 0};
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
    if (plant->errors > 0) {
        it->left_out++;
        return false;
    }
    if (has_plant(it, plant))
        return false;
    it->plants.items = grown(it, it->plants.items, it->plants.n, &it->plant_capacity);
    it->plants.items[it->plants.n++] = plant;
    for (size_t i = 0; i < plant->cleaned.n; i++)
        if (plant->cleaned.items[i].at.set)
            cleaned(it, text_of(plant->cleaned.items[i].tank), plant->cleaned.items[i].at.at);
    return true;
}

static bool is_planned(const struct batch *batch, int64_t now)
{
    bool later = batch->brewed.set && batch->brewed.at > now;
    if (batch->stays.n > 0)
        later = batch->stays.items[0].from > now;
    return later;
}

static bool is_lost(const struct occupancy *it, const struct batch *batch)
{
    const struct civil_zone *zone = it->cellar->zone;
    return batch->stays.n == 0 && batch->brewed.set &&
           civil_day(zone, it->now) - civil_day(zone, batch->brewed.at) <= OCCUPANCY_LOST_DAYS;
}

static bool take_batch(struct occupancy *it, struct batch *batch)
{
    if (batch->errors > 0) {
        it->left_out++;
        return false;
    }
    it->later += batch->later;
    for (size_t i = 0; i < batch->stays.n; i++)
        if (batch->stays.items[i].to <= it->now)
            left(it, batch->stays.items[i].tank, batch->stays.items[i].to);
    for (size_t i = 0; i < batch->happened.n; i++)
        if (batch->happened.items[i]->what == EVENT_CLEAN)
            cleaned(it, text_of(batch->happened.items[i]->tank), batch->happened.items[i]->at.at);
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

static bool take_file(struct occupancy *it, struct book *book, struct arena *arena,
                      const char *path)
{
    struct book_file *file = book_load(book, arena, path);
    bool kept = false;
    it->left_out += !file->readable;
    for (size_t i = 0; i < file->plants.n; i++)
        kept = take_plant(it, file->plants.items[i]) || kept;
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        if (batch->errors == 0)
            book_settle(book, arena, batch, it->now);
        kept = take_batch(it, batch) || kept;
    }
    return kept;
}

static void take_files(struct occupancy *it, struct book *book, const struct file_list *files,
                       struct occupancy_arena **spare)
{
    for (size_t i = 0; i < files->n; i++) {
        if (*spare == NULL) {
            *spare = arena_alloc(it->arena, sizeof **spare);
            arena_init(&(*spare)->arena, it->arena->exhausted, it->arena->context);
        }
        if (take_file(it, book, &(*spare)->arena, files->paths[i])) {
            (*spare)->next = it->kept;
            it->kept = *spare;
            *spare = NULL;
        } else {
            arena_reset(&(*spare)->arena);
        }
    }
}

struct occupancy *occupancy_read(struct book *book, struct arena *arena, struct file_list asked,
                                 bool whole, int64_t now)
{
    struct occupancy *it = arena_alloc(arena, sizeof *it);
    it->arena = arena;
    it->cellar = book->cellar;
    it->now = now;
    it->is_part = !whole;
    list_tanks(it);
    struct file_list plants = book_plants(book);
    struct occupancy_arena *spare = NULL;
    take_files(it, book, &asked, &spare);
    take_files(it, book, &plants, &spare);
    if (spare != NULL)
        arena_free(&spare->arena);
    return it;
}

void occupancy_free(struct occupancy *occupancy)
{
    for (struct occupancy_arena *it = occupancy->kept; it != NULL; it = it->next)
        arena_free(&it->arena);
    occupancy->kept = NULL;
}
