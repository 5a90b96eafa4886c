#include "filled.h"

#include "phrase.h"
#include "tsv.h"

#include <string.h>

enum column_kind {
    COLUMN_UNKNOWN,
    COLUMN_DATE,
    COLUMN_TIME,
    COLUMN_TANK,
    COLUMN_BATCH,
    COLUMN_BEER,
    COLUMN_VALUE,
    COLUMN_BY,
    COLUMN_NOTE,
    COLUMN_FORCED,
    COLUMN_FIGURE,
    COLUMN_METER
};

struct column {
    enum column_kind kind;
    int reads; /* enum batch_reads, of COLUMN_FIGURE and COLUMN_METER */
    const struct quantity_unit *unit;
};

static const char *const PLAIN_COLUMNS[] = {
    [COLUMN_DATE] = "date",   [COLUMN_TIME] = "time", [COLUMN_TANK] = "tank",
    [COLUMN_BATCH] = "batch", [COLUMN_BEER] = "beer", [COLUMN_VALUE] = "value",
    [COLUMN_BY] = "by",       [COLUMN_NOTE] = "note",
};

struct sheet {
    struct arena *arena;
    const struct roster *roster;
    const struct cellar *cellar;
    const struct source *source;
    int64_t now;
    struct entry_list *list;
    struct column *columns;
    size_t count;
    struct str header; /* as it stood */
    struct civil_date date;
    int clock; /* of the row above */
    bool has_date, has_clock;
    size_t bad_date; /* the line of a date that was refused and holds for the rows below, or 0 */
};

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* "mg_L" is "mg/L". */
static const struct quantity_unit *unit_of_column(struct str name, enum quantity quantity)
{
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        const struct quantity_unit *unit = &QUANTITY_UNITS[i];
        size_t n = strlen(unit->name), k = 0;
        if (unit->quantity != quantity || n != name.n)
            continue;
        while (k < n && (lower(unit->name[k]) == lower(name.p[k]) ||
                         (unit->name[k] == '/' && name.p[k] == '_')))
            k++;
        if (k == n)
            return unit;
    }
    bool percent = quantity == QUANTITY_ALCOHOL || quantity == QUANTITY_PERCENT;
    return percent && str_is_nocase(name, "pct") ? quantity_library_unit(quantity) : NULL;
}

static bool begins_with(struct str text, struct str name)
{
    for (size_t i = 0; i < name.n; i++)
        if (i >= text.n || lower(text.p[i]) != name.p[i])
            return false;
    return true;
}

/* "ph", "temp_C", "ph_meter", "temperature_C" */
static bool is_quantity_column(struct str name, struct column *column)
{
    for (int i = 0; i < READS_COUNT; i++) {
        enum quantity quantity = BATCH_COLUMNS[i].quantity;
        struct str key = str_of(BATCH_COLUMNS[i].key);
        if (i == READS_TEMP && begins_with(name, STR("temperature")))
            key = STR("temperature");
        if (!begins_with(name, key))
            continue;
        struct str rest = str_cut(name, key.n, name.n);
        if (rest.n > 0 && rest.p[0] != '_' && rest.p[0] != '-')
            continue;
        rest = str_cut(rest, 1, rest.n);
        column->reads = i;
        column->kind = str_is_nocase(rest, "meter") ? COLUMN_METER : COLUMN_FIGURE;
        column->unit = rest.n > 0 ? unit_of_column(rest, quantity) : NULL;
        return rest.n == 0 || column->kind == COLUMN_METER || column->unit != NULL;
    }
    return false;
}

/* "forced", "forced_P": what a forced sample came to */
static bool is_forced_column(struct str name, struct column *column)
{
    const struct str key = STR("forced");
    if (!begins_with(name, key))
        return false;
    struct str unit = str_cut(name, key.n + 1, name.n);
    column->unit = unit.n > 0 ? unit_of_column(unit, QUANTITY_GRAVITY) : NULL;
    if (name.n > key.n && (name.p[key.n] != '_' || column->unit == NULL))
        return false;
    column->kind = COLUMN_FORCED;
    return true;
}

static struct column column_of(struct str name)
{
    struct column column = {COLUMN_UNKNOWN, -1, NULL};
    name = str_trim(name);
    for (size_t i = COLUMN_DATE; i <= COLUMN_NOTE; i++)
        if (str_is_nocase(name, PLAIN_COLUMNS[i]))
            column.kind = (enum column_kind)i;
    if (column.kind == COLUMN_UNKNOWN && !is_forced_column(name, &column) &&
        !is_quantity_column(name, &column))
        column.kind = COLUMN_UNKNOWN;
    return column;
}

/* How many names of columns a line has when it is cut at sep. */
static size_t count_columns(struct str line, char sep, bool *has_tank)
{
    size_t known = 0;
    *has_tank = false;
    for (struct str rest = line; rest.p != NULL;) {
        struct str name = str_trim(str_split(&rest, sep));
        if (name.n >= 2 && name.p[0] == '"' && name.p[name.n - 1] == '"')
            name = str_cut(name, 1, name.n - 1);
        struct column column = column_of(name);
        known += column.kind != COLUMN_UNKNOWN;
        *has_tank = *has_tank || column.kind == COLUMN_TANK || column.kind == COLUMN_BATCH;
    }
    return known;
}

/* The first line with text that is no remark. */
static struct str first_line(struct str text)
{
    text = str_cut(text, str_mark_length(text), text.n);
    while (text.p != NULL) {
        struct str line = str_trim(str_split(&text, '\n'));
        if (line.n > 0 && line.p[0] != '#')
            return line;
    }
    return STR("");
}

static bool is_header(struct str text, char sep)
{
    enum { LEAST = 3 };
    bool has_tank;
    struct str line = first_line(text);
    return memchr(line.p, sep, line.n) != NULL && count_columns(line, sep, &has_tank) >= LEAST &&
           has_tank;
}

bool filled_is_sheet(struct str text)
{
    return is_header(text, '\t');
}

bool filled_is_other_sheet(struct str text)
{
    return is_header(text, ',') || is_header(text, ';');
}

/* One row at work. */
struct row {
    struct sheet *sheet;
    const struct tsv_row *fields;
    struct entry *entry;
    const struct cellar_check *check;
    const struct cellar_meter *meter;
};

static const char *shown(const struct row *row, struct str text)
{
    return str_shown(row->sheet->arena, text);
}

#define REFUSE(row, ...) entry_refuse((row)->entry, (row)->sheet->arena, __VA_ARGS__)

static struct str cell_of(const struct row *row, enum column_kind kind)
{
    for (size_t i = 0; i < row->sheet->count; i++)
        if (row->sheet->columns[i].kind == kind)
            return str_trim(tsv_at(row->fields, i).text);
    return STR("");
}

/* What people put where there was nothing to read. */
static bool is_nothing(struct str cell)
{
    return cell.n == 0 || str_is(cell, "-") || str_is(cell, "--") || str_is(cell, "\xe2\x80\x93") ||
           str_is(cell, "\xe2\x80\x94") || str_is_nocase(cell, "n/a");
}

/* "3.4", "3.4 P", "1.013SG", "<4.7", "~" */
static bool read_cell(struct row *row, struct str text, enum quantity quantity,
                      const struct quantity_unit *unit, struct figure *figure)
{
    struct arena *arena = row->sheet->arena;
    struct str rest;
    if (str_is(text, "~")) {
        figure->state = FIGURE_WITHDRAWN;
        return true;
    }
    enum quantity_status status = quantity_read_number(text, figure, &rest);
    rest = str_trim(rest);
    const struct quantity_unit *named =
        status == QUANTITY_OK && rest.n > 0 ? phrase_unit(rest) : NULL;
    struct buf plain = buf_new(arena);
    buf_add(&plain, text);
    if (named != NULL) {
        plain = buf_new(arena);
        buf_add(&plain, str_cut(text, 0, (size_t)(rest.p - text.p)));
        buf_printf(&plain, " %s", named->name);
    }
    if (unit == NULL)
        unit = row->sheet->cellar->house[quantity];
    status = quantity_read(buf_str(&plain), quantity, unit, figure);
    if (status != QUANTITY_OK)
        REFUSE(row, "%s", quantity_explain(arena, buf_str(&plain), quantity, status));
    return status == QUANTITY_OK;
}

static void take_figure(struct row *row, const struct column *column, struct str cell)
{
    struct figure figure = {0};
    struct str rest = cell;
    for (struct str word = phrase_next(&rest); column->reads == READS_VDK && word.n > 0;
         word = phrase_next(&rest)) {
        unsigned char smell = phrase_smell(word);
        if (smell == 0)
            continue;
        figure.word = smell;
        cell = str_trim(word.p == cell.p ? str_cut(cell, word.n, cell.n)
                                         : str_cut(cell, 0, (size_t)(word.p - cell.p)));
    }
    const char *key = BATCH_COLUMNS[column->reads].key;
    struct str before = entry_get(row->entry, key);
    if ((figure.word == 0 || cell.n > 0) &&
        !read_cell(row, cell, BATCH_COLUMNS[column->reads].quantity, column->unit, &figure))
        return;
    if (figure.state == FIGURE_SET && figure.unit == NULL)
        figure.unit = quantity_library_unit(BATCH_COLUMNS[column->reads].quantity);
    struct str text = entry_figure_text(row->sheet->arena, &figure);
    if (before.p != NULL)
        REFUSE(row, "two figures for %s: " STR_FMT " and " STR_FMT, key, STR_ARG(before),
               STR_ARG(text));
    entry_set(row->entry, key, text);
}

static bool has_anything(const struct row *row)
{
    for (size_t i = 0; i < row->sheet->count; i++) {
        enum column_kind kind = row->sheet->columns[i].kind;
        bool counts = kind == COLUMN_FIGURE || kind == COLUMN_VALUE || kind == COLUMN_NOTE ||
                      kind == COLUMN_FORCED;
        if (counts && !is_nothing(str_trim(tsv_at(row->fields, i).text)))
            return true;
    }
    return false;
}

static void find_subject(struct row *row)
{
    const struct cellar *cellar = row->sheet->cellar;
    struct str name = cell_of(row, COLUMN_TANK), number = cell_of(row, COLUMN_BATCH);
    bool joined;
    row->entry->batch = number;
    row->entry->beer = cell_of(row, COLUMN_BEER);
    if (name.n == 0 && number.n == 0)
        REFUSE(row, "the row names neither a tank nor a batch");
    if (name.n == 0)
        return;
    for (size_t i = 0; i < cellar->tanks.n; i++)
        if (phrase_name(name, name_of(cellar->tanks.items[i].node), &joined) == name.n)
            row->entry->tank = name_of(cellar->tanks.items[i].node);
    for (size_t i = 0; i < cellar->checks.n; i++)
        if (phrase_name(name, name_of(cellar->checks.items[i].node), &joined) == name.n)
            row->check = &cellar->checks.items[i];
    for (size_t i = 0; i < cellar->meters.n; i++)
        if (phrase_name(name, name_of(cellar->meters.items[i].node), &joined) == name.n)
            row->meter = &cellar->meters.items[i];
    if (row->entry->tank.n > 0 || row->check != NULL || row->meter != NULL)
        return;
    const char *nearest = cellar_nearest_tank(cellar, row->sheet->arena, name);
    REFUSE(row, "\"%s\" is no tank, check or meter of this cellar%s", shown(row, name),
           str_meant(row->sheet->arena, nearest, ""));
}

/* The day of a row: its own, else that of the row above, else today. */
static void find_date(struct row *row, struct str cell)
{
    struct sheet *sheet = row->sheet;
    if (cell.n == 0 && sheet->bad_date > 0)
        REFUSE(row, "its day is not known: line %zu was refused", sheet->bad_date);
    if (cell.n == 0)
        return;
    sheet->bad_date = 0;
    struct civil_date date;
    enum civil_status status = civil_parse_date(cell.p, cell.n, &date);
    if (status != CIVIL_OK) {
        REFUSE(row, "date \"%s\": %s", shown(row, cell),
               status == CIVIL_SYNTAX ? "write it as 2026-11-25" : civil_status_text(status));
        sheet->bad_date = row->fields->line;
        return;
    }
    if (!sheet->has_date || civil_day_of_date(date) != civil_day_of_date(sheet->date))
        sheet->has_clock = false;
    sheet->date = date;
    sheet->has_date = true;
}

/* What the rows below take over of a time that was told with its day. */
static void keep_moment(struct sheet *sheet, int64_t at)
{
    struct civil_time time;
    civil_local(sheet->cellar->zone, at, &time);
    sheet->date = (struct civil_date){time.year, time.month, time.day};
    sheet->clock = time.hour * CIVIL_HOUR + time.minute * CIVIL_MINUTE + time.second;
    sheet->has_date = sheet->has_clock = true;
}

static void refuse_clock(struct row *row, struct str text)
{
    int meant;
    bool share = str_starts(text, "0."); /* of a day, as a spreadsheet keeps a time */
    if (!share && phrase_like_clock(text, &meant))
        REFUSE(row, "time \"%s\": write it as %d:%02d", shown(row, text), meant / CIVIL_HOUR,
               meant % CIVIL_HOUR / CIVIL_MINUTE);
    else
        REFUSE(row, "time \"%s\": write it as 8:10", shown(row, text));
}

static void find_time(struct row *row)
{
    struct sheet *sheet = row->sheet;
    struct entry *entry = row->entry;
    const struct civil_zone *zone = sheet->cellar->zone;
    struct str clock = cell_of(row, COLUMN_TIME);
    find_date(row, cell_of(row, COLUMN_DATE));
    if (row->entry->state == ENTRY_REFUSED)
        return;
    enum civil_status status = civil_parse(clock.p, clock.n, zone, &entry->at);
    struct civil_date today = civil_date_of_day(civil_day(zone, sheet->now));
    struct civil_date date = sheet->has_date ? sheet->date : today;
    if (clock.n > 0 && status == CIVIL_SYNTAX) {
        if (!phrase_clock(clock, &sheet->clock)) {
            refuse_clock(row, clock);
            return;
        }
        sheet->has_clock = true;
    }
    if (clock.n == 0 && !sheet->has_clock) {
        if (civil_day_of_date(date) != civil_day_of_date(today))
            REFUSE(row, "it has no time, and no row above it has one");
        entry->at = sheet->now - (sheet->now % CIVIL_MINUTE + CIVIL_MINUTE) % CIVIL_MINUTE;
        entry->timed = entry->assumed_time = true;
        return;
    }
    if (clock.n > 0 && (status == CIVIL_OK || status == CIVIL_FOLD))
        keep_moment(sheet, entry->at);
    if (clock.n == 0 || status == CIVIL_SYNTAX)
        status = civil_instant(zone, date, sheet->clock, &entry->at);
    if (status != CIVIL_OK && status != CIVIL_FOLD)
        REFUSE(row, "the time: %s", civil_status_text(status));
    else if (status == CIVIL_FOLD)
        entry_remark(entry, sheet->arena, false, "%s", civil_status_text(status));
    if (clock.n == 0)
        entry_remark(entry, sheet->arena, false, "its time is that of the row above");
    entry->timed = true;
}

static void take_check(struct row *row)
{
    struct str cell = cell_of(row, COLUMN_VALUE);
    enum quantity quantity = cellar_reads_quantity(row->check->reads);
    struct figure figure = {0};
    row->entry->kind = ENTRY_CHECK;
    row->entry->batch = row->entry->beer = STR("");
    entry_set(row->entry, "check", name_of(row->check->node));
    for (size_t i = 0; i < row->sheet->count; i++)
        if (row->sheet->columns[i].kind == COLUMN_FIGURE &&
            !is_nothing(str_trim(tsv_at(row->fields, i).text)))
            REFUSE(row, "the figure of a check stands in the column value");
    if (is_nothing(cell)) {
        REFUSE(row, "a check needs a figure in the column value");
        return;
    }
    if (!read_cell(row, cell, quantity, NULL, &figure))
        return;
    struct str rest;
    struct figure number;
    quantity_read_number(cell, &number, &rest);
    row->entry->bare_unit = str_trim(rest).n == 0;
    entry_set(row->entry, "value", entry_figure_text(row->sheet->arena, &figure));
}

/* A calibration: what stands in value is read as behind "PH1 cal" on a typed line. */
static void take_calibration(struct row *row)
{
    struct sheet *sheet = row->sheet;
    struct str value = cell_of(row, COLUMN_VALUE);
    struct buf line = buf_new(sheet->arena);
    struct entry_list read = {NULL, 0, 0};
    buf_add(&line, name_of(row->meter->node));
    buf_add(&line, STR(" cal "));
    buf_add(&line, value);
    buf_char(&line, '\n');
    struct source *source = arena_alloc(sheet->arena, sizeof *source);
    *source = (struct source){sheet->source->name, buf_str(&line)};
    if (is_nothing(value)) {
        REFUSE(row, "a calibration needs its figures in the column value, such as 7.00 -3mV "
                    "4.01 172mV");
        return;
    }
    typed_read(sheet->arena, sheet->roster, source, sheet->now, &read);
    if (read.n != 1 || read.items[0]->kind != ENTRY_CALIBRATION) {
        REFUSE(row, "what %s gave: write it as 7.00 -3mV 4.01 172mV",
               shown(row, name_of(row->meter->node)));
        return;
    }
    const struct entry *typed = read.items[0];
    row->entry->kind = ENTRY_CALIBRATION;
    row->entry->batch = row->entry->beer = STR("");
    memcpy(row->entry->pairs, typed->pairs, sizeof typed->pairs);
    row->entry->n = typed->n;
    if (typed->state == ENTRY_REFUSED)
        REFUSE(row, "%s", typed->reason);
}

/* What a forced sample came to: an entry of its own beside the row's reading; NULL: none. */
static struct entry *take_forced(struct row *row)
{
    struct sheet *sheet = row->sheet;
    for (size_t i = 0; i < sheet->count; i++) {
        struct str cell = str_trim(tsv_at(row->fields, i).text);
        struct figure figure = {0};
        if (sheet->columns[i].kind != COLUMN_FORCED || is_nothing(cell))
            continue;
        struct entry *forced = arena_alloc(sheet->arena, sizeof *forced);
        *forced = *row->entry;
        forced->kind = ENTRY_FORCED;
        forced->remarks = NULL;
        for (const struct entry_remark *v = row->entry->remarks; v != NULL; v = v->next)
            entry_remark(forced, sheet->arena, v->unlikely, "%s", v->text);
        struct row its = *row;
        its.entry = forced;
        if (!read_cell(&its, cell, QUANTITY_GRAVITY, sheet->columns[i].unit, &figure))
            return forced;
        if (figure.state == FIGURE_SET && figure.unit == NULL)
            figure.unit = quantity_library_unit(QUANTITY_GRAVITY);
        entry_set(forced, "gravity", entry_figure_text(sheet->arena, &figure));
        return forced;
    }
    return NULL;
}

static void take_reading(struct row *row)
{
    struct sheet *sheet = row->sheet;
    row->entry->kind = ENTRY_READING;
    if (!is_nothing(cell_of(row, COLUMN_VALUE)))
        REFUSE(row, "the column value is for checks; a tank's figures stand in their own columns");
    for (size_t i = 0; i < sheet->count; i++) {
        struct str cell = str_trim(tsv_at(row->fields, i).text);
        if (sheet->columns[i].kind == COLUMN_FIGURE && !is_nothing(cell))
            take_figure(row, &sheet->columns[i], cell);
    }
    for (size_t i = 0; i < sheet->count; i++) {
        struct str cell = str_trim(tsv_at(row->fields, i).text);
        int reads = sheet->columns[i].reads;
        if (sheet->columns[i].kind != COLUMN_METER || is_nothing(cell) ||
            entry_get(row->entry, BATCH_COLUMNS[reads].key).p == NULL)
            continue;
        struct buf key = buf_new(sheet->arena);
        buf_printf(&key, "%s-meter", BATCH_COLUMNS[reads].key);
        entry_set(row->entry, key.p, cell);
    }
}

static void read_row(struct sheet *sheet, const struct tsv_row *fields)
{
    struct row row = {.sheet = sheet, .fields = fields};
    row.entry = entry_new(sheet->arena, ENTRY_NOTHING, sheet->source, fields->line, fields->source);
    row.entry->context = sheet->header;
    if (!has_anything(&row)) {
        find_date(&row, cell_of(&row, COLUMN_DATE)); /* a day may be given once */
        if (cell_of(&row, COLUMN_TANK).n > 0) /* cells that ran together are not passed over */
            find_subject(&row);
        if (row.entry->state != ENTRY_REFUSED)
            return;
    }
    find_subject(&row);
    if (row.entry->state != ENTRY_REFUSED)
        find_time(&row);
    bool good = row.entry->state != ENTRY_REFUSED, of_tank = row.entry->tank.n > 0;
    struct str by = cell_of(&row, COLUMN_BY), note = cell_of(&row, COLUMN_NOTE);
    struct entry *forced = good ? take_forced(&row) : NULL;
    if (forced != NULL && by.n > 0)
        entry_set(forced, "by", by);
    if (good && row.check != NULL && !of_tank)
        take_check(&row);
    else if (good && row.meter != NULL && !of_tank)
        take_calibration(&row);
    else if (good)
        take_reading(&row);
    if (by.n > 0)
        entry_set(row.entry, "by", by);
    if (!is_nothing(note))
        entry_set(row.entry, "note", note);
    if (forced == NULL || row.entry->n > (by.n > 0) || row.entry->state == ENTRY_REFUSED)
        entry_list_add(sheet->list, sheet->arena, row.entry);
    if (forced != NULL && row.entry->state != ENTRY_REFUSED)
        entry_list_add(sheet->list, sheet->arena, forced);
}

static void read_header(struct sheet *sheet, const struct tsv_row *header, struct buf *unknown)
{
    struct buf line = buf_new(sheet->arena);
    buf_add(&line, header->source);
    buf_char(&line, '\n');
    sheet->header = buf_str(&line);
    sheet->count = header->count;
    sheet->columns = arena_array(sheet->arena, header->count, sizeof *sheet->columns);
    for (size_t i = 0; i < header->count; i++) {
        struct str name = str_trim(header->fields[i].text);
        sheet->columns[i] = column_of(name);
        if (sheet->columns[i].kind == COLUMN_UNKNOWN && name.n > 0)
            buf_printf(unknown, "%s%s", unknown->n > 0 ? ", " : "", str_shown(sheet->arena, name));
    }
}

void filled_read(struct arena *arena, const struct roster *roster, const struct source *source,
                 int64_t now, struct entry_list *list, struct buf *unknown)
{
    struct sheet sheet = {.arena = arena,
                          .roster = roster,
                          .cellar = roster->cellar,
                          .source = source,
                          .now = now,
                          .list = list};
    struct tsv_reader reader = tsv_reader_of(source->text);
    struct tsv_row row;
    bool header = false;
    while (tsv_read(&reader, arena, &row)) {
        struct str first = str_trim(row.source);
        if (first.n > 0 && first.p[0] == '#')
            continue;
        if (header)
            read_row(&sheet, &row);
        else
            read_header(&sheet, &row, unknown);
        header = true;
    }
}
