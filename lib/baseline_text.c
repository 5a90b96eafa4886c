#include "baseline_text.h"

#include "words.h"

#include <math.h>

/* A row of the TSV. */
struct entry {
    const struct baseline *beer;
    const struct baseline_row *row;
};

static const struct baseline_row *row_of(const void *row)
{
    return ((const struct entry *)row)->row;
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct entry *)row)->beer->beer);
}

static void get_by(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", BASELINE_BYS[row_of(row)->by]);
}

static void get_at(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (row_of(row)->by != BASELINE_WHOLE)
        buf_printf(cell, "%.0f", row_of(row)->at);
}

static void get_figure(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", BASELINE_FIGURE[row_of(row)->figure].name);
}

static void get_n(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%zu", row_of(row)->n);
}

static void add_value(struct buf *cell, const void *row, double value)
{
    if (!isnan(value))
        quantity_write_number(cell, value, BASELINE_FIGURE[row_of(row)->figure].decimals);
}

static void get_median(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_value(cell, row, row_of(row)->median);
}

static void get_spread(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_value(cell, row, row_of(row)->spread);
}

static void get_low(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_value(cell, row, row_of(row)->low);
}

static void get_high(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_value(cell, row, row_of(row)->high);
}

static void get_batches(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%zu", ((const struct entry *)row)->beer->batches);
}

static void add_left_out(struct buf *cell, const struct baseline *beer)
{
    for (size_t i = 0; i < beer->left_out.n; i++) {
        buf_printf(cell, i == 0 ? "" : " ");
        buf_add(cell, beer->left_out.items[i]->number);
    }
}

static void get_left_out(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_left_out(cell, ((const struct entry *)row)->beer);
}

static const struct table_column TSV_COLUMNS[] = {
    {"beer", NULL, 0, get_beer, NULL},
    {"by", NULL, 0, get_by, NULL},
    {"at", NULL, 0, get_at, NULL},
    {"figure", NULL, 0, get_figure, NULL},
    {"n", NULL, 0, get_n, NULL},
    {"median", NULL, 0, get_median, NULL},
    {"spread", NULL, 0, get_spread, NULL},
    {"low", NULL, 0, get_low, NULL},
    {"high", NULL, 0, get_high, NULL},
    {"batches", NULL, 0, get_batches, NULL},
    {"left_out", NULL, 0, get_left_out, NULL},
};

void baseline_text_tsv(const struct baseline_text *text, const struct baseline *const *beers,
                       size_t count)
{
    struct table table = {.out = text->out,
                          .arena = text->arena,
                          .columns = TSV_COLUMNS,
                          .column_count = sizeof TSV_COLUMNS / sizeof TSV_COLUMNS[0],
                          .tsv = true,
                          .context = text->cellar};
    table_begin(&table);
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < beers[i]->rows.n; k++) {
            struct entry entry = {beers[i], &beers[i]->rows.items[k]};
            table_row(&table, &entry);
        }
    }
    table_end(&table);
}

/* For people: one line a day. */
struct day {
    const struct baseline *beer;
    double at;
};

static const struct cellar *cellar_of(const struct table *table)
{
    return table->context;
}

static const struct baseline_row *day_row(const void *row, enum baseline_figure figure)
{
    const struct day *day = row;
    return baseline_row(day->beer, BASELINE_DAY, figure, day->at);
}

static void get_day(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%.0f", ((const struct day *)row)->at);
}

static void get_count(struct buf *cell, const void *row, const struct table *table)
{
    const struct baseline_row *gravity = day_row(row, BASELINE_GRAVITY);
    (void)table;
    if (gravity != NULL)
        buf_printf(cell, "%zu", gravity->n);
}

static enum quantity quantity_of(enum baseline_figure figure)
{
    return figure == BASELINE_GRAVITY ? QUANTITY_GRAVITY
           : figure == BASELINE_PH    ? QUANTITY_PH
                                      : QUANTITY_TEMPERATURE;
}

static void add_middle(struct buf *cell, const void *row, const struct table *table,
                       enum baseline_figure figure)
{
    const struct baseline_row *it = day_row(row, figure);
    if (it != NULL)
        words_value(cell, cellar_of(table), quantity_of(figure), it->median);
}

/* low..high in the unit of the house, without its name. */
static void add_band(struct buf *cell, const void *row, const struct table *table,
                     enum baseline_figure figure)
{
    const struct baseline_row *it = day_row(row, figure);
    enum quantity quantity = quantity_of(figure);
    const struct quantity_unit *unit = cellar_of(table)->house[quantity];
    if (it == NULL || isnan(it->low))
        return;
    if (unit == NULL)
        unit = quantity_library_unit(quantity);
    quantity_write_shown(cell, quantity, quantity_from_library(unit, it->low), unit);
    buf_add(cell, STR(".."));
    quantity_write_shown(cell, quantity, quantity_from_library(unit, it->high), unit);
}

static void get_gravity(struct buf *cell, const void *row, const struct table *table)
{
    add_middle(cell, row, table, BASELINE_GRAVITY);
}

static void get_gravity_band(struct buf *cell, const void *row, const struct table *table)
{
    add_band(cell, row, table, BASELINE_GRAVITY);
}

static void get_ph(struct buf *cell, const void *row, const struct table *table)
{
    add_middle(cell, row, table, BASELINE_PH);
}

static void get_ph_band(struct buf *cell, const void *row, const struct table *table)
{
    add_band(cell, row, table, BASELINE_PH);
}

static void get_temp(struct buf *cell, const void *row, const struct table *table)
{
    add_middle(cell, row, table, BASELINE_TEMP);
}

static void get_temp_band(struct buf *cell, const void *row, const struct table *table)
{
    add_band(cell, row, table, BASELINE_TEMP);
}

static const struct table_column DAY_COLUMNS[] = {
    {NULL, "DAY", TABLE_RIGHT, get_day, NULL},
    {NULL, "BATCHES", TABLE_RIGHT, get_count, NULL},
    {NULL, "GRAVITY", TABLE_RIGHT, get_gravity, NULL},
    {NULL, "9 OF 10", TABLE_RIGHT | TABLE_OPTIONAL, get_gravity_band, NULL},
    {NULL, "PH", TABLE_RIGHT | TABLE_OPTIONAL, get_ph, NULL},
    {NULL, "9 OF 10", TABLE_RIGHT | TABLE_OPTIONAL, get_ph_band, NULL},
    {NULL, "TEMP", TABLE_RIGHT | TABLE_OPTIONAL, get_temp, NULL},
    {NULL, "9 OF 10", TABLE_RIGHT | TABLE_OPTIONAL, get_temp_band, NULL},
};

static const struct baseline_row *whole(const struct baseline *beer, enum baseline_figure figure)
{
    return baseline_row(beer, BASELINE_WHOLE, figure, 0);
}

/* "half gone after 41 h (33..49)" */
static void say_hours(struct buf *line, const struct baseline *beer, enum baseline_figure figure,
                      const char *what)
{
    const struct baseline_row *row = whole(beer, figure);
    if (row == NULL)
        return;
    buf_printf(line, "%s%s after %.0f h", line->n == 0 ? "" : ", ", what, row->median);
    if (!isnan(row->low))
        buf_printf(line, " (%.0f..%.0f)", fmax(row->low, 0), row->high);
}

static void say_figures(const struct baseline_text *text, struct buf *line,
                        const struct baseline *beer)
{
    const struct baseline_row *original = whole(beer, BASELINE_ORIGINAL);
    const struct baseline_row *end = whole(beer, BASELINE_END), *adf = whole(beer, BASELINE_ADF);
    const struct baseline_row *abv = whole(beer, BASELINE_ABV);
    buf_printf(line, "Original ");
    words_value(line, text->cellar, QUANTITY_GRAVITY, original->median);
    buf_printf(line, ", end ");
    words_value(line, text->cellar, QUANTITY_GRAVITY, end->median);
    if (!isnan(end->low)) {
        buf_printf(line, " (");
        words_gravity_limit(line, text->cellar, end->low, end->high);
        buf_printf(line, ")");
    }
    if (adf != NULL)
        buf_printf(line, ", attenuation %.0f %%", adf->median);
    if (abv != NULL)
        buf_printf(line, ", alcohol %.1f %%", abv->median);
}

static void write_line(const struct baseline_text *text, struct buf *line)
{
    enum { INDENT = 2 };
    table_wrap(text->out, 0, INDENT, text->width, buf_str(line));
    line->n = 0;
}

void baseline_text_beer(const struct baseline_text *text, const struct baseline *beer)
{
    struct buf line = buf_new(text->arena);
    str_write_escaped(text->out, beer->beer);
    fprintf(text->out, ": %zu %s\n", beer->batches, beer->batches == 1 ? "batch" : "batches");
    if (beer->left_out.n > 0) {
        buf_printf(&line, "Left out as unlike the rest: ");
        add_left_out(&line, beer);
        write_line(text, &line);
    }
    say_figures(text, &line, beer);
    write_line(text, &line);
    say_hours(&line, beer, BASELINE_LAG, "5 % gone");
    say_hours(&line, beer, BASELINE_HALF, "half gone");
    say_hours(&line, beer, BASELINE_END_TIME, "at its end");
    say_hours(&line, beer, BASELINE_STEADY, "finished");
    write_line(text, &line);
    struct table table = {.out = text->out,
                          .arena = text->arena,
                          .columns = DAY_COLUMNS,
                          .column_count = sizeof DAY_COLUMNS / sizeof DAY_COLUMNS[0],
                          .width = text->width,
                          .context = text->cellar};
    table_begin(&table);
    for (size_t i = 0; i < beer->rows.n; i++) {
        const struct baseline_row *row = &beer->rows.items[i];
        struct day day = {beer, row->at};
        if (row->by == BASELINE_DAY && row->figure == BASELINE_GRAVITY)
            table_row(&table, &day);
    }
    table_end(&table);
}
