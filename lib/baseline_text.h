/*
 * Baselines as gyle-baseline shows them: TSV with a row for each figure, which baselines_read()
 * takes back; for people a few lines and a table by day for each beer.
 */
#ifndef GYLE_BASELINE_TEXT_H
#define GYLE_BASELINE_TEXT_H

#include "baseline.h"
#include "table.h"

#include <stdio.h>

/* What both need; width of a line of text. */
struct baseline_text {
    FILE *out;
    struct arena *arena;
    const struct cellar *cellar;
    size_t width;
};

/* Rows of every beer, a header row first. */
void baseline_text_tsv(const struct baseline_text *text, const struct baseline *const *beers,
                       size_t count);

/* One beer for people, in the units of the house. */
void baseline_text_beer(const struct baseline_text *text, const struct baseline *beer);

#endif
