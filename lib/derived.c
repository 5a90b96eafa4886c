#include "derived.h"

#include "alcohol.h"
#include "carbonation.h"
#include "civil.h"
#include "extract.h"

#include <math.h>

double derived_atmosphere(const struct cellar *cellar)
{
    if (!figure_is_exact(&cellar->altitude))
        return CARBONATION_SEA_LEVEL;
    return carbonation_atmosphere(cellar->altitude.value);
}

static double exact_or_nan(const struct figure *figure)
{
    return figure_is_exact(figure) ? figure->value : NAN;
}

static double middle(const struct limit *limit)
{
    if (isnan(limit->low_plato))
        return limit->high_plato;
    return isnan(limit->high_plato) ? limit->low_plato : (limit->low_plato + limit->high_plato) / 2;
}

struct derived_batch derived_begin(const struct batch *batch, const struct cellar *cellar,
                                   double bar_atmosphere, int64_t now)
{
    struct derived_batch of = {.batch = batch, .cellar = cellar, .bar_atmosphere = bar_atmosphere};
    of.original_plato = exact_or_nan(&batch->used_original);
    of.limit = limit_of(batch, of.original_plato, (struct limit_baseline){.has = false}, now);
    of.limit_plato = middle(&of.limit);
    return of;
}

static double within(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

/* What gravity and the original give. */
static void derive_alcohol(struct derived *row)
{
    double original = row->of->original_plato, gravity = row->gravity.plato;
    row->real_plato = alcohol_real_extract(original, gravity);
    row->abv_percent = alcohol_by_volume(alcohol_by_mass(original, row->real_plato), gravity);
    row->adf_percent = alcohol_apparent_fermentation(original, gravity);
    row->rdf_percent = alcohol_real_fermentation(original, row->real_plato);
    double way = original - row->of->limit_plato;
    row->progress = way > 0 ? within((original - gravity) / way, 0, 1) : NAN;
}

struct derived derived_of(const struct derived_batch *of, const struct reading *reading,
                          bool is_wort)
{
    const struct figure *gravity = &reading->figure[READS_GRAVITY];
    const struct doc_node *meter = reading->meter[READS_GRAVITY];
    double celsius = exact_or_nan(&reading->figure[READS_TEMP]);
    double bar = exact_or_nan(&reading->figure[READS_PRESSURE]);
    struct derived row = {.of = of,
                          .reading = reading,
                          .is_wort = is_wort,
                          .hours = NAN,
                          .gravity = {NAN, CORRECTED_NOT},
                          .real_plato = NAN,
                          .abv_percent = NAN,
                          .adf_percent = NAN,
                          .rdf_percent = NAN,
                          .progress = NAN};
    if (of->batch->has_zero)
        row.hours = (double)(reading->at.at - of->batch->zero) / CIVIL_HOUR;
    if (figure_is_exact(gravity))
        row.gravity =
            corrected_gravity(gravity, meter == NULL ? NULL : cellar_meter(of->cellar, meter->text),
                              celsius, is_wort ? 0 : of->original_plato);
    if (!isnan(row.gravity.plato) && !is_wort)
        derive_alcohol(&row);
    row.co2_vol = is_wort || isnan(bar)
                      ? NAN
                      : carbonation_vol(carbonation_beer(celsius, bar, of->bar_atmosphere));
    return row;
}

/* The columns. */

static const struct derived *row_of(const void *row)
{
    return row;
}

static void put_node(struct buf *cell, const struct doc_node *node)
{
    if (node != NULL && !doc_is_null(node))
        buf_add(cell, node->text);
}

static void put_number(struct buf *cell, double value, int decimals)
{
    if (isfinite(value))
        quantity_write_number(cell, value, decimals);
}

/* The house's unit in text, the library's in TSV. */
static const struct quantity_unit *unit_for(const struct table *table, enum quantity quantity)
{
    const struct cellar *cellar = table->context;
    const struct quantity_unit *house = table->tsv ? NULL : cellar->house[quantity];
    return house != NULL ? house : quantity_library_unit(quantity);
}

static void put_written(struct buf *cell, const struct figure *figure, enum quantity quantity,
                        const struct table *table)
{
    const struct quantity_unit *unit = unit_for(table, quantity);
    double value = quantity_from_library(unit, figure->value);
    if (unit == NULL || unit == figure->unit)
        quantity_write_number(cell, figure->written, figure->decimals);
    else
        quantity_write_number(cell, value,
                              quantity_digits(unit, figure->value, figure->step, unit->decimals));
}

/* A figure off the end of a scale stands here in text only: TSV has a column for those. */
static void put_figure(struct buf *cell, const struct figure *figure, enum quantity quantity,
                       const struct table *table)
{
    if (figure->state != FIGURE_SET || (figure->censor != 0 && table->tsv))
        return;
    if (figure->censor != 0)
        buf_char(cell, figure->censor < 0 ? '<' : '>');
    put_written(cell, figure, quantity, table);
}

static void put_unit(struct buf *title, const struct table *table, enum quantity quantity)
{
    const struct quantity_unit *unit = unit_for(table, quantity);
    if (!table->tsv && unit != NULL)
        buf_printf(title, "%s%s", title->n == 0 ? "" : " ", unit->name);
}

#define COLUMN(name) static void name(struct buf *cell, const void *row, const struct table *table)
#define UNUSED       (void)table

COLUMN(get_batch)
{
    UNUSED;
    put_node(cell, row_of(row)->of->batch->number);
}

COLUMN(get_beer)
{
    UNUSED;
    put_node(cell, row_of(row)->of->batch->beer);
}

COLUMN(get_at)
{
    const struct civil_zone *zone = row_of(row)->of->cellar->zone;
    int64_t at = row_of(row)->reading->at.at;
    char text[CIVIL_TEXT_SIZE];
    buf_add(cell,
            str_of(table->tsv ? civil_rfc3339(zone, at, text) : civil_minute(zone, at, text)));
}

COLUMN(get_tank)
{
    UNUSED;
    buf_add(cell, row_of(row)->reading->where);
}

COLUMN(get_hours)
{
    UNUSED;
    put_number(cell, row_of(row)->hours, 2);
}

COLUMN(get_days)
{
    put_number(cell, row_of(row)->hours / 24, table->tsv ? 3 : 1);
}

COLUMN(get_stage)
{
    UNUSED;
    buf_add(cell, str_of(row_of(row)->is_wort ? "wort" : "beer"));
}

/* As it was read, or to 0.01 P where a correction made it. */
COLUMN(get_gravity)
{
    const struct derived *it = row_of(row);
    const struct figure *figure = &it->reading->figure[READS_GRAVITY];
    const struct quantity_unit *unit = unit_for(table, QUANTITY_GRAVITY);
    if (it->gravity.how == CORRECTED_NOT)
        put_figure(cell, figure, QUANTITY_GRAVITY, table);
    else
        put_number(cell, quantity_from_library(unit, it->gravity.plato),
                   quantity_digits(unit, it->gravity.plato, 0.01, unit->decimals));
}

COLUMN(get_gravity_read)
{
    put_figure(cell, &row_of(row)->reading->figure[READS_GRAVITY], QUANTITY_GRAVITY, table);
}

COLUMN(get_correction)
{
    UNUSED;
    buf_add(cell, str_of(CORRECTED_NAMES[row_of(row)->gravity.how]));
}

static void unit_gravity(struct buf *title, const struct table *table)
{
    put_unit(title, table, QUANTITY_GRAVITY);
}

/* Two functions for each quantity that is shown as it was read, and one for its meter. */
#define READ(index, name, quantity)                                                                \
    COLUMN(get_##name)                                                                             \
    {                                                                                              \
        put_figure(cell, &row_of(row)->reading->figure[index], quantity, table);                   \
    }                                                                                              \
    static void unit_##name(struct buf *title, const struct table *table)                          \
    {                                                                                              \
        put_unit(title, table, quantity);                                                          \
    }                                                                                              \
    METER(index, name)
#define METER(index, name)                                                                         \
    COLUMN(get_##name##_meter)                                                                     \
    {                                                                                              \
        UNUSED;                                                                                    \
        put_node(cell, row_of(row)->reading->meter[index]);                                        \
    }

COLUMN(get_ph)
{
    put_figure(cell, &row_of(row)->reading->figure[READS_PH], QUANTITY_PH, table);
}

METER(READS_GRAVITY, gravity)
METER(READS_PH, ph)
READ(READS_TEMP, temp, QUANTITY_TEMPERATURE)
READ(READS_PRESSURE, pressure, QUANTITY_PRESSURE)
READ(READS_VDK, vdk, QUANTITY_VDK)
READ(READS_CARBONATION, carbonation, QUANTITY_CARBONATION)
READ(READS_OXYGEN, oxygen, QUANTITY_OXYGEN)
READ(READS_ALCOHOL, alcohol, QUANTITY_ALCOHOL)
READ(READS_CELLS, cells, QUANTITY_CELLS)
READ(READS_VIABILITY, viability, QUANTITY_PERCENT)

COLUMN(get_smell)
{
    UNUSED;
    int word = row_of(row)->reading->figure[READS_VDK].word;
    if (word != VDK_NOT_SMELT)
        buf_add(cell, str_of(BATCH_VDK_WORDS[word - 1]));
}

/* "ph<4.7", each figure that is off the end of a scale. */
COLUMN(get_censored)
{
    const struct reading *reading = row_of(row)->reading;
    for (size_t q = 0; q < READS_COUNT; q++) {
        const struct figure *figure = &reading->figure[q];
        if (figure->state != FIGURE_SET || figure->censor == 0)
            continue;
        buf_printf(cell, "%s%s%c", cell->n == 0 ? "" : " ", BATCH_COLUMNS[q].key,
                   figure->censor < 0 ? '<' : '>');
        put_written(cell, figure, BATCH_COLUMNS[q].quantity, table);
    }
}

COLUMN(get_sg)
{
    put_number(cell, extract_sg_from_plato(row_of(row)->gravity.plato), table->tsv ? 5 : 4);
}

COLUMN(get_original)
{
    const struct quantity_unit *unit = unit_for(table, QUANTITY_GRAVITY);
    put_number(cell, quantity_from_library(unit, row_of(row)->of->original_plato),
               unit->decimals + 1);
}

COLUMN(get_real_extract)
{
    UNUSED;
    put_number(cell, row_of(row)->real_plato, 2);
}

COLUMN(get_abv)
{
    put_number(cell, row_of(row)->abv_percent, table->tsv ? 2 : 1);
}

COLUMN(get_adf)
{
    put_number(cell, row_of(row)->adf_percent, table->tsv ? 1 : 0);
}

COLUMN(get_rdf)
{
    put_number(cell, row_of(row)->rdf_percent, table->tsv ? 1 : 0);
}

COLUMN(get_co2)
{
    UNUSED;
    put_number(cell, row_of(row)->co2_vol, 2);
}

COLUMN(get_limit_low)
{
    UNUSED;
    put_number(cell, row_of(row)->of->limit.low_plato, 2);
}

COLUMN(get_limit_high)
{
    UNUSED;
    put_number(cell, row_of(row)->of->limit.high_plato, 2);
}

COLUMN(get_limit_from)
{
    UNUSED;
    buf_add(cell, str_of(LIMIT_SOURCES[row_of(row)->of->limit.source]));
}

COLUMN(get_progress)
{
    UNUSED;
    put_number(cell, row_of(row)->progress, 3);
}

COLUMN(get_by)
{
    UNUSED;
    put_node(cell, row_of(row)->reading->by);
}

COLUMN(get_note)
{
    UNUSED;
    put_node(cell, row_of(row)->reading->note);
}

COLUMN(get_file)
{
    UNUSED;
    buf_add(cell, row_of(row)->of->batch->source->name);
}

COLUMN(get_line)
{
    UNUSED;
    put_number(cell, row_of(row)->reading->node->line, 0);
}

const struct table_column DERIVED_COLUMNS[] = {
    {"batch", "Batch", 0, get_batch, NULL},
    {"beer", "Beer", TABLE_SHRINK, get_beer, NULL},
    {"at", "At", 0, get_at, NULL},
    {"tank", "Tank", TABLE_SHRINK, get_tank, NULL},
    {"hours", "Hours", TABLE_RIGHT, get_hours, NULL},
    {"days", "Days", TABLE_RIGHT, get_days, NULL},
    {"stage", "Stage", 0, get_stage, NULL},
    {"gravity_P", "", TABLE_RIGHT, get_gravity, unit_gravity},
    {"gravity_read_P", "Read", TABLE_RIGHT, get_gravity_read, unit_gravity},
    {"correction", "Corrected", 0, get_correction, NULL},
    {"ph", "pH", TABLE_RIGHT, get_ph, NULL},
    {"temp_C", "", TABLE_RIGHT, get_temp, unit_temp},
    {"pressure_bar", "", TABLE_RIGHT, get_pressure, unit_pressure},
    {"vdk_mg_L", "VDK", TABLE_RIGHT, get_vdk, unit_vdk},
    {"vdk_smell", "Smell", 0, get_smell, NULL},
    {"carbonation_vol", "Carb", TABLE_RIGHT, get_carbonation, unit_carbonation},
    {"oxygen_ppb", "Oxygen", TABLE_RIGHT, get_oxygen, unit_oxygen},
    {"alcohol_pct", "Alcohol", TABLE_RIGHT, get_alcohol, unit_alcohol},
    {"cells_M_mL", "Cells", TABLE_RIGHT, get_cells, unit_cells},
    {"viability_pct", "Viable", TABLE_RIGHT, get_viability, unit_viability},
    {"censored", "Off scale", 0, get_censored, NULL},
    {"sg", "SG", TABLE_RIGHT, get_sg, NULL},
    {"original_P", "Original", TABLE_RIGHT, get_original, unit_gravity},
    {"real_extract_P", "Real P", TABLE_RIGHT, get_real_extract, NULL},
    {"abv_pct", "ABV", TABLE_RIGHT, get_abv, NULL},
    {"adf_pct", "ADF", TABLE_RIGHT, get_adf, NULL},
    {"rdf_pct", "RDF %", TABLE_RIGHT, get_rdf, NULL},
    {"co2_vol", "CO2", TABLE_RIGHT, get_co2, NULL},
    {"limit_low_P", "Low P", TABLE_RIGHT, get_limit_low, NULL},
    {"limit_high_P", "High P", TABLE_RIGHT, get_limit_high, NULL},
    {"limit_from", "Limit", 0, get_limit_from, NULL},
    {"progress", "Progress", TABLE_RIGHT, get_progress, NULL},
    {"by", "By", 0, get_by, NULL},
    {"note", "Note", TABLE_WRAP, get_note, NULL},
    {"gravity_meter", "gravity meter", 0, get_gravity_meter, NULL},
    {"ph_meter", "ph meter", 0, get_ph_meter, NULL},
    {"temp_meter", "temp meter", 0, get_temp_meter, NULL},
    {"pressure_meter", "pressure meter", 0, get_pressure_meter, NULL},
    {"vdk_meter", "vdk meter", 0, get_vdk_meter, NULL},
    {"carbonation_meter", "carbonation meter", 0, get_carbonation_meter, NULL},
    {"oxygen_meter", "oxygen meter", 0, get_oxygen_meter, NULL},
    {"alcohol_meter", "alcohol meter", 0, get_alcohol_meter, NULL},
    {"cells_meter", "cells meter", 0, get_cells_meter, NULL},
    {"viability_meter", "viability meter", 0, get_viability_meter, NULL},
    {"file", "File", 0, get_file, NULL},
    {"line", "Line", TABLE_RIGHT, get_line, NULL},
};
const size_t DERIVED_COLUMN_COUNT = sizeof DERIVED_COLUMNS / sizeof DERIVED_COLUMNS[0];

const char DERIVED_USUAL[] =
    "batch,at,days,tank,gravity_P,ph,temp_C,pressure_bar,abv_pct,adf_pct,co2_vol";

static const char *column_name(const void *table, size_t i)
{
    return ((const struct table_column *)table)[i].name;
}

static const struct table_column *column_named(struct str name)
{
    for (size_t i = 0; i < DERIVED_COLUMN_COUNT; i++)
        if (str_is(name, DERIVED_COLUMNS[i].name))
            return &DERIVED_COLUMNS[i];
    return NULL;
}

struct derived_choice derived_choose(struct arena *arena, struct str names)
{
    struct derived_choice choice = {.columns = NULL};
    size_t most = 1;
    for (size_t i = 0; i < names.n; i++)
        most += names.p[i] == ',';
    struct table_column *columns = arena_array(arena, most, sizeof *columns);
    choice.columns = columns;
    while (names.p != NULL) {
        struct str name = str_trim(str_split(&names, ','));
        const struct table_column *column = column_named(name);
        if (column == NULL) {
            choice.unknown = name;
            choice.nearest = str_nearest(name, column_name, DERIVED_COLUMNS, DERIVED_COLUMN_COUNT);
            return choice;
        }
        columns[choice.count++] = *column;
    }
    return choice;
}
