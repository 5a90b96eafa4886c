#include "curve_shape.h"

#include "pair.h"

#include <math.h>
#include <string.h>

static const double LN2 = 0.69314718055994530942;

static void prepare_exponential(const double *theta, struct curve_course *course)
{
    course->b = LN2 / theta[CURVE_HALF];
}

static void prepare_logistic(const double *theta, struct curve_course *course)
{
    course->b = exp(theta[CURVE_LOG_RATE]);
}

static void prepare_asymmetric(const double *theta, struct curve_course *course)
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
static void prepare_monod(const double *theta, struct curve_course *course)
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
    double hours[FIT_BLOCK];
    double x[FIT_BLOCK]; /* b (hours - half) */
};

/* Returns how many there are with the odd one's twin. */
static size_t take_hours(const struct curve_course *course, size_t first, size_t count,
                         struct pairs *pairs)
{
    size_t even = count + count % 2;
    memcpy(pairs->hours, course->hours + first, count * sizeof *pairs->hours);
    pairs->hours[even - 1] = course->hours[first + count - 1];
    return even;
}

/* The values and what follows from f alone, and what the midpoint form makes of the range times
 * df/dx. */
static inline void set_part(const struct curve_course *course, size_t i, pair f, double *value,
                            double (*gradient)[FIT_BLOCK])
{
    pair_store(value + i, pair_of(course->end) + pair_of(course->start - course->end) * f);
    pair_store(gradient[CURVE_START] + i, f);
    pair_store(gradient[CURVE_END] + i, 1 - f);
}

static inline void set_time(const struct curve_course *course, size_t i, pair x, pair slope,
                            double (*gradient)[FIT_BLOCK])
{
    pair_store(gradient[CURVE_HALF] + i, -slope * pair_of(course->b));
    pair_store(gradient[CURVE_LOG_RATE] + i, slope * x);
}

static void exponential(const double *theta, size_t first, size_t count, double *value,
                        double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct curve_course *course = data;
    struct pairs pairs;
    (void)theta;
    size_t n = take_hours(course, first, count, &pairs);
    double by_half = (course->start - course->end) / course->half;
    for (size_t i = 0; i < n; i += 2) {
        pair x = pair_of(course->b) * pair_load(pairs.hours + i), f = pair_exp(-x);
        set_part(course, i, f, value, gradient);
        pair_store(gradient[CURVE_HALF] + i, pair_of(by_half) * f * x);
    }
}

static void logistic(const double *theta, size_t first, size_t count, double *value,
                     double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct curve_course *course = data;
    struct pairs pairs;
    (void)theta;
    size_t n = take_hours(course, first, count, &pairs);
    for (size_t i = 0; i < n; i += 2) {
        pair x = pair_of(course->b) * (pair_load(pairs.hours + i) - pair_of(course->half));
        pair e = pair_exp(-pair_abs(x)), larger = 1 / (1 + e), smaller = e * larger;
        set_part(course, i, pair_choose(x > 0.0, smaller, larger), value, gradient);
        set_time(course, i, x, pair_of(course->end - course->start) * larger * smaller, gradient);
    }
}

/* log(1 + exp(at_half + x)) and its derivative, without overflow; sets x. */
static void soft_plus(const struct curve_course *course, struct pairs *pairs, size_t n, double *y,
                      double *slope)
{
    for (size_t i = 0; i < n; i += 2) {
        pair moved = pair_of(course->b) * (pair_load(pairs->hours + i) - pair_of(course->half));
        pair x = pair_of(course->at_half) + moved;
        pair_store(pairs->x + i, moved);
        pair_store(y + i, pair_exp(-pair_abs(x)));
    }
    for (size_t i = 0; i < n; i += 2) {
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
    const struct curve_course *course = data;
    double logarithm[FIT_BLOCK], gone[FIT_BLOCK];
    struct pairs pairs;
    (void)theta;
    size_t n = take_hours(course, first, count, &pairs);
    soft_plus(course, &pairs, n, logarithm, gone);
    for (size_t i = 0; i < n; i += 2) {
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
    const struct curve_course *course = data;
    double y[FIT_BLOCK], grown[FIT_BLOCK], u[FIT_BLOCK], z[FIT_BLOCK], left[FIT_BLOCK];
    pair c = pair_of(course->onset), k = pair_of(course->form);
    struct pairs pairs;
    (void)theta;
    size_t n = take_hours(course, first, count, &pairs);
    soft_plus(course, &pairs, n, y, grown);
    for (size_t i = 0; i < n; i += 2)
        pair_store(u + i, 1 - pair_load(y + i) / c);
    log_left(u, n, course->form, z, left);
    for (size_t i = 0; i < n; i += 2) {
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

const struct curve_form CURVE_FORMS[CURVE_SHAPES] = {
    [CURVE_EXPONENTIAL] = {CURVE_HALF + 1, exponential, prepare_exponential},
    [CURVE_LOGISTIC] = {CURVE_LOG_RATE + 1, logistic, prepare_logistic},
    [CURVE_ASYMMETRIC] = {CURVE_LOG_TAIL + 1, asymmetric, prepare_asymmetric},
    [CURVE_MONOD] = {CURVE_LOG_ONSET + 1, monod, prepare_monod},
};

void curve_prepare(const double *theta, void *data)
{
    struct curve_course *course = data;
    course->start = theta[CURVE_START];
    course->end = theta[CURVE_END];
    course->half = theta[CURVE_HALF];
    CURVE_FORMS[course->shape].prepare(theta, course);
}
