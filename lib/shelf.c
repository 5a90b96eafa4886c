#include "shelf.h"

#include <string.h>

struct loading {
    struct shelf shelf;
    struct book *book;
    struct arena *arena;
    int64_t now;
    size_t batch_capacity, plant_capacity;
};

static bool has_number(const struct shelf *shelf, const struct batch *batch, size_t before)
{
    for (size_t i = 0; i < before; i++)
        if (str_eq(text_of(shelf->batches.items[i].batch->number), text_of(batch->number)))
            return true;
    return false;
}

static void add_batch(struct loading *loading, struct batch *batch, bool asked)
{
    struct shelf *shelf = &loading->shelf;
    if (shelf->batches.n == loading->batch_capacity)
        shelf->batches.items = arena_grow(loading->arena, shelf->batches.items,
                                          &loading->batch_capacity, sizeof *shelf->batches.items);
    shelf->batches.items[shelf->batches.n++] = (struct shelf_batch){batch, asked};
    if (asked)
        shelf->later += batch->later;
}

static void add_plant(struct loading *loading, const struct plant *plant)
{
    struct shelf *shelf = &loading->shelf;
    if (shelf->plants.n == loading->plant_capacity)
        shelf->plants.items = arena_grow(loading->arena, shelf->plants.items,
                                         &loading->plant_capacity, sizeof *shelf->plants.items);
    shelf->plants.items[shelf->plants.n++] = plant;
}

static bool has_month(const struct shelf *shelf, const struct plant *plant, size_t before)
{
    for (size_t i = 0; i < before; i++)
        if (str_eq(text_of(shelf->plants.items[i]->month), text_of(plant->month)))
            return true;
    return false;
}

/* Those of the rest of the book that were not among the files asked for. */
static void load(struct loading *loading, const char *path, bool asked, size_t batches_before,
                 size_t plants_before)
{
    struct shelf *shelf = &loading->shelf;
    struct book_file *file = book_load(loading->book, loading->arena, path);
    shelf->left_out += asked && !file->readable;
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        if (!asked && has_number(shelf, batch, batches_before))
            continue;
        if (batch->errors == 0)
            book_settle(loading->book, loading->arena, batch, loading->now);
        if (batch->errors == 0)
            add_batch(loading, batch, asked);
        else
            shelf->left_out += asked;
    }
    for (size_t i = 0; i < file->plants.n; i++) {
        const struct plant *plant = file->plants.items[i];
        shelf->plants_wanted |= asked;
        if (!asked && has_month(shelf, plant, plants_before))
            continue;
        if (plant->errors == 0)
            add_plant(loading, plant);
        else
            shelf->left_out += asked;
    }
}

static bool is_among(const struct file_list *list, const char *path)
{
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->paths[i], path) == 0)
            return true;
    return false;
}

struct shelf shelf_load(struct book *book, struct arena *arena, struct file_list asked, int64_t now)
{
    struct loading loading = {.book = book, .arena = arena, .now = now};
    struct file_list batches = book_batches(book), plants = book_plants(book);
    bool whole = asked.paths == NULL;
    for (size_t i = 0; i < asked.n; i++)
        load(&loading, asked.paths[i], true, 0, 0);
    size_t batches_before = loading.shelf.batches.n, plants_before = loading.shelf.plants.n;
    for (size_t i = 0; i < batches.n; i++)
        if (!is_among(&asked, batches.paths[i]))
            load(&loading, batches.paths[i], whole, batches_before, plants_before);
    for (size_t i = 0; i < plants.n; i++)
        if (!is_among(&asked, plants.paths[i]))
            load(&loading, plants.paths[i], whole, batches_before, plants_before);
    loading.shelf.plants_wanted |= whole;
    return loading.shelf;
}
