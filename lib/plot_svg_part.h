/*
 * What the parts of a picture share: its measures, the look of each batch, where things lie. Used
 * by plot_svg*.c only.
 */
#ifndef GYLE_PLOT_SVG_PART_H
#define GYLE_PLOT_SVG_PART_H

#include "plot.h"
#include "svg.h"

#include <stdbool.h>
#include <stddef.h>

/* In the picture's units; a unit is a pixel where nothing scales it. */
#define PLOT_SVG_WIDTH  840.0
#define PLOT_SVG_LEFT   64.0
#define PLOT_SVG_RIGHT  118.0
#define PLOT_SVG_MARGIN 16.0
#define PLOT_SVG_LINE   20.0
#define PLOT_SVG_PANEL  (PLOT_SVG_WIDTH - PLOT_SVG_LEFT - PLOT_SVG_RIGHT) /* width of a panel */

/* Fonts are not known here: a character is taken to be so wide, which is more than most are. */
#define PLOT_SVG_CHARACTER 7.0

/* Of several batches each has its mark and its kind of line. */
struct plot_svg_style {
    enum svg_mark mark;
    const char *class;
    const char *dashes;
};
extern const struct plot_svg_style PLOT_SVG_STYLES[PLOT_MOST_BATCHES];

struct plot_svg_panel {
    int reads;
    double top, height;
    struct axis axis;
};

struct plot_svg_chart {
    struct svg svg;
    const struct plot *plot;
    struct plot_svg_panel panels[PLOT_QUANTITIES];
    int count;
    double top;    /* below the title */
    double bottom; /* of the panels */
    struct axis days;
};

double plot_svg_x(const struct plot_svg_chart *chart, double day);

/* A panel with all that it holds, and its name. */
void plot_svg_draw_panel(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel);

/* When a batch should end: from, the likeliest moment, to. */
void plot_svg_draw_span(const struct svg *svg, double from, double middle, double to, double y);

/* What letters and signs stand for, from y down; with draw not set it is measured. Returns where it
 * ends. */
double plot_svg_legend(const struct plot_svg_chart *chart, bool draw, double y);

#endif
