/*
 * The curve through a batch's gravity: one of the shapes of curve.h, chosen by how it fits, and its
 * band. Where three or more earlier batches of the beer are there, their curves say beforehand how
 * such a one goes, so that few readings are enough. Readings that are not judged by, and those of
 * the chilled tank, are left out; so is what came before extract was added. A curve that misses the
 * readings by more than they can err is not shown.
 */
#ifndef GYLE_PLOT_FIT_H
#define GYLE_PLOT_FIT_H

#include "plot.h"

/* Sets fit, from the first to the last reading that was fitted, or no_fit, of batch's gravity.
 * batch->zero must be set; list holds the beer's earlier batches. */
void plot_fit(struct plot_batch *batch, const struct history_list *list, struct arena *arena);

#endif
