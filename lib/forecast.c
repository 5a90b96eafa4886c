#include "forecast.h"

#include "civil.h"
#include "interval.h"
#include "practice.h"
#include "robust.h"
#include "words.h"

#include <math.h>

/* Sampling, degassing and the scale together, P. */
static const double READING_SD = 0.05;

/* How well the end is known, P: by a forced value, by a range for the beer. */
static const double FORCED_SD = 0.05;
static const double RANGE_SD = 0.15;

/* From this many earlier batches on, their ends say more than the middle of a range; and their
 * courses more than those of all beers of the yeast, which one or two of them only join. */
enum { ENOUGH_ENDS = 3, ENOUGH_OWN = 3 };

struct facts {
    const struct finish_context *context;
    const struct finish *finish;
    struct history_list list;
    enum forecast_source source;
    struct remain_course now;
    double end_plato, end_sd, range;
    double near; /* the share at which it has come to its end */
};

static struct forecast none(const char *why)
{
    return (struct forecast){.source = FORECAST_NONE, .why_not = why};
}

/* Verdicts from which no end can be foretold. */
static const char *const WHY_NOT[FINISH_VERDICTS] = {
    [FINISH_NOT_STARTED] = "it has not started",
    [FINISH_FINISHED] = "it is finished",
    [FINISH_UNCONFIRMED] = "it is at rest, and no limit is known",
    [FINISH_STUCK] = "it is stuck",
    [FINISH_BELOW_LIMIT] = "it is below its limit",
    [FINISH_CHILLED_EARLY] = "it was chilled",
    [FINISH_NO_JUDGEMENT] = "there is no judgement",
};

static void choose_history(struct facts *facts, const struct history *history)
{
    const struct batch *batch = facts->finish->course->batch;
    struct str number = text_of(batch->number);
    struct arena *arena = facts->context->arena;
    facts->source = FORECAST_BEER;
    facts->list = history_before(history, batch, facts->context->now, arena);
    if (facts->list.n >= ENOUGH_OWN)
        return;
    struct history_list kind = history_of_yeast(history, batch->yeast, batch->zero, number, arena);
    if (facts->list.n > 0 && kind.n <= facts->list.n)
        return;
    facts->source = kind.n > 0 ? FORECAST_YEAST : FORECAST_GENERIC;
    facts->list = kind;
}

static double median_end(const struct facts *facts)
{
    size_t n = facts->list.n;
    double *ends = arena_array(facts->context->arena, n, sizeof *ends);
    for (size_t i = 0; i < n; i++)
        ends[i] = facts->list.items[i]->end_plato;
    return robust_median(ends, n, arena_array(facts->context->arena, n, sizeof *ends));
}

/* Where it is taken to end; NAN when nothing says so. */
static void find_end(struct facts *facts)
{
    const struct limit *limit = &facts->finish->limit;
    double low = limit->low_plato, high = limit->high_plato;
    facts->end_sd = limit->source == LIMIT_FORCED ? FORCED_SD : RANGE_SD;
    facts->end_plato = isnan(low) ? high : isnan(high) ? low : (low + high) / 2;
    if (limit->source != LIMIT_FORCED && facts->source == FORECAST_BEER &&
        facts->list.n >= ENOUGH_ENDS) {
        double end = median_end(facts);
        facts->end_plato = isnan(facts->end_plato) ? end
                                                   : fmin(fmax(end, low - limit->margin_plato),
                                                          high + limit->margin_plato);
    }
    if (facts->finish->last->plato < facts->end_plato)
        facts->end_plato = facts->finish->last->plato;
    facts->range = facts->finish->original_plato - facts->end_plato;
    facts->near = HISTORY_NEAR_PLATO / facts->range + 1e-9;
}

/* The course so far, from sound readings, the pitch first. */
static void trace_course(struct facts *facts)
{
    const struct finish *finish = facts->finish;
    const struct sound *sound = &finish->sound;
    struct arena *arena = facts->context->arena;
    double *hours = arena_array(arena, sound->points.n + 1, sizeof *hours);
    double *left = arena_array(arena, sound->points.n + 1, sizeof *left);
    size_t n = 0;
    hours[n] = 0;
    left[n++] = 1;
    for (size_t i = sound->from; i < sound->points.n; i++) {
        const struct sound_point *point = &sound->points.items[i];
        double at = (double)(point->at - finish->course->batch->zero) / CIVIL_HOUR;
        if (point->state != SOUND_GOOD || at <= hours[n - 1])
            continue;
        hours[n] = at;
        left[n++] = (point->plato - facts->end_plato) / facts->range;
    }
    facts->now = (struct remain_course){hours, left, n, NAN};
}

static int64_t moment_of(const struct facts *facts, double hours)
{
    return facts->finish->course->batch->zero + (int64_t)(hours * 60) * CIVIL_MINUTE;
}

/* The reading with which it would count as finished, so many days after the last one, if it is read
 * once a day at that hour; never that one itself. */
static int64_t reading_after(const struct facts *facts, double days)
{
    return facts->finish->last->at + (int64_t)fmax(days, 1) * CIVIL_DAY;
}

/* It is at its end already; when did it come there? */
static struct forecast arrived(const struct facts *facts)
{
    double hours = remain_hours_at(&facts->now, facts->near);
    struct forecast forecast = {.source = facts->source, .why_not = "", .is_there = true};
    size_t i = 1; /* the pitch was before, and the last one is there */
    while (facts->now.left[i] > facts->near)
        i++;
    forecast.end_at = moment_of(facts, hours);
    forecast.early_at = moment_of(facts, facts->now.hours[i - 1]);
    forecast.late_at = moment_of(facts, facts->now.hours[i]);
    /* Roused since, it must be read anew on each of the days. */
    forecast.finish_at =
        reading_after(facts, facts->finish->days_needed - facts->finish->days_steady);
    forecast.end_plato = facts->end_plato;
    forecast.batches = facts->list.n;
    forecast.speed = NAN;
    return forecast;
}

static const struct {
    double share, prior_sd, slowest;
} SOURCES[] = {
    [FORECAST_BEER] = {REMAIN_OWN_SHARE, REMAIN_OWN_SD, REMAIN_SLOWEST},
    [FORECAST_YEAST] = {REMAIN_KIND_SHARE, REMAIN_KIND_SD, REMAIN_SLOWEST},
    [FORECAST_GENERIC] = {REMAIN_GENERIC_SHARE, REMAIN_GENERIC_SD, REMAIN_GENERIC_SLOWEST},
};

static bool estimate(const struct facts *facts, struct remain *remain)
{
    struct arena *arena = facts->context->arena;
    bool generic = facts->source == FORECAST_GENERIC;
    size_t n = generic ? 1 : facts->list.n;
    struct remain_course *earlier = arena_array(arena, n, sizeof *earlier);
    for (size_t i = 0; i < n; i++)
        earlier[i] = generic ? REMAIN_GENERIC : facts->list.items[i]->course;
    const struct remain_options options = {
        .share = SOURCES[facts->source].share,
        .prior_sd = SOURCES[facts->source].prior_sd,
        .slowest = SOURCES[facts->source].slowest,
        .noise_left = hypot(READING_SD, facts->end_sd) / facts->range,
        .confidence = FORECAST_CONFIDENCE,
    };
    double *work = arena_array(arena, 4 * n, sizeof *work);
    return remain_estimate(&facts->now, earlier, n, &options, work, remain);
}

static struct forecast foretell(const struct facts *facts)
{
    struct remain remain;
    double last = facts->now.hours[facts->now.n - 1];
    if (!estimate(facts, &remain))
        return none("it falls too slowly, or not at all");
    struct forecast forecast = {.source = facts->source, .why_not = ""};
    forecast.end_at = moment_of(facts, last + remain.hours);
    forecast.early_at = moment_of(facts, last + remain.early);
    forecast.late_at = moment_of(facts, last + remain.late);
    /* The first reading at its end is the first of the days. */
    double days_to_end = ceil((double)(forecast.end_at - facts->finish->last->at) / CIVIL_DAY);
    forecast.finish_at = reading_after(facts, days_to_end + facts->finish->days_needed - 1);
    forecast.end_plato = facts->end_plato;
    forecast.speed = remain.speed;
    forecast.batches = facts->source == FORECAST_GENERIC ? 0 : remain.used;
    return forecast;
}

struct forecast forecast_of(const struct finish_context *context, const struct finish *finish,
                            const struct history *history)
{
    struct facts facts = {.context = context, .finish = finish};
    if (WHY_NOT[finish->verdict] != NULL)
        return none(WHY_NOT[finish->verdict]);
    if (isnan(finish->original_plato) || !finish->course->batch->has_zero)
        return none("no original is known");
    choose_history(&facts, history);
    if (facts.source != FORECAST_BEER && PRACTICE[finish->course->batch->yeast].sours)
        return none("wild and sour beers are foretold by their own earlier batches only");
    find_end(&facts);
    if (isnan(facts.end_plato))
        return none("no limit is known");
    trace_course(&facts);
    double left = facts.now.left[facts.now.n - 1];
    if (left <= facts.near)
        return arrived(&facts);
    if (left > 1 - FORECAST_LEAST_SHARE)
        return none("it is too early to tell");
    return foretell(&facts);
}

static void say_source(const struct forecast *forecast, struct buf *text)
{
    if (forecast->source == FORECAST_GENERIC)
        buf_printf(text, "a usual warm ale; there is no earlier batch of its kind");
    else
        buf_printf(text, "%zu earlier %s of %s", forecast->batches,
                   forecast->batches == 1 ? "batch" : "batches",
                   forecast->source == FORECAST_BEER ? "this beer" : "this kind of yeast");
}

void forecast_explain(const struct finish_context *context, const struct forecast *forecast,
                      struct buf *text)
{
    const struct cellar *cellar = context->cellar;
    if (forecast->source == FORECAST_NONE) {
        buf_printf(text, " No forecast: %s.", forecast->why_not);
        return;
    }
    if (forecast->is_there) {
        buf_printf(text, " It came within 0.1 P of its end about ");
        words_time(text, cellar, forecast->end_at);
    } else {
        buf_printf(text, " It should come within 0.1 P of ");
        words_value(text, cellar, QUANTITY_GRAVITY, forecast->end_plato);
        buf_printf(text, " about ");
        words_time(text, cellar, forecast->end_at);
        buf_printf(text, ", in 8 of 10 cases from ");
        words_time(text, cellar, forecast->early_at);
        buf_printf(text, " to ");
        words_time(text, cellar, forecast->late_at);
        buf_printf(text, ", told by ");
        say_source(forecast, text);
    }
    buf_printf(text, "; it can count as finished with the reading of ");
    words_time(text, cellar, forecast->finish_at);
    buf_printf(text, ".");
}
