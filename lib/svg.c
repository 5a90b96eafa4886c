#include "svg.h"

/* What XML 1.0 forbids, and str_escape() lets pass. */
static bool is_forbidden(uint32_t code)
{
    return (code & 0xfffe) == 0xfffe;
}

void svg_characters(const struct svg *svg, struct str text)
{
    struct buf shown = buf_new(svg->arena);
    str_escape(&shown, text, 0);
    for (size_t i = 0, used; i < shown.n; i += used) {
        uint32_t code = str_char(shown.p + i, shown.n - i, &used);
        if (code == '<')
            fputs("&lt;", svg->out);
        else if (code == '>')
            fputs("&gt;", svg->out);
        else if (code == '&')
            fputs("&amp;", svg->out);
        else if (is_forbidden(code))
            fprintf(svg->out, "\\u%04lX", (unsigned long)code);
        else
            fwrite(shown.p + i, 1, used, svg->out);
    }
}

void svg_element(const struct svg *svg, const char *name, struct str text)
{
    fprintf(svg->out, "<%s>", name);
    svg_characters(svg, text);
    fprintf(svg->out, "</%s>\n", name);
}

void svg_text(const struct svg *svg, double x, double y, const char *anchor, const char *class,
              struct str text)
{
    fprintf(svg->out, "<text x=\"%.2f\" y=\"%.2f\" text-anchor=\"%s\" class=\"%s\">", x, y, anchor,
            class);
    svg_characters(svg, text);
    fputs("</text>\n", svg->out);
}

void svg_line(const struct svg *svg, double x0, double y0, double x1, double y1, const char *class)
{
    fprintf(svg->out, "<line x1=\"%.2f\" y1=\"%.2f\" x2=\"%.2f\" y2=\"%.2f\" class=\"%s\"/>\n", x0,
            y0, x1, y1, class);
}

void svg_rect(const struct svg *svg, double x, double y, double width, double height,
              const char *class)
{
    fprintf(svg->out, "<rect x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"%.2f\" class=\"%s\"/>\n",
            x, y, width, height, class);
}

struct svg_path svg_path_begin(const struct svg *svg)
{
    return (struct svg_path){svg, 0};
}

void svg_path_to(struct svg_path *path, double x, double y)
{
    fprintf(path->svg->out, "%s%.2f %.2f", path->points == 0 ? "<path d=\"M" : "L", x, y);
    path->points++;
}

void svg_path_end(struct svg_path *path, bool closed, const char *class, const char *dashes)
{
    if (path->points == 0)
        return;
    fprintf(path->svg->out, "%s\" class=\"%s\"", closed ? "Z" : "", class);
    if (dashes != NULL && dashes[0] != '\0')
        fprintf(path->svg->out, " stroke-dasharray=\"%s\"", dashes);
    fputs("/>\n", path->svg->out);
    path->points = 0;
}

/* Each mark as a path about 0,0. */
static const char *const SHAPES[SVG_MARKS] = {
    [SVG_CIRCLE] = "M-4.2 0A4.2 4.2 0 1 1 4.2 0A4.2 4.2 0 1 1 -4.2 0Z",
    [SVG_DIAMOND] = "M0 -5.6L5.6 0L0 5.6L-5.6 0Z",
    [SVG_TRIANGLE] = "M0 -5.2L5 3.8L-5 3.8Z",
    [SVG_SQUARE] = "M-4 -4H4V4H-4Z",
    [SVG_CROSS] = "M-4.5 -4.5L4.5 4.5M-4.5 4.5L4.5 -4.5",
    [SVG_DOWN] = "M-5 0H5M0 0V10M-3.5 6L0 10.5L3.5 6",
    [SVG_UP] = "M-5 0H5M0 0V-10M-3.5 -6L0 -10.5L3.5 -6",
};

void svg_mark(const struct svg *svg, enum svg_mark mark, double x, double y, const char *class,
              struct str tip)
{
    const char *kind = mark >= SVG_CROSS ? "thin" : class;
    fprintf(svg->out, "<path transform=\"translate(%.2f %.2f)\" d=\"%s\" class=\"%s\"", x, y,
            SHAPES[mark], kind);
    if (tip.n == 0) {
        fputs("/>\n", svg->out);
        return;
    }
    fputs("><title>", svg->out);
    svg_characters(svg, tip);
    fputs("</title></path>\n", svg->out);
}
