#include "plot.h"

#include "civil.h"
#include "plot_earlier.h"
#include "plot_fit.h"

#include <math.h>
#include <string.h>

/* Points of the band of earlier batches: at most, and how far apart at least, days. */
enum { EARLIER_MOST = 400 };
static const double EARLIER_STEP = 0.25;

static const char LETTERS[] = {
    [EVENT_NONE] = '?',    [EVENT_PITCH] = 'p',   [EVENT_DRY_HOP] = 'd', [EVENT_ADDITION] = 'a',
    [EVENT_KRAUSEN] = 'k', [EVENT_ROUSE] = 'r',   [EVENT_CLOSE] = 'c',   [EVENT_VENT] = 'v',
    [EVENT_CHILL] = 'h',   [EVENT_DUMP] = 'u',    [EVENT_MOVE] = 'm',    [EVENT_CARBONATE] = 'b',
    [EVENT_SAMPLE] = 's',  [EVENT_PACKAGE] = 'g', [EVENT_CLEAN] = 'n',   [EVENT_HOLD] = 'o',
    [EVENT_RELEASE] = 'e', [EVENT_DISCARD] = 'x',
};

char plot_flag_letter(int event_what)
{
    bool known = event_what > EVENT_NONE && (size_t)event_what < sizeof LETTERS;
    return LETTERS[known ? event_what : EVENT_NONE];
}

static double day_of(const struct plot_batch *batch, int64_t at)
{
    return (double)(at - batch->zero) / CIVIL_DAY;
}

static void reach(struct plot_batch *batch, double day)
{
    batch->last_day = fmax(batch->last_day, day);
}

/* Readings. */

static const struct sound_point *point_of(const struct finish *finish,
                                          const struct reading *reading)
{
    for (size_t i = 0; i < finish->sound.points.n; i++)
        if (finish->sound.points.items[i].reading == reading)
            return &finish->sound.points.items[i];
    return NULL;
}

/* Gravity as its meter's kind asks for it, and whether it is judged by. */
static void correct(const struct finish *finish, const struct reading *reading,
                    struct plot_reading *shown)
{
    const struct sound_point *point = point_of(finish, reading);
    if (point == NULL)
        return;
    if (!isnan(point->plato))
        shown->value = point->plato;
    if (point->state != SOUND_GOOD && point->state != SOUND_CENSORED)
        shown->left_out = SOUND_WHY[point->state];
}

static void add_readings(const struct plot *plot, struct plot_batch *batch, int reads)
{
    const struct batch_course *course = batch->finish.course;
    struct plot_trace *trace = &batch->traces[reads];
    trace->readings.items =
        arena_array(plot->arena, course->readings.n + 1, sizeof *trace->readings.items);
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        const struct figure *figure = &reading->figure[reads];
        trace->withdrawn += figure->state == FIGURE_WITHDRAWN;
        if (figure->state != FIGURE_SET)
            continue;
        struct plot_reading *shown = &trace->readings.items[trace->readings.n++];
        *shown = (struct plot_reading){.at = reading->at.at,
                                       .day = day_of(batch, reading->at.at),
                                       .value = figure->value,
                                       .censor = figure->censor};
        if (reads == READS_GRAVITY)
            correct(&batch->finish, reading, shown);
        reach(batch, shown->day);
    }
}

static void add_flags(const struct plot *plot, struct plot_batch *shown)
{
    const struct batch_course *course = shown->finish.course;
    const struct batch *batch = course->batch;
    shown->flags.items =
        arena_array(plot->arena, batch->happened.n + 1, sizeof *shown->flags.items);
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (!batch_course_had(course, event) || event->what == EVENT_NONE)
            continue;
        struct plot_flag flag = {event->at.at, day_of(shown, event->at.at), event->what};
        shown->flags.items[shown->flags.n++] = flag;
        reach(shown, flag.day);
    }
}

/* Limits. */

static void add_limit(const struct plot *plot, struct plot_batch *batch, int reads,
                      struct plot_limit limit)
{
    enum { MOST = 2 };
    struct plot_trace *trace = &batch->traces[reads];
    if (isnan(limit.low) && isnan(limit.high))
        return;
    if (trace->limits.items == NULL)
        trace->limits.items = arena_array(plot->arena, MOST, sizeof *trace->limits.items);
    trace->limits.items[trace->limits.n++] = limit;
}

static void add_range(const struct plot *plot, struct plot_batch *batch, int reads,
                      const struct range *range, struct plot_limit limit)
{
    if (range->state != FIGURE_SET)
        return;
    limit.low = range->has_low ? range->low : NAN;
    limit.high = range->has_high ? range->high : NAN;
    add_limit(plot, batch, reads, limit);
}

/* Each from when it is in force: gravity's always, pH once it is finished, fermenting temperature
 * until it is chilled, a tank's pressure while it is there. */
static void add_limits(const struct plot *plot, struct plot_batch *batch)
{
    const struct finish *finish = &batch->finish;
    const struct cellar_beer *beer = finish->course->batch->type;
    const struct batch_stay *stay = finish->course->stay;
    add_limit(plot, batch, READS_GRAVITY,
              (struct plot_limit){LIMIT_SOURCES[finish->limit.source], 0, INFINITY,
                                  finish->limit.low_plato, finish->limit.high_plato, false});
    if (beer != NULL) {
        double chilled = finish->chill.is_cold ? day_of(batch, finish->chill.at) : INFINITY;
        add_range(plot, batch, READS_TEMP, &beer->ferment,
                  (struct plot_limit){.name = "ferment", .from = 0, .to = chilled});
        if (finish->chill.is_cold)
            add_range(plot, batch, READS_TEMP, &beer->cold,
                      (struct plot_limit){.name = "cold", .from = chilled, .to = INFINITY});
        if (finish->has_end)
            add_range(plot, batch, READS_PH, &beer->ph,
                      (struct plot_limit){
                          .name = "ph", .from = day_of(batch, finish->end_at), .to = INFINITY});
    }
    const struct cellar_tank *tank = stay == NULL ? NULL : cellar_tank(plot->cellar, stay->tank);
    if (tank != NULL && figure_is_exact(&tank->rated))
        add_limit(plot, batch, READS_PRESSURE,
                  (struct plot_limit){"rated", fmax(day_of(batch, stay->from), 0), INFINITY, NAN,
                                      tank->rated.value, true});
}

/* Earlier batches and the forecast. */

static void add_band(const struct plot *plot, struct plot_batch *batch,
                     const struct baseline *baseline)
{
    double last = fmax(batch->last_day, batch->has_forecast ? batch->late_day : 0);
    double step = fmax(EARLIER_STEP, last / (EARLIER_MOST - 1));
    size_t n = (size_t)floor(last / step) + 1;
    batch->earlier_batches = baseline->batches;
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++) {
        struct plot_trace *trace = &batch->traces[reads];
        trace->earlier.items = arena_array(plot->arena, n, sizeof *trace->earlier.items);
        trace->earlier_step = step;
        for (size_t i = 0; i < n; i++) {
            struct plot_point point;
            double day = (double)i * step;
            if (plot_earlier(baseline, reads, day, &point))
                trace->earlier.items[trace->earlier.n++] = point;
        }
    }
}

static void add_earlier(const struct plot *plot, struct plot_batch *batch,
                        const struct history_list *list)
{
    if (batch->zero_is_guessed)
        return;
    if (plot->baselines != NULL) {
        const struct baseline *baseline = baselines_find(plot->baselines, batch->beer);
        if (baseline != NULL)
            add_band(plot, batch, baseline);
    } else if (list->n >= HISTORY_FEWEST) {
        struct baseline baseline = baseline_of(list, plot->arena);
        add_band(plot, batch, &baseline);
    } else {
        batch->earlier_batches = list->n;
    }
}

static void add_forecast(struct plot_batch *batch)
{
    const struct forecast *forecast = &batch->forecast;
    batch->has_forecast = forecast->source != FORECAST_NONE && !forecast->is_there;
    if (!batch->has_forecast)
        return;
    batch->end_day = day_of(batch, forecast->end_at);
    batch->early_day = day_of(batch, forecast->early_at);
    batch->late_day = day_of(batch, forecast->late_at);
}

static void set_zero(struct plot_batch *batch, int64_t now)
{
    const struct batch_course *course = batch->finish.course;
    batch->zero_is_guessed = !course->batch->has_zero;
    if (course->batch->has_zero)
        batch->zero = course->batch->zero;
    else if (course->readings.n > 0)
        batch->zero = course->readings.items[0]->at.at;
    else
        batch->zero = course->stay != NULL ? course->stay->from : now;
}

void plot_add(struct plot *plot, const struct finish_context *context,
              const struct batch_course *course, const struct history *history)
{
    const struct batch *from = course->batch;
    struct finish_context with = *context;
    struct history_list list = history_before(history, from, context->now, context->arena);
    with.baseline = plot->baselines == NULL
                        ? history_limit(&list, context->arena)
                        : baseline_limit(baselines_find(plot->baselines, text_of(from->beer)));
    if (plot->batches.n == plot->capacity)
        plot->batches.items = arena_grow(plot->arena, plot->batches.items, &plot->capacity,
                                         sizeof *plot->batches.items);
    struct plot_batch *batch = &plot->batches.items[plot->batches.n++];
    *batch = (struct plot_batch){.number = text_of(from->number), .beer = text_of(from->beer)};
    if (course->stay != NULL && !from->ended)
        batch->tank = course->stay->tank;
    batch->finish = finish_judge(&with, course);
    batch->forecast = forecast_of(&with, &batch->finish, history);
    set_zero(batch, context->now);
    if (batch->zero_is_guessed)
        list.n = 0; /* their hours count from the pitch */
    add_flags(plot, batch);
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        add_readings(plot, batch, reads);
    plot_fit(batch, &list, plot->arena);
    add_limits(plot, batch);
    add_forecast(batch);
    add_earlier(plot, batch, &list);
}

struct plot plot_make(const struct finish_context *context, const struct history *history,
                      const struct baselines *baselines, const struct batch_courses *courses,
                      const bool shown[PLOT_QUANTITIES])
{
    struct plot plot = {.cellar = context->cellar, .arena = context->arena, .baselines = baselines};
    memcpy(plot.shown, shown, sizeof plot.shown);
    for (size_t i = 0; i < courses->n; i++)
        plot_add(&plot, context, &courses->items[i], history);
    return plot;
}

/* What is asked of a plot. */

struct plot plot_one(const struct plot *plot, size_t batch)
{
    struct plot one = *plot;
    one.batches.items = &plot->batches.items[batch];
    one.batches.n = 1;
    one.capacity = 0;
    return one;
}

static int quantity_named(struct str name)
{
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        if (str_is(name, BATCH_COLUMNS[reads].key))
            return reads;
    return str_is(name, "temperature") ? READS_TEMP : -1;
}

const char *plot_choose(bool shown[PLOT_QUANTITIES], const char *const *names, size_t n)
{
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        shown[reads] = n == 0;
    for (size_t i = 0; i < n; i++) {
        int reads = quantity_named(str_of(names[i]));
        if (reads < 0)
            return names[i];
        shown[reads] = true;
    }
    return NULL;
}

bool plot_has(const struct plot *plot, int reads)
{
    if (!plot->shown[reads])
        return false;
    for (size_t i = 0; i < plot->batches.n; i++)
        if (plot->batches.items[i].traces[reads].readings.n > 0)
            return true;
    return false;
}

bool plot_has_any(const struct plot *plot)
{
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        if (plot_has(plot, reads))
            return true;
    return false;
}

static bool is_left_out(const struct plot_reading *reading)
{
    return reading->left_out != NULL;
}

static bool is_censored(const struct plot_reading *reading)
{
    return reading->left_out == NULL && reading->censor != 0;
}

static bool has_reading(const struct plot *plot,
                        bool (*is_such)(const struct plot_reading *reading))
{
    for (size_t i = 0; i < plot->batches.n; i++)
        for (int reads = 0; reads < PLOT_QUANTITIES; reads++) {
            const struct plot_trace *trace = &plot->batches.items[i].traces[reads];
            for (size_t k = 0; k < trace->readings.n && plot->shown[reads]; k++)
                if (is_such(&trace->readings.items[k]))
                    return true;
        }
    return false;
}

bool plot_has_censored(const struct plot *plot)
{
    return has_reading(plot, is_censored);
}

bool plot_has_left_out(const struct plot *plot)
{
    return has_reading(plot, is_left_out);
}

bool plot_goes_on(const struct plot_trace *trace, size_t i)
{
    const struct plot_point *points = trace->earlier.items;
    return i + 1 < trace->earlier.n &&
           points[i + 1].day - points[i].day < 1.5 * trace->earlier_step;
}

size_t plot_event_kinds(const struct plot *plot, int kinds[EVENT_DISCARD + 1])
{
    bool told[EVENT_DISCARD + 1] = {false};
    size_t n = 0;
    for (size_t i = 0; i < plot->batches.n; i++)
        for (size_t k = 0; k < plot->batches.items[i].flags.n; k++) {
            int what = plot->batches.items[i].flags.items[k].what;
            if (!told[what])
                kinds[n++] = what;
            told[what] = true;
        }
    return n;
}

bool plot_is_alone(const struct plot *plot)
{
    return plot->batches.n == 1;
}

const struct quantity_unit *plot_unit(const struct plot *plot, int reads)
{
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    const struct quantity_unit *house = plot->cellar->house[quantity];
    return house != NULL ? house : quantity_library_unit(quantity);
}

double plot_shown(const struct plot *plot, int reads, double value)
{
    const struct quantity_unit *unit = plot_unit(plot, reads);
    return unit == NULL ? value : quantity_from_library(unit, value);
}

struct extent {
    double low, high;
};

static void widen(struct extent *extent, double value)
{
    if (!isfinite(value))
        return;
    extent->low = fmin(extent->low, value);
    extent->high = fmax(extent->high, value);
}

static void widen_by(const struct plot *plot, const struct plot_batch *batch, int reads,
                     struct extent *extent)
{
    const struct plot_trace *trace = &batch->traces[reads];
    for (size_t i = 0; i < trace->readings.n; i++)
        widen(extent, trace->readings.items[i].value);
    for (size_t i = 0; i < trace->limits.n; i++) {
        const struct plot_limit *limit = &trace->limits.items[i];
        if (limit->from > batch->last_day ||
            (limit->only_if_neared && !(extent->high > limit->high / 2)))
            continue;
        widen(extent, limit->low);
        widen(extent, limit->high);
    }
    for (size_t i = 0; i < trace->fit.n; i++)
        widen(extent, trace->fit.items[i].value);
    if (reads == READS_GRAVITY && batch->has_forecast)
        widen(extent, batch->forecast.end_plato);
    bool alone = plot->batches.n == 1;
    for (size_t i = 0; i < trace->earlier.n && alone; i++) {
        widen(extent, trace->earlier.items[i].low);
        widen(extent, trace->earlier.items[i].high);
    }
}

/* The finest step that makes sense: five of the last digits that people see. */
static double least_step(const struct plot *plot, int reads)
{
    const struct quantity_unit *unit = plot_unit(plot, reads);
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    return 5 * pow(10, -(unit == NULL ? QUANTITIES[quantity].decimals : unit->decimals));
}

struct axis plot_axis(const struct plot *plot, int reads, long most)
{
    struct extent extent = {INFINITY, -INFINITY};
    for (size_t i = 0; i < plot->batches.n; i++)
        widen_by(plot, &plot->batches.items[i], reads, &extent);
    return axis_of(plot_shown(plot, reads, extent.low), plot_shown(plot, reads, extent.high), most,
                   least_step(plot, reads));
}

struct axis plot_days(const struct plot *plot, long most)
{
    struct extent extent = {0, 0};
    for (size_t i = 0; i < plot->batches.n; i++) {
        const struct plot_batch *batch = &plot->batches.items[i];
        widen(&extent, batch->last_day);
        if (batch->has_forecast)
            widen(&extent, batch->late_day);
        for (size_t k = 0; k < batch->flags.n; k++)
            widen(&extent, batch->flags.items[k].day);
    }
    return axis_days(extent.low, extent.high, most);
}

static bool is_same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

bool plot_one_limit(const struct plot *plot)
{
    for (size_t i = 1; i < plot->batches.n; i++) {
        const struct limit *first = &plot->batches.items[0].finish.limit;
        const struct limit *other = &plot->batches.items[i].finish.limit;
        if (!is_same(first->low_plato, other->low_plato) ||
            !is_same(first->high_plato, other->high_plato))
            return false;
    }
    return true;
}
