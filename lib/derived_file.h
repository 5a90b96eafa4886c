/*
 * The readings of a batch file as rows of a table, one file at a time, so that a book of any size
 * takes the memory of one file.
 */
#ifndef GYLE_DERIVED_FILE_H
#define GYLE_DERIVED_FILE_H

#include "book.h"
#include "table.h"

#include <stddef.h>
#include <stdint.h>

struct derived_files {
    const struct book *book;
    struct arena *arena; /* of one file; reset after each */
    struct table *table; /* of DERIVED_COLUMNS */
    int64_t now;
    struct book_left_out left_out;
};

/* A row for each reading of the file; a batch with errors is left out. What is wrong goes to the
 * book's diags. */
void derived_file(struct derived_files *files, const char *path);

#endif
