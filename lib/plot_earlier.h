/*
 * What earlier batches of a beer read at a time since the pitch: the middle and the band of the
 * beer's baseline (baseline.h), between days straight from one to the next.
 */
#ifndef GYLE_PLOT_EARLIER_H
#define GYLE_PLOT_EARLIER_H

#include "baseline.h"
#include "plot.h"

/* False where too few batches say anything, and for a quantity of which nothing is kept. */
bool plot_earlier(const struct baseline *baseline, int reads, double day, struct plot_point *point);

#endif
