#include "roster.h"

#include "civil.h"

#include <math.h>
#include <string.h>

bool roster_same_number(struct str a, struct str b)
{
    while (a.n > 1 && a.p[0] == '0')
        a = str_cut(a, 1, a.n);
    while (b.n > 1 && b.p[0] == '0')
        b = str_cut(b, 1, b.n);
    return a.n > 0 && a.n == b.n && strncmp(a.p, b.p, a.n) == 0;
}

struct builder {
    struct roster *roster;
    struct arena *arena;
    size_t doubt_capacity;
};

static void add_doubt(struct builder *b, const char *path, struct str text)
{
    struct roster *roster = b->roster;
    if (roster->doubts.n == b->doubt_capacity)
        roster->doubts.items = arena_grow(b->arena, roster->doubts.items, &b->doubt_capacity,
                                          sizeof *roster->doubts.items);
    roster->doubts.items[roster->doubts.n++] =
        (struct roster_doubt){path, str_copy(b->arena, text)};
}

static bool overlaps(const struct batch *batch, size_t index)
{
    const struct batch_stay *stay = &batch->stays.items[index];
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *other = &batch->stays.items[i];
        if (i != index && other->from < stay->to && stay->from < other->to)
            return true;
    }
    return false;
}

/* What went into the tank, hL; NAN when not known. */
static double filled_with(const struct batch *batch, const struct batch_stay *stay)
{
    const struct figure *told = &stay->entry->volume;
    double hl = figure_is_exact(told) ? told->value : batch_whole_volume(batch);
    return hl > 0 ? hl : (double)NAN;
}

/* What of that did not go on into the tanks that the batch came into within a day. */
static double left_of(const struct batch *batch, const struct batch_stay *stay, double filled_hl)
{
    double left = filled_hl;
    for (size_t i = 0; stay->to != BATCH_OPEN_END && i < batch->stays.n; i++) {
        const struct batch_stay *next = &batch->stays.items[i];
        const struct figure *volume = &next->entry->volume;
        if (next->from >= stay->to && next->from < stay->to + CIVIL_DAY)
            left -= figure_is_exact(volume) ? volume->value : (double)NAN;
    }
    return left;
}

static void add_row(struct roster *roster, struct arena *arena, struct roster_row row)
{
    if (roster->rows.n == roster->row_capacity)
        roster->rows.items =
            arena_grow(arena, roster->rows.items, &roster->row_capacity, sizeof row);
    roster->rows.items[roster->rows.n++] = row;
}

static void add_batch(struct builder *b, const char *path, const struct batch *batch)
{
    struct roster_row row = {.batch = str_copy(b->arena, text_of(batch->number)),
                             .beer = str_copy(b->arena, text_of(batch->beer)),
                             .tank = STR(""),
                             .path = path,
                             .from = INT64_MIN,
                             .to = BATCH_OPEN_END,
                             .original_plato = (double)NAN,
                             .filled_hl = (double)NAN,
                             .left_hl = (double)NAN};
    if (figure_is_exact(&batch->used_original))
        row.original_plato = batch->used_original.value;
    if (batch->stays.n == 0)
        add_row(b->roster, b->arena, row);
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        row.tank = str_copy(b->arena, stay->tank);
        row.from = stay->from;
        row.to = stay->to;
        row.shared = overlaps(batch, i);
        row.filled_hl = filled_with(batch, stay);
        row.left_hl = left_of(batch, stay, row.filled_hl);
        add_row(b->roster, b->arena, row);
    }
}

/* True when an entry of tanks: or an event that ends a stay could not be read. */
static bool is_doubtful(const struct batch *batch)
{
    if (batch->number == NULL)
        return true;
    for (size_t i = 0; i < batch->tanks.n; i++) {
        const struct batch_tank *entry = &batch->tanks.items[i];
        if (entry->tank == NULL || !entry->from.set || (entry->to.node != NULL && !entry->to.set))
            return true;
    }
    for (size_t i = 0; i < batch->events.n; i++)
        if (batch->events.items[i].empty.node != NULL && !batch->events.items[i].at.set)
            return true;
    return false;
}

struct roster *roster_read(const struct book *book, struct arena *arena, int64_t now)
{
    struct roster *roster = arena_alloc(arena, sizeof *roster);
    struct builder builder = {roster, arena, 0};
    struct arena scratch;
    struct book quiet = *book;
    arena_init(&scratch, arena->exhausted, arena->context);
    struct diags found;
    diag_init(&roster->diags, arena);
    quiet.diags = &roster->diags;
    roster->cellar = book->cellar;
    struct file_list files = book_batches(&quiet);
    if (roster->diags.errors > 0) /* a folder that cannot be read may hold any batch */
        add_doubt(&builder, quiet.folder[0] == '\0' ? "." : quiet.folder, STR(""));
    for (size_t i = 0; i < files.n; i++) {
        arena_reset(&scratch);
        diag_init(&found, arena);
        quiet.diags = &found;
        struct book_file *file = book_load(&quiet, &scratch, files.paths[i]);
        bool doubtful = !file->readable || file->stream.broken;
        for (size_t k = 0; k < file->batches.n; k++) {
            struct batch *batch = file->batches.items[k];
            book_settle(&quiet, &scratch, batch, now);
            doubtful = doubtful || is_doubtful(batch);
            add_batch(&builder, files.paths[i], batch);
        }
        if (!doubtful)
            continue;
        add_doubt(&builder, files.paths[i], file->source.text);
        diag_append(&roster->diags, &found);
    }
    arena_free(&scratch);
    return roster;
}

static bool holds(const struct roster_row *row, int64_t at)
{
    return at >= row->from && at < row->to;
}

const struct roster_row *roster_at(const struct roster *roster, struct str tank, int64_t at,
                                   const struct roster_row **second)
{
    const struct roster_row *found = NULL;
    *second = NULL;
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *row = &roster->rows.items[i];
        if (!holds(row, at) || !str_eq(row->tank, tank))
            continue;
        if (found == NULL)
            found = row;
        else if (!str_eq(found->batch, row->batch))
            *second = row;
    }
    return found;
}

const struct roster_row *roster_batch(const struct roster *roster, struct str number,
                                      struct str tank, int64_t at, const struct roster_row **second)
{
    const struct roster_row *found = NULL;
    *second = NULL;
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *row = &roster->rows.items[i];
        if (!holds(row, at) || !roster_same_number(row->batch, number) ||
            (tank.n > 0 && !str_eq(tank, row->tank)))
            continue;
        if (found == NULL)
            found = row;
        else if (!str_eq(found->tank, row->tank))
            *second = row;
    }
    return found;
}

const struct roster_row *roster_find(const struct roster *roster, struct str number)
{
    for (size_t i = 0; i < roster->rows.n; i++)
        if (roster_same_number(roster->rows.items[i].batch, number))
            return &roster->rows.items[i];
    return NULL;
}

const struct roster_row *roster_move(struct roster *roster, struct arena *arena,
                                     const struct roster_row *row, struct str to, int64_t at,
                                     double hl)
{
    struct roster_row moved = *row;
    size_t index = (size_t)(row - roster->rows.items);
    struct roster_row *left = &roster->rows.items[index];
    moved.shared = left->to <= at; /* what left before stands in another tank */
    for (size_t i = 0; moved.shared && i < roster->rows.n; i++)
        if (holds(&roster->rows.items[i], at) && str_eq(roster->rows.items[i].batch, row->batch))
            roster->rows.items[i].shared = true;
    left->to = left->to < at ? left->to : at;
    left->left_hl -= hl;
    moved.tank = to;
    moved.from = at;
    moved.to = BATCH_OPEN_END;
    moved.filled_hl = moved.left_hl = hl;
    if (to.n > 0)
        add_row(roster, arena, moved);
    return &roster->rows.items[index];
}

const struct roster_row *roster_before(const struct roster *roster, struct str tank, int64_t at)
{
    const struct roster_row *best = NULL;
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *row = &roster->rows.items[i];
        if (str_eq(row->tank, tank) && row->to <= at && (best == NULL || row->to > best->to))
            best = row;
    }
    return best;
}

static bool is_in(const struct roster *roster, const struct roster_row *row, struct str tank,
                  int64_t from)
{
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *other = &roster->rows.items[i];
        if (other->from == from && str_eq(other->tank, tank) && str_eq(other->batch, row->batch))
            return true;
    }
    return false;
}

const struct roster_row *roster_left(const struct roster *roster, struct str tank, int64_t at,
                                     struct str to, double hl)
{
    const struct roster_row *row = roster_before(roster, tank, at);
    if (row == NULL || row->to == at || to.n == 0)
        return row != NULL && row->to == at ? row : NULL;
    bool is_part = hl <= row->left_hl + BATCH_VOLUMES_AGREE * row->filled_hl;
    return row->to > at - CIVIL_DAY && (is_part || is_in(roster, row, to, at)) ? row : NULL;
}

const struct roster_row *roster_after(const struct roster *roster, struct str tank, int64_t at)
{
    const struct roster_row *best = NULL;
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *row = &roster->rows.items[i];
        if (str_eq(row->tank, tank) && row->from > at && (best == NULL || row->from < best->from))
            best = row;
    }
    return best;
}

static bool is_name_byte(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* True when name stands in text as a word. */
static bool names(struct str text, struct str name)
{
    for (size_t i = 0; name.n > 0 && i + name.n <= text.n; i++) {
        if (text.p[i] != name.p[0] || memcmp(text.p + i, name.p, name.n) != 0)
            continue;
        bool before = i > 0 && is_name_byte(text.p[i - 1]);
        bool behind = i + name.n < text.n && is_name_byte(text.p[i + name.n]);
        if (!before && !behind)
            return true;
    }
    return false;
}

const char *roster_doubt(const struct roster *roster, struct str tank)
{
    for (size_t i = 0; i < roster->doubts.n; i++) {
        const struct roster_doubt *doubt = &roster->doubts.items[i];
        if (doubt->text.n == 0 || names(doubt->text, tank))
            return doubt->path;
    }
    return NULL;
}

struct str roster_number(struct str name)
{
    size_t start = name.n;
    while (start > 0 && name.p[start - 1] >= '0' && name.p[start - 1] <= '9')
        start--;
    return str_cut(name, start, name.n);
}
