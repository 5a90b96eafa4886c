#include "curve.h"

#include "curve_shape.h"
#include "special.h"

#include <math.h>

static const double LN2 = 0.69314718055994530942;

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
    curve->fit.parameters = CURVE_FORMS[shape].parameters;
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
    struct curve_course course = {.shape = shape, .hours = hours};
    struct fit_problem problem = {
        .model = CURVE_FORMS[shape].model,
        .prepare = curve_prepare,
        .data = &course,
        .y = plato,
        .points = n,
        .parameters = CURVE_FORMS[shape].parameters,
        .low = low,
        .high = high,
        .prior_mean = prior ? prior->mean : NULL,
        .prior_sd = prior ? prior->sd : NULL,
        .noise_sd = options->noise_sd,
        .noise_dof = options->noise_dof,
        .loss = options->loss,
        .tolerance = NEAR / sqrt((double)CURVE_FORMS[shape].parameters),
        .iterations = MOST_STEPS_NEAR,
    };
    set_bounds(shape, &extent, prior, low, high);
    curve->shape = shape;
    struct few few;
    gather(hours, plato, n, &few);
    struct curve_course few_course = {.shape = shape, .hours = few.hours};
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
                                                            : (double)CURVE_FORMS[shape].parameters;
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
                j >= CURVE_FORMS[shape].parameters)
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

/* The gravity at one time and its derivatives. */
static double model_at(const struct curve *curve, double hours, double *gradient)
{
    struct curve_course course = {.shape = curve->shape, .hours = &hours};
    double value[FIT_BLOCK], columns[CURVE_PARAMETERS][FIT_BLOCK];
    curve_prepare(curve->fit.theta, &course);
    CURVE_FORMS[curve->shape].model(curve->fit.theta, 0, 1, value, columns, &course);
    for (size_t j = 0; j < CURVE_FORMS[curve->shape].parameters; j++)
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
