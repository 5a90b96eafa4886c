#include "plot_words.h"

#include "words.h"

#include <math.h>

static const char *const QUANTITY_WORDS[PLOT_QUANTITIES] = {
    [READS_GRAVITY] = "gravity",
    [READS_PH] = "pH",
    [READS_TEMP] = "temp",
    [READS_PRESSURE] = "pressure",
};

const char *plot_words_quantity(int reads)
{
    return QUANTITY_WORDS[reads];
}

/* At most so many columns of it, what is cut told by dots; most 0: all. */
static void add_cut(struct buf *buf, struct str text, size_t most)
{
    bool fits = most == 0 || str_width(text) <= most;
    buf_add(buf, fits ? text : str_fit(text, most - 3));
    if (!fits)
        buf_add(buf, STR("..."));
}

static void add_name(struct buf *buf, const struct plot_batch *batch, bool is_short)
{
    add_cut(buf, batch->number.n > 0 ? batch->number : STR("(no number)"), is_short ? 12 : 0);
    if (batch->beer.n > 0) {
        buf_char(buf, ' ');
        add_cut(buf, batch->beer, is_short ? 24 : 0);
    }
    if (batch->tank.n > 0) {
        buf_add(buf, STR(", "));
        add_cut(buf, batch->tank, is_short ? 8 : 0);
    }
}

void plot_words_name(struct buf *buf, const struct plot_batch *batch)
{
    add_name(buf, batch, false);
}

static void add_title(struct buf *buf, const struct plot *plot, const struct plot_batch *batch,
                      bool is_short)
{
    const struct finish *finish = &batch->finish;
    add_name(buf, batch, is_short);
    if (finish->has_day && batch->tank.n > 0) {
        buf_printf(buf, ", day %ld", finish->day);
    } else if (!batch->zero_is_guessed) {
        buf_add(buf, STR(", from "));
        words_day(buf, plot->cellar, batch->zero);
    }
    buf_printf(buf, ": %s", FINISH_VERDICT[finish->verdict].name);
    if (finish->reason[0] != '\0')
        buf_printf(buf, ", %s", finish->reason);
}

void plot_words_title(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    add_title(buf, plot, batch, false);
}

void plot_words_short_title(struct buf *buf, const struct plot *plot,
                            const struct plot_batch *batch)
{
    add_title(buf, plot, batch, true);
}

static void add_value(struct buf *buf, const struct plot *plot, int reads,
                      const struct plot_reading *reading)
{
    const struct quantity_unit *unit = plot_unit(plot, reads);
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    if (reading->censor != 0)
        buf_char(buf, reading->censor < 0 ? '<' : '>');
    quantity_write(buf, quantity, reading->value, unit, -1);
}

void plot_words_last(struct buf *buf, const struct plot *plot, const struct plot_batch *batch,
                     int reads)
{
    const struct plot_trace *trace = &batch->traces[reads];
    if (trace->readings.n > 0)
        add_value(buf, plot, reads, &trace->readings.items[trace->readings.n - 1]);
}

void plot_words_one(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    add_name(buf, batch, true);
    buf_printf(buf, ": %s", FINISH_VERDICT[batch->finish.verdict].name);
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++) {
        if (!plot->shown[reads] || batch->traces[reads].readings.n == 0)
            continue;
        buf_printf(buf, reads == READS_PH ? ", pH " : ", ");
        plot_words_last(buf, plot, batch, reads);
    }
}

void plot_words_reading(struct buf *buf, const struct plot *plot, int reads,
                        const struct plot_reading *reading)
{
    add_value(buf, plot, reads, reading);
    buf_add(buf, STR(", "));
    words_time(buf, plot->cellar, reading->at);
    if (reading->left_out != NULL)
        buf_printf(buf, ", not judged by: %s", reading->left_out);
}

void plot_words_limit(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    const struct limit *limit = &batch->finish.limit;
    if (limit->source == LIMIT_NONE)
        return;
    buf_add(buf, STR("limits, gravity "));
    words_gravity_limit(buf, plot->cellar, limit->low_plato, limit->high_plato);
    buf_printf(buf, " %s", LIMIT_SOURCES[limit->source]);
}

void plot_words_forecast(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    if (!batch->has_forecast)
        return;
    buf_add(buf, STR("end about "));
    words_time(buf, plot->cellar, batch->forecast.end_at);
    buf_add(buf, STR(" ("));
    words_time(buf, plot->cellar, batch->forecast.early_at);
    buf_add(buf, STR(" to "));
    words_time(buf, plot->cellar, batch->forecast.late_at);
    buf_char(buf, ')');
}

void plot_words_event(struct buf *buf, const struct plot *plot, int event_what)
{
    const struct plot_batch *batch = &plot->batches.items[0];
    const char *before = " ";
    int64_t said = INT64_MIN;
    buf_printf(buf, "%s", BATCH_EVENTS[event_what - EVENT_PITCH]);
    for (size_t i = 0; i < batch->flags.n && plot_is_alone(plot); i++) {
        const struct plot_flag *flag = &batch->flags.items[i];
        int64_t day = civil_day(plot->cellar->zone, flag->at);
        if (flag->what != event_what || day == said)
            continue;
        buf_add(buf, str_of(before));
        words_day(buf, plot->cellar, flag->at);
        before = ", ";
        said = day;
    }
}

static void describe_trace(struct buf *buf, const struct plot *plot, const struct plot_batch *batch,
                           int reads)
{
    const struct plot_trace *trace = &batch->traces[reads];
    if (!plot->shown[reads] || trace->readings.n == 0)
        return;
    buf_printf(buf, " %s: %zu reading%s, ", plot_words_quantity(reads), trace->readings.n,
               trace->readings.n == 1 ? "" : "s");
    plot_words_reading(buf, plot, reads, &trace->readings.items[0]);
    if (trace->readings.n > 1) {
        buf_add(buf, STR(", to "));
        plot_words_reading(buf, plot, reads, &trace->readings.items[trace->readings.n - 1]);
    }
    buf_char(buf, '.');
}

void plot_words_describe(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    plot_words_title(buf, plot, batch);
    buf_char(buf, '.');
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        describe_trace(buf, plot, batch, reads);
    if (plot->shown[READS_GRAVITY] && batch->finish.limit.source != LIMIT_NONE) {
        buf_char(buf, ' ');
        plot_words_limit(buf, plot, batch);
        buf_char(buf, '.');
    }
    if (plot->shown[READS_GRAVITY] && batch->has_forecast) {
        buf_char(buf, ' ');
        plot_words_forecast(buf, plot, batch);
        buf_char(buf, '.');
    }
    for (size_t i = 0; i < batch->flags.n; i++) {
        buf_printf(buf, "%s %s ", i == 0 ? " events:" : ",",
                   BATCH_EVENTS[batch->flags.items[i].what - EVENT_PITCH]);
        words_day(buf, plot->cellar, batch->flags.items[i].at);
    }
    if (batch->flags.n > 0)
        buf_char(buf, '.');
}

struct str plot_words_clause(struct str *rest)
{
    return str_split(rest, '\n');
}

static void part(struct buf *buf, size_t begin)
{
    if (buf->n > begin)
        buf_char(buf, '\n');
}

void plot_words_missing(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    const struct plot_trace *gravity = &batch->traces[READS_GRAVITY];
    size_t begin = buf->n;
    enum finish_verdict verdict = batch->finish.verdict;
    bool is_open = verdict == FINISH_FERMENTING || verdict == FINISH_SLOWING;
    if (plot_has(plot, READS_GRAVITY) && gravity->fit.n == 0)
        buf_printf(buf, "no curve: %s", gravity->no_fit);
    if (plot_has(plot, READS_GRAVITY) && is_open && batch->forecast.source == FORECAST_NONE) {
        part(buf, begin);
        buf_printf(buf, "no forecast: %s", batch->forecast.why_not);
    }
    if (batch->earlier_batches > 0 && batch->earlier_batches < HISTORY_FEWEST) {
        part(buf, begin);
        buf_printf(buf, "no band: only %zu earlier batch%s", batch->earlier_batches,
                   batch->earlier_batches == 1 ? "" : "es");
    }
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++) {
        size_t n = batch->traces[reads].withdrawn;
        if (n == 0 || !plot->shown[reads])
            continue;
        part(buf, begin);
        buf_printf(buf, "%zu %s reading%s withdrawn", n, plot_words_quantity(reads),
                   n == 1 ? "" : "s");
    }
}

void plot_words_nothing(struct buf *buf, const struct plot *plot, const struct plot_batch *batch)
{
    bool all = true;
    const char *between = "";
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        all = all && plot->shown[reads];
    plot_words_name(buf, batch);
    if (all) {
        buf_add(buf, STR(": nothing to draw, no reading of gravity, pH, temp or pressure yet."));
        return;
    }
    buf_add(buf, STR(": nothing to draw, no reading of "));
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++) {
        if (!plot->shown[reads])
            continue;
        buf_printf(buf, "%s%s", between, plot_words_quantity(reads));
        between = " or ";
    }
    buf_add(buf, STR(" yet."));
}
