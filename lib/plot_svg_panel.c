/* The panels of a picture, one quantity each. See plot_svg_part.h. */
#include "plot_svg_part.h"
#include "plot_words.h"

#include <math.h>

static const enum svg_mark MARK_OF_QUANTITY[PLOT_QUANTITIES] = {
    [READS_GRAVITY] = SVG_CIRCLE,
    [READS_PH] = SVG_DIAMOND,
    [READS_TEMP] = SVG_TRIANGLE,
    [READS_PRESSURE] = SVG_SQUARE,
};

static double y_of(const struct plot_svg_panel *panel, double shown)
{
    double share = fmin(fmax(axis_share(&panel->axis, shown), 0), 1);
    return panel->top + (1 - share) * panel->height;
}

static double y_at(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                   double value)
{
    return y_of(panel, plot_shown(chart->plot, panel->reads, value));
}

static bool is_inside(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                      double value)
{
    double share = axis_share(&panel->axis, plot_shown(chart->plot, panel->reads, value));
    return share > -1e-9 && share < 1 + 1e-9;
}

/* What a panel holds, from the back to the front. */

static void draw_frame(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel)
{
    svg_rect(&chart->svg, PLOT_SVG_LEFT, panel->top, PLOT_SVG_PANEL, panel->height, "frame");
    for (long i = 0; i < panel->axis.ticks; i++) {
        double y = y_of(panel, axis_tick(&panel->axis, i));
        struct buf label = buf_new(chart->svg.arena);
        if (i > 0 && i < panel->axis.ticks - 1)
            svg_line(&chart->svg, PLOT_SVG_LEFT, y, PLOT_SVG_LEFT + PLOT_SVG_PANEL, y, "grid");
        quantity_write_number(&label, axis_tick(&panel->axis, i), panel->axis.decimals);
        svg_text(&chart->svg, PLOT_SVG_LEFT - 7, y + 4, "end", "small", buf_str(&label));
    }
}

/* Points i up to the returned one lie side by side, without a gap in between. */
static size_t run_end(const struct plot_trace *trace, size_t i)
{
    while (plot_goes_on(trace, i))
        i++;
    return i;
}

static void draw_earlier(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                         const struct plot_trace *trace)
{
    const struct plot_point *points = trace->earlier.items;
    for (size_t from = 0, to; from < trace->earlier.n; from = to + 1) {
        to = run_end(trace, from);
        struct svg_path path = svg_path_begin(&chart->svg);
        for (size_t i = from; i <= to; i++)
            svg_path_to(&path, plot_svg_x(chart, points[i].day),
                        y_at(chart, panel, points[i].high));
        for (size_t i = to + 1; i-- > from;)
            svg_path_to(&path, plot_svg_x(chart, points[i].day), y_at(chart, panel, points[i].low));
        svg_path_end(&path, true, "shade", NULL);
        for (size_t i = from; i <= to; i++)
            svg_path_to(&path, plot_svg_x(chart, points[i].day),
                        y_at(chart, panel, points[i].value));
        svg_path_end(&path, false, "median", NULL);
    }
}

static void draw_limits(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                        const struct plot_trace *trace)
{
    for (size_t i = 0; i < trace->limits.n; i++) {
        const struct plot_limit *limit = &trace->limits.items[i];
        double ends[] = {limit->low, limit->high};
        for (int k = 0; k < (limit->low == limit->high ? 1 : 2); k++) {
            if (isnan(ends[k]) || !is_inside(chart, panel, ends[k]) ||
                limit->from > chart->days.high)
                continue;
            double y = y_at(chart, panel, ends[k]);
            svg_line(&chart->svg, plot_svg_x(chart, fmax(limit->from, chart->days.low)), y,
                     plot_svg_x(chart, fmin(limit->to, chart->days.high)), y, "limit");
        }
    }
}

static double value_of(const struct plot_point *point, int which)
{
    return which == 0 ? point->low : which == 1 ? point->high : point->value;
}

/* The edges of the band (0, 1), which stay within the panel, or the curve itself (2). */
static void draw_fit(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                     const struct plot_trace *trace, int which, const char *class,
                     const char *dashes)
{
    struct svg_path path = svg_path_begin(&chart->svg);
    for (size_t i = 0; i < trace->fit.n; i++) {
        double value = value_of(&trace->fit.items[i], which);
        if (which < 2 && !is_inside(chart, panel, value))
            svg_path_end(&path, false, class, dashes);
        else
            svg_path_to(&path, plot_svg_x(chart, trace->fit.items[i].day),
                        y_at(chart, panel, value));
    }
    svg_path_end(&path, false, class, dashes);
}

/* A thin line from reading to reading, where no curve is fitted. */
static void draw_join(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                      const struct plot_trace *trace, const char *dashes)
{
    struct svg_path path = svg_path_begin(&chart->svg);
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        if (reading->censor == 0 && reading->left_out == NULL)
            svg_path_to(&path, plot_svg_x(chart, reading->day), y_at(chart, panel, reading->value));
    }
    svg_path_end(&path, false, "join", dashes);
}

static void draw_readings(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                          size_t index)
{
    const struct plot_trace *trace = &chart->plot->batches.items[index].traces[panel->reads];
    bool alone = plot_is_alone(chart->plot);
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        struct buf tip = buf_new(chart->svg.arena);
        enum svg_mark mark = reading->left_out != NULL ? SVG_CROSS
                             : reading->censor < 0     ? SVG_DOWN
                             : reading->censor > 0     ? SVG_UP
                             : alone                   ? MARK_OF_QUANTITY[panel->reads]
                                                       : PLOT_SVG_STYLES[index].mark;
        if (isnan(plot_shown(chart->plot, panel->reads, reading->value)))
            continue;
        plot_words_reading(&tip, chart->plot, panel->reads, reading);
        svg_mark(&chart->svg, mark, plot_svg_x(chart, reading->day),
                 y_at(chart, panel, reading->value), alone ? "full" : PLOT_SVG_STYLES[index].class,
                 buf_str(&tip));
    }
}

void plot_svg_draw_span(const struct svg *svg, double from, double middle, double to, double y)
{
    svg_line(svg, from, y, to, y, "thin");
    svg_line(svg, from, y - 6, from, y + 6, "thin");
    svg_line(svg, to, y - 6, to, y + 6, "thin");
    svg_mark(svg, SVG_DIAMOND, middle, y, "hollow", STR(""));
}

/* How many of the forecasts before this one reach into its time, so that it must stand higher. */
static int forecasts_below(const struct plot *plot, size_t index)
{
    const struct plot_batch *batch = &plot->batches.items[index];
    int count = 0;
    for (size_t i = 0; i < index; i++) {
        const struct plot_batch *other = &plot->batches.items[i];
        count += other->has_forecast && other->early_day <= batch->late_day &&
                 other->late_day >= batch->early_day;
    }
    return count;
}

static void draw_forecast(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel,
                          size_t index)
{
    const struct plot_batch *batch = &chart->plot->batches.items[index];
    if (panel->reads != READS_GRAVITY || !batch->has_forecast)
        return;
    double y = y_at(chart, panel, batch->forecast.end_plato) -
               13 * (double)forecasts_below(chart->plot, index);
    plot_svg_draw_span(&chart->svg, plot_svg_x(chart, batch->early_day),
                       plot_svg_x(chart, batch->end_day), plot_svg_x(chart, batch->late_day), y);
    if (!plot_is_alone(chart->plot)) {
        char letter = (char)('a' + index);
        svg_text(&chart->svg, plot_svg_x(chart, batch->late_day) + 6, y + 4, "start", "small",
                 (struct str){&letter, 1});
    }
}

static void draw_name(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel)
{
    const struct quantity_unit *unit = plot_unit(chart->plot, panel->reads);
    double x = PLOT_SVG_LEFT + PLOT_SVG_PANEL + 14;
    struct buf name = buf_new(chart->svg.arena), last = buf_new(chart->svg.arena);
    buf_printf(&name, "%s", plot_words_quantity(panel->reads));
    if (!plot_is_alone(chart->plot) && unit != NULL)
        buf_printf(&name, " %s", unit->name);
    if (!plot_is_alone(chart->plot)) {
        svg_text(&chart->svg, x, panel->top + 14, "start", "name", buf_str(&name));
        return;
    }
    svg_mark(&chart->svg, MARK_OF_QUANTITY[panel->reads], x + 5, panel->top + 9, "full", STR(""));
    svg_text(&chart->svg, x + 17, panel->top + 14, "start", "name", buf_str(&name));
    plot_words_last(&last, chart->plot, &chart->plot->batches.items[0], panel->reads);
    svg_text(&chart->svg, x + 17, panel->top + 32, "start", "name", buf_str(&last));
}

void plot_svg_draw_panel(const struct plot_svg_chart *chart, const struct plot_svg_panel *panel)
{
    const struct plot *plot = chart->plot;
    bool alone = plot_is_alone(chart->plot);
    bool one_limit = panel->reads == READS_GRAVITY ? plot_one_limit(plot) : alone;
    const struct plot_trace *first = &plot->batches.items[0].traces[panel->reads];
    if (alone)
        draw_earlier(chart, panel, first);
    draw_frame(chart, panel);
    if (one_limit)
        draw_limits(chart, panel, first);
    for (size_t i = 0; i < plot->batches.n; i++) {
        const struct plot_trace *trace = &plot->batches.items[i].traces[panel->reads];
        const char *dashes = alone ? "" : PLOT_SVG_STYLES[i].dashes;
        for (int edge = 0; edge < 2 && alone; edge++)
            draw_fit(chart, panel, trace, edge, "edge", "2 4");
        draw_fit(chart, panel, trace, 2, "curve", dashes);
        if (trace->fit.n == 0)
            draw_join(chart, panel, trace, dashes);
    }
    for (size_t i = 0; i < plot->batches.n; i++)
        draw_readings(chart, panel, i);
    for (size_t i = 0; i < plot->batches.n; i++)
        draw_forecast(chart, panel, i);
    draw_name(chart, panel);
}
