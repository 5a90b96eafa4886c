/*
 * The month's volumes: for each batch what was there, what came, what went and what is left; the
 * stock by tank; the packages. For people three tables, for programs one list of rows whose volumes
 * are signed, so that those of a batch add up to nothing.
 *
 * No rates, no forms: what is declared, and how it is rounded, is for the authority's rules to say.
 */
#ifndef GYLE_MONTH_H
#define GYLE_MONTH_H

#include "cellar.h"
#include "ledger.h"
#include "shelf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

struct month {
    const struct cellar *cellar;
    struct arena *arena;
    int year, number;
    int64_t now, from, to; /* to is not included */
    bool is_whole;         /* it is over; else `to` is the moment after now */
    struct ledger *items;
    size_t n, capacity;
};

/* The month of now, or that of text ("2026-10"; NULL: of now). What is wrong with the text, or
 * NULL. */
const char *month_begin(struct month *month, struct arena *arena, const struct cellar *cellar,
                        const char *text, int64_t now);

/* Adds the batches asked for, but for those that had no volume in this month; what others took of
 * them is taken from the whole shelf. What does not add up goes to diags. */
void month_fill(struct month *month, const struct shelf *shelf, struct diags *diags);

void month_write(struct month *month, FILE *out, bool tsv);

#endif
