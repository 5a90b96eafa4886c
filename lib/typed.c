#include "typed_line.h"

#include <string.h>

void entry_list_add(struct entry_list *list, struct arena *arena, struct entry *entry)
{
    if (list->n == list->capacity)
        list->items = arena_grow(arena, list->items, &list->capacity, sizeof *list->items);
    list->items[list->n++] = entry;
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

/* The tanks that have this number, for who writes "tank 6" or "6": "FV6", "FV1 or BT1". */
static const char *tanks_of_number(const struct line *line, struct str text)
{
    const struct cellar *cellar = line->typed->cellar;
    struct buf found = buf_new(line->typed->arena);
    struct str word = phrase_next(&text);
    if (roster_number(word).n == 0)
        word = phrase_next(&text);
    for (size_t i = 0; roster_number(word).n > 0 && i < cellar->tanks.n; i++) {
        struct str name = name_of(cellar->tanks.items[i].node);
        if (roster_same_number(roster_number(name), roster_number(word)))
            buf_printf(&found, "%s%s", found.n > 0 ? " or " : "", typed_shown(line, name));
    }
    return found.n > 0 ? found.p : NULL;
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
    if (nearest == NULL)
        nearest = tanks_of_number(line, text);
    if (nearest != NULL)
        REFUSE(line, "\"%s\" is no tank, batch, check or meter of this cellar; did you mean %s?",
               typed_shown(line, word), nearest);
    else
        REFUSE(line, "it does not begin with a tank, a batch, a check or a meter of this cellar");
}

static struct subject find_subject(struct line *line)
{
    struct typed *typed = line->typed;
    struct str text = line->rest;
    bool batch_said = typed_take_word(&text, "batch") || typed_take_word(&text, "gyle");
    bool tank_said = !batch_said && typed_take_word(&text, "tank");
    struct subject second = {0}, found = {0};
    if (!batch_said)
        found = typed_find_name(typed->cellar, text, &second);
    struct subject batch = tank_said ? found : find_batch(typed, text);
    if (found.about == ABOUT_NOTHING)
        found = batch;
    if (found.about == ABOUT_NOTHING) {
        refuse_unnamed(line, text);
        return found;
    }
    if (second.used > 0 && (found.joined || second.used == found.used))
        REFUSE(line, "it may begin with %s or with %s: write the name without blanks in it",
               typed_shown(line, found.name), typed_shown(line, second.name));
    const struct roster_row *other;
    if (found.about == ABOUT_TANK && !tank_said && batch.about == ABOUT_BATCH &&
        roster_batch(typed->roster, batch.name, STR(""), typed->now, &other) != NULL)
        REFUSE(line, "%s is a tank and a batch: write \"tank %s\" or \"batch %s\"",
               typed_shown(line, found.name), typed_shown(line, found.name),
               typed_shown(line, batch.name));
    line->rest = typed_skip_marks(str_cut(text, found.used, text.n));
    return found;
}

/* "2026-10-25T02:30:00+01:00": the only way to name the second pass of an hour that comes twice. */
static bool take_instant(struct line *line)
{
    enum { DATE_AND_TIME = sizeof "2026-11-25T08:30" - 1 };
    struct str rest = line->rest, word = phrase_next(&rest);
    if (word.n <= DATE_AND_TIME || word.p[DATE_AND_TIME - strlen("T08:30")] != 'T' ||
        civil_parse(word.p, word.n, line->typed->cellar->zone, &line->instant) != CIVIL_OK)
        return false;
    line->has_date = line->has_clock = line->has_instant = true;
    line->rest = typed_skip_marks(rest);
    return true;
}

static bool take_date(struct line *line)
{
    if (take_instant(line))
        return true;
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
                   typed_shown(line, word));
        if (status == CIVIL_SYNTAX)
            return false;
        if (joined)
            rest = str_cut(line->rest, (size_t)(word.p - line->rest.p) + n + 1, line->rest.n);
    }
    if (status != CIVIL_OK)
        REFUSE(line, "\"%s\": %s", typed_shown(line, word), civil_status_text(status));
    else if (civil_day_of_date(line->date) > today)
        REFUSE(line, "the day %s is still to come", typed_shown(line, word));
    line->has_date = true;
    line->rest = typed_skip_marks(rest);
    return true;
}

/* "@8:10", "(8:10)", "8:10:" */
static struct str bare_clock(struct str word)
{
    if (word.n > 1 && strchr("@(", word.p[0]) != NULL)
        word = str_cut(word, 1, word.n);
    if (word.n > 1 && strchr(":)", word.p[word.n - 1]) != NULL)
        word.n--;
    return word;
}

static bool take_clock(struct line *line)
{
    struct str rest = line->rest, word = phrase_next(&rest);
    if (str_is_nocase(word, "at") || str_is(word, "@"))
        word = phrase_next(&rest);
    word = bare_clock(word);
    struct str after = rest, end = phrase_next(&after);
    if (phrase_is_clock_end(end) && word.n > 0) {
        struct buf both = buf_new(line->typed->arena);
        buf_add(&both, word);
        buf_add(&both, end);
        if (phrase_clock(buf_str(&both), &line->clock)) {
            line->has_clock = true;
            line->rest = typed_skip_marks(after);
            return true;
        }
    }
    if (!phrase_clock(word, &line->clock)) {
        bool clocklike = word.n > 2 && word.p[0] >= '0' && word.p[0] <= '9' &&
                         memchr(word.p, ':', word.n) != NULL;
        if (clocklike)
            REFUSE(line, "\"%s\" is no time of day", typed_shown(line, word));
        return false;
    }
    line->has_clock = true;
    line->rest = typed_skip_marks(rest);
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
        REFUSE(line, "its time is not known: line %zu was refused", typed->told.bad_date);
    int clock = line->has_clock ? line->clock : typed->told.clock;
    if (!line->has_clock && !typed->told.has_clock) {
        if (!is_today)
            REFUSE(line, "it has no time of day: write it behind the name, such as 8:10");
        entry->at = typed->now - (typed->now % CIVIL_MINUTE + CIVIL_MINUTE) % CIVIL_MINUTE;
        entry->timed = entry->assumed_time = true;
        return;
    }
    char text[CIVIL_TEXT_SIZE], second[CIVIL_TEXT_SIZE];
    enum civil_status status = CIVIL_OK;
    entry->at = line->instant;
    if (!line->has_instant)
        status = civil_instant(zone, date, clock, &entry->at);
    if (status != CIVIL_OK && status != CIVIL_FOLD)
        REFUSE(line, "the time: %s", civil_status_text(status));
    else if (status == CIVIL_FOLD)
        entry_remark(entry, typed->arena, false, "%s; for the second write %s",
                     civil_status_text(status),
                     civil_rfc3339(zone, entry->at + CIVIL_HOUR, second));
    if (entry->at > typed->now && status != CIVIL_GAP)
        REFUSE(line, "%s is still to come (it is %s now)%s", civil_minute(zone, entry->at, text),
               civil_clock(zone, typed->now, (char[CIVIL_CLOCK_SIZE]){0}),
               has_date ? "" : "; for yesterday put a line \"# yesterday\" before it");
    entry->timed = status == CIVIL_OK || status == CIVIL_FOLD;
}

static void read_tank_line(struct line *line)
{
    if (!typed_forced(line) && !typed_event(line))
        typed_reading(line);
}

/* Lines of context */

static bool set_meter_line(struct line *line, struct str rest)
{
    struct typed *typed = line->typed;
    struct str name = str_trim(rest);
    const struct cellar_meter *meter = typed_meter_of_word(line, name);
    int reads = meter == NULL ? -1 : typed_reads_of_meter(meter);
    if (reads < 0) {
        const char *nearest = cellar_nearest_meter(typed->cellar, typed->arena, name);
        REFUSE(line, "\"%s\" is no meter of this cellar%s", typed_shown(line, name),
               str_meant(typed->arena, nearest, ""));
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
        return set_meter_line(line, typed_skip_marks(rest));
    if (label != NULL && used == word.n && typed_take_word(&rest, "meter"))
        return set_meter_line(line, typed_skip_marks(rest));
    const struct cellar_meter *meter = typed_meter_of_word(line, str_trim(line->rest));
    return meter != NULL && typed_reads_of_meter(meter) >= 0 && set_meter_line(line, line->rest);
}

static bool take_by_line(struct line *line)
{
    enum { MOST_WORDS = 2 };
    struct str rest = line->rest;
    if (!typed_take_word(&rest, "by"))
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

/* A date, a time, or both, at the start of a line; "date" may stand before them. Alone they hold
 * for the lines behind; else they are of this one. */
static bool take_moment_line(struct line *line)
{
    struct told *told = &line->typed->told;
    struct str before = line->rest;
    if (typed_take_word(&line->rest, "date"))
        line->rest = typed_skip_marks(line->rest);
    bool date = take_date(line);
    if (typed_is_refused(line)) {
        told->bad_date = line->entry->line;
        return true;
    }
    bool clock = !line->has_instant && take_clock(line);
    if (line->has_instant && str_trim(line->rest).n == 0)
        REFUSE(line, "a time with its offset stands in the line of its tank");
    if (typed_is_refused(line))
        told->bad_date = line->entry->line;
    if (!date && !clock)
        line->rest = before;
    if (typed_is_refused(line) || (!date && !clock) ||
        (str_trim(line->rest).n > 0 && !take_by_line(line)))
        return false;
    if (date) {
        told->date = line->date;
        told->has_date = true;
        told->bad_date = 0;
    }
    told->has_clock = clock;
    told->clock = line->clock;
    return true;
}

/* "#" and something that is no date is a remark of the writer. */
static bool is_remark(struct line *line)
{
    if (line->rest.n == 0 || line->rest.p[0] != '#')
        return false;
    while (line->rest.n > 0 && line->rest.p[0] == '#')
        line->rest = str_trim(str_cut(line->rest, 1, line->rest.n));
    struct str rest = line->rest, word = phrase_next(&rest);
    if (word.n > 0 && word.p[word.n - 1] == ':') /* "# refused: ...", as it is given back */
        return !str_is_nocase(word, "date:") && !str_is_nocase(word, "by:");
    return !(phrase_says_day(line->rest) || str_is_nocase(word, "today") ||
             str_is_nocase(word, "yesterday") || str_is_nocase(word, "by") ||
             str_is_nocase(word, "date"));
}

static bool take_context(struct line *line)
{
    if (take_moment_line(line) || typed_is_refused(line))
        return true;
    return take_by_line(line) || take_meter_line(line);
}

static void read_subject_line(struct line *line)
{
    struct subject subject = find_subject(line);
    if (typed_is_refused(line))
        return;
    if (subject.about == ABOUT_TANK)
        line->entry->tank = subject.name;
    if (subject.about == ABOUT_BATCH)
        line->entry->batch = subject.name;
    if (!line->has_date)
        take_date(line);
    if (!line->has_clock)
        take_clock(line);
    if (typed_is_refused(line))
        return;
    settle_time(line);
    if (typed_is_refused(line))
        return;
    if (subject.about == ABOUT_CHECK)
        typed_check(line, subject.name);
    else if (subject.about == ABOUT_METER)
        typed_calibration(line, subject.name);
    else
        read_tank_line(line);
}

/* A day that is written in another way: the lines behind it must not be taken for today's. */
static void refuse_day(struct line *line)
{
    line->entry->state = ENTRY_WAITING;
    REFUSE(line, "it seems to tell a day: write it as # 2026-11-25");
    line->typed->told.bad_date = line->entry->line;
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
    struct str start = line.rest;
    if (!is_text(raw))
        REFUSE(&line, "it is not UTF-8 text");
    else if (take_context(&line)) {
        if (!typed_is_refused(&line)) {
            buf_add(&typed->told.lines, str_trim(raw));
            buf_char(&typed->told.lines, '\n');
            return;
        }
    } else {
        read_subject_line(&line);
        if (line.entry->kind == ENTRY_NOTHING && phrase_says_day(start))
            refuse_day(&line);
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
    struct str rest = str_cut(source->text, str_mark_length(source->text), source->text.n);
    for (size_t number = 1; rest.p != NULL && rest.n > 0; number++)
        read_line(&typed, str_split(&rest, '\n'), number);
}
