/*
 * A picture made of characters. Lines and shades are drawn as dots, eight to a character, four high
 * and two wide (the Braille patterns of Unicode); or, in plain ASCII, as one character a cell. Text
 * and marks cover what is drawn under them. Places are in cells from the upper left corner, with
 * fractions; what lies outside is not drawn.
 */
#ifndef GYLE_CANVAS_H
#define GYLE_CANVAS_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stdint.h>

/* What is drawn; where ASCII has room for one only, the later one stays. */
enum canvas_pen {
    CANVAS_NOTHING,
    CANVAS_SHADE, /* an area, in upright bars */
    CANVAS_EDGE,  /* the edge of a band */
    CANVAS_RULE,  /* a limit */
    CANVAS_LINE,  /* a curve */
    CANVAS_PENS
};

struct canvas_cell {
    uint32_t text; /* what covers the cell; 0: nothing */
    unsigned char dots;
    unsigned char pen; /* enum canvas_pen, the highest in the cell */
    bool high;         /* ASCII: the line goes through the upper half */
};

struct canvas {
    long columns, rows;
    bool ascii;
    struct canvas_cell *cells;
};

/* An empty one; columns and rows from 1 to CANVAS_MOST. */
enum { CANVAS_MOST = 1000 };
struct canvas canvas_new(struct arena *arena, long columns, long rows, bool ascii);

/* A straight line. Each pen has its own pattern, which goes by the place on the canvas, so that
 * pieces of one line join. */
void canvas_line(struct canvas *canvas, double x0, double y0, double x1, double y1,
                 enum canvas_pen pen);

/* Shades an area's column at x, from y0 down to y1. */
void canvas_shade(struct canvas *canvas, double x, double y0, double y1);

/* Covers a cell with a character (up to U+FFFF) that is one column wide. */
void canvas_put(struct canvas *canvas, long column, long row, uint32_t code);

/* Covers cells with text of one column a character, from a column on. */
void canvas_text(struct canvas *canvas, long column, long row, struct str text);

/* Is a cell covered? Beyond the edges, yes. */
bool canvas_is_covered(const struct canvas *canvas, long column, long row);

/* Appends a row without the blanks at its end, and a line end. */
void canvas_write_row(const struct canvas *canvas, long row, struct buf *buf);

#endif
