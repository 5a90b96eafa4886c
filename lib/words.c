#include "words.h"

#include <math.h>

void words_value(struct buf *buf, const struct cellar *cellar, enum quantity quantity,
                 double library)
{
    quantity_write(buf, quantity, library, cellar->house[quantity], -1);
}

static const struct quantity_unit *gravity_unit(const struct cellar *cellar)
{
    const struct quantity_unit *house = cellar->house[QUANTITY_GRAVITY];
    return house != NULL ? house : quantity_library_unit(QUANTITY_GRAVITY);
}

void words_gravity_difference(struct buf *buf, const struct cellar *cellar, double plato,
                              double above_plato)
{
    const struct quantity_unit *unit = gravity_unit(cellar);
    double more = quantity_from_library(unit, plato + above_plato);
    quantity_write_shown(buf, QUANTITY_GRAVITY, fabs(more - quantity_from_library(unit, plato)),
                         unit);
    buf_printf(buf, " %s", unit->name);
}

void words_range(struct buf *buf, const struct cellar *cellar, enum quantity quantity,
                 const struct range *range)
{
    quantity_write_range(buf, range, cellar->house[quantity]);
}

void words_gravity_limit(struct buf *buf, const struct cellar *cellar, double low_plato,
                         double high_plato)
{
    const struct quantity_unit *unit = gravity_unit(cellar);
    bool one = low_plato == high_plato;
    if (!isnan(low_plato) && !one)
        quantity_write_shown(buf, QUANTITY_GRAVITY, quantity_from_library(unit, low_plato), unit);
    if (!one)
        buf_add(buf, STR(".."));
    if (!isnan(high_plato))
        quantity_write_shown(buf, QUANTITY_GRAVITY, quantity_from_library(unit, high_plato), unit);
    buf_printf(buf, " %s", unit->name);
}

/* "Fri 20 Nov" without the weekday. */
void words_day(struct buf *buf, const struct cellar *cellar, int64_t at)
{
    enum { WEEKDAY = 4 };
    char text[CIVIL_SHORT_SIZE];
    civil_short_date(civil_day(cellar->zone, at), text);
    buf_printf(buf, "%s", text + WEEKDAY);
}

void words_time(struct buf *buf, const struct cellar *cellar, int64_t at)
{
    char text[CIVIL_CLOCK_SIZE];
    words_day(buf, cellar, at);
    buf_printf(buf, " %s", civil_clock(cellar->zone, at, text));
}
