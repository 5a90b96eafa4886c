/* The reader that the other reference tests stand on. */
#include "table.h"

static void reads_rows_and_numbers(void **state)
{
    (void)state;
    struct table table = table_read("tests/reference/table_sample.tsv");
    assert_int_equal(table.rows, 2);
    assert_int_equal(table.columns, 3);
    assert_int_equal(table.lines[1], 6);
    assert_true(table_number(&table, 0, "density") == 999.840);
    assert_true(table_number(&table, 1, "density") == -1000);
    assert_true(isnan(table_number(&table, 1, "t_C")));
    assert_true(isnan(table_number(&table, 1, "kind")));
    assert_string_equal(table_text(&table, 0, "kind"), "table");
    table_free(&table);
}

static void half_of_the_last_digit(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double half;
    } rows[] = {{"4.01", 0.005}, {"997.3", 0.05}, {"-0.126", 0.0005}, {"12", 0.5}, {"7.", 0.5}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (fabs(table_half_digit(rows[i].text) - rows[i].half) > 1e-15)
            fail_msg("%s: %g", rows[i].text, table_half_digit(rows[i].text));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_rows_and_numbers),
        cmocka_unit_test(half_of_the_last_digit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
