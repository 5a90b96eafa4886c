/*
 * A reader of the published tables (*.tsv): '#' comment lines, one header row, named columns,
 * cells that are numbers or text. For tests only: anything wrong with a file fails the test,
 * with its name and line.
 *
 *     struct table table = table_read("tests/reference/water_density.tsv");
 *     for (size_t row = 0; row < table.rows; row++)
 *         check(table_number(&table, row, "t_C"), table_text(&table, row, "kind"));
 *     table_free(&table);
 */
#ifndef GYLE_TESTS_TABLE_H
#define GYLE_TESTS_TABLE_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct table {
    const char *path;
    char *text;    /* the file, cut into cells */
    char **heads;  /* columns of them */
    char **cells;  /* rows x columns, row by row */
    size_t *lines; /* where each row stands in the file, from 1 */
    size_t columns;
    size_t rows;
};

static inline char *table_load(const char *path)
{
    FILE *file = fopen(path, "r");
    if (!file)
        fail_msg("%s: cannot be opened (tests run from the repository's root)", path);
    size_t room = 1 << 16, used = 0, got;
    char *text = malloc(room);
    while (text && (got = fread(text + used, 1, room - used - 1, file)) > 0) {
        used += got;
        if (room - used < 2)
            text = realloc(text, room *= 2);
    }
    if (!text || ferror(file))
        fail_msg("%s: cannot be read", path);
    fclose(file);
    text[used] = '\0';
    return text;
}

/* Cuts one line at its tabs; gives the number of cells, of which the first `most` are kept. */
static inline size_t table_cut(char *line, char **cells, size_t most)
{
    size_t count = 0;
    for (char *cell = line; cell; count++) {
        char *tab = strchr(cell, '\t');
        if (tab)
            *tab++ = '\0';
        if (count < most)
            cells[count] = cell;
        cell = tab;
    }
    return count;
}

/* The whole file; free it with table_free. A row with more or fewer cells than heads fails. */
static inline struct table table_read(const char *path)
{
    struct table table = {.path = path, .text = table_load(path)};
    size_t most = 1, number = 0;
    for (const char *c = table.text; *c; c++)
        most += *c == '\n';
    table.lines = calloc(most, sizeof *table.lines);
    if (!table.lines)
        fail_msg("%s: no memory", path);
    for (char *line = table.text, *next; line && *line; line = next) {
        number++;
        if ((next = strchr(line, '\n')))
            *next++ = '\0';
        if (*line == '#' || *line == '\0')
            continue;
        if (!table.heads) {
            for (const char *c = line; *c; c++)
                table.columns += *c == '\t';
            table.columns++;
            table.heads = calloc(table.columns, sizeof *table.heads);
            table.cells = calloc(most * table.columns, sizeof *table.cells);
            if (!table.heads || !table.cells)
                fail_msg("%s: no memory", path);
            table_cut(line, table.heads, table.columns);
            continue;
        }
        size_t count = table_cut(line, table.cells + table.rows * table.columns, table.columns);
        if (count != table.columns)
            fail_msg("%s:%zu: %zu cells under %zu heads", path, number, count, table.columns);
        table.lines[table.rows++] = number;
    }
    if (!table.rows)
        fail_msg("%s: no rows", path);
    return table;
}

static inline void table_free(struct table *table)
{
    free(table->text);
    free(table->heads);
    free(table->cells);
    free(table->lines);
    *table = (struct table){0};
}

/* The cell under `head`; a head that is not there fails the test. */
static inline const char *table_text(const struct table *table, size_t row, const char *head)
{
    for (size_t column = 0; column < table->columns; column++)
        if (strcmp(table->heads[column], head) == 0)
            return table->cells[row * table->columns + column];
    fail_msg("%s: no column %s", table->path, head);
    return NULL;
}

/* The cell as a number; NAN where it is empty or something else. */
static inline double table_number(const struct table *table, size_t row, const char *head)
{
    const char *text = table_text(table, row, head);
    char *end;
    double value = strtod(text, &end);
    return end == text || *end ? NAN : value;
}

/* Half of the last digit as printed: 0.005 for "4.01", 0.05 for "997.3", 0.5 for "12". */
static inline double table_half_digit(const char *text)
{
    const char *point = strchr(text, '.');
    return point ? 0.5 * pow(10, -(double)strspn(point + 1, "0123456789")) : 0.5;
}

#endif
