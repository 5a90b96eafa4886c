/* How figures are written: see quantity.h. */
#include "quantity.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

int quantity_step_digits(double step, int usual)
{
    enum { MOST = 9 };
    const double hair = 1e-6, rounding = 1.25;
    if (!(step > 0))
        return usual;
    double digits = ceil(-log10(rounding * step) - hair);
    return digits < 0 ? 0 : digits > MOST ? MOST : (int)digits;
}

int quantity_digits(const struct quantity_unit *unit, double library, double step, int usual)
{
    if (!(step > 0))
        return usual;
    double here = fabs(quantity_from_library(unit, library + step / 2) -
                       quantity_from_library(unit, library - step / 2));
    if (!isfinite(here)) /* one of them is out of the unit's range */
        here = fabs(quantity_from_library(unit, library) -
                    quantity_from_library(unit, library - step));
    return quantity_step_digits(here, usual);
}

/* A number of moderate size, digit by digit: what printf does, in a fraction of its time. False
 * where its rounding is too close a call, or the number too large: then printf must do it. */
static bool write_fast(struct buf *buf, double written, int decimals)
{
    enum { MOST_FAST = 6, ROOM = 24 };
    static const double POWERS_OF_TEN[MOST_FAST + 1] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6};
    char text[ROOM], *p = text + ROOM;
    if (!(fabs(written) < 1e8) || decimals < 0 || decimals > MOST_FAST)
        return false;
    double scaled = fabs(written) * POWERS_OF_TEN[decimals], whole = floor(scaled);
    if (fabs(scaled - whole - 0.5) < 1e-3)
        return false;
    uint64_t digits = (uint64_t)(scaled + 0.5);
    bool negative = written < 0 && digits > 0;
    for (int i = 0; i <= decimals || digits > 0; i++) {
        if (i == decimals && decimals > 0)
            *--p = '.';
        *--p = (char)('0' + digits % 10);
        digits /= 10;
    }
    if (negative)
        *--p = '-';
    buf_add(buf, (struct str){p, (size_t)(text + ROOM - p)});
    return true;
}

void quantity_write_number(struct buf *buf, double written, int decimals)
{
    size_t start = buf->n;
    if (write_fast(buf, written, decimals))
        return;
    buf_printf(buf, "%.*f", decimals, written);
    if (buf->p[start] == '-' && strspn(buf->p + start + 1, "0.") == buf->n - start - 1) {
        memmove(buf->p + start, buf->p + start + 1, buf->n - start);
        buf->n--;
    }
}

void quantity_write_shown(struct buf *buf, enum quantity quantity, double written,
                          const struct quantity_unit *unit)
{
    quantity_write_number(buf, written,
                          unit == NULL ? QUANTITIES[quantity].decimals : unit->decimals);
    for (int i = 0; unit != NULL && i < unit->spare && buf->p[buf->n - 1] == '0'; i++)
        buf->p[--buf->n] = '\0';
}

void quantity_write(struct buf *buf, enum quantity quantity, double library,
                    const struct quantity_unit *unit, int decimals)
{
    if (unit == NULL)
        unit = quantity_library_unit(quantity);
    double written = quantity_from_library(unit, library);
    if (decimals < 0)
        quantity_write_shown(buf, quantity, written, unit);
    else
        quantity_write_number(buf, written, decimals);
    if (unit != NULL)
        buf_printf(buf, " %s", unit->name);
}

void quantity_write_range(struct buf *buf, const struct range *range,
                          const struct quantity_unit *unit)
{
    int decimals = unit == NULL || unit == range->unit ? range->decimals : unit->decimals;
    if (unit == NULL)
        unit = range->unit;
    if (range->has_low)
        quantity_write_number(buf, quantity_from_library(unit, range->low), decimals);
    buf_add(buf, STR(".."));
    if (range->has_high)
        quantity_write_number(buf, quantity_from_library(unit, range->high), decimals);
    if (unit != NULL)
        buf_printf(buf, " %s", unit->name);
}
