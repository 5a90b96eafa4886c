#include "typed_line.h"

#include <math.h>
#include <string.h>

/* "7.10 38": a time without its colon must not be taken for the figure, nor be lost. */
static bool refuse_clock(struct line *line, struct str word)
{
    int clock;
    if (line->has_clock || line->typed->told.has_clock || !phrase_like_clock(word, &clock))
        return false;
    REFUSE(line, "%s may be a time (%d:%02d) or what was read: write the one that is meant",
           typed_shown(line, word), clock / CIVIL_HOUR, clock % CIVIL_HOUR / CIVIL_MINUTE);
    return true;
}

/* Checks of the plant: "cold room 3.2 C" */
void typed_check(struct line *line, struct str name)
{
    const struct cellar *cellar = line->typed->cellar;
    const struct cellar_check *check = cellar_check(cellar, name);
    enum quantity quantity = cellar_reads_quantity(check->reads);
    line->entry->kind = ENTRY_CHECK;
    entry_set(line->entry, "check", name);
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure;
    if (!typed_begins_figure(word)) {
        REFUSE(line, "what did it read? write a figure behind the name");
        return;
    }
    if (typed_figure_follows(rest) && refuse_clock(line, word))
        return;
    if (!typed_read_number(line, word, &figure, &attached))
        return;
    struct str unit = typed_unit_word(attached, &rest);
    const struct quantity_unit *known = phrase_unit(unit);
    figure.state = FIGURE_SET;
    if (known != NULL)
        figure.unit = quantity_unit_of(str_of(known->name), quantity);
    else if (unit.n == 0)
        figure.unit = cellar->house[quantity];
    if (figure.unit == NULL && (unit.n > 0 || !QUANTITIES[quantity].unit_optional)) {
        struct buf text = buf_new(line->typed->arena);
        buf_add(&text, str_cut(word, 0, word.n - attached.n));
        buf_printf(&text, "%s" STR_FMT, unit.n > 0 ? " " : "", STR_ARG(unit));
        REFUSE(line, "%s",
               quantity_explain(line->typed->arena, buf_str(&text), quantity,
                                unit.n > 0 ? QUANTITY_UNIT_OTHER : QUANTITY_UNIT_MISSING));
        return;
    }
    line->entry->bare_unit = unit.n == 0;
    entry_set(line->entry, "value", entry_figure_text(line->typed->arena, &figure));
    line->rest = typed_skip_marks(rest);
    typed_take_words(line);
}

/* Calibrations: "PH1 cal 7.00 -3mV 4.01 172mV 20C", "DM1 water 0.0P" */

static bool take_buffer(struct line *line, struct buf *list)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure buffer, shows;
    if (!typed_begins_figure(word) || !typed_read_number(line, word, &buffer, &attached))
        return false;
    struct str next = phrase_next(&rest);
    if (str_is_nocase(next, "reads") || str_is_nocase(next, "=") || str_is_nocase(next, ":"))
        next = phrase_next(&rest);
    if (attached.n > 0 || !typed_begins_figure(next)) {
        REFUSE(line, "%s: write a buffer and what the electrode gave, such as 7.00 -3mV",
               typed_shown(line, word));
        return true;
    }
    if (!typed_read_number(line, next, &shows, &attached))
        return true;
    struct str unit = typed_unit_word(attached, &rest);
    bool volts = unit.n > 0 && str_is_nocase(unit, "mV");
    if (unit.n > 0 && !volts) {
        REFUSE(line, "\"%s\" is no unit of a calibration: write mV, or nothing for a pH",
               typed_shown(line, unit));
        return true;
    }
    if (!volts && (shows.written < 1 || shows.written > 13 || shows.decimals == 0)) {
        REFUSE(line, "%s: millivolts or a pH? write %smV for millivolts", typed_shown(line, next),
               typed_shown(line, next));
        return true;
    }
    if (!volts && fabs(shows.written - buffer.written) > 1) {
        REFUSE(line,
               "%s beside the buffer %s: write each buffer with what the electrode gave, such as "
               "7.00 -3mV 4.01 172mV, or 7.00 7.02 4.01 4.05",
               typed_shown(line, next), typed_shown(line, word));
        return true;
    }
    buf_printf(list, "%s{ph: ", list->n > 1 ? ", " : "");
    quantity_write_number(list, buffer.written, buffer.decimals);
    buf_printf(list, volts ? ", mv: " : ", reads: ");
    quantity_write_number(list, shows.written, shows.decimals);
    buf_char(list, '}');
    line->rest = rest;
    return true;
}

static bool take_calibration_temp(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure = {0};
    if (!typed_begins_figure(word) || quantity_read_number(word, &figure, &attached) != QUANTITY_OK)
        return false;
    const struct quantity_unit *unit = phrase_unit(typed_unit_word(attached, &rest));
    figure.unit = unit == NULL ? NULL : quantity_unit_of(str_of(unit->name), QUANTITY_TEMPERATURE);
    if (figure.unit == NULL)
        return false;
    figure.state = FIGURE_SET;
    entry_set(line->entry, "temp", entry_figure_text(line->typed->arena, &figure));
    line->rest = rest;
    return true;
}

static bool take_water(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    if (str_is_nocase(word, "water"))
        word = phrase_next(&rest);
    struct figure figure = {0};
    if (!typed_begins_figure(word) || !typed_read_number(line, word, &figure, &attached))
        return false;
    typed_set_labelled_unit(line, &figure, &(struct phrase_label){"water", READS_GRAVITY, NULL},
                            typed_unit_word(attached, &rest));
    figure.state = FIGURE_SET;
    entry_set(line->entry, "water", entry_figure_text(line->typed->arena, &figure));
    line->rest = rest;
    return true;
}

void typed_calibration(struct line *line, struct str name)
{
    const struct cellar_meter *meter = cellar_meter(line->typed->cellar, name);
    int reads = typed_reads_of_meter(meter);
    struct str rest = line->rest, word = phrase_next(&rest);
    bool said = str_starts(word, "cal") || str_starts(word, "Cal");
    line->entry->kind = ENTRY_CALIBRATION;
    entry_set(line->entry, "meter", name);
    struct str behind = rest, next = phrase_next(&behind);
    bool named = str_starts(next, "cal") || str_starts(next, "Cal") || str_is_nocase(next, "water");
    bool two = reads == READS_GRAVITY && typed_figure_follows(rest);
    if ((named || two) && refuse_clock(line, word))
        return;
    if (said)
        line->rest = typed_skip_marks(rest);
    if (!said && !str_is_nocase(word, "water") && !typed_begins_figure(word)) {
        REFUSE(line,
               "%s is a meter: write \"%s %s\" for a calibration, or \"meter %s\" to say "
               "that it is used",
               typed_shown(line, name), typed_shown(line, name),
               reads == READS_GRAVITY ? "water 0.0P" : "cal ...", typed_shown(line, name));
        return;
    }
    struct buf buffers = buf_new(line->typed->arena);
    buf_char(&buffers, '[');
    while (str_trim(line->rest).n > 0 && !typed_is_refused(line)) {
        line->rest = typed_skip_marks(line->rest);
        if (typed_take_quoted(line) || typed_take_by(line) || take_calibration_temp(line))
            continue;
        if (reads == READS_PH ? take_buffer(line, &buffers) : take_water(line))
            continue;
        typed_take_note(line);
    }
    buf_char(&buffers, ']');
    if (reads == READS_PH && buffers.n > 2)
        entry_set_yaml(line->entry, "buffers", buf_str(&buffers));
    else if (reads == READS_PH ||
             (reads == READS_GRAVITY && entry_get(line->entry, "water").p == NULL))
        REFUSE(line, "it has no figure: write %s",
               reads == READS_PH ? "buffers, such as 7.00 -3mV 4.01 172mV"
                                 : "what it read in water, such as water 0.0P");
    typed_take_signature(line);
}
