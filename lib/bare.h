/*
 * Figures without a unit: which quantities a row of them can mean.
 *
 * They stand in the order gravity, pH, temperature, pressure, some left out. Every way to give each
 * of them a quantity in that order is tried; only a row with exactly one way is taken, and a pH
 * only with two decimals, from 3.00 to 6.00, behind a gravity.
 */
#ifndef GYLE_BARE_H
#define GYLE_BARE_H

#include "batch.h"

enum { BARE_SLOTS = READS_PRESSURE + 1, BARE_MOST = 16 };

struct bare_item {
    struct figure figure; /* written, decimals, censor */
    int reads;            /* enum batch_reads when it is known, else -1 */
};

/* What can be, in this tank. */
struct bare_limits {
    const struct quantity_unit *house[BARE_SLOTS]; /* NULL: none */
    double most_plato, most_bar;
};

struct bare_result {
    int ways;                     /* in which the bare items can be read; more than 1: doubt */
    int doubtful;                 /* the first item with a doubt, or -1 */
    unsigned meanings[BARE_MOST]; /* of each item: a bit for each quantity it may be */
    int reads[BARE_MOST];         /* what each one is; holds when doubtful is -1 */
};

struct bare_result bare_assign(const struct bare_item *items, size_t n,
                               const struct bare_limits *limits);

#endif
