#include "typed_line.h"

#include <string.h>

const char *typed_shown(const struct line *line, struct str text)
{
    return str_shown(line->typed->arena, text);
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

bool typed_is_refused(const struct line *line)
{
    return line->entry->state == ENTRY_REFUSED;
}

/* Colons and lone dashes behind a name or a time. */
struct str typed_skip_marks(struct str rest)
{
    for (;;) {
        rest = str_trim(rest);
        bool mark = rest.n > 0 && strchr(":,;=", rest.p[0]) != NULL;
        bool lone = rest.n > 1 && (rest.p[0] == '-' || rest.p[0] == '.') && rest.p[1] == ' ';
        if (!mark && !lone)
            return rest;
        rest = str_cut(rest, 1, rest.n);
    }
}

static void consider(struct subject *best, struct subject *second, enum about about,
                     const struct doc_node *node, struct str text)
{
    struct subject found = {about, name_of(node), 0, false};
    found.used = phrase_name(text, found.name, &found.joined);
    if (found.used == 0)
        return;
    if (found.used > best->used) {
        *second = *best;
        *best = found;
    } else {
        *second = found;
    }
}

struct subject typed_find_name(const struct cellar *cellar, struct str text, struct subject *second)
{
    struct subject best = {0};
    *second = (struct subject){0};
    for (size_t i = 0; i < cellar->tanks.n; i++)
        consider(&best, second, ABOUT_TANK, cellar->tanks.items[i].node, text);
    for (size_t i = 0; i < cellar->checks.n; i++)
        consider(&best, second, ABOUT_CHECK, cellar->checks.items[i].node, text);
    for (size_t i = 0; i < cellar->meters.n; i++)
        consider(&best, second, ABOUT_METER, cellar->meters.items[i].node, text);
    return best;
}

/* A word that says what the name behind it is. */
bool typed_take_word(struct str *rest, const char *word)
{
    struct str after = *rest, first = phrase_next(&after);
    if (!str_is_nocase(first, word) &&
        !(str_ends(first, ":") && str_is_nocase(str_cut(first, 0, first.n - 1), word)))
        return false;
    *rest = str_trim(after);
    return true;
}

/* A note in quotes; it must be the last thing of the line. */
bool typed_take_quoted(struct line *line)
{
    struct str rest = str_trim(line->rest);
    if (rest.n < 2 || rest.p[0] != '"')
        return false;
    const char *end = memchr(rest.p + 1, '"', rest.n - 1);
    if (end == NULL) {
        REFUSE(line, "the quote before the note is never closed");
        return true;
    }
    size_t n = (size_t)(end - rest.p);
    struct str note = str_trim(str_cut(rest, 1, n));
    line->rest = str_trim(str_cut(rest, n + 1, rest.n));
    if (note.n > 0)
        entry_set(line->entry, "note", note);
    return true;
}

/* "by MO" at the end of a line. */
bool typed_take_by(struct line *line)
{
    enum { LONGEST = 12 };
    struct str rest = line->rest, word = phrase_next(&rest);
    bool by = str_is_nocase(word, "by") || str_is_nocase(word, "by:");
    struct str name = phrase_next(&rest);
    if (!by || name.n == 0 || name.n > LONGEST || str_trim(rest).n > 0)
        return false;
    entry_set(line->entry, "by", name);
    line->rest = STR("");
    return true;
}

const struct cellar_meter *typed_meter_of_word(const struct line *line, struct str word)
{
    const struct cellar *cellar = line->typed->cellar;
    bool joined;
    for (size_t i = 0; i < cellar->meters.n; i++) {
        const struct cellar_meter *meter = &cellar->meters.items[i];
        if (phrase_name(word, name_of(meter->node), &joined) == word.n && word.n > 0)
            return meter;
    }
    return NULL;
}

/* What a meter reads, as a quantity of a reading; -1 when it is none of them. */
int typed_reads_of_meter(const struct cellar_meter *meter)
{
    enum quantity quantity = cellar_reads_quantity(meter->reads);
    for (int i = 0; i < READS_COUNT; i++)
        if (meter->reads != 0 && BATCH_COLUMNS[i].quantity == quantity)
            return i;
    return -1;
}

/* A unit right behind a number, or as the next word. */
struct str typed_unit_word(struct str attached, struct str *rest)
{
    struct str after = *rest, word = phrase_next(&after);
    bool degrees = str_is_nocase(attached, "deg") || str_is(attached, "\xc2\xb0");
    if (attached.n > 0 && !(degrees && phrase_unit(word) != NULL))
        return attached;
    if (str_is_nocase(word, "deg") || str_is_nocase(word, "degrees") || str_is(word, "\xc2\xb0"))
        word = phrase_next(&after);
    if (word.n == 0 || (phrase_unit(word) == NULL && !phrase_is_other_unit(word)))
        return STR("");
    *rest = after;
    return word;
}

/* The quantities of a reading that have this unit, as bits. */
unsigned typed_reads_with_unit(struct str name)
{
    unsigned bits = 0;
    const struct quantity_unit *unit = phrase_unit(name);
    for (int i = 0; unit != NULL && i < READS_COUNT; i++)
        if (quantity_unit_of(str_of(unit->name), BATCH_COLUMNS[i].quantity) != NULL)
            bits |= 1u << i;
    return bits;
}

/* "a gravity (2.45 P) or a pH (2.45)" */
const char *typed_list_meanings(const struct line *line, const struct figure *figure, unsigned bits)
{
    static const char *const NAMES[READS_COUNT] = {
        "a gravity",     "a pH",      "a temperature", "a pressure",   "a VDK",
        "a carbonation", "an oxygen", "an alcohol",    "a cell count", "a viability"};
    struct buf out = buf_new(line->typed->arena);
    for (int i = 0; i < READS_COUNT; i++) {
        if (!(bits & 1u << i))
            continue;
        struct figure one = *figure;
        one.state = FIGURE_SET;
        if (one.unit == NULL)
            one.unit = line->typed->cellar->house[BATCH_COLUMNS[i].quantity];
        buf_printf(&out, "%s%s (%s)", out.n > 0 ? " or " : "", NAMES[i],
                   entry_figure_text(line->typed->arena, &one).p);
    }
    return out.p;
}

bool typed_begins_figure(struct str word)
{
    size_t i = 0;
    while (i < word.n && strchr("<>+-", word.p[i]) != NULL)
        i++;
    bool point = i + 1 < word.n && word.p[i] == '.';
    return i < word.n && i <= 2 && is_digit(word.p[point ? i + 1 : i]);
}

/* Reads the number of a word and says what is wrong with it. */
bool typed_read_number(struct line *line, struct str word, struct figure *figure,
                       struct str *attached)
{
    *figure = (struct figure){0};
    enum quantity_status status = quantity_read_number(word, figure, attached);
    if (status == QUANTITY_OK)
        return true;
    REFUSE(line, "%s", quantity_explain(line->typed->arena, word, QUANTITY_NUMBER, status));
    return false;
}

/* Is there a figure at the start of rest? */
bool typed_figure_follows(struct str rest)
{
    struct str word = phrase_next(&rest);
    return typed_begins_figure(word) || str_is(word, "~");
}

void typed_set_unit(struct line *line, struct figure *figure, int reads, struct str name)
{
    const struct quantity_unit *unit = phrase_unit(name);
    figure->unit =
        unit == NULL ? NULL : quantity_unit_of(str_of(unit->name), BATCH_COLUMNS[reads].quantity);
    if (figure->unit == NULL)
        REFUSE(line, "\"%s\" is not a unit of %s", typed_shown(line, name),
               QUANTITIES[BATCH_COLUMNS[reads].quantity].name);
}

/* The unit of a figure whose quantity a word told: its own, the word's, else the house's. */
void typed_set_labelled_unit(struct line *line, struct figure *figure,
                             const struct phrase_label *label, struct str unit)
{
    enum quantity quantity = BATCH_COLUMNS[label->reads].quantity;
    if (unit.n > 0 && label->reads == READS_PH && str_is_nocase(unit, "ph"))
        unit = STR("");
    if (unit.n > 0) {
        typed_set_unit(line, figure, label->reads, unit);
        return;
    }
    figure->unit = label->unit != NULL ? quantity_unit_of(str_of(label->unit), quantity)
                                       : line->typed->cellar->house[quantity];
    if (figure->unit == NULL && !QUANTITIES[quantity].unit_optional)
        REFUSE(line, "%s has no unit, and the cellar declares none for it: write it, such as %s",
               BATCH_COLUMNS[label->reads].key, quantity_library_unit(quantity)->name);
    if (figure->unit == NULL)
        figure->unit = quantity_library_unit(quantity);
}

/* "FV1, FV2 cleaned": what is said of the second tank would be lost. */
static void check_other_tank(struct line *line, struct str note)
{
    struct subject second, other = typed_find_name(line->typed->cellar, note, &second);
    if (other.about == ABOUT_TANK && !str_eq(other.name, line->entry->tank))
        REFUSE(line, "%s, too? Give each tank a line of its own, or put the note in double quotes",
               typed_shown(line, other.name));
}

/* "dry hop 2 kg of one, 2 kg of the other": the second amount would be lost. */
static bool is_amount(const struct line *line, struct str attached, struct str rest)
{
    const struct quantity_unit *unit = phrase_unit(typed_unit_word(attached, &rest));
    return line->entry->kind == ENTRY_EVENT && unit != NULL &&
           (unit->quantity == QUANTITY_MASS || unit->quantity == QUANTITY_VOLUME);
}

static void refuse_later_amount(struct line *line, struct str word)
{
    const struct entry *entry = line->entry;
    bool has_one = entry_get(entry, "amount").p != NULL || entry_get(entry, "volume").p != NULL;
    REFUSE(line,
           has_one ? "\"%s\" is a second amount: write the sum, and the rest in double quotes"
                   : "\"%s\" stands behind words: put the amount before them, or all of it in "
                     "double quotes",
           typed_shown(line, word));
}

/* "FV3 split to BT1 20 hL": the beer would stay where it was. */
static bool is_lost_amount(const struct line *line, struct str attached, struct str rest)
{
    const struct quantity_unit *unit = phrase_unit(typed_unit_word(attached, &rest));
    return line->entry->kind == ENTRY_READING && unit != NULL &&
           (unit->quantity == QUANTITY_MASS || unit->quantity == QUANTITY_VOLUME);
}

static void refuse_amount(struct line *line, struct str note, struct str word, struct str attached,
                          struct str rest)
{
    if (phrase_says_day(note) || phrase_says_day(line->entry->text))
        REFUSE(line, "it seems to tell a day: write it as 2026-11-25, before the time");
    struct buf amount = buf_new(line->typed->arena);
    buf_add(&amount, word);
    if (attached.n == 0) {
        buf_char(&amount, ' ');
        buf_add(&amount, typed_unit_word(attached, &rest));
    }
    REFUSE(line,
           "\"%s\" is an amount: begin with what was done, such as \"dry hop 4 kg\" or \"moved to "
           "BT1 56 hL\", or put the note in double quotes",
           typed_shown(line, buf_str(&amount)));
}

/* What looks like a figure in a note was probably meant as one. */
static void check_note(struct line *line, struct str note)
{
    check_other_tank(line, note);
    if (str_is_nocase(note, "empty"))
        REFUSE(line,
               "where did the beer go? Write \"package ... empty\", \"move to\" and a tank, or "
               "\"discard empty\"");
    static const char *const SMELLS[] = {"pass", "passed", "trace", "fail", "failed"};
    for (size_t i = 0; i < sizeof SMELLS / sizeof SMELLS[0]; i++)
        if (str_is_nocase(note, SMELLS[i]))
            REFUSE(line, "\"%s\": write \"vdk %.5s\" for the smell test", typed_shown(line, note),
                   SMELLS[i]);
    for (struct str rest = note; rest.n > 0 && !typed_is_refused(line);) {
        struct str word = phrase_next(&rest), attached = STR("");
        struct figure figure = {0};
        size_t used;
        while (word.n > 1 && strchr("~([", word.p[0]) != NULL)
            word = str_cut(word, 1, word.n);
        const struct phrase_label *label = phrase_label(word, &used);
        bool labelled = label != NULL && (used < word.n || typed_figure_follows(rest));
        bool number = typed_begins_figure(word) &&
                      quantity_read_number(word, &figure, &attached) == QUANTITY_OK;
        if (number && is_amount(line, attached, rest))
            refuse_later_amount(line, word);
        if (number && is_lost_amount(line, attached, rest))
            refuse_amount(line, note, word, attached, rest);
        bool united = number && typed_reads_with_unit(typed_unit_word(attached, &rest)) != 0;
        bool decimal = number && figure.decimals > 0;
        if ((labelled || united || decimal) && phrase_says_day(note))
            REFUSE(line, "it seems to tell a day: write it as 2026-11-25, before the time");
        else if (labelled || united || decimal)
            REFUSE(line,
                   "\"%s\" stands behind words: put figures before the note, or the note in "
                   "double quotes",
                   typed_shown(line, word));
    }
}

void typed_take_note(struct line *line)
{
    struct str note = typed_skip_marks(line->rest);
    line->rest = STR("");
    if (note.n == 0 || typed_is_refused(line))
        return;
    check_note(line, note);
    struct str before = entry_get(line->entry, "note");
    if (before.p != NULL)
        REFUSE(line, "there is something behind the note: \"%s\"", typed_shown(line, note));
    size_t used;
    const struct phrase_event *event = phrase_event(note, &used);
    if (line->n > 0 && event != NULL && (event->certain || used == note.n))
        entry_remark(line->entry, line->typed->arena, false,
                     "\"%s\" is kept as a note; if it was done, give it a line of its own",
                     typed_shown(line, note));
    entry_set(line->entry, "note", note);
}

void typed_take_signature(struct line *line)
{
    if (entry_get(line->entry, "by").p == NULL && line->typed->told.by.n > 0)
        entry_set(line->entry, "by", line->typed->told.by);
}

void typed_take_words(struct line *line)
{
    while (str_trim(line->rest).n > 0 && !typed_is_refused(line))
        if (!typed_take_quoted(line) && !typed_take_by(line))
            typed_take_note(line);
    typed_take_signature(line);
}
