/*
 * A plot as a picture: one SVG document that needs nothing else, with its own paper, so that it
 * reads on a light or a dark page, and in black and white, since nothing is told by colour alone.
 * Titles and descriptions are there for those who cannot see it.
 */
#ifndef GYLE_PLOT_SVG_H
#define GYLE_PLOT_SVG_H

#include "plot.h"

#include <stdio.h>

/* Writes one chart of all batches (together), of PLOT_MOST_BATCHES at most, or one of each, one
 * below the other. A batch without readings is a sentence. */
void plot_svg_write(FILE *out, struct arena *arena, const struct plot *plot, bool together);

#endif
