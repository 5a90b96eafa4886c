#include "plot_svg.h"

#include "plot_svg_part.h"
#include "plot_words.h"
#include "words.h"

#include <math.h>

/* Heights; what is beside the gravity is a side panel. */
#define TITLE_LINE 21.0
#define MAIN       250.0
#define SIDE       86.0
#define GAP        18.0
#define FLAGS      20.0

#define TITLE_CHARACTER 10.6 /* its width, in bold */

/* Every colour in three moods: on light paper, on dark paper, in print. Lightness alone tells the
 * parts apart. */
static const char STYLE[] =
    "<style>\n"
    "text{font-family:sans-serif;font-size:13px;fill:#1e2227}\n"
    ".title{font-size:16px;font-weight:bold}\n"
    ".small{font-size:12px}\n"
    ".quiet{fill:#555c66;font-size:12px}\n"
    ".paper{fill:#fff}\n"
    ".frame{fill:none;stroke:#9aa1ab;stroke-width:1}\n"
    ".grid{stroke:#e3e6ea;stroke-width:1}\n"
    ".shade{fill:#d5dbe3;stroke:none}\n"
    ".median{fill:none;stroke:#9aa1ab;stroke-width:1}\n"
    ".join{fill:none;stroke:#9aa1ab;stroke-width:1}\n"
    ".curve{fill:none;stroke:#1e2227;stroke-width:1.8}\n"
    ".edge{fill:none;stroke:#555c66;stroke-width:1}\n"
    ".limit{stroke:#8a4300;stroke-width:1.6;stroke-dasharray:9 5;fill:none}\n"
    ".full{fill:#1e2227;stroke:#fff;stroke-width:1}\n"
    ".hollow{fill:#fff;stroke:#1e2227;stroke-width:1.8}\n"
    ".thin{fill:none;stroke:#1e2227;stroke-width:1.8}\n"
    ".pole{stroke:#555c66;stroke-width:1;stroke-dasharray:1 4}\n"
    ".flag{fill:#1e2227}\n"
    "@media screen and (prefers-color-scheme:dark){\n"
    "text{fill:#e8eaed}\n"
    ".quiet{fill:#a9b0ba}\n"
    ".paper{fill:#15181c}\n"
    ".frame,.join,.median{stroke:#6c747f}\n"
    ".grid{stroke:#2a2f36}\n"
    ".shade{fill:#38414c}\n"
    ".curve,.thin{stroke:#e8eaed}\n"
    ".edge,.pole{stroke:#a9b0ba}\n"
    ".limit{stroke:#f0b36b}\n"
    ".full{fill:#e8eaed;stroke:#15181c}\n"
    ".hollow{fill:#15181c;stroke:#e8eaed}\n"
    ".flag{fill:#e8eaed}\n"
    "}\n"
    "</style>\n";

const struct plot_svg_style PLOT_SVG_STYLES[PLOT_MOST_BATCHES] = {
    {SVG_CIRCLE, "full", ""},         {SVG_SQUARE, "hollow", "7 3"},
    {SVG_TRIANGLE, "full", "2 3"},    {SVG_DIAMOND, "hollow", "11 3 2 3"},
    {SVG_SQUARE, "full", "5 2 1 2"},  {SVG_CIRCLE, "hollow", "14 4"},
    {SVG_DIAMOND, "full", "1 2 1 5"}, {SVG_TRIANGLE, "hollow", "3 6"},
};

double plot_svg_x(const struct plot_svg_chart *chart, double day)
{
    double share = fmin(fmax(axis_share(&chart->days, day), 0), 1);
    return PLOT_SVG_LEFT + share * PLOT_SVG_PANEL;
}

/* Above and below the panels. */

static double flags_height(const struct plot_svg_chart *chart)
{
    double rows = 0;
    for (size_t i = 0; i < chart->plot->batches.n; i++)
        rows += chart->plot->batches.items[i].flags.n > 0;
    return FLAGS *
           (plot_is_alone(chart->plot) || rows == 0 ? rows : (double)chart->plot->batches.n + 0.3);
}

/* A pole through all panels, a pennant with the event's letter beside it. One that would cover the
 * pennant before it stands further right; of one kind in a row, such as samples, the first has room
 * for all. */
static void draw_flags(const struct plot_svg_chart *chart, size_t index, double y)
{
    const struct plot_batch *batch = &chart->plot->batches.items[index];
    double free = PLOT_SVG_LEFT - 1;
    for (size_t i = 0; i < batch->flags.n; i++) {
        const struct plot_flag *flag = &batch->flags.items[i];
        double x = plot_svg_x(chart, flag->day), pennant = fmin(fmax(x, free), PLOT_SVG_WIDTH - 24);
        char letter = plot_flag_letter(flag->what);
        bool is_crowded = x < free || free > PLOT_SVG_WIDTH - PLOT_SVG_RIGHT;
        if (is_crowded && i > 0 && batch->flags.items[i - 1].what == flag->what)
            continue;
        struct svg_path path = svg_path_begin(&chart->svg);
        if (plot_is_alone(chart->plot))
            svg_line(&chart->svg, x, y + 19, x, chart->bottom, "pole");
        svg_line(&chart->svg, pennant, y + 2, pennant, y + 15, "edge");
        svg_line(&chart->svg, pennant, y + 15, x, y + 19, "edge");
        svg_path_to(&path, pennant, y + 2);
        svg_path_to(&path, pennant + 7, y + 5);
        svg_path_to(&path, pennant, y + 8);
        svg_path_end(&path, true, "flag", NULL);
        svg_text(&chart->svg, pennant + 9, y + 12, "start", "small", (struct str){&letter, 1});
        free = pennant + 21;
    }
}

static void draw_days(const struct plot_svg_chart *chart)
{
    double y = chart->bottom + 17;
    svg_text(&chart->svg, PLOT_SVG_LEFT - 14, y, "end", "small", STR("day"));
    for (long i = 0; i < chart->days.ticks; i++) {
        double day = axis_tick(&chart->days, i), x = plot_svg_x(chart, day);
        struct buf label = buf_new(chart->svg.arena), date = buf_new(chart->svg.arena);
        svg_line(&chart->svg, x, chart->bottom, x, chart->bottom + 5, "edge");
        quantity_write_number(&label, day, 0);
        svg_text(&chart->svg, x, y, "middle", "small", buf_str(&label));
        if (!plot_is_alone(chart->plot))
            continue;
        words_day(&date, chart->plot->cellar,
                  chart->plot->batches.items[0].zero + (int64_t)llround(day * CIVIL_DAY));
        svg_text(&chart->svg, x, y + 16, "middle", "quiet", buf_str(&date));
    }
}

/* Titles, in lines. */

static void write_title(const struct plot_svg_chart *chart, struct buf *title)
{
    if (plot_is_alone(chart->plot))
        plot_words_title(title, chart->plot, &chart->plot->batches.items[0]);
    else
        buf_printf(title, "%zu batches by days since their pitch", chart->plot->batches.n);
}

/* Draws text in lines, broken at blanks, from y down; returns how many there are. */
static long draw_lines(const struct plot_svg_chart *chart, bool draw, double y, const char *class,
                       double character, struct str text)
{
    size_t width = (size_t)((PLOT_SVG_WIDTH - PLOT_SVG_LEFT - PLOT_SVG_MARGIN) / character);
    long lines = 0;
    while (text.n > 0) {
        struct str line = str_fit(text, width);
        size_t end = line.n;
        if (end < text.n)
            while (end > 0 && text.p[end] != ' ')
                end--;
        if (end == 0)
            end = line.n > 0 ? line.n : text.n;
        if (draw)
            svg_text(&chart->svg, PLOT_SVG_LEFT, y + TITLE_LINE * (double)lines, "start", class,
                     str_cut(text, 0, end));
        lines++;
        text = str_trim(str_cut(text, end, text.n));
    }
    return lines;
}

static double lay_panels(struct plot_svg_chart *chart, double top)
{
    bool has_main = plot_has(chart->plot, READS_GRAVITY);
    for (int p = 0; p < chart->count; p++) {
        struct plot_svg_panel *panel = &chart->panels[p];
        bool is_main = panel->reads == READS_GRAVITY || (!has_main && chart->count == 1);
        panel->top = top;
        panel->height = is_main ? MAIN : SIDE;
        panel->axis = plot_axis(chart->plot, panel->reads, is_main ? 9 : 4);
        top += panel->height + GAP;
    }
    return top - GAP;
}

/* The chart of a plot from y down; with draw not set it is measured. Returns its lower end. */
static double lay_chart(const struct svg *svg, const struct plot *plot, bool draw, double y)
{
    struct plot_svg_chart chart = {.svg = *svg, .plot = plot};
    struct buf title = buf_new(svg->arena);
    if (!plot_has_any(plot)) {
        plot_words_nothing(&title, plot, &plot->batches.items[0]);
        return y + PLOT_SVG_MARGIN + 8 +
               TITLE_LINE * (double)draw_lines(&chart, draw, y + PLOT_SVG_MARGIN + 12, "name",
                                               PLOT_SVG_CHARACTER, buf_str(&title));
    }
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        if (plot_has(plot, reads))
            chart.panels[chart.count++].reads = reads;
    write_title(&chart, &title);
    y += PLOT_SVG_MARGIN + 12;
    y +=
        TITLE_LINE * (double)draw_lines(&chart, draw, y, "title", TITLE_CHARACTER, buf_str(&title));
    chart.top = y - 8;
    chart.bottom = lay_panels(&chart, chart.top + flags_height(&chart));
    chart.days = plot_days(plot, 14);
    double legend = chart.bottom + (plot_is_alone(chart.plot) ? 60 : 44);
    if (draw) {
        for (int p = 0; p < chart.count; p++)
            plot_svg_draw_panel(&chart, &chart.panels[p]);
        for (size_t i = 0; i < plot->batches.n; i++) {
            char letter = (char)('a' + i);
            double row = chart.top + FLAGS * (double)i;
            draw_flags(&chart, i, row);
            if (!plot_is_alone(chart.plot) && flags_height(&chart) > 0)
                svg_text(svg, PLOT_SVG_LEFT - 7, row + 13, "end", "small",
                         (struct str){&letter, 1});
        }
        draw_days(&chart);
    }
    return plot_svg_legend(&chart, draw, legend) - PLOT_SVG_LINE + PLOT_SVG_MARGIN;
}

static double lay_all(const struct svg *svg, const struct plot *plot, bool together, bool draw)
{
    double y = 0;
    if (together && plot->batches.n > 0)
        return lay_chart(svg, plot, draw, 0);
    for (size_t i = 0; i < plot->batches.n; i++) {
        struct plot one = plot_one(plot, i);
        y = lay_chart(svg, &one, draw, y);
    }
    return y;
}

static void write_words(const struct svg *svg, const struct plot *plot)
{
    struct buf title = buf_new(svg->arena), words = buf_new(svg->arena);
    for (size_t i = 0; i < plot->batches.n; i++) {
        if (plot->batches.n == 1)
            plot_words_name(&title, &plot->batches.items[i]);
        else if (i == 0)
            buf_printf(&title, "%zu batches against days", plot->batches.n);
        if (i > 0)
            buf_char(&words, ' ');
        plot_words_describe(&words, plot, &plot->batches.items[i]);
    }
    svg_element(svg, "title", title.n > 0 ? buf_str(&title) : STR("No batch"));
    svg_element(svg, "desc", words.n > 0 ? buf_str(&words) : STR("There is nothing to draw."));
}

void plot_svg_write(FILE *out, struct arena *arena, const struct plot *plot, bool together)
{
    struct svg svg = {out, arena};
    double height = fmax(lay_all(&svg, plot, together, false), PLOT_SVG_MARGIN);
    fprintf(out,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%.0f\" height=\"%.0f\" "
            "viewBox=\"0 0 %.0f %.0f\" role=\"img\">\n",
            PLOT_SVG_WIDTH, ceil(height), PLOT_SVG_WIDTH, ceil(height));
    write_words(&svg, plot);
    fputs(STYLE, out);
    svg_rect(&svg, 0, 0, PLOT_SVG_WIDTH, ceil(height), "paper");
    lay_all(&svg, plot, together, true);
    fputs("</svg>\n", out);
}
