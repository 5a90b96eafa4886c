/*
 * A plot as a chart of characters: one panel above the other for each quantity, days below, events
 * as letters above, and a legend. One batch has a mark for each quantity; of several, each batch is
 * a letter.
 */
#ifndef GYLE_PLOT_TEXT_H
#define GYLE_PLOT_TEXT_H

#include "plot.h"

#include <stdio.h>

enum {
    PLOT_TEXT_WIDTH = 79,
    PLOT_TEXT_HEIGHT = 23 /* of 24 lines one is the shell's */
};

struct plot_text {
    FILE *out;
    struct arena *arena;
    bool ascii;
    long width, height; /* height is exceeded where the legend leaves too little for the panels */
};

/* Writes the chart of 1 to PLOT_MOST_BATCHES batches; a sentence where nothing was read. */
void plot_text_write(const struct plot_text *text, const struct plot *plot);

/* The same of each batch alone, one chart below the other. */
void plot_text_write_each(const struct plot_text *text, const struct plot *plot);

#endif
