/*
 * The lines of a stream as they come, so that a filter answers each one before the next is typed.
 * The buffer has a fixed size: a line that is longer is an error, not a reason to grow.
 */
#ifndef GYLE_LINES_H
#define GYLE_LINES_H

#include "str.h"

#include <stdbool.h>
#include <stddef.h>

#define LINES_LONGEST 65536

enum lines_status {
    LINES_OK,
    LINES_TOO_LONG, /* text is its beginning; the rest is passed over */
    LINES_END,
    LINES_FAILED /* errno tells */
};

struct lines {
    int descriptor;
    size_t number; /* of the line last read, from 1 */
    size_t start, end;
    bool at_end, passing; /* passing: within a line that was too long */
    char buffer[LINES_LONGEST];
};

/* Begins to read an open descriptor. */
void lines_begin(struct lines *lines, int descriptor);

/* The next line without its LF or CRLF, as long as until the next call. A last line without an LF
 * counts. */
enum lines_status lines_next(struct lines *lines, struct str *text);

#endif
