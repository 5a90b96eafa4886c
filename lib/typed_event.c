#include "typed_line.h"

#include <string.h>

static bool is_what(const struct line *line, int what)
{
    return str_is(entry_get(line->entry, "what"), BATCH_EVENTS[what - 1]);
}

/* A figure of an event, by its unit; a bare one is what it is chilled to, in the house's. */
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
    if (!typed_begins_figure(word))
        return false;
    if (!typed_read_number(line, word, &figure, &attached))
        return true;
    struct str name = typed_unit_word(attached, &rest);
    const struct quantity_unit *unit = phrase_unit(name);
    if (name.n == 0 && is_what(line, EVENT_CHILL))
        unit = line->typed->cellar->house[QUANTITY_TEMPERATURE];
    if (name.n == 0 && unit == NULL)
        REFUSE(line, "%s: write its unit", typed_shown(line, word));
    else if (unit == NULL)
        REFUSE(line, "\"%s\" is no unit; a note that begins with a figure goes in quotes",
               typed_shown(line, name));
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

/* "extract 38 kg": what of an addition is extract. */
static bool take_extract(struct line *line)
{
    struct str rest = line->rest, attached;
    struct figure figure;
    if (!typed_take_word(&rest, "extract"))
        return false;
    struct str word = phrase_next(&rest);
    if (!typed_begins_figure(word))
        return false;
    if (!typed_read_number(line, word, &figure, &attached))
        return true;
    struct str name = typed_unit_word(attached, &rest);
    const struct quantity_unit *unit = phrase_unit(name);
    figure.state = FIGURE_SET;
    figure.unit = unit == NULL ? NULL : quantity_unit_of(str_of(unit->name), QUANTITY_MASS);
    if (figure.unit == NULL)
        REFUSE(line, "extract %s: write its unit, such as kg", typed_shown(line, word));
    else
        entry_set(line->entry, "extract", entry_figure_text(line->typed->arena, &figure));
    line->rest = rest;
    return true;
}

/* Beer is moved to what is no tank; of other events "to" is a word like any. */
static bool refuse_target(struct line *line, struct str name)
{
    const struct typed *typed = line->typed;
    if (!is_what(line, EVENT_MOVE) || name.n == 0)
        return false;
    REFUSE(line, "\"%s\" is no tank of this cellar%s", typed_shown(line, name),
           str_meant(typed->arena, cellar_nearest_tank(typed->cellar, typed->arena, name), ""));
    return true;
}

/* Krausen comes from a batch, or from the one that is in a tank then. */
static bool take_krausen_source(struct line *line, struct str rest)
{
    const struct typed *typed = line->typed;
    struct subject second, tank = typed_find_name(typed->cellar, str_trim(rest), &second);
    const struct roster_row *other, *row = NULL;
    struct str batch = STR("");
    if (tank.about == ABOUT_TANK) {
        rest = str_trim(rest);
        rest = str_cut(rest, tank.used, rest.n);
        row = roster_at(typed->roster, tank.name, line->entry->at, &other);
    } else {
        batch = phrase_next(&rest);
        row = roster_find(typed->roster, batch);
    }
    if (tank.about == ABOUT_TANK && row == NULL)
        REFUSE(line, "%s is empty then: write the batch that the krausen came from",
               typed_shown(line, tank.name));
    else if (row == NULL)
        REFUSE(line, "there is no batch %s in this book, and no such tank",
               typed_shown(line, batch));
    else
        entry_set(line->entry, "batch", row->batch);
    line->rest = rest;
    return true;
}

/* "to BT1", "from 0398", "gen 4", "lot L0417", "empty" */
static bool take_event_word(struct line *line)
{
    static const struct {
        const char *word, *key;
    } WORDS[] = {{"to", "to"},
                 {"into", "to"},
                 {"->", "to"},
                 {"from", "source"},
                 {"source", "source"},
                 {"gen", "generation"},
                 {"generation", "generation"},
                 {"lot", "lot"},
                 {"strain", "strain"},
                 {"batch", "batch"}};
    struct str rest = line->rest, word = phrase_next(&rest);
    bool to_figure = str_is_nocase(word, "at") || str_is_nocase(word, "to");
    if (to_figure && typed_figure_follows(rest)) {
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
        if (is_what(line, EVENT_KRAUSEN) &&
            (str_is(str_of(WORDS[i].key), "source") || str_is(str_of(WORDS[i].key), "batch")))
            return take_krausen_source(line, rest);
        struct subject second, tank = typed_find_name(line->typed->cellar, str_trim(rest), &second);
        if (str_is(str_of(WORDS[i].key), "to") && tank.about == ABOUT_TANK) {
            rest = str_trim(rest);
            entry_set(line->entry, "to", tank.name);
            line->rest = str_cut(rest, tank.used, rest.n);
            return true;
        }
        struct str value = phrase_next(&rest);
        if (str_is(str_of(WORDS[i].key), "to"))
            return refuse_target(line, value);
        if (value.n == 0)
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
        if (word.n == 0 || typed_begins_figure(word) || word.p[0] == '"' ||
            str_is_nocase(word, "by") || str_is_nocase(word, "from") ||
            str_is_nocase(word, "source") || str_is_nocase(word, "gen") ||
            str_is_nocase(word, "generation"))
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
        REFUSE(line, "where to? write \"move to\" and a tank of this cellar, or \"package\"");
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

/* "40x30L", "40 x 30 L": containers and their size. */
static bool take_containers(struct line *line, struct buf *list)
{
    struct str rest = str_trim(line->rest), attached;
    struct figure count, size;
    size_t n = 0;
    while (n < rest.n && rest.p[n] >= '0' && rest.p[n] <= '9')
        n++;
    struct str digits = str_cut(rest, 0, n), times = str_trim(str_cut(rest, n, rest.n));
    size_t sign =
        str_starts(times, "\xc3\x97") ? 2 : times.n > 0 && strchr("xX*", times.p[0]) != NULL;
    rest = str_trim(str_cut(times, sign, times.n));
    struct str word = phrase_next(&rest);
    if (n == 0 || sign == 0 || !typed_begins_figure(word) ||
        quantity_read_number(digits, &count, &attached) != QUANTITY_OK)
        return false;
    if (!typed_read_number(line, word, &size, &attached))
        return true;
    const struct quantity_unit *unit = phrase_unit(typed_unit_word(attached, &rest));
    size.state = FIGURE_SET;
    size.unit = unit == NULL ? NULL : quantity_unit_of(str_of(unit->name), QUANTITY_VOLUME);
    if (size.unit == NULL) {
        REFUSE(line, "%s of what size? Write it such as 40x30L", typed_shown(line, digits));
        return true;
    }
    buf_printf(list, "%s{size: " STR_FMT ", count: " STR_FMT "}", list->n > 1 ? ", " : "",
               STR_ARG(entry_figure_text(line->typed->arena, &size)), STR_ARG(digits));
    line->rest = rest;
    return true;
}

/* "to BT3", "-> BT3" at the start of what is said: a move. */
static bool goes_to_tank(const struct line *line, struct str rest)
{
    static const char *const WAYS[] = {"to", "into", "->"};
    struct str word = phrase_next(&rest);
    struct subject second;
    for (size_t i = 0; i < sizeof WAYS / sizeof WAYS[0]; i++)
        if (str_is_nocase(word, WAYS[i]))
            return typed_find_name(line->typed->cellar, str_trim(rest), &second).about ==
                   ABOUT_TANK;
    return false;
}

/* True when what follows the event's word shows that it is no note. */
static bool is_event(const struct phrase_event *event, struct str rest)
{
    static const struct {
        int what;
        const char *word;
    } FOLLOW[] = {{EVENT_CHILL, "to"},
                  {EVENT_KRAUSEN, "from"},
                  {EVENT_KRAUSEN, "batch"},
                  {EVENT_ADDITION, "extract"}};
    struct str trimmed = str_trim(rest), start = trimmed;
    if (str_is_nocase(phrase_next(&start), "day")) /* "dry hop day 2" tells how long it was ago */
        return false;
    if (event->certain || trimmed.n == 0 || strchr(",;:-.\"", trimmed.p[0]) != NULL)
        return true;
    struct str after = trimmed, word = phrase_next(&after);
    for (size_t i = 0; i < sizeof FOLLOW / sizeof FOLLOW[0]; i++)
        if (event->what == FOLLOW[i].what && str_is_nocase(word, FOLLOW[i].word))
            return true;
    return typed_begins_figure(word) || event->key != NULL || event->what == EVENT_MOVE ||
           str_is_nocase(word, "at") || str_is_nocase(word, "by") || str_is_nocase(word, "empty") ||
           str_is_nocase(word, "yeast");
}

/* What stands behind an event's word. */
static void take_event_rest(struct line *line, int what)
{
    struct buf containers = buf_new(line->typed->arena);
    buf_char(&containers, '[');
    while (str_trim(line->rest).n > 0 && !typed_is_refused(line)) {
        line->rest = typed_skip_marks(line->rest);
        if (typed_take_quoted(line) || typed_take_by(line) || take_event_word(line) ||
            (what == EVENT_ADDITION && take_extract(line)) ||
            ((what == EVENT_PACKAGE || what == EVENT_MOVE) && take_containers(line, &containers)) ||
            take_event_figure(line))
            continue;
        typed_take_note(line);
    }
    if (containers.n > 1) {
        buf_char(&containers, ']');
        entry_set_yaml(line->entry, "containers", buf_str(&containers));
    }
    if (what == EVENT_MOVE)
        settle_move(line);
    typed_take_signature(line);
}

bool typed_event(struct line *line)
{
    static const struct phrase_event MOVE = {"", EVENT_MOVE, true, NULL};
    size_t used = 0;
    struct str behind = line->rest;
    bool splits = typed_take_word(&behind, "split") && goes_to_tank(line, behind);
    const struct phrase_event *event = &MOVE;
    if (splits)
        used = line->rest.n - behind.n;
    else if (!goes_to_tank(line, line->rest))
        event = phrase_event(line->rest, &used);
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
    line->rest = used > 0 ? typed_skip_marks(rest) : rest;
    entry_set(line->entry, "what", str_of(name));
    if (event->key != NULL)
        take_free_words(line, event->key);
    take_event_rest(line, event->what);
    if (splits && entry_get(line->entry, "volume").p == NULL)
        REFUSE(line, "how much of it? write such as \"split to BT1 20 hL\"");
    return true;
}
