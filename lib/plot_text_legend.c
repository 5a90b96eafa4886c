#include "plot_text_legend.h"

#include "plot_words.h"

/* Samples of what the canvas draws, as long as they need. */
struct sample {
    const char *ascii, *full;
};
static const struct sample CURVE = {"..'", "⠤⠒⠉"}, LIMIT = {"- -", "⠂⠐⠂"}, EARLIER = {": :", "⡇ ⡇"},
                           END = {"[=E=]", "├─◇─┤"}, ENDS = {"[=A=]", "├─A─┤"},
                           LEFT_OUT = {"x", "\u00d7"};

struct flow {
    const struct plot_text *text;
    const struct plot *plot;
    struct buf lines; /* whole lines, each with its end */
    struct buf line;
    long count;
};

static void end_line(struct flow *flow)
{
    if (flow->line.n == 0)
        return;
    buf_add(&flow->lines, buf_str(&flow->line));
    buf_char(&flow->lines, '\n');
    flow->line.n = 0;
    flow->count++;
}

/* An item that is too long for a line is cut. */
static void add_item(struct flow *flow, struct str item)
{
    size_t width = (size_t)flow->text->width;
    if (item.n == 0)
        return;
    size_t used = str_width(buf_str(&flow->line)), need = str_width(item);
    if (used > 0 && used + 3 + need > width)
        end_line(flow);
    if (flow->line.n > 0)
        buf_add(&flow->line, STR("   "));
    str_escape(&flow->line, item, width);
}

static struct buf begin_item(const struct flow *flow, struct sample sample)
{
    struct buf item = buf_new(flow->text->arena);
    buf_printf(&item, "%s ", flow->text->ascii ? sample.ascii : sample.full);
    return item;
}

static void add_sample(struct flow *flow, struct sample sample, const char *words)
{
    struct buf item = begin_item(flow, sample);
    buf_add(&item, str_of(words));
    add_item(flow, buf_str(&item));
}

static void add_events(struct flow *flow)
{
    int kinds[EVENT_DISCARD + 1];
    size_t n = plot_event_kinds(flow->plot, kinds);
    for (size_t i = 0; i < n; i++) {
        struct buf item = buf_new(flow->text->arena);
        buf_printf(&item, "%c ", plot_flag_letter(kinds[i]));
        plot_words_event(&item, flow->plot, kinds[i]);
        add_item(flow, buf_str(&item));
    }
    end_line(flow);
}

static void add_gravity_signs(struct flow *flow)
{
    const struct plot *plot = flow->plot;
    const struct plot_batch *first = &plot->batches.items[0];
    bool any_fit = false;
    for (size_t i = 0; i < plot->batches.n; i++)
        any_fit = any_fit || plot->batches.items[i].traces[READS_GRAVITY].fit.n > 0;
    if (any_fit)
        add_sample(flow, CURVE, "fitted curve");
    if (first->finish.limit.source != LIMIT_NONE && plot_one_limit(plot)) {
        struct buf item = begin_item(flow, LIMIT);
        plot_words_limit(&item, plot, first);
        add_item(flow, buf_str(&item));
    }
}

static void add_earlier(struct flow *flow)
{
    const struct plot_batch *first = &flow->plot->batches.items[0];
    bool any = false;
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        any = any || (plot_has(flow->plot, reads) && first->traces[reads].earlier.n > 0);
    if (!any || !plot_is_alone(flow->plot))
        return;
    struct buf item = begin_item(flow, EARLIER);
    buf_printf(&item, "%zu earlier batches", first->earlier_batches);
    add_item(flow, buf_str(&item));
}

static void add_end(struct flow *flow)
{
    const struct plot *plot = flow->plot;
    bool any = false;
    for (size_t i = 0; i < plot->batches.n; i++)
        any = any || plot->batches.items[i].has_forecast;
    if (any && !plot_is_alone(plot))
        add_sample(flow, ENDS, "when it should end");
    if (!any || !plot_is_alone(plot))
        return;
    struct buf item = begin_item(flow, END);
    plot_words_forecast(&item, plot, &plot->batches.items[0]);
    add_item(flow, buf_str(&item));
}

static void add_signs(struct flow *flow)
{
    const struct plot *plot = flow->plot;
    if (plot_has(plot, READS_GRAVITY))
        add_gravity_signs(flow);
    add_earlier(flow);
    if (plot_has(plot, READS_GRAVITY))
        add_end(flow);
    if (plot_has_censored(plot))
        add_item(flow, STR("< > off the end of a scale"));
    if (plot_has_left_out(plot))
        add_sample(flow, LEFT_OUT, "not judged by");
    if (plot_is_alone(plot)) {
        struct buf item = buf_new(flow->text->arena);
        plot_words_missing(&item, plot, &plot->batches.items[0]);
        struct str rest = buf_str(&item);
        while (rest.n > 0)
            add_item(flow, plot_words_clause(&rest));
    }
    end_line(flow);
}

static void add_batches(struct flow *flow)
{
    for (size_t i = 0; i < flow->plot->batches.n; i++) {
        struct buf item = buf_new(flow->text->arena);
        buf_printf(&item, "%c ", (char)('a' + i));
        plot_words_one(&item, flow->plot, &flow->plot->batches.items[i]);
        add_item(flow, buf_str(&item));
        end_line(flow);
    }
}

struct plot_text_legend plot_text_legend(const struct plot_text *text, const struct plot *plot)
{
    struct flow flow = {text, plot, buf_new(text->arena), buf_new(text->arena), 0};
    add_events(&flow);
    add_signs(&flow);
    if (!plot_is_alone(plot))
        add_batches(&flow);
    return (struct plot_text_legend){buf_str(&flow.lines), flow.count};
}
