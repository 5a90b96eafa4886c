/*
 * Tab-separated values: rows of fields, one a line, the first row naming the columns. In a field
 * tab, newline and backslash stand as \t \n \\, other control characters as \xNN. Read with favour:
 * a byte order mark, CRLF or CR line ends, and cells in double quotes as a spreadsheet writes them
 * are accepted. Each field keeps its place for messages.
 */
#ifndef GYLE_TSV_H
#define GYLE_TSV_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct tsv_field {
    struct str text;     /* decoded; it lies in the input where nothing had to be decoded */
    size_t line, column; /* where it begins; both from 1, columns in characters */
};

struct tsv_row {
    struct tsv_field *fields;
    size_t count;      /* at least 1 */
    size_t line;       /* where it begins, from 1 */
    struct str source; /* as it stands in the input, without its line end */
};

struct tsv_reader {
    struct str rest;
    size_t line, column;
};

/* Begins to read text, which must outlive the rows. */
struct tsv_reader tsv_reader_of(struct str text);

/* The next row, in memory of the arena; false at the end. Lines without any text in any field are
 * passed over. Blanks around a field are kept.
 *
 * A field that begins with " is a quoted cell when its closing " stands before a TAB, a line end or
 * the end: then "" is ", and it may hold line ends (as LF), but no TAB. Any other field is taken as
 * it stands. Both kinds have \t \n \r \\ \xNN decoded; a backslash before anything else is kept. */
bool tsv_read(struct tsv_reader *reader, struct arena *arena, struct tsv_row *row);

/* Field i of the row; beyond its end an empty one whose place is that of the last field. */
struct tsv_field tsv_at(const struct tsv_row *row, size_t i);

/* The number of the column whose name is this, blanks around it and the case of ASCII letters
 * ignored; SIZE_MAX when there is none. */
size_t tsv_find(const struct tsv_row *header, const char *name);

/* Writes one field, without TAB or line end, so that tsv_read() gives back every byte. Besides
 * control characters, marks that reorder text, broken bytes and a " at the start are written as
 * \xNN, byte by byte. Errors are left for ferror(). */
void tsv_write(FILE *out, struct str field);

#endif
