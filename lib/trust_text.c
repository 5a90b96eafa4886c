#include "trust_text.h"

#include "words.h"

#include <math.h>

/* Slower than this in a month is not worth a word. */
#define SLOPE_LEAST  0.5 /* % */
#define OFFSET_LEAST 1.0 /* mV */

static const struct cellar *cellar_of(const struct table *table)
{
    return table->context;
}

static void add_number(struct buf *cell, double value, int decimals)
{
    if (!isnan(value))
        quantity_write_number(cell, value, decimals);
}

static void add_time(struct buf *cell, const struct table *table, int64_t at)
{
    char text[CIVIL_TEXT_SIZE];
    if (table->tsv)
        buf_printf(cell, "%s", civil_rfc3339(cellar_of(table)->zone, at, text));
    else
        words_time(cell, cellar_of(table), at);
}

static void get_meter(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct trust *)row)->meter->name);
}

static void get_reads(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->meter->declared->reads > 0)
        buf_printf(cell, "%s", CELLAR_READS[trust->meter->declared->reads - 1]);
}

static void get_kind(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->meter->declared->kind > 0)
        buf_printf(cell, "%s", CELLAR_METER_KINDS[trust->meter->declared->kind - 1]);
}

static void get_last(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    if (trust->last != NULL)
        add_time(cell, table, trust->last->at);
}

static void get_due(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    if (trust->has_due)
        add_time(cell, table, trust->due_at);
}

static void get_days(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->has_due)
        add_number(cell, trust->days_to_due, 1);
}

static void add_check(struct buf *cell, const struct table *table, double value, int decimals,
                      const char *unit)
{
    add_number(cell, value, decimals);
    if (!table->tsv && !isnan(value))
        buf_printf(cell, " %s", unit);
}

static void get_slope(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    if (trust->last != NULL)
        add_check(cell, table, trust->last->slope_percent, table->tsv ? 1 : 0, "%");
}

static void get_offset(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    if (trust->last != NULL)
        add_check(cell, table, trust->last->offset_mv, table->tsv ? 1 : 0, "mV");
}

static void get_water(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    if (trust->last == NULL || isnan(trust->last->water_plato))
        return;
    if (table->tsv)
        add_number(cell, trust->last->water_plato, 1);
    else
        words_value(cell, cellar_of(table), QUANTITY_GRAVITY, trust->last->water_plato);
}

static void get_buffers(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->last != NULL && !isnan(trust->last->low))
        add_number(cell, trust->last->celsius, 1);
}

static void get_found_off(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->last != NULL)
        add_number(cell, trust->last->found_off, 2);
}

static void get_slope_month(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->slope.is_moving)
        add_number(cell, trust->slope.per_month, 2);
}

static void get_offset_month(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->offset.is_moving)
        add_number(cell, trust->offset.per_month, 1);
}

/* The trend that leaves its limits first; NULL. */
static const struct trust_trend *leaving(const struct trust *trust)
{
    const struct trust_trend *first = trust->slope.leaves ? &trust->slope : NULL;
    if (trust->offset.leaves && (first == NULL || trust->offset.leaves_at < first->leaves_at))
        first = &trust->offset;
    return first;
}

static void get_leaves(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust_trend *trend = leaving(row);
    if (trend != NULL)
        add_time(cell, table, trend->leaves_at);
}

static void get_other(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->pairs.other != NULL)
        buf_add(cell, trust->pairs.other->name);
}

static void get_pairs(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->pairs.n > 0)
        buf_printf(cell, "%zu", trust->pairs.n);
}

static void get_difference(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->pairs.n > 0)
        add_number(cell, trust->pairs.difference, 3);
}

static void get_low(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->pairs.n > 0)
        add_number(cell, trust->pairs.low, 3);
}

static void get_high(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    (void)table;
    if (trust->pairs.n > 0)
        add_number(cell, trust->pairs.high, 3);
}

static void get_verdict(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", TRUST_VERDICTS[((const struct trust *)row)->verdict]);
}

static void get_why(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ((const struct trust *)row)->why);
}

static void say_trend(struct buf *cell, const struct cellar *cellar, const char *name,
                      const char *unit, const struct trust_trend *trend, double least)
{
    if (!trend->is_moving || fabs(trend->per_month) < least)
        return;
    buf_printf(cell, "; %s %s by %.1f %s a month", name, trend->per_month < 0 ? "falls" : "rises",
               fabs(trend->per_month), unit);
    if (!trend->leaves)
        return;
    buf_printf(cell, ", out of limits about ");
    words_day(cell, cellar, trend->leaves_at);
    struct civil_time time;
    civil_local(cellar->zone, trend->leaves_at, &time);
    buf_printf(cell, " %d", (int)time.year);
}

/* Text: why, where it is going, and whether it agrees with the others. */
static void get_words(struct buf *cell, const void *row, const struct table *table)
{
    const struct trust *trust = row;
    const struct trust_pairs *pairs = &trust->pairs;
    buf_printf(cell, "%s", trust->why);
    say_trend(cell, cellar_of(table), "slope", "%", &trust->slope, SLOPE_LEAST);
    say_trend(cell, cellar_of(table), "offset", "mV", &trust->offset, OFFSET_LEAST);
    if (pairs->n == 0)
        return;
    bool ph = trust->meter->quantity == QUANTITY_PH;
    buf_printf(cell, "; %+.*f against " STR_FMT " in %zu pair%s", ph ? 2 : 1,
               pairs->difference + 0.0, STR_ARG(pairs->other->name), pairs->n,
               pairs->n == 1 ? "" : "s");
    if (!isnan(pairs->low))
        buf_printf(cell, " (95 %% within %+.*f..%+.*f)", ph ? 2 : 1, pairs->low, ph ? 2 : 1,
                   pairs->high);
}

const struct table_column TRUST_TEXT_COLUMNS[] = {
    {"meter", "METER", 0, get_meter, NULL},
    {"reads", "READS", 0, get_reads, NULL},
    {"kind", "KIND", 0, get_kind, NULL},
    {"calibrated", "CALIBRATED", 0, get_last, NULL},
    {"due", "DUE", 0, get_due, NULL},
    {"days_to_due", NULL, 0, get_days, NULL},
    {"slope_pct", "SLOPE", TABLE_RIGHT | TABLE_OPTIONAL, get_slope, NULL},
    {"offset_mV", "OFFSET", TABLE_RIGHT | TABLE_OPTIONAL, get_offset, NULL},
    {"water_P", "WATER", TABLE_RIGHT | TABLE_OPTIONAL, get_water, NULL},
    {"buffers_C", NULL, 0, get_buffers, NULL},
    {"found_off", NULL, 0, get_found_off, NULL},
    {"slope_pct_month", NULL, 0, get_slope_month, NULL},
    {"offset_mV_month", NULL, 0, get_offset_month, NULL},
    {"leaves_limits", NULL, 0, get_leaves, NULL},
    {"other", NULL, 0, get_other, NULL},
    {"pairs", NULL, 0, get_pairs, NULL},
    {"difference", NULL, 0, get_difference, NULL},
    {"agree_low", NULL, 0, get_low, NULL},
    {"agree_high", NULL, 0, get_high, NULL},
    {"verdict", "VERDICT", 0, get_verdict, NULL},
    {"why", NULL, 0, get_why, NULL},
    {NULL, "", TABLE_WRAP, get_words, NULL},
};
const size_t TRUST_TEXT_COUNT = sizeof TRUST_TEXT_COLUMNS / sizeof TRUST_TEXT_COLUMNS[0];
