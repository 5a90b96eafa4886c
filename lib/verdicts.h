/*
 * The rows of gyle-finish-check: one for each batch and tank, holding copies of all it shows, so
 * that a file's memory can go once it is judged; and the list of columns.
 */
#ifndef GYLE_VERDICTS_H
#define GYLE_VERDICTS_H

#include "baseline.h"
#include "finish.h"
#include "forecast.h"
#include "history.h"
#include "next.h"
#include "table.h"

struct verdict_row {
    struct str batch, beer, tank; /* tank: "" when the beer has left all tanks */
    struct finish finish;         /* its figures; nothing that it points to */
    const char *reason;
    struct next next;
    struct forecast forecast;
    const char *why;                 /* the paragraph of finish_explain(), or NULL */
    size_t place;                    /* of the tank in the walk; behind it when it is not there */
    const struct batch_course *open; /* to be judged again with the history; else NULL */
};

struct verdicts {
    struct arena *arena; /* of all that is shown */
    struct history *history;
    const struct baselines *baselines; /* to judge by instead of the history, or NULL */
    LIST(struct verdict_row) rows;
    size_t capacity;
    size_t open;     /* rows that are to be judged again */
    size_t found;    /* rows of beer still there whose verdict says that something is wrong */
    bool explain;    /* with the paragraph */
    bool with_ended; /* batches that have left all tanks too */
};

/* Judges every tank of a settled batch, adds a row for each that is to be shown, and keeps those
 * that are over in the history. True when a row stays open: then the batch's memory (and that of
 * context->arena) must stay until verdicts_close(). */
bool verdicts_add(struct verdicts *verdicts, const struct finish_context *context,
                  const struct batch *batch);

/* Judges the open rows again, now that the history is complete: a beer without a limit may have one
 * by its earlier batches, and there is a forecast. */
void verdicts_close(struct verdicts *verdicts, const struct finish_context *context);

/* In the order of the walk; beer in no tank of it last, as it came. */
void verdicts_sort(struct verdicts *verdicts);

/* The columns; the table's context is the cellar. */
extern const struct table_column VERDICT_COLUMNS[];
extern const size_t VERDICT_COLUMN_COUNT;

#endif
