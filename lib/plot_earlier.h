/*
 * What earlier batches of a beer read on a day: their median, and the band that holds most of them.
 * Between two readings of a batch a straight line is taken, but not across more than
 * PLOT_EARLIER_GAP days, and not once its tank was chilled.
 */
#ifndef GYLE_PLOT_EARLIER_H
#define GYLE_PLOT_EARLIER_H

#include "plot.h"

#define PLOT_EARLIER_GAP 2.5

/* False where fewer than PLOT_EARLIER_FEWEST batches say anything, and for a quantity of which
 * nothing is kept. */
bool plot_earlier(const struct history_list *list, int reads, double day, struct arena *arena,
                  struct plot_point *point);

#endif
