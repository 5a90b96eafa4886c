#include "csv.h"

#include <string.h>

struct csv_reader csv_reader_of(struct str text, char separator)
{
    text = str_cut(text, str_mark_length(text), text.n);
    return (struct csv_reader){text, 1, separator};
}

struct str csv_at(const struct csv_row *row, size_t i)
{
    return i < row->count ? row->fields[i] : STR("");
}

char csv_separator(struct str line)
{
    static const char MARKS[] = "\t;,";
    char best = '\0';
    size_t most = 0;
    for (size_t i = 0; MARKS[i] != '\0'; i++) {
        size_t n = 0;
        for (size_t k = 0; k < line.n; k++)
            n += line.p[k] == MARKS[i];
        if (n > most) {
            most = n;
            best = MARKS[i];
        }
    }
    return best;
}

static bool is_end(char c)
{
    return c == '\n' || c == '\r';
}

/* How long the row at the start of text is: to the first line end outside of quotes. A quote that
 * is never closed ends with its line. */
static size_t row_length(struct str text)
{
    bool quoted = false;
    size_t first_end = text.n;
    for (size_t i = 0; i < text.n; i++) {
        if (text.p[i] == '"')
            quoted = !quoted;
        if (!is_end(text.p[i]))
            continue;
        if (first_end == text.n)
            first_end = i;
        if (!quoted)
            return i;
    }
    return quoted ? first_end : text.n;
}

static size_t count_lines(struct str text)
{
    size_t n = 0;
    for (size_t i = 0; i < text.n; i++)
        n += text.p[i] == '\n' || (text.p[i] == '\r' && !(i + 1 < text.n && text.p[i + 1] == '\n'));
    return n;
}

/* Takes one field off *rest, as it stands. */
static struct str take_raw(struct str *rest, char separator)
{
    bool quoted = false;
    for (size_t i = 0; i < rest->n; i++) {
        if (rest->p[i] == '"')
            quoted = !quoted;
        if (rest->p[i] != separator || quoted)
            continue;
        struct str field = str_cut(*rest, 0, i);
        *rest = str_cut(*rest, i + 1, rest->n);
        return field;
    }
    struct str field = *rest;
    *rest = (struct str){NULL, 0};
    return field;
}

/* Without its quotes, "" as ". */
static struct str unquoted(struct arena *arena, struct str field)
{
    field = str_trim(field);
    if (field.n < 2 || field.p[0] != '"' || field.p[field.n - 1] != '"')
        return field;
    struct buf out = buf_new(arena);
    for (size_t i = 1; i + 1 < field.n; i++) {
        buf_char(&out, field.p[i]);
        if (field.p[i] == '"' && i + 2 < field.n && field.p[i + 1] == '"')
            i++;
    }
    return str_trim(buf_str(&out));
}

static void cut_row(struct arena *arena, struct csv_row *row, char separator)
{
    size_t capacity = 0;
    row->fields = NULL;
    row->count = 0;
    for (struct str rest = row->source; rest.p != NULL;) {
        if (row->count == capacity)
            row->fields = arena_grow(arena, row->fields, &capacity, sizeof *row->fields);
        row->fields[row->count++] = unquoted(arena, take_raw(&rest, separator));
    }
}

bool csv_read(struct csv_reader *reader, struct arena *arena, struct csv_row *row)
{
    while (reader->rest.n > 0) {
        size_t n = row_length(reader->rest);
        struct str line = str_cut(reader->rest, 0, n);
        size_t end = n;
        if (end < reader->rest.n)
            end += reader->rest.p[end] == '\r' && end + 1 < reader->rest.n &&
                           reader->rest.p[end + 1] == '\n'
                       ? 2
                       : 1;
        row->line = reader->line;
        reader->line += count_lines(str_cut(reader->rest, 0, end));
        reader->rest = str_cut(reader->rest, end, reader->rest.n);
        struct str text = str_trim(line);
        if (text.n == 0 || text.p[0] == '#')
            continue;
        row->source = line;
        cut_row(arena, row, reader->separator);
        return true;
    }
    return false;
}
