#include "report.h"

#include "order.h"
#include "str.h"
#include "table.h"

#include <string.h>

enum { MOST_OF_A_RULE = 25, MOST_LINES_NAMED = 4, TAB_STOP = 8 };

static bool is_shown(const struct report *report, const struct diag *diag)
{
    return diag->level == DIAG_ERROR || !report->errors_only;
}

/* What is to be said of each finding of one file. */
struct line {
    const struct diag *diag;
    size_t more; /* findings like this one that follow */
    bool folded; /* it is like one before */
    struct line *next_alike;
};

static int compare_alike(const void *left, const void *right)
{
    const struct diag *a = (*(struct line *const *)left)->diag;
    const struct diag *b = (*(struct line *const *)right)->diag;
    int by_words = order_then(order_of(a->rule, b->rule), strcmp(a->message, b->message));
    return order_then(by_words, order_of(a - b, 0)); /* they are sorted by place */
}

/* Folds the findings of one file that say the same. */
static void fold(const struct report *report, struct line *lines, size_t n)
{
    struct line **sorted = arena_array(report->arena, n, sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = &lines[i];
    order_sort(sorted, n, sizeof *sorted, compare_alike);
    for (size_t i = 0, k; i < n; i = k) {
        struct line *last = sorted[i];
        for (k = i + 1; k < n; k++) {
            const struct diag *a = sorted[i]->diag, *b = sorted[k]->diag;
            if (a->rule != b->rule || a->level != b->level || strcmp(a->message, b->message) != 0)
                break;
            sorted[k]->folded = true;
            sorted[i]->more++;
            last->next_alike = sorted[k];
            last = sorted[k];
        }
    }
}

enum paint { PAINT_NONE, PAINT_PLACE, PAINT_ERROR, PAINT_WARNING, PAINT_NOTE, PAINT_CARET };

static void paint(const struct report *report, enum paint colour)
{
    static const char *const CODES[] = {
        [PAINT_NONE] = "0",       [PAINT_PLACE] = "1",   [PAINT_ERROR] = "1;31",
        [PAINT_WARNING] = "1;35", [PAINT_NOTE] = "1;36", [PAINT_CARET] = "1;32"};
    if (report->colour)
        fprintf(report->out, "\033[%sm", CODES[colour]);
}

static void write_place(const struct report *report, const struct diag *d)
{
    paint(report, PAINT_PLACE);
    str_write_escaped(report->out, d->file);
    if (d->line > 0)
        fprintf(report->out, ":%u:%u", (unsigned)d->line, (unsigned)d->column);
    fputs(":", report->out);
    paint(report, PAINT_NONE);
}

static void write_level(const struct report *report, enum diag_level level)
{
    paint(report, level == DIAG_ERROR     ? PAINT_ERROR
                  : level == DIAG_WARNING ? PAINT_WARNING
                                          : PAINT_NOTE);
    fprintf(report->out, " %s:", diag_level_name(level));
    paint(report, PAINT_NONE);
}

/* A place in the text of a file that only moves forward, as the findings do. */
struct cursor {
    struct str text;
    size_t first; /* behind a byte order mark */
    size_t byte;  /* where the character begins */
    uint32_t line, column;
};

static bool is_line_end(struct str text, size_t byte)
{
    return byte >= text.n || text.p[byte] == '\n' || text.p[byte] == '\r';
}

static void next_line(struct cursor *cursor)
{
    while (!is_line_end(cursor->text, cursor->byte))
        cursor->byte++;
    if (cursor->byte + 1 < cursor->text.n && cursor->text.p[cursor->byte] == '\r' &&
        cursor->text.p[cursor->byte + 1] == '\n')
        cursor->byte++;
    cursor->byte++;
    cursor->line++;
    cursor->column = 1;
}

/* Moves to a place, or as far as the text goes. False when there is no such line. */
static bool move_to(struct cursor *cursor, uint32_t line, uint32_t column)
{
    while (cursor->line < line && cursor->byte < cursor->text.n)
        next_line(cursor);
    if (cursor->line != line || cursor->byte > cursor->text.n)
        return false;
    while (cursor->column < column && !is_line_end(cursor->text, cursor->byte)) {
        size_t used = 1;
        str_char(cursor->text.p + cursor->byte, cursor->text.n - cursor->byte, &used);
        cursor->byte += used;
        cursor->column++;
    }
    return true;
}

/* Shows one character as a terminal can take it, a tab as blanks up to the next stop; returns the
 * columns it takes. */
static size_t show_char(struct buf *shown, struct str text, size_t byte, size_t used, size_t column)
{
    if (text.p[byte] == '\t') {
        size_t blanks = TAB_STOP - column % TAB_STOP;
        buf_pad(shown, ' ', blanks);
        return blanks;
    }
    size_t before = shown->n;
    str_escape(shown, (struct str){text.p + byte, used}, 0);
    return str_width((struct str){shown->p + before, shown->n - before});
}

/* How many columns the text from a byte to the line's end takes; counted no further than limit. */
static size_t rest_width(struct str text, size_t byte, size_t column, size_t limit)
{
    size_t width = 0, used = 1;
    for (; !is_line_end(text, byte) && width <= limit; byte += used) {
        str_char(text.p + byte, text.n - byte, &used);
        width += text.p[byte] == '\t' ? TAB_STOP - (column + width) % TAB_STOP
                                      : str_width((struct str){text.p + byte, used});
    }
    return width;
}

/* Where the shown part of a line begins: as much before the caret as fits into two thirds. */
static size_t shown_from(const struct cursor *at, size_t room)
{
    size_t begin = at->byte, characters = 0;
    while (begin > at->first && !is_line_end(at->text, begin - 1) && characters <= room * 2 / 3) {
        begin--;
        characters += ((unsigned char)at->text.p[begin] & 0xc0) != 0x80;
    }
    return begin;
}

/* The line of source around a place, cut to the width, and a caret below it. */
static void write_source(const struct report *report, const struct cursor *at)
{
    enum { MARGIN = 8, LEAST_WIDTH = 40, DOTS = 3 };
    size_t room = (report->width < LEAST_WIDTH ? LEAST_WIDTH : report->width) - MARGIN;
    size_t byte = shown_from(at, room), used = 1;
    struct buf shown = buf_new(report->arena);
    if (byte > at->first && !is_line_end(at->text, byte - 1))
        buf_printf(&shown, "...");
    size_t column = shown.n, caret = column;
    for (bool whole = false; !is_line_end(at->text, byte); byte += used) {
        if (byte == at->byte)
            caret = column;
        str_char(at->text.p + byte, at->text.n - byte, &used);
        size_t before = shown.n, width = show_char(&shown, at->text, byte, used, column);
        if (!whole && byte > at->byte && column + width > room - DOTS) {
            whole = column + rest_width(at->text, byte, column, room) <= room;
            if (!whole) {
                shown.n = before;
                buf_printf(&shown, "...");
                break;
            }
        }
        column += width;
    }
    if (byte == at->byte)
        caret = column;
    fprintf(report->out, "%5u | %.*s\n      | %*s", (unsigned)at->line, (int)shown.n,
            shown.n == 0 ? "" : shown.p, (int)caret, "");
    paint(report, PAINT_CARET);
    fputs("^", report->out);
    paint(report, PAINT_NONE);
    fputc('\n', report->out);
}

static void write_others(FILE *out, const struct line *line)
{
    size_t named = 0;
    fprintf(out, " (also in line%s ", line->more == 1 ? "" : "s");
    for (const struct line *l = line->next_alike; l != NULL && named < MOST_LINES_NAMED;
         l = l->next_alike)
        fprintf(out, "%s%u", named++ == 0 ? "" : ", ", (unsigned)l->diag->line);
    if (line->more > named)
        fprintf(out, " and %zu more", line->more - named);
    fputc(')', out);
}

static void write_line(const struct report *report, const struct line *line, struct cursor *cursor)
{
    const struct diag *d = line->diag;
    write_place(report, d);
    write_level(report, d->level);
    fprintf(report->out, " %s", d->message);
    if (line->more > 0)
        write_others(report->out, line);
    fprintf(report->out, " [%s]\n", RULES[d->rule].name);
    if (cursor->text.n > 0 && d->line > 0 && move_to(cursor, d->line, d->column))
        write_source(report, cursor);
}

static void write_file(const struct report *report, struct line *lines, size_t n)
{
    size_t written[RULE_COUNT] = {0}, left_out[RULE_COUNT] = {0};
    struct str file = lines[0].diag->file;
    struct cursor cursor = {.line = 1, .column = 1};
    if (report->width > 0 && report->text_of != NULL)
        cursor.text = report->text_of(report->context, file);
    cursor.byte = cursor.first = str_mark_length(cursor.text);
    fold(report, lines, n);
    for (size_t i = 0; i < n; i++) {
        enum rule rule = lines[i].diag->rule;
        if (lines[i].folded)
            continue;
        if (written[rule]++ < MOST_OF_A_RULE)
            write_line(report, &lines[i], &cursor);
        else
            left_out[rule]++;
    }
    for (size_t rule = 0; rule < RULE_COUNT; rule++) {
        if (left_out[rule] == 0)
            continue;
        write_place(report, &(struct diag){.file = file});
        write_level(report, DIAG_NOTE);
        fprintf(report->out, " %zu more like these, -t lists them all [%s]\n", left_out[rule],
                RULES[rule].name);
    }
}

static void write_counts(const struct report *report, size_t errors, size_t warnings)
{
    if (errors > 0)
        fprintf(report->out, "%zu error%s", errors, errors == 1 ? "" : "s");
    if (warnings > 0)
        fprintf(report->out, "%s%zu warning%s", errors > 0 ? ", " : "", warnings,
                warnings == 1 ? "" : "s");
    if (errors + warnings > 0)
        fputc('\n', report->out);
}

void report_text(const struct report *report, const struct diags *diags)
{
    struct line *lines = arena_array(report->arena, diags->n + 1, sizeof *lines);
    size_t n = 0, errors = 0, warnings = 0;
    for (size_t i = 0; i < diags->n; i++) {
        const struct diag *d = &diags->items[i];
        if (!is_shown(report, d))
            continue;
        if (n > 0 && !str_eq(d->file, lines[n - 1].diag->file)) {
            write_file(report, lines, n);
            n = 0;
        }
        lines[n++] = (struct line){.diag = d};
        errors += d->level == DIAG_ERROR;
        warnings += d->level == DIAG_WARNING;
    }
    if (n > 0)
        write_file(report, lines, n);
    write_counts(report, errors, warnings);
}

static void get_file(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, ((const struct diag *)row)->file);
}

static void get_line(struct buf *cell, const void *row, const struct table *table)
{
    const struct diag *d = row;
    (void)table;
    if (d->line > 0)
        buf_printf(cell, "%u", (unsigned)d->line);
}

static void get_column(struct buf *cell, const void *row, const struct table *table)
{
    const struct diag *d = row;
    (void)table;
    if (d->line > 0)
        buf_printf(cell, "%u", (unsigned)d->column);
}

static void get_level(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(diag_level_name(((const struct diag *)row)->level)));
}

static void get_rule(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(RULES[((const struct diag *)row)->rule].name));
}

static void get_message(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct diag *)row)->message));
}

static const struct table_column COLUMNS[] = {
    {"file", NULL, 0, get_file, NULL},     {"line", NULL, 0, get_line, NULL},
    {"column", NULL, 0, get_column, NULL}, {"level", NULL, 0, get_level, NULL},
    {"rule", NULL, 0, get_rule, NULL},     {"message", NULL, 0, get_message, NULL},
};

void report_tsv(const struct report *report, const struct diags *diags)
{
    struct table table = {.out = report->out,
                          .arena = report->arena,
                          .columns = COLUMNS,
                          .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
                          .tsv = true};
    table_begin(&table);
    for (size_t i = 0; i < diags->n; i++)
        if (is_shown(report, &diags->items[i]))
            table_row(&table, &diags->items[i]);
    table_end(&table);
}

static void get_name(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct rule_info *)row)->name));
}

static void get_rule_level(struct buf *cell, const void *row, const struct table *table)
{
    const struct diags *diags = table->context;
    size_t rule = (size_t)((const struct rule_info *)row - RULES);
    buf_add(cell, str_of(diag_level_name((enum diag_level)diags->level[rule])));
}

static void get_meaning(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct rule_info *)row)->meaning));
}

static void get_mend(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct rule_info *)row)->mend));
}

static void get_example(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct rule_info *)row)->example));
}

static const struct table_column RULE_COLUMNS[] = {
    {"rule", NULL, 0, get_name, NULL},       {"level", NULL, 0, get_rule_level, NULL},
    {"meaning", NULL, 0, get_meaning, NULL}, {"mend", NULL, 0, get_mend, NULL},
    {"example", NULL, 0, get_example, NULL},
};

static void write_rule(const struct report *report, const struct diags *diags, size_t rule)
{
    enum { INDENT = 4, WIDTH = 79 };
    const struct rule_info *info = &RULES[rule];
    const struct {
        const char *label, *text;
    } lines[] = {{"", info->meaning}, {"Mend: ", info->mend}, {"Like: ", info->example}};
    fprintf(report->out, "%s (%s)\n", info->name,
            diag_level_name((enum diag_level)diags->level[rule]));
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        if (lines[i].text[0] == '\0')
            continue;
        int written = fprintf(report->out, "%*s%s", INDENT, "", lines[i].label);
        table_wrap(report->out, (size_t)written, INDENT + strlen(lines[i].label), WIDTH,
                   str_of(lines[i].text));
    }
}

void report_rules(const struct report *report, const struct diags *diags, bool tsv)
{
    struct table table = {.out = report->out,
                          .arena = report->arena,
                          .columns = RULE_COLUMNS,
                          .column_count = sizeof RULE_COLUMNS / sizeof RULE_COLUMNS[0],
                          .tsv = true,
                          .context = diags};
    if (tsv)
        table_begin(&table);
    for (size_t rule = 0; rule < RULE_COUNT; rule++)
        if (tsv)
            table_row(&table, &RULES[rule]);
        else
            write_rule(report, diags, rule);
    if (tsv)
        table_end(&table);
}
