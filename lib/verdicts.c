#include "verdicts.h"

#include "civil.h"
#include "words.h"

#include <math.h>
#include <stdlib.h>

static const char *copy(struct arena *arena, const char *text)
{
    return str_copy(arena, str_of(text)).p;
}

/* Fills what is shown from the row's verdict. */
static void fill(struct verdicts *verdicts, const struct finish_context *context,
                 struct verdict_row *row)
{
    struct arena *arena = verdicts->arena;
    row->next = next_step(context, &row->finish);
    row->next.step = copy(arena, row->next.step);
    row->next.caution = copy(arena, row->next.caution);
    row->reason = copy(arena, row->finish.reason);
    if (verdicts->explain) {
        struct buf text = buf_new(arena);
        finish_explain(context, &row->finish, &text);
        if (row->open != NULL)
            forecast_explain(context, &row->forecast, &text);
        row->why = text.p;
    }
}

/* Can the history say more of it? */
static bool stays_open(const struct finish *finish)
{
    if (finish->course->batch->ended)
        return false;
    return finish->verdict != FINISH_FINISHED || finish->limit.source == LIMIT_NONE;
}

static bool add(struct verdicts *verdicts, const struct finish_context *context,
                const struct batch_course *course, const struct finish *finish)
{
    const struct batch *batch = course->batch;
    struct arena *arena = verdicts->arena;
    if (verdicts->rows.n == verdicts->capacity)
        verdicts->rows.items = arena_grow(arena, verdicts->rows.items, &verdicts->capacity,
                                          sizeof *verdicts->rows.items);
    struct verdict_row *row = &verdicts->rows.items[verdicts->rows.n++];
    *row = (struct verdict_row){.finish = *finish, .forecast = {.why_not = ""}};
    row->batch = str_copy(arena, text_of(batch->number));
    row->beer = str_copy(arena, text_of(batch->beer));
    row->tank =
        course->stay == NULL || batch->ended ? STR("") : str_copy(arena, course->stay->tank);
    row->place = cellar_walk_place(context->cellar, row->tank);
    if (stays_open(finish)) {
        row->open = course;
        verdicts->open++;
        return true;
    }
    fill(verdicts, context, row);
    return false;
}

bool verdicts_add(struct verdicts *verdicts, const struct finish_context *context,
                  const struct batch *batch)
{
    bool open = false;
    struct batch_courses courses = batch_courses(batch, context->arena, context->now);
    for (size_t i = 0; i < courses.n; i++) {
        struct finish finish = finish_judge(context, &courses.items[i]);
        if (verdicts->baselines == NULL)
            history_add(verdicts->history, &finish);
        if (!batch->ended || verdicts->with_ended)
            open = add(verdicts, context, &courses.items[i], &finish) || open;
    }
    return open;
}

static struct limit_baseline baseline_of_row(const struct verdicts *verdicts,
                                             const struct finish_context *context,
                                             const struct verdict_row *row)
{
    if (verdicts->baselines != NULL)
        return baseline_limit(baselines_find(verdicts->baselines, row->beer));
    struct history_list list =
        history_before(verdicts->history, row->open->batch, context->now, context->arena);
    return history_limit(&list, context->arena);
}

static void close_row(struct verdicts *verdicts, const struct finish_context *context,
                      struct verdict_row *row)
{
    struct finish_context with = *context;
    with.baseline = baseline_of_row(verdicts, context, row);
    row->finish = finish_judge(&with, row->open);
    row->forecast = forecast_of(&with, &row->finish, verdicts->history);
    fill(verdicts, &with, row);
}

void verdicts_close(struct verdicts *verdicts, const struct finish_context *context)
{
    for (size_t i = 0; i < verdicts->rows.n; i++) {
        struct verdict_row *row = &verdicts->rows.items[i];
        if (row->open == NULL)
            continue;
        close_row(verdicts, context, row);
        verdicts->found += FINISH_VERDICT[row->finish.verdict].is_found;
    }
}

struct ordered {
    size_t place, index;
};

static int compare(const void *left, const void *right)
{
    const struct ordered *a = left, *b = right;
    if (a->place != b->place)
        return a->place < b->place ? -1 : 1;
    return (a->index > b->index) - (a->index < b->index);
}

void verdicts_sort(struct verdicts *verdicts)
{
    size_t n = verdicts->rows.n;
    struct ordered *order = arena_array(verdicts->arena, n + 1, sizeof *order);
    struct verdict_row *sorted = arena_array(verdicts->arena, n + 1, sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        order[i] = (struct ordered){verdicts->rows.items[i].place, i};
    qsort(order, n, sizeof *order, compare);
    for (size_t i = 0; i < n; i++)
        sorted[i] = verdicts->rows.items[order[i].index];
    verdicts->rows.items = sorted;
}

/* Columns. */

static const struct cellar *cellar_of(const struct table *table)
{
    return table->context;
}

static const struct finish *finish_of(const void *row)
{
    return &((const struct verdict_row *)row)->finish;
}

static void get_batch(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct verdict_row *)row)->batch);
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct verdict_row *)row)->beer);
}

static void get_tank(struct buf *cell, const void *row, const struct table *table)
{
    struct str tank = ((const struct verdict_row *)row)->tank;
    buf_add(cell, tank.n == 0 && !table->tsv ? STR("-") : tank);
}

static void get_day(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (finish_of(row)->has_day)
        buf_printf(cell, "%ld", finish_of(row)->day);
}

static void get_verdict(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", FINISH_VERDICT[finish_of(row)->verdict].name);
}

static void get_steady(struct buf *cell, const void *row, const struct table *table)
{
    buf_printf(cell, "%d", finish_of(row)->days_steady);
    if (!table->tsv)
        buf_printf(cell, " of %d", finish_of(row)->days_needed);
}

static void get_needed(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%d", finish_of(row)->days_needed);
}

/* A gravity: in TSV in P, in text in the unit of the house. */
static void add_gravity(struct buf *cell, const struct table *table, double plato)
{
    if (isnan(plato))
        return;
    if (table->tsv)
        quantity_write_number(cell, plato, 2);
    else
        words_value(cell, cellar_of(table), QUANTITY_GRAVITY, plato);
}

static void get_gravity(struct buf *cell, const void *row, const struct table *table)
{
    add_gravity(cell, table, finish_of(row)->gravity_plato);
}

static void get_low(struct buf *cell, const void *row, const struct table *table)
{
    add_gravity(cell, table, finish_of(row)->limit.low_plato);
}

static void get_high(struct buf *cell, const void *row, const struct table *table)
{
    add_gravity(cell, table, finish_of(row)->limit.high_plato);
}

static void get_source(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", LIMIT_SOURCES[finish_of(row)->limit.source]);
}

static void get_to_go(struct buf *cell, const void *row, const struct table *table)
{
    const struct finish *finish = finish_of(row);
    if (table->tsv)
        add_gravity(cell, table, finish->to_go_plato);
    else if (!isnan(finish->to_go_plato))
        words_gravity_difference(cell, cellar_of(table), finish->limit.high_plato,
                                 finish->to_go_plato);
}

static void add_percent(struct buf *cell, double percent, int decimals)
{
    if (!isnan(percent))
        quantity_write_number(cell, percent, decimals);
}

static void get_adf(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_percent(cell, finish_of(row)->adf_percent, 1);
}

static void get_abv(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_percent(cell, finish_of(row)->abv_percent, 2);
}

static void add_time(struct buf *cell, const struct table *table, bool has, int64_t at)
{
    char text[CIVIL_TEXT_SIZE];
    if (!has)
        return;
    if (table->tsv)
        buf_printf(cell, "%s", civil_rfc3339(cellar_of(table)->zone, at, text));
    else
        words_day(cell, cellar_of(table), at);
}

static void get_end(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, finish_of(row)->has_end, finish_of(row)->end_at);
}

static void get_next(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ((const struct verdict_row *)row)->next.step);
}

static void get_next_at(struct buf *cell, const void *row, const struct table *table)
{
    const struct next *next = &((const struct verdict_row *)row)->next;
    add_time(cell, table, next->has_at, next->at);
}

static const struct forecast *forecast_of_row(const void *row)
{
    return &((const struct verdict_row *)row)->forecast;
}

static bool has_forecast(const void *row)
{
    return forecast_of_row(row)->source != FORECAST_NONE;
}

static void get_forecast_finish(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_forecast(row), forecast_of_row(row)->finish_at);
}

static void get_forecast_end(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_forecast(row), forecast_of_row(row)->end_at);
}

static void get_forecast_early(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_forecast(row), forecast_of_row(row)->early_at);
}

static void get_forecast_late(struct buf *cell, const void *row, const struct table *table)
{
    add_time(cell, table, has_forecast(row), forecast_of_row(row)->late_at);
}

static void get_forecast_why_not(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", forecast_of_row(row)->why_not);
}

/* For people: when it ended, or when it should have. */
static void get_done(struct buf *cell, const void *row, const struct table *table)
{
    if (finish_of(row)->has_end)
        get_end(cell, row, table);
    else if (has_forecast(row)) {
        buf_printf(cell, "~ ");
        get_forecast_finish(cell, row, table);
    }
}

static void get_reason(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ((const struct verdict_row *)row)->reason);
}

static void get_caution(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ((const struct verdict_row *)row)->next.caution);
}

/* For people in one cell: why, or the reason; what to do and when; what to take care of. */
static void get_words(struct buf *cell, const void *row, const struct table *table)
{
    const struct verdict_row *it = row;
    buf_printf(cell, "%s", it->why != NULL ? it->why : it->reason);
    if (it->next.step[0] != '\0')
        buf_printf(cell, it->why != NULL ? " Next: %s" : "; next: %s", it->next.step);
    if (it->next.step[0] != '\0' && it->next.has_at) {
        buf_printf(cell, ", ");
        words_time(cell, cellar_of(table), it->next.at);
    }
    if (it->next.caution[0] != '\0')
        buf_printf(cell, ". Caution: %s", it->next.caution);
}

const struct table_column VERDICT_COLUMNS[] = {
    {NULL, "TANK", 0, get_tank, NULL},
    {"batch", "BATCH", TABLE_SHRINK, get_batch, NULL},
    {"beer", "BEER", TABLE_SHRINK, get_beer, NULL},
    {"tank", NULL, 0, get_tank, NULL},
    {"day", "DAY", TABLE_RIGHT, get_day, NULL},
    {"verdict", "VERDICT", 0, get_verdict, NULL},
    {"days_steady", "STEADY", TABLE_RIGHT, get_steady, NULL},
    {"days_needed", NULL, 0, get_needed, NULL},
    {"gravity_P", "NOW", TABLE_RIGHT, get_gravity, NULL},
    {"limit_low_P", NULL, 0, get_low, NULL},
    {"limit_high_P", NULL, 0, get_high, NULL},
    {"limit_source", NULL, 0, get_source, NULL},
    {"to_go_P", "TO GO", TABLE_RIGHT, get_to_go, NULL},
    {"adf_pct", NULL, 0, get_adf, NULL},
    {"abv_pct", NULL, 0, get_abv, NULL},
    {"end", NULL, 0, get_end, NULL},
    {NULL, "DONE", 0, get_done, NULL},
    {"next", NULL, 0, get_next, NULL},
    {"next_at", NULL, 0, get_next_at, NULL},
    {"forecast_finish", NULL, 0, get_forecast_finish, NULL},
    {"forecast_early", NULL, 0, get_forecast_early, NULL},
    {"forecast_late", NULL, 0, get_forecast_late, NULL},
    {"reason", NULL, 0, get_reason, NULL},
    {"forecast_end", NULL, 0, get_forecast_end, NULL},
    {"forecast_why_not", NULL, 0, get_forecast_why_not, NULL},
    {"caution", NULL, 0, get_caution, NULL},
    {NULL, "WHY, AND NEXT", TABLE_WRAP, get_words, NULL},
};
const size_t VERDICT_COLUMN_COUNT = sizeof VERDICT_COLUMNS / sizeof VERDICT_COLUMNS[0];
