/*
 * One list of columns shows a set of rows either as TSV, for programs, or as aligned text, for
 * people. A filter declares a const table of columns and hands its rows over one by one:
 *
 *     struct table table = {.out = out, .arena = arena, .columns = COLUMNS,
 *                           .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
 *                           .tsv = tsv, .width = 80, .context = cellar};
 *     table_begin(&table);
 *     for (...)
 *         table_row(&table, &row);
 *     table_end(&table);
 *
 * TSV is written as the rows come; text when all are there. Nothing reaches the output raw: see
 * tsv_write() and str_escape(). Errors of the output are left for ferror().
 */
#ifndef GYLE_TABLE_H
#define GYLE_TABLE_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct table;

/* What a column may do in text; TSV knows none of these. */
enum {
    TABLE_RIGHT = 1,    /* aligned at its right end: numbers */
    TABLE_SHRINK = 2,   /* cells may be cut, ending in "...", where the line is too wide */
    TABLE_WRAP = 4,     /* cells may go on below themselves, or below the row */
    TABLE_OPTIONAL = 8, /* left out where no row has a value */
};

struct table_column {
    const char *name;    /* in TSV, with its unit (gravity_P); NULL: not in TSV */
    const char *heading; /* in text; NULL: not in text */
    unsigned flags;

    /* Appends the row's value to the cell, which comes empty; no value: leave it so. Look at
     * table->tsv where the two differ, and at table->context for house units and the like. */
    void (*get)(struct buf *cell, const void *row, const struct table *table);

    /* Appends the unit to a name or a heading where it is known at run time only; or NULL. */
    void (*unit)(struct buf *title, const struct table *table);
};

struct table {
    FILE *out;
    struct arena *arena;
    const struct table_column *columns;
    size_t column_count;
    bool tsv;
    size_t width;        /* of a line of text, in terminal columns; 0: no limit */
    const void *context; /* for get and unit */

    /* The module's own; begin with zeros. */
    struct buf cell;
    struct str *cells; /* a line of titles, then the rows; every line has column_count cells */
    size_t cell_count, cell_capacity;
};

/* Writes the header row of TSV. */
void table_begin(struct table *table);

/* Shows a row, which need not live longer than the call. */
void table_row(struct table *table, const void *row);

/* Writes the text, a heading line first; nothing where there was no row. Where a line is too wide,
 * first a TABLE_WRAP column at its end takes what is left; if that is too little to read well, its
 * cells go into lines of their own below the row, without a heading. Then the other TABLE_WRAP
 * columns are narrowed, then the TABLE_SHRINK columns, none below its heading; a line that is still
 * too wide is written so. No line ends in blanks. */
void table_end(struct table *table);

/* Writes a paragraph and its line end. Lines are broken at blanks so that none is over width
 * columns, each begins with indent blanks; a word too long for a line is broken. `at` is how many
 * columns are written on the line already (a label): what is missing up to indent is filled. An
 * empty text writes the line end alone. */
void table_wrap(FILE *out, size_t at, size_t indent, size_t width, struct str text);

#endif
