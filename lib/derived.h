/*
 * A reading with all that follows from it and from its batch: what gyle-readings shows, one row for
 * each reading, one table of columns.
 *
 * Figures off the end of a scale are in a column of their own, `censored`, and in TSV in no other:
 * nothing is computed from them.
 */
#ifndef GYLE_DERIVED_H
#define GYLE_DERIVED_H

#include "batch.h"
#include "cellar.h"
#include "corrected.h"
#include "limit.h"
#include "table.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What the rows of a batch share. */
struct derived_batch {
    const struct batch *batch;
    const struct cellar *cellar;
    double original_plato; /* NAN: not known */
    double bar_atmosphere;
    struct limit limit;
    double limit_plato; /* the middle of the limit, or the end that is known; NAN: none */
};

/* One reading. A figure that cannot be had is NAN. */
struct derived {
    const struct derived_batch *of;
    const struct reading *reading;
    bool is_wort; /* read before the yeast */
    double hours; /* since day zero */
    struct corrected gravity;
    double real_plato, abv_percent, adf_percent, rdf_percent;
    double co2_vol;  /* at rest at the tank's pressure and temperature */
    double progress; /* 0 at the original, 1 at the limit */
};

/* For a settled batch, as of now. bar_atmosphere: derived_atmosphere(). */
struct derived_batch derived_begin(const struct batch *batch, const struct cellar *cellar,
                                   double bar_atmosphere, int64_t now);

/* The air's pressure at the cellar's altitude, else at sea level. */
double derived_atmosphere(const struct cellar *cellar);

/* A reading of its batch's course. */
struct derived derived_of(const struct derived_batch *of, const struct reading *reading,
                          bool is_wort);

/* Every column; a row is a struct derived, the table's context the cellar. */
extern const struct table_column DERIVED_COLUMNS[];
extern const size_t DERIVED_COLUMN_COUNT;

/* Those that text shows unless told otherwise, as derived_choose() takes them. */
extern const char DERIVED_USUAL[];

struct derived_choice {
    const struct table_column *columns; /* in the arena */
    size_t count;
    struct str unknown;  /* the first name that is no column's; p == NULL: there is none */
    const char *nearest; /* what was perhaps meant by it, or NULL */
};

/* The columns of a list "batch,ph,sg", in its order. */
struct derived_choice derived_choose(struct arena *arena, struct str names);

#endif
