/*
 * An instrument's CSV file, read into entries as the cellar's imports: tell.
 *
 * Instruments write a row a minute; the book wants one an hour. Of each span of `every:` the last
 * sound value of each quantity is kept, at the time of the last row that had one. What was left
 * out is counted; but a pressure over what the tank is rated for is kept at its own time, the highest
 * of the span. The span that is not over yet is left for the next time, so that the same span
 * never gives two readings.
 */
#ifndef GYLE_IMPORT_H
#define GYLE_IMPORT_H

#include "typed.h"

struct import_count {
    size_t rows, kept;
    size_t thinned;      /* sound rows that are not the last of their span */
    size_t unsound;      /* rows without any figure that can be read */
    size_t unsound_line; /* the first of them */
    const char *unsound_why;
    size_t under_way; /* rows of the span that is not over */
    size_t empty;     /* rows of a time at which the tank was empty */
};

/* The import whose columns the first row of text has, or NULL. */
const struct cellar_import *import_find(const struct cellar *cellar, struct arena *arena,
                                        struct str text);

/* True for rows of numbers that are no sheet and no typed lines. */
bool import_is_csv(struct str text);

/* Reads a file. NULL, or why it cannot be read so at all: what is wrong in the import or missing in
 * the file. Rows whose time or tank cannot be read become refused entries, the first of each kind,
 * with their number. */
const char *import_read(struct arena *arena, const struct roster *roster,
                        const struct cellar_import *import, const struct source *source,
                        const char *zone_folder, int64_t now, struct entry_list *list,
                        struct import_count *count);

/* "1440 rows: 24 kept, 1410 thinned, ..." */
void import_describe(struct buf *out, const struct import_count *count);

#endif
