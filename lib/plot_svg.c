#include "plot_svg.h"

#include "plot_words.h"
#include "svg.h"
#include "words.h"

#include <math.h>

/* Measures of a chart, in the picture's units; a unit is a pixel where nothing scales it. */
#define WIDTH      840.0
#define LEFT       64.0
#define RIGHT      118.0
#define PLOT_WIDTH (WIDTH - LEFT - RIGHT)
#define MARGIN     16.0
#define TITLE_LINE 21.0
#define LINE       20.0
#define MAIN       250.0
#define SIDE       86.0
#define GAP        18.0
#define FLAGS      20.0

/* Fonts are not known here: a character is taken to be so wide, which is more than most are. */
#define CHARACTER       7.0
#define TITLE_CHARACTER 10.6

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

static const enum svg_mark MARK_OF_QUANTITY[PLOT_QUANTITIES] = {
    [READS_GRAVITY] = SVG_CIRCLE,
    [READS_PH] = SVG_DIAMOND,
    [READS_TEMP] = SVG_TRIANGLE,
    [READS_PRESSURE] = SVG_SQUARE,
};

/* Of several batches each has its mark and its kind of line. */
static const struct {
    enum svg_mark mark;
    const char *class;
    const char *dashes;
} BATCH_STYLE[PLOT_MOST_BATCHES] = {
    {SVG_CIRCLE, "full", ""},         {SVG_SQUARE, "hollow", "7 3"},
    {SVG_TRIANGLE, "full", "2 3"},    {SVG_DIAMOND, "hollow", "11 3 2 3"},
    {SVG_SQUARE, "full", "5 2 1 2"},  {SVG_CIRCLE, "hollow", "14 4"},
    {SVG_DIAMOND, "full", "1 2 1 5"}, {SVG_TRIANGLE, "hollow", "3 6"},
};

struct panel {
    int reads;
    double top, height;
    struct axis axis;
};

struct chart {
    struct svg svg;
    const struct plot *plot;
    struct panel panels[PLOT_QUANTITIES];
    int count;
    double top;    /* below the title */
    double bottom; /* of the panels */
    struct axis days;
};

static bool is_alone(const struct chart *chart)
{
    return chart->plot->batches.n == 1;
}

static double x_of(const struct chart *chart, double day)
{
    double share = fmin(fmax(axis_share(&chart->days, day), 0), 1);
    return LEFT + share * PLOT_WIDTH;
}

static double y_of(const struct panel *panel, double shown)
{
    double share = fmin(fmax(axis_share(&panel->axis, shown), 0), 1);
    return panel->top + (1 - share) * panel->height;
}

static double y_at(const struct chart *chart, const struct panel *panel, double value)
{
    return y_of(panel, plot_shown(chart->plot, panel->reads, value));
}

static bool is_inside(const struct chart *chart, const struct panel *panel, double value)
{
    double share = axis_share(&panel->axis, plot_shown(chart->plot, panel->reads, value));
    return share > -1e-9 && share < 1 + 1e-9;
}

/* What a panel holds, from the back to the front. */

static void draw_frame(const struct chart *chart, const struct panel *panel)
{
    svg_rect(&chart->svg, LEFT, panel->top, PLOT_WIDTH, panel->height, "frame");
    for (long i = 0; i < panel->axis.ticks; i++) {
        double y = y_of(panel, axis_tick(&panel->axis, i));
        struct buf label = buf_new(chart->svg.arena);
        if (i > 0 && i < panel->axis.ticks - 1)
            svg_line(&chart->svg, LEFT, y, LEFT + PLOT_WIDTH, y, "grid");
        quantity_write_number(&label, axis_tick(&panel->axis, i), panel->axis.decimals);
        svg_text(&chart->svg, LEFT - 7, y + 4, "end", "small", buf_str(&label));
    }
}

/* Points i up to the returned one lie side by side, without a gap in between. */
static size_t run_end(const struct plot_trace *trace, size_t i)
{
    double step =
        trace->earlier.n > 1 ? trace->earlier.items[1].day - trace->earlier.items[0].day : 0;
    while (i + 1 < trace->earlier.n &&
           trace->earlier.items[i + 1].day - trace->earlier.items[i].day < 2 * step)
        i++;
    return i;
}

static void draw_earlier(const struct chart *chart, const struct panel *panel,
                         const struct plot_trace *trace)
{
    const struct plot_point *points = trace->earlier.items;
    for (size_t from = 0, to; from < trace->earlier.n; from = to + 1) {
        to = run_end(trace, from);
        struct svg_path path = svg_path_begin(&chart->svg);
        for (size_t i = from; i <= to; i++)
            svg_path_to(&path, x_of(chart, points[i].day), y_at(chart, panel, points[i].high));
        for (size_t i = to + 1; i-- > from;)
            svg_path_to(&path, x_of(chart, points[i].day), y_at(chart, panel, points[i].low));
        svg_path_end(&path, true, "shade", NULL);
        for (size_t i = from; i <= to; i++)
            svg_path_to(&path, x_of(chart, points[i].day), y_at(chart, panel, points[i].value));
        svg_path_end(&path, false, "median", NULL);
    }
}

static void draw_limits(const struct chart *chart, const struct panel *panel,
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
            svg_line(&chart->svg, x_of(chart, fmax(limit->from, chart->days.low)), y,
                     x_of(chart, fmin(limit->to, chart->days.high)), y, "limit");
        }
    }
}

static double value_of(const struct plot_point *point, int which)
{
    return which == 0 ? point->low : which == 1 ? point->high : point->value;
}

/* The edges of the band (0, 1), which stay within the panel, or the curve itself (2). */
static void draw_fit(const struct chart *chart, const struct panel *panel,
                     const struct plot_trace *trace, int which, const char *class,
                     const char *dashes)
{
    struct svg_path path = svg_path_begin(&chart->svg);
    for (size_t i = 0; i < trace->fit.n; i++) {
        double value = value_of(&trace->fit.items[i], which);
        if (which < 2 && !is_inside(chart, panel, value))
            svg_path_end(&path, false, class, dashes);
        else
            svg_path_to(&path, x_of(chart, trace->fit.items[i].day), y_at(chart, panel, value));
    }
    svg_path_end(&path, false, class, dashes);
}

/* A thin line from reading to reading, where no curve is fitted. */
static void draw_join(const struct chart *chart, const struct panel *panel,
                      const struct plot_trace *trace, const char *dashes)
{
    struct svg_path path = svg_path_begin(&chart->svg);
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        if (reading->censor == 0 && reading->left_out == NULL)
            svg_path_to(&path, x_of(chart, reading->day), y_at(chart, panel, reading->value));
    }
    svg_path_end(&path, false, "join", dashes);
}

static void draw_readings(const struct chart *chart, const struct panel *panel, size_t index)
{
    const struct plot_trace *trace = &chart->plot->batches.items[index].traces[panel->reads];
    bool alone = is_alone(chart);
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        struct buf tip = buf_new(chart->svg.arena);
        enum svg_mark mark = reading->left_out != NULL ? SVG_CROSS
                             : reading->censor < 0     ? SVG_DOWN
                             : reading->censor > 0     ? SVG_UP
                             : alone                   ? MARK_OF_QUANTITY[panel->reads]
                                                       : BATCH_STYLE[index].mark;
        if (isnan(plot_shown(chart->plot, panel->reads, reading->value)))
            continue;
        plot_words_reading(&tip, chart->plot, panel->reads, reading);
        svg_mark(&chart->svg, mark, x_of(chart, reading->day), y_at(chart, panel, reading->value),
                 alone ? "full" : BATCH_STYLE[index].class, buf_str(&tip));
    }
}

static void draw_span(const struct svg *svg, double from, double middle, double to, double y)
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

static void draw_forecast(const struct chart *chart, const struct panel *panel, size_t index)
{
    const struct plot_batch *batch = &chart->plot->batches.items[index];
    if (panel->reads != READS_GRAVITY || !batch->has_forecast)
        return;
    double y = y_at(chart, panel, batch->forecast.end_plato) -
               13 * (double)forecasts_below(chart->plot, index);
    draw_span(&chart->svg, x_of(chart, batch->early_day), x_of(chart, batch->end_day),
              x_of(chart, batch->late_day), y);
    if (!is_alone(chart)) {
        char letter = (char)('a' + index);
        svg_text(&chart->svg, x_of(chart, batch->late_day) + 6, y + 4, "start", "small",
                 (struct str){&letter, 1});
    }
}

static void draw_name(const struct chart *chart, const struct panel *panel)
{
    const struct quantity_unit *unit = plot_unit(chart->plot, panel->reads);
    double x = LEFT + PLOT_WIDTH + 14;
    struct buf name = buf_new(chart->svg.arena), last = buf_new(chart->svg.arena);
    buf_printf(&name, "%s", plot_words_quantity(panel->reads));
    if (!is_alone(chart) && unit != NULL)
        buf_printf(&name, " %s", unit->name);
    if (!is_alone(chart)) {
        svg_text(&chart->svg, x, panel->top + 14, "start", "name", buf_str(&name));
        return;
    }
    svg_mark(&chart->svg, MARK_OF_QUANTITY[panel->reads], x + 5, panel->top + 9, "full", STR(""));
    svg_text(&chart->svg, x + 17, panel->top + 14, "start", "name", buf_str(&name));
    plot_words_last(&last, chart->plot, &chart->plot->batches.items[0], panel->reads);
    svg_text(&chart->svg, x + 17, panel->top + 32, "start", "name", buf_str(&last));
}

static void draw_panel(const struct chart *chart, const struct panel *panel)
{
    const struct plot *plot = chart->plot;
    bool alone = is_alone(chart);
    bool one_limit = panel->reads == READS_GRAVITY ? plot_one_limit(plot) : alone;
    const struct plot_trace *first = &plot->batches.items[0].traces[panel->reads];
    if (alone)
        draw_earlier(chart, panel, first);
    draw_frame(chart, panel);
    if (one_limit)
        draw_limits(chart, panel, first);
    for (size_t i = 0; i < plot->batches.n; i++) {
        const struct plot_trace *trace = &plot->batches.items[i].traces[panel->reads];
        const char *dashes = alone ? "" : BATCH_STYLE[i].dashes;
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

/* Above and below the panels. */

static double flags_height(const struct chart *chart)
{
    double rows = 0;
    for (size_t i = 0; i < chart->plot->batches.n; i++)
        rows += chart->plot->batches.items[i].flags.n > 0;
    return FLAGS * (is_alone(chart) || rows == 0 ? rows : (double)chart->plot->batches.n + 0.3);
}

/* A pole through all panels, a pennant with the event's letter beside it. One that would cover the
 * pennant before it stands further right; of one kind in a row, such as samples, the first has room
 * for all. */
static void draw_flags(const struct chart *chart, size_t index, double y)
{
    const struct plot_batch *batch = &chart->plot->batches.items[index];
    double free = LEFT - 1;
    for (size_t i = 0; i < batch->flags.n; i++) {
        const struct plot_flag *flag = &batch->flags.items[i];
        double x = x_of(chart, flag->day), pennant = fmin(fmax(x, free), WIDTH - 24);
        char letter = plot_flag_letter(flag->what);
        bool is_crowded = x < free || free > WIDTH - RIGHT;
        if (is_crowded && i > 0 && batch->flags.items[i - 1].what == flag->what)
            continue;
        struct svg_path path = svg_path_begin(&chart->svg);
        if (is_alone(chart))
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

static void draw_days(const struct chart *chart)
{
    double y = chart->bottom + 17;
    svg_text(&chart->svg, LEFT - 14, y, "end", "small", STR("day"));
    for (long i = 0; i < chart->days.ticks; i++) {
        double day = axis_tick(&chart->days, i), x = x_of(chart, day);
        struct buf label = buf_new(chart->svg.arena), date = buf_new(chart->svg.arena);
        svg_line(&chart->svg, x, chart->bottom, x, chart->bottom + 5, "edge");
        quantity_write_number(&label, day, 0);
        svg_text(&chart->svg, x, y, "middle", "small", buf_str(&label));
        if (!is_alone(chart))
            continue;
        words_day(&date, chart->plot->cellar,
                  chart->plot->batches.items[0].zero + (int64_t)llround(day * CIVIL_DAY));
        svg_text(&chart->svg, x, y + 16, "middle", "quiet", buf_str(&date));
    }
}

/* The legend: a sign, then words, flowing from line to line. With draw not set it is measured. */

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
    const struct chart *chart;
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
        svg_path_end(&path, false, "curve", BATCH_STYLE[index].dashes);
        svg_mark(svg, BATCH_STYLE[index].mark, x + 14, y, BATCH_STYLE[index].class, STR(""));
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
        draw_span(svg, x, x + 14, x + 28, y);
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
    double need = sign + CHARACTER * (double)str_width(words);
    if (words.n == 0)
        return;
    if (legend->x > LEFT && legend->x + need > WIDTH - MARGIN) {
        legend->x = LEFT;
        legend->y += LINE;
    }
    if (legend->draw) {
        draw_sample(legend, sample, index);
        svg_text(&legend->chart->svg, legend->x + sign, legend->y, "start", "name", words);
    }
    legend->x += need + 22;
}

static void end_line(struct legend *legend)
{
    if (legend->x > LEFT)
        legend->y += LINE;
    legend->x = LEFT;
}

static void add_events(struct legend *legend)
{
    const struct plot *plot = legend->chart->plot;
    bool said[EVENT_DISCARD + 1] = {false};
    for (size_t i = 0; i < plot->batches.n; i++) {
        for (size_t k = 0; k < plot->batches.items[i].flags.n; k++) {
            int what = plot->batches.items[i].flags.items[k].what;
            struct buf words = buf_new(legend->chart->svg.arena);
            if (said[what])
                continue;
            said[what] = true;
            buf_printf(&words, "%c ", plot_flag_letter(what));
            plot_words_event(&words, plot, &plot->batches.items[i], what, is_alone(legend->chart));
            add_item(legend, SAMPLE_NONE, 0, buf_str(&words));
        }
    }
    end_line(legend);
}

static bool shows(const struct chart *chart, int reads)
{
    for (int p = 0; p < chart->count; p++)
        if (chart->panels[p].reads == reads)
            return true;
    return false;
}

static void add_gravity_signs(struct legend *legend)
{
    const struct plot *plot = legend->chart->plot;
    const struct plot_batch *first = &plot->batches.items[0];
    struct buf limit = buf_new(legend->chart->svg.arena), end = buf_new(legend->chart->svg.arena);
    bool fits = false, ends = false, alone = is_alone(legend->chart);
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

/* Has any shown reading this: censored, or not judged by? */
static bool has_reading(const struct chart *chart, bool left_out)
{
    for (size_t i = 0; i < chart->plot->batches.n; i++)
        for (int p = 0; p < chart->count; p++) {
            const struct plot_trace *trace =
                &chart->plot->batches.items[i].traces[chart->panels[p].reads];
            for (size_t k = 0; k < trace->readings.n; k++) {
                const struct plot_reading *reading = &trace->readings.items[k];
                if (left_out ? reading->left_out != NULL
                             : reading->left_out == NULL && reading->censor != 0)
                    return true;
            }
        }
    return false;
}

static void add_signs(struct legend *legend)
{
    const struct chart *chart = legend->chart;
    const struct plot_batch *first = &chart->plot->batches.items[0];
    struct buf words = buf_new(chart->svg.arena), missing = buf_new(chart->svg.arena);
    bool earlier = false;
    if (shows(chart, READS_GRAVITY))
        add_gravity_signs(legend);
    for (int p = 0; p < chart->count; p++)
        earlier = earlier || first->traces[chart->panels[p].reads].earlier.n > 0;
    if (earlier && is_alone(chart)) {
        buf_printf(&words, "%zu earlier batches", first->earlier_batches);
        add_item(legend, SAMPLE_EARLIER, 0, buf_str(&words));
    }
    if (has_reading(chart, false))
        add_item(legend, SAMPLE_CENSORED, 0, STR("off the end of a scale"));
    if (has_reading(chart, true))
        add_item(legend, SAMPLE_LEFT_OUT, 0, STR("not judged by"));
    if (is_alone(chart))
        plot_words_missing(&missing, chart->plot, first);
    struct str rest = buf_str(&missing);
    while (rest.n > 0)
        add_item(legend, SAMPLE_NONE, 0, plot_words_clause(&rest));
    end_line(legend);
}

static void add_batches(struct legend *legend)
{
    const struct chart *chart = legend->chart;
    for (size_t i = 0; i < chart->plot->batches.n; i++) {
        const struct plot_batch *batch = &chart->plot->batches.items[i];
        struct buf words = buf_new(chart->svg.arena);
        buf_printf(&words, "%c  ", (char)('a' + i));
        plot_words_short_name(&words, batch);
        buf_printf(&words, ": %s", FINISH_VERDICT[batch->finish.verdict].name);
        for (int p = 0; p < chart->count; p++) {
            int reads = chart->panels[p].reads;
            if (batch->traces[reads].readings.n == 0)
                continue;
            buf_printf(&words, reads == READS_PH ? ", pH " : ", ");
            plot_words_last(&words, chart->plot, batch, reads);
        }
        add_item(legend, SAMPLE_BATCH, i, buf_str(&words));
        end_line(legend);
    }
}

/* Returns where it ends. */
static double lay_legend(const struct chart *chart, bool draw, double y)
{
    struct legend legend = {chart, draw, LEFT, y};
    add_events(&legend);
    add_signs(&legend);
    if (!is_alone(chart))
        add_batches(&legend);
    return legend.y;
}

/* Titles, in lines. */

static void write_title(const struct chart *chart, struct buf *title)
{
    if (is_alone(chart))
        plot_words_title(title, chart->plot, &chart->plot->batches.items[0]);
    else
        buf_printf(title, "%zu batches by days since their pitch", chart->plot->batches.n);
}

/* Draws text in lines, broken at blanks, from y down; returns how many there are. */
static long draw_lines(const struct chart *chart, bool draw, double y, const char *class,
                       double character, struct str text)
{
    size_t width = (size_t)((WIDTH - LEFT - MARGIN) / character);
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
            svg_text(&chart->svg, LEFT, y + TITLE_LINE * (double)lines, "start", class,
                     str_cut(text, 0, end));
        lines++;
        text = str_trim(str_cut(text, end, text.n));
    }
    return lines;
}

static double lay_panels(struct chart *chart, double top)
{
    bool has_main = shows(chart, READS_GRAVITY);
    for (int p = 0; p < chart->count; p++) {
        struct panel *panel = &chart->panels[p];
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
    struct chart chart = {.svg = *svg, .plot = plot};
    struct buf title = buf_new(svg->arena);
    if (!plot_has_any(plot)) {
        plot_words_nothing(&title, plot, &plot->batches.items[0]);
        return y + MARGIN + 8 +
               TITLE_LINE * (double)draw_lines(&chart, draw, y + MARGIN + 12, "name", CHARACTER,
                                               buf_str(&title));
    }
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        if (plot_has(plot, reads))
            chart.panels[chart.count++].reads = reads;
    write_title(&chart, &title);
    y += MARGIN + 12;
    y +=
        TITLE_LINE * (double)draw_lines(&chart, draw, y, "title", TITLE_CHARACTER, buf_str(&title));
    chart.top = y - 8;
    chart.bottom = lay_panels(&chart, chart.top + flags_height(&chart));
    chart.days = plot_days(plot, 14);
    double legend = chart.bottom + (is_alone(&chart) ? 60 : 44);
    if (draw) {
        for (int p = 0; p < chart.count; p++)
            draw_panel(&chart, &chart.panels[p]);
        for (size_t i = 0; i < plot->batches.n; i++) {
            char letter = (char)('a' + i);
            double row = chart.top + FLAGS * (double)i;
            draw_flags(&chart, i, row);
            if (!is_alone(&chart) && flags_height(&chart) > 0)
                svg_text(svg, LEFT - 7, row + 13, "end", "small", (struct str){&letter, 1});
        }
        draw_days(&chart);
    }
    return lay_legend(&chart, draw, legend) - LINE + MARGIN;
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
    double height = fmax(lay_all(&svg, plot, together, false), MARGIN);
    fprintf(out,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%.0f\" height=\"%.0f\" "
            "viewBox=\"0 0 %.0f %.0f\" role=\"img\">\n",
            WIDTH, ceil(height), WIDTH, ceil(height));
    write_words(&svg, plot);
    fputs(STYLE, out);
    svg_rect(&svg, 0, 0, WIDTH, ceil(height), "paper");
    lay_all(&svg, plot, together, true);
    fputs("</svg>\n", out);
}
