#include "tsv.h"

#include <stdint.h>
#include <string.h>

struct tsv_reader tsv_reader_of(struct str text)
{
    text = str_cut(text, str_mark_length(text), text.n);
    return (struct tsv_reader){.rest = text, .line = 1, .column = 1};
}

/* Bytes of the line end at s: 0, 1, or 2 for CRLF. */
static size_t line_end(struct str s)
{
    if (s.n == 0 || (s.p[0] != '\n' && s.p[0] != '\r'))
        return 0;
    return s.n > 1 && s.p[0] == '\r' && s.p[1] == '\n' ? 2 : 1;
}

static bool ends_field(struct str s)
{
    return s.n == 0 || s.p[0] == '\t' || line_end(s) > 0;
}

static struct str from(struct str s, size_t i)
{
    return str_cut(s, i, s.n);
}

/* Bytes up to and with the closing quote of a cell that begins with one; 0: no quoted cell. */
static size_t quoted_length(struct str s)
{
    if (s.n < 2 || s.p[0] != '"')
        return 0;
    for (size_t i = 1; i < s.n && s.p[i] != '\t'; i++) {
        if (s.p[i] != '"')
            continue;
        if (ends_field(from(s, i + 1)))
            return i + 1;
        if (s.p[i + 1] != '"')
            return 0;
        i++;
    }
    return 0;
}

static size_t plain_length(struct str s)
{
    size_t i = 0;
    while (!ends_field(from(s, i)))
        i++;
    return i;
}

static int hex_digit(char c)
{
    return c >= '0' && c <= '9'   ? c - '0'
           : c >= 'a' && c <= 'f' ? c - 'a' + 10
           : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                  : -1;
}

/* The byte that the escape at s stands for, its length in *used; a lone backslash is itself. */
static char unescape(struct str s, size_t *used)
{
    static const struct {
        char letter, byte;
    } escapes[] = {{'t', '\t'}, {'n', '\n'}, {'r', '\r'}, {'\\', '\\'}};

    *used = 1;
    if (s.n < 2 || s.p[0] != '\\')
        return s.p[0];
    for (size_t i = 0; i < sizeof escapes / sizeof escapes[0]; i++) {
        if (s.p[1] == escapes[i].letter) {
            *used = 2;
            return escapes[i].byte;
        }
    }
    if (s.n >= 4 && s.p[1] == 'x' && hex_digit(s.p[2]) >= 0 && hex_digit(s.p[3]) >= 0) {
        *used = 4;
        return (char)(hex_digit(s.p[2]) * 16 + hex_digit(s.p[3]));
    }
    return s.p[0];
}

static bool holds(struct str s, char c)
{
    return s.n > 0 && memchr(s.p, c, s.n) != NULL;
}

static struct str decode(struct arena *arena, struct str s, bool quoted)
{
    if (!holds(s, '\\') && !(quoted && (holds(s, '"') || holds(s, '\r'))))
        return s;
    char *copy = arena_copy(arena, s.p, s.n);
    size_t n = 0;
    for (size_t i = 0, used = 0; i < s.n; i += used) {
        size_t end = line_end(from(s, i));
        if (end > 0) {
            copy[n++] = '\n';
            used = end;
            continue;
        }
        copy[n++] = unescape(from(s, i), &used);
        if (quoted && s.p[i] == '"')
            used = 2;
    }
    copy[n] = '\0';
    return (struct str){copy, n};
}

/* Moves over the next n bytes and keeps count of lines and columns. */
static void advance(struct tsv_reader *reader, size_t n)
{
    struct str s = str_cut(reader->rest, 0, n);
    for (size_t i = 0, used = 0; i < n; i += used) {
        used = line_end(from(s, i));
        if (used > 0) {
            reader->line++;
            reader->column = 1;
            continue;
        }
        str_char(s.p + i, s.n - i, &used);
        reader->column++;
    }
    reader->rest = from(reader->rest, n);
}

static struct tsv_field read_field(struct tsv_reader *reader, struct arena *arena)
{
    struct tsv_field field = {.line = reader->line, .column = reader->column};
    size_t length = quoted_length(reader->rest);
    bool quoted = length > 0;
    if (!quoted)
        length = plain_length(reader->rest);
    struct str raw = str_cut(reader->rest, quoted ? 1 : 0, quoted ? length - 1 : length);
    field.text = decode(arena, raw, quoted);
    advance(reader, length);
    return field;
}

static void read_row(struct tsv_reader *reader, struct arena *arena, struct tsv_row *row)
{
    size_t capacity = 0;
    struct str start = reader->rest;
    *row = (struct tsv_row){.line = reader->line};
    for (;;) {
        if (row->count == capacity)
            row->fields = arena_grow(arena, row->fields, &capacity, sizeof *row->fields);
        row->fields[row->count++] = read_field(reader, arena);
        if (reader->rest.n == 0 || reader->rest.p[0] != '\t')
            break;
        advance(reader, 1);
    }
    row->source = str_cut(start, 0, start.n - reader->rest.n);
    advance(reader, line_end(reader->rest));
}

static bool is_blank(const struct tsv_row *row)
{
    for (size_t i = 0; i < row->count; i++)
        if (str_trim(row->fields[i].text).n > 0)
            return false;
    return true;
}

bool tsv_read(struct tsv_reader *reader, struct arena *arena, struct tsv_row *row)
{
    while (reader->rest.n > 0) {
        size_t end = line_end(reader->rest);
        if (end > 0) {
            advance(reader, end);
            continue;
        }
        read_row(reader, arena, row);
        if (!is_blank(row))
            return true;
    }
    return false;
}

struct tsv_field tsv_at(const struct tsv_row *row, size_t i)
{
    if (i < row->count)
        return row->fields[i];
    struct tsv_field field = row->fields[row->count - 1];
    field.text = str_of("");
    return field;
}

size_t tsv_find(const struct tsv_row *header, const char *name)
{
    for (size_t i = 0; i < header->count; i++)
        if (str_is_nocase(str_trim(header->fields[i].text), name))
            return i;
    return SIZE_MAX;
}

static void write_escape(FILE *out, struct str bytes)
{
    for (size_t i = 0; i < bytes.n; i++) {
        char c = bytes.p[i];
        if (c == '\t' || c == '\n' || c == '\\')
            fprintf(out, "\\%c", c == '\t' ? 't' : c == '\n' ? 'n' : '\\');
        else
            fprintf(out, "\\x%02X", (unsigned char)c);
    }
}

/* True of text that stands in a field as it is, as nearly all does. */
static bool is_plain(struct str field)
{
    if (field.n > 0 && field.p[0] == '"')
        return false;
    for (size_t i = 0; i < field.n; i++)
        if (field.p[i] < ' ' || field.p[i] > '~' || field.p[i] == '\\')
            return false;
    return true;
}

void tsv_write(FILE *out, struct str field)
{
    if (field.n == 0)
        return;
    if (is_plain(field)) {
        fwrite(field.p, 1, field.n, out);
        return;
    }
    size_t written = 0; /* what lies before it is out; what follows up to i can go as it is */
    for (size_t i = 0, used = 0; i < field.n; i += used) {
        uint32_t code = str_char(field.p + i, field.n - i, &used);
        if (code != '\\' && !(code == '"' && i == 0) && !str_is_hidden(code))
            continue;
        fwrite(field.p + written, 1, i - written, out);
        write_escape(out, (struct str){field.p + i, used});
        written = i + used;
    }
    if (written < field.n)
        fwrite(field.p + written, 1, field.n - written, out);
}
