/*
 * Least squares against certified and published results: NIST StRD nonlinear and linear sets
 * (public domain), two growth curves (sources in growth_sets.tsv).
 */
#include "../unit/pointwise.h"
#include "fit.h"
#include "series.h"

/* The readings of one set: up to six columns x, and y. */
struct set {
    struct table table;
    double *x[6];
    double *y;
};

/* x alone, or x1, x2, ... */
static struct set open_set(const char *kind, const char *name, size_t columns)
{
    struct set set = {.table = series_table(kind, name)};
    for (size_t k = 0; k < columns; k++) {
        char head[4] = {'x', (char)(columns == 1 ? '\0' : '1' + k), '\0'};
        set.x[k] = series_of(&set.table, head);
    }
    set.y = series_of(&set.table, "y");
    return set;
}

static void close_set(struct set *set)
{
    for (size_t k = 0; k < 6; k++)
        free(set->x[k]);
    free(set->y);
    table_free(&set->table);
}

static double x_of(const void *data, size_t point)
{
    return ((const struct set *)data)->x[0][point];
}

/* y = b1 / (1 + exp(b2 - b3 x)) */
static double ratkowsky_42_at(const double *b, size_t point, double *gradient, const void *data)
{
    double x = x_of(data, point), e = exp(b[1] - b[2] * x), part = 1 / (1 + e);
    gradient[0] = part;
    gradient[1] = -b[0] * part * part * e;
    gradient[2] = -x * gradient[1];
    return b[0] * part;
}
POINTWISE(ratkowsky_42)

/* y = b1 / (1 + exp(b2 - b3 x))^(1/b4) */
static double ratkowsky_43_at(const double *b, size_t point, double *gradient, const void *data)
{
    double x = x_of(data, point), e = exp(b[1] - b[2] * x), logarithm = log1p(e);
    gradient[0] = exp(-logarithm / b[3]);
    double y = b[0] * gradient[0];
    gradient[1] = -y / b[3] * e / (1 + e);
    gradient[2] = -x * gradient[1];
    gradient[3] = y * logarithm / (b[3] * b[3]);
    return y;
}
POINTWISE(ratkowsky_43)

/* y = b1 (1 - exp(-b2 x)) */
static double rise_at(const double *b, size_t point, double *gradient, const void *data)
{
    double x = x_of(data, point), e = exp(-b[1] * x);
    gradient[0] = 1 - e;
    gradient[1] = b[0] * x * e;
    return b[0] * (1 - e);
}
POINTWISE(rise)

/* y = Asym exp(-b2 b3^log(x)) */
static double gompertz_at(const double *b, size_t point, double *gradient, const void *data)
{
    double x = log(x_of(data, point)), power = pow(b[2], x);
    gradient[0] = exp(-b[1] * power);
    double y = b[0] * gradient[0];
    gradient[1] = -y * power;
    gradient[2] = -y * b[1] * x * power / b[2];
    return y;
}
POINTWISE(gompertz)

/* y = A + (B - A) / (1 + exp((xmid - x) / scal)) */
static double logistic_four_at(const double *b, size_t point, double *gradient, const void *data)
{
    double u = (b[2] - x_of(data, point)) / b[3], part = 1 / (1 + exp(u));
    double slope = -(b[1] - b[0]) * part * (1 - part);
    gradient[0] = 1 - part;
    gradient[1] = part;
    gradient[2] = slope / b[3];
    gradient[3] = -slope * u / b[3];
    return b[0] + (b[1] - b[0]) * part;
}
POINTWISE(logistic_four)

static const struct {
    const char *kind, *name;
    fit_model *model;
    size_t parameters;
} sets[] = {
    {"nls", "Rat42", ratkowsky_42, 3}, {"nls", "Rat43", ratkowsky_43, 4},
    {"nls", "Misra1a", rise, 2},       {"nls", "BoxBOD", rise, 2},
    {"growth", "DNase1", gompertz, 3}, {"growth", "Chick1", logistic_four, 4},
};

static double parameter_cell(const struct table *table, const char *name, size_t j,
                             const char *head)
{
    return table_number(table, series_row(table, "set", name) + j, head);
}

static double relative(double got, double expected)
{
    return fabs(got - expected) / fabs(expected);
}

static void fit_set(size_t i, struct set *set, const struct table *params, const char *start,
                    struct fit *fit)
{
    double from[FIT_PARAMETERS];
    for (size_t j = 0; j < sets[i].parameters; j++)
        from[j] = parameter_cell(params, sets[i].name, j, start);
    struct fit_problem problem = {
        .model = sets[i].model,
        .data = set,
        .y = set->y,
        .points = set->table.rows,
        .parameters = sets[i].parameters,
    };
    fit_solve(&problem, from, fit);
}

/* Every figure of a set to the digits asked for; gives the worst relative error of a parameter. */
static double check_certified(size_t i, const char *start, const struct fit *fit,
                              const struct table *params, const struct table *summary)
{
    const char *name = sets[i].name;
    size_t row = series_row(summary, "set", name);
    double worst = 0;
    for (size_t j = 0; j < sets[i].parameters; j++) {
        double error = relative(fit->theta[j], parameter_cell(params, name, j, "certified"));
        double sd = sqrt(fit->covariance[j][j]);
        double sd_error = relative(sd, parameter_cell(params, name, j, "sd"));
        if (!(error <= 1e-6 && sd_error <= 1e-4))
            fail_msg("%s from %s: b%zu %.11g, relative errors %.1e, sd %.1e", name, start, j + 1,
                     fit->theta[j], error, sd_error);
        worst = fmax(worst, error);
    }
    double rss = relative(fit->rss, table_number(summary, row, "rss"));
    double rsd = relative(fit->residual_sd, table_number(summary, row, "rsd"));
    if (!(rss <= 1e-8 && rsd <= 1e-8) || fit->dof != table_number(summary, row, "dof"))
        fail_msg("%s from %s: rss %.1e, sd %.1e, %g degrees of freedom", name, start, rss, rsd,
                 fit->dof);
    return worst;
}

static void strd_nonlinear(void **state)
{
    (void)state;
    struct table params = series_table("nls", "params"), summary = series_table("nls", "sets");
    static const char *const starts[] = {"start1", "start2"};
    for (size_t i = 0; i < 4; i++) {
        struct set set = open_set(sets[i].kind, sets[i].name, 1);
        for (size_t s = 0; s < 2; s++) {
            struct fit fit;
            fit_set(i, &set, &params, starts[s], &fit);
            /* From there the way leads into a flat region that is no minimum. */
            bool hopeless = strcmp(sets[i].name, "BoxBOD") == 0 && s == 0;
            if (fit.status != (hopeless ? FIT_NOT_CONVERGED : FIT_CONVERGED))
                fail_msg("%s from %s: status %d, offset %.1e", sets[i].name, starts[s],
                         (int)fit.status, fit.offset);
            double worst = hopeless ? NAN : check_certified(i, starts[s], &fit, &params, &summary);
            if (hopeless)
                print_message("note: %s from %s: did not converge (%d steps)\n", sets[i].name,
                              starts[s], fit.iterations);
            else
                print_message("note: %s from %s: relative error %.0e (%d steps)\n", sets[i].name,
                              starts[s], worst, fit.iterations);
        }
        close_set(&set);
    }
    table_free(&params);
    table_free(&summary);
}

static void growth_curves(void **state)
{
    (void)state;
    struct table params = series_table("growth", "params"),
                 summary = series_table("growth", "sets");
    for (size_t i = 4; i < 6; i++) {
        const char *name = sets[i].name;
        struct set set = open_set(sets[i].kind, name, 1);
        struct fit fit;
        fit_set(i, &set, &params, "start", &fit);
        if (fit.status != FIT_CONVERGED)
            fail_msg("%s: status %d", name, (int)fit.status);
        for (size_t j = 0; j < sets[i].parameters; j++) {
            size_t row = series_row(&params, "set", name) + j;
            double sd = sqrt(fit.covariance[j][j]);
            double half = table_half_digit(table_text(&params, row, "published"));
            double sd_half = table_half_digit(table_text(&params, row, "published_sd"));
            if (fabs(fit.theta[j] - table_number(&params, row, "published")) > half ||
                fabs(sd - table_number(&params, row, "published_sd")) > sd_half ||
                relative(fit.theta[j], table_number(&params, row, "computed")) > 1e-6 ||
                relative(sd, table_number(&params, row, "computed_sd")) > 1e-4)
                fail_msg("%s:%zu: %.9g, sd %.7g", params.path, params.lines[row], fit.theta[j], sd);
        }
        size_t row = series_row(&summary, "set", name);
        if (relative(fit.rss, table_number(&summary, row, "computed_rss")) > 1e-6 ||
            fabs(fit.residual_sd - table_number(&summary, row, "published_rsd")) >
                table_half_digit(table_text(&summary, row, "published_rsd")))
            fail_msg("%s: rss %.9g, residual sd %.6g", name, fit.rss, fit.residual_sd);
        close_set(&set);
    }
    table_free(&params);
    table_free(&summary);
}

/* A model linear in its parameters is the easy case of the same solver; what makes these sets
 * hard is that their columns are nearly dependent. */
struct linear {
    const struct set *set;
    size_t columns;
    bool powers, constant;
};

static double linear_model_at(const double *b, size_t point, double *gradient, const void *data)
{
    const struct linear *linear = data;
    size_t j = 0;
    double sum = 0;
    if (linear->constant)
        gradient[j++] = 1;
    for (size_t k = 0; k < linear->columns; k++)
        gradient[j++] = linear->powers ? pow(linear->set->x[0][point], (double)(k + 1))
                                       : linear->set->x[k][point];
    for (size_t k = 0; k < j; k++)
        sum += b[k] * gradient[k];
    return sum;
}
POINTWISE(linear_model)

static const struct {
    const char *name;
    size_t columns; /* beside the constant */
    bool powers, constant;
    double limit, sd_limit;
} linear_sets[] = {
    {"Norris", 1, false, true, 1e-12, 1e-11},  {"Pontius", 2, true, true, 1e-9, 1e-8},
    {"NoInt1", 1, false, false, 1e-12, 1e-11}, {"NoInt2", 1, false, false, 1e-12, 1e-11},
    {"Longley", 6, false, true, 1e-8, 1e-7},
};

static void strd_linear(void **state)
{
    (void)state;
    struct table params = series_table("lls", "params"), summary = series_table("lls", "sets");
    for (size_t i = 0; i < sizeof linear_sets / sizeof *linear_sets; i++) {
        const char *name = linear_sets[i].name;
        struct set set = open_set("lls", name, linear_sets[i].powers ? 1 : linear_sets[i].columns);
        struct linear linear = {&set, linear_sets[i].columns, linear_sets[i].powers,
                                linear_sets[i].constant};
        struct fit_problem problem = {
            .model = linear_model,
            .data = &linear,
            .y = set.y,
            .points = set.table.rows,
            .parameters = linear_sets[i].columns + linear_sets[i].constant,
            .tolerance = 1e-12,
        };
        double start[FIT_PARAMETERS] = {0};
        struct fit fit;
        fit_solve(&problem, start, &fit);
        if (fit.status != FIT_CONVERGED)
            fail_msg("%s: status %d, offset %.1e", name, (int)fit.status, fit.offset);
        double worst = 0, sd_worst = 0;
        for (size_t j = 0; j < problem.parameters; j++) {
            double sd = sqrt(fit.covariance[j][j]);
            worst =
                fmax(worst, relative(fit.theta[j], parameter_cell(&params, name, j, "certified")));
            sd_worst = fmax(sd_worst, relative(sd, parameter_cell(&params, name, j, "sd")));
        }
        size_t row = series_row(&summary, "set", name);
        double rss = relative(fit.rss, table_number(&summary, row, "rss"));
        print_message("note: %s: relative error %.0e, of the sds %.0e (%d steps)\n", name, worst,
                      sd_worst, fit.iterations);
        if (!(worst <= linear_sets[i].limit && sd_worst <= linear_sets[i].sd_limit &&
              rss <= linear_sets[i].sd_limit))
            fail_msg("%s: relative errors %.1e, of the sds %.1e, of rss %.1e", name, worst,
                     sd_worst, rss);
        close_set(&set);
    }
    table_free(&params);
    table_free(&summary);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strd_nonlinear),
        cmocka_unit_test(growth_curves),
        cmocka_unit_test(strd_linear),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
