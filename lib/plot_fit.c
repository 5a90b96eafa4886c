#include "plot_fit.h"

#include "civil.h"
#include "curve.h"

#include <math.h>

/* What sampling, degassing and the scale add to a reading of gravity, P; and how firmly that is
 * known, in degrees of freedom. */
static const double READING_SD = 0.07;
static const double READING_DOF = 4;

/* A curve that misses one of its readings by more is not theirs: P, or as a share of all that was
 * lost where that is more. */
static const double WORST_MISS = 0.5;
static const double WORST_SHARE = 0.05;

/* Readings beyond the parameters that they pay for, where earlier batches say how such curves go.
 */
static const double SPARE_LEARNED = 1;

/* Curves of fewer earlier batches say too little. */
enum { LEARN_FEWEST = 3 };

enum { FIT_POINTS = 97 };

struct points {
    double *hours, *plato;
    size_t n;
    size_t read; /* of them readings: not the original */
};

static struct points points_new(struct arena *arena, size_t most)
{
    return (struct points){arena_array(arena, most + 1, sizeof(double)),
                           arena_array(arena, most + 1, sizeof(double)), 0, 0};
}

static void add(struct points *points, double hours, double plato)
{
    points->hours[points->n] = hours;
    points->plato[points->n++] = plato;
}

/* Events that bring in extract: what came before belongs to another course. */
static bool brings_extract(const struct batch_event *event)
{
    return event->what == EVENT_KRAUSEN ||
           (event->what == EVENT_ADDITION && event->extract.state == FIGURE_SET);
}

/* The original at day zero, unless it came together later, and the sound warm readings. */
static struct points points_of(const struct plot_batch *batch, struct arena *arena)
{
    const struct finish *finish = &batch->finish;
    const struct batch *from = finish->course->batch;
    int64_t since = INT64_MIN;
    for (size_t i = 0; i < from->happened.n; i++)
        if (brings_extract(from->happened.items[i]))
            since = from->happened.items[i]->at.at;
    struct points points = points_new(arena, finish->sound.points.n);
    bool has_original = !isnan(finish->original_plato) && from->has_zero && since == INT64_MIN &&
                        finish->sound.from == 0;
    if (has_original)
        add(&points, 0, finish->original_plato);
    for (size_t i = finish->sound.from; i < finish->sound.points.n; i++) {
        const struct sound_point *point = &finish->sound.points.items[i];
        if (point->state == SOUND_GOOD && point->at > since &&
            !chill_covers(&finish->chill, point->at))
            add(&points, (double)(point->at - batch->zero) / CIVIL_HOUR, point->plato);
    }
    points.read = points.n - has_original;
    return points;
}

static struct points points_of_earlier(const struct history_batch *batch, struct arena *arena)
{
    struct points points = points_new(arena, batch->points.n);
    add(&points, 0, batch->original_plato);
    for (size_t i = 0; i < batch->points.n; i++)
        if (!isnan(batch->points.items[i].plato) && !batch->points.items[i].cold)
            add(&points, batch->points.items[i].hours, batch->points.items[i].plato);
    return points;
}

/* How far one of its readings may be from a curve, P. */
static double most_miss(const struct points *points)
{
    return fmax(WORST_MISS, WORST_SHARE * (points->plato[0] - points->plato[points->n - 1]));
}

/* What the curves of earlier batches say of each shape. False where there are too few. */
static bool learn(const struct history_list *list, struct arena *arena,
                  struct curve_prior priors[CURVE_SHAPES])
{
    const struct curve_options options = {
        .noise_sd = READING_SD, .noise_dof = READING_DOF, .loss = FIT_HUBER};
    struct curve_prior nothing = {{0}, {0}};
    struct curve *curves = arena_array(arena, list->n + 1, sizeof *curves);
    if (list->n < LEARN_FEWEST)
        return false;
    for (size_t j = 0; j < CURVE_PARAMETERS; j++)
        nothing.sd[j] = INFINITY;
    for (int shape = 0; shape < CURVE_SHAPES; shape++) {
        for (size_t i = 0; i < list->n; i++) {
            struct points points = points_of_earlier(list->items[i], arena);
            curve_fit((enum curve_shape)shape, points.hours, points.plato, points.n, &options,
                      &curves[i]);
            if (curves[i].fit.status == FIT_CONVERGED &&
                !curve_goes_through(&curves[i], points.hours, points.plato, points.n,
                                    most_miss(&points)))
                curves[i].fit.status = FIT_NOT_CONVERGED;
        }
        curve_learn((enum curve_shape)shape, curves, list->n, &nothing, &priors[shape]);
    }
    return true;
}

/* Why no curve can be tried, or NULL. */
static const char *why_none(const struct points *points)
{
    if (points->read == 0)
        return "no sound reading of gravity";
    double first = points->hours[0], last = points->hours[points->n - 1];
    if (last - first < 24)
        return "less than a day of gravity";
    if (points->plato[0] - points->plato[points->n - 1] < FINISH_STARTED_PLATO)
        return "gravity has not moved";
    return NULL;
}

/* The shape of the lowest AICc among those that go through the readings; why there is none, or
 * NULL. */
static const char *choose(const struct points *points, const struct history_list *list,
                          struct arena *arena, struct curve *curve)
{
    struct curve_prior priors[CURVE_SHAPES];
    struct curve_options options = {
        .noise_sd = READING_SD, .noise_dof = READING_DOF, .loss = FIT_HUBER};
    bool learned = learn(list, arena, priors);
    for (int shape = 0; learned && shape < CURVE_SHAPES; shape++)
        options.prior[shape] = &priors[shape];
    if (learned)
        options.spare = SPARE_LEARNED;
    options.most_miss = most_miss(points);
    switch (curve_choose(points->hours, points->plato, points->n, &options, curve)) {
    case FIT_CONVERGED:
        return NULL;
    case FIT_TOO_FEW:
    case FIT_SINGULAR:
        return "too few readings";
    default:
        return "none goes through these readings";
    }
}

void plot_fit(struct plot_batch *batch, const struct history_list *list, struct arena *arena)
{
    struct plot_trace *trace = &batch->traces[READS_GRAVITY];
    struct points points = points_of(batch, arena);
    struct curve curve;
    trace->no_fit = why_none(&points);
    if (trace->no_fit == NULL)
        trace->no_fit = choose(&points, list, arena, &curve);
    if (trace->no_fit != NULL)
        return;
    trace->fit.items = arena_array(arena, FIT_POINTS, sizeof *trace->fit.items);
    double first = points.hours[0], last = points.hours[points.n - 1];
    for (int i = 0; i < FIT_POINTS; i++) {
        double hours = first + (last - first) * i / (FIT_POINTS - 1);
        struct curve_range range =
            curve_predict(&curve, hours, PLOT_FIT_CONFIDENCE, CURVE_OF_READING);
        trace->fit.items[trace->fit.n++] =
            (struct plot_point){hours / 24, range.value, range.low, range.high};
    }
}
