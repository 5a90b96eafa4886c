/* Curves of gravity: derivatives, what is learned, what the bands promise (by
 * simulation), and readings that carry no curve. */
#include "curve.h"
#include "noise.h"
#include "reached.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const name_of[CURVE_SHAPES] = {"exponential", "logistic", "asymmetric", "monod"};

static const size_t parameters_of[CURVE_SHAPES] = {3, 4, 5, 6};

/* A curve as if it had been fitted, without error. */
static struct curve known(enum curve_shape shape, const double *theta)
{
    struct curve curve = {.shape = shape};
    curve.fit.parameters = parameters_of[shape];
    for (size_t j = 0; j < CURVE_PARAMETERS; j++)
        curve.fit.theta[j] = theta[j];
    return curve;
}

/* start, end, half, log rate, log tail, log onset */
static const double ordinary[CURVE_SHAPES][CURVE_PARAMETERS] = {
    [CURVE_EXPONENTIAL] = {12, 2.5, 40, 0, 0, 0},
    [CURVE_LOGISTIC] = {12, 2.5, 50, -2.5, 0, 0},
    [CURVE_ASYMMETRIC] = {12, 2.5, 50, -2.5, 0.7, 0},
    [CURVE_MONOD] = {12, 2.5, 50, -2.5, -1.9, 1.8},
};

/* How fast a curve falls, P an hour: a later half moves all of it by as much, and the band of an
 * error of one hour in the half is as wide as that. Not of the exponential. */
static double fall_of(const struct curve *curve, double hours)
{
    struct curve unsure = *curve;
    unsure.fit.covariance[CURVE_HALF][CURVE_HALF] = 1;
    unsure.fit.dof = INFINITY;
    struct curve_range band = curve_predict(&unsure, hours, 0.6826894921370859, CURVE_OF_MEAN);
    return band.high - band.value;
}

static void half_and_rate_mean_what_they_say(void **state)
{
    (void)state;
    for (int i = 0; i < CURVE_SHAPES; i++) {
        enum curve_shape shape = (enum curve_shape)i;
        struct curve curve = known(shape, ordinary[shape]);
        double half = ordinary[shape][CURVE_HALF];
        if (fabs(curve_plato(&curve, half) - 7.25) > 1e-12)
            fail_msg("%s: %.12f at the half", name_of[shape], curve_plato(&curve, half));
        double rate = 4 * fall_of(&curve, half) / 9.5;
        if (shape != CURVE_EXPONENTIAL && fabs(log(rate) - ordinary[shape][CURVE_LOG_RATE]) > 1e-12)
            fail_msg("%s: rate %.12f", name_of[shape], rate);
        /* Far before and far after. */
        if (shape != CURVE_EXPONENTIAL && fabs(curve_plato(&curve, -1e5) - 12) > 1e-9)
            fail_msg("%s: begins at %.12f", name_of[shape], curve_plato(&curve, -1e5));
        if (fabs(curve_plato(&curve, 1e5) - 2.5) > 1e-9)
            fail_msg("%s: ends at %.12f", name_of[shape], curve_plato(&curve, 1e5));
    }
}

static void asymmetric_one_is_the_logistic(void **state)
{
    (void)state;
    static const double theta[] = {12, 2.5, 50, -2.5, 0, 0};
    struct curve asymmetric = known(CURVE_ASYMMETRIC, theta),
                 logistic = known(CURVE_LOGISTIC, theta);
    for (double hours = -50; hours < 300; hours += 7)
        assert_true(fabs(curve_plato(&asymmetric, hours) - curve_plato(&logistic, hours)) < 1e-12);
}

/* The monod curve must do what its equation says: an hour's loss is V f / (f + K) times the part
 * of the yeast that has grown, and that part is a logistic of rate a = c V about one hour, the lag.
 */
static void monod_obeys_its_equation(void **state)
{
    (void)state;
    const double *theta = ordinary[CURVE_MONOD];
    struct curve curve = known(CURVE_MONOD, theta);
    double k = exp(theta[CURVE_LOG_TAIL]), c = exp(theta[CURVE_LOG_ONSET]);
    double lag = NAN, speed = 0;
    for (double hours = 130; hours > 5; hours -= 5) {
        double f = (curve_plato(&curve, hours) - 2.5) / 9.5;
        double uptake = fall_of(&curve, hours) / 9.5 * (f + k) / f;
        if (hours == 130) /* long after the lag */
            speed = uptake;
        if (hours == 30) /* half way up */
            lag = hours - log(uptake / (speed - uptake)) / (c * speed);
        if (isnan(lag))
            continue;
        double grown = 1 / (1 + exp(-c * speed * (hours - lag)));
        if (fabs(uptake / (speed * grown) - 1) > 1e-5)
            fail_msg("%g h: %.9f instead of %.9f", hours, uptake, speed * grown);
    }
}

/* curve_fit's derivatives are inside; what shows them wrong is a band that does not follow, so
 * they are compared through the variance that each parameter alone gives. */
static void derivatives(void **state)
{
    (void)state;
    struct noise noise = {8};
    double worst = 0;
    for (int round = 0; round < 4000; round++) {
        enum curve_shape shape = (enum curve_shape)(round % CURVE_SHAPES);
        double theta[CURVE_PARAMETERS] = {
            8 + 8 * noise_even(&noise),  1 + 4 * noise_even(&noise),  20 + 100 * noise_even(&noise),
            -4 + 3 * noise_even(&noise), -2 + 4 * noise_even(&noise), 3 * noise_even(&noise)};
        double hours = 250 * noise_even(&noise) - 20;
        if (shape == CURVE_EXPONENTIAL)
            hours = fabs(hours);
        for (size_t j = 0; j < parameters_of[shape]; j++) {
            struct curve curve = known(shape, theta), up = curve, down = curve;
            curve.fit.covariance[j][j] = 1;
            curve.fit.dof = INFINITY;
            struct curve_range band =
                curve_predict(&curve, hours, 0.6826894921370859, CURVE_OF_MEAN);
            double exact = band.high - band.value;
            double step = 1e-5 * fmax(1, fabs(theta[j]));
            up.fit.theta[j] += step;
            down.fit.theta[j] -= step;
            double slope = fabs(curve_plato(&up, hours) - curve_plato(&down, hours)) / (2 * step);
            double error = fabs(exact - slope) / fmax(1, slope);
            worst = fmax(worst, error);
            if (!(error < 1e-6))
                fail_msg("%s, parameter %zu, %.1f h: %.9g instead of %.9g", name_of[shape], j,
                         hours, exact, slope);
        }
    }
    print_message("note: derivatives of curves against differences: at most %.0e off\n", worst);
}

/* Readings of a course: every `step` hours, with noise, on a scale of `scale` (0: exact). */
static size_t course_readings(const struct curve *truth, double last, double step, double noise_sd,
                              double scale, struct noise *noise, double *hours, double *plato)
{
    size_t n = 0;
    for (double t = step / 3; t <= last; t += step) {
        double value = curve_plato(truth, t) + noise_sd * noise_normal(noise);
        hours[n] = t;
        plato[n++] = scale > 0 ? scale * round(value / scale) : value;
    }
    return n;
}

enum { MOST = 64 };

static void each_shape_finds_itself(void **state)
{
    (void)state;
    struct noise noise = {3};
    double hours[MOST], plato[MOST];
    const struct curve_options options = {0};
    for (int i = 0; i < CURVE_SHAPES; i++) {
        enum curve_shape shape = (enum curve_shape)i;
        struct curve truth = known(shape, ordinary[shape]), found;
        size_t n = course_readings(&truth, 150, 8, 0, 0, &noise, hours, plato);
        enum fit_status status = curve_fit(shape, hours, plato, n, &options, &found);
        if (status != FIT_CONVERGED)
            fail_msg("%s: status %d", name_of[shape], (int)status);
        for (size_t j = 0; j < parameters_of[shape]; j++) {
            if (fabs(found.fit.theta[j] - ordinary[shape][j]) > 1e-5)
                fail_msg("%s: parameter %zu is %.9f", name_of[shape], j, found.fit.theta[j]);
        }
    }
}

/* A curve as a model of its own, its derivatives by differences. */
static void by_differences(const double *theta, size_t first, size_t count, double *value,
                           double (*gradient)[FIT_BLOCK], const void *data)
{
    const struct curve *like = ((const struct curve *const *)data)[0];
    const double *hours = ((const double *const *)data)[1];
    for (size_t j = 0; j <= like->fit.parameters; j++) {
        struct curve up = known(like->shape, theta), down = up;
        double step = j > 0 ? 1e-5 * fmax(1, fabs(theta[j - 1])) : 0;
        up.fit.theta[j > 0 ? j - 1 : 0] += step;
        down.fit.theta[j > 0 ? j - 1 : 0] -= step;
        for (size_t i = 0; i < count; i++) {
            double high = curve_plato(&up, hours[first + i]);
            if (j == 0)
                value[i] = high;
            else
                gradient[j - 1][i] = (high - curve_plato(&down, hours[first + i])) / (2 * step);
        }
    }
}

/* The promise of 0.0001 sd, against a search from there that goes on to the last digits. */
static void result_is_near_the_best(void **state)
{
    (void)state;
    enum { ROUNDS = 1200, MANY = 150 };
    static const size_t sizes[] = {12, 21, 48, MANY};
    struct noise noise = {31};
    double hours[MANY], plato[MANY], worst = 0;
    int compared = 0;
    for (int round = 0; round < ROUNDS; round++) {
        enum curve_shape shape = (enum curve_shape)(round % CURVE_SHAPES);
        size_t n = sizes[round / 4 % 4];
        double theta[CURVE_PARAMETERS];
        for (size_t j = 0; j < CURVE_PARAMETERS; j++)
            theta[j] = ordinary[shape][j];
        theta[CURVE_HALF] += 8 * noise_normal(&noise);
        theta[CURVE_LOG_RATE] += 0.2 * noise_normal(&noise);
        struct curve truth = known(shape, theta), found;
        struct curve_options options = {.noise_sd = 0.08, .noise_dof = 5};
        options.loss = round / 16 % 2 ? FIT_HUBER : FIT_SQUARES;
        for (size_t i = 0; i < n; i++) {
            hours[i] = 170 * (double)i / (double)n;
            plato[i] = curve_plato(&truth, hours[i]) + 0.08 * noise_normal(&noise);
            if (round / 32 % 2 && noise_even(&noise) < 0.1)
                plato[i] += 1;
        }
        if (curve_fit(shape, hours, plato, n, &options, &found) != FIT_CONVERGED)
            continue;
        bool on_bound = false;
        for (size_t j = 0; j < found.fit.parameters; j++)
            on_bound = on_bound || found.fit.on_bound[j];
        const void *data[] = {&found, hours};
        struct fit_problem problem = {
            .model = by_differences,
            .data = data,
            .y = plato,
            .points = n,
            .parameters = found.fit.parameters,
            .noise_sd = options.noise_sd,
            .noise_dof = options.noise_dof,
            .loss = options.loss,
        };
        struct fit best;
        if (!on_bound)
            fit_solve(&problem, found.fit.theta, &best);
        if (on_bound || best.status != FIT_CONVERGED)
            continue;
        compared++;
        for (size_t j = 0; j < best.parameters; j++) {
            double off = fabs(best.theta[j] - found.fit.theta[j]) / sqrt(best.covariance[j][j]);
            worst = fmax(worst, off);
            if (!(off <= 1e-4))
                fail_msg("round %d, %s, %zu readings: parameter %zu is %.1e of its sd off", round,
                         name_of[shape], n, j, off);
        }
    }
    print_message("note: of %d fits the farthest is %.0e of an sd from the best\n", compared,
                  worst);
    assert_true(compared > ROUNDS * 8 / 10);
}

/* How often each shape is chosen for courses of each shape. A shape of more parameters must not
 * win where fewer do. */
static void choice_pays_for_parameters(void **state)
{
    (void)state;
    enum { COURSES = 200 };
    struct noise noise = {12};
    double hours[MOST], plato[MOST];
    const struct curve_options options = {0};
    /* In 100; the asymmetric and the monod curve are much alike. */
    static const int least_right[CURVE_SHAPES] = {80, 80, 60, 80};
    static const int most_larger[CURVE_SHAPES] = {20, 20, 40, 0};
    for (int i = 0; i < CURVE_SHAPES; i++) {
        int chosen[CURVE_SHAPES] = {0}, more = 0;
        struct curve truth = known((enum curve_shape)i, ordinary[i]), found;
        for (int course = 0; course < COURSES; course++) {
            size_t n = course_readings(&truth, 160, 8, 0.05, 0, &noise, hours, plato);
            assert_int_equal(curve_choose(hours, plato, n, &options, &found), FIT_CONVERGED);
            chosen[found.shape]++;
            more += found.shape > truth.shape;
        }
        print_message("note: chosen for %s courses: exponential %d, logistic %d, asymmetric %d, "
                      "monod %d of %d\n",
                      name_of[i], chosen[0], chosen[1], chosen[2], chosen[3], COURSES);
        if (100 * chosen[i] < least_right[i] * COURSES || 100 * more > most_larger[i] * COURSES)
            fail_msg("%s: chosen %d of %d", name_of[i], chosen[i], COURSES);
    }
}

/* What keeps a curve from being chosen: a reading too far from every curve, too few to spare. */
static void choice_is_refused(void **state)
{
    (void)state;
    static const double hours[] = {0, 12, 24, 36, 48, 60, 72, 84, 96};
    static const double even[] = {12, 11.4, 9.6, 7, 4.9, 3.7, 3.2, 3, 2.9};
    static const double slip[] = {12, 11.4, 9.6, 7, 9.4, 3.7, 3.2, 3, 2.9};
    static const struct {
        const char *title;
        const double *plato;
        size_t n;
        double spare, most_miss;
        enum fit_status status;
    } rows[] = {
        {"an even course", even, COUNT(even), 0, 0, FIT_CONVERGED},
        {"an even course, and it must go through", even, COUNT(even), 0, 0.5, FIT_CONVERGED},
        {"a slipped digit, and it need not go through", slip, COUNT(slip), 0, 0, FIT_CONVERGED},
        {"a slipped digit, and it must go through", slip, COUNT(slip), 0, 0.5, FIT_NOT_CONVERGED},
        {"four readings, three to spare", even, 4, 3, 0, FIT_TOO_FEW},
        {"four readings, one to spare", even, 4, 1, 0, FIT_CONVERGED},
        {"nine readings, seven to spare", even, COUNT(even), 7, 0, FIT_TOO_FEW},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct curve_options options = {.loss = FIT_HUBER,
                                        .noise_sd = 0.07,
                                        .noise_dof = 4,
                                        .spare = rows[i].spare,
                                        .most_miss = rows[i].most_miss};
        struct curve curve;
        enum fit_status status = curve_choose(hours, rows[i].plato, rows[i].n, &options, &curve);
        if (status != rows[i].status)
            fail_msg("%s: status %d", rows[i].title, (int)status);
    }
}

/* The promise of band and interval, over random courses of each shape. The logistic and the
 * exponential stand alone; the longer ones are given what a cellar would know of them. */
struct coverage {
    int fitted, mean, reading;
};

static void cover(enum curve_shape shape, const struct curve_options *options, double step,
                  double to, struct noise *noise, struct coverage *coverage)
{
    double hours[MOST], plato[MOST], theta[CURVE_PARAMETERS];
    for (size_t j = 0; j < CURVE_PARAMETERS; j++)
        theta[j] = ordinary[shape][j];
    theta[CURVE_HALF] += 8 * noise_normal(noise);
    theta[CURVE_LOG_RATE] += 0.2 * noise_normal(noise);
    const struct curve_prior *prior = options->prior[shape];
    for (size_t j = 0; prior && j < CURVE_PARAMETERS; j++) {
        if (isfinite(prior->sd[j]))
            theta[j] = prior->mean[j] + prior->sd[j] * noise_normal(noise);
    }
    struct curve truth = known(shape, theta), found;
    double now = reached(&truth, theta[CURVE_END] + to * (theta[CURVE_START] - theta[CURVE_END]));
    size_t n = course_readings(&truth, now, step, options->noise_sd, 0, noise, hours, plato);
    if (curve_fit(shape, hours, plato, n, options, &found) != FIT_CONVERGED ||
        isnan(found.fit.residual_sd))
        return;
    coverage->fitted++;
    double later = now + 24, expected = curve_plato(&truth, later);
    double reading = expected + options->noise_sd * noise_normal(noise);
    struct curve_range mean = curve_predict(&found, later, 0.8, CURVE_OF_MEAN);
    struct curve_range one = curve_predict(&found, later, 0.8, CURVE_OF_READING);
    coverage->mean += mean.low <= expected && expected <= mean.high;
    coverage->reading += one.low <= reading && reading <= one.high;
}

static void bands_hold_their_promise(void **state)
{
    (void)state;
    enum { COURSES = 1000 };
    static const struct curve_prior tail = {.mean = {12, 2.5, 50, -2.5, 0.4, 0},
                                            .sd = {0.2, 0.2, INFINITY, INFINITY, 0.4, INFINITY}};
    static const struct curve_prior limited = {.mean = {12, 2.5, 50, -2.5, -1.9, 1.8},
                                               .sd = {0.2, 0.2, 12, 0.3, 0.4, 0.5}};
    static const struct {
        const char *title;
        enum curve_shape shape;
        const struct curve_prior *prior;
        double step, to;  /* hours between readings; part left at the last one */
        double noise_dof; /* behind what is known of the noise */
    } rows[] = {
        {"exponential, to 10 % left", CURVE_EXPONENTIAL, NULL, 8, 0.1, 0},
        {"logistic, to 10 % left", CURVE_LOGISTIC, NULL, 8, 0.1, 0},
        {"logistic, twice a day", CURVE_LOGISTIC, NULL, 12, 0.05, 0},
        {"asymmetric with prior, to 20 % left", CURVE_ASYMMETRIC, &tail, 8, 0.2, 20},
        {"monod with prior, to 40 % left", CURVE_MONOD, &limited, 8, 0.4, 20},
        {"monod with prior, once a day", CURVE_MONOD, &limited, 24, 0.2, 20},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct noise noise = {100 + i};
        struct curve_options options = {.noise_sd = 0.08};
        options.noise_dof = rows[i].noise_dof;
        options.prior[rows[i].shape] = rows[i].prior;
        struct coverage got = {0};
        for (int course = 0; course < COURSES; course++)
            cover(rows[i].shape, &options, rows[i].step, rows[i].to, &noise, &got);
        double fitted = got.fitted;
        print_message("note: 80 %% bands, %s: curve %.0f, reading %.0f of 100; fitted %d of %d\n",
                      rows[i].title, 100 * got.mean / fitted, 100 * got.reading / fitted,
                      got.fitted, COURSES);
        double shares[] = {got.mean / fitted, got.reading / fitted};
        bool held = got.fitted >= 0.95 * COURSES;
        for (size_t j = 0; j < COUNT(shares); j++)
            held = held && shares[j] >= 0.75 && shares[j] <= 0.88;
        if (!held)
            fail_msg("%s", rows[i].title);
    }
}

static const struct {
    const char *title;
    size_t n;
    double hours[6], plato[6];
    enum fit_status status;
} poor[] = {
    {"none", 0, {0}, {0}, FIT_TOO_FEW},
    {"one", 1, {20}, {11}, FIT_TOO_FEW},
    {"all at one hour", 3, {20, 20, 20}, {11, 10.9, 11.1}, FIT_TOO_FEW},
    {"two", 2, {0, 24}, {12, 11}, FIT_TOO_FEW},
    {"flat", 5, {0, 24, 48, 72, 96}, {12, 12, 12, 12, 12}, FIT_SINGULAR},
    {"a NAN", 4, {0, 24, 48, 72}, {12, NAN, 8, 4}, FIT_BAD_INPUT},
    {"an endless hour", 4, {0, INFINITY, 48, 72}, {12, 11, 8, 4}, FIT_BAD_INPUT},
    {"figures too large to square",
     5,
     {0, 24, 48, 72, 96},
     {1e200, 9e199, 4e199, 3e199, 2e199},
     FIT_BAD_INPUT},
    {"the largest there are",
     5,
     {0, 24, 48, 72, 96},
     {1e308, -1e308, 1e308, -1e308, 1e308},
     FIT_BAD_INPUT},
};

/* Odd, but not to be refused by how they look: hours, and what they come to. */
static const struct {
    const char *title;
    size_t n;
    double hours[6], plato[6];
} odd[] = {
    {"hours too large", 6, {0, 1e300, 2e300, 3e300, 4e300, 5e300}, {12, 11, 8, 5, 3, 2.5}},
    {"hours beyond what a span can be",
     6,
     {-1e308, 0, 1e308, 1.2e308, 1.4e308, 1.6e308},
     {12, 11, 8, 5, 3, 2.5}},
    {"hours too near", 6, {0, 1e-300, 2e-300, 3e-300, 4e-300, 5e-300}, {12, 11, 8, 5, 3, 2.5}},
    {"a step of the last digit of a double",
     6,
     {0, 12, 24, 36, 48, 60},
     {1e16, 1e16 + 2, 1e16, 1e16 + 2, 1e16, 1e16 + 4}},
    {"the smallest there are",
     6,
     {0, 24, 48, 72, 96, 120},
     {4e-320, 4e-320, 3e-320, 2e-320, 1e-320, 0}},
    {"two at each hour", 6, {0, 0, 24, 24, 48, 48}, {12, 12.1, 8, 8.1, 4, 4.1}},
    {"two levels", 6, {0, 12, 24, 36, 48, 60}, {12, 12, 12, 3, 3, 3}},
    {"the last one alone is lower", 6, {0, 12, 24, 36, 48, 60}, {12, 12, 12, 12, 12, 3}},
    {"backwards", 6, {60, 48, 36, 24, 12, 0}, {2.5, 3, 5, 8, 11, 12}},
    {"up and down", 6, {0, 12, 24, 36, 48, 60}, {12, 9, 12, 9, 12, 9}},
    {"rising", 6, {0, 12, 24, 36, 48, 60}, {2, 3, 5, 8, 11, 12}},
    {"far before and after the pitch", 6, {-5000, 0, 24, 48, 72, 9000}, {12, 12, 9, 5, 3, 2.5}},
};

static void odd_readings_come_back(void **state)
{
    (void)state;
    static const struct curve_options how[] = {
        {0},
        {.noise_sd = 0.07, .noise_dof = 4, .loss = FIT_HUBER},
        {.noise_sd = 1, .loss = FIT_HUBER}};
    for (size_t i = 0; i < COUNT(odd); i++) {
        for (int round = 0; round < CURVE_SHAPES * (int)COUNT(how); round++) {
            struct curve curve;
            enum curve_shape shape = (enum curve_shape)(round % CURVE_SHAPES);
            enum fit_status status = curve_fit(shape, odd[i].hours, odd[i].plato, odd[i].n,
                                               &how[round / CURVE_SHAPES], &curve);
            assert_int_equal(status, curve.fit.status);
            if (status != FIT_CONVERGED)
                continue;
            struct curve_range band = curve_predict(&curve, 30, 0.8, CURVE_OF_READING);
            if (!isfinite(band.value) || band.low > band.value || band.high < band.value)
                fail_msg("%s, %s: %g %g %g", odd[i].title, name_of[shape], band.low, band.value,
                         band.high);
        }
    }
}

static void poor_readings_carry_no_curve(void **state)
{
    (void)state;
    const struct curve_options options = {0};
    for (size_t i = 0; i < COUNT(poor); i++) {
        for (int shape = 0; shape < CURVE_SHAPES; shape++) {
            struct curve curve;
            enum fit_status status = curve_fit((enum curve_shape)shape, poor[i].hours,
                                               poor[i].plato, poor[i].n, &options, &curve);
            if (status != poor[i].status || curve.fit.status != status)
                fail_msg("%s, %s: status %d", poor[i].title, name_of[shape], (int)status);
        }
        struct curve curve;
        if (curve_choose(poor[i].hours, poor[i].plato, poor[i].n, &options, &curve) ==
            FIT_CONVERGED)
            fail_msg("%s: chose %s", poor[i].title, name_of[curve.shape]);
        if (!isnan(curve_predict(&curve, 3, 0.8, CURVE_OF_MEAN).value))
            fail_msg("%s: a refused curve gives figures", poor[i].title);
    }
}

/* Rising, scattered, two levels: whatever comes of it, it comes back and is finite or refused. */
static void wild_readings_come_back(void **state)
{
    (void)state;
    struct noise noise = {6};
    for (int round = 0; round < 400; round++) {
        double hours[12], plato[12];
        size_t n = 2 + (size_t)(10 * noise_even(&noise));
        for (size_t i = 0; i < n; i++) {
            hours[i] = round % 3 ? 24.0 * (double)i : 200 * noise_even(&noise);
            plato[i] = round % 4 == 0   ? 3 + (double)i
                       : round % 4 == 1 ? 12 * noise_even(&noise)
                       : round % 4 == 2 ? (i % 2 ? 3.1 : 3)
                                        : 1e6 * noise_normal(&noise);
        }
        const struct curve_options options = {0};
        struct curve curve;
        if (curve_choose(hours, plato, n, &options, &curve) != FIT_CONVERGED)
            continue;
        struct curve_range band = curve_predict(&curve, 100, 0.8, CURVE_OF_READING);
        if (!isfinite(band.value) || band.low > band.value || band.high < band.value)
            fail_msg("round %d: %g %g %g", round, band.low, band.value, band.high);
    }
}

/* Where readings are few the band is as many standard deviations wide as Student's t says; where
 * the noise is known, as the normal distribution does. */
static void few_readings_widen_the_band(void **state)
{
    (void)state;
    static const struct {
        size_t n;
        double noise_dof, dof, times; /* t(0.975), from memory, in every table of it */
    } rows[] = {{6, 0, 2, 4.30265},   {7, 0, 3, 3.18245},  {9, 0, 5, 2.57058},
                {14, 0, 10, 2.22814}, {6, 8, 10, 2.22814}, {6, INFINITY, INFINITY, 1.95996}};
    struct noise noise = {17};
    double hours[MOST], plato[MOST];
    struct curve truth = known(CURVE_LOGISTIC, ordinary[CURVE_LOGISTIC]), found;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct curve_options options = {.noise_sd = 0.05, .noise_dof = rows[i].noise_dof};
        double step = 120.0 / (double)rows[i].n;
        for (size_t k = 0; k < rows[i].n; k++) {
            hours[k] = step * ((double)k + 0.5);
            plato[k] = curve_plato(&truth, hours[k]) + 0.05 * noise_normal(&noise);
        }
        assert_int_equal(curve_fit(CURVE_LOGISTIC, hours, plato, rows[i].n, &options, &found),
                         FIT_CONVERGED);
        struct curve_range mean = curve_predict(&found, 60, 0.95, CURVE_OF_MEAN);
        struct curve_range one = curve_predict(&found, 60, 0.95, CURVE_OF_READING);
        double square = pow((one.high - one.value) / rows[i].times, 2) -
                        pow((mean.high - mean.value) / rows[i].times, 2);
        double sd = found.fit.residual_sd;
        if (found.fit.dof != rows[i].dof || fabs(sqrt(square) / sd - 1) > 1e-4)
            fail_msg("%zu readings: %g degrees of freedom, %.6f instead of %.6f", rows[i].n,
                     found.fit.dof, sqrt(square), sd);
    }
}

static void learning(void **state)
{
    (void)state;
    const struct curve_prior generic = {.mean = {0, 0, 50, -2.5, -2, 1.5},
                                        .sd = {INFINITY, INFINITY, INFINITY, 0.3, 0.5, 0}};
    struct curve earlier[40];
    struct noise noise = {21};
    for (size_t i = 0; i < COUNT(earlier); i++) {
        earlier[i] = known(CURVE_MONOD, ordinary[CURVE_MONOD]);
        earlier[i].fit.theta[CURVE_LOG_TAIL] = -1 + 0.2 * noise_normal(&noise);
        earlier[i].fit.theta[CURVE_HALF] = 60 + 5 * noise_normal(&noise);
    }
    struct curve_prior prior;
    curve_learn(CURVE_MONOD, earlier, 0, &generic, &prior);
    for (size_t j = 0; j < CURVE_PARAMETERS; j++)
        assert_true(prior.sd[j] == generic.sd[j] &&
                    (isinf(prior.sd[j]) || prior.mean[j] == generic.mean[j]));

    curve_learn(CURVE_MONOD, earlier, 1, &generic, &prior);
    double first = earlier[0].fit.theta[CURVE_LOG_TAIL];
    assert_true(fabs(prior.mean[CURVE_LOG_TAIL] - (first - 2) / 2) < 1e-12);
    assert_true(isinf(prior.sd[CURVE_HALF]));
    /* What is held stays held. */
    assert_true(prior.mean[CURVE_LOG_ONSET] == 1.5 && prior.sd[CURVE_LOG_ONSET] == 0);

    curve_learn(CURVE_MONOD, earlier, COUNT(earlier), &generic, &prior);
    assert_true(fabs(prior.mean[CURVE_LOG_TAIL] + 1) < 0.12);
    assert_true(prior.sd[CURVE_LOG_TAIL] > 0.17 && prior.sd[CURVE_LOG_TAIL] < 0.35);
    assert_true(fabs(prior.mean[CURVE_HALF] - 60) < 3);
    assert_true(prior.sd[CURVE_HALF] > 3.5 && prior.sd[CURVE_HALF] < 7);

    /* Other shapes and fits that failed teach nothing. */
    for (size_t i = 0; i < COUNT(earlier); i++) {
        if (i % 2)
            earlier[i].shape = CURVE_LOGISTIC;
        else
            earlier[i].fit.status = FIT_NOT_CONVERGED;
    }
    curve_learn(CURVE_MONOD, earlier, COUNT(earlier), &generic, &prior);
    assert_true(prior.mean[CURVE_LOG_TAIL] == -2 && prior.sd[CURVE_LOG_TAIL] == 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_and_rate_mean_what_they_say),
        cmocka_unit_test(asymmetric_one_is_the_logistic),
        cmocka_unit_test(monod_obeys_its_equation),
        cmocka_unit_test(derivatives),
        cmocka_unit_test(each_shape_finds_itself),
        cmocka_unit_test(result_is_near_the_best),
        cmocka_unit_test(choice_pays_for_parameters),
        cmocka_unit_test(choice_is_refused),
        cmocka_unit_test(bands_hold_their_promise),
        cmocka_unit_test(poor_readings_carry_no_curve),
        cmocka_unit_test(odd_readings_come_back),
        cmocka_unit_test(wild_readings_come_back),
        cmocka_unit_test(few_readings_widen_the_band),
        cmocka_unit_test(learning),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
