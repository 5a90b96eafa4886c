/* One column of a published table as an array. For tests only. */
#ifndef GYLE_TESTS_SERIES_H
#define GYLE_TESTS_SERIES_H

#include "table.h"

/* The cells under `head` as numbers; each must be one. Free it with free(). */
static inline double *series_of(const struct table *table, const char *head)
{
    double *values = calloc(table->rows, sizeof *values);
    if (!values)
        fail_msg("%s: no memory", table->path);
    for (size_t row = 0; row < table->rows; row++) {
        values[row] = table_number(table, row, head);
        if (isnan(values[row]))
            fail_msg("%s:%zu: %s is no number", table->path, table->lines[row], head);
    }
    return values;
}

/* tests/reference/statistics/<kind>_<set>.tsv; its path is kept while no more than eight tables
 * are open. */
static inline struct table series_table(const char *kind, const char *set)
{
    static char paths[8][128];
    static size_t next;
    char *path = paths[next++ % 8];
    snprintf(path, sizeof paths[0], "tests/reference/statistics/%s_%s.tsv", kind, set);
    return table_read(path);
}

/* The row whose cell under `head` is `text`. */
static inline size_t series_row(const struct table *table, const char *head, const char *text)
{
    for (size_t row = 0; row < table->rows; row++) {
        if (strcmp(table_text(table, row, head), text) == 0)
            return row;
    }
    fail_msg("%s: no row %s", table->path, text);
    return 0;
}

#endif
