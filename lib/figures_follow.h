/*
 * What each figure follows from: one row for each way to a figure. Only figures.c and what it is
 * made of look in here; see figures.h.
 */
#ifndef GYLE_FIGURES_FOLLOW_H
#define GYLE_FIGURES_FOLLOW_H

#include "figures.h"

#include <stdbool.h>
#include <stddef.h>

#define FIGURES_MOST_NEEDS 8

/* Added to a need: the figure must have been given, not have followed itself. */
#define FIGURES_AS_GIVEN 1024

enum figures_rule {
    FIGURES_FERMENTED = 1, /* only where gravity is not above the original */
    FIGURES_QUIET = 2,     /* out of range it is left out without a word */
    FIGURES_MAY_FAIL = 4   /* `none` is a note, not a refusal */
};

struct figures_derivation {
    enum figures_id gives;
    unsigned rules;       /* enum figures_rule */
    const char *equation; /* its name in equations.h */
    double (*of)(const double *needs);
    int needs[FIGURES_MOST_NEEDS]; /* up to FIGURES_NONE */
    const char *none; /* what it means when there is no such figure; NULL: out of range */
};

extern const struct figures_derivation FIGURES_FOLLOW[];
extern const size_t FIGURES_FOLLOW_COUNT;

/* Where a derivation's needs are all there: the values, in order. */
bool figures_needs(const struct figures *set, const struct figures_derivation *by, double *needs);

#endif
