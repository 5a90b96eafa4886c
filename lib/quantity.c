#include "quantity.h"

#include "carbonation.h"
#include "extract.h"

#include <float.h>
#include <math.h>
#include <string.h>

const struct quantity_info QUANTITIES[QUANTITY_COUNT] = {
    [QUANTITY_NUMBER] = {"number", "", "", true, -1e12, 1e12, 0},
    [QUANTITY_GRAVITY] = {"gravity", "P", "_P", false, -4, 40, 1},
    [QUANTITY_PH] = {"ph", "", "", true, 2, 12, 2},
    [QUANTITY_TEMPERATURE] = {"temperature", "C", "_C", false, -40, 110, 1},
    [QUANTITY_PRESSURE] = {"pressure", "bar", "_bar", false, -1, 350, 2}, /* of gas in bottles */
    [QUANTITY_VOLUME] = {"volume", "hL", "_hL", false, 0, 1e6, 1},
    [QUANTITY_CARBONATION] = {"carbonation", "vol", "_vol", false, 0, 8, 2},
    [QUANTITY_VDK] = {"vdk", "mg/L", "_mg_L", false, 0, 10, 2},
    [QUANTITY_OXYGEN] = {"oxygen", "ppb", "_ppb", false, 0, 50000, 0},
    [QUANTITY_ALCOHOL] = {"alcohol", "%", "_pct", true, 0, 30, 1},
    [QUANTITY_BITTERNESS] = {"bitterness", "IBU", "", true, 0, 300, 0},
    [QUANTITY_CELLS] = {"cells", "M/mL", "_M_mL", false, 0, 10000, 1},
    [QUANTITY_PERCENT] = {"percent", "%", "_pct", true, 0, 100, 0},
    [QUANTITY_VOLTAGE] = {"voltage", "mV", "_mV", true, -2000, 2000, 0},
    [QUANTITY_MASS] = {"mass", "kg", "_kg", false, 0, 1e6, 1},
    [QUANTITY_DURATION] = {"duration", "h", "_h", false, 0, 24 * 366 * 20, 0},
    [QUANTITY_LENGTH] = {"length", "m", "_m", false, -500, 6000, 0},
};

/* Litre, gallon and pound are exact by definition; a beer barrel is 31 US or 36 imperial gallons.
 * Pounds per square inch: 4.4482216152605 N / (0.0254 m)^2. */
#define PSI_BAR            0.06894757293168361
#define US_GALLON_HL       0.03785411784
#define IMPERIAL_GALLON_HL 0.0454609
#define POUND_KG           0.45359237
#define VOLUME_G_L         (CARBONATION_MOLAR_MASS / CARBONATION_MOLAR_VOLUME)

#define LINEAR(name, quantity, factor, decimals)                                                   \
    {                                                                                              \
        name, quantity, factor, 0, NULL, NULL, decimals, 0                                         \
    }

const struct quantity_unit QUANTITY_UNITS[] = {
    LINEAR("P", QUANTITY_GRAVITY, 1, 1),
    {"SG", QUANTITY_GRAVITY, 0, 0, extract_plato_from_sg, extract_sg_from_plato, 4, 1},
    LINEAR("Bx", QUANTITY_GRAVITY, 1, 1),
    {"kg/m3", QUANTITY_GRAVITY, 0, 0, extract_plato_from_density, extract_density_from_plato, 1, 0},
    LINEAR("C", QUANTITY_TEMPERATURE, 1, 1),
    {"F", QUANTITY_TEMPERATURE, 5.0 / 9.0, -160.0 / 9.0, NULL, NULL, 0, 0},
    {"K", QUANTITY_TEMPERATURE, 1, -273.15, NULL, NULL, 1, 0},
    LINEAR("bar", QUANTITY_PRESSURE, 1, 2),
    LINEAR("mbar", QUANTITY_PRESSURE, 1e-3, 0),
    LINEAR("kPa", QUANTITY_PRESSURE, 1e-2, 0),
    LINEAR("psi", QUANTITY_PRESSURE, PSI_BAR, 1),
    LINEAR("hL", QUANTITY_VOLUME, 1, 1),
    LINEAR("L", QUANTITY_VOLUME, 1e-2, 0),
    LINEAR("mL", QUANTITY_VOLUME, 1e-5, 0),
    LINEAR("m3", QUANTITY_VOLUME, 10, 2),
    LINEAR("floz", QUANTITY_VOLUME, US_GALLON_HL / 128, 1),
    LINEAR("gal", QUANTITY_VOLUME, US_GALLON_HL, 1),
    LINEAR("bbl", QUANTITY_VOLUME, 31 * US_GALLON_HL, 1),
    LINEAR("impgal", QUANTITY_VOLUME, IMPERIAL_GALLON_HL, 1),
    LINEAR("ukbbl", QUANTITY_VOLUME, 36 * IMPERIAL_GALLON_HL, 1),
    LINEAR("vol", QUANTITY_CARBONATION, 1, 2),
    LINEAR("g/L", QUANTITY_CARBONATION, 1 / VOLUME_G_L, 1),
    LINEAR("mg/L", QUANTITY_VDK, 1, 2),
    LINEAR("ug/L", QUANTITY_VDK, 1e-3, 0),
    LINEAR("ppm", QUANTITY_VDK, 1, 2),
    LINEAR("ppb", QUANTITY_VDK, 1e-3, 0),
    LINEAR("ppb", QUANTITY_OXYGEN, 1, 0),
    LINEAR("ppm", QUANTITY_OXYGEN, 1e3, 2),
    LINEAR("ug/L", QUANTITY_OXYGEN, 1, 0),
    LINEAR("mg/L", QUANTITY_OXYGEN, 1e3, 2),
    LINEAR("%", QUANTITY_ALCOHOL, 1, 1),
    LINEAR("%", QUANTITY_PERCENT, 1, 0),
    LINEAR("IBU", QUANTITY_BITTERNESS, 1, 0),
    LINEAR("M/mL", QUANTITY_CELLS, 1, 1),
    LINEAR("mV", QUANTITY_VOLTAGE, 1, 0),
    LINEAR("kg", QUANTITY_MASS, 1, 1),
    LINEAR("g", QUANTITY_MASS, 1e-3, 0),
    LINEAR("lb", QUANTITY_MASS, POUND_KG, 1),
    LINEAR("oz", QUANTITY_MASS, POUND_KG / 16, 1),
    LINEAR("h", QUANTITY_DURATION, 1, 0),
    LINEAR("d", QUANTITY_DURATION, 24, 0),
    LINEAR("min", QUANTITY_DURATION, 1.0 / 60, 0),
    LINEAR("m", QUANTITY_LENGTH, 1, 0),
};
const size_t QUANTITY_UNIT_COUNT = sizeof QUANTITY_UNITS / sizeof QUANTITY_UNITS[0];

enum { MOST_DIGITS = 15 };

static const double POWERS_OF_TEN[MOST_DIGITS + 1] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                      1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

static struct str without_degree_sign(struct str name)
{
    return str_starts(name, "\xc2\xb0") ? str_cut(name, 2, name.n) : name;
}

/* The unit of that name, of quantity if there is one, else of any. */
static const struct quantity_unit *find(struct str name, enum quantity quantity)
{
    const struct quantity_unit *other = NULL;
    name = without_degree_sign(name);
    if (name.n == 0)
        return NULL;
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        const struct quantity_unit *unit = &QUANTITY_UNITS[i];
        if (name.p[0] != unit->name[0] || !str_is(name, unit->name))
            continue;
        if (unit->quantity == quantity)
            return unit;
        other = unit;
    }
    return other;
}

const struct quantity_unit *quantity_unit_find(struct str name)
{
    return find(name, QUANTITY_COUNT);
}

const struct quantity_unit *quantity_unit_of(struct str name, enum quantity quantity)
{
    const struct quantity_unit *unit = find(name, quantity);
    return unit != NULL && unit->quantity == quantity ? unit : NULL;
}

const struct quantity_unit *quantity_library_unit(enum quantity quantity)
{
    if (QUANTITIES[quantity].unit[0] == '\0')
        return NULL;
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++)
        if (QUANTITY_UNITS[i].quantity == quantity &&
            strcmp(QUANTITY_UNITS[i].name, QUANTITIES[quantity].unit) == 0)
            return &QUANTITY_UNITS[i];
    return NULL;
}

double quantity_to_library(const struct quantity_unit *unit, double written)
{
    if (unit == NULL)
        return written;
    return unit->to != NULL ? unit->to(written) : unit->offset + unit->factor * written;
}

double quantity_from_library(const struct quantity_unit *unit, double library)
{
    if (unit == NULL)
        return library;
    return unit->from != NULL ? unit->from(library) : (library - unit->offset) / unit->factor;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* nan, inf and their like, in any case, with or without a sign. */
static bool is_special(struct str text)
{
    while (text.n > 0 && (text.p[0] == '-' || text.p[0] == '+' || text.p[0] == '.'))
        text = str_cut(text, 1, text.n);
    return str_is_nocase(str_cut(text, 0, 3), "nan") || str_is_nocase(str_cut(text, 0, 3), "inf");
}

enum quantity_status quantity_read_number(struct str text, struct figure *figure, struct str *rest)
{
    const char *p = text.p, *end = text.p + text.n;
    bool negative = false;
    *rest = text;
    figure->censor = 0;
    if (p < end && (*p == '<' || *p == '>')) {
        figure->censor = *p == '<' ? -1 : 1;
        p++;
        while (p < end && *p == ' ')
            p++;
    }
    if (p < end && (*p == '-' || *p == '+'))
        negative = *p++ == '-';
    double mantissa = 0;
    size_t digits = 0, significant = 0, decimals = 0;
    bool point = false;
    for (; p < end; p++) {
        if (*p == '.' && !point && !(p + 1 < end && p[1] == '.')) {
            point = true;
            continue;
        }
        if (!is_digit(*p))
            break;
        mantissa = mantissa * 10 + (*p - '0');
        digits++;
        significant += significant > 0 || *p != '0';
        decimals += point;
    }
    if (digits == 0)
        return is_special(text) ? QUANTITY_NOT_PLAIN : QUANTITY_NOT_A_NUMBER;
    *rest = (struct str){p, (size_t)(end - p)};
    if (significant > MOST_DIGITS || decimals > MOST_DIGITS)
        return QUANTITY_TOO_LONG;
    if (p < end && *p == ',')
        return QUANTITY_COMMA;
    if (p + 1 < end && (*p == 'e' || *p == 'E' || *p == 'x' || *p == 'X') &&
        (is_digit(p[1]) || p[1] == '-' || p[1] == '+' || (*p == 'x' && is_letter(p[1]))))
        return QUANTITY_NOT_PLAIN;
    figure->written = mantissa / POWERS_OF_TEN[decimals];
    if (negative && mantissa != 0)
        figure->written = -figure->written;
    figure->decimals = (unsigned char)decimals;
    return QUANTITY_OK;
}

/* The unit that text names, or the house unit when it is empty. */
static enum quantity_status read_unit(struct str text, enum quantity quantity,
                                      const struct quantity_unit *house,
                                      const struct quantity_unit **unit)
{
    text = str_trim(text);
    *unit = NULL;
    if (text.n == 0) {
        *unit = house != NULL ? house : quantity_library_unit(quantity);
        if (house == NULL && !QUANTITIES[quantity].unit_optional)
            return QUANTITY_UNIT_MISSING;
        return QUANTITY_OK;
    }
    if (house != NULL && text.p[0] == house->name[0] && str_is(text, house->name)) {
        *unit = house;
        return QUANTITY_OK;
    }
    const struct quantity_unit *named = find(text, quantity);
    if (named == NULL) {
        struct str words = text, first = str_split(&words, ' ');
        if (words.p != NULL && find(first, quantity) != NULL)
            return QUANTITY_TWO_UNITS;
        return QUANTITY_UNIT_UNKNOWN;
    }
    if (named->quantity != quantity)
        return QUANTITY_UNIT_OTHER;
    *unit = named;
    return QUANTITY_OK;
}

static double step_of(const struct quantity_unit *unit, double written, size_t decimals)
{
    double last_digit = 1 / POWERS_OF_TEN[decimals];
    if (unit == NULL || unit->to == NULL)
        return last_digit * (unit == NULL ? 1 : unit->factor);
    double step = fabs(unit->to(written + last_digit) - unit->to(written));
    if (isnan(step))
        step = fabs(unit->to(written) - unit->to(written - last_digit));
    if (!isnan(step))
        return step;
    /* Both ends of so wide a step lie outside of the formula: its slope where the figure is. */
    const double near = 1e-4;
    double slope = (unit->to(written + near) - unit->to(written)) / near;
    if (isnan(slope))
        slope = (unit->to(written) - unit->to(written - near)) / near;
    return last_digit * fabs(slope);
}

/* Fills value and step from written, decimals and unit. */
static enum quantity_status settle(struct figure *figure, enum quantity quantity)
{
    figure->value = quantity_to_library(figure->unit, figure->written);
    figure->step = step_of(figure->unit, figure->written, figure->decimals);
    const struct quantity_info *info = &QUANTITIES[quantity];
    if (!(figure->value >= info->least && figure->value <= info->most))
        return QUANTITY_OUT_OF_RANGE;
    return QUANTITY_OK;
}

/* The number and its unit, as they were written. */
static enum quantity_status read_written(struct str text, enum quantity quantity,
                                         const struct quantity_unit *house, struct figure *figure)
{
    struct str rest;
    figure->state = FIGURE_REFUSED;
    enum quantity_status status = quantity_read_number(text, figure, &rest);
    return status != QUANTITY_OK ? status : read_unit(rest, quantity, house, &figure->unit);
}

enum quantity_status quantity_read(struct str text, enum quantity quantity,
                                   const struct quantity_unit *house, struct figure *figure)
{
    enum quantity_status status = read_written(text, quantity, house, figure);
    if (status == QUANTITY_OK)
        status = settle(figure, quantity);
    if (status == QUANTITY_OK)
        figure->state = FIGURE_SET;
    return status;
}

enum quantity_status quantity_read_width(struct str text, enum quantity quantity,
                                         const struct quantity_unit *house, struct figure *figure)
{
    enum quantity_status status = read_written(text, quantity, house, figure);
    if (status != QUANTITY_OK)
        return status;
    const struct quantity_unit *unit = figure->unit;
    figure->value = figure->written;
    if (unit != NULL && unit->to == NULL)
        figure->value = unit->factor * figure->written;
    else if (unit != NULL)
        figure->value = unit->to(unit->from(0) + figure->written);
    figure->step =
        step_of(unit, unit != NULL && unit->to != NULL ? unit->from(0) : 0, figure->decimals);
    if (isnan(figure->value))
        return QUANTITY_OUT_OF_RANGE;
    if (figure->censor != 0 || figure->value <= 0)
        return QUANTITY_NOT_A_WIDTH;
    figure->state = FIGURE_SET;
    return QUANTITY_OK;
}

/* One end of a limit: a number and nothing behind it. */
static enum quantity_status read_end(struct str text, struct figure *end)
{
    struct str rest;
    text = str_trim(text);
    enum quantity_status status = quantity_read_number(text, end, &rest);
    if (status != QUANTITY_OK)
        return status;
    return rest.n == 0 && end->censor == 0 ? QUANTITY_OK : QUANTITY_NOT_A_RANGE;
}

/* Where ".." stands in text, or its length. */
static size_t find_dots(struct str text)
{
    for (size_t i = 0; i + 1 < text.n; i++)
        if (text.p[i] == '.' && text.p[i + 1] == '.')
            return i;
    return text.n;
}

enum quantity_status quantity_read_range(struct str text, enum quantity quantity,
                                         const struct quantity_unit *house, struct range *range)
{
    range->state = FIGURE_REFUSED;
    size_t dots = find_dots(text);
    if (dots == text.n || find_dots(str_cut(text, dots + 1, text.n)) < text.n - dots - 1)
        return QUANTITY_NOT_A_RANGE; /* none, a second one, or three dots */
    struct str low_text = str_trim(str_cut(text, 0, dots));
    struct str high_text = str_trim(str_cut(text, dots + 2, text.n)), unit_text = high_text;
    struct figure low = {0}, high = {0};
    enum quantity_status status = QUANTITY_OK;
    if (high_text.n > 0 && quantity_read_number(high_text, &high, &unit_text) == QUANTITY_OK) {
        range->has_high = true;
        if (high.censor != 0)
            return QUANTITY_NOT_A_RANGE;
    } else if (high_text.n > 0 && unit_text.p != high_text.p) {
        return quantity_read_number(high_text, &high, &unit_text);
    }
    if (low_text.n > 0) {
        range->has_low = true;
        status = read_end(low_text, &low);
    }
    if (status != QUANTITY_OK)
        return status;
    if (!range->has_low && !range->has_high)
        return QUANTITY_NOT_A_RANGE;
    status = read_unit(unit_text, quantity, house, &range->unit);
    if (status != QUANTITY_OK)
        return status;
    low.unit = high.unit = range->unit;
    if (range->has_low)
        status = settle(&low, quantity);
    if (status == QUANTITY_OK && range->has_high)
        status = settle(&high, quantity);
    if (status != QUANTITY_OK)
        return status;
    range->low = low.value;
    range->high = high.value;
    range->decimals = low.decimals > high.decimals ? low.decimals : high.decimals;
    range->step =
        step_of(range->unit, range->has_low ? low.written : high.written, range->decimals);
    if (range->has_low && range->has_high && low.value > high.value)
        return QUANTITY_RANGE_REVERSED;
    range->state = FIGURE_SET;
    return QUANTITY_OK;
}

/* Values that differ by less than this are the same, whatever doubles make of them. */
static const double HAIR = 1e-9;

bool quantity_is_under(const struct range *range, double value)
{
    return range->state == FIGURE_SET && range->has_low && value < range->low - HAIR;
}

bool quantity_is_over(const struct range *range, double value)
{
    return range->state == FIGURE_SET && range->has_high && value > range->high + HAIR;
}

static void list_units(struct buf *buf, enum quantity quantity)
{
    const char *before = "";
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        if (QUANTITY_UNITS[i].quantity != quantity)
            continue;
        buf_printf(buf, "%s%s", before, QUANTITY_UNITS[i].name);
        before = ", ";
    }
}

/* What stands behind the number in text. */
static struct str unit_part(struct str text)
{
    struct figure ignored = {0};
    struct str rest;
    size_t dots = find_dots(text);
    if (dots < text.n)
        text = str_trim(str_cut(text, dots + 2, text.n));
    quantity_read_number(text, &ignored, &rest);
    return str_trim(rest);
}

static const char *unit_name(const void *table, size_t i)
{
    const struct quantity_unit *unit = &QUANTITY_UNITS[i];
    return unit->quantity == *(const enum quantity *)table ? unit->name : NULL;
}

static const char *any_unit_name(const void *table, size_t i)
{
    return ((const struct quantity_unit *)table)[i].name;
}

const char *quantity_nearest_unit(struct str name)
{
    name = without_degree_sign(name);
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++)
        if (str_is_nocase(name, QUANTITY_UNITS[i].name))
            return QUANTITY_UNITS[i].name;
    return str_nearest(name, any_unit_name, QUANTITY_UNITS, QUANTITY_UNIT_COUNT);
}

static void explain_unit(struct buf *buf, struct arena *arena, struct str text,
                         enum quantity quantity)
{
    struct str part = without_degree_sign(unit_part(text));
    const char *nearest = NULL;
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT && nearest == NULL; i++)
        if (QUANTITY_UNITS[i].quantity == quantity && str_is_nocase(part, QUANTITY_UNITS[i].name))
            nearest = QUANTITY_UNITS[i].name;
    if (nearest == NULL)
        nearest = str_nearest(part, unit_name, &quantity, QUANTITY_UNIT_COUNT);
    buf_printf(buf, "\"%s\" is not a unit of %s", str_shown(arena, part),
               QUANTITIES[quantity].name);
    if (nearest != NULL)
        buf_printf(buf, "; did you mean %s?", nearest);
    else if (quantity_library_unit(quantity) == NULL)
        buf_printf(buf, ", which has none");
    else {
        buf_printf(buf, ": ");
        list_units(buf, quantity);
    }
}

static void explain_range(struct buf *buf, enum quantity quantity)
{
    const struct quantity_info *info = &QUANTITIES[quantity];
    buf_printf(buf, "%s can only lie in %g..%g%s%s: check the decimal point and the unit",
               info->name, info->least, info->most, info->unit[0] == '\0' ? "" : " ", info->unit);
}

const char *quantity_explain(struct arena *arena, struct str text, enum quantity quantity,
                             enum quantity_status status)
{
    struct buf buf = buf_new(arena);
    const char *shown = str_shown(arena, text);
    switch (status) {
    case QUANTITY_OK:
        break;
    case QUANTITY_NOT_A_NUMBER:
        buf_printf(&buf, "\"%s\" is not a number for %s", shown, QUANTITIES[quantity].name);
        break;
    case QUANTITY_COMMA:
        buf_printf(&buf, "\"%s\" has a comma: write the decimals behind a point", shown);
        break;
    case QUANTITY_NOT_PLAIN:
        buf_printf(&buf, "\"%s\": write plain digits, no exponent, hexadecimal, nan or inf", shown);
        break;
    case QUANTITY_TOO_LONG:
        buf_printf(&buf, "\"%s\" has more digits than any meter (%d)", shown, MOST_DIGITS);
        break;
    case QUANTITY_UNIT_MISSING:
        buf_printf(&buf, "\"%s\" has no unit, and the cellar declares none for %s: write one of ",
                   shown, QUANTITIES[quantity].name);
        list_units(&buf, quantity);
        break;
    case QUANTITY_UNIT_UNKNOWN:
    case QUANTITY_UNIT_OTHER:
        explain_unit(&buf, arena, text, quantity);
        break;
    case QUANTITY_TWO_UNITS:
        buf_printf(&buf, "\"%s\" has more behind its unit: one value, one unit", shown);
        break;
    case QUANTITY_OUT_OF_RANGE:
        buf_printf(&buf, "\"%s\" cannot be: ", shown);
        explain_range(&buf, quantity);
        break;
    case QUANTITY_NOT_A_WIDTH:
        buf_printf(&buf, "\"%s\" is not a width: write a number above 0", shown);
        break;
    case QUANTITY_NOT_A_RANGE:
        buf_printf(&buf, "\"%s\" is not a limit: write low..high, ..high or low..", shown);
        break;
    case QUANTITY_RANGE_REVERSED:
        buf_printf(&buf, "\"%s\" ends below its start", shown);
        break;
    }
    return buf.p;
}

bool figure_is_exact(const struct figure *figure)
{
    return figure->state == FIGURE_SET && figure->censor == 0;
}

long figure_steps_between(const struct figure *a, const struct figure *b, double least_step)
{
    double step = a->step > b->step ? a->step : b->step;
    if (least_step > step)
        step = least_step;
    return lround((a->value - b->value) / step);
}
