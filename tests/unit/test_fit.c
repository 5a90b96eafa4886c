/* Least squares: bounds, priors, robust losses, and every way a problem can be unsound. */
#include "fit.h"
#include "noise.h"
#include "pointwise.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(const char *title, double got, double expected, double limit)
{
    if (!(fabs(got - expected) <= limit * fmax(1, fabs(expected))))
        fail_msg("%s: %.15g instead of %.15g", title, got, expected);
}

/* y = a + b x; data is x. */
static double line_at(const double *theta, size_t point, double *gradient, const void *data)
{
    const double *x = data;
    gradient[0] = 1;
    gradient[1] = x[point];
    return theta[0] + theta[1] * x[point];
}
POINTWISE(line)

/* y = (a + b) x: the readings know the sum only. */
static double sum_only_at(const double *theta, size_t point, double *gradient, const void *data)
{
    const double *x = data;
    gradient[0] = gradient[1] = x[point];
    return (theta[0] + theta[1]) * x[point];
}
POINTWISE(sum_only)

/* y = sqrt(a) x + b: no value for a below 0. */
static double root_at(const double *theta, size_t point, double *gradient, const void *data)
{
    const double *x = data;
    gradient[0] = 0.5 * x[point] / sqrt(theta[0]);
    gradient[1] = 1;
    return sqrt(theta[0]) * x[point] + theta[1];
}
POINTWISE(root)

static double xs[] = {1, 2, 3, 4, 5, 6};
static const double ys[] = {2.1, 3.9, 6.2, 7.8, 10.1, 11.9};

static struct fit_problem line_problem(void)
{
    return (struct fit_problem){.model = line,
                                .data = xs,
                                .y = ys,
                                .points = COUNT(xs),
                                .parameters = 2,
                                .tolerance = 1e-12};
}

static const double origin[] = {0, 0};

static void plain_line(void **state)
{
    (void)state;
    struct fit_problem problem = line_problem();
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    /* By hand: slope 34.6 / 17.5, intercept 7 - 3.5 slope. */
    double slope = 34.6 / 17.5;
    near("slope", fit.theta[1], slope, 1e-12);
    near("intercept", fit.theta[0], 7 - 3.5 * slope, 1e-12);
    near("variance of slope", fit.covariance[1][1], fit.rss / 4 / 17.5, 1e-12);
    near("covariance", fit.covariance[0][1], -3.5 * fit.rss / 4 / 17.5, 1e-12);
    near("degrees of freedom", fit.dof, 4, 0);
    const double at_mean[] = {1, 3.5};
    near("variance at the mean", fit_variance(&fit, at_mean), fit.rss / 4 / 6, 1e-12);
}

static void weights_count_as_repeats(void **state)
{
    (void)state;
    double twice[] = {1, 2, 3, 4, 5, 6, 6};
    static const double y[] = {2.1, 3.9, 6.2, 7.8, 10.1, 11.9, 11.9}, weight[] = {1, 1, 1, 1, 1, 2};
    struct fit_problem weighted = line_problem(), repeated = line_problem();
    struct fit a, b;
    weighted.weight = weight;
    repeated.data = twice;
    repeated.y = y;
    repeated.points = COUNT(twice);
    fit_solve(&weighted, origin, &a);
    fit_solve(&repeated, origin, &b);
    near("intercept", a.theta[0], b.theta[0], 1e-12);
    near("slope", a.theta[1], b.theta[1], 1e-12);
    near("rss", a.rss, b.rss, 1e-12);
}

static void bounds_hold(void **state)
{
    (void)state;
    static const double low[] = {-10, 0}, high[] = {10, 1.5};
    struct fit_problem problem = line_problem();
    problem.low = low;
    problem.high = high;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    assert_true(fit.theta[1] == 1.5 && fit.on_bound[1] && !fit.on_bound[0]);
    /* The other parameter is the best there is under the bound. */
    near("intercept", fit.theta[0], 7 - 1.5 * 3.5, 1e-12);
    near("no variance on the bound", fit.covariance[1][1] + fabs(fit.covariance[0][1]), 0, 0);
    near("the other as if it were given", fit.covariance[0][0], fit.rss / 5 / 6, 1e-12);

    static const double start_outside[] = {0, 99}, wide[] = {10, 100};
    problem.high = wide;
    fit_solve(&problem, start_outside, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("a bound that is left again", fit.theta[1], 34.6 / 17.5, 1e-10);
    assert_false(fit.on_bound[1]);
}

/* The posterior of a line with known noise, by the 2 x 2 matrix. */
static void prior_gives_the_posterior(void **state)
{
    (void)state;
    static const double mean[] = {1, 0}, sd[] = {0.5, INFINITY};
    struct fit_problem problem = line_problem();
    problem.prior_mean = mean;
    problem.prior_sd = sd;
    problem.noise_sd = 0.3;
    problem.noise_dof = INFINITY;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    double v = 0.09, aa = 6 / v + 4, ab = 21 / v, bb = 91 / v;
    double ya = 42 / v + 4, yb = 181.6 / v, det = aa * bb - ab * ab;
    near("intercept", fit.theta[0], (bb * ya - ab * yb) / det, 1e-9);
    near("slope", fit.theta[1], (aa * yb - ab * ya) / det, 1e-9);
    near("its variance", fit.covariance[0][0], bb / det, 1e-9);
    near("covariance", fit.covariance[0][1], -ab / det, 1e-9);
    near("what it cost", fit.effective, 2 - 4 * bb / det, 1e-9);
    assert_true(fit.residual_sd == 0.3 && isinf(fit.dof));
}

static void noise_is_pooled(void **state)
{
    (void)state;
    struct fit_problem problem = line_problem();
    problem.noise_sd = 0.5;
    problem.noise_dof = 6;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    near("degrees of freedom", fit.dof, 10, 1e-12);
    near("noise", fit.residual_sd, sqrt((fit.rss + 6 * 0.25) / 10), 1e-12);
}

static void prior_lets_few_readings_do(void **state)
{
    (void)state;
    static const double mean[] = {0, 2}, sd[] = {INFINITY, 0.1}, held[] = {INFINITY, 0};
    struct fit_problem problem = line_problem();
    problem.points = 1;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_TOO_FEW);
    problem.prior_mean = mean;
    problem.prior_sd = sd;
    problem.noise_sd = 0.1;
    problem.noise_dof = 4;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("intercept", fit.theta[0], 0.1, 1e-9);
    near("slope", fit.theta[1], 2, 1e-9);
    near("both errors add", fit.covariance[0][0], 0.01 + 0.01, 1e-9);
    near("degrees of freedom", fit.dof, 4, 1e-9);
    problem.prior_sd = held;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    assert_true(fit.theta[1] == 2 && fit.covariance[1][1] == 0 && !fit.on_bound[1]);
    near("noise alone", fit.covariance[0][0], 0.01, 1e-9);
}

static void as_many_parameters_as_readings(void **state)
{
    (void)state;
    struct fit_problem problem = line_problem();
    problem.points = 2;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("slope", fit.theta[1], 1.8, 1e-10);
    assert_true(fit.dof == 0 && isnan(fit.residual_sd) && isnan(fit.covariance[0][0]));
}

static void readings_without_noise(void **state)
{
    (void)state;
    static const double exact[] = {3, 5, 7, 9, 11, 13}, zero[6] = {0};
    struct fit_problem problem = line_problem();
    problem.y = exact;
    struct fit fit;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("slope", fit.theta[1], 2, 1e-12);
    assert_true(fit.residual_sd < 1e-10);
    problem.y = zero;
    static const double start[] = {5, -1};
    fit_solve(&problem, start, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("zero", fabs(fit.theta[0]) + fabs(fit.theta[1]), 0, 1e-6);
}

static void a_step_off_the_model(void **state)
{
    (void)state;
    static const double start[] = {1e-4, 5}, outside[] = {-1, 0};
    struct fit_problem problem = line_problem();
    problem.model = root;
    struct fit fit;
    fit_solve(&problem, start, &fit);
    assert_int_equal(fit.status, FIT_CONVERGED);
    near("square of the slope", fit.theta[0], 34.6 / 17.5 * 34.6 / 17.5, 1e-8);
    fit_solve(&problem, outside, &fit);
    assert_int_equal(fit.status, FIT_NOT_CONVERGED);
}

static void out_of_steps(void **state)
{
    (void)state;
    static const double start[] = {100, 5};
    struct fit_problem problem = line_problem();
    problem.model = root;
    problem.iterations = 2;
    struct fit fit;
    fit_solve(&problem, start, &fit);
    assert_int_equal(fit.status, FIT_NOT_CONVERGED);
    assert_int_equal(fit.iterations, 2);
    assert_true(isnan(fit.residual_sd) && isnan(fit.covariance[0][0]));
}

static void not_determined(void **state)
{
    (void)state;
    struct fit_problem problem = line_problem();
    struct fit fit;
    problem.model = sum_only;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_SINGULAR);
    double same[] = {4, 4, 4, 4, 4, 4};
    problem = line_problem();
    problem.data = same;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_SINGULAR);
    assert_true(isnan(fit.covariance[0][0]));
}

static void unsound_problems(void **state)
{
    (void)state;
    static const double bad_y[] = {1, 2, NAN, 4, 5, 6}, bad_weight[] = {1, 1, -1, 1, 1, 1};
    static const double crossed_low[] = {0, 3}, crossed_high[] = {1, 2}, zero[] = {0, 0};
    static const double sd[] = {1, 1}, bad_sd[] = {-1, 1}, bad_start[] = {0, INFINITY};
    static const double bad_mean[] = {NAN, 0};
    struct fit_problem rows[10];
    for (size_t i = 0; i < COUNT(rows); i++)
        rows[i] = line_problem();
    rows[0].y = bad_y;
    rows[1].weight = bad_weight;
    rows[2].low = crossed_low;
    rows[2].high = crossed_high;
    rows[3].prior_mean = zero;
    rows[3].prior_sd = sd; /* no noise_sd */
    rows[4].prior_mean = zero;
    rows[4].prior_sd = bad_sd;
    rows[4].noise_sd = 1;
    rows[5].loss = FIT_HUBER; /* no noise_sd */
    rows[6].parameters = 0;
    rows[7].parameters = FIT_PARAMETERS + 1;
    rows[8].noise_dof = -1;
    rows[9].prior_mean = bad_mean;
    rows[9].prior_sd = sd;
    rows[9].noise_sd = 1;
    struct fit fit;
    for (size_t i = 0; i < COUNT(rows); i++) {
        fit_solve(&rows[i], origin, &fit);
        if (fit.status != FIT_BAD_INPUT)
            fail_msg("row %zu: status %d", i, (int)fit.status);
    }
    struct fit_problem problem = line_problem();
    fit_solve(&problem, bad_start, &fit);
    assert_int_equal(fit.status, FIT_BAD_INPUT);
    problem.points = 0;
    fit_solve(&problem, origin, &fit);
    assert_int_equal(fit.status, FIT_TOO_FEW);
}

static void robust_losses_bear_an_outlier(void **state)
{
    (void)state;
    static const double y[] = {2.1, 3.9, 6.2, 7.8, 10.1, 31.9};
    static const struct {
        enum fit_loss loss;
        double slope_low, slope_high;
    } rows[] = {{FIT_SQUARES, 4, 6}, {FIT_HUBER, 1.9, 2.3}};
    static const double start[] = {0, 2};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct fit_problem problem = line_problem();
        problem.y = y;
        problem.noise_sd = 0.2;
        problem.loss = rows[i].loss;
        struct fit fit;
        fit_solve(&problem, start, &fit);
        assert_int_equal(fit.status, FIT_CONVERGED);
        if (!(fit.theta[1] > rows[i].slope_low && fit.theta[1] < rows[i].slope_high))
            fail_msg("loss %zu: slope %.4f", i, fit.theta[1]);
    }
}

/* Under normal noise each loss must state the error it really has, and lose little sharpness. */
static void robust_covariance_is_true(void **state)
{
    (void)state;
    enum { SETS = 4000, N = 20 };
    static const enum fit_loss losses[] = {FIT_SQUARES, FIT_HUBER};
    double x[N], spread[COUNT(losses)];
    for (size_t i = 0; i < N; i++)
        x[i] = (double)i;
    for (size_t l = 0; l < COUNT(losses); l++) {
        struct noise noise = {4};
        double stated = 0, squares = 0;
        for (int set = 0; set < SETS; set++) {
            double y[N];
            for (size_t i = 0; i < N; i++)
                y[i] = 1 + 2 * x[i] + 0.5 * noise_normal(&noise);
            struct fit_problem problem = line_problem();
            problem.data = x;
            problem.y = y;
            problem.points = N;
            problem.noise_sd = 0.5;
            problem.loss = losses[l];
            struct fit fit;
            static const double start[] = {1, 2};
            fit_solve(&problem, start, &fit);
            assert_int_equal(fit.status, FIT_CONVERGED);
            stated += fit.covariance[1][1] / SETS;
            squares += (fit.theta[1] - 2) * (fit.theta[1] - 2) / SETS;
        }
        spread[l] = squares;
        if (fabs(sqrt(stated / squares) - 1) > 0.05)
            fail_msg("loss %zu: sd stated %.5f, found %.5f", l, sqrt(stated), sqrt(squares));
    }
    print_message("note: sharpness under normal noise: Huber %.0f %% of squares\n",
                  100 * spread[0] / spread[1]);
    assert_true(spread[0] / spread[1] > 0.9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_line),
        cmocka_unit_test(weights_count_as_repeats),
        cmocka_unit_test(bounds_hold),
        cmocka_unit_test(prior_gives_the_posterior),
        cmocka_unit_test(noise_is_pooled),
        cmocka_unit_test(prior_lets_few_readings_do),
        cmocka_unit_test(as_many_parameters_as_readings),
        cmocka_unit_test(readings_without_noise),
        cmocka_unit_test(a_step_off_the_model),
        cmocka_unit_test(out_of_steps),
        cmocka_unit_test(not_determined),
        cmocka_unit_test(unsound_problems),
        cmocka_unit_test(robust_losses_bear_an_outlier),
        cmocka_unit_test(robust_covariance_is_true),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
