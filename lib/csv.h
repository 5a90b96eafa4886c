/*
 * Comma-separated values as instruments write them: rows of fields, cut at a separator, a field in
 * double quotes where it holds one. Read with favour: a byte order mark, CRLF or CR line ends.
 */
#ifndef GYLE_CSV_H
#define GYLE_CSV_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

struct csv_reader {
    struct str rest;
    size_t line; /* of the next row, from 1 */
    char separator;
};

struct csv_row {
    struct str *fields; /* blanks around them cut off, quotes taken away */
    size_t count;
    size_t line;
    struct str source; /* as it stands, without its line end */
};

/* Begins to read text, which must outlive the rows. */
struct csv_reader csv_reader_of(struct str text, char separator);

/* The next row, in memory of the arena; false at the end. Empty lines and lines that begin with #
 * are passed over. A quoted field may hold line ends. */
bool csv_read(struct csv_reader *reader, struct arena *arena, struct csv_row *row);

/* Field i of the row; beyond its end an empty one. */
struct str csv_at(const struct csv_row *row, size_t i);

/* The separator of a line: the one of tab, semicolon and comma that it has most of; '\0' when it
 * has none. */
char csv_separator(struct str line);

#endif
