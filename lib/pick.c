#include "pick.h"

static bool is_among(const struct pick_names *names, struct str name)
{
    for (size_t i = 0; i < names->n; i++)
        if (str_is(name, names->items[i]))
            return true;
    return false;
}

bool pick_keeps(const struct batch *batch, bool asked, const void *data)
{
    const struct pick *pick = data;
    bool is_named = is_among(&pick->numbers, text_of(batch->number));
    return asked && (pick->numbers.n == 0 || is_named) &&
           (!batch->ended || pick->with_ended || is_named);
}

struct shelf pick_load(const struct pick *pick, struct book *book, struct arena *arena,
                       struct file_list asked, int64_t now, bool history)
{
    bool may_be_old = asked.paths != NULL || pick->numbers.n > 0;
    const struct shelf_request request = {.asked = asked,
                                          .now = now,
                                          .history = history,
                                          .most_earlier = may_be_old ? SIZE_MAX : HISTORY_MOST,
                                          .without_plants = true,
                                          .keep = pick_keeps,
                                          .keep_data = pick};
    return shelf_load(book, arena, &request);
}

static bool is_meant(const struct pick *pick, const struct batch_course *course)
{
    return pick->tanks.n == 0 ||
           (course->stay != NULL && is_among(&pick->tanks, course->stay->tank));
}

static size_t place_of(const struct cellar *cellar, const struct batch_course *course)
{
    return course->stay == NULL ? cellar->walk.n : cellar_walk_place(cellar, course->stay->tank);
}

/* By insertion: those of one place stay as they came. */
static void sort_by_walk(struct batch_courses *courses, const struct cellar *cellar)
{
    for (size_t i = 1; i < courses->n; i++) {
        struct batch_course course = courses->items[i];
        size_t place = place_of(cellar, &course), k = i;
        for (; k > 0 && place_of(cellar, &courses->items[k - 1]) > place; k--)
            courses->items[k] = courses->items[k - 1];
        courses->items[k] = course;
    }
}

struct batch_courses pick_courses(const struct pick *pick, const struct shelf *shelf,
                                  const struct cellar *cellar, int64_t now, bool in_walk,
                                  struct arena *arena)
{
    struct batch_courses all = {NULL, 0};
    size_t capacity = 0;
    for (size_t i = 0; i < shelf->batches.n; i++) {
        const struct shelf_batch *from = &shelf->batches.items[i];
        if (!pick_keeps(from->batch, from->asked, pick))
            continue;
        struct batch_courses courses = batch_courses(shelf->batches.items[i].batch, arena, now);
        for (size_t k = 0; k < courses.n; k++) {
            if (!is_meant(pick, &courses.items[k]))
                continue;
            if (all.n == capacity)
                all.items = arena_grow(arena, all.items, &capacity, sizeof *all.items);
            all.items[all.n++] = courses.items[k];
        }
    }
    if (in_walk)
        sort_by_walk(&all, cellar);
    return all;
}

size_t pick_later(const struct batch_courses *courses)
{
    size_t later = 0;
    for (size_t i = 0; i < courses->n; i++) {
        bool counted = false;
        for (size_t k = 0; k < i && !counted; k++)
            counted = courses->items[k].batch == courses->items[i].batch;
        later += counted ? 0 : courses->items[i].batch->later;
    }
    return later;
}

const char *pick_missing_number(const struct pick *pick, const struct shelf *shelf)
{
    for (size_t i = 0; i < pick->numbers.n; i++) {
        bool found = false;
        for (size_t k = 0; k < shelf->batches.n && !found; k++)
            found = shelf->batches.items[k].asked &&
                    str_is(text_of(shelf->batches.items[k].batch->number), pick->numbers.items[i]);
        if (!found)
            return pick->numbers.items[i];
    }
    return NULL;
}
