/* The legend of a picture: a sign, then words, flowing from line to line. See plot_svg_part.h. */
#include "plot_svg_part.h"
#include "plot_words.h"

enum sample {
    SAMPLE_NONE,
    SAMPLE_CURVE,
    SAMPLE_LIMIT,
    SAMPLE_EARLIER,
    SAMPLE_END,
    SAMPLE_CENSORED,
    SAMPLE_LEFT_OUT,
    SAMPLE_BATCH
};

struct legend {
    const struct plot_svg_chart *chart;
    bool draw;
    double x, y;
};

static void draw_sample(const struct legend *legend, enum sample sample, size_t index)
{
    const struct svg *svg = &legend->chart->svg;
    double x = legend->x, y = legend->y - 4;
    struct svg_path path = svg_path_begin(svg);
    if (sample == SAMPLE_BATCH) {
        svg_path_to(&path, x, y);
        svg_path_to(&path, x + 28, y);
        svg_path_end(&path, false, "curve", PLOT_SVG_STYLES[index].dashes);
        svg_mark(svg, PLOT_SVG_STYLES[index].mark, x + 14, y, PLOT_SVG_STYLES[index].class,
                 STR(""));
    }
    if (sample == SAMPLE_CENSORED)
        svg_mark(svg, SVG_DOWN, x + 14, y - 4, "thin", STR(""));
    if (sample == SAMPLE_LEFT_OUT)
        svg_mark(svg, SVG_CROSS, x + 14, y, "thin", STR(""));
    if (sample == SAMPLE_LIMIT)
        svg_line(svg, x, y, x + 28, y, "limit");
    if (sample == SAMPLE_EARLIER)
        svg_rect(svg, x, y - 6, 28, 12, "shade");
    if (sample == SAMPLE_END)
        plot_svg_draw_span(svg, x, x + 14, x + 28, y);
    if (sample != SAMPLE_CURVE)
        return;
    for (int line = -1; line <= 1; line++) {
        svg_path_to(&path, x, y + 4 * line);
        svg_path_to(&path, x + 28, y + 4 * line);
        svg_path_end(&path, false, line == 0 ? "curve" : "edge", line == 0 ? "" : "2 4");
    }
}

static void add_item(struct legend *legend, enum sample sample, size_t index, struct str words)
{
    double sign = sample == SAMPLE_NONE ? 0 : 36;
    double need = sign + PLOT_SVG_CHARACTER * (double)str_width(words);
    if (words.n == 0)
        return;
    if (legend->x > PLOT_SVG_LEFT && legend->x + need > PLOT_SVG_WIDTH - PLOT_SVG_MARGIN) {
        legend->x = PLOT_SVG_LEFT;
        legend->y += PLOT_SVG_LINE;
    }
    if (legend->draw) {
        draw_sample(legend, sample, index);
        svg_text(&legend->chart->svg, legend->x + sign, legend->y, "start", "name", words);
    }
    legend->x += need + 22;
}

static void end_line(struct legend *legend)
{
    if (legend->x > PLOT_SVG_LEFT)
        legend->y += PLOT_SVG_LINE;
    legend->x = PLOT_SVG_LEFT;
}

static void add_events(struct legend *legend)
{
    int kinds[EVENT_DISCARD + 1];
    size_t n = plot_event_kinds(legend->chart->plot, kinds);
    for (size_t i = 0; i < n; i++) {
        struct buf words = buf_new(legend->chart->svg.arena);
        buf_printf(&words, "%c ", plot_flag_letter(kinds[i]));
        plot_words_event(&words, legend->chart->plot, kinds[i]);
        add_item(legend, SAMPLE_NONE, 0, buf_str(&words));
    }
    end_line(legend);
}

static void add_gravity_signs(struct legend *legend)
{
    const struct plot *plot = legend->chart->plot;
    const struct plot_batch *first = &plot->batches.items[0];
    struct buf limit = buf_new(legend->chart->svg.arena), end = buf_new(legend->chart->svg.arena);
    bool fits = false, ends = false, alone = plot_is_alone(plot);
    for (size_t i = 0; i < plot->batches.n; i++) {
        fits = fits || plot->batches.items[i].traces[READS_GRAVITY].fit.n > 0;
        ends = ends || plot->batches.items[i].has_forecast;
    }
    if (fits && alone)
        add_item(legend, SAMPLE_CURVE, 0, STR("fitted curve, with where 95 of 100 readings lie"));
    if (plot_one_limit(plot))
        plot_words_limit(&limit, plot, first);
    add_item(legend, SAMPLE_LIMIT, 0, buf_str(&limit));
    if (ends && alone)
        plot_words_forecast(&end, plot, first);
    else if (ends)
        buf_printf(&end, "when it should end, 8 of 10 cases");
    add_item(legend, SAMPLE_END, 0, buf_str(&end));
}

static void add_signs(struct legend *legend)
{
    const struct plot_svg_chart *chart = legend->chart;
    const struct plot_batch *first = &chart->plot->batches.items[0];
    struct buf words = buf_new(chart->svg.arena), missing = buf_new(chart->svg.arena);
    bool earlier = false;
    if (plot_has(chart->plot, READS_GRAVITY))
        add_gravity_signs(legend);
    for (int p = 0; p < chart->count; p++)
        earlier = earlier || first->traces[chart->panels[p].reads].earlier.n > 0;
    if (earlier && plot_is_alone(chart->plot)) {
        buf_printf(&words, "%zu earlier batches", first->earlier_batches);
        add_item(legend, SAMPLE_EARLIER, 0, buf_str(&words));
    }
    if (plot_has_censored(chart->plot))
        add_item(legend, SAMPLE_CENSORED, 0, STR("off the end of a scale"));
    if (plot_has_left_out(chart->plot))
        add_item(legend, SAMPLE_LEFT_OUT, 0, STR("not judged by"));
    if (plot_is_alone(chart->plot))
        plot_words_missing(&missing, chart->plot, first);
    struct str rest = buf_str(&missing);
    while (rest.n > 0)
        add_item(legend, SAMPLE_NONE, 0, plot_words_clause(&rest));
    end_line(legend);
}

static void add_batches(struct legend *legend)
{
    const struct plot_svg_chart *chart = legend->chart;
    for (size_t i = 0; i < chart->plot->batches.n; i++) {
        struct buf words = buf_new(chart->svg.arena);
        buf_printf(&words, "%c  ", (char)('a' + i));
        plot_words_one(&words, chart->plot, &chart->plot->batches.items[i]);
        add_item(legend, SAMPLE_BATCH, i, buf_str(&words));
        end_line(legend);
    }
}

double plot_svg_legend(const struct plot_svg_chart *chart, bool draw, double y)
{
    struct legend legend = {chart, draw, PLOT_SVG_LEFT, y};
    add_events(&legend);
    add_signs(&legend);
    if (!plot_is_alone(chart->plot))
        add_batches(&legend);
    return legend.y;
}
