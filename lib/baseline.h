/*
 * What a beer normally does: from its finished batches, the middle, the spread and a band for each
 * figure by the day, by the share of the extract that is gone, and for the whole. The middle is the
 * median and the spread Rousseeuw and Croux's Qn, which one odd batch cannot move; the band holds
 * 9 of 10 batches with a confidence of 0.9, as far as so few batches can promise it (interval.h).
 *
 * Batches that are unlike the rest are left out first: those whose end, half time or end time has a
 * modified z above 3.5 (Iglewicz and Hoaglin 1993). With fewer than five batches none is, nor where
 * half of them or more would be.
 */
#ifndef GYLE_BASELINE_H
#define GYLE_BASELINE_H

#include "history.h"

#include <stdbool.h>

enum baseline_by {
    BASELINE_WHOLE,    /* one figure a batch; at is 0 */
    BASELINE_PROGRESS, /* at: % of the extract that is gone: by tens, and 95 and 98 */
    BASELINE_DAY       /* at: days since day zero, each 24 h */
};
extern const char *const BASELINE_BYS[]; /* "whole", "progress", "day" */

enum baseline_figure {
    BASELINE_ORIGINAL, /* P */
    BASELINE_END,      /* P */
    BASELINE_ADF,      /* % */
    BASELINE_ABV,      /* % */
    BASELINE_LAG,      /* h until 5 % are gone */
    BASELINE_HALF,     /* h until half is gone */
    BASELINE_END_TIME, /* h until it is within 0.1 P of its end */
    BASELINE_STEADY,   /* h until its days of the same gravity are enough */
    BASELINE_HOURS,    /* h, by progress */
    BASELINE_LEFT,     /* h from there to the end, by progress */
    BASELINE_GRAVITY,  /* P, by day */
    BASELINE_PH,       /* by progress and by day, warm beer only */
    BASELINE_TEMP,     /* C, the same */
    BASELINE_FIGURES
};
struct baseline_figure_info {
    const char *name; /* in TSV, with its unit: "end_P" */
    double step;      /* the spread is never less than what this step of a scale gives */
    int decimals;
};
extern const struct baseline_figure_info BASELINE_FIGURE[BASELINE_FIGURES];

struct baseline_row {
    enum baseline_by by;
    enum baseline_figure figure;
    double at;
    size_t n; /* batches that have this figure */
    double median;
    double spread;    /* NAN for one batch */
    double low, high; /* NAN for fewer than HISTORY_FEWEST batches */
};

struct baseline {
    struct str beer;
    int yeast; /* enum yeast_kind */
    size_t batches;
    LIST(const struct history_batch *) left_out;
    LIST(struct baseline_row) rows; /* by `by`, figure, at */
    size_t capacity;
};

/* Of one beer's batches; the list is not empty. The outcome lives in arena. */
struct baseline baseline_of(const struct history_list *list, struct arena *arena);

/* Where less is asked for, most of that work is not needed. What a course up to an age is held
 * against, in hours since day zero: the whole, pH by progress, gravity and pH by the days to then;
 * and what one moment is: gravity and pH of the days about it. */
struct baseline baseline_until(const struct history_list *list, double hours, struct arena *arena);
struct baseline baseline_at_age(const struct history_list *list, double hours, struct arena *arena);

/* The row, or NULL. */
const struct baseline_row *baseline_row(const struct baseline *baseline, enum baseline_by by,
                                        enum baseline_figure figure, double at);

/* A figure by day at an hour between days, straight from one day's row to the next. False where
 * there is none on both sides. Band ends are NAN where a row has none. */
bool baseline_at(const struct baseline *baseline, enum baseline_figure figure, double hours,
                 struct baseline_row *row);

/* Baselines of a book, by beer. */
struct baselines {
    struct arena *arena;
    LIST(struct baseline) beers; /* in the order of their names */
    size_t capacity;
};

/* Of every beer in the history. */
struct baselines baselines_of(const struct history *history, struct arena *arena);

/* Of a beer, or NULL. */
const struct baseline *baselines_find(const struct baselines *baselines, struct str beer);

/* Reads what gyle-baseline -t wrote. False, with *line and *why, when it is not that. Left out
 * batches are not read back. */
bool baselines_read(struct baselines *baselines, struct str text, const struct cellar *cellar,
                    size_t *line, const char **why);

/* What baselines say of a beer as batches of the history, as many as it stands on and as far apart
 * as its spread tells, and as a limit: for judging without the book's earlier batches. */
void baselines_into_history(const struct baselines *baselines, struct history *history);
struct limit_baseline baseline_limit(const struct baseline *baseline);

#endif
