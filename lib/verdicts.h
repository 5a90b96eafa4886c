/*
 * The rows of gyle-finish-check: one for each batch and tank, holding copies of all it shows, so
 * that a file's memory can go once it is judged; and the list of columns.
 */
#ifndef GYLE_VERDICTS_H
#define GYLE_VERDICTS_H

#include "finish.h"
#include "next.h"
#include "table.h"

struct verdict_row {
    struct str batch, beer, tank; /* tank: "" when the beer has left all tanks */
    struct finish finish;         /* its figures; nothing that it points to */
    const char *reason;
    struct next next;
    const char *why; /* the paragraph of finish_explain(), or NULL */
    size_t place;    /* of the tank in the walk; SIZE_MAX when it is not there */
};

struct verdicts {
    struct arena *arena;
    LIST(struct verdict_row) rows;
    size_t capacity;
    size_t found; /* rows whose verdict says that something is wrong */
};

/* Judges every tank of a settled batch and adds a row for each. explain: with the paragraph.
 * Batches that have left all tanks only if asked for. */
void verdicts_add(struct verdicts *verdicts, const struct finish_context *context,
                  const struct batch *batch, bool explain, bool with_ended);

/* In the order of the walk; beer in no tank of it last, as it came. */
void verdicts_sort(struct verdicts *verdicts);

/* The columns; the table's context is the cellar. */
extern const struct table_column VERDICT_COLUMNS[];
extern const size_t VERDICT_COLUMN_COUNT;

#endif
