#include "report.h"

#include "str.h"
#include "table.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_OF_A_RULE = 25, MOST_LINES_NAMED = 4 };

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
    if (a->rule != b->rule)
        return a->rule < b->rule ? -1 : 1;
    int order = strcmp(a->message, b->message);
    if (order != 0)
        return order;
    return a < b ? -1 : a > b; /* they are sorted by place */
}

/* Folds the findings of one file that say the same. */
static void fold(const struct report *report, struct line *lines, size_t n)
{
    struct line **sorted = arena_array(report->arena, n, sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = &lines[i];
    if (n > 1)
        qsort(sorted, n, sizeof *sorted, compare_alike);
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

static void write_place(FILE *out, const struct diag *d)
{
    str_write_escaped(out, d->file);
    if (d->line > 0)
        fprintf(out, ":%u:%u", (unsigned)d->line, (unsigned)d->column);
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

static void write_line(const struct report *report, const struct line *line)
{
    const struct diag *d = line->diag;
    write_place(report->out, d);
    fprintf(report->out, ": %s: %s", diag_level_name(d->level), d->message);
    if (line->more > 0)
        write_others(report->out, line);
    fprintf(report->out, " [%s]\n", RULES[d->rule].name);
}

static void write_file(const struct report *report, struct line *lines, size_t n)
{
    size_t written[RULE_COUNT] = {0}, left_out[RULE_COUNT] = {0};
    fold(report, lines, n);
    for (size_t i = 0; i < n; i++) {
        enum rule rule = lines[i].diag->rule;
        if (lines[i].folded)
            continue;
        if (written[rule]++ < MOST_OF_A_RULE)
            write_line(report, &lines[i]);
        else
            left_out[rule]++;
    }
    for (size_t rule = 0; rule < RULE_COUNT; rule++) {
        if (left_out[rule] == 0)
            continue;
        str_write_escaped(report->out, lines[0].diag->file);
        fprintf(report->out, ": note: %zu more like these, -t lists them all [%s]\n",
                left_out[rule], RULES[rule].name);
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
