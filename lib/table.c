#include "table.h"

#include "tsv.h"

#include <stdint.h>

enum { GAP = 2 }; /* blanks between two columns */

/* A column as text shows it. */
struct shown {
    size_t column;
    unsigned flags;
    size_t width, heading_width;
};

enum {
    READS_WELL = 24, /* columns that text at the end of a row must have to stay there */
    MOST_INDENT = 8, /* of text below a row */
};

/* What is shown of a table, and where. */
struct layout {
    struct shown *shown;
    size_t count;
    const struct shown *below; /* the column that stands below its row, or NULL */
};

/* Who gives way when a line is too wide, in turn, and down to which width. */
static const struct {
    unsigned flag;
    size_t least;
} YIELDING[] = {{TABLE_WRAP, 20}, {TABLE_SHRINK, 10}, {TABLE_WRAP, 14}};

static bool is_in(const struct table *table, size_t column)
{
    const struct table_column *it = &table->columns[column];
    return (table->tsv ? it->name : it->heading) != NULL;
}

static struct str make_title(struct table *table, size_t column)
{
    const struct table_column *it = &table->columns[column];
    table->cell.n = 0;
    buf_add(&table->cell, str_of(table->tsv ? it->name : it->heading));
    if (it->unit != NULL)
        it->unit(&table->cell, table);
    return buf_str(&table->cell);
}

static struct str make_cell(struct table *table, size_t column, const void *row)
{
    table->cell.n = 0;
    table->columns[column].get(&table->cell, row, table);
    return buf_str(&table->cell);
}

/* One line of TSV, or of cells kept for later; row == NULL stands for the titles. */
static void add_line(struct table *table, const void *row)
{
    bool first = true;
    for (size_t c = 0; c < table->column_count; c++) {
        struct str text = {"", 0};
        if (is_in(table, c))
            text = row == NULL ? make_title(table, c) : make_cell(table, c, row);
        if (!table->tsv) {
            if (table->cell_count == table->cell_capacity)
                table->cells = arena_grow(table->arena, table->cells, &table->cell_capacity,
                                          sizeof *table->cells);
            table->cells[table->cell_count++] = text.n == 0 ? text : str_copy(table->arena, text);
        } else if (is_in(table, c)) {
            if (!first)
                putc_unlocked('\t', table->out);
            if (text.n > 0)
                tsv_write(table->out, text);
            first = false;
        }
    }
    if (table->tsv)
        putc_unlocked('\n', table->out);
}

void table_begin(struct table *table)
{
    table->cell = buf_new(table->arena);
    table->cells = NULL;
    table->cell_count = table->cell_capacity = 0;
    add_line(table, NULL);
}

void table_row(struct table *table, const void *row)
{
    add_line(table, row);
}

/* A figure and its unit stay on one line, a day and its month too: no break behind a digit where a
 * word of at most four letters follows. */
static bool may_break_at(struct str text, size_t blank)
{
    enum { LONGEST_UNIT = 4 };
    size_t end = blank + 1;
    if (blank == 0 || text.p[blank - 1] < '0' || text.p[blank - 1] > '9')
        return true;
    while (end < text.n && text.p[end] != ' ')
        end++;
    bool word =
        end > blank + 1 && (text.p[blank + 1] | 0x20) >= 'a' && (text.p[blank + 1] | 0x20) <= 'z';
    return !word || end - blank - 1 > LONGEST_UNIT + 1; /* with a comma behind it */
}

/* Where to break a line that may reach up to `end`: at the last blank where it may be, else at the
 * last blank; 0: there is none. */
static size_t find_break(struct str text, size_t end)
{
    size_t blank = 0;
    for (; end > 0; end--) {
        if (text.p[end] != ' ')
            continue;
        if (may_break_at(text, end))
            return end;
        if (blank == 0)
            blank = end;
    }
    return blank;
}

/* Takes the next line of at most width columns off *rest, without the blanks where it is broken. */
static struct str take_line(struct str *rest, size_t width)
{
    struct str line = str_fit(*rest, width);
    size_t end = line.n;
    if (end < rest->n) {
        end = find_break(*rest, line.n);
        if (end == 0)
            end = line.n;
        if (end == 0)
            str_char(rest->p, rest->n, &end);
    }
    line = str_cut(*rest, 0, end);
    while (line.n > 0 && line.p[line.n - 1] == ' ')
        line.n--;
    while (end < rest->n && rest->p[end] == ' ')
        end++;
    *rest = str_cut(*rest, end, rest->n);
    return line;
}

static size_t line_count(const struct table *table)
{
    return table->cell_count / table->column_count;
}

static struct str cell_at(const struct table *table, size_t line, size_t column)
{
    return table->cells[line * table->column_count + column];
}

/* Sets *shown to how column c is shown before any gives way; false: it is not shown. */
static bool measure(const struct table *table, size_t c, struct shown *shown)
{
    bool has_value = false;
    *shown = (struct shown){.column = c, .flags = table->columns[c].flags};
    shown->heading_width = str_width(cell_at(table, 0, c));
    shown->width = shown->heading_width;
    for (size_t line = 1; line < line_count(table); line++) {
        size_t width = str_width(cell_at(table, line, c));
        has_value = has_value || width > 0;
        if (width > shown->width)
            shown->width = width;
    }
    return is_in(table, c) && (has_value || !(shown->flags & TABLE_OPTIONAL));
}

/* The widest column with the flag that is wider than least and its heading, or NULL. */
static struct shown *widest(struct shown *shown, size_t count, unsigned flag, size_t least)
{
    struct shown *found = NULL;
    for (size_t i = 0; i < count; i++)
        if ((shown[i].flags & flag) && shown[i].width > least &&
            shown[i].width > shown[i].heading_width &&
            (found == NULL || shown[i].width > found->width))
            found = &shown[i];
    return found;
}

static size_t total_width(const struct layout *layout)
{
    size_t total = 0;
    for (size_t i = 0; i < layout->count; i++)
        total += layout->shown[i].width + (i > 0 ? GAP : 0);
    return total;
}

/* The last column goes below the rows when it wraps and would be too narrow beside the others. */
static void set_below(struct layout *layout, size_t width)
{
    const struct shown *last = &layout->shown[layout->count - 1];
    if (layout->count < 2 || !(last->flags & TABLE_WRAP) || total_width(layout) <= width)
        return;
    size_t others = total_width(layout) - last->width;
    if (others + READS_WELL <= width)
        return;
    layout->below = last;
    layout->count--;
}

static void narrow(struct layout *layout, size_t width)
{
    for (size_t i = 0; i < layout->count; i++) {
        struct shown *it = &layout->shown[i];
        bool yields = (it->flags & (TABLE_WRAP | TABLE_SHRINK)) != 0;
        if (yields && it->width > width)
            it->width = it->heading_width > width ? it->heading_width : width;
    }
    size_t total = total_width(layout);
    for (size_t turn = 0; turn < sizeof YIELDING / sizeof YIELDING[0]; turn++) {
        while (total > width) {
            struct shown *it =
                widest(layout->shown, layout->count, YIELDING[turn].flag, YIELDING[turn].least);
            if (it == NULL)
                break;
            it->width--;
            total--;
        }
    }
}

/* Writes text into a field of width columns; *pending blanks wait for text that follows them. */
static void put(struct table *table, struct str text, const struct shown *shown, size_t *pending)
{
    table->cell.n = 0;
    str_escape(&table->cell, text, shown->width);
    size_t used = str_width(buf_str(&table->cell));
    size_t blanks = shown->width > used ? shown->width - used : 0;
    if (shown->flags & TABLE_RIGHT)
        *pending += blanks;
    if (used > 0) {
        fprintf(table->out, "%*s", (int)*pending, "");
        fwrite(table->cell.p, 1, table->cell.n, table->out);
        *pending = 0;
    }
    if (!(shown->flags & TABLE_RIGHT))
        *pending += blanks;
    *pending += GAP;
}

static void write_below(struct table *table, struct str text, const struct layout *layout)
{
    size_t indent = layout->shown[0].width + GAP;
    if (text.n > 0)
        table_wrap(table->out, 0, indent < MOST_INDENT ? indent : MOST_INDENT, table->width, text);
}

static void write_line(struct table *table, size_t line, const struct layout *layout)
{
    struct str *cells = &table->cells[line * table->column_count];
    bool more = true;
    while (more) {
        size_t pending = 0;
        more = false;
        for (size_t i = 0; i < layout->count; i++) {
            const struct shown *shown = &layout->shown[i];
            struct str *rest = &cells[shown->column], part = *rest;
            if (shown->flags & TABLE_WRAP)
                part = take_line(rest, shown->width);
            else
                *rest = (struct str){"", 0};
            more = more || rest->n > 0;
            put(table, part, shown, &pending);
        }
        putc('\n', table->out);
    }
    if (layout->below != NULL && line > 0)
        write_below(table, cells[layout->below->column], layout);
}

void table_end(struct table *table)
{
    if (table->tsv || line_count(table) < 2)
        return;
    struct layout layout = {
        .shown = arena_array(table->arena, table->column_count, sizeof *layout.shown)};
    for (size_t c = 0; c < table->column_count; c++)
        if (measure(table, c, &layout.shown[layout.count]))
            layout.count++;
    if (layout.count == 0)
        return;
    if (table->width > 0) {
        set_below(&layout, table->width);
        narrow(&layout, table->width);
    }
    for (size_t line = 0; line < line_count(table); line++)
        write_line(table, line, &layout);
}

/* Columns of the text before its first blank. */
static size_t first_word(struct str text)
{
    return str_width(str_split(&text, ' '));
}

void table_wrap(FILE *out, size_t at, size_t indent, size_t width, struct str text)
{
    bool under_way = true;
    while (under_way) {
        size_t start = at > indent ? at : indent;
        size_t room = width > start ? width - start : 1;
        bool keep_word = at > indent && first_word(text) > room;
        struct str line = keep_word ? str_of("") : take_line(&text, room);
        if (line.n > 0)
            fprintf(out, "%*s", (int)(start - at), "");
        str_write_escaped(out, line);
        putc('\n', out);
        at = 0;
        under_way = text.n > 0;
    }
}
