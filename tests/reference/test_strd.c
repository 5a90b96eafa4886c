/*
 * NIST/ITL Statistical Reference Datasets (public domain): certified means and standard
 * deviations. (The linear and nonlinear sets: test_fit.c.)
 */
#include "robust.h"
#include "series.h"

static double relative(double got, double certified)
{
    return fabs(got - certified) / fabs(certified);
}

/* How close double precision can come: NumAcc3 and NumAcc4 lose digits as the text is read. */
static const struct {
    const char *set;
    double mean, sd;
} univariate[] = {
    {"Lew", 1e-13, 1e-12},      {"Lottery", 1e-13, 1e-12}, {"Mavro", 1e-13, 1e-12},
    {"Michelso", 1e-13, 1e-12}, {"NumAcc1", 1e-13, 1e-12}, {"NumAcc2", 1e-13, 1e-12},
    {"NumAcc3", 1e-13, 1e-9},   {"NumAcc4", 1e-13, 1e-7},
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
        if (!(mean <= univariate[i].mean && sd <= univariate[i].sd))
            fail_msg("%s: relative errors: mean %.1e, sd %.1e", set, mean, sd);
        free(y);
        table_free(&table);
    }
    table_free(&certified);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(univariate_sets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
