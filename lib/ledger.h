/*
 * Where the volume went: each batch's postings from the fermenter to the package. What goes in is
 * positive, what goes out negative, and what is left when a tank is emptied is posted as lost; so
 * the postings of a batch whose tanks are all empty add up to nothing.
 *
 * Volumes are those that were written (fermenter, brews, blends, krausen, moves, tank entries,
 * packages, dumps); beer shrinks by some 0.2 % when it is chilled (volumes.h), which is within them
 * and counts as lost.
 */
#ifndef GYLE_LEDGER_H
#define GYLE_LEDGER_H

#include "arena.h"
#include "batch.h"
#include "diag.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum ledger_step {
    LEDGER_OPENING, /* only in sums: what was there before */
    LEDGER_BREWED,
    LEDGER_MOVED,    /* between two of its tanks: adds up to nothing */
    LEDGER_RECEIVED, /* krausen, or parts of a blend */
    LEDGER_GIVEN,    /* to other batches */
    LEDGER_PACKAGED,
    LEDGER_DUMPED, /* yeast and trub, where a volume was written */
    LEDGER_DISCARDED,
    LEDGER_LOST_MOVING,
    LEDGER_LOST_PACKAGING,
    LEDGER_LOST, /* at any other end of a tank */
    LEDGER_CLOSING,
    LEDGER_STEPS
};
extern const char *const LEDGER_STEP[LEDGER_STEPS]; /* "lost moving" */

struct ledger_posting {
    int64_t at;
    enum ledger_step step;
    struct str tank;
    double hl;
    const struct batch_event *event; /* of LEDGER_PACKAGED; else NULL */
};

/* Beer that another batch took. */
struct ledger_draw {
    struct str from; /* number of the batch it was taken from */
    struct str by;
    int64_t at;
    double hl;
};
struct ledger_draws {
    struct ledger_draw *items;
    size_t n, capacity;
};

/* Adds what a settled batch took of others (of:, krausen) to the list. Names are copied. */
void ledger_add_draws(struct ledger_draws *draws, struct arena *arena, const struct batch *batch);

struct ledger {
    const struct batch *batch;
    struct ledger_posting *items; /* by time */
    size_t n, capacity;
    bool is_known; /* false: no volume was written that it begins with, so nothing adds up */
    double kg_in;  /* extract in the wort, with what was added; NAN: no original */
    double plato;  /* of the wort, with what was added; NAN */
};

/* The postings of a settled batch up to the moment that it was settled for. More out than in, or a
 * volume that is missing, is reported as RULE_ADDS_UP, a warning. Lives as long as the arena. */
struct ledger ledger_of(const struct batch *batch, const struct ledger_draws *draws,
                        struct arena *arena, struct diags *diags, int64_t now);

/* The sum of one step's postings from..to (to not included). LEDGER_OPENING: of all postings before
 * from; LEDGER_CLOSING: the negative of all before to, so that the steps add up to nothing. Both
 * are 0 for a batch that is not known. */
double ledger_sum(const struct ledger *ledger, enum ledger_step step, int64_t from, int64_t to);

/* What is in a tank before a moment; 0 for a batch that is not known. */
double ledger_stock(const struct ledger *ledger, struct str tank, int64_t before);

/* The share of the extract that was packaged, %; NAN where unknown, still under way, or nothing was
 * packaged. */
double ledger_yield_percent(const struct ledger *ledger);

#endif
