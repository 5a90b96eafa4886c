/*
 * NIST/ITL Statistical Reference Datasets (public domain): certified means, standard deviations,
 * autocorrelations and straight lines.
 */
#include "robust.h"
#include "series.h"
#include "trend.h"

static double relative(double got, double certified)
{
    return fabs(got - certified) / fabs(certified);
}

/* How close double precision can come: NumAcc3 and NumAcc4 lose digits as the text is read. */
static const struct {
    const char *set;
    double mean, sd, r1;
} univariate[] = {
    {"Lew", 1e-13, 1e-12, 1e-12},     {"Lottery", 1e-13, 1e-12, 1e-12},
    {"Mavro", 1e-13, 1e-12, 1e-12},   {"Michelso", 1e-13, 1e-12, 1e-12},
    {"NumAcc1", 1e-13, 1e-12, 1e-12}, {"NumAcc2", 1e-13, 1e-12, 1e-12},
    {"NumAcc3", 1e-13, 1e-9, 1e-6},   {"NumAcc4", 1e-13, 1e-7, 1e-6},
};

static void univariate_sets(void **state)
{
    (void)state;
    struct table certified = series_table("univ", "certified");
    assert_true(certified.rows == sizeof univariate / sizeof *univariate);
    for (size_t i = 0; i < certified.rows; i++) {
        const char *set = univariate[i].set;
        size_t row = series_row(&certified, "set", set);
        struct table table = series_table("univ", set);
        double *y = series_of(&table, "y");
        double mean = relative(robust_mean(y, table.rows), table_number(&certified, row, "mean"));
        double sd = relative(robust_sd(y, table.rows), table_number(&certified, row, "sd"));
        double r1 = relative(trend_lag1(y, table.rows), table_number(&certified, row, "r1"));
        if (!(mean <= univariate[i].mean && sd <= univariate[i].sd && r1 <= univariate[i].r1))
            fail_msg("%s: relative errors: mean %.1e, sd %.1e, r1 %.1e", set, mean, sd, r1);
        free(y);
        table_free(&table);
    }
    table_free(&certified);
}

static double certified_cell(const struct table *table, const char *set, const char *param,
                             const char *head)
{
    for (size_t row = 0; row < table->rows; row++) {
        if (strcmp(table_text(table, row, "set"), set) == 0 &&
            strcmp(table_text(table, row, "param"), param) == 0)
            return table_number(table, row, head);
    }
    fail_msg("%s: no row %s %s", table->path, set, param);
    return NAN;
}

static void norris_line(void **state)
{
    (void)state;
    struct table table = series_table("lls", "Norris");
    struct table params = series_table("lls", "params"), sets = series_table("lls", "sets");
    double *x = series_of(&table, "x"), *y = series_of(&table, "y");
    size_t row = series_row(&sets, "set", "Norris");
    struct trend_line line;
    assert_true(trend_line(x, y, table.rows, &line));
    const struct {
        const char *what;
        double got, certified, limit;
    } rows[] = {
        {"slope", line.slope, certified_cell(&params, "Norris", "B1", "certified"), 1e-12},
        {"intercept", line.intercept, certified_cell(&params, "Norris", "B0", "certified"), 1e-12},
        {"sd of slope", line.slope_sd, certified_cell(&params, "Norris", "B1", "sd"), 1e-11},
        {"sd of intercept", line.intercept_sd, certified_cell(&params, "Norris", "B0", "sd"),
         1e-11},
        {"residual sd", line.residual_sd, table_number(&sets, row, "rsd"), 1e-11},
        {"R2", line.r_squared, table_number(&sets, row, "r2"), 1e-12},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (!(relative(rows[i].got, rows[i].certified) <= rows[i].limit))
            fail_msg("Norris: %s: %.15g instead of %.15g", rows[i].what, rows[i].got,
                     rows[i].certified);
    }
    free(x);
    free(y);
    table_free(&table);
    table_free(&params);
    table_free(&sets);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(univariate_sets),
        cmocka_unit_test(norris_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
