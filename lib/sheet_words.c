#include "sheet_words.h"

#include "expect.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const HEADINGS[SHEET_CELLS] = {
    [READS_GRAVITY] = "gravity",   [READS_PH] = "pH",   [READS_TEMP] = "temp",
    [READS_PRESSURE] = "pressure", [READS_VDK] = "VDK", [READS_CARBONATION] = "CO2",
    [READS_OXYGEN] = "oxygen",
};

/* "gravity P", "CO2 vol": with the unit of the house. */
static void write_heading(struct buf *buf, const struct sheet *sheet, int reads)
{
    const struct quantity_unit *unit = sheet_unit(sheet, BATCH_COLUMNS[reads].quantity);
    buf_printf(buf, unit == NULL ? "%s" : "%s %s", HEADINGS[reads], unit == NULL ? "" : unit->name);
}

/* In its own unit a figure keeps the digits that were written. */
static int decimals_in(const struct quantity_unit *written, int decimals, enum quantity quantity,
                       const struct quantity_unit *unit)
{
    if (written == unit)
        return decimals;
    return unit == NULL ? QUANTITIES[quantity].decimals : unit->decimals;
}

/* The number of a figure in a unit (NULL: none), with < or > where it is censored, or its word. */
static void write_figure(struct buf *buf, const struct figure *figure, enum quantity quantity,
                         const struct quantity_unit *unit)
{
    if (quantity == QUANTITY_VDK && figure->word != VDK_NOT_SMELT) {
        buf_add(buf, str_of(BATCH_VDK_WORDS[figure->word - 1]));
        return;
    }
    if (figure->censor != 0)
        buf_char(buf, figure->censor < 0 ? '<' : '>');
    quantity_write_number(buf, quantity_from_library(unit, figure->value),
                          decimals_in(figure->unit, figure->decimals, quantity, unit));
}

void sheet_write_expected(struct buf *buf, const struct range *range, enum quantity quantity,
                          const struct quantity_unit *unit)
{
    if (range->state != FIGURE_SET || (!range->has_low && !range->has_high))
        return;
    int decimals = decimals_in(range->unit, range->decimals, quantity, unit);
    bool point = range->has_low && range->has_high && !(range->low < range->high);
    if (range->has_low)
        quantity_write_number(buf, quantity_from_library(unit, range->low), decimals);
    if (!point)
        buf_add(buf, STR(".."));
    if (range->has_high && !point)
        quantity_write_number(buf, quantity_from_library(unit, range->high), decimals);
}

void sheet_write_last(struct buf *buf, const struct sheet *sheet, const struct sheet_cell *cell,
                      enum quantity quantity, const struct quantity_unit *unit, int64_t newest)
{
    if (cell->last_at == 0)
        return;
    const struct civil_zone *zone = sheet->cellar->zone;
    write_figure(buf, &cell->last, quantity, unit);
    int64_t day = civil_day(zone, cell->last_at);
    if (day == civil_day(zone, newest))
        return;
    char text[CIVIL_SHORT_SIZE];
    buf_printf(buf, " %s", civil_short_date(day, text) + strlen("Wed "));
}

void sheet_write_cell(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop,
                      int reads, enum sheet_row row)
{
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    const struct quantity_unit *unit = sheet_unit(sheet, quantity);
    const struct sheet_cell *cell = &stop->cells[reads];
    if (row == SHEET_HEADING)
        write_heading(buf, sheet, reads);
    else if (row == SHEET_LAST)
        sheet_write_last(buf, sheet, cell, quantity, unit, stop->last_at);
    else
        sheet_write_expected(buf, &cell->expected, quantity, unit);
}

bool sheet_lacks_row(const struct sheet *sheet, int row)
{
    return sheet->is_blank && (row == SHEET_LAST || row == SHEET_EXPECTED);
}

static void add_part(struct buf *buf, const char *lead)
{
    if (buf->n > 0)
        buf_add(buf, STR(", "));
    buf_add(buf, str_of(lead));
}

void sheet_write_facts(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop)
{
    const struct quantity_unit *gravity = sheet_unit(sheet, QUANTITY_GRAVITY);
    const struct quantity_unit *volume = sheet_unit(sheet, QUANTITY_VOLUME);
    const struct figure *original = &stop->course->batch->used_original;
    const struct range limit = expect_range_of_limit(sheet->cellar, &stop->finish.limit);
    struct buf facts = buf_new(sheet->arena);
    if (stop->has_day) {
        add_part(&facts, "day ");
        buf_printf(&facts, "%lld", (long long)stop->day);
    }
    if (stop->volume.state == FIGURE_SET) {
        add_part(&facts, "");
        write_figure(&facts, &stop->volume, QUANTITY_VOLUME, volume);
        buf_printf(&facts, " %s", volume->name);
    }
    if (original->state == FIGURE_SET) {
        add_part(&facts, "");
        write_figure(&facts, original, QUANTITY_GRAVITY, gravity);
    }
    if (limit.state == FIGURE_SET) {
        buf_add(&facts, original->state == FIGURE_SET ? STR(" to ") : STR(", to "));
        sheet_write_expected(&facts, &limit, QUANTITY_GRAVITY, gravity);
        buf_printf(&facts, " %s (%s)", gravity->name, LIMIT_SOURCES[stop->finish.limit.source]);
    } else if (original->state == FIGURE_SET) {
        buf_printf(&facts, " %s", gravity->name);
    }
    buf_add(buf, buf_str(&facts));
}

static void write_day(struct buf *buf, const struct sheet *sheet, int64_t at)
{
    char text[CIVIL_SHORT_SIZE];
    buf_add(buf, str_of(civil_short_date(civil_day(sheet->cellar->zone, at), text)));
}

void sheet_write_when(struct buf *buf, const struct sheet *sheet, int64_t at)
{
    char text[CIVIL_SHORT_SIZE];
    int64_t day = civil_day(sheet->cellar->zone, at);
    if (sheet->today - day <= 1)
        buf_add(buf, str_of(civil_clock(sheet->cellar->zone, at, text)));
    else
        buf_add(buf, str_of(civil_short_date(day, text) + strlen("Wed ")));
}

void sheet_write_empty(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop)
{
    const struct occupancy_tank *place = stop->place;
    buf_add(buf, STR("empty"));
    if (place->emptied != 0) {
        buf_add(buf, STR(" since "));
        write_day(buf, sheet, place->emptied);
    }
    if (place->cleaned != 0 && place->cleaned >= place->emptied) {
        buf_add(buf, STR(", cleaned "));
        write_day(buf, sheet, place->cleaned);
    } else {
        buf_add(buf, STR(", not cleaned by the log"));
    }
}

void sheet_write_meter(struct buf *buf, const struct sheet *sheet, const struct meter *meter)
{
    const struct meter_check *last = meter_last_check(meter, sheet->now);
    str_escape(buf, meter->name, 20);
    if (meter->declared->kind != METER_UNKNOWN)
        buf_printf(buf, " (%s)", CELLAR_METER_KINDS[meter->declared->kind - 1]);
    if (last == NULL) {
        buf_add(buf, STR(": not in the log"));
    } else {
        char clock[CIVIL_CLOCK_SIZE];
        buf_add(buf, STR(": last "));
        write_day(buf, sheet, last->at);
        buf_printf(buf, " %s", civil_clock(sheet->cellar->zone, last->at, clock));
    }
    long days = lround(meter->due_hours / 24);
    if (days <= 1)
        buf_add(buf, STR(", due every day"));
    else
        buf_printf(buf, ", due every %ld days", days);
}

void sheet_write_why_not(struct buf *buf, const struct sheet_stop *stop)
{
    char day[CIVIL_SHORT_SIZE];
    if (stop->due.is_read_today)
        buf_add(buf, STR("read today; nothing more is due"));
    else
        buf_printf(buf, "next due %s", civil_short_date(stop->due.next_day, day));
}
