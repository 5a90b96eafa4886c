/* Quantiles against published tables: Student's t (NIST/SEMATECH e-Handbook, NIST TN 1297) and
 * the normal distribution. The tables' own sources are in their first lines. */
#include "series.h"
#include "special.h"

/* The largest relative error of a table, to be shown. */
struct worst {
    double error;
    size_t line;
};

static void compare(struct worst *worst, const struct table *table, size_t row, double got,
                    double expected, double limit)
{
    double error = fabs(got - expected) / fabs(expected);
    if (!(error <= limit))
        fail_msg("%s:%zu: %.10g instead of %.10g", table->path, table->lines[row], got, expected);
    if (error > worst->error)
        *worst = (struct worst){error, table->lines[row]};
}

static void show(const struct table *table, struct worst worst)
{
    print_message("note: %s: %zu rows, worst line %zu, relative error %.1e\n", table->path,
                  table->rows, worst.line, worst.error);
}

static void student_t_of_the_handbook(void **state)
{
    (void)state;
    struct table table = series_table("t", "handbook");
    struct worst worst = {0};
    for (size_t row = 0; row < table.rows; row++) {
        double dof = table_number(&table, row, "nu");
        double tail = table_number(&table, row, "upper_tail");
        if (strcmp(table_text(&table, row, "nu"), "inf") == 0)
            dof = INFINITY;
        double got = special_t_quantile(1 - tail, dof);
        double computed = table_number(&table, row, "computed");
        compare(&worst, &table, row, got, computed, 1e-6);
        if (strcmp(table_text(&table, row, "check"), "ok") == 0) {
            double half = table_half_digit(table_text(&table, row, "printed"));
            if (fabs(got - table_number(&table, row, "printed")) > 1.0001 * half)
                fail_msg("%s:%zu: %.6f is not the figure printed", table.path, table.lines[row],
                         got);
        }
        if (fabs(special_t_cdf(got, dof) - (1 - tail)) > 1e-12)
            fail_msg("%s:%zu: not the inverse", table.path, table.lines[row]);
    }
    show(&table, worst);
    table_free(&table);
}

static void student_t_of_technical_note_1297(void **state)
{
    (void)state;
    struct table table = series_table("t", "tn1297");
    struct worst worst = {0};
    for (size_t row = 0; row < table.rows; row++) {
        double dof = table_number(&table, row, "nu");
        double percent = table_number(&table, row, "percent_two_sided");
        if (strcmp(table_text(&table, row, "nu"), "inf") == 0)
            dof = INFINITY;
        double got = special_t_quantile(0.5 + percent / 200, dof);
        compare(&worst, &table, row, got, table_number(&table, row, "computed"), 1e-6);
    }
    show(&table, worst);
    table_free(&table);
}

static void normal_quantiles(void **state)
{
    (void)state;
    struct table table = series_table("normal", "quantiles");
    struct worst worst = {0};
    for (size_t row = 0; row < table.rows; row++) {
        double p = table_number(&table, row, "cumulative_p");
        double got = special_normal_quantile(p);
        compare(&worst, &table, row, got, table_number(&table, row, "computed"), 1e-11);
    }
    show(&table, worst);
    table_free(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(student_t_of_the_handbook),
        cmocka_unit_test(student_t_of_technical_note_1297),
        cmocka_unit_test(normal_quantiles),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
