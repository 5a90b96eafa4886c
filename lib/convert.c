#include "convert.h"

#include "tsv.h"

#include <math.h>
#include <string.h>

bool convert_to(struct convert *convert, struct str unit)
{
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++)
        if (quantity_unit_of(unit, QUANTITY_UNITS[i].quantity) == &QUANTITY_UNITS[i] &&
            convert->target_count < CONVERT_MOST_TARGETS)
            convert->targets[convert->target_count++] = &QUANTITY_UNITS[i];
    return convert->target_count > 0;
}

void convert_begin(const struct convert *convert)
{
    if (convert->tsv)
        fputs("input\tname\tvalue\tunit\tfrom\n", convert->out);
}

static void tell(const struct convert *convert, enum figures_remark_level level, struct str part,
                 const char *message)
{
    convert->tell(convert->context, level, part, message);
}

/* One row of TSV. */
static void write_row(const struct convert *convert, struct str input, const char *name,
                      struct str value, const char *unit, const char *from)
{
    tsv_write(convert->out, input);
    fprintf(convert->out, "\t%s\t", name);
    fwrite(value.p, 1, value.n, convert->out);
    fprintf(convert->out, "\t%s\t%s\n", unit, from);
}

/* Digits behind the point for three significant ones. */
static int three_significant(double number)
{
    double size = fabs(number);
    int digits = 2;
    double least = 1, most = 10;
    while (size > 0 && size < least && digits < 9) {
        least /= 10;
        digits++;
    }
    while (size >= most && digits > 0) {
        most *= 10;
        digits--;
    }
    return digits;
}

/* The figure in a unit, with as many digits as it carries unless told otherwise, but three at the
 * least: "1 bbl" is as exact as a barrel is. */
static struct str in_unit(const struct convert *convert, const struct figure *figure,
                          const struct quantity_unit *unit)
{
    struct buf buf = buf_new(convert->arena);
    int digits = convert->digits;
    if (digits < 0 && unit == figure->unit)
        digits = figure->decimals;
    double number = quantity_from_library(unit, figure->value);
    if (digits < 0) {
        digits = quantity_digits(unit, figure->value, figure->step, unit->decimals);
        int least = three_significant(number);
        digits = digits < least ? least : digits;
    }
    if (figure->censor != 0)
        buf_char(&buf, figure->censor < 0 ? '<' : '>');
    quantity_write_number(&buf, number, digits);
    return buf_str(&buf);
}

static void write_value(const struct convert *convert, struct str input,
                        const struct figure *figure, const struct quantity_unit *unit)
{
    struct str value = in_unit(convert, figure, unit);
    if (convert->tsv) {
        write_row(convert, input, QUANTITIES[unit->quantity].name, value, unit->name, "");
        return;
    }
    fwrite(value.p, 1, value.n, convert->out);
    putc(' ', convert->out);
    fputs(unit->name, convert->out);
    putc('\n', convert->out);
}

static enum convert_status refuse(const struct convert *convert, struct str text,
                                  const char *message)
{
    tell(convert, FIGURES_ERROR, text, message);
    return CONVERT_REFUSED;
}

static enum convert_status refuse_misfit(const struct convert *convert, struct str text,
                                         const char *from)
{
    struct buf why = buf_new(convert->arena);
    buf_printf(&why, "\"%s\" cannot be told in %s: %s is not a unit of %s",
               str_shown(convert->arena, text), convert->targets[0]->name, from,
               QUANTITIES[convert->targets[0]->quantity].name);
    return refuse(convert, text, why.p);
}

static enum convert_status refuse_unit(const struct convert *convert, struct str text,
                                       struct str unit)
{
    struct buf why = buf_new(convert->arena);
    if (unit.n == 0)
        buf_printf(&why, "\"%s\" has no unit", str_shown(convert->arena, text));
    else
        buf_printf(&why, "\"%s\" is not a unit", str_shown(convert->arena, unit));
    return refuse(convert, text, why.p);
}

static enum convert_status answer_in_target(const struct convert *convert, struct str text)
{
    const struct quantity_unit *target = convert->targets[0];
    struct figure figure = {0};
    enum quantity_status status = QUANTITY_UNIT_OTHER;
    for (size_t i = 0; i < convert->target_count && status == QUANTITY_UNIT_OTHER; i++) {
        target = convert->targets[i];
        status = quantity_read(text, target->quantity, NULL, &figure);
    }
    if (status == QUANTITY_OK) {
        if (figure.unit == NULL)
            figure.unit = target;
        write_value(convert, text, &figure, target);
        return CONVERT_OK;
    }
    struct str rest;
    if (status == QUANTITY_UNIT_MISSING)
        return refuse_unit(convert, text, STR(""));
    if (status == QUANTITY_UNIT_OTHER && quantity_read_number(text, &figure, &rest) == QUANTITY_OK)
        return refuse_misfit(convert, text, str_shown(convert->arena, str_trim(rest)));
    return refuse(convert, text, quantity_explain(convert->arena, text, target->quantity, status));
}

static enum convert_status answer_in_all(const struct convert *convert, struct str text)
{
    struct figure figure = {0};
    struct str rest;
    enum quantity_status status = quantity_read_number(text, &figure, &rest);
    if (status != QUANTITY_OK)
        return refuse(convert, text,
                      quantity_explain(convert->arena, text, QUANTITY_NUMBER, status));
    const struct quantity_unit *unit = quantity_unit_find(str_trim(rest));
    if (unit == NULL)
        return refuse_unit(convert, text, str_trim(rest));
    status = quantity_read(text, unit->quantity, NULL, &figure);
    if (status != QUANTITY_OK)
        return refuse(convert, text,
                      quantity_explain(convert->arena, text, unit->quantity, status));
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++)
        if (QUANTITY_UNITS[i].quantity == unit->quantity)
            write_value(convert, text, &figure, &QUANTITY_UNITS[i]);
    return CONVERT_OK;
}

bool convert_is_set(struct str text)
{
    return text.n > 0 && memchr(text.p, '=', text.n) != NULL;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* The end of the word that begins at i. */
static size_t word_end(struct str text, size_t i)
{
    while (i < text.n && !is_blank(text.p[i]))
        i++;
    return i;
}

/* The text up to the next word that begins something new, taken off *rest without blanks. */
static struct str take_until(struct str *rest, bool (*begins)(struct str word))
{
    struct str text = str_trim(*rest);
    size_t end = word_end(text, 0);
    for (size_t i = end; i < text.n;) {
        while (i < text.n && is_blank(text.p[i]))
            i++;
        size_t next = word_end(text, i);
        if (begins(str_cut(text, i, next)))
            break;
        i = end = next;
    }
    *rest = str_cut(text, end, text.n);
    return str_trim(str_cut(text, 0, end));
}

static bool begins_value(struct str word)
{
    struct figure ignored = {0};
    struct str rest;
    enum quantity_status status = quantity_read_number(word, &ignored, &rest);
    return status != QUANTITY_NOT_A_NUMBER;
}

struct str convert_next_value(struct str *rest)
{
    return take_until(rest, begins_value);
}

/* Reads KEY=VALUE into the set. */
static enum convert_status give(const struct convert *convert, struct figures *set, struct str item)
{
    struct str value = item, key = str_trim(str_split(&value, '='));
    if (value.p == NULL) {
        tell(convert, FIGURES_ERROR, item, "values and KEY=VALUE do not go together");
        return CONVERT_MISUSED;
    }
    enum figures_id id = figures_find(key);
    if (id != FIGURES_NONE) {
        const char *why = figures_give(set, id, str_trim(value), convert->arena);
        if (why != NULL)
            tell(convert, FIGURES_ERROR, item, why);
        return why == NULL ? CONVERT_OK : CONVERT_REFUSED;
    }
    const char *nearest = figures_nearest(key);
    struct buf message = buf_new(convert->arena);
    buf_printf(&message, "unknown key \"%s\"%s", str_shown(convert->arena, key),
               str_meant(convert->arena, nearest, "; the keys are "));
    if (nearest == NULL)
        buf_printf(&message, "%s", figures_keys(convert->arena));
    tell(convert, FIGURES_ERROR, item, message.p);
    return CONVERT_MISUSED;
}

/* The unit that the figure is to be shown in; false: not at all. */
static bool choose_unit(const struct convert *convert, const struct figures *set,
                        enum figures_id id, const struct quantity_unit **unit)
{
    enum figures_id other = FIGURES[id].scale_of;
    *unit = figures_unit(set, id, convert->tsv);
    if (convert->target_count == 0)
        return true;
    if (other != FIGURES_NONE && figures_is_shown(set, other))
        return false; /* it is the same figure, on another scale */
    for (size_t i = 0; i < convert->target_count; i++) {
        const struct quantity_unit *target = convert->targets[i];
        if (target->quantity != FIGURES[id].quantity)
            continue;
        if (other != FIGURES_NONE && target != *unit)
            continue;
        *unit = target;
        return true;
    }
    return false;
}

static size_t write_figures(const struct convert *convert, const struct figures *set,
                            struct str text)
{
    struct buf value = buf_new(convert->arena);
    size_t count = 0;
    for (int i = 1; i < FIGURES_COUNT; i++) {
        enum figures_id id = (enum figures_id)i;
        const struct quantity_unit *unit;
        if (!figures_is_shown(set, id) || !choose_unit(convert, set, id, &unit))
            continue;
        value.n = 0;
        count++;
        figures_write(&value, set, id, unit, convert->digits);
        const char *unit_name = figures_unit_name(id, unit);
        if (convert->tsv)
            write_row(convert, text, FIGURES[id].name, buf_str(&value), unit_name,
                      figures_source(set, id));
        else
            fprintf(convert->out, "%s %s%s%s\n", FIGURES[id].name, value.p,
                    unit_name[0] == '\0' ? "" : " ", unit_name);
    }
    return count;
}

static enum convert_status tell_remarks(const struct convert *convert, const struct figures *set,
                                        struct str text, bool *said)
{
    struct figures_remarks remarks = figures_remarks(set, convert->arena);
    enum convert_status status = CONVERT_OK;
    *said = remarks.n > 0;
    for (size_t i = 0; i < remarks.n; i++) {
        tell(convert, remarks.items[i].level, text, remarks.items[i].text);
        if (remarks.items[i].level == FIGURES_ERROR)
            status = CONVERT_REFUSED;
    }
    return status;
}

static enum convert_status answer_set(const struct convert *convert, struct str text)
{
    struct figures set;
    enum convert_status status = CONVERT_OK;
    figures_begin(&set);
    memcpy(set.house, convert->house, sizeof set.house);
    if (!isnan(convert->bar_atmosphere))
        figures_assume(&set, FIGURES_ATMOSPHERE, convert->bar_atmosphere);
    for (struct str rest = text; str_trim(rest).n > 0;) {
        struct str item = take_until(&rest, convert_is_set);
        enum convert_status now = give(convert, &set, item);
        status = now > status ? now : status;
    }
    if (status != CONVERT_OK)
        return status;
    figures_derive(&set);
    size_t count = write_figures(convert, &set, text);
    bool said;
    status = tell_remarks(convert, &set, text, &said);
    if (count > 0 || said)
        return status;
    tell(convert, FIGURES_ERROR, text,
         convert->target_count > 0 ? "nothing that follows from that is told in this unit"
                                   : figures_missing(&set, convert->arena));
    return CONVERT_REFUSED;
}

enum convert_status convert_text(const struct convert *convert, struct str text)
{
    text = str_trim(text);
    if (convert_is_set(text))
        return answer_set(convert, text);
    return convert->target_count > 0 ? answer_in_target(convert, text)
                                     : answer_in_all(convert, text);
}
