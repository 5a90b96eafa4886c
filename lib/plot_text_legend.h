/*
 * What the letters and signs of a chart of characters stand for: items that flow over lines, and a
 * line for each of several batches.
 */
#ifndef GYLE_PLOT_TEXT_LEGEND_H
#define GYLE_PLOT_TEXT_LEGEND_H

#include "plot_text.h"

struct plot_text_legend {
    struct str text; /* whole lines, of text->width columns at most */
    long lines;
};

/* Of a plot that has a reading to draw. */
struct plot_text_legend plot_text_legend(const struct plot_text *text, const struct plot *plot);

#endif
