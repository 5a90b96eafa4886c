/*
 * The points of a plot as TSV rows: readings, fitted curve, earlier batches, limits, forecast and
 * events, in the library's units.
 */
#ifndef GYLE_PLOT_TSV_H
#define GYLE_PLOT_TSV_H

#include "plot.h"

#include <stdio.h>

/* Writes the header row, then the rows of each batch. A limit has a row for its beginning and, if
 * it has one, its end. */
void plot_tsv_write(FILE *out, struct arena *arena, const struct plot *plot);

#endif
