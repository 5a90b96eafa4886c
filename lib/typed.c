#include "typed.h"

#include "bare.h"
#include "phrase.h"

#include <math.h>
#include <string.h>

void entry_list_add(struct entry_list *list, struct arena *arena, struct entry *entry)
{
    if (list->n == list->capacity)
        list->items = arena_grow(arena, list->items, &list->capacity, sizeof *list->items);
    list->items[list->n++] = entry;
}

/* What a line above said for those that follow. A value that was refused spoils them. */
struct told {
    struct civil_date date;
    int clock; /* seconds of the day */
    bool has_date, has_clock;
    size_t bad_date; /* the line of a date that was refused, or 0 */
    struct str by;
    struct str meter[READS_COUNT];
    size_t bad_meter; /* the line of a meter that was refused, or 0 */
    struct buf lines; /* of context, as they stood */
};

struct typed {
    struct arena *arena;
    const struct roster *roster;
    const struct cellar *cellar;
    const struct source *source;
    int64_t now;
    struct entry_list *list;
    struct told told;
};

/* One line at work. */
struct line {
    struct typed *typed;
    struct entry *entry;
    struct str rest; /* what is not yet read */
    bool has_date, has_clock;
    struct civil_date date;
    int clock;
    struct str meter[READS_COUNT];
    struct bare_item items[BARE_MOST];
    struct str shown[BARE_MOST]; /* each figure as typed */
    size_t n;
};

static const char *shown(const struct line *line, struct str text)
{
    return str_shown(line->typed->arena, text);
}

#define REFUSE(line, ...) entry_refuse((line)->entry, (line)->typed->arena, __VA_ARGS__)

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_refused(const struct line *line)
{
    return line->entry->state == ENTRY_REFUSED;
}

/* Colons and lone dashes behind a name or a time. */
static struct str skip_marks(struct str rest)
{
    for (;;) {
        rest = str_trim(rest);
        bool mark = rest.n > 0 && strchr(":,;=", rest.p[0]) != NULL;
        bool dash = rest.n > 1 && rest.p[0] == '-' && rest.p[1] == ' ';
        if (!mark && !dash)
            return rest;
        rest = str_cut(rest, 1, rest.n);
    }
}

/* The thing a line is about. */
enum about { ABOUT_NOTHING, ABOUT_TANK, ABOUT_CHECK, ABOUT_METER, ABOUT_BATCH };

struct subject {
    enum about about;
    struct str name;
    size_t used;
    bool joined;
};

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

static struct subject find_name(const struct cellar *cellar, struct str text,
                                struct subject *second)
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
static bool take_word(struct str *rest, const char *word)
{
    struct str after = *rest, first = phrase_next(&after);
    if (!str_is_nocase(first, word) &&
        !(str_ends(first, ":") && str_is_nocase(str_cut(first, 0, first.n - 1), word)))
        return false;
    *rest = str_trim(after);
    return true;
}

static struct subject find_batch(const struct typed *typed, struct str text)
{
    struct str rest = text, word = phrase_next(&rest);
    while (word.n > 0 && word.p[word.n - 1] == ':')
        word.n--;
    const struct roster_row *row = roster_find(typed->roster, word);
    struct subject found = {0};
    if (row != NULL)
        found =
            (struct subject){ABOUT_BATCH, row->batch, (size_t)(word.p - text.p) + word.n, false};
    return found;
}

static void refuse_unnamed(struct line *line, struct str text)
{
    const struct cellar *cellar = line->typed->cellar;
    struct arena *arena = line->typed->arena;
    struct str rest = text, word = phrase_next(&rest);
    const char *nearest = cellar_nearest_tank(cellar, arena, word);
    if (nearest == NULL)
        nearest = cellar_nearest_check(cellar, arena, word);
    if (nearest == NULL)
        nearest = cellar_nearest_meter(cellar, arena, word);
    if (nearest != NULL)
        REFUSE(line, "\"%s\" is no tank, batch, check or meter of this cellar; did you mean %s?",
               shown(line, word), nearest);
    else
        REFUSE(line, "it does not begin with a tank, a batch, a check or a meter of this cellar");
}

static struct subject find_subject(struct line *line)
{
    struct typed *typed = line->typed;
    struct str text = line->rest;
    bool batch_said = take_word(&text, "batch") || take_word(&text, "gyle");
    bool tank_said = !batch_said && take_word(&text, "tank");
    struct subject second = {0}, found = {0};
    if (!batch_said)
        found = find_name(typed->cellar, text, &second);
    struct subject batch = tank_said ? found : find_batch(typed, text);
    if (found.about == ABOUT_NOTHING)
        found = batch;
    if (found.about == ABOUT_NOTHING) {
        refuse_unnamed(line, text);
        return found;
    }
    if (second.used > 0 && (found.joined || second.used == found.used))
        REFUSE(line, "it may begin with %s or with %s: write the name without blanks in it",
               shown(line, found.name), shown(line, second.name));
    const struct roster_row *other;
    if (found.about == ABOUT_TANK && !tank_said && batch.about == ABOUT_BATCH &&
        roster_batch(typed->roster, batch.name, STR(""), typed->now, &other) != NULL)
        REFUSE(line, "%s is a tank and a batch: write \"tank %s\" or \"batch %s\"",
               shown(line, found.name), shown(line, found.name), shown(line, batch.name));
    line->rest = skip_marks(str_cut(text, found.used, text.n));
    return found;
}

static bool take_date(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    struct typed *typed = line->typed;
    int64_t today = civil_day(typed->cellar->zone, typed->now);
    enum civil_status status = CIVIL_OK;
    if (str_is_nocase(word, "today") || str_is_nocase(word, "yesterday")) {
        line->date = civil_date_of_day(today - str_is_nocase(word, "yesterday"));
    } else {
        size_t n = strlen("2026-11-25");
        bool joined = word.n > n && word.p[n] == 'T';
        struct str date = joined ? str_cut(word, 0, n) : word;
        status = civil_parse_date(date.p, date.n, &line->date);
        if (status == CIVIL_SYNTAX && phrase_is_datelike(word))
            REFUSE(line, "\"%s\" is no date as it is written here: write it as 2026-11-25",
                   shown(line, word));
        if (status == CIVIL_SYNTAX)
            return false;
        if (joined)
            rest = str_cut(line->rest, (size_t)(word.p - line->rest.p) + n + 1, line->rest.n);
    }
    if (status != CIVIL_OK)
        REFUSE(line, "\"%s\": %s", shown(line, word), civil_status_text(status));
    else if (civil_day_of_date(line->date) > today)
        REFUSE(line, "the day %s is still to come", shown(line, word));
    line->has_date = true;
    line->rest = skip_marks(rest);
    return true;
}

static bool take_clock(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest), after = rest;
    bool at = str_is_nocase(word, "at");
    if (at) {
        word = phrase_next(&rest);
        after = rest;
    }
    if (word.n > 0 && word.p[word.n - 1] == ':')
        word.n--;
    struct str half = phrase_next(&after);
    if ((str_is_nocase(half, "am") || str_is_nocase(half, "pm")) && word.n > 0) {
        struct buf both = buf_new(line->typed->arena);
        buf_add(&both, word);
        buf_add(&both, half);
        if (phrase_clock(buf_str(&both), &line->clock)) {
            line->has_clock = true;
            line->rest = skip_marks(after);
            return true;
        }
    }
    if (!phrase_clock(word, &line->clock)) {
        bool clocklike = word.n > 2 && is_digit(word.p[0]) && memchr(word.p, ':', word.n) != NULL;
        if (clocklike)
            REFUSE(line, "\"%s\" is no time of day", shown(line, word));
        return false;
    }
    line->has_clock = true;
    line->rest = skip_marks(rest);
    return true;
}

static void settle_time(struct line *line)
{
    const struct typed *typed = line->typed;
    const struct civil_zone *zone = typed->cellar->zone;
    struct entry *entry = line->entry;
    struct civil_date today = civil_date_of_day(civil_day(zone, typed->now));
    bool has_date = line->has_date || typed->told.has_date;
    struct civil_date date = line->has_date ? line->date : has_date ? typed->told.date : today;
    bool is_today = civil_day_of_date(date) == civil_day_of_date(today);
    if (!line->has_date && typed->told.bad_date > 0)
        REFUSE(line, "its day is not known: the date in line %zu was refused",
               typed->told.bad_date);
    int clock = line->has_clock ? line->clock : typed->told.clock;
    if (!line->has_clock && !typed->told.has_clock) {
        if (!is_today)
            REFUSE(line, "it has no time of day: write it behind the name, such as 8:10");
        entry->at = typed->now - (typed->now % CIVIL_MINUTE + CIVIL_MINUTE) % CIVIL_MINUTE;
        entry->timed = entry->assumed_time = true;
        return;
    }
    char text[CIVIL_TEXT_SIZE];
    enum civil_status status = civil_instant(zone, date, clock, &entry->at);
    if (status != CIVIL_OK && status != CIVIL_FOLD)
        REFUSE(line, "the time: %s", civil_status_text(status));
    else if (status == CIVIL_FOLD)
        entry_remark(entry, typed->arena, false, "%s", civil_status_text(status));
    if (entry->at > typed->now && status != CIVIL_GAP)
        REFUSE(line, "%s is still to come (it is %s now)%s", civil_minute(zone, entry->at, text),
               civil_clock(zone, typed->now, (char[CIVIL_CLOCK_SIZE]){0}),
               has_date ? "" : "; for yesterday put a line \"# yesterday\" before it");
    entry->timed = status == CIVIL_OK || status == CIVIL_FOLD;
}

/* A note in quotes; it must be the last thing of the line. */
static bool take_quoted(struct line *line)
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
static bool take_by(struct line *line)
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

static const struct cellar_meter *meter_of_word(const struct line *line, struct str word)
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
static int reads_of_meter(const struct cellar_meter *meter)
{
    enum quantity quantity = cellar_reads_quantity(meter->reads);
    for (int i = 0; i < READS_COUNT; i++)
        if (meter->reads != 0 && BATCH_COLUMNS[i].quantity == quantity)
            return i;
    return -1;
}

/* A unit right behind a number, or as the next word. */
static struct str unit_word(struct str attached, struct str *rest)
{
    if (attached.n > 0)
        return attached;
    struct str after = *rest, word = phrase_next(&after);
    if (word.n == 0 || phrase_unit(word) == NULL)
        return STR("");
    *rest = after;
    return word;
}

/* The quantities of a reading that have this unit, as bits. */
static unsigned reads_with_unit(struct str name)
{
    unsigned bits = 0;
    const struct quantity_unit *unit = phrase_unit(name);
    for (int i = 0; unit != NULL && i < READS_COUNT; i++)
        if (quantity_unit_of(str_of(unit->name), BATCH_COLUMNS[i].quantity) != NULL)
            bits |= 1u << i;
    return bits;
}

static int first_bit(unsigned bits)
{
    for (int i = 0; i < READS_COUNT; i++)
        if (bits & 1u << i)
            return i;
    return -1;
}

/* "a gravity (2.45 P) or a pH (2.45)" */
static const char *list_meanings(const struct line *line, const struct figure *figure,
                                 unsigned bits)
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

static void add_item(struct line *line, struct str text, struct figure figure, int reads)
{
    if (line->n == BARE_MOST) {
        REFUSE(line, "it has more figures than a reading can have");
        return;
    }
    for (size_t i = 0; i < line->n; i++)
        if (reads >= 0 && line->items[i].reads == reads)
            REFUSE(line, "two figures for %s: %s and %s", BATCH_COLUMNS[reads].key,
                   shown(line, line->shown[i]), shown(line, text));
    figure.state = FIGURE_SET;
    line->shown[line->n] = text;
    line->items[line->n++] = (struct bare_item){figure, reads};
}

static bool begins_figure(struct str word)
{
    size_t i = 0;
    while (i < word.n && strchr("<>+-", word.p[i]) != NULL)
        i++;
    bool point = i + 1 < word.n && word.p[i] == '.';
    return i < word.n && i <= 2 && is_digit(word.p[point ? i + 1 : i]);
}

/* Reads the number of a word and says what is wrong with it. */
static bool read_number(struct line *line, struct str word, struct figure *figure,
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
static bool figure_follows(struct str rest)
{
    struct str word = phrase_next(&rest);
    return begins_figure(word) || str_is(word, "~");
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
    if (begins_figure(figure)) {
        if (quantity_read_number(figure, &number, &attached) != QUANTITY_OK)
            return NULL;
        unsigned bits = reads_with_unit(unit_word(attached, &next));
        if (bits == 0 || bits & 1u << label->reads)
            return NULL; /* it is the label of the figure behind it */
    }
    *rest = after;
    return label;
}

static void set_unit(struct line *line, struct figure *figure, int reads, struct str name)
{
    const struct quantity_unit *unit = phrase_unit(name);
    figure->unit =
        unit == NULL ? NULL : quantity_unit_of(str_of(unit->name), BATCH_COLUMNS[reads].quantity);
    if (figure->unit == NULL)
        REFUSE(line, "\"%s\" is not a unit of %s", shown(line, name),
               QUANTITIES[BATCH_COLUMNS[reads].quantity].name);
}

/* The unit of a figure whose quantity a word told: its own, the word's, else the house's. */
static void set_labelled_unit(struct line *line, struct figure *figure,
                              const struct phrase_label *label, struct str unit)
{
    enum quantity quantity = BATCH_COLUMNS[label->reads].quantity;
    if (unit.n > 0 && label->reads == READS_PH && str_is_nocase(unit, "ph"))
        unit = STR("");
    if (unit.n > 0) {
        set_unit(line, figure, label->reads, unit);
        return;
    }
    figure->unit = label->unit != NULL ? quantity_unit_of(str_of(label->unit), quantity)
                                       : line->typed->cellar->house[quantity];
    if (figure->unit == NULL && !QUANTITIES[quantity].unit_optional)
        REFUSE(line, "%s has no unit, and the cellar declares none for it",
               BATCH_COLUMNS[label->reads].key);
    if (figure->unit == NULL)
        figure->unit = quantity_library_unit(quantity);
}

/* Takes a figure at the start of the rest, with its unit or the label behind it. */
static bool take_figure(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure;
    if (!begins_figure(word))
        return false;
    if (!read_number(line, word, &figure, &attached))
        return true;
    size_t used;
    const struct phrase_label *label = phrase_label(attached, &used);
    if (label != NULL && phrase_unit(attached) == NULL && used == attached.n) {
        set_labelled_unit(line, &figure, label, STR(""));
        add_item(line, word, figure, (int)label->reads);
        line->rest = rest;
        return true;
    }
    struct str unit = unit_word(attached, &rest);
    unsigned bits = reads_with_unit(unit);
    if (unit.n == 0) {
        label = label_behind(&rest);
        if (label != NULL)
            set_labelled_unit(line, &figure, label, STR(""));
        add_item(line, word, figure, label == NULL ? -1 : (int)label->reads);
    } else if (bits == 0) {
        if (phrase_unit(unit) == NULL)
            REFUSE(line, "\"%s\" is no unit; a note that begins with a figure goes in quotes",
                   shown(line, unit));
        else
            REFUSE(line,
                   "\"%s\" is no unit of a reading; begin with what was done, such as \"dry hop 4 "
                   "kg\"",
                   shown(line, unit));
    } else {
        int reads = first_bit(bits);
        if ((bits & (bits - 1)) != 0) {
            figure.unit = phrase_unit(unit);
            REFUSE(line, "%s may be %s: write which before it", shown(line, word),
                   list_meanings(line, &figure, bits));
        }
        set_unit(line, &figure, reads, unit);
        add_item(line, word, figure, reads);
    }
    line->rest = rest;
    return true;
}

/* vdk pass, vdk 0.08 pass */
static bool take_smell(struct line *line, struct str *rest)
{
    struct str after = *rest, word = phrase_next(&after);
    for (int i = 0; BATCH_VDK_WORDS[i] != NULL; i++) {
        if (!str_is_nocase(word, BATCH_VDK_WORDS[i]))
            continue;
        struct figure figure = {.word = (unsigned char)(i + 1)};
        for (size_t k = 0; k < line->n; k++)
            if (line->items[k].reads == READS_VDK) {
                line->items[k].figure.word = figure.word;
                *rest = after;
                return true;
            }
        add_item(line, word, figure, READS_VDK);
        line->items[line->n - 1].figure.state = FIGURE_ABSENT;
        *rest = after;
        return true;
    }
    return false;
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
    rest = skip_marks(str_cut(line->rest, behind, line->rest.n));
    if (label->reads == READS_VDK && take_smell(line, &rest)) {
        line->rest = rest;
        return true;
    }
    if (!figure_follows(rest))
        return false;
    struct str typed = phrase_next(&rest), attached;
    struct figure figure = {0};
    if (str_is(typed, "~")) {
        add_item(line, typed, figure, (int)label->reads);
        line->items[line->n - 1].figure.state = FIGURE_WITHDRAWN;
    } else if (read_number(line, typed, &figure, &attached)) {
        set_labelled_unit(line, &figure, label, unit_word(attached, &rest));
        add_item(line, typed, figure, (int)label->reads);
        if (label->reads == READS_VDK)
            take_smell(line, &rest);
    }
    line->rest = rest;
    return true;
}

/* "PH2": the meter of this line's pH. */
static bool take_meter(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    const struct cellar_meter *meter = meter_of_word(line, word);
    int reads = meter == NULL ? -1 : reads_of_meter(meter);
    if (reads < 0)
        return false;
    line->meter[reads] = name_of(meter->node);
    line->rest = rest;
    return true;
}

/* What looks like a figure in a note was probably meant as one. */
static void check_note(struct line *line, struct str note)
{
    static const char *const SMELLS[] = {"pass", "passed", "trace", "fail", "failed"};
    for (size_t i = 0; i < sizeof SMELLS / sizeof SMELLS[0]; i++)
        if (str_is_nocase(note, SMELLS[i]))
            REFUSE(line, "\"%s\": write \"vdk %.5s\" for the smell test", shown(line, note),
                   SMELLS[i]);
    for (struct str rest = note; rest.n > 0 && !is_refused(line);) {
        struct str word = phrase_next(&rest), attached = STR("");
        struct figure figure = {0};
        size_t used;
        const struct phrase_label *label = phrase_label(word, &used);
        bool labelled = label != NULL && (used < word.n || figure_follows(rest));
        bool number =
            begins_figure(word) && quantity_read_number(word, &figure, &attached) == QUANTITY_OK;
        bool united = number && reads_with_unit(unit_word(attached, &rest)) != 0;
        bool decimal = number && figure.decimals > 0;
        if (labelled || united || decimal)
            REFUSE(line,
                   "\"%s\" stands behind words: put figures before the note, or the note in "
                   "double quotes",
                   shown(line, word));
    }
}

static void take_note(struct line *line)
{
    struct str note = skip_marks(line->rest);
    line->rest = STR("");
    if (note.n == 0 || is_refused(line))
        return;
    check_note(line, note);
    struct str before = entry_get(line->entry, "note");
    if (before.p != NULL)
        REFUSE(line, "there is something behind the note: \"%s\"", shown(line, note));
    size_t used;
    const struct phrase_event *event = phrase_event(note, &used);
    if (line->n > 0 && event != NULL && (event->certain || used == note.n))
        entry_remark(line->entry, line->typed->arena, false,
                     "\"%s\" is kept as a note; if it was done, give it a line of its own",
                     shown(line, note));
    entry_set(line->entry, "note", note);
}

static void refuse_doubt(struct line *line, const struct bare_result *result)
{
    size_t i = (size_t)result->doubtful;
    const struct figure *figure = &line->items[i].figure;
    unsigned meanings = result->meanings[i];
    const char *text = shown(line, line->shown[i]);
    bool gravity_like = figure->decimals == 3 && figure->written > 0.98 && figure->written < 1.2;
    if (meanings == 0)
        REFUSE(line, "%s: no quantity fits it here; write its unit%s%s", text,
               gravity_like ? ", such as " : "", gravity_like ? "1.013 SG" : "");
    else if ((meanings & (meanings - 1)) == 0 && meanings & 1u << READS_PH)
        REFUSE(line, "%s may be a pH: write \"ph %s\"", text, text);
    else if ((meanings & (meanings - 1)) == 0)
        REFUSE(line, "%s may be %s, but it does not stand in that order: write its unit", text,
               list_meanings(line, figure, meanings));
    else
        REFUSE(line, "%s may be %s: write its unit%s", text, list_meanings(line, figure, meanings),
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
            REFUSE(line, "it names the meter %s, but has no %s", shown(line, line->meter[i]),
                   BATCH_COLUMNS[i].key);
        if (there && name.n > 0)
            entry_set(line->entry, meter_key(typed->arena, i), name);
        if (there && name.n == 0 && typed->told.bad_meter > 0)
            REFUSE(line, "its meter is not known: line %zu was refused", typed->told.bad_meter);
    }
}

static void take_signature(struct line *line)
{
    if (entry_get(line->entry, "by").p == NULL && line->typed->told.by.n > 0)
        entry_set(line->entry, "by", line->typed->told.by);
}

static void read_reading(struct line *line)
{
    line->entry->kind = ENTRY_READING;
    while (str_trim(line->rest).n > 0 && !is_refused(line)) {
        line->rest = skip_marks(line->rest);
        if (take_quoted(line) || take_by(line) || take_meter(line) || take_labelled(line) ||
            take_figure(line))
            continue;
        take_note(line);
    }
    if (is_refused(line))
        return;
    settle_figures(line);
    if (is_refused(line))
        return;
    set_meters(line);
    if (line->entry->n == 0)
        REFUSE(line, "it has neither a figure nor a note");
    take_signature(line);
}

/* Events */

/* A figure of an event, by its unit. */
static bool take_event_figure(struct line *line)
{
    static const struct {
        enum quantity quantity;
        const char *key;
    } KEYS[] = {{QUANTITY_MASS, "amount"},      {QUANTITY_VOLUME, "volume"},
                {QUANTITY_TEMPERATURE, "temp"}, {QUANTITY_PRESSURE, "pressure"},
                {QUANTITY_CELLS, "cells"},      {QUANTITY_PERCENT, "viability"}};
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure;
    if (!begins_figure(word))
        return false;
    if (!read_number(line, word, &figure, &attached))
        return true;
    struct str name = unit_word(attached, &rest);
    const struct quantity_unit *unit = phrase_unit(name);
    if (name.n == 0)
        REFUSE(line, "%s: write its unit", shown(line, word));
    else if (unit == NULL)
        REFUSE(line, "\"%s\" is no unit; a note that begins with a figure goes in quotes",
               shown(line, name));
    line->rest = rest;
    for (size_t i = 0; unit != NULL && i < sizeof KEYS / sizeof KEYS[0]; i++) {
        figure.unit = quantity_unit_of(str_of(unit->name), KEYS[i].quantity);
        if (figure.unit == NULL)
            continue;
        figure.state = FIGURE_SET;
        entry_set(line->entry, KEYS[i].key, entry_figure_text(line->typed->arena, &figure));
        return true;
    }
    REFUSE(line, "an event has no %s: give the reading a line of its own",
           unit == NULL ? "such figure" : QUANTITIES[unit->quantity].name);
    return true;
}

/* "to BT1", "from 0398", "gen 4", "lot L0417", "empty" */
static bool take_event_word(struct line *line)
{
    static const struct {
        const char *word, *key;
    } WORDS[] = {{"to", "to"},         {"into", "to"},        {"from", "source"},
                 {"source", "source"}, {"gen", "generation"}, {"generation", "generation"},
                 {"lot", "lot"},       {"strain", "strain"},  {"batch", "batch"}};
    struct str rest = line->rest, word = phrase_next(&rest);
    if (str_is_nocase(word, "at") && figure_follows(rest)) {
        line->rest = rest;
        return true;
    }
    if (str_is_nocase(word, "empty")) {
        entry_set(line->entry, "empty", STR("yes"));
        line->rest = rest;
        return true;
    }
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) {
        if (!str_is_nocase(word, WORDS[i].word))
            continue;
        struct subject second, tank = find_name(line->typed->cellar, str_trim(rest), &second);
        if (str_is(str_of(WORDS[i].key), "to") && tank.about == ABOUT_TANK) {
            rest = str_trim(rest);
            entry_set(line->entry, "to", tank.name);
            line->rest = str_cut(rest, tank.used, rest.n);
            return true;
        }
        struct str value = phrase_next(&rest);
        if (value.n == 0 || str_is(str_of(WORDS[i].key), "to"))
            return false;
        entry_set(line->entry, WORDS[i].key, value);
        line->rest = rest;
        return true;
    }
    return false;
}

/* Free words up to the next figure, as the value of a key: "pitch house ale 12 M/mL". */
static void take_free_words(struct line *line, const char *key)
{
    struct str rest = str_trim(line->rest);
    size_t end = 0;
    for (struct str after = rest; after.n > 0;) {
        struct str word = phrase_next(&after);
        if (word.n == 0 || begins_figure(word) || word.p[0] == '"' || str_is_nocase(word, "by") ||
            str_is_nocase(word, "from") || str_is_nocase(word, "source") ||
            str_is_nocase(word, "gen") || str_is_nocase(word, "generation"))
            break;
        end = (size_t)(word.p - rest.p) + word.n;
    }
    struct str value = str_trim(str_cut(rest, 0, end));
    if (value.n > 0)
        entry_set(line->entry, key, value);
    line->rest = str_cut(rest, end, rest.n);
}

static void settle_move(struct line *line)
{
    struct str to = entry_get(line->entry, "to");
    if (to.p == NULL) {
        REFUSE(line, "where to? write \"move to\" and a tank of this cellar");
        return;
    }
    struct entry *stay = entry_new(line->typed->arena, ENTRY_STAY, line->entry->source,
                                   line->entry->line, line->entry->text);
    char at[CIVIL_TEXT_SIZE];
    struct str from = str_of(civil_exact(line->typed->cellar->zone, line->entry->at, at));
    entry_set(stay, "tank", to);
    entry_set(stay, "from", str_copy(line->typed->arena, from));
    struct str volume = entry_get(line->entry, "volume");
    if (volume.p != NULL)
        entry_set(stay, "volume", volume);
    stay->at = line->entry->at;
    stay->timed = true;
    stay->tank = to;
    line->entry->beside = stay;
}

/* True when what follows the event's word shows that it is no note. */
static bool is_event(const struct phrase_event *event, struct str rest)
{
    struct str trimmed = str_trim(rest);
    if (event->certain || trimmed.n == 0 || strchr(",;:-.\"", trimmed.p[0]) != NULL)
        return true;
    struct str after = trimmed, word = phrase_next(&after);
    return begins_figure(word) || event->key != NULL || event->what == EVENT_MOVE ||
           str_is_nocase(word, "at") || str_is_nocase(word, "by") || str_is_nocase(word, "empty") ||
           str_is_nocase(word, "yeast");
}

static bool read_event(struct line *line)
{
    size_t used;
    const struct phrase_event *event = phrase_event(line->rest, &used);
    if (event == NULL)
        return false;
    struct str rest = str_cut(line->rest, used, line->rest.n);
    const char *name = BATCH_EVENTS[event->what - 1];
    if (!is_event(event, rest)) {
        REFUSE(
            line,
            "is \"%.*s\" the event or the start of a note? Write \"%s, ...\" with a comma for the "
            "event, or the note in double quotes",
            (int)used, line->rest.p, name);
        return true;
    }
    line->entry->kind = ENTRY_EVENT;
    line->rest = skip_marks(rest);
    entry_set(line->entry, "what", str_of(name));
    if (event->key != NULL)
        take_free_words(line, event->key);
    while (str_trim(line->rest).n > 0 && !is_refused(line)) {
        line->rest = skip_marks(line->rest);
        if (!take_quoted(line) && !take_by(line) && !take_event_word(line) &&
            !take_event_figure(line))
            take_note(line);
    }
    if (event->what == EVENT_MOVE)
        settle_move(line);
    take_signature(line);
    return true;
}

static void read_tank_line(struct line *line)
{
    if (!read_event(line))
        read_reading(line);
}

/* Checks of the plant: "cold room 3.2 C" */
static void read_check(struct line *line, struct str name)
{
    const struct cellar *cellar = line->typed->cellar;
    const struct cellar_check *check = cellar_check(cellar, name);
    enum quantity quantity = cellar_reads_quantity(check->reads);
    line->entry->kind = ENTRY_CHECK;
    entry_set(line->entry, "check", name);
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure figure;
    if (!begins_figure(word)) {
        REFUSE(line, "what did it read? write a figure behind the name");
        return;
    }
    if (!read_number(line, word, &figure, &attached))
        return;
    struct str unit = unit_word(attached, &rest);
    const struct quantity_unit *known = phrase_unit(unit);
    figure.state = FIGURE_SET;
    if (known != NULL)
        figure.unit = quantity_unit_of(str_of(known->name), quantity);
    else if (unit.n == 0)
        figure.unit = cellar->house[quantity];
    if (figure.unit == NULL && (unit.n > 0 || !QUANTITIES[quantity].unit_optional)) {
        struct buf text = buf_new(line->typed->arena);
        buf_add(&text, word);
        REFUSE(line, "%s",
               quantity_explain(line->typed->arena, buf_str(&text), quantity,
                                unit.n > 0 ? QUANTITY_UNIT_OTHER : QUANTITY_UNIT_MISSING));
        return;
    }
    line->entry->bare_unit = unit.n == 0;
    entry_set(line->entry, "value", entry_figure_text(line->typed->arena, &figure));
    line->rest = skip_marks(rest);
    while (str_trim(line->rest).n > 0 && !is_refused(line))
        if (!take_quoted(line) && !take_by(line))
            take_note(line);
    take_signature(line);
}

/* Calibrations: "PH1 cal 7.00 -3mV 4.01 172mV 20C", "DM1 water 0.0P" */

static bool take_buffer(struct line *line, struct buf *list)
{
    struct str rest = line->rest, word = phrase_next(&rest), attached;
    struct figure buffer, shows;
    if (!begins_figure(word) || !read_number(line, word, &buffer, &attached))
        return false;
    struct str next = phrase_next(&rest);
    if (str_is_nocase(next, "reads") || str_is_nocase(next, "=") || str_is_nocase(next, ":"))
        next = phrase_next(&rest);
    if (attached.n > 0 || !begins_figure(next)) {
        REFUSE(line, "%s: write a buffer and what the electrode gave, such as 7.00 -3mV",
               shown(line, word));
        return true;
    }
    if (!read_number(line, next, &shows, &attached))
        return true;
    struct str unit = unit_word(attached, &rest);
    bool volts = unit.n > 0 && str_is_nocase(unit, "mV");
    if (unit.n > 0 && !volts) {
        REFUSE(line, "\"%s\" is no unit of a calibration: write mV, or nothing for a pH",
               shown(line, unit));
        return true;
    }
    if (!volts && (shows.written < 1 || shows.written > 13 || shows.decimals == 0)) {
        REFUSE(line, "%s: millivolts or a pH? write %smV for millivolts", shown(line, next),
               shown(line, next));
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
    if (!begins_figure(word) || quantity_read_number(word, &figure, &attached) != QUANTITY_OK)
        return false;
    const struct quantity_unit *unit = phrase_unit(unit_word(attached, &rest));
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
    if (!begins_figure(word) || !read_number(line, word, &figure, &attached))
        return false;
    set_labelled_unit(line, &figure, &(struct phrase_label){"water", READS_GRAVITY, NULL},
                      unit_word(attached, &rest));
    figure.state = FIGURE_SET;
    entry_set(line->entry, "water", entry_figure_text(line->typed->arena, &figure));
    line->rest = rest;
    return true;
}

static void read_calibration(struct line *line, struct str name)
{
    const struct cellar_meter *meter = cellar_meter(line->typed->cellar, name);
    int reads = reads_of_meter(meter);
    struct str rest = line->rest, word = phrase_next(&rest);
    bool said = str_starts(word, "cal") || str_starts(word, "Cal");
    line->entry->kind = ENTRY_CALIBRATION;
    entry_set(line->entry, "meter", name);
    if (said)
        line->rest = skip_marks(rest);
    if (!said && !str_is_nocase(word, "water") && !begins_figure(word)) {
        REFUSE(line,
               "%s is a meter: write \"%s cal ...\" for a calibration, or \"meter %s\" to say "
               "that it is used",
               shown(line, name), shown(line, name), shown(line, name));
        return;
    }
    struct buf buffers = buf_new(line->typed->arena);
    buf_char(&buffers, '[');
    while (str_trim(line->rest).n > 0 && !is_refused(line)) {
        line->rest = skip_marks(line->rest);
        if (take_quoted(line) || take_by(line) || take_calibration_temp(line))
            continue;
        if (reads == READS_PH ? take_buffer(line, &buffers) : take_water(line))
            continue;
        take_note(line);
    }
    buf_char(&buffers, ']');
    if (reads == READS_PH && buffers.n > 2)
        entry_set_yaml(line->entry, "buffers", buf_str(&buffers));
    else if (reads == READS_PH ||
             (reads == READS_GRAVITY && entry_get(line->entry, "water").p == NULL))
        REFUSE(line, "it has no figure: write %s",
               reads == READS_PH ? "buffers, such as 7.00 -3mV 4.01 172mV"
                                 : "what it read in water, such as water 0.0P");
    take_signature(line);
}

/* Lines of context */

static bool set_meter_line(struct line *line, struct str rest)
{
    struct typed *typed = line->typed;
    struct str name = str_trim(rest);
    const struct cellar_meter *meter = meter_of_word(line, name);
    int reads = meter == NULL ? -1 : reads_of_meter(meter);
    if (reads < 0) {
        const char *nearest = cellar_nearest_meter(typed->cellar, typed->arena, name);
        REFUSE(line, "\"%s\" is no meter of this cellar%s%s", shown(line, name),
               nearest == NULL ? "" : "; did you mean ", nearest == NULL ? "" : nearest);
        typed->told.bad_meter = line->entry->line;
        return true;
    }
    typed->told.meter[reads] = name_of(meter->node);
    typed->told.bad_meter = 0;
    return true;
}

/* "meter PH2", "ph-meter PH2", "ph-meter: PH2", "pH meter PH2" */
static bool take_meter_line(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    if (word.n > 0 && word.p[word.n - 1] == ':')
        word.n--;
    size_t used;
    const struct phrase_label *label = phrase_label(word, &used);
    bool joined = word.n > 6 && str_is_nocase(str_cut(word, word.n - 6, word.n), "-meter");
    if (str_is_nocase(word, "meter") || joined)
        return set_meter_line(line, skip_marks(rest));
    if (label != NULL && used == word.n && take_word(&rest, "meter"))
        return set_meter_line(line, skip_marks(rest));
    const struct cellar_meter *meter = meter_of_word(line, str_trim(line->rest));
    return meter != NULL && reads_of_meter(meter) >= 0 && set_meter_line(line, line->rest);
}

static bool take_by_line(struct line *line)
{
    enum { MOST_WORDS = 2 };
    struct str rest = line->rest;
    if (!take_word(&rest, "by"))
        return false;
    size_t words = 0;
    for (struct str after = rest; phrase_next(&after).n > 0;)
        words++;
    if (words == 0 || words > MOST_WORDS)
        REFUSE(line, "who? write \"by\" and initials, such as by MO");
    else
        line->typed->told.by = str_trim(rest);
    line->rest = STR("");
    return true;
}

/* A date, a time, or both, alone in a line; "date" or "#" may stand before them. */
static bool take_moment_line(struct line *line)
{
    struct told *told = &line->typed->told;
    struct str before = line->rest;
    if (take_word(&line->rest, "date"))
        line->rest = skip_marks(line->rest);
    bool date = take_date(line);
    if (is_refused(line)) {
        told->bad_date = line->entry->line;
        return true;
    }
    bool clock = take_clock(line);
    if (is_refused(line))
        return false;
    if (!date && (!clock || str_trim(line->rest).n > 0)) {
        line->rest = before;
        return false;
    }
    if (date) {
        told->date = line->date;
        told->has_date = true;
        told->bad_date = 0;
        told->has_clock = false;
    }
    if (clock) {
        told->clock = line->clock;
        told->has_clock = true;
    }
    if (str_trim(line->rest).n > 0 && !take_by_line(line))
        REFUSE(line, "\"%s\" behind the date is not understood", shown(line, line->rest));
    return true;
}

/* "#" and something that is no date is a remark of the writer. */
static bool is_remark(struct line *line)
{
    if (line->rest.n == 0 || line->rest.p[0] != '#')
        return false;
    while (line->rest.n > 0 && line->rest.p[0] == '#')
        line->rest = str_trim(str_cut(line->rest, 1, line->rest.n));
    struct str rest = line->rest, word = phrase_next(&rest), second = phrase_next(&rest);
    bool weekday = second.n > 0 && (phrase_is_datelike(second) || phrase_is_datelike(word));
    return !(phrase_is_datelike(word) || weekday || str_is_nocase(word, "today") ||
             str_is_nocase(word, "yesterday") || str_is_nocase(word, "by") ||
             str_is_nocase(word, "date"));
}

static bool take_context(struct line *line)
{
    if (take_moment_line(line) || is_refused(line))
        return true;
    return take_by_line(line) || take_meter_line(line);
}

static void read_subject_line(struct line *line)
{
    struct subject subject = find_subject(line);
    if (is_refused(line))
        return;
    if (subject.about == ABOUT_TANK)
        line->entry->tank = subject.name;
    if (subject.about == ABOUT_BATCH)
        line->entry->batch = subject.name;
    take_date(line);
    take_clock(line);
    if (is_refused(line))
        return;
    settle_time(line);
    if (is_refused(line))
        return;
    if (subject.about == ABOUT_CHECK)
        read_check(line, subject.name);
    else if (subject.about == ABOUT_METER)
        read_calibration(line, subject.name);
    else
        read_tank_line(line);
}

static bool is_text(struct str line)
{
    for (size_t i = 0, used = 0; i < line.n; i += used)
        if (str_char(line.p + i, line.n - i, &used) == UINT32_MAX)
            return false;
    return true;
}

static void read_line(struct typed *typed, struct str raw, size_t number)
{
    struct line line = {.typed = typed};
    line.entry = entry_new(typed->arena, ENTRY_NOTHING, typed->source, number, raw);
    line.rest = str_trim(phrase_plain(typed->arena, raw));
    bool bullet = line.rest.n > 1 && strchr("-*", line.rest.p[0]) != NULL && line.rest.p[1] == ' ';
    if (bullet)
        line.rest = str_trim(str_cut(line.rest, 1, line.rest.n));
    if (line.rest.n == 0 || is_remark(&line))
        return;
    if (!is_text(raw))
        REFUSE(&line, "it is not UTF-8 text");
    else if (take_context(&line)) {
        if (!is_refused(&line)) {
            buf_add(&typed->told.lines, str_trim(raw));
            buf_char(&typed->told.lines, '\n');
            return;
        }
    } else {
        read_subject_line(&line);
    }
    line.entry->context = buf_str(&typed->told.lines);
    entry_list_add(typed->list, typed->arena, line.entry);
}

void typed_read(struct arena *arena, const struct roster *roster, const struct source *source,
                int64_t now, struct entry_list *list)
{
    struct typed typed = {.arena = arena,
                          .roster = roster,
                          .cellar = roster->cellar,
                          .source = source,
                          .now = now,
                          .list = list};
    typed.told.lines = buf_new(arena);
    struct str rest = source->text;
    if (str_starts(rest, "\xef\xbb\xbf"))
        rest = str_cut(rest, 3, rest.n);
    for (size_t number = 1; rest.p != NULL && rest.n > 0; number++)
        read_line(&typed, str_split(&rest, '\n'), number);
}
