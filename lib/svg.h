/*
 * The pieces of an SVG picture (W3C, Scalable Vector Graphics 1.1), written to a stream. Numbers
 * have two decimals; text is escaped so that any bytes give well-formed XML: controls, broken bytes
 * and what XML forbids are shown as str_escape() shows them. Errors are left for ferror().
 */
#ifndef GYLE_SVG_H
#define GYLE_SVG_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct svg {
    FILE *out;
    struct arena *arena;
};

/* Text between tags. */
void svg_characters(const struct svg *svg, struct str text);

/* <name>text</name>, such as a title or desc. */
void svg_element(const struct svg *svg, const char *name, struct str text);

/* A text whose baseline is at y. anchor: "start", "middle" or "end" of it is at x; class: of the
 * style sheet. */
void svg_text(const struct svg *svg, double x, double y, const char *anchor, const char *class,
              struct str text);

void svg_line(const struct svg *svg, double x0, double y0, double x1, double y1, const char *class);

void svg_rect(const struct svg *svg, double x, double y, double width, double height,
              const char *class);

/* A line through points: svg_path_begin(), svg_path_to() for each, the first one moves there, then
 * svg_path_end(). closed: back to the first. */
struct svg_path {
    const struct svg *svg;
    size_t points;
};
struct svg_path svg_path_begin(const struct svg *svg);
void svg_path_to(struct svg_path *path, double x, double y);
void svg_path_end(struct svg_path *path, bool closed, const char *class, const char *dashes);

/* A mark about a point. */
enum svg_mark {
    SVG_CIRCLE,
    SVG_DIAMOND,
    SVG_TRIANGLE,
    SVG_SQUARE,
    SVG_CROSS, /* always of lines */
    SVG_DOWN,  /* an arrow down from a bar: less than this */
    SVG_UP,    /* an arrow up from a bar: more than this */
    SVG_MARKS
};

/* tip: shown by programs that show such, and read to those who cannot see; empty: none. */
void svg_mark(const struct svg *svg, enum svg_mark mark, double x, double y, const char *class,
              struct str tip);

#endif
