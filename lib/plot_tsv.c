#include "plot_tsv.h"

#include "civil.h"
#include "table.h"

#include <math.h>

/* Decimals of computed figures, and of days. */
enum { DECIMALS = 4 };

struct row {
    const struct plot *plot;
    const struct plot_batch *batch;
    const char *series;
    int reads; /* -1: none */
    int64_t at;
    double day, value, low, high;
    signed char censor;
    const char *note;
};

static void get_batch(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct row *)row)->batch->number);
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct row *)row)->batch->beer);
}

static void get_tank(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct row *)row)->batch->tank);
}

static void get_series(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ((const struct row *)row)->series);
}

static void get_quantity(struct buf *cell, const void *row, const struct table *table)
{
    int reads = ((const struct row *)row)->reads;
    (void)table;
    if (reads >= 0)
        buf_printf(cell, "%s%s", BATCH_COLUMNS[reads].key,
                   QUANTITIES[BATCH_COLUMNS[reads].quantity].suffix);
}

static void get_at(struct buf *cell, const void *row, const struct table *table)
{
    const struct row *it = row;
    char text[CIVIL_TEXT_SIZE];
    (void)table;
    buf_printf(cell, "%s", civil_rfc3339(it->plot->cellar->zone, it->at, text));
}

static void add_number(struct buf *cell, double value)
{
    if (isfinite(value))
        quantity_write_number(cell, value, DECIMALS);
}

static void get_day(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_number(cell, ((const struct row *)row)->day);
}

static void get_value(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_number(cell, ((const struct row *)row)->value);
}

static void get_low(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_number(cell, ((const struct row *)row)->low);
}

static void get_high(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    add_number(cell, ((const struct row *)row)->high);
}

static void get_censored(struct buf *cell, const void *row, const struct table *table)
{
    signed char censor = ((const struct row *)row)->censor;
    (void)table;
    if (censor != 0)
        buf_char(cell, censor < 0 ? '<' : '>');
}

static void get_note(struct buf *cell, const void *row, const struct table *table)
{
    const char *note = ((const struct row *)row)->note;
    (void)table;
    buf_printf(cell, "%s", note == NULL ? "" : note);
}

static const struct table_column COLUMNS[] = {
    {"batch", NULL, 0, get_batch, NULL},       {"beer", NULL, 0, get_beer, NULL},
    {"tank", NULL, 0, get_tank, NULL},         {"series", NULL, 0, get_series, NULL},
    {"quantity", NULL, 0, get_quantity, NULL}, {"at", NULL, 0, get_at, NULL},
    {"day", NULL, 0, get_day, NULL},           {"value", NULL, 0, get_value, NULL},
    {"low", NULL, 0, get_low, NULL},           {"high", NULL, 0, get_high, NULL},
    {"censored", NULL, 0, get_censored, NULL}, {"note", NULL, 0, get_note, NULL},
};

static struct row row_of(const struct plot *plot, const struct plot_batch *batch,
                         const char *series, int reads, double day)
{
    return (struct row){.plot = plot,
                        .batch = batch,
                        .series = series,
                        .reads = reads,
                        .day = day,
                        .at = batch->zero + (int64_t)llround(day * CIVIL_DAY),
                        .value = NAN,
                        .low = NAN,
                        .high = NAN};
}

static void write_points(struct table *table, const struct row *start,
                         const struct plot_point *points, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct row row =
            row_of(start->plot, start->batch, start->series, start->reads, points[i].day);
        row.value = points[i].value;
        row.low = points[i].low;
        row.high = points[i].high;
        table_row(table, &row);
    }
}

static void write_limit(struct table *table, const struct plot *plot,
                        const struct plot_batch *batch, int reads, const struct plot_limit *limit)
{
    double ends[] = {limit->from, limit->to};
    for (int i = 0; i < 2; i++) {
        if (!isfinite(ends[i]))
            continue;
        struct row row = row_of(plot, batch, "limit", reads, ends[i]);
        row.low = limit->low;
        row.high = limit->high;
        row.note = limit->name;
        table_row(table, &row);
    }
}

static void write_trace(struct table *table, const struct plot *plot,
                        const struct plot_batch *batch, int reads)
{
    const struct plot_trace *trace = &batch->traces[reads];
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        struct row row = row_of(plot, batch, "reading", reads, reading->day);
        row.at = reading->at;
        row.value = reading->value;
        row.censor = reading->censor;
        row.note = reading->left_out;
        table_row(table, &row);
    }
    struct row fit = row_of(plot, batch, "fit", reads, 0);
    struct row earlier = row_of(plot, batch, "earlier", reads, 0);
    write_points(table, &fit, trace->fit.items, trace->fit.n);
    write_points(table, &earlier, trace->earlier.items, trace->earlier.n);
    for (size_t i = 0; i < trace->limits.n; i++)
        write_limit(table, plot, batch, reads, &trace->limits.items[i]);
}

static void write_forecast(struct table *table, const struct plot *plot,
                           const struct plot_batch *batch)
{
    const struct {
        const char *note;
        int64_t at;
        double day;
    } rows[] = {{"early", batch->forecast.early_at, batch->early_day},
                {"end", batch->forecast.end_at, batch->end_day},
                {"late", batch->forecast.late_at, batch->late_day}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0] && batch->has_forecast; i++) {
        struct row row = row_of(plot, batch, "forecast", READS_GRAVITY, rows[i].day);
        row.at = rows[i].at;
        row.value = batch->forecast.end_plato;
        row.note = rows[i].note;
        table_row(table, &row);
    }
}

void plot_tsv_write(FILE *out, struct arena *arena, const struct plot *plot)
{
    struct table table = {.out = out,
                          .arena = arena,
                          .columns = COLUMNS,
                          .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
                          .tsv = true};
    table_begin(&table);
    for (size_t i = 0; i < plot->batches.n; i++) {
        const struct plot_batch *batch = &plot->batches.items[i];
        for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
            if (plot->shown[reads])
                write_trace(&table, plot, batch, reads);
        if (plot->shown[READS_GRAVITY])
            write_forecast(&table, plot, batch);
        for (size_t k = 0; k < batch->flags.n; k++) {
            struct row row = row_of(plot, batch, "event", -1, batch->flags.items[k].day);
            row.at = batch->flags.items[k].at;
            row.note = BATCH_EVENTS[batch->flags.items[k].what - EVENT_PITCH];
            table_row(&table, &row);
        }
    }
    table_end(&table);
}
