#include "plot_text.h"

#include "canvas.h"
#include "plot_text_legend.h"
#include "plot_words.h"
#include "table.h"

#include <math.h>

/* Columns right of the panels, for the names and the last readings. */
enum { RIGHT = 13 };

/* Rows of a panel: least, and of those beside gravity. */
enum { LEAST_MAIN = 6, LEAST_SIDE = 2, SIDE = 3 };

/* Signs: ASCII, and in full. */
enum sign {
    SIGN_GRAVITY,
    SIGN_PH,
    SIGN_TEMP,
    SIGN_PRESSURE,
    SIGN_LEFT_OUT,
    SIGN_BELOW,
    SIGN_ABOVE,
    SIGN_TOP,
    SIGN_TICK,
    SIGN_SIDE,
    SIGN_BOTTOM,
    SIGN_FROM,
    SIGN_SPAN,
    SIGN_TO,
    SIGN_END,
    SIGNS
};

static const struct {
    char ascii;
    uint32_t full;
} SIGN[SIGNS] = {
    [SIGN_GRAVITY] = {'o', 0x25cf},  [SIGN_PH] = {'*', 0x25c6},     [SIGN_TEMP] = {'^', 0x25b2},
    [SIGN_PRESSURE] = {'#', 0x25a0}, [SIGN_LEFT_OUT] = {'x', 0xd7}, [SIGN_BELOW] = {'<', '<'},
    [SIGN_ABOVE] = {'>', '>'},       [SIGN_TOP] = {'+', 0x2510},    [SIGN_TICK] = {'+', 0x2524},
    [SIGN_SIDE] = {'|', 0x2502},     [SIGN_BOTTOM] = {'+', 0x2518}, [SIGN_FROM] = {'[', 0x251c},
    [SIGN_SPAN] = {'=', 0x2500},     [SIGN_TO] = {']', 0x2524},     [SIGN_END] = {'E', 0x25c7},
};

struct panel {
    int reads;
    long top, rows;
    struct axis axis;
};

struct layout {
    const struct plot_text *text;
    const struct plot *plot;
    struct canvas canvas;
    struct panel panels[PLOT_QUANTITIES];
    int count;
    long flag_rows; /* at the top of the canvas */
    long left, width, rows;
    struct axis days;
};

static bool is_alone(const struct layout *layout)
{
    return plot_is_alone(layout->plot);
}

static uint32_t sign(const struct layout *layout, enum sign which)
{
    return layout->text->ascii ? (unsigned char)SIGN[which].ascii : SIGN[which].full;
}

static void put(struct layout *layout, long column, long row, enum sign which)
{
    canvas_put(&layout->canvas, column, row, sign(layout, which));
}

static void put_text(struct layout *layout, long column, long row, const struct buf *text)
{
    canvas_text(&layout->canvas, column, row, buf_str(text));
}

/* Places. */

static double x_of(const struct layout *layout, double day)
{
    return (double)layout->left + axis_share(&layout->days, day) * ((double)layout->width - 0.5);
}

/* Of a value in the unit of the house; what lies outside of the panel is put on its edge. */
static double y_of(const struct panel *panel, double shown)
{
    double share = fmin(fmax(axis_share(&panel->axis, shown), 0), 1);
    return (double)panel->top + fmin((1 - share) * (double)panel->rows, (double)panel->rows - 0.01);
}

static double y_at(const struct layout *layout, const struct panel *panel, double value)
{
    return y_of(panel, plot_shown(layout->plot, panel->reads, value));
}

static bool is_inside(const struct layout *layout, const struct panel *panel, double value)
{
    double share = axis_share(&panel->axis, plot_shown(layout->plot, panel->reads, value));
    return share > -1e-9 && share < 1 + 1e-9;
}

/* What a panel holds. */

static void draw_earlier(struct layout *layout, const struct panel *panel,
                         const struct plot_trace *trace)
{
    for (size_t i = 1; i < trace->earlier.n; i++) {
        const struct plot_point *a = &trace->earlier.items[i - 1], *b = &trace->earlier.items[i];
        double from = x_of(layout, a->day), to = x_of(layout, b->day);
        if (!plot_goes_on(trace, i - 1))
            continue;
        for (int half = 0; from + half / 2.0 < to; half++)
            canvas_shade(&layout->canvas, from + half / 2.0, y_at(layout, panel, a->high),
                         y_at(layout, panel, a->low));
    }
}

static void draw_level(struct layout *layout, const struct panel *panel, double from, double to,
                       double value)
{
    if (isnan(value) || !is_inside(layout, panel, value))
        return;
    double y = y_at(layout, panel, value);
    canvas_line(&layout->canvas, x_of(layout, fmax(from, layout->days.low)), y,
                x_of(layout, fmin(to, layout->days.high)), y, CANVAS_RULE);
}

static void draw_limits(struct layout *layout, const struct panel *panel,
                        const struct plot_trace *trace)
{
    for (size_t i = 0; i < trace->limits.n; i++) {
        const struct plot_limit *limit = &trace->limits.items[i];
        draw_level(layout, panel, limit->from, limit->to, limit->low);
        draw_level(layout, panel, limit->from, limit->to, limit->high);
    }
}

static void draw_fit(struct layout *layout, const struct panel *panel,
                     const struct plot_trace *trace, bool with_band)
{
    for (size_t i = 1; i < trace->fit.n; i++) {
        const struct plot_point *a = &trace->fit.items[i - 1], *b = &trace->fit.items[i];
        double from = x_of(layout, a->day), to = x_of(layout, b->day);
        canvas_line(&layout->canvas, from, y_at(layout, panel, a->value), to,
                    y_at(layout, panel, b->value), CANVAS_LINE);
        if (!with_band)
            continue;
        canvas_line(&layout->canvas, from, y_at(layout, panel, a->low), to,
                    y_at(layout, panel, b->low), CANVAS_EDGE);
        canvas_line(&layout->canvas, from, y_at(layout, panel, a->high), to,
                    y_at(layout, panel, b->high), CANVAS_EDGE);
    }
}

/* Is the band about the curve wide enough to be told from it, in the middle of it? */
static bool is_band_seen(const struct layout *layout, const struct panel *panel,
                         const struct plot_trace *trace)
{
    if (trace->fit.n == 0 || layout->text->ascii)
        return false;
    const struct plot_point *point = &trace->fit.items[trace->fit.n / 2];
    return y_at(layout, panel, point->low) - y_at(layout, panel, point->high) > 1.5;
}

static void draw_readings(struct layout *layout, const struct panel *panel,
                          const struct plot_trace *trace, uint32_t mark)
{
    for (size_t i = 0; i < trace->readings.n; i++) {
        const struct plot_reading *reading = &trace->readings.items[i];
        uint32_t code = reading->left_out != NULL ? sign(layout, SIGN_LEFT_OUT)
                        : reading->censor < 0     ? sign(layout, SIGN_BELOW)
                        : reading->censor > 0     ? sign(layout, SIGN_ABOVE)
                                                  : mark;
        if (!isnan(plot_shown(layout->plot, panel->reads, reading->value)))
            canvas_put(&layout->canvas, (long)floor(x_of(layout, reading->day)),
                       (long)floor(y_at(layout, panel, reading->value)), code);
    }
}

static void draw_forecast(struct layout *layout, const struct panel *panel, size_t index)
{
    const struct plot_batch *batch = &layout->plot->batches.items[index];
    if (panel->reads != READS_GRAVITY || !batch->has_forecast)
        return;
    long row = (long)floor(y_at(layout, panel, batch->forecast.end_plato));
    long from = (long)floor(x_of(layout, batch->early_day));
    long to = (long)floor(x_of(layout, batch->late_day));
    for (long column = from; column <= to; column++)
        if (!canvas_is_covered(&layout->canvas, column, row))
            put(layout, column, row,
                column == from ? SIGN_FROM
                : column == to ? SIGN_TO
                               : SIGN_SPAN);
    canvas_put(&layout->canvas, (long)floor(x_of(layout, batch->end_day)), row,
               is_alone(layout) ? sign(layout, SIGN_END) : (uint32_t)('A' + index));
}

/* Of the ticks of a panel only every so many can be named, two rows apart at least; SIDE rows have
 * room for the ends alone. */
static long named_ticks(const struct panel *panel)
{
    static const long EVERY[] = {1, 2, 3, 4, 5, 10};
    enum { COUNT = sizeof EVERY / sizeof EVERY[0] };
    double apart = (double)panel->rows / (double)(panel->axis.ticks - 1);
    for (int i = 0; i < COUNT; i++)
        if (apart * (double)EVERY[i] > 2 - 1e-9)
            return EVERY[i];
    return panel->axis.ticks;
}

static void draw_tick(struct layout *layout, const struct panel *panel, long i, long row)
{
    long column = layout->left - 1, last = panel->top + panel->rows - 1;
    struct buf label = buf_new(layout->text->arena);
    quantity_write_number(&label, axis_tick(&panel->axis, i), panel->axis.decimals);
    put_text(layout, column - 1 - (long)label.n, row, &label);
    put(layout, column, row, row == panel->top ? SIGN_TOP : row == last ? SIGN_BOTTOM : SIGN_TICK);
}

/* The edge with its ticks. */
static void draw_side(struct layout *layout, const struct panel *panel)
{
    long every = named_ticks(panel), last = panel->top + panel->rows - 1;
    for (long row = panel->top; row <= last; row++)
        put(layout, layout->left - 1, row,
            row == panel->top ? SIGN_TOP
            : row == last     ? SIGN_BOTTOM
                              : SIGN_SIDE);
    if (panel->rows <= SIDE) {
        draw_tick(layout, panel, panel->axis.ticks - 1, panel->top);
        draw_tick(layout, panel, 0, last);
        return;
    }
    for (long i = 0; i < panel->axis.ticks; i += every)
        draw_tick(layout, panel, i, (long)floor(y_of(panel, axis_tick(&panel->axis, i))));
}

/* Right of a panel: what it is, and what it reads now. */
static void draw_name(struct layout *layout, const struct panel *panel)
{
    long column = layout->left + layout->width + 1;
    const struct quantity_unit *unit = plot_unit(layout->plot, panel->reads);
    struct buf name = buf_new(layout->text->arena), last = buf_new(layout->text->arena);
    if (is_alone(layout))
        put(layout, column, panel->top, (enum sign)(SIGN_GRAVITY + panel->reads));
    buf_printf(&name, "%s", plot_words_quantity(panel->reads));
    if (!is_alone(layout) && unit != NULL)
        buf_printf(&name, " %s", unit->name);
    put_text(layout, column + (is_alone(layout) ? 2 : 0), panel->top, &name);
    if (!is_alone(layout))
        return;
    plot_words_last(&last, layout->plot, &layout->plot->batches.items[0], panel->reads);
    put_text(layout, column + 2, panel->top + 1, &last);
}

static uint32_t mark_of(const struct layout *layout, const struct panel *panel, size_t batch)
{
    if (is_alone(layout))
        return sign(layout, (enum sign)(SIGN_GRAVITY + panel->reads));
    return (uint32_t)('a' + batch);
}

static void draw_panel(struct layout *layout, const struct panel *panel)
{
    const struct plot *plot = layout->plot;
    bool one_limit = panel->reads == READS_GRAVITY ? plot_one_limit(plot) : is_alone(layout);
    for (size_t i = 0; i < plot->batches.n; i++) {
        const struct plot_trace *trace = &plot->batches.items[i].traces[panel->reads];
        if (is_alone(layout))
            draw_earlier(layout, panel, trace);
        if (one_limit && i == 0)
            draw_limits(layout, panel, trace);
        draw_fit(layout, panel, trace, is_alone(layout) && is_band_seen(layout, panel, trace));
    }
    for (size_t i = 0; i < plot->batches.n; i++)
        draw_readings(layout, panel, &plot->batches.items[i].traces[panel->reads],
                      mark_of(layout, panel, i));
    for (size_t i = 0; i < plot->batches.n; i++)
        draw_forecast(layout, panel, i);
    draw_side(layout, panel);
    draw_name(layout, panel);
}

/* Above and below the panels. */

/* Letters of events; one that has no room moves to the right. */
static void draw_flags(struct layout *layout)
{
    for (size_t i = 0; i < layout->plot->batches.n; i++) {
        const struct plot_batch *batch = &layout->plot->batches.items[i];
        long row = is_alone(layout) ? 0 : (long)i;
        if (!is_alone(layout))
            canvas_put(&layout->canvas, layout->left - 3, row, (uint32_t)('a' + i));
        for (size_t k = 0; k < batch->flags.n; k++) {
            long column = (long)floor(x_of(layout, batch->flags.items[k].day));
            while (column < layout->canvas.columns - 1 &&
                   canvas_is_covered(&layout->canvas, column, row))
                column++;
            canvas_put(&layout->canvas, column, row,
                       (unsigned char)plot_flag_letter(batch->flags.items[k].what));
        }
    }
}

static void draw_days(struct layout *layout)
{
    long row = layout->rows - 1;
    struct buf word = buf_new(layout->text->arena);
    buf_printf(&word, "day");
    put_text(layout, layout->left - 1 - (long)word.n, row, &word);
    for (long i = 0; i < layout->days.ticks; i++) {
        struct buf label = buf_new(layout->text->arena);
        quantity_write_number(&label, axis_tick(&layout->days, i), 0);
        long column = (long)floor(x_of(layout, axis_tick(&layout->days, i)));
        put_text(layout, column - ((long)label.n - 1) / 2, row, &label);
    }
}

/* Laying out. */

static long label_width(const struct axis *axis)
{
    char text[64];
    int low = snprintf(text, sizeof text, "%.*f", axis->decimals, axis->low);
    int high = snprintf(text, sizeof text, "%.*f", axis->decimals, axis->high);
    return low > high ? low : high;
}

/* Panels from top to bottom in so many rows; gravity takes what the others leave. */
static void lay_panels(struct layout *layout, long rows)
{
    bool has_main = plot_has(layout->plot, READS_GRAVITY);
    long others = layout->count - has_main, side = SIDE;
    if (!has_main)
        side = rows / layout->count;
    else if (others > 0 && rows - others * SIDE < LEAST_MAIN)
        side = LEAST_SIDE;
    if (side < LEAST_SIDE)
        side = LEAST_SIDE;
    long main_rows = rows - others * side;
    if (main_rows < LEAST_MAIN)
        main_rows = LEAST_MAIN;
    long top = layout->flag_rows, widest = 3;
    for (int p = 0; p < layout->count; p++) {
        struct panel *panel = &layout->panels[p];
        panel->rows = panel->reads == READS_GRAVITY ? main_rows : side;
        panel->top = top;
        panel->axis = plot_axis(layout->plot, panel->reads, panel->rows > SIDE ? 16 : 8);
        top += panel->rows;
        if (label_width(&panel->axis) > widest)
            widest = label_width(&panel->axis);
    }
    layout->rows = top + 1;
    layout->left = widest + 2;
    layout->width = layout->text->width - layout->left - RIGHT;
    layout->days = plot_days(layout->plot, layout->width / 6);
}

static bool has_flags(const struct plot *plot)
{
    for (size_t i = 0; i < plot->batches.n; i++)
        if (plot->batches.items[i].flags.n > 0)
            return true;
    return false;
}

/* Two lines at most. */
static long lay_title(const struct layout *layout, struct buf *title)
{
    size_t width = (size_t)layout->text->width;
    struct buf raw = buf_new(layout->text->arena);
    const struct plot_batch *first = &layout->plot->batches.items[0];
    if (is_alone(layout))
        plot_words_title(&raw, layout->plot, first);
    if (is_alone(layout) && str_width(buf_str(&raw)) > 2 * width - width / 4) {
        raw = buf_new(layout->text->arena);
        plot_words_short_title(&raw, layout->plot, first);
    }
    if (!is_alone(layout))
        buf_printf(&raw, "%zu batches by days since their pitch", layout->plot->batches.n);
    str_escape(title, buf_str(&raw), 2 * width - width / 4);
    return title->n > 0 && str_width(buf_str(title)) > width ? 2 : 1;
}

static void write_nothing(const struct plot_text *text, const struct plot *plot)
{
    for (size_t i = 0; i < plot->batches.n; i++) {
        struct buf line = buf_new(text->arena);
        plot_words_nothing(&line, plot, &plot->batches.items[i]);
        table_wrap(text->out, 0, 0, (size_t)text->width, buf_str(&line));
    }
}

void plot_text_write(const struct plot_text *text, const struct plot *plot)
{
    struct layout layout = {.text = text, .plot = plot};
    if (!plot_has_any(plot)) {
        write_nothing(text, plot);
        return;
    }
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        if (plot_has(plot, reads))
            layout.panels[layout.count++].reads = reads;
    struct plot_text_legend legend = plot_text_legend(text, plot);
    struct buf title = buf_new(text->arena);
    long title_rows = lay_title(&layout, &title);
    layout.flag_rows = !has_flags(plot) ? 0 : is_alone(&layout) ? 1 : (long)plot->batches.n;
    lay_panels(&layout, text->height - 1 - title_rows - layout.flag_rows - legend.lines);
    layout.canvas = canvas_new(text->arena, text->width, layout.rows, text->ascii);
    for (int p = 0; p < layout.count; p++)
        draw_panel(&layout, &layout.panels[p]);
    if (layout.flag_rows > 0)
        draw_flags(&layout);
    draw_days(&layout);
    table_wrap(text->out, 0, 0, (size_t)text->width, buf_str(&title));
    struct buf rows = buf_new(text->arena);
    for (long row = 0; row < layout.rows; row++)
        canvas_write_row(&layout.canvas, row, &rows);
    fprintf(text->out, "%s" STR_FMT, rows.p, STR_ARG(legend.text));
}

void plot_text_write_each(const struct plot_text *text, const struct plot *plot)
{
    for (size_t i = 0; i < plot->batches.n; i++) {
        if (i > 0)
            fputc('\n', text->out);
        struct plot one = plot_one(plot, i);
        plot_text_write(text, &one);
    }
}
