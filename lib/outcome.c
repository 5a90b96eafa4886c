#include "outcome.h"

#include "table.h"

#include <string.h>

static const char *const STATES[] = {
    [ENTRY_WAITING] = "waiting", [ENTRY_TAKEN] = "would add", [ENTRY_ADDED] = "added",
    [ENTRY_THERE] = "there",     [ENTRY_REFUSED] = "refused", [ENTRY_FAILED] = "failed",
    [ENTRY_LEFT] = "left out",
};

/* One word for what happened: "added", "there", "refused"; "would add" in a dry run. */
static const char *state_of(const struct entry *entry)
{
    return STATES[entry->state];
}

static bool is_bad(const struct entry *entry)
{
    return entry->state == ENTRY_REFUSED || entry->state == ENTRY_FAILED ||
           entry->state == ENTRY_LEFT;
}

enum { LABEL = 10 };

static void write_label(FILE *out, const char *label)
{
    fprintf(out, "%-*s", LABEL, label);
}

/* Pieces are kept whole where they fit into a line; those that do not are wrapped. */
static void write_pieces(FILE *out, const struct str *pieces, size_t n, size_t width)
{
    size_t at = LABEL;
    for (size_t i = 0; i < n; i++) {
        size_t wide = str_width(pieces[i]);
        if (i > 0 && at + 2 + wide > width) {
            fprintf(out, "\n%*s", LABEL - 2, "");
            at = LABEL - 2;
        }
        if (i > 0) {
            fputs("  ", out);
            at += 2;
        }
        if (at + wide > width) {
            table_wrap(out, at, LABEL, width, pieces[i]);
            if (i + 1 == n)
                return;
            fprintf(out, "%*s", LABEL - 2, "");
            at = LABEL - 2;
        } else {
            fwrite(pieces[i].p, 1, pieces[i].n, out);
            at += wide;
        }
    }
    fputc('\n', out);
}

static void write_input(FILE *out, struct arena *arena, const struct entry *entry, size_t width)
{
    struct buf text = buf_new(arena);
    buf_printf(&text, "line %zu: " STR_FMT, entry->line, STR_ARG(str_trim(entry->text)));
    table_wrap(out, LABEL, LABEL, width, buf_str(&text));
}

struct str outcome_line(struct arena *arena, const struct entry *entry,
                        const struct civil_zone *zone)
{
    struct str pieces[ENTRY_MOST_PAIRS + 3];
    struct buf line = buf_new(arena);
    size_t n = entry_pieces(arena, entry, zone, pieces);
    for (size_t i = 0; i < n; i++)
        buf_printf(&line, "%s" STR_FMT, i > 0 ? "  " : "", STR_ARG(pieces[i]));
    return buf_str(&line);
}

void outcome_entry(FILE *out, struct arena *arena, const struct entry *entry,
                   const struct civil_zone *zone, size_t width)
{
    struct str pieces[ENTRY_MOST_PAIRS + 3];
    write_label(out, state_of(entry));
    if (is_bad(entry))
        write_input(out, arena, entry, width);
    else
        write_pieces(out, pieces, entry_pieces(arena, entry, zone, pieces), width);
    if (entry->reason != NULL) {
        write_label(out, "");
        table_wrap(out, LABEL, LABEL, width, str_of(entry->reason));
    }
    for (const struct entry_remark *r = entry->remarks; r != NULL && !is_bad(entry); r = r->next) {
        struct buf text = buf_new(arena);
        buf_printf(&text, "%s%s", r->unlikely ? "unlikely: " : "", r->text);
        write_label(out, "");
        table_wrap(out, LABEL, LABEL, width, buf_str(&text));
    }
}

static size_t count(const struct entry_list *list, enum entry_state state)
{
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++)
        n += list->items[i]->state == state;
    return n;
}

bool outcome_has_refused(const struct entry_list *list)
{
    return count(list, ENTRY_REFUSED) > 0;
}

void outcome_text(FILE *out, struct arena *arena, const struct entry_list *list,
                  const struct civil_zone *zone, size_t width)
{
    static const struct {
        enum entry_state state;
        const char *words;
    } COUNTS[] = {{ENTRY_ADDED, "added"},         {ENTRY_TAKEN, "would be added"},
                  {ENTRY_THERE, "already there"}, {ENTRY_REFUSED, "refused"},
                  {ENTRY_FAILED, "not written"},  {ENTRY_LEFT, "left out"}};
    const char *separator = "";
    for (size_t i = 0; i < list->n; i++)
        outcome_entry(out, arena, list->items[i], zone, width);
    for (size_t i = 0; i < sizeof COUNTS / sizeof COUNTS[0]; i++) {
        size_t n = count(list, COUNTS[i].state);
        if (n == 0)
            continue;
        fprintf(out, "%s%zu %s", separator, n, COUNTS[i].words);
        separator = ", ";
    }
    fprintf(out, "%s\n", list->n == 0 ? "nothing to add" : "");
}

/* TSV */

static const struct entry *entry_of(const void *row)
{
    return row;
}

static void get_line(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%zu", entry_of(row)->line);
}

static void get_state(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", state_of(row));
}

static void get_at(struct buf *cell, const void *row, const struct table *table)
{
    char text[CIVIL_TEXT_SIZE];
    if (entry_of(row)->timed)
        buf_printf(cell, "%s", civil_rfc3339(table->context, entry_of(row)->at, text));
}

static void get_tank(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, entry_of(row)->tank);
}

static void get_batch(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, entry_of(row)->batch);
}

static void get_kind(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", ENTRY_FORMS[entry_of(row)->kind].what);
}

static void get_what(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    for (size_t i = 0; i < entry_of(row)->n; i++)
        buf_printf(cell, "%s%s: " STR_FMT, i > 0 ? ", " : "", entry_of(row)->pairs[i].key,
                   STR_ARG(entry_of(row)->pairs[i].value));
}

static void get_file(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_printf(cell, "%s", entry_of(row)->path);
}

static void get_reason(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    if (entry_of(row)->reason != NULL)
        buf_printf(cell, "%s", entry_of(row)->reason);
}

static void get_remarks(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    for (const struct entry_remark *r = entry_of(row)->remarks; r != NULL; r = r->next)
        buf_printf(cell, "%s%s%s", cell->n > 0 ? "; " : "", r->unlikely ? "unlikely: " : "",
                   r->text);
}

static void get_text(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_trim(entry_of(row)->text));
}

static const struct table_column COLUMNS[] = {
    {"line", NULL, 0, get_line, NULL},     {"state", NULL, 0, get_state, NULL},
    {"kind", NULL, 0, get_kind, NULL},     {"tank", NULL, 0, get_tank, NULL},
    {"batch", NULL, 0, get_batch, NULL},   {"at", NULL, 0, get_at, NULL},
    {"what", NULL, 0, get_what, NULL},     {"file", NULL, 0, get_file, NULL},
    {"reason", NULL, 0, get_reason, NULL}, {"remarks", NULL, 0, get_remarks, NULL},
    {"text", NULL, 0, get_text, NULL},
};

void outcome_tsv(FILE *out, struct arena *arena, const struct entry_list *list,
                 const struct civil_zone *zone)
{
    struct table table = {.out = out,
                          .arena = arena,
                          .columns = COLUMNS,
                          .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
                          .tsv = true,
                          .context = zone};
    table_begin(&table);
    for (size_t i = 0; i < list->n; i++)
        table_row(&table, list->items[i]);
    table_end(&table);
}

/* What must stand before a line: nothing, all, or what came since the one before. */
static struct str new_context(struct str before, struct str now)
{
    if (now.n >= before.n && memcmp(now.p, before.p, before.n) == 0)
        return str_cut(now, before.n, now.n);
    return now;
}

struct str outcome_rejects(struct arena *arena, const struct entry_list *list)
{
    struct buf out = buf_new(arena);
    struct str context = STR("");
    for (size_t i = 0; i < list->n; i++) {
        const struct entry *entry = list->items[i];
        if (!is_bad(entry))
            continue;
        buf_add(&out, new_context(context, entry->context));
        context = entry->context;
        buf_printf(&out, "# %s: %s\n", state_of(entry), entry->reason == NULL ? "" : entry->reason);
        buf_add(&out, entry->text);
        while (out.n > 0 && (out.p[out.n - 1] == '\r' || out.p[out.n - 1] == '\n'))
            out.n--;
        buf_char(&out, '\n');
    }
    return buf_str(&out);
}
