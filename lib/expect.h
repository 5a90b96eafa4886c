/*
 * What a reading should show today: the beer's limits where they apply at this stage; for what only
 * falls, no more than it showed last, and what the beer's earlier batches showed at this age.
 */
#ifndef GYLE_EXPECT_H
#define GYLE_EXPECT_H

#include "baseline.h"
#include "batch.h"
#include "cellar.h"
#include "limit.h"

#include <stdbool.h>

struct expect_case {
    const struct batch *batch;
    const struct cellar *cellar;
    const struct cellar_tank *tank; /* NULL: not declared */
    const struct limit *limit;      /* of the gravity */
    bool is_cold;                   /* it has been chilled */
    const struct baseline *usual;   /* what the beer's earlier batches read; NULL: too few */
    double hours;                   /* since day zero, of the reading to come */
};

/* Is the beer to be cold where it is? */
bool expect_is_to_be_cold(const struct expect_case *it);

/* The range of a quantity (enum batch_reads), after the last figure; state FIGURE_ABSENT where
 * nothing can be said. */
struct range expect_today(const struct expect_case *it, int reads, const struct figure *last);

/* A limit as a range in the house's unit. */
struct range expect_range_of_limit(const struct cellar *cellar, const struct limit *limit);

#endif
