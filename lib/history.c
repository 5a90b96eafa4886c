#include "history.h"

#include "civil.h"
#include "interval.h"
#include "robust.h"

#include <math.h>

/* The slot of a number: where it stands, or the free one where it belongs (FNV-1a, open). */
static size_t *slot_of(const struct history *history, struct str number)
{
    uint64_t hash = UINT64_C(0xcbf29ce484222325);
    for (size_t i = 0; i < number.n; i++)
        hash = (hash ^ (unsigned char)number.p[i]) * UINT64_C(0x100000001b3);
    size_t i = (size_t)hash & (history->slot_count - 1);
    while (history->slots[i] != 0 &&
           !str_eq(history->batches.items[history->slots[i] - 1].number, number))
        i = (i + 1) & (history->slot_count - 1);
    return &history->slots[i];
}

/* Brings the slots up to the batches; half of them stay free. */
static void index_numbers(struct history *history)
{
    if (2 * (history->batches.n + 1) > history->slot_count) {
        while (2 * (history->batches.n + 1) > history->slot_count)
            history->slot_count = history->slot_count == 0 ? 64 : 2 * history->slot_count;
        history->slots = arena_array(history->arena, history->slot_count, sizeof *history->slots);
        history->indexed = 0;
    }
    for (; history->indexed < history->batches.n; history->indexed++)
        *slot_of(history, history->batches.items[history->indexed].number) = history->indexed + 1;
}

static bool has_number(struct history *history, struct str number)
{
    for (size_t i = 0; history->most > 0 && i < history->batches.n; i++)
        if (str_eq(history->batches.items[i].number, number))
            return true;
    if (history->most > 0)
        return false;
    index_numbers(history);
    return *slot_of(history, number) != 0;
}

static double hours_since(int64_t zero, int64_t at)
{
    return (double)(at - zero) / CIVIL_HOUR;
}

static double exact_or_nan(const struct reading *reading, enum batch_reads reads)
{
    const struct figure *figure = &reading->figure[reads];
    return figure_is_exact(figure) ? figure->value : NAN;
}

static void copy_points(struct history_batch *batch, const struct finish *finish)
{
    const struct batch_course *course = finish->course;
    size_t p = 0;
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        struct history_point *point = &batch->points.items[batch->points.n++];
        point->hours = hours_since(batch->zero, reading->at.at);
        point->ph = exact_or_nan(reading, READS_PH);
        point->celsius = exact_or_nan(reading, READS_TEMP);
        point->cold = chill_covers(&finish->chill, reading->at.at);
        point->plato = NAN;
        while (p < finish->sound.points.n && finish->sound.points.items[p].reading != reading)
            p++;
        if (p == finish->sound.points.n)
            p = 0;
        else if (finish->sound.points.items[p].state == SOUND_GOOD)
            point->plato = finish->sound.points.items[p].plato;
    }
}

/* The share left at each reading of gravity, the pitch first. */
static void trace_course(struct history_batch *batch)
{
    double *hours = batch->hours, *left = batch->left;
    double range = batch->original_plato - batch->end_plato;
    size_t n = 0;
    hours[n] = 0;
    left[n++] = 1;
    for (size_t i = 0; i < batch->points.n; i++) {
        const struct history_point *point = &batch->points.items[i];
        if (isnan(point->plato) || point->hours <= hours[n - 1])
            continue;
        hours[n] = point->hours;
        left[n++] = (point->plato - batch->end_plato) / range;
    }
    batch->course = (struct remain_course){hours, left, n, NAN};
    batch->end_hours = remain_hours_at(&batch->course, HISTORY_NEAR_PLATO / range + 1e-9);
    batch->course.end_hours = batch->end_hours;
}

/* The oldest of a beer's batches, when there are as many as are kept; else NULL. */
static struct history_batch *oldest_of(const struct history *history, struct str beer)
{
    struct history_batch *oldest = NULL;
    size_t n = 0;
    for (size_t i = 0; history->most > 0 && i < history->batches.n; i++) {
        struct history_batch *batch = &history->batches.items[i];
        if (!str_eq(batch->beer, beer))
            continue;
        n++;
        if (oldest == NULL || batch->zero < oldest->zero)
            oldest = batch;
    }
    return n < history->most ? NULL : oldest;
}

/* Fills the spare batch, whose memory may have served before. False: the course says nothing. */
static bool copy(struct history *history, const struct finish *finish)
{
    const struct batch *from = finish->course->batch;
    struct history_batch *batch = &history->spare;
    struct history_batch had = *batch;
    struct arena *arena = history->arena;
    size_t needed = finish->course->readings.n + 1;
    if (needed > had.room) {
        had.room = history->most > 0 ? needed + needed / 2 : needed;
        had.points.items = arena_array(arena, had.room, sizeof *had.points.items);
        had.hours = arena_array(arena, had.room, sizeof *had.hours);
        had.left = arena_array(arena, had.room, sizeof *had.left);
    }
    *batch = (struct history_batch){
        .number = str_copy(arena, from->number->text),
        .beer = str_copy(arena, from->beer->text),
        .yeast = from->yeast,
        .zero = from->zero,
        .original_plato = finish->original_plato,
        .end_plato = finish->rest_plato,
        .steady_hours = hours_since(from->zero, finish->called_at),
        .abv_percent = finish->abv_percent,
        .hours = had.hours,
        .left = had.left,
        .room = had.room,
    };
    batch->points.items = had.points.items;
    copy_points(batch, finish);
    trace_course(batch);
    return !isnan(batch->end_hours);
}

void history_add(struct history *history, const struct finish *finish)
{
    const struct batch *from = finish->course->batch;
    if (!FINISH_VERDICT[finish->verdict].is_over || !from->has_zero || from->number == NULL ||
        from->beer == NULL ||
        !(finish->original_plato > finish->rest_plato + HISTORY_NEAR_PLATO) || /* or NAN */
        has_number(history, from->number->text))
        return;
    struct history_batch *oldest = oldest_of(history, from->beer->text);
    if ((oldest != NULL && oldest->zero >= from->zero) || !copy(history, finish))
        return;
    if (oldest != NULL) {
        struct history_batch forgotten = *oldest;
        *oldest = history->spare;
        history->spare = forgotten;
        return;
    }
    if (history->batches.n == history->capacity)
        history->batches.items = arena_grow(history->arena, history->batches.items,
                                            &history->capacity, sizeof *history->batches.items);
    history->batches.items[history->batches.n++] = history->spare;
    history->spare = (struct history_batch){.room = 0};
}

void history_add_batch(struct history *history, const struct finish_context *context,
                       const struct batch *batch)
{
    if (batch->errors > 0)
        return;
    struct batch_courses courses = batch_courses(batch, context->arena, context->now);
    for (size_t i = 0; i < courses.n; i++) {
        struct finish finish = finish_judge(context, &courses.items[i]);
        history_add(history, &finish);
    }
}

void history_until(struct history *history, const struct history *from, int64_t moment)
{
    history->batches.items =
        arena_array(history->arena, from->batches.n + 1, sizeof *history->batches.items);
    history->capacity = from->batches.n + 1;
    for (size_t i = 0; i < from->batches.n; i++) {
        const struct history_batch *batch = &from->batches.items[i];
        if ((double)batch->zero + batch->steady_hours * CIVIL_HOUR <= (double)moment)
            history->batches.items[history->batches.n++] = *batch;
    }
}

static void read_file(struct history *history, const struct book *book, struct arena *scratch,
                      const char *path, int64_t now)
{
    struct finish_context context = {.cellar = book->cellar, .arena = scratch, .now = now};
    struct book_left_out left_out = {0, 0};
    struct book_file *file = book_load_settled(book, scratch, path, now, &left_out);
    for (size_t i = 0; i < file->batches.n; i++)
        history_add_batch(history, &context, file->batches.items[i]);
}

void history_read_files(struct history *history, const struct book *book, struct arena *scratch,
                        const char *const *paths, size_t n, int64_t now)
{
    struct diags silent;
    struct book quiet = *book;
    diag_init_silent(&silent, history->arena);
    quiet.arena = history->arena;
    quiet.diags = &silent;
    for (size_t i = 0; i < n; i++) {
        arena_reset(scratch);
        read_file(history, &quiet, scratch, paths[i], now);
    }
    arena_reset(scratch);
}

void history_read(struct history *history, const struct book *book, struct arena *scratch,
                  int64_t now)
{
    struct diags silent;
    struct book quiet = *book;
    diag_init_silent(&silent, history->arena);
    quiet.arena = history->arena;
    quiet.diags = &silent;
    struct file_list files = book_batches(&quiet);
    history_read_files(history, book, scratch, (const char *const *)files.paths, files.n, now);
}

/* Of the list only the newest HISTORY_NEWEST. */
static void keep_newest(struct history_list *list)
{
    for (size_t i = HISTORY_NEWEST; i < list->n; i++) {
        size_t oldest = 0;
        for (size_t k = 1; k < HISTORY_NEWEST; k++)
            oldest = list->items[k]->zero < list->items[oldest]->zero ? k : oldest;
        if (list->items[oldest]->zero < list->items[i]->zero)
            list->items[oldest] = list->items[i];
    }
    if (list->n > HISTORY_NEWEST)
        list->n = HISTORY_NEWEST;
}

static struct history_list collect(const struct history *history, struct str beer, int yeast,
                                   int64_t before, struct str but, struct arena *arena)
{
    struct history_list list = {arena_raw(arena, (history->batches.n + 1) * sizeof *list.items), 0};
    for (size_t i = 0; i < history->batches.n; i++) {
        const struct history_batch *batch = &history->batches.items[i];
        bool same = beer.p != NULL ? str_eq(batch->beer, beer) : batch->yeast == yeast;
        if (same && batch->zero < before && (but.p == NULL || !str_eq(batch->number, but)))
            list.items[list.n++] = batch;
    }
    keep_newest(&list);
    arena_trim(arena, list.items, list.n * sizeof *list.items);
    return list;
}

struct history_list history_of_beer(const struct history *history, struct str beer, int64_t before,
                                    struct str but, struct arena *arena)
{
    return collect(history, beer.p == NULL ? STR("") : beer, YEAST_UNKNOWN, before, but, arena);
}

struct history_list history_before(const struct history *history, const struct batch *batch,
                                   int64_t now, struct arena *arena)
{
    return history_of_beer(history, text_of(batch->beer), batch->has_zero ? batch->zero : now,
                           text_of(batch->number), arena);
}

struct history_list history_of_yeast(const struct history *history, int yeast, int64_t before,
                                     struct str but, struct arena *arena)
{
    return collect(history, (struct str){NULL, 0}, yeast, before, but, arena);
}

struct limit_baseline history_band(struct limit_baseline promised, size_t n, double lowest,
                                   double highest)
{
    double doubt = interval_tolerance(n, 0.9, 0.9) * interval_step_sd(SOUND_FINEST_STEP_PLATO);
    promised.low_plato = fmax(promised.low_plato, lowest - doubt);
    promised.high_plato = fmin(promised.high_plato, highest + doubt);
    return promised;
}

struct limit_baseline history_limit(const struct history_list *list, struct arena *arena)
{
    struct limit_baseline none = {NAN, NAN, false};
    size_t n = list->n;
    if (n < HISTORY_FEWEST)
        return none;
    double *ends = arena_array(arena, n, sizeof *ends), *work = arena_array(arena, n, sizeof *work);
    for (size_t i = 0; i < n; i++)
        ends[i] = list->items[i]->end_plato;
    double sd = fmax(robust_qn(ends, n, work), interval_step_sd(SOUND_FINEST_STEP_PLATO));
    double half = interval_tolerance(n, 0.9, 0.9) * sd;
    double middle = robust_median(ends, n, work);
    robust_sort(ends, n);
    return history_band((struct limit_baseline){middle - half, middle + half, true}, n, ends[0],
                        ends[n - 1]);
}
