#include "curve.h"

#include "pair.h"
#include "special.h"

#include <math.h>
#include <string.h>

static const double LN2 = 0.69314718055994530942;

/* What all hours share under one theta. Every shape is a function of x = b (hours - half), or of
 * b hours, so the rest is its start, its end and the form of the function. */
struct course {
    enum curve_shape shape;
    const double *hours;
    double start, end, half, b;
    double form;    /* s (asymmetric), K (monod) */
    double onset;   /* c (monod) */
    double at_half; /* what is added to x: log(2^(1/s) - 1); a (half - lag) */
    double at_half_by_tail, at_half_by_onset;
    double log_b_by_tail, log_b_by_onset;
};

static void prepare_exponential(const double *theta, struct course *course)
{
    course->b = LN2 / theta[CURVE_HALF];
}

static void prepare_logistic(const double *theta, struct course *course)
{
    course->b = exp(theta[CURVE_LOG_RATE]);
}

static void prepare_asymmetric(const double *theta, struct course *course)
{
    double s = exp(theta[CURVE_LOG_TAIL]);
    double root_less_1 = expm1(LN2 / s), root = 1 + root_less_1; /* 2^(1/s) */
    double slope = 2 * s * root_less_1 / root; /* 4 |f'| / b at the half: 2 s (1 - 2^(-1/s)) */
    course->form = s;
    course->b = exp(theta[CURVE_LOG_RATE]) / slope;
    course->at_half = log(root_less_1);
    course->at_half_by_tail = -LN2 * root / (s * root_less_1);
    course->log_b_by_tail = 2 * LN2 / (root * slope) - 1;
}

/* log(exp(x) - 1), x > 0 */
static double log_expm1(double x)
{
    return x + log(-expm1(-x));
}

/* x = a (hours - lag), y = log(1 + exp(x)) = c (1 - f - K log f); at the half f = 1/2. */
static void prepare_monod(const double *theta, struct course *course)
{
    double k = exp(theta[CURVE_LOG_TAIL]), c = exp(theta[CURVE_LOG_ONSET]);
    double y = c * (0.5 + k * LN2);
    double grown = -expm1(-y), rest = exp(-y) / grown; /* dy/dx at the half; (1 - it) / it */
    course->form = k;
    course->onset = c;
    course->b = c * exp(theta[CURVE_LOG_RATE]) * (0.5 + k) / (2 * grown);
    course->at_half = log_expm1(y);
    course->at_half_by_tail = c * k * LN2 / grown;
    course->at_half_by_onset = y / grown;
    course->log_b_by_tail = k / (0.5 + k) - rest * c * k * LN2;
    course->log_b_by_onset = 1 - rest * y;
}

/* What a shape works on: as many pairs as a block has readings, and one more for an odd one. Each
 * step is a loop of its own: the machine then works on several pairs at a time. */
struct pairs {
    size_t count; /* readings, even */
    double hours[FIT_BLOCK];
    double x[FIT_BLOCK]; /* b (hours - half) */
};

static void take_hours(const struct course *course, size_t first, size_t count, struct pairs *pairs)
{
    memcpy(pairs->hours, course->hours + first, count * sizeof *pairs->hours);
    pairs->count = count + count % 2;
    pairs->hours[pairs->count - 1] = course->hours[first + count - 1];
}

/* The values and what follows from f alone, and what the midpoint form makes of the range times
 * df/dx. */
static inline void set_part(const struct course *course, size_t i, pair f, double *value,
                            double (*gradient)[FIT_BLOCK])
{
    pair_store(value + i, pair_of(course->end) + pair_of(course->start - course->end) * f);
    pair_store(gradient[CURVE_START] + i, f);
    pair_store(gradient[CURVE_END] + i, 1 - f);
}

static inline void set_time(const struct course *course, size_t i, pair x, pair slope,
                            double (*gradient)[FIT_BLOCK])
{
    pair_store(gradient[CURVE_HALF] + i, -slope * pair_of(course->b));
    pair_store(gradient[CURVE_LOG_RATE] + i, slope * x);
}

static void exponential(const double *theta, size_t first, size_t count, double *value,
                        double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct course *course = data;
    struct pairs pairs;
    (void)theta;
    take_hours(course, first, count, &pairs);
    double by_half = (course->start - course->end) / course->half;
    for (size_t i = 0; i < pairs.count; i += 2) {
        pair x = pair_of(course->b) * pair_load(pairs.hours + i), f = pair_exp(-x);
        set_part(course, i, f, value, gradient);
        pair_store(gradient[CURVE_HALF] + i, pair_of(by_half) * f * x);
    }
}

static void logistic(const double *theta, size_t first, size_t count, double *value,
                     double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct course *course = data;
    struct pairs pairs;
    (void)theta;
    take_hours(course, first, count, &pairs);
    for (size_t i = 0; i < pairs.count; i += 2) {
        pair x = pair_of(course->b) * (pair_load(pairs.hours + i) - pair_of(course->half));
        pair e = pair_exp(-pair_abs(x)), larger = 1 / (1 + e), smaller = e * larger;
        set_part(course, i, pair_choose(x > 0.0, smaller, larger), value, gradient);
        set_time(course, i, x, pair_of(course->end - course->start) * larger * smaller, gradient);
    }
}

/* log(1 + exp(at_half + x)) and its derivative, without overflow; sets x. */
static void soft_plus(const struct course *course, struct pairs *pairs, double *y, double *slope)
{
    for (size_t i = 0; i < pairs->count; i += 2) {
        pair moved = pair_of(course->b) * (pair_load(pairs->hours + i) - pair_of(course->half));
        pair x = pair_of(course->at_half) + moved;
        pair_store(pairs->x + i, moved);
        pair_store(y + i, pair_exp(-pair_abs(x)));
    }
    for (size_t i = 0; i < pairs->count; i += 2) {
        pair x = pair_of(course->at_half) + pair_load(pairs->x + i);
        pair e = pair_load(y + i), larger = 1 / (1 + e);
        pair_bits above = x > 0.0;
        pair_store(slope + i, pair_choose(above, larger, e * larger));
        pair_store(y + i, pair_choose(above, x, pair_of(0)) + pair_log(1 + e));
    }
}

static void asymmetric(const double *theta, size_t first, size_t count, double *value,
                       double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct course *course = data;
    double logarithm[FIT_BLOCK], gone[FIT_BLOCK];
    struct pairs pairs;
    (void)theta;
    take_hours(course, first, count, &pairs);
    soft_plus(course, &pairs, logarithm, gone);
    for (size_t i = 0; i < pairs.count; i += 2) {
        pair y = pair_load(logarithm + i), f = pair_exp(pair_of(-course->form) * y);
        pair scaled = pair_of((course->end - course->start) * course->form) * f;
        pair x = pair_load(pairs.x + i), slope = pair_load(gone + i);
        pair by_tail = pair_of(course->at_half_by_tail) + x * pair_of(course->log_b_by_tail);
        set_part(course, i, f, value, gradient);
        set_time(course, i, x, scaled * slope, gradient);
        pair_store(gradient[CURVE_LOG_TAIL] + i, scaled * (slope * by_tail + y));
    }
}

/* What one step of Halley's towards exp(z) + k z = u adds to z, where f = exp(z). */
static pair halley(pair z, pair f, pair u, double k)
{
    pair each = pair_of(k), slope = f + each, error = f + each * z - u;
    return -error * slope / (slope * slope - pair_of(0.5) * error * f);
}

/* Is one of the two still on its way? A step of so much leaves less than its cube. */
static bool is_moving(pair move)
{
    pair size = pair_abs(move);
    return size[0] > 1e-5 || size[1] > 1e-5;
}

/* z = log f with exp(z) + k z = u, u up to 1, and f: from z = 0 while much is left, else from the
 * straight part. */
static void log_left(const double *u, size_t n, double k, double *z, double *f)
{
    for (size_t i = 0; i < n; i += 2) {
        pair part = pair_load(u + i), move = halley(pair_of(0), pair_of(1), part, k);
        pair at = pair_choose(part > 0.0, move, part / pair_of(k));
        pair_store(z + i, at);
        pair_store(f + i, pair_exp(at));
    }
    for (size_t i = 0; i < n; i += 2) {
        pair part = pair_load(u + i), at = pair_load(z + i), left = pair_load(f + i);
        pair move = halley(at, left, part, k);
        for (int step = 0; step < 100 && is_moving(move); step++) {
            at += move;
            left = pair_exp(at);
            move = halley(at, left, part, k);
        }
        pair_store(z + i, at + move);
        pair_store(f + i, left * (1 + move * (1 + pair_of(0.5) * move)));
    }
}

static void monod(const double *theta, size_t first, size_t count, double *value,
                  double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct course *course = data;
    double y[FIT_BLOCK], grown[FIT_BLOCK], u[FIT_BLOCK], z[FIT_BLOCK], left[FIT_BLOCK];
    pair c = pair_of(course->onset), k = pair_of(course->form);
    struct pairs pairs;
    (void)theta;
    take_hours(course, first, count, &pairs);
    soft_plus(course, &pairs, y, grown);
    for (size_t i = 0; i < pairs.count; i += 2)
        pair_store(u + i, 1 - pair_load(y + i) / c);
    log_left(u, pairs.count, course->form, z, left);
    for (size_t i = 0; i < pairs.count; i += 2) {
        pair f = pair_load(left + i), x = pair_load(pairs.x + i);
        pair scaled = pair_of(course->start - course->end) * f / (f + k); /* by u */
        pair slope = -scaled * pair_load(grown + i) / c;
        pair by_tail = pair_of(course->at_half_by_tail) + x * pair_of(course->log_b_by_tail);
        pair by_onset = pair_of(course->at_half_by_onset) + x * pair_of(course->log_b_by_onset);
        set_part(course, i, f, value, gradient);
        set_time(course, i, x, slope, gradient);
        pair_store(gradient[CURVE_LOG_TAIL] + i, slope * by_tail - scaled * pair_load(z + i) * k);
        pair_store(gradient[CURVE_LOG_ONSET] + i, slope * by_onset + scaled * pair_load(y + i) / c);
    }
}

static const struct {
    size_t parameters;
    fit_model *model;
    void (*prepare)(const double *theta, struct course *course);
} shapes[CURVE_SHAPES] = {
    [CURVE_EXPONENTIAL] = {CURVE_HALF + 1, exponential, prepare_exponential},
    [CURVE_LOGISTIC] = {CURVE_LOG_RATE + 1, logistic, prepare_logistic},
    [CURVE_ASYMMETRIC] = {CURVE_LOG_TAIL + 1, asymmetric, prepare_asymmetric},
    [CURVE_MONOD] = {CURVE_LOG_ONSET + 1, monod, prepare_monod},
};

static void prepare(const double *theta, void *data)
{
    struct course *course = data;
    course->start = theta[CURVE_START];
    course->end = theta[CURVE_END];
    course->half = theta[CURVE_HALF];
    shapes[course->shape].prepare(theta, course);
}

/* Least and greatest of the readings: the room in which starts and bounds are set. */
struct extent {
    double first, last; /* hours */
    double low, high;   /* Plato */
    bool finite;
};

static struct extent extent_of(const double *hours, const double *plato, size_t n)
{
    struct extent extent = {INFINITY, -INFINITY, INFINITY, -INFINITY, true};
    double sum = 0; /* finite if all are */
    for (size_t i = 0; i < n; i++) {
        sum += hours[i] + plato[i];
        extent.first = hours[i] < extent.first ? hours[i] : extent.first;
        extent.last = hours[i] > extent.last ? hours[i] : extent.last;
        extent.low = plato[i] < extent.low ? plato[i] : extent.low;
        extent.high = plato[i] > extent.high ? plato[i] : extent.high;
    }
    extent.finite = isfinite(sum);
    return extent;
}

/* Many readings as a few: of each stretch of time two points on the straight line through its
 * readings, one sd of its hours before and after their mean. Any parabola has the same sum and the
 * same slope there (Gauss's quadrature), so a search among these costs little, and ends where that
 * among all has nearly arrived. */
enum { STRETCHES = 16, FEW = 2 * STRETCHES };

struct few {
    size_t n;
    double hours[FEW], plato[FEW], weight[FEW];
};

static void summarise(const double *hours, const double *plato, size_t n, struct few *few)
{
    double count = (double)n, mean = 0, level = 0, square = 0, product = 0;
    for (size_t i = 0; i < n; i++) {
        double x = hours[i] - hours[0], y = plato[i] - plato[0];
        mean += x;
        level += y;
        square += x * x;
        product += x * y;
    }
    mean /= count;
    level /= count;
    square = fmax(square / count - mean * mean, 0);
    double sd = sqrt(square), rise = sd > 0 ? (product / count - mean * level) / sd : 0;
    for (int side = -1; side <= 1; side += 2) {
        few->hours[few->n] = hours[0] + mean + side * sd;
        few->plato[few->n] = plato[0] + level + side * rise;
        few->weight[few->n++] = 0.5 * count;
    }
}

/* None where the readings are not many, or not in order. */
static void gather(const double *hours, const double *plato, size_t n, struct few *few)
{
    few->n = 0;
    if (n < 2 * FEW)
        return;
    for (size_t i = 1; i < n; i++) {
        if (hours[i] < hours[i - 1])
            return;
    }
    for (size_t i = 0; i < STRETCHES; i++) {
        size_t from = i * n / STRETCHES, to = (i + 1) * n / STRETCHES;
        summarise(hours + from, plato + from, to - from, few);
    }
}

static bool is_known(const struct curve_prior *prior, enum curve_parameter j)
{
    return prior && isfinite(prior->sd[j]);
}

/* Bounds that no sound fermentation touches; they keep a fit of too few readings in sight. What
 * the prior takes for likely is never outside. */
static void set_bounds(enum curve_shape shape, const struct extent *extent,
                       const struct curve_prior *prior, double *low, double *high)
{
    double range = extent->high - extent->low, span = extent->last - extent->first;
    const double bounds[CURVE_PARAMETERS][2] = {
        [CURVE_START] = {extent->low, extent->high + 2 * range},
        [CURVE_END] = {extent->low - 3 * range, extent->high},
        [CURVE_HALF] = {extent->first - 5 * span, extent->last + 10 * span},
        [CURVE_LOG_RATE] = {log(0.01 / span), log(1000 / span)},
        [CURVE_LOG_TAIL] = {shape == CURVE_MONOD ? -5 : -2.5, shape == CURVE_MONOD ? 2 : 3.5},
        [CURVE_LOG_ONSET] = {-1, 4},
    };
    for (int j = 0; j < CURVE_PARAMETERS; j++) {
        low[j] = bounds[j][0];
        high[j] = bounds[j][1];
        if (!is_known(prior, (enum curve_parameter)j))
            continue;
        low[j] = fmin(low[j], prior->mean[j] - 6 * prior->sd[j]);
        high[j] = fmax(high[j], prior->mean[j] + 6 * prior->sd[j]);
    }
    if (shape == CURVE_EXPONENTIAL)
        low[CURVE_HALF] = 0.001 * span;
}

/* A straight line through the readings on the scale where the shape is one: log f for the
 * exponential, the logit of f for the others; readings near either end count little. */
static void guess_time(enum curve_shape shape, const double *hours, const double *plato, size_t n,
                       double *theta)
{
    double range = theta[CURVE_START] - theta[CURVE_END];
    double sw = 0, st = 0, sv = 0, stt = 0, stv = 0;
    for (size_t i = 0; i < n; i++) {
        double f = (plato[i] - theta[CURVE_END]) / range;
        f = f < 0.01 ? 0.01 : f > 0.99 ? 0.99 : f;
        double w = f * (shape == CURVE_EXPONENTIAL ? 1 : 1 - f);
        w *= w;
        double v = shape == CURVE_EXPONENTIAL ? log(f) : log(f / (1 - f));
        sw += w;
        st += w * hours[i];
        sv += w * v;
        stt += w * hours[i] * hours[i];
        stv += w * hours[i] * v;
    }
    double slope = (sw * stv - st * sv) / (sw * stt - st * st);
    double rate = slope < 0 ? -slope : 0.05;
    theta[CURVE_HALF] = shape == CURVE_EXPONENTIAL ? LN2 / rate : (st + sv / rate) / sw;
    theta[CURVE_LOG_RATE] = log(rate);
}

/* Where a search begins: how far the end lies under the lowest reading, as a share of the range
 * seen, and the form of the tail (asymmetric s, monod K). Tried in turn. */
struct trial {
    double below, log_s, log_k;
};

static const struct trial trials[] = {
    {0.02, 0, -2}, {0.3, 0, -2}, {0.02, 1, 0}, {1, 0, -2}, {0.02, -1, -3},
};

enum { TRIALS = sizeof trials / sizeof *trials };

static void guess(enum curve_shape shape, const double *hours, const double *plato, size_t n,
                  const struct extent *extent, const struct curve_prior *prior,
                  const struct trial *trial, double *theta)
{
    double range = extent->high - extent->low;
    theta[CURVE_START] = extent->high + 0.02 * range;
    theta[CURVE_END] = extent->low - trial->below * range;
    theta[CURVE_LOG_TAIL] = shape == CURVE_MONOD ? trial->log_k : trial->log_s;
    theta[CURVE_LOG_ONSET] = 1.5;
    if (is_known(prior, CURVE_START))
        theta[CURVE_START] = fmax(prior->mean[CURVE_START], extent->high);
    if (is_known(prior, CURVE_END))
        theta[CURVE_END] = fmin(prior->mean[CURVE_END], extent->low - 0.01 * range);
    guess_time(shape, hours, plato, n, theta);
    for (int j = CURVE_LOG_TAIL; j < CURVE_PARAMETERS; j++) {
        if (is_known(prior, (enum curve_parameter)j))
            theta[j] = prior->mean[j];
    }
}

/* Akaike's criterion with its correction for few readings. The noise is told by the readings, or
 * known beforehand, or by so many degrees of freedom each. */
static double akaike(const struct fit *fit, const struct curve_options *options)
{
    double n = (double)fit->points, known = options->noise_dof;
    double rss = fmax(fit->rss, n * 1e-18);
    if (isinf(known))
        return rss / (options->noise_sd * options->noise_sd) + 2 * fit->effective;
    double count = n + known, k = fit->effective + 1;
    if (!(count - k - 1 > 0))
        return INFINITY;
    double variance = (rss + known * options->noise_sd * options->noise_sd) / count;
    return count * log(variance) + 2 * k + 2 * k * (k + 1) / (count - k - 1);
}

static enum fit_status refuse(enum curve_shape shape, enum fit_status status, size_t n,
                              struct curve *curve)
{
    *curve = (struct curve){.shape = shape, .aicc = INFINITY};
    curve->fit.status = status;
    curve->fit.points = n;
    curve->fit.parameters = shapes[shape].parameters;
    for (size_t j = 0; j < FIT_PARAMETERS; j++)
        curve->fit.theta[j] = NAN;
    return status;
}

/* Of a parameter's sd, the farthest from the best one; an offset is a mean over the parameters. */
static const double NEAR = 1e-4;

/* A search that needs more steps is on no good way, nor are searches that need more together, a
 * step among all readings counted by their number; and from where that among few ended it is not
 * far. */
enum { MOST_STEPS = 60, MOST_STEPS_OF_ALL = 80, MOST_STEPS_NEAR = 30 };

enum fit_status curve_fit(enum curve_shape shape, const double *hours, const double *plato,
                          size_t n, const struct curve_options *options, struct curve *curve)
{
    const struct curve_prior *prior = options->prior[shape];
    struct extent extent = extent_of(hours, plato, n);
    if (!extent.finite)
        return refuse(shape, FIT_BAD_INPUT, n, curve);
    if (n < 2 || !(extent.last > extent.first))
        return refuse(shape, FIT_TOO_FEW, n, curve);
    if (!(extent.high > extent.low))
        return refuse(shape, FIT_SINGULAR, n, curve);

    double low[CURVE_PARAMETERS], high[CURVE_PARAMETERS], theta[CURVE_PARAMETERS];
    struct course course = {.shape = shape, .hours = hours};
    struct fit_problem problem = {
        .model = shapes[shape].model,
        .prepare = prepare,
        .data = &course,
        .y = plato,
        .points = n,
        .parameters = shapes[shape].parameters,
        .low = low,
        .high = high,
        .prior_mean = prior ? prior->mean : NULL,
        .prior_sd = prior ? prior->sd : NULL,
        .noise_sd = options->noise_sd,
        .noise_dof = options->noise_dof,
        .loss = options->loss,
        .tolerance = NEAR / sqrt((double)shapes[shape].parameters),
        .iterations = MOST_STEPS_NEAR,
    };
    set_bounds(shape, &extent, prior, low, high);
    curve->shape = shape;
    struct few few;
    gather(hours, plato, n, &few);
    struct course few_course = {.shape = shape, .hours = few.hours};
    struct fit_problem search = problem;
    if (few.n > 0) {
        search.data = &few_course;
        search.y = few.plato;
        search.points = few.n;
        search.weight = few.weight;
        search.tolerance = 1e-2;
    }
    int left = MOST_STEPS_OF_ALL;
    bool is_found = false;
    for (size_t i = 0; i < TRIALS && left > 0 && !is_found; i++) {
        guess(shape, few.n ? few.hours : hours, few.n ? few.plato : plato, few.n ? few.n : n,
              &extent, prior, &trials[i], theta);
        search.iterations = left < MOST_STEPS ? left : MOST_STEPS;
        fit_solve(&search, theta, &curve->fit);
        left -= curve->fit.iterations;
        if (few.n > 0 && curve->fit.status == FIT_CONVERGED) {
            for (size_t j = 0; j < problem.parameters; j++)
                theta[j] = curve->fit.theta[j];
            fit_solve(&problem, theta, &curve->fit);
            left -= curve->fit.iterations * (int)(n / few.n);
        }
        is_found = curve->fit.status != FIT_NOT_CONVERGED && curve->fit.status != FIT_SINGULAR;
    }
    curve->aicc = curve->fit.status == FIT_CONVERGED ? akaike(&curve->fit, options) : INFINITY;
    return curve->fit.status;
}

/* Readings beyond the parameters that they pay for. */
static const double SPARE_READINGS = 2;

bool curve_goes_through(const struct curve *curve, const double *hours, const double *plato,
                        size_t n, double most_miss)
{
    for (size_t i = 0; i < n; i++)
        if (!(fabs(curve_plato(curve, hours[i]) - plato[i]) <= most_miss))
            return false;
    return true;
}

enum fit_status curve_choose(const double *hours, const double *plato, size_t n,
                             const struct curve_options *options, struct curve *curve)
{
    double spare = options->spare > 0 ? options->spare : SPARE_READINGS;
    refuse(CURVE_EXPONENTIAL, FIT_TOO_FEW, n, curve);
    for (int shape = 0; shape < CURVE_SHAPES; shape++) {
        struct curve trial;
        curve_fit((enum curve_shape)shape, hours, plato, n, options, &trial);
        double paid_for = trial.fit.status == FIT_CONVERGED ? trial.fit.effective
                                                            : (double)shapes[shape].parameters;
        if ((double)n < paid_for + spare)
            trial.fit.status = FIT_TOO_FEW;
        else if (trial.fit.status == FIT_CONVERGED && options->most_miss > 0 &&
                 !curve_goes_through(&trial, hours, plato, n, options->most_miss))
            trial.fit.status = FIT_NOT_CONVERGED;
        bool none_yet = curve->fit.status != FIT_CONVERGED;
        bool is_better = trial.fit.status == FIT_CONVERGED
                             ? none_yet || trial.aicc < curve->aicc
                             : none_yet && trial.fit.status != FIT_TOO_FEW;
        if (is_better)
            *curve = trial;
    }
    return curve->fit.status;
}

/* Degrees of freedom that the generic prior's spread counts for. */
static const double GENERIC_DOF = 3;

/* How much wider than a normal one of the same scale an 80 % interval of t is. */
static double widened(double dof)
{
    return special_t_quantile(0.9, dof) / special_normal_quantile(0.9);
}

/* One parameter: mean and sd of the next from n earlier ones (mean, squares about it). Normal,
 * inverse chi-squared: Gelman et al., Bayesian Data Analysis, 3.3 (from memory). */
static void learn_one(double mean, double squares, double n, double generic_mean, double generic_sd,
                      double *next_mean, double *next_sd)
{
    bool known = isfinite(generic_sd);
    *next_mean = known ? generic_mean : mean;
    *next_sd = generic_sd;
    if (n == 0 || generic_sd == 0 || (!known && n < 3))
        return;
    double count = n + known, dof = known ? n + GENERIC_DOF : n - 1;
    if (known) {
        squares += GENERIC_DOF * generic_sd * generic_sd +
                   n / count * (mean - generic_mean) * (mean - generic_mean);
        *next_mean = (generic_mean + n * mean) / count;
    }
    *next_sd = sqrt(squares / dof * (1 + 1 / count)) * widened(dof);
}

void curve_learn(enum curve_shape shape, const struct curve *earlier, size_t n,
                 const struct curve_prior *generic, struct curve_prior *prior)
{
    for (size_t j = 0; j < CURVE_PARAMETERS; j++) {
        double count = 0, mean = 0, squares = 0;
        for (size_t i = 0; i < n; i++) {
            if (earlier[i].shape != shape || earlier[i].fit.status != FIT_CONVERGED ||
                j >= shapes[shape].parameters)
                continue;
            /* Welford's running mean. */
            double difference = earlier[i].fit.theta[j] - mean;
            mean += difference / ++count;
            squares += difference * (earlier[i].fit.theta[j] - mean);
        }
        learn_one(mean, squares, count, generic->mean[j], generic->sd[j], &prior->mean[j],
                  &prior->sd[j]);
    }
}

static struct course course_of(const struct curve *curve, const double *hours)
{
    struct course course = {.shape = curve->shape, .hours = hours};
    prepare(curve->fit.theta, &course);
    return course;
}

/* The gravity at one time and its derivatives. */
static double model_at(const struct curve *curve, double hours, double *gradient)
{
    struct course course = course_of(curve, &hours);
    double value[FIT_BLOCK], columns[CURVE_PARAMETERS][FIT_BLOCK];
    shapes[curve->shape].model(curve->fit.theta, 0, 1, value, columns, &course);
    for (size_t j = 0; j < shapes[curve->shape].parameters; j++)
        gradient[j] = columns[j][0];
    return value[0];
}

double curve_plato(const struct curve *curve, double hours)
{
    double gradient[CURVE_PARAMETERS];
    return model_at(curve, hours, gradient);
}

static double quantile_of(const struct curve *curve, double confidence)
{
    return special_t_quantile(0.5 + 0.5 * confidence, curve->fit.dof);
}

struct curve_range curve_predict(const struct curve *curve, double hours, double confidence,
                                 enum curve_band band)
{
    double gradient[CURVE_PARAMETERS];
    double value = model_at(curve, hours, gradient);
    double variance = fit_variance(&curve->fit, gradient);
    if (band == CURVE_OF_READING)
        variance += curve->fit.residual_sd * curve->fit.residual_sd;
    double half = quantile_of(curve, confidence) * sqrt(variance);
    return (struct curve_range){value, value - half, value + half};
}
