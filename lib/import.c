#include "import.h"

#include "csv.h"
#include "phrase.h"

#include <string.h>

enum { MOST_COLUMNS = 32 };

/* One column that is read. */
struct reads {
    size_t index;
    int reads; /* enum batch_reads */
    const struct quantity_unit *unit;
    struct str meter; /* "": none told */
};

/* Faults of rows: the first is shown, the others are counted. */
enum fault { FAULT_TIME, FAULT_FUTURE, FAULT_TANK, FAULTS };

struct reader {
    struct arena *arena;
    const struct roster *roster;
    const struct cellar *cellar;
    const struct cellar_import *import;
    const struct source *source;
    const struct civil_zone *zone;
    int64_t now;
    int64_t every; /* seconds */
    char separator, decimal;
    struct str context;      /* the file up to its header */
    size_t time, date, tank; /* columns; SIZE_MAX: none */
    struct reads columns[MOST_COLUMNS];
    size_t column_count;
    struct entry *faults[FAULTS];
    size_t fault_count[FAULTS];
    struct span *first, **end; /* in the order of the file */
    struct span **latest;      /* of each tank of the cellar */
    struct import_count *count;
    const char *unread; /* why the last value that could not be read could not */
    struct entry_list *list;
    const char *why;
};

/* Spans are counted in the zone's own time, so that days are days. The offset tells apart the two
 * hours of the same name when the clock goes back. */
struct span_key {
    int64_t number;
    int offset; /* of the zone; 0 where a span lasts longer than the hour that comes twice */
};

/* The readings of one tank in one span. */
struct span {
    struct span *next, *earlier; /* in the file; of the same tank */
    struct span_key key;
    size_t tank; /* its place in the cellar */
    int64_t at;  /* of the last row that had a sound figure */
    size_t line, rows;
    struct str text;
    struct {
        struct figure figure;
        int64_t at;
        bool set;
    } of[MOST_COLUMNS];
    struct {
        const struct reads *column; /* NULL: none over what the tank is rated for */
        struct figure figure;
        int64_t at;
        size_t line;
        struct str text;
    } peak;
};

static const char *shown(const struct reader *r, struct str text)
{
    return str_shown(r->arena, text);
}

#define GIVE_UP(r, ...)                                                                            \
    do {                                                                                           \
        struct buf why_ = buf_new((r)->arena);                                                     \
        buf_printf(&why_, __VA_ARGS__);                                                            \
        (r)->why = (r)->why == NULL ? why_.p : (r)->why;                                           \
    } while (0)

static char mark_of(struct str word, char otherwise)
{
    static const struct {
        const char *word;
        char mark;
    } MARKS[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'}, {"point", '.'},
                 {",", ','},     {";", ';'},         {"\t", '\t'},  {".", '.'}};
    for (size_t i = 0; i < sizeof MARKS / sizeof MARKS[0]; i++)
        if (str_is(word, MARKS[i].word))
            return MARKS[i].mark;
    return otherwise;
}

static struct str skip_lines(struct str text, long n)
{
    while (n-- > 0 && text.p != NULL)
        str_split(&text, '\n');
    return text.p == NULL ? STR("") : text;
}

/* The line of the header, lines of remarks passed over. */
static struct str header_line(struct str text)
{
    text = str_cut(text, str_mark_length(text), text.n);
    while (text.p != NULL) {
        struct str line = str_split(&text, '\n');
        if (str_trim(line).n > 0 && str_trim(line).p[0] != '#')
            return line;
    }
    return STR("");
}

static char separator_of(const struct cellar_import *import, struct str text)
{
    char found = csv_separator(header_line(skip_lines(text, import->skip.n)));
    return import->separator != NULL ? mark_of(import->separator->text, found) : found;
}

/* A column by its name, or by its number from 1. */
static size_t find_column(const struct csv_row *header, struct str name)
{
    size_t number = 0;
    for (size_t i = 0; i < header->count; i++)
        if (str_eq(header->fields[i], name))
            return i;
    for (size_t i = 0; i < name.n; i++) {
        if (name.p[i] < '0' || name.p[i] > '9' || number > MOST_COLUMNS)
            return SIZE_MAX;
        number = number * 10 + (size_t)(name.p[i] - '0');
    }
    return number >= 1 && number <= header->count ? number - 1 : SIZE_MAX;
}

static bool has_columns(const struct cellar_import *import, const struct csv_row *header)
{
    const struct doc_node *names[] = {import->time, import->date, import->tank_column};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (names[i] != NULL && find_column(header, names[i]->text) == SIZE_MAX)
            return false;
    if (import->time == NULL || import->columns == NULL || import->columns->kind != DOC_MAP)
        return false;
    for (const struct doc_node *v = import->columns->first; v != NULL; v = v->next)
        if (find_column(header, v->key->text) == SIZE_MAX)
            return false;
    return true;
}

const struct cellar_import *import_find(const struct cellar *cellar, struct arena *arena,
                                        struct str text)
{
    for (size_t i = 0; i < cellar->imports.n; i++) {
        const struct cellar_import *import = &cellar->imports.items[i];
        struct csv_row header;
        struct csv_reader reader =
            csv_reader_of(skip_lines(text, import->skip.n), separator_of(import, text));
        if (reader.separator != '\0' && csv_read(&reader, arena, &header) &&
            has_columns(import, &header))
            return import;
    }
    return NULL;
}

static size_t count(struct str text, char c)
{
    size_t n = 0;
    for (size_t i = 0; i < text.n; i++)
        n += text.p[i] == c;
    return n;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* A header without a digit, and rows of as many fields that begin with one. */
bool import_is_csv(struct str text)
{
    enum { ENOUGH = 8 };
    struct str header = header_line(text), rest = text;
    char mark = csv_separator(header);
    size_t rows = 0;
    for (size_t i = 0; i < header.n; i++)
        if (is_digit(header.p[i]))
            return false;
    while (mark != '\0' && rest.p != NULL && rows < ENOUGH) {
        struct str line = str_trim(str_split(&rest, '\n'));
        if (line.n == 0 || line.p[0] == '#')
            continue;
        if (count(line, mark) != count(header, mark) ||
            (rows > 0 && !is_digit(line.p[line.p[0] == '"'])))
            return false;
        rows++;
    }
    return rows > 1;
}

/* What the import says */

static size_t need_column(struct reader *r, const struct csv_row *header,
                          const struct doc_node *name)
{
    if (name == NULL)
        return SIZE_MAX;
    size_t index = find_column(header, name->text);
    if (index == SIZE_MAX)
        GIVE_UP(r, "it has no column \"%s\"", shown(r, name->text));
    return index;
}

static int reads_of_word(struct str word)
{
    for (int i = 0; i < READS_COUNT; i++)
        if (str_is(word, BATCH_COLUMNS[i].key) ||
            str_is(word, QUANTITIES[BATCH_COLUMNS[i].quantity].name))
            return i;
    return -1;
}

static struct str meter_of(const struct reader *r, int reads)
{
    for (size_t i = 0; i < r->import->meters.n; i++) {
        const struct cellar_meter *meter =
            cellar_meter(r->cellar, text_of(r->import->meters.items[i]));
        if (meter != NULL && cellar_reads_quantity(meter->reads) == BATCH_COLUMNS[reads].quantity)
            return name_of(meter->node);
    }
    return STR("");
}

/* "gravity SG" */
static void add_column(struct reader *r, const struct csv_row *header, const struct doc_node *value)
{
    struct str rest = text_of(value), word = str_split(&rest, ' ');
    if (value->kind != DOC_SCALAR || doc_is_null(value))
        return;
    int reads = reads_of_word(word);
    struct reads column = {need_column(r, header, value->key), reads, NULL, STR("")};
    rest = rest.p == NULL ? STR("") : str_trim(rest);
    if (reads < 0) {
        GIVE_UP(r, "imports: \"%s\" begins with no quantity of a reading", shown(r, value->text));
        return;
    }
    for (size_t i = 0; i < r->column_count; i++)
        if (r->columns[i].reads == reads)
            GIVE_UP(r, "imports: two columns give %s", BATCH_COLUMNS[reads].key);
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    column.unit = rest.n > 0 ? quantity_unit_of(rest, quantity) : r->cellar->house[quantity];
    column.meter = meter_of(r, reads);
    if (column.unit == NULL && (rest.n > 0 || !QUANTITIES[quantity].unit_optional))
        GIVE_UP(r, "imports: \"%s\" has no unit of %s", shown(r, value->text),
                QUANTITIES[quantity].name);
    if (column.unit == NULL)
        column.unit = quantity_library_unit(quantity);
    if (r->column_count < MOST_COLUMNS)
        r->columns[r->column_count++] = column;
}

static void read_zone(struct reader *r, const char *folder)
{
    const char *why = "";
    r->zone = r->cellar->zone;
    if (r->import->zone == NULL)
        return;
    struct str name = r->import->zone->text;
    r->zone = civil_zone_read(r->arena, folder, name.p, name.n, &why);
    if (r->zone == NULL)
        GIVE_UP(r, "imports: zone \"%s\": %s", shown(r, name), why);
}

static void read_import(struct reader *r, const struct csv_row *header)
{
    const struct cellar_import *import = r->import;
    r->time = need_column(r, header, import->time);
    r->date = need_column(r, header, import->date);
    r->tank = need_column(r, header, import->tank_column);
    r->decimal = import->decimal == NULL ? '.' : mark_of(import->decimal->text, '\0');
    r->every = CIVIL_HOUR;
    if (import->every.state == FIGURE_SET)
        r->every = (int64_t)(import->every.value * CIVIL_HOUR);
    if (r->every < CIVIL_MINUTE)
        GIVE_UP(r, "imports: every: is shorter than a minute");
    if (r->decimal != '.' && r->decimal != ',')
        GIVE_UP(r, "imports: decimal: write point or comma");
    if (import->time == NULL)
        GIVE_UP(r, "imports: %s names no time:", shown(r, name_of(import->node)));
    if (import->tank == NULL && import->tank_column == NULL)
        GIVE_UP(
            r, "imports: %s names neither tank: nor tank-column:", shown(r, name_of(import->node)));
    if (import->tank != NULL && cellar_tank(r->cellar, import->tank->text) == NULL)
        GIVE_UP(r, "imports: \"%s\" is no tank of this cellar", shown(r, import->tank->text));
    for (size_t i = 0; i < import->meters.n; i++)
        if (cellar_meter(r->cellar, text_of(import->meters.items[i])) == NULL)
            GIVE_UP(r, "imports: \"%s\" is no meter of this cellar",
                    shown(r, text_of(import->meters.items[i])));
    if (import->columns == NULL || import->columns->kind != DOC_MAP) {
        GIVE_UP(r, "imports: columns: must be a mapping of columns to quantities");
        return;
    }
    for (const struct doc_node *v = import->columns->first; v != NULL; v = v->next)
        add_column(r, header, v);
}

/* Times */

/* Digits of text at *at, at most n of them. */
static bool take_digits(struct str text, size_t *at, size_t n, int *value)
{
    size_t start = *at;
    *value = 0;
    while (*at < text.n && *at - start < n && text.p[*at] >= '0' && text.p[*at] <= '9')
        *value = *value * 10 + (text.p[(*at)++] - '0');
    return *at > start;
}

/* Reads text by a format: YYYY MM DD hh mm ss stand for digits, other characters for themselves. A
 * fraction of a second and what the format does not name is passed over at the end. */
static enum civil_status read_by_format(const struct reader *r, struct str format, struct str text,
                                        int64_t *at)
{
    static const char *const PARTS[] = {"YYYY", "MM", "DD", "hh", "mm", "ss"};
    int values[] = {0, 0, 0, 0, 0, 0};
    size_t i = 0, k = 0;
    while (k < format.n) {
        size_t part = 0;
        struct str rest = str_cut(format, k, format.n);
        while (part < sizeof PARTS / sizeof PARTS[0] && !str_starts(rest, PARTS[part]))
            part++;
        if (part == sizeof PARTS / sizeof PARTS[0]) {
            if (i == text.n || text.p[i++] != format.p[k++])
                return CIVIL_SYNTAX;
            continue;
        }
        if (!take_digits(text, &i, strlen(PARTS[part]), &values[part]))
            return CIVIL_SYNTAX;
        k += strlen(PARTS[part]);
    }
    if (i < text.n && text.p[i] != '.' && text.p[i] != ',')
        return CIVIL_SYNTAX;
    bool possible = values[1] >= 1 && values[1] <= 12 && values[2] >= 1 &&
                    values[2] <= civil_days_in_month(values[0], values[1]) && values[3] < 24 &&
                    values[4] < 60 && values[5] < 60;
    if (!possible)
        return CIVIL_IMPOSSIBLE;
    struct civil_date date = {values[0], values[1], values[2]};
    return civil_instant(r->zone, date, (values[3] * 60 + values[4]) * 60 + values[5], at);
}

static enum civil_status read_epoch(struct str text, int64_t *at)
{
    struct figure figure = {0};
    struct str rest;
    if (quantity_read_number(text, &figure, &rest) != QUANTITY_OK || rest.n > 0)
        return CIVIL_SYNTAX;
    const double thousand_years = 3e10, milli = 1000;
    *at = (int64_t)(figure.written > thousand_years ? figure.written / milli : figure.written);
    return CIVIL_OK;
}

static enum civil_status read_time(const struct reader *r, const struct csv_row *row, int64_t *at,
                                   struct str *text)
{
    *text = csv_at(row, r->time);
    if (r->date != SIZE_MAX) {
        struct buf both = buf_new(r->arena);
        buf_add(&both, csv_at(row, r->date));
        buf_char(&both, ' ');
        buf_add(&both, *text);
        *text = buf_str(&both);
    }
    if (r->import->format == NULL)
        return civil_parse(text->p, text->n, r->zone, at);
    if (str_is(r->import->format->text, "epoch"))
        return read_epoch(*text, at);
    return read_by_format(r, r->import->format->text, *text, at);
}

/* Rows */

static void add_fault(struct reader *r, const struct csv_row *row, enum fault fault,
                      const char *why, struct str what)
{
    if (r->fault_count[fault]++ > 0)
        return;
    struct entry *entry = entry_new(r->arena, ENTRY_NOTHING, r->source, row->line, row->source);
    entry->context = r->context;
    entry_refuse(entry, r->arena, "\"%s\": %s", shown(r, what), why);
    r->faults[fault] = entry;
    entry_list_add(r->list, r->arena, entry);
}

/* Says of each first fault how many rows have it. */
static void count_faults(struct reader *r)
{
    for (size_t i = 0; i < FAULTS; i++) {
        if (r->fault_count[i] < 2)
            continue;
        struct buf text = buf_new(r->arena);
        size_t more = r->fault_count[i] - 1;
        buf_printf(&text, "%s (and so in %zu row%s more)", r->faults[i]->reason, more,
                   more == 1 ? "" : "s");
        r->faults[i]->reason = text.p;
    }
}

/* The place in the cellar of a row's tank; SIZE_MAX when it is none. */
static size_t tank_of(const struct reader *r, const struct csv_row *row, struct str *written)
{
    const struct cellar *cellar = r->cellar;
    *written = r->tank == SIZE_MAX ? text_of(r->import->tank) : csv_at(row, r->tank);
    const struct doc_node *names = r->import->tanks;
    for (const struct doc_node *v = names != NULL && names->kind == DOC_MAP ? names->first : NULL;
         v != NULL; v = v->next)
        if (str_eq(v->key->text, *written) && v->kind == DOC_SCALAR)
            *written = v->text;
    bool joined;
    for (size_t i = 0; i < cellar->tanks.n; i++) {
        struct str name = name_of(cellar->tanks.items[i].node);
        if (written->n > 0 && phrase_name(*written, name, &joined) == written->n)
            return i;
    }
    return SIZE_MAX;
}

static struct str name_of_tank(const struct reader *r, size_t tank)
{
    return name_of(r->cellar->tanks.items[tank].node);
}

static bool read_value(struct reader *r, const struct reads *column, struct str text,
                       struct figure *figure)
{
    struct buf plain = buf_new(r->arena);
    for (size_t i = 0; i < text.n; i++)
        buf_char(&plain, text.p[i] == r->decimal ? '.' : text.p[i]);
    enum quantity quantity = BATCH_COLUMNS[column->reads].quantity;
    enum quantity_status status = quantity_read(buf_str(&plain), quantity, column->unit, figure);
    if (status == QUANTITY_OK && figure->unit == NULL)
        figure->unit = quantity_library_unit(quantity);
    if (status != QUANTITY_OK && text.n > 0 && r->count->unsound == 0)
        r->unread = quantity_explain(r->arena, text, quantity, status);
    return status == QUANTITY_OK;
}

static struct span_key span_key(const struct reader *r, int64_t at)
{
    struct civil_time time;
    civil_local(r->cellar->zone, at, &time);
    int64_t local = at + time.offset;
    return (struct span_key){.number = local / r->every - (local % r->every < 0),
                             .offset = r->every > CIVIL_HOUR ? 0 : time.offset};
}

static bool is_under_way(const struct reader *r, int64_t at)
{
    return span_key(r, at).number >= span_key(r, r->now).number;
}

static bool is_after(struct span_key a, struct span_key b)
{
    return a.number > b.number || (a.number == b.number && a.offset < b.offset);
}

/* The span of a tank, looked for from its latest one back: files are written in order of time. */
static struct span *find_span(struct reader *r, struct span_key key, size_t tank)
{
    struct span **place = &r->latest[tank];
    while (*place != NULL && is_after((*place)->key, key))
        place = &(*place)->earlier;
    if (*place != NULL && !is_after(key, (*place)->key))
        return *place;
    struct span *span = arena_alloc(r->arena, sizeof *span);
    *span = (struct span){.earlier = *place, .key = key, .tank = tank, .at = INT64_MIN};
    *place = span;
    *r->end = span;
    r->end = &span->next;
    return span;
}

/* Remembers the span's highest pressure over what the tank is rated for: that it came down again
 * before the span was over makes it no less a danger. */
static void take_peak(const struct reader *r, struct span *span, const struct reads *column,
                      const struct figure *figure, const struct csv_row *row, int64_t at)
{
    const struct cellar_tank *tank = &r->cellar->tanks.items[span->tank];
    if (column->reads != READS_PRESSURE || !figure_is_exact(&tank->rated) ||
        !(figure->value > tank->rated.value + 1e-9) ||
        (span->peak.column != NULL && figure->value <= span->peak.figure.value))
        return;
    span->peak.column = column;
    span->peak.figure = *figure;
    span->peak.at = at;
    span->peak.line = row->line;
    span->peak.text = row->source;
}

/* Puts the sound figures of a row into its span, where they are the latest. */
static void take_row(struct reader *r, const struct csv_row *row, size_t tank, int64_t at)
{
    struct span *span = NULL;
    r->unread = NULL;
    for (size_t i = 0; i < r->column_count; i++) {
        struct figure figure = {0};
        if (!read_value(r, &r->columns[i], csv_at(row, r->columns[i].index), &figure))
            continue;
        span = span != NULL ? span : find_span(r, span_key(r, at), tank);
        take_peak(r, span, &r->columns[i], &figure, row, at);
        if (span->of[i].set && span->of[i].at > at)
            continue;
        span->of[i].figure = figure;
        span->of[i].at = at;
        span->of[i].set = true;
    }
    if (span == NULL) {
        if (r->count->unsound++ == 0) {
            r->count->unsound_line = row->line;
            r->count->unsound_why = r->unread;
        }
        return;
    }
    span->rows++;
    if (at >= span->at) {
        span->at = at;
        span->line = row->line;
        span->text = row->source;
    }
}

static void read_row(struct reader *r, const struct csv_row *row)
{
    int64_t at = 0;
    struct str text, written;
    const struct roster_row *second;
    r->count->rows++;
    enum civil_status status = read_time(r, row, &at, &text);
    if (status != CIVIL_OK && status != CIVIL_FOLD) {
        add_fault(r, row, FAULT_TIME,
                  status == CIVIL_SYNTAX ? "is no time by the format of this import"
                                         : civil_status_text(status),
                  text);
        return;
    }
    if (at > r->now) {
        add_fault(r, row, FAULT_FUTURE, "is still to come; is the zone right?", text);
        return;
    }
    size_t tank = tank_of(r, row, &written);
    if (tank == SIZE_MAX)
        add_fault(r, row, FAULT_TANK, "is no tank of this cellar; name it under tanks:", written);
    else if (is_under_way(r, at))
        r->count->under_way++;
    else if (roster_at(r->roster, name_of_tank(r, tank), at, &second) == NULL &&
             roster_doubt(r->roster, name_of_tank(r, tank)) == NULL)
        r->count->empty++;
    else
        take_row(r, row, tank, at);
}

static struct entry *entry_of_row(const struct reader *r, const struct span *span, size_t line,
                                  struct str text, int64_t at)
{
    struct entry *entry = entry_new(r->arena, ENTRY_READING, r->source, line, text);
    entry->context = r->context;
    entry->tank = name_of_tank(r, span->tank);
    entry->at = at - (at % CIVIL_MINUTE + CIVIL_MINUTE) % CIVIL_MINUTE;
    entry->timed = true;
    return entry;
}

static void set_figure(const struct reader *r, struct entry *entry, const struct reads *column,
                       const struct figure *figure)
{
    struct buf key = buf_new(r->arena);
    buf_printf(&key, "%s-meter", BATCH_COLUMNS[column->reads].key);
    entry_set(entry, BATCH_COLUMNS[column->reads].key, entry_figure_text(r->arena, figure));
    if (column->meter.n > 0)
        entry_set(entry, key.p, column->meter);
}

static void add_entry(struct reader *r, struct entry *entry)
{
    if (r->import->by != NULL)
        entry_set(entry, "by", r->import->by->text);
    entry_list_add(r->list, r->arena, entry);
    r->count->kept++;
}

static void add_span(struct reader *r, const struct span *span)
{
    struct entry *entry = entry_of_row(r, span, span->line, span->text, span->at);
    const struct reads *high = span->peak.column;
    size_t kept = r->count->kept;
    if (high != NULL && span->peak.at / CIVIL_MINUTE != span->at / CIVIL_MINUTE &&
        span->peak.at != span->of[high - r->columns].at) {
        struct entry *peak = entry_of_row(r, span, span->peak.line, span->peak.text, span->peak.at);
        set_figure(r, peak, high, &span->peak.figure);
        add_entry(r, peak);
        high = NULL;
    }
    for (size_t i = 0; i < r->column_count; i++)
        if (span->of[i].set)
            set_figure(r, entry, &r->columns[i],
                       high == &r->columns[i] ? &span->peak.figure : &span->of[i].figure);
    add_entry(r, entry);
    r->count->thinned += span->rows - (r->count->kept - kept);
}

const char *import_read(struct arena *arena, const struct roster *roster,
                        const struct cellar_import *import, const struct source *source,
                        const char *zone_folder, int64_t now, struct entry_list *list,
                        struct import_count *count)
{
    struct reader r = {.arena = arena,
                       .roster = roster,
                       .cellar = roster->cellar,
                       .import = import,
                       .source = source,
                       .now = now,
                       .list = list,
                       .count = count};
    struct csv_row row;
    struct str text = skip_lines(source->text, import->skip.n);
    struct csv_reader reader = csv_reader_of(text, separator_of(import, source->text));
    reader.line += (size_t)import->skip.n;
    if (!csv_read(&reader, arena, &row))
        return "the file holds no rows";
    r.end = &r.first;
    r.latest = arena_array(arena, r.cellar->tanks.n + 1, sizeof(struct span *));
    r.context = str_cut(source->text, 0, (size_t)(reader.rest.p - source->text.p));
    read_import(&r, &row);
    read_zone(&r, zone_folder);
    if (r.why != NULL)
        return r.why;
    while (csv_read(&reader, arena, &row))
        read_row(&r, &row);
    count_faults(&r);
    for (const struct span *span = r.first; span != NULL; span = span->next)
        add_span(&r, span);
    return NULL;
}

void import_describe(struct buf *out, const struct import_count *count)
{
    buf_printf(out, "%zu row%s, %zu kept", count->rows, count->rows == 1 ? "" : "s", count->kept);
    if (count->thinned > 0)
        buf_printf(out, ", %zu thinned out", count->thinned);
    if (count->under_way > 0)
        buf_printf(out, ", %zu left for when their time is over", count->under_way);
    if (count->empty > 0)
        buf_printf(out, ", %zu while the tank was empty", count->empty);
    if (count->unsound > 0)
        buf_printf(out, ", %zu without a sound figure, first in line %zu%s%s", count->unsound,
                   count->unsound_line, count->unsound_why == NULL ? "" : ": ",
                   count->unsound_why == NULL ? "" : count->unsound_why);
}
