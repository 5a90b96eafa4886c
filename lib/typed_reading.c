#include "typed_line.h"

#include <math.h>
#include <string.h>

static void add_item(struct line *line, struct str text, struct figure figure, int reads)
{
    if (line->n == BARE_MOST) {
        REFUSE(line, "it has more figures than a reading can have");
        return;
    }
    for (size_t i = 0; i < line->n; i++)
        if (reads >= 0 && line->items[i].reads == reads)
            REFUSE(line, "two figures for %s: %s and %s", BATCH_COLUMNS[reads].key,
                   typed_shown(line, line->shown[i]), typed_shown(line, text));
    figure.state = FIGURE_SET;
    line->shown[line->n] = text;
    line->items[line->n++] = (struct bare_item){figure, reads};
}

/* A label behind a bare figure ("4.42 pH") and not before the next one. */
static const struct phrase_label *label_behind(struct str *rest)
{
    struct str after = *rest, word = phrase_next(&after);
    size_t used;
    const struct phrase_label *label = phrase_label(word, &used);
    if (label == NULL || used != word.n)
        return NULL;
    struct str next = after, figure = phrase_next(&next), attached;
    struct figure number = {0};
    if (label->reads == READS_VDK && phrase_smell(figure) != 0)
        return NULL; /* it is the label of the smell */
    if (typed_begins_figure(figure)) {
        if (quantity_read_number(figure, &number, &attached) != QUANTITY_OK)
            return NULL;
        unsigned bits = typed_reads_with_unit(typed_unit_word(attached, &next));
        if (bits == 0 || bits & 1u << label->reads)
            return NULL; /* it is the label of the figure behind it */
    }
    *rest = after;
    return label;
}

static int first_bit(unsigned bits)
{
    for (int i = 0; i < READS_COUNT; i++)
        if (bits & 1u << i)
            return i;
    return -1;
}

/* Takes a figure at the start of the rest, with its unit or the label behind it. */
static bool take_figure(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure;
    if (!typed_begins_figure(word))
        return false;
    if (!typed_read_number(line, word, &figure, &attached))
        return true;
    size_t used;
    const struct phrase_label *label = phrase_label(attached, &used);
    if (label != NULL && phrase_unit(attached) == NULL && used == attached.n) {
        typed_set_labelled_unit(line, &figure, label, STR(""));
        add_item(line, word, figure, label->reads);
        line->rest = rest;
        return true;
    }
    struct str unit = typed_unit_word(attached, &rest);
    unsigned bits = typed_reads_with_unit(unit);
    if (unit.n == 0) {
        label = label_behind(&rest);
        if (label != NULL)
            typed_set_labelled_unit(line, &figure, label, STR(""));
        add_item(line, word, figure, label == NULL ? -1 : label->reads);
    } else if (bits == 0) {
        if (unit.p[0] == '/')
            REFUSE(line, "\"%s\": write blanks between the figures", typed_shown(line, word));
        else if (phrase_unit(unit) == NULL)
            REFUSE(line, "\"%s\" is no unit; a note that begins with a figure goes in quotes",
                   typed_shown(line, unit));
        else
            REFUSE(line,
                   "\"%s\" is no unit of a reading; begin with what was done, such as \"dry hop 4 "
                   "kg\"",
                   typed_shown(line, unit));
    } else {
        struct str after = rest;
        label = label_behind(&after); /* "19.5 C temp", "34 ppb oxygen" */
        bool told = label != NULL && bits & 1u << label->reads;
        int reads = told ? label->reads : first_bit(bits);
        if (!told && (bits & (bits - 1)) != 0) {
            figure.unit = phrase_unit(unit);
            REFUSE(line, "%s may be %s: write which before it", typed_shown(line, word),
                   typed_list_meanings(line, &figure, bits));
        }
        typed_set_unit(line, &figure, reads, unit);
        add_item(line, word, figure, reads);
        if (told)
            rest = after;
    }
    line->rest = rest;
    return true;
}

/* vdk pass, vdk 0.08 pass */
static bool take_smell(struct line *line, struct str *rest)
{
    struct str after = *rest, word = phrase_next(&after);
    struct figure figure = {.word = phrase_smell(word)};
    if (figure.word == 0)
        return false;
    *rest = after;
    for (size_t k = 0; k < line->n; k++)
        if (line->items[k].reads == READS_VDK) {
            line->items[k].figure.word = figure.word;
            return true;
        }
    add_item(line, word, figure, READS_VDK);
    line->items[line->n - 1].figure.state = FIGURE_ABSENT;
    return true;
}

/* "temp is 20.7" */
static struct str skip_verb(struct str rest)
{
    static const char *const VERBS[] = {"is", "was", "reads", "at"};
    struct str after = rest, word = phrase_next(&after);
    for (size_t i = 0; i < sizeof VERBS / sizeof VERBS[0]; i++)
        if (str_is_nocase(word, VERBS[i]) && typed_figure_follows(after))
            return str_trim(after);
    return rest;
}

/* Takes a label and its figure: "ph 4.42", "pH4.42", "temp=19.5", "vdk pass", "ph ~". */
static bool take_labelled(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    size_t used;
    const struct phrase_label *label = phrase_label(word, &used);
    if (label == NULL)
        return false;
    size_t behind = (size_t)(word.p - line->rest.p) + used;
    rest = skip_verb(typed_skip_marks(str_cut(line->rest, behind, line->rest.n)));
    if (label->reads == READS_VDK && take_smell(line, &rest)) {
        line->rest = rest;
        return true;
    }
    if (!typed_figure_follows(rest))
        return false;
    struct str typed = phrase_next(&rest), attached;
    struct figure figure = {0};
    if (str_is(typed, "~")) {
        add_item(line, typed, figure, label->reads);
        line->items[line->n - 1].figure.state = FIGURE_WITHDRAWN;
    } else if (typed_read_number(line, typed, &figure, &attached)) {
        typed_set_labelled_unit(line, &figure, label, typed_unit_word(attached, &rest));
        add_item(line, typed, figure, label->reads);
        if (label->reads == READS_VDK)
            take_smell(line, &rest);
    }
    line->rest = rest;
    return true;
}

/* "PH2": the meter of this line's pH; but "ph 4.4" is a pH, also where a meter's name is PH. */
static bool take_meter(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    size_t used;
    if (phrase_label(word, &used) != NULL && used == word.n && typed_figure_follows(rest))
        return false;
    const struct cellar_meter *meter = typed_meter_of_word(line, word);
    int reads = meter == NULL ? -1 : typed_reads_of_meter(meter);
    if (reads < 0)
        return false;
    line->meter[reads] = name_of(meter->node);
    line->rest = rest;
    return true;
}

/* A bare figure where a time of day would stand, that may be one written without a colon. */
static bool may_be_clock(const struct line *line, size_t i, int *clock)
{
    return i == 0 && !line->has_clock && !line->typed->told.has_clock && line->items[0].reads < 0 &&
           phrase_like_clock(line->shown[0], clock);
}

/* 1032 as 1.032 SG; absent where it is none. */
static struct figure as_thousandths(const struct figure *figure)
{
    struct figure sg = {.state = FIGURE_SET,
                        .written = figure->written / 1000,
                        .decimals = 3,
                        .unit = quantity_unit_find(STR("SG"))};
    if (figure->decimals > 0 || sg.written <= 0.98 || sg.written >= 1.2)
        sg.state = FIGURE_ABSENT;
    return sg;
}

/* 0810 and 8.10 are told what to write; so is 8.10 which other figures show to be a gravity. */
static bool refuse_clock(struct line *line, const struct bare_result *result)
{
    int clock;
    bool alone = line->n == 1, doubtful = result->doubtful == 0;
    if (line->n == 0 || !may_be_clock(line, 0, &clock) || (alone && result->meanings[0] != 0))
        return false;
    if (!doubtful && result->reads[0] != READS_GRAVITY)
        return false;
    const struct figure *figure = &line->items[0].figure;
    unsigned as_gravity = doubtful ? result->meanings[0] : 1u << READS_GRAVITY;
    struct figure sg = as_thousandths(figure);
    bool thousands = sg.state == FIGURE_SET;
    const char *other = thousands         ? entry_figure_text(line->typed->arena, &sg).p
                        : as_gravity != 0 ? typed_list_meanings(line, figure, as_gravity)
                                          : NULL;
    const char *text = typed_shown(line, line->shown[0]);
    int hour = clock / CIVIL_HOUR, minute = clock % CIVIL_HOUR / CIVIL_MINUTE;
    if (other == NULL)
        REFUSE(line, "%s: if that is the time, write %d:%02d", text, hour, minute);
    else
        REFUSE(line, "%s may be a time (%d:%02d) or %s: write the one that is meant", text, hour,
               minute, other);
    return true;
}

static void refuse_doubt(struct line *line, const struct bare_result *result)
{
    size_t i = (size_t)result->doubtful;
    const struct figure *figure = &line->items[i].figure;
    unsigned meanings = result->meanings[i];
    const char *text = typed_shown(line, line->shown[i]);
    bool gravity_like = figure->decimals >= 3 && figure->written > 0.98 && figure->written < 1.2;
    struct figure sg = as_thousandths(figure);
    if (meanings == 0 && sg.state == FIGURE_SET)
        REFUSE(line, "%s: if that is a gravity, write %s", text,
               entry_figure_text(line->typed->arena, &sg).p);
    else if (meanings == 0)
        REFUSE(line, "%s: no quantity fits it here; write its unit%s%s", text,
               gravity_like ? ", such as " : "", gravity_like ? "1.013 SG" : "");
    else if ((meanings & (meanings - 1)) == 0 && meanings & 1u << READS_PH)
        REFUSE(line, "%s may be a pH: write \"ph %s\"", text, text);
    else if ((meanings & (meanings - 1)) == 0)
        REFUSE(line, "%s may be %s, but it does not stand in that order: write its unit", text,
               typed_list_meanings(line, figure, meanings));
    else
        REFUSE(line, "%s may be %s: write its unit%s", text,
               typed_list_meanings(line, figure, meanings),
               meanings & 1u << READS_PH ? ", or ph before it" : "");
}

/* What a gravity and a pressure can be in this line's tank. */
static struct bare_limits limits_of(const struct line *line)
{
    const double most_plato = 30, most_bar = 3, above = 0.5;
    const struct cellar *cellar = line->typed->cellar;
    const struct entry *entry = line->entry;
    struct bare_limits limits = {{NULL}, most_plato, most_bar};
    for (int i = 0; i < BARE_SLOTS; i++)
        limits.house[i] = cellar->house[BATCH_COLUMNS[i].quantity];
    const struct roster_row *second, *row = NULL;
    if (entry->timed && entry->batch.n > 0)
        row = roster_batch(line->typed->roster, entry->batch, entry->tank, entry->at, &second);
    else if (entry->timed)
        row = roster_at(line->typed->roster, entry->tank, entry->at, &second);
    if (row != NULL && !isnan(row->original_plato))
        limits.most_plato = row->original_plato + above;
    const struct cellar_tank *tank = cellar_tank(cellar, row != NULL ? row->tank : entry->tank);
    if (tank != NULL && figure_is_exact(&tank->rated))
        limits.most_bar = tank->rated.value;
    return limits;
}

static void settle_figures(struct line *line)
{
    struct bare_limits limits = limits_of(line);
    struct bare_result result = bare_assign(line->items, line->n, &limits);
    if (refuse_clock(line, &result))
        return;
    if (result.doubtful >= 0) {
        refuse_doubt(line, &result);
        return;
    }
    for (size_t i = 0; i < line->n; i++) {
        struct figure figure = line->items[i].figure;
        int reads = result.reads[i];
        if (line->items[i].reads < 0)
            figure.unit = line->typed->cellar->house[BATCH_COLUMNS[reads].quantity];
        entry_set(line->entry, BATCH_COLUMNS[reads].key,
                  entry_figure_text(line->typed->arena, &figure));
    }
}

static const char *meter_key(struct arena *arena, int reads)
{
    struct buf key = buf_new(arena);
    buf_printf(&key, "%s-meter", BATCH_COLUMNS[reads].key);
    return key.p;
}

static void set_meters(struct line *line)
{
    struct typed *typed = line->typed;
    for (int i = 0; i < READS_COUNT; i++) {
        struct str name = line->meter[i].n > 0 ? line->meter[i] : typed->told.meter[i];
        bool there = entry_get(line->entry, BATCH_COLUMNS[i].key).p != NULL;
        if (line->meter[i].n > 0 && !there)
            REFUSE(line, "it names the meter %s, but has no %s", typed_shown(line, line->meter[i]),
                   BATCH_COLUMNS[i].key);
        if (there && name.n > 0)
            entry_set(line->entry, meter_key(typed->arena, i), name);
        if (there && name.n == 0 && typed->told.bad_meter > 0)
            REFUSE(line, "its meter is not known: line %zu was refused", typed->told.bad_meter);
    }
}

/* "forced 2.4 P", "forced sample: 2.4" */
bool typed_forced(struct line *line)
{
    struct str rest = line->rest, attached;
    struct figure figure;
    if (!typed_take_word(&rest, "forced"))
        return false;
    typed_take_word(&rest, "sample");
    rest = skip_verb(typed_skip_marks(rest));
    struct str word = phrase_next(&rest);
    if (!typed_begins_figure(word))
        return false;
    line->entry->kind = ENTRY_FORCED;
    if (!typed_read_number(line, word, &figure, &attached))
        return true;
    typed_set_labelled_unit(line, &figure, &(struct phrase_label){"gravity", READS_GRAVITY, NULL},
                            typed_unit_word(attached, &rest));
    figure.state = FIGURE_SET;
    entry_set(line->entry, "gravity", entry_figure_text(line->typed->arena, &figure));
    line->rest = typed_skip_marks(rest);
    typed_take_words(line);
    return true;
}

void typed_reading(struct line *line)
{
    line->entry->kind = ENTRY_READING;
    while (str_trim(line->rest).n > 0 && !typed_is_refused(line)) {
        line->rest = typed_skip_marks(line->rest);
        if (typed_take_quoted(line) || typed_take_by(line) || take_meter(line) ||
            take_labelled(line) || take_figure(line))
            continue;
        typed_take_note(line);
    }
    if (typed_is_refused(line))
        return;
    settle_figures(line);
    if (typed_is_refused(line))
        return;
    set_meters(line);
    if (line->entry->n == 0)
        REFUSE(line, "it has neither a figure nor a note");
    struct str note = entry_get(line->entry, "note");
    if (note.p != NULL) { /* last, as it was typed */
        entry_remove(line->entry, "note");
        entry_set(line->entry, "note", note);
    }
    typed_take_signature(line);
}
