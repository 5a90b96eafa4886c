#include "month.h"

#include "civil.h"
#include "table.h"
#include "volumes.h"

#include <math.h>
#include <string.h>

/* Volumes smaller than this are nothing: a cup. */
static const double nothing = 1e-6;

const char *month_begin(struct month *month, struct arena *arena, const struct cellar *cellar,
                        const char *text, int64_t now)
{
    const struct civil_zone *zone = cellar->zone;
    struct civil_date date = civil_date_of_day(civil_day(zone, now));
    *month = (struct month){.cellar = cellar, .arena = arena, .now = now};
    if (text != NULL) {
        struct buf first = buf_new(arena);
        buf_printf(&first, "%s-01", text);
        if (civil_parse_date(first.p, first.n, &date) != CIVIL_OK)
            return "is not a month; write it as 2026-10";
    }
    date.day = 1;
    month->year = date.year;
    month->number = date.month;
    int64_t day = civil_day_of_date(date);
    month->from = civil_day_start(zone, day);
    month->to = civil_day_start(zone, day + civil_days_in_month(date.year, date.month));
    month->is_whole = month->to <= now;
    if (!month->is_whole)
        month->to = now + 1;
    return month->from > now ? "is still to come" : NULL;
}

static void add(struct month *month, const struct ledger *ledger)
{
    bool has_any = fabs(ledger_sum(ledger, LEDGER_OPENING, month->from, month->to)) > nothing;
    for (size_t i = 0; i < ledger->n && !has_any; i++)
        has_any = ledger->items[i].at >= month->from && ledger->items[i].at < month->to;
    if (!has_any)
        return;
    if (month->n == month->capacity)
        month->items =
            arena_grow(month->arena, month->items, &month->capacity, sizeof *month->items);
    month->items[month->n++] = *ledger;
}

void month_fill(struct month *month, const struct shelf *shelf, struct diags *diags)
{
    struct ledger_draws draws = {NULL, 0, 0};
    for (size_t i = 0; i < shelf->batches.n; i++)
        ledger_add_draws(&draws, month->arena, shelf->batches.items[i].batch);
    for (size_t i = 0; i < shelf->batches.n; i++) {
        const struct shelf_batch *it = &shelf->batches.items[i];
        if (!it->asked)
            continue;
        struct ledger ledger = ledger_of(it->batch, &draws, month->arena, diags, month->now);
        add(month, &ledger);
    }
}

/* A line of any of the tables. */
struct row {
    const struct month *month;
    const struct ledger *ledger; /* NULL: the sum of all */
    const double *sums;          /* by step; of the table of batches */
    double yield;                /* NAN: none */
    const char *step;            /* of TSV */
    struct str tank, lot;
    const struct figure *container; /* NULL: none */
    long count;
    double hl, kg;
};

static const struct row *row_of(const void *row)
{
    return row;
}

static const struct quantity_unit *unit_for(const struct table *table)
{
    const struct cellar *cellar = table->context;
    const struct quantity_unit *house = table->tsv ? NULL : cellar->house[QUANTITY_VOLUME];
    return house != NULL ? house : quantity_library_unit(QUANTITY_VOLUME);
}

static void put_volume(struct buf *cell, double hl, const struct table *table)
{
    if (!isfinite(hl))
        return;
    const struct quantity_unit *unit = unit_for(table);
    quantity_write_number(cell, quantity_from_library(unit, hl), table->tsv ? 3 : unit->decimals);
}

/* Volumes in text, nothing where there was none. */
static void put_some(struct buf *cell, double hl, const struct table *table)
{
    if (fabs(hl) > nothing)
        put_volume(cell, hl, table);
}

static void unit_volume(struct buf *title, const struct table *table)
{
    buf_printf(title, "%s", unit_for(table)->name);
}

#define COLUMN(name) static void name(struct buf *cell, const void *row, const struct table *table)
#define UNUSED       (void)table

COLUMN(get_batch)
{
    const struct ledger *ledger = row_of(row)->ledger;
    UNUSED;
    buf_add(cell, ledger == NULL ? STR("all") : text_of(ledger->batch->number));
}

COLUMN(get_beer)
{
    const struct ledger *ledger = row_of(row)->ledger;
    UNUSED;
    if (ledger != NULL)
        buf_add(cell, text_of(ledger->batch->beer));
}

COLUMN(get_month)
{
    UNUSED;
    buf_printf(cell, "%04d-%02d", row_of(row)->month->year, row_of(row)->month->number);
}

COLUMN(get_step)
{
    UNUSED;
    buf_add(cell, str_of(row_of(row)->step));
}

COLUMN(get_tank)
{
    UNUSED;
    buf_add(cell, row_of(row)->tank);
}

COLUMN(get_lot)
{
    UNUSED;
    buf_add(cell, row_of(row)->lot);
}

COLUMN(get_container)
{
    const struct figure *size = row_of(row)->container;
    if (size == NULL)
        return;
    if (table->tsv)
        quantity_write_number(cell, 100 * size->value, 3);
    else
        quantity_write(cell, QUANTITY_VOLUME, size->value, size->unit, size->decimals);
}

COLUMN(get_count)
{
    UNUSED;
    if (row_of(row)->count > 0)
        buf_printf(cell, "%ld", row_of(row)->count);
}

COLUMN(get_volume)
{
    put_volume(cell, row_of(row)->hl, table);
}

COLUMN(get_extract)
{
    UNUSED;
    if (isfinite(row_of(row)->kg))
        quantity_write_number(cell, row_of(row)->kg, 1);
}

COLUMN(get_yield)
{
    if (isfinite(row_of(row)->yield))
        quantity_write_number(cell, row_of(row)->yield, table->tsv ? 2 : 1);
}

/* A column of the table of batches: a sum of steps, told without its sign. */
#define SUM(name, ...)                                                                             \
    COLUMN(name)                                                                                   \
    {                                                                                              \
        static const enum ledger_step steps[] = {__VA_ARGS__};                                     \
        double sum = 0;                                                                            \
        for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++)                                \
            sum += row_of(row)->sums[steps[i]];                                                    \
        put_some(cell, sum, table);                                                                \
    }
/* What goes out is negative in the ledger. */
#define SUM_OUT(name, ...)                                                                         \
    COLUMN(name)                                                                                   \
    {                                                                                              \
        static const enum ledger_step steps[] = {__VA_ARGS__};                                     \
        double sum = 0;                                                                            \
        for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++)                                \
            sum -= row_of(row)->sums[steps[i]];                                                    \
        put_some(cell, sum, table);                                                                \
    }

SUM(get_opening, LEDGER_OPENING)
SUM(get_in, LEDGER_BREWED, LEDGER_RECEIVED)
SUM_OUT(get_given, LEDGER_GIVEN)
SUM_OUT(get_packaged, LEDGER_PACKAGED)
SUM_OUT(get_dumped, LEDGER_DUMPED, LEDGER_DISCARDED)
SUM_OUT(get_lost_moving, LEDGER_LOST_MOVING)
SUM_OUT(get_lost_packaging, LEDGER_LOST_PACKAGING)
SUM_OUT(get_lost, LEDGER_LOST)
SUM_OUT(get_closing, LEDGER_CLOSING)

static const struct table_column BATCHES[] = {
    {NULL, "Batch", 0, get_batch, NULL},
    {NULL, "Beer", TABLE_SHRINK, get_beer, NULL},
    {NULL, "Before", TABLE_RIGHT, get_opening, NULL},
    {NULL, "In", TABLE_RIGHT, get_in, NULL},
    {NULL, "Given", TABLE_RIGHT | TABLE_OPTIONAL, get_given, NULL},
    {NULL, "Packed", TABLE_RIGHT, get_packaged, NULL},
    {NULL, "Dumped", TABLE_RIGHT | TABLE_OPTIONAL, get_dumped, NULL},
    {NULL, "Moving", TABLE_RIGHT, get_lost_moving, NULL},
    {NULL, "Packing", TABLE_RIGHT, get_lost_packaging, NULL},
    {NULL, "Lost", TABLE_RIGHT | TABLE_OPTIONAL, get_lost, NULL},
    {NULL, "Left", TABLE_RIGHT, get_closing, NULL},
    {NULL, "Yield", TABLE_RIGHT, get_yield, NULL},
};

static const struct table_column STOCK[] = {
    {NULL, "Tank", 0, get_tank, NULL},
    {NULL, "Batch", 0, get_batch, NULL},
    {NULL, "Beer", TABLE_SHRINK, get_beer, NULL},
    {NULL, "", TABLE_RIGHT, get_volume, unit_volume},
};

static const struct table_column PACKAGES[] = {
    {NULL, "Lot", 0, get_lot, NULL},
    {NULL, "Batch", 0, get_batch, NULL},
    {NULL, "Beer", TABLE_SHRINK, get_beer, NULL},
    {NULL, "Container", TABLE_RIGHT, get_container, NULL},
    {NULL, "Count", TABLE_RIGHT, get_count, NULL},
    {NULL, "", TABLE_RIGHT, get_volume, unit_volume},
};

static const struct table_column ROWS[] = {
    {"month", NULL, 0, get_month, NULL},      {"batch", NULL, 0, get_batch, NULL},
    {"beer", NULL, 0, get_beer, NULL},        {"step", NULL, 0, get_step, NULL},
    {"tank", NULL, 0, get_tank, NULL},        {"container_L", NULL, 0, get_container, NULL},
    {"count", NULL, 0, get_count, NULL},      {"lot", NULL, 0, get_lot, NULL},
    {"volume_hL", NULL, 0, get_volume, NULL}, {"extract_kg", NULL, 0, get_extract, NULL},
    {"yield_pct", NULL, 0, get_yield, NULL},
};

static struct table table_of(const struct month *month, FILE *out, bool tsv,
                             const struct table_column *columns, size_t count)
{
    struct table table = {.out = out,
                          .arena = month->arena,
                          .columns = columns,
                          .column_count = count,
                          .tsv = tsv,
                          .width = 80,
                          .context = month->cellar};
    table_begin(&table);
    return table;
}
#define TABLE(month, out, tsv, columns)                                                            \
    table_of((month), (out), (tsv), (columns), sizeof(columns) / sizeof(columns)[0])

/* The titles are a line of cells too. */
static bool table_has_rows(const struct table *table)
{
    return table->cell_count > table->column_count;
}

static struct row row_for(const struct month *month, const struct ledger *ledger)
{
    return (struct row){.month = month,
                        .ledger = ledger,
                        .yield = NAN,
                        .step = "",
                        .tank = STR(""),
                        .lot = STR(""),
                        .hl = NAN,
                        .kg = NAN};
}

static bool is_first_of_tank(const struct ledger *ledger, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (str_eq(ledger->items[i].tank, ledger->items[index].tank))
            return false;
    return true;
}

/* What each package event of the month filled: a row for each container, and one for what the
 * containers do not account for (in text only when it is more than a rounding). sign: -1 where what
 * goes out is negative. */
static void add_packages(struct table *table, struct row row, double sign)
{
    const struct month *month = row.month;
    for (size_t i = 0; i < row.ledger->n; i++) {
        const struct ledger_posting *it = &row.ledger->items[i];
        if (it->event == NULL || it->at < month->from || it->at >= month->to)
            continue;
        double rest = -it->hl;
        row.tank = it->tank;
        row.lot = text_of(it->event->lot);
        for (size_t k = 0; k < it->event->containers.n; k++) {
            const struct batch_container *container = &it->event->containers.items[k];
            if (!figure_is_exact(&container->size) || !container->count.set)
                continue;
            row.container = &container->size;
            row.count = container->count.n;
            double hl = container->size.value * (double)row.count;
            row.hl = sign * hl;
            row.kg = sign * volumes_extract_kg(hl, row.ledger->plato);
            rest -= hl;
            table_row(table, &row);
        }
        row.container = NULL;
        row.count = 0;
        row.hl = sign * rest;
        row.kg = rest >= 0 ? sign * volumes_extract_kg(rest, row.ledger->plato)
                           : -sign * volumes_extract_kg(-rest, row.ledger->plato);
        if (fabs(rest) > (table->tsv ? nothing : it->event->volume.step))
            table_row(table, &row);
    }
}

/* What is in each of the batch's tanks at the end. */
static size_t add_stock(struct table *table, struct row row, double sign)
{
    size_t count = 0;
    for (size_t i = 0; i < row.ledger->n; i++) {
        const struct ledger_posting *it = &row.ledger->items[i];
        if (!is_first_of_tank(row.ledger, i))
            continue;
        double hl = ledger_stock(row.ledger, it->tank, row.month->to);
        if (fabs(hl) < nothing)
            continue;
        row.tank = it->tank;
        row.hl = sign * hl;
        row.kg = hl >= 0 ? sign * volumes_extract_kg(hl, row.ledger->plato) : NAN;
        table_row(table, &row);
        count++;
    }
    return count;
}

/* The yield is told in the month in which the batch ended. */
static double yield_of(const struct month *month, const struct ledger *ledger)
{
    bool ended = fabs(ledger_sum(ledger, LEDGER_CLOSING, month->from, month->to)) < nothing;
    return ended ? ledger_yield_percent(ledger) : NAN;
}

static void write_rows(struct month *month, FILE *out)
{
    struct table table = TABLE(month, out, true, ROWS);
    for (size_t i = 0; i < month->n; i++) {
        const struct ledger *ledger = &month->items[i];
        struct row row = row_for(month, ledger);
        for (int step = LEDGER_OPENING; step < LEDGER_CLOSING; step++) {
            double hl = ledger_sum(ledger, (enum ledger_step)step, month->from, month->to);
            row.step = LEDGER_STEP[step];
            row.hl = hl;
            row.kg = copysign(volumes_extract_kg(fabs(hl), ledger->plato), hl);
            if (step == LEDGER_PACKAGED)
                add_packages(&table, row, -1);
            else if (fabs(hl) > nothing)
                table_row(&table, &row);
        }
        row.step = LEDGER_STEP[LEDGER_CLOSING];
        if (add_stock(&table, row, -1) > 0)
            continue;
        row.hl = row.kg = 0;
        row.yield = yield_of(month, ledger);
        table_row(&table, &row);
    }
    table_end(&table);
}

static void write_batches(struct month *month, FILE *out)
{
    struct table table = TABLE(month, out, false, BATCHES);
    double *all = arena_array(month->arena, LEDGER_STEPS, sizeof *all);
    for (size_t i = 0; i < month->n; i++) {
        double sums[LEDGER_STEPS];
        struct row row = row_for(month, &month->items[i]);
        for (int step = 0; step < LEDGER_STEPS; step++) {
            sums[step] = ledger_sum(row.ledger, (enum ledger_step)step, month->from, month->to);
            all[step] += sums[step];
        }
        row.sums = sums;
        row.yield = yield_of(month, row.ledger);
        table_row(&table, &row);
    }
    struct row row = row_for(month, NULL);
    row.sums = all;
    table_row(&table, &row);
    table_end(&table);
}

/* In the order of the walk; tanks that are not in it last. */
static void write_stock(struct month *month, FILE *out)
{
    struct table table = TABLE(month, out, false, STOCK);
    for (size_t place = 0; place <= month->cellar->walk.n; place++)
        for (size_t i = 0; i < month->n; i++) {
            struct row row = row_for(month, &month->items[i]);
            for (size_t k = 0; k < row.ledger->n; k++) {
                row.tank = row.ledger->items[k].tank;
                row.hl = ledger_stock(row.ledger, row.tank, month->to);
                if (is_first_of_tank(row.ledger, k) && fabs(row.hl) > nothing &&
                    cellar_walk_place(month->cellar, row.tank) == place)
                    table_row(&table, &row);
            }
        }
    if (table_has_rows(&table))
        fputs(month->is_whole ? "\nIn the tanks at the month's end:\n" : "\nIn the tanks now:\n",
              out);
    table_end(&table);
}

static void write_packages(struct month *month, FILE *out)
{
    struct table table = TABLE(month, out, false, PACKAGES);
    for (size_t i = 0; i < month->n; i++)
        add_packages(&table, row_for(month, &month->items[i]), 1);
    if (table_has_rows(&table))
        fputs("\nPackaged:\n", out);
    table_end(&table);
}

void month_write(struct month *month, FILE *out, bool tsv)
{
    if (tsv) {
        write_rows(month, out);
        return;
    }
    static const char *const names[] = {"January",   "February", "March",    "April",
                                        "May",       "June",     "July",     "August",
                                        "September", "October",  "November", "December"};
    char until[CIVIL_TEXT_SIZE];
    const struct quantity_unit *house = month->cellar->house[QUANTITY_VOLUME];
    fprintf(out, "%s %d", names[month->number - 1], month->year);
    if (!month->is_whole)
        fprintf(out, " until %s", civil_minute(month->cellar->zone, month->to - 1, until));
    fprintf(out, ", in %s.%cMoving and Packing: what was lost there; Yield in %%.\n\n",
            house != NULL ? house->name : QUANTITIES[QUANTITY_VOLUME].unit,
            month->is_whole ? ' ' : '\n');
    if (month->n == 0) {
        fputs("No volumes.\n", out);
        return;
    }
    write_batches(month, out);
    write_stock(month, out);
    write_packages(month, out);
    fputs("\nThese are the house's own volumes. What is declared, and how it is rounded,\n"
          "is for your authority's rules to say.\n",
          out);
}
