#include "sheet_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const HEADINGS[SHEET_CELLS] = {
    [READS_GRAVITY] = "gravity",   [READS_PH] = "pH",   [READS_TEMP] = "temp",
    [READS_PRESSURE] = "pressure", [READS_VDK] = "VDK", [READS_CARBONATION] = "CO2",
    [READS_OXYGEN] = "oxygen",
};

void sheet_write_heading(struct buf *buf, const struct sheet *sheet, int reads)
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

void sheet_write_figure(struct buf *buf, const struct figure *figure, enum quantity quantity,
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
    sheet_write_figure(buf, &cell->last, quantity, unit);
    int64_t day = civil_day(zone, cell->last_at);
    if (day == civil_day(zone, newest))
        return;
    char text[CIVIL_SHORT_SIZE];
    buf_printf(buf, " %s", civil_short_date(day, text) + strlen("Wed "));
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
    struct buf facts = buf_new(sheet->arena);
    if (stop->has_day) {
        add_part(&facts, "day ");
        buf_printf(&facts, "%lld", (long long)stop->day);
    }
    if (stop->volume.state == FIGURE_SET) {
        add_part(&facts, "");
        sheet_write_figure(&facts, &stop->volume, QUANTITY_VOLUME, volume);
        buf_printf(&facts, " %s", volume->name);
    }
    if (stop->original.state == FIGURE_SET) {
        add_part(&facts, "");
        sheet_write_figure(&facts, &stop->original, QUANTITY_GRAVITY, gravity);
    }
    if (stop->verdict.limit.state == FIGURE_SET) {
        buf_add(&facts, stop->original.state == FIGURE_SET ? STR(" to ") : STR(", to "));
        sheet_write_expected(&facts, &stop->verdict.limit, QUANTITY_GRAVITY, gravity);
        buf_printf(&facts, " %s (%s)", gravity->name, stop->verdict.limit_from);
    } else if (stop->original.state == FIGURE_SET) {
        buf_printf(&facts, " %s", gravity->name);
    }
    buf_add(buf, buf_str(&facts));
}

static void write_day(struct buf *buf, const struct sheet *sheet, int64_t at)
{
    char text[CIVIL_SHORT_SIZE];
    buf_add(buf, str_of(civil_short_date(civil_day(sheet->cellar->zone, at), text)));
}

void sheet_write_empty(struct buf *buf, const struct sheet *sheet, const struct sheet_stop *stop)
{
    buf_add(buf, STR("empty"));
    if (stop->emptied != 0) {
        buf_add(buf, STR(" since "));
        write_day(buf, sheet, stop->emptied);
    }
    if (stop->cleaned != 0 && stop->cleaned >= stop->emptied) {
        buf_add(buf, STR(", cleaned "));
        write_day(buf, sheet, stop->cleaned);
    } else {
        buf_add(buf, STR(", not cleaned by the log"));
    }
}

void sheet_write_meter(struct buf *buf, const struct sheet *sheet, const struct sheet_meter *meter)
{
    str_escape(buf, meter->name, 20);
    if (meter->meter->kind != METER_UNKNOWN)
        buf_printf(buf, " (%s)", CELLAR_METER_KINDS[meter->meter->kind - 1]);
    if (meter->last_at == 0) {
        buf_add(buf, STR(": no calibration in the log"));
    } else {
        char clock[CIVIL_CLOCK_SIZE];
        buf_add(buf, STR(": last "));
        write_day(buf, sheet, meter->last_at);
        buf_printf(buf, " %s", civil_clock(sheet->cellar->zone, meter->last_at, clock));
    }
    long days = lround(meter->due_hours / 24);
    if (days <= 1)
        buf_add(buf, STR(", due every day"));
    else
        buf_printf(buf, ", due every %ld days", days);
}
