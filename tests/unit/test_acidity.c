/* Electrodes and buffers; the printed tables are in tests/reference. */
#include "acidity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void near(const char *title, double value, double expected, double tolerance)
{
    if (!(fabs(value - expected) <= tolerance))
        fail_msg("%s: %.10g, not %.10g", title, value, expected);
}

static void a_perfect_electrode(void **state)
{
    (void)state;
    double slope = acidity_slope(25);
    struct acidity_calibration c = acidity_calibrate(7, 0, 4, 3 * slope, 25);
    near("slope", c.slope_percent, 100, 1e-9);
    near("offset", c.offset_mv, 0, 1e-9);
    near("pH", acidity_ph(&c, 3 * slope, 25), 4, 1e-12);
    /* told another temperature it turns about pH 7 */
    near("pH 7", acidity_ph(&c, 0, 5), 7, 1e-12);
    near("cold", acidity_ph(&c, 3 * slope, 5), 7 - 3 * slope / acidity_slope(5), 1e-12);
}

/* An instrument maker's note: 150 to 186 mV from pH 7.01 to 4.01 at 25 C is printed there as 85 %
 * to 105 % of slope. */
static void the_gap_between_two_buffers(void **state)
{
    (void)state;
    near("low", acidity_calibrate(7.01, 0, 4.01, 150, 25).slope_percent, 85, 0.7);
    near("high", acidity_calibrate(7.01, 0, 4.01, 186, 25).slope_percent, 105, 0.7);
}

static void both_buffers_read_right_again(void **state)
{
    (void)state;
    static const struct {
        double ph1, mv1, ph2, mv2, celsius;
    } rows[] = {
        {7.00, -3, 4.01, 172, 20}, {4.01, 172, 7.00, -3, 20}, /* in the other order */
        {6.88, 12, 4.00, 176, 20}, {7.02, -20, 10.06, -190, 5}, {4.00, 150, 10.06, -180, 35},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct acidity_calibration c =
            acidity_calibrate(rows[i].ph1, rows[i].mv1, rows[i].ph2, rows[i].mv2, rows[i].celsius);
        near("first", acidity_ph(&c, rows[i].mv1, rows[i].celsius), rows[i].ph1, 1e-9);
        near("second", acidity_ph(&c, rows[i].mv2, rows[i].celsius), rows[i].ph2, 1e-9);
        for (int ph = 2; ph <= 12; ph++)
            for (int celsius = 0; celsius <= 40; celsius += 5)
                near("there and back", acidity_ph(&c, acidity_mv(&c, ph, celsius), celsius), ph,
                     1e-9);
    }
    struct acidity_calibration c = acidity_calibrate(7, -3, 4.01, 172, 20);
    near("offset", c.offset_mv, -3, 1e-9);
    near("slope", c.slope_percent, 100 * 175 / 2.99 / 58.167, 0.01);
}

static void no_calibration_from_nonsense(void **state)
{
    (void)state;
    const struct {
        const char *title;
        struct acidity_calibration by;
    } rows[] = {
        {"one buffer twice", acidity_calibrate(4.01, 172, 4.01, 171, 20)},
        {"nearly one buffer", acidity_calibrate(6.86, 2, 7.00, -3, 20)},
        {"swapped", acidity_calibrate(4.01, -3, 7.00, 172, 20)},
        {"a dead electrode", acidity_calibrate(4.01, 5, 7.00, 5, 20)},
        {"not a number", acidity_calibrate(4.01, NAN, 7.00, 5, 20)},
        {"infinite", acidity_calibrate(4.01, INFINITY, 7.00, 5, 20)},
        {"no such pH", acidity_calibrate(-1, 300, 7.00, 5, 20)},
        {"no such temperature", acidity_calibrate(4.01, 172, 7.00, -3, -300)},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (!isnan(rows[i].by.slope_percent) || !isnan(rows[i].by.offset_mv))
            fail_msg("%s: %g %%", rows[i].title, rows[i].by.slope_percent);
        assert_true(isnan(acidity_ph(&rows[i].by, 100, 20)));
    }
    struct acidity_calibration c = acidity_calibrate(7, 0, 4, 177, 25);
    assert_true(isnan(acidity_ph(&c, 900, 25)));
    assert_true(isnan(acidity_ph(&c, 100, 101)));
    assert_true(isnan(acidity_mv(&c, 15, 25)));
}

static void buffers_are_found(void **state)
{
    (void)state;
    for (size_t i = 0; i < acidity_buffers_count; i++) {
        const struct acidity_buffer *b = &acidity_buffers[i];
        assert_ptr_equal(acidity_buffer_named(b->name), b);
        assert_ptr_equal(acidity_buffer_numbered(b->nominal), b);
        /* the number on the bottle is its pH at 25 C */
        near(b->name, acidity_buffer_ph(b, 25), b->nominal, 0.0051);
        assert_true(isnan(acidity_buffer_ph(b, -0.1)));
        assert_true(isnan(acidity_buffer_ph(b, b->warmest + 0.1)));
        assert_true(isnan(acidity_buffer_ph(b, NAN)));
        /* no step, also at the rows of the table */
        for (int k = 1; k < 10 * (int)b->warmest; k++) {
            double step = acidity_buffer_ph(b, k / 10.0) - acidity_buffer_ph(b, (k - 1) / 10.0);
            if (!(fabs(step) < 0.002))
                fail_msg("%s: a step of %g at %g C", b->name, step, k / 10.0);
        }
    }
    assert_null(acidity_buffer_named("acetate"));
    assert_null(acidity_buffer_numbered(4.6));
    assert_null(acidity_buffer_numbered(NAN));
    assert_string_equal(acidity_buffer_numbered(6.86)->name, "phosphate");
    assert_string_equal(acidity_buffer_numbered(7.00)->name, "technical-7");
}

static void hydrogen_ions(void **state)
{
    (void)state;
    near("one pH", acidity_hydrogen_ratio(5.1, 4.1), 10, 1e-12);
    near("0.3 pH", acidity_hydrogen_ratio(4.4, 4.1), 1.99526, 1e-5);
    near("up", acidity_hydrogen_ratio(4.1, 4.4), 1 / 1.99526, 1e-5);
    assert_true(isnan(acidity_hydrogen_ratio(4, 15)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_perfect_electrode),
        cmocka_unit_test(the_gap_between_two_buffers),
        cmocka_unit_test(both_buffers_read_right_again),
        cmocka_unit_test(no_calibration_from_nonsense),
        cmocka_unit_test(buffers_are_found),
        cmocka_unit_test(hydrogen_ions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
