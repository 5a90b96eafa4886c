#include "quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define DEGREE       "\xc2\xb0"

static const struct {
    const char *title, *text;
    enum quantity quantity;
    const char *house;
    enum quantity_status status;
    double value, tolerance, step;
    int censor;
} VALUES[] = {
    {"Plato", "3.4 P", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 3.4, 0, 0.1, 0},
    {"joined", "3.4P", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 3.4, 0, 0.1, 0},
    {"degree sign", "3.4 " DEGREE "P", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 3.4, 0, 0.1, 0},
    /* Common practice, no source: 3.4 P is 1.013. */
    {"SG", "1.013 SG", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 3.33, 0.05, 0.2526, 0},
    {"SG 1 is 0 P", "1.000 SG", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 0, 1e-12, 0.2585, 0},
    {"SG to the whole one", "1 SG", QUANTITY_GRAVITY, NULL, QUANTITY_OK, 0, 1e-12, 258.6, 0},
    {"below zero", "-0.4 P", QUANTITY_GRAVITY, NULL, QUANTITY_OK, -0.4, 0, 0.1, 0},
    {"plus", "+2 C", QUANTITY_TEMPERATURE, NULL, QUANTITY_OK, 2, 0, 1, 0},
    {"Fahrenheit", "68 F", QUANTITY_TEMPERATURE, NULL, QUANTITY_OK, 20, 1e-12, 5.0 / 9, 0},
    {"Kelvin", "293.15 K", QUANTITY_TEMPERATURE, NULL, QUANTITY_OK, 20, 1e-9, 0.01, 0},
    /* GNU units 2.22: psi -> bar 0.068947573 */
    {"psi", "12 psi", QUANTITY_PRESSURE, NULL, QUANTITY_OK, 12 * 0.068947573, 1e-7, 0.068948, 0},
    {"mbar", "800 mbar", QUANTITY_PRESSURE, NULL, QUANTITY_OK, 0.8, 1e-12, 0.001, 0},
    /* GNU units 2.22: 31 usgallon -> hL 1.1734777; 36 brgallon -> L 163.65924 */
    {"US beer barrel", "1 bbl", QUANTITY_VOLUME, NULL, QUANTITY_OK, 1.1734777, 1e-7, 1.17348, 0},
    {"UK barrel", "1 ukbbl", QUANTITY_VOLUME, NULL, QUANTITY_OK, 1.6365924, 1e-9, 1.63659, 0},
    {"house unit", "3.4", QUANTITY_GRAVITY, "P", QUANTITY_OK, 3.4, 0, 0.1, 0},
    {"house unit is beaten by a written one", "3.4 P", QUANTITY_GRAVITY, "SG", QUANTITY_OK, 3.4, 0,
     0.1, 0},
    {"pH", "4.58", QUANTITY_PH, NULL, QUANTITY_OK, 4.58, 0, 0.01, 0},
    {"below a strip", "<4.7", QUANTITY_PH, NULL, QUANTITY_OK, 4.7, 0, 0.1, -1},
    {"above a strip", ">6.2", QUANTITY_PH, NULL, QUANTITY_OK, 6.2, 0, 0.1, 1},
    {"ppb of oxygen", "50 ppb", QUANTITY_OXYGEN, NULL, QUANTITY_OK, 50, 0, 1, 0},
    {"mg/L of oxygen", "0.05 mg/L", QUANTITY_OXYGEN, NULL, QUANTITY_OK, 50, 1e-9, 10, 0},
    {"ppb of VDK", "80 ppb", QUANTITY_VDK, NULL, QUANTITY_OK, 0.08, 1e-12, 0.001, 0},
    {"days", "7 d", QUANTITY_DURATION, NULL, QUANTITY_OK, 168, 0, 24, 0},
    {"bitterness needs no unit", "32", QUANTITY_BITTERNESS, NULL, QUANTITY_OK, 32, 0, 1, 0},
    {"no unit", "3.4", QUANTITY_GRAVITY, NULL, QUANTITY_UNIT_MISSING, 0, 0, 0, 0},
    {"comma", "3,4 P", QUANTITY_GRAVITY, NULL, QUANTITY_COMMA, 0, 0, 0, 0},
    {"another quantity's unit", "3.4 bar", QUANTITY_GRAVITY, NULL, QUANTITY_UNIT_OTHER, 0, 0, 0, 0},
    {"pH with a unit", "4.4 P", QUANTITY_PH, NULL, QUANTITY_UNIT_OTHER, 0, 0, 0, 0},
    {"unknown unit", "3.4 Q", QUANTITY_GRAVITY, NULL, QUANTITY_UNIT_UNKNOWN, 0, 0, 0, 0},
    {"two units", "3.4 P 1.013 SG", QUANTITY_GRAVITY, NULL, QUANTITY_TWO_UNITS, 0, 0, 0, 0},
    {"exponent", "1e3 P", QUANTITY_GRAVITY, NULL, QUANTITY_NOT_PLAIN, 0, 0, 0, 0},
    {"hexadecimal", "0x1f P", QUANTITY_GRAVITY, NULL, QUANTITY_NOT_PLAIN, 0, 0, 0, 0},
    {"nan", "nan", QUANTITY_GRAVITY, "P", QUANTITY_NOT_PLAIN, 0, 0, 0, 0},
    {"inf", "-.inf", QUANTITY_GRAVITY, "P", QUANTITY_NOT_PLAIN, 0, 0, 0, 0},
    {"words", "about 4", QUANTITY_PH, NULL, QUANTITY_NOT_A_NUMBER, 0, 0, 0, 0},
    {"nothing", "", QUANTITY_PH, NULL, QUANTITY_NOT_A_NUMBER, 0, 0, 0, 0},
    {"a point alone", ".", QUANTITY_PH, NULL, QUANTITY_NOT_A_NUMBER, 0, 0, 0, 0},
    {"15 digits", "4.00000000000001", QUANTITY_PH, NULL, QUANTITY_OK, 4.00000000000001, 0, 1e-14,
     0},
    {"16 digits", "4.000000000000001", QUANTITY_PH, NULL, QUANTITY_TOO_LONG, 0, 0, 0, 0},
    {"pH 45", "45", QUANTITY_PH, NULL, QUANTITY_OUT_OF_RANGE, 0, 0, 0, 0},
    {"104.8 SG", "104.8 SG", QUANTITY_GRAVITY, NULL, QUANTITY_OUT_OF_RANGE, 0, 0, 0, 0},
    {"41 P", "41 P", QUANTITY_GRAVITY, NULL, QUANTITY_OUT_OF_RANGE, 0, 0, 0, 0},
};

static const struct quantity_unit *unit(const char *name, enum quantity quantity)
{
    return name == NULL ? NULL : quantity_unit_of(str_of(name), quantity);
}

static void reads_values(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(VALUES); i++) {
        struct figure figure = {0};
        enum quantity_status status =
            quantity_read(str_of(VALUES[i].text), VALUES[i].quantity,
                          unit(VALUES[i].house, VALUES[i].quantity), &figure);
        if (status != VALUES[i].status)
            fail_msg("%s: status %d", VALUES[i].title, (int)status);
        if ((status == QUANTITY_OK) != (figure.state == FIGURE_SET))
            fail_msg("%s: state %d", VALUES[i].title, figure.state);
        if (status != QUANTITY_OK)
            continue;
        if (!(fabs(figure.value - VALUES[i].value) <= VALUES[i].tolerance))
            fail_msg("%s: %.17g", VALUES[i].title, figure.value);
        if (!(fabs(figure.step - VALUES[i].step) <= 1e-5 + 0.01 * VALUES[i].step))
            fail_msg("%s: step %g", VALUES[i].title, figure.step);
        if (figure.censor != VALUES[i].censor)
            fail_msg("%s: censor %d", VALUES[i].title, figure.censor);
    }
}

static const struct {
    const char *title, *text;
    enum quantity quantity;
    enum quantity_status status;
    double low, high; /* NAN: no such end */
} RANGES[] = {
    {"both ends", "11.8..12.4 P", QUANTITY_GRAVITY, QUANTITY_OK, 11.8, 12.4},
    {"joined unit", "11.8..12.4P", QUANTITY_GRAVITY, QUANTITY_OK, 11.8, 12.4},
    {"blanks", "11.8 .. 12.4 P", QUANTITY_GRAVITY, QUANTITY_OK, 11.8, 12.4},
    {"whole numbers", "18..20 C", QUANTITY_TEMPERATURE, QUANTITY_OK, 18, 20},
    {"below zero", "-1..2 C", QUANTITY_TEMPERATURE, QUANTITY_OK, -1, 2},
    {"no lower end", "..0.10 mg/L", QUANTITY_VDK, QUANTITY_OK, NAN, 0.10},
    {"no upper end", "2.4.. vol", QUANTITY_CARBONATION, QUANTITY_OK, 2.4, NAN},
    {"no unit needed", "4.05..4.45", QUANTITY_PH, QUANTITY_OK, 4.05, 4.45},
    {"equal ends", "4.1..4.1", QUANTITY_PH, QUANTITY_OK, 4.1, 4.1},
    {"no dots", "4.05", QUANTITY_PH, QUANTITY_NOT_A_RANGE, 0, 0},
    {"dots alone", "..", QUANTITY_PH, QUANTITY_NOT_A_RANGE, 0, 0},
    {"dots twice", "..26..28 P", QUANTITY_GRAVITY, QUANTITY_NOT_A_RANGE, 0, 0},
    {"three dots", "12...13 P", QUANTITY_GRAVITY, QUANTITY_NOT_A_RANGE, 0, 0},
    {"three ends", "1..2..3 C", QUANTITY_TEMPERATURE, QUANTITY_NOT_A_RANGE, 0, 0},
    {"unit twice", "18 C..20 C", QUANTITY_TEMPERATURE, QUANTITY_NOT_A_RANGE, 0, 0},
    {"reversed", "4.45..4.05", QUANTITY_PH, QUANTITY_RANGE_REVERSED, 0, 0},
    {"a censored end", "<4..5", QUANTITY_PH, QUANTITY_NOT_A_RANGE, 0, 0},
    {"no unit", "11.8..12.4", QUANTITY_GRAVITY, QUANTITY_UNIT_MISSING, 0, 0},
    {"wrong unit", "11.8..12.4 C", QUANTITY_GRAVITY, QUANTITY_UNIT_OTHER, 0, 0},
    {"comma", "11,8..12.4 P", QUANTITY_GRAVITY, QUANTITY_COMMA, 0, 0},
    {"words", "low..high", QUANTITY_PH, QUANTITY_NOT_A_NUMBER, 0, 0},
};

static void reads_ranges(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(RANGES); i++) {
        struct range range = {0};
        enum quantity_status status =
            quantity_read_range(str_of(RANGES[i].text), RANGES[i].quantity, NULL, &range);
        if (status != RANGES[i].status)
            fail_msg("%s: status %d", RANGES[i].title, (int)status);
        if (status != QUANTITY_OK)
            continue;
        if (range.has_low == isnan(RANGES[i].low) || range.has_high == isnan(RANGES[i].high))
            fail_msg("%s: wrong ends", RANGES[i].title);
        if ((range.has_low && range.low != RANGES[i].low) ||
            (range.has_high && range.high != RANGES[i].high))
            fail_msg("%s: %g..%g", RANGES[i].title, range.low, range.high);
    }
}

static void compares_with_ranges(void **state)
{
    (void)state;
    static const struct {
        const char *range;
        double value;
        bool under, over;
    } rows[] = {
        {"2.4..2.6 vol", 2.39, true, false}, {"2.4..2.6 vol", 2.4, false, false},
        {"2.4..2.6 vol", 2.6, false, false}, {"2.4..2.6 vol", 2.61, false, true},
        {"2.4..2.6 vol", 0.3 * 8, false, 0}, {"2.4..2.6 vol", 1.3 + 1.3, false, 0},
        {"2.4.. vol", 9, false, false},      {"..2.6 vol", 0, false, false},
        {"2.6..2.4 vol", 2.0, false, false}, {"2.6..2.4 vol", 3.0, false, false},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct range range = {0};
        quantity_read_range(str_of(rows[i].range), QUANTITY_CARBONATION, NULL, &range);
        if (quantity_is_under(&range, rows[i].value) != rows[i].under ||
            quantity_is_over(&range, rows[i].value) != rows[i].over)
            fail_msg("%g of %s", rows[i].value, rows[i].range);
    }
}

static const struct {
    const char *title, *a, *b;
    enum quantity quantity;
    double least_step;
    long steps;
} STEPS[] = {
    {"in doubles 2.5 - 2.4 > 0.1", "2.5 P", "2.4 P", QUANTITY_GRAVITY, 0, 1},
    {"two steps", "2.4 P", "2.6 P", QUANTITY_GRAVITY, 0, -2},
    {"equal", "2.4 P", "2.4 P", QUANTITY_GRAVITY, 0, 0},
    {"the coarser of both", "2.44 P", "2.4 P", QUANTITY_GRAVITY, 0, 0},
    {"finer ones count finer", "2.44 P", "2.40 P", QUANTITY_GRAVITY, 0, 4},
    {"the meter's step", "2.44 P", "2.40 P", QUANTITY_GRAVITY, 0.1, 0},
    {"one thousandth of SG", "1.010 SG", "1.009 SG", QUANTITY_GRAVITY, 0, 1},
    {"pH", "4.30", "4.27", QUANTITY_PH, 0, 3},
};

static void counts_whole_steps(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(STEPS); i++) {
        struct figure a = {0}, b = {0};
        assert_int_equal(quantity_read(str_of(STEPS[i].a), STEPS[i].quantity, NULL, &a), 0);
        assert_int_equal(quantity_read(str_of(STEPS[i].b), STEPS[i].quantity, NULL, &b), 0);
        long steps = figure_steps_between(&a, &b, STEPS[i].least_step);
        if (steps != STEPS[i].steps)
            fail_msg("%s: %ld", STEPS[i].title, steps);
    }
}

static const struct {
    const char *title, *text;
    enum quantity quantity;
    double value;
} WIDTHS[] = {
    {"Plato", "0.1 P", QUANTITY_GRAVITY, 0.1},
    {"pH below its least figure", "0.3", QUANTITY_PH, 0.3},
    {"Fahrenheit has no offset", "0.5 F", QUANTITY_TEMPERATURE, 0.5 * 5 / 9},
    {"SG at 0 P", "0.001 SG", QUANTITY_GRAVITY, 0.2585},
};

static void reads_widths(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(WIDTHS); i++) {
        struct figure figure = {0};
        enum quantity_status status =
            quantity_read_width(str_of(WIDTHS[i].text), WIDTHS[i].quantity, NULL, &figure);
        if (status != QUANTITY_OK || fabs(figure.value - WIDTHS[i].value) > 0.002)
            fail_msg("%s: status %d, %g", WIDTHS[i].title, (int)status, figure.value);
    }
    static const char *const none[] = {"0 P", "-0.1 P", "<0.1 P", ">0.1 P"};
    for (size_t i = 0; i < COUNT(none); i++) {
        struct figure figure = {0};
        if (quantity_read_width(str_of(none[i]), QUANTITY_GRAVITY, NULL, &figure) !=
                QUANTITY_NOT_A_WIDTH ||
            figure.state != FIGURE_REFUSED)
            fail_msg("%s: a width", none[i]);
    }
    struct figure figure = {0};
    assert_int_equal(quantity_read_width(STR("2 SG"), QUANTITY_GRAVITY, NULL, &figure),
                     QUANTITY_OUT_OF_RANGE);
}

static const struct {
    enum quantity quantity;
    enum quantity_status status;
    const char *text, *says;
} EXPLAINED[] = {
    {QUANTITY_GRAVITY, QUANTITY_UNIT_UNKNOWN, "3.4 p", "did you mean P?"},
    {QUANTITY_PRESSURE, QUANTITY_UNIT_UNKNOWN, "3 bahr", "did you mean bar?"},
    {QUANTITY_PRESSURE, QUANTITY_UNIT_OTHER, "3 C", "bar, mbar, kPa, psi"},
    {QUANTITY_PH, QUANTITY_UNIT_OTHER, "4.4 P", "which has none"},
    {QUANTITY_GRAVITY, QUANTITY_COMMA, "3,4 P", "point"},
    {QUANTITY_PH, QUANTITY_OUT_OF_RANGE, "45", "2..12"},
    {QUANTITY_GRAVITY, QUANTITY_NOT_A_WIDTH, "0 P", "above 0"},
    {QUANTITY_PH, QUANTITY_NOT_A_NUMBER, "\033[31m", "\\x1B[31m"},
};

static void says_what_would_be_right(void **state)
{
    struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(EXPLAINED); i++) {
        const char *message = quantity_explain(&arena, str_of(EXPLAINED[i].text),
                                               EXPLAINED[i].quantity, EXPLAINED[i].status);
        if (strstr(message, EXPLAINED[i].says) == NULL)
            fail_msg("\"%s\": %s", EXPLAINED[i].text, message);
    }
    arena_free(&arena);
}

/* Every unit leads there and back, and is known by its name. */
static void units_are_reversible(void **state)
{
    (void)state;
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        const struct quantity_unit *u = &QUANTITY_UNITS[i];
        assert_ptr_equal(quantity_unit_of(str_of(u->name), u->quantity), u);
        double written = u->from != NULL ? u->from(7.3) : 7.3;
        double back = quantity_from_library(u, quantity_to_library(u, written));
        if (fabs(back - written) > 1e-9 * fabs(written))
            fail_msg("%s: %.17g comes back as %.17g", u->name, written, back);
    }
    for (int q = 0; q < QUANTITY_COUNT; q++)
        if (QUANTITIES[q].unit[0] != '\0')
            assert_non_null(quantity_library_unit((enum quantity)q));
}

static void writes_values(void **state)
{
    struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    struct buf buf = buf_new(&arena);
    quantity_write(&buf, QUANTITY_TEMPERATURE, 20, unit("F", QUANTITY_TEMPERATURE), -1);
    buf_add(&buf, STR("; "));
    quantity_write(&buf, QUANTITY_GRAVITY, -0.04, NULL, -1);
    buf_add(&buf, STR("; "));
    quantity_write(&buf, QUANTITY_PH, 4.4, NULL, 2);
    buf_add(&buf, STR("; "));
    struct range range = {0};
    quantity_read_range(STR("..0.10 mg/L"), QUANTITY_VDK, NULL, &range);
    quantity_write_range(&buf, &range, NULL);
    assert_string_equal(buf.p, "68 F; 0.0 P; 4.40; ..0.10 mg/L");
    arena_free(&arena);
}

/* The trade writes specific gravities with three decimals; a fourth is shown where it says more. */
static void leaves_off_spare_digits(void **state)
{
    static const struct {
        enum quantity quantity;
        const char *unit;
        double written;
        const char *shown;
    } SHOWN[] = {
        {QUANTITY_GRAVITY, "SG", 1.018, "1.018"}, {QUANTITY_GRAVITY, "SG", 1.0135, "1.0135"},
        {QUANTITY_GRAVITY, "SG", 1, "1.000"},     {QUANTITY_GRAVITY, "SG", 0.0005, "0.0005"},
        {QUANTITY_GRAVITY, "P", 4, "4.0"},        {QUANTITY_PRESSURE, "bar", 1.2, "1.20"},
        {QUANTITY_TEMPERATURE, "F", 50, "50"},
    };
    struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < sizeof SHOWN / sizeof SHOWN[0]; i++) {
        struct buf buf = buf_new(&arena);
        quantity_write_shown(&buf, SHOWN[i].quantity, SHOWN[i].written,
                             unit(SHOWN[i].unit, SHOWN[i].quantity));
        assert_string_equal(buf.p, SHOWN[i].shown);
    }
    struct buf buf = buf_new(&arena);
    quantity_write_shown(&buf, QUANTITY_PH, 4.4, NULL);
    assert_string_equal(buf.p, "4.40");
    arena_free(&arena);
}

/* Numbers are written as printf writes them, in all sizes and at every tie, but for a sign of 0. */
static void writes_numbers_as_printf_does(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct buf buf = buf_new(&arena);
    uint64_t random = 1;
    for (int i = 0; i < 200000; i++) {
        random = random * 6364136223846793005u + 1442695040888963407u;
        double value = (double)(int64_t)random / 9.3e18 * pow(10, i % 12 - 2);
        if (i % 3 == 0)
            value = (double)((int64_t)(random >> 40) - (1 << 23)) / 2000; /* ties */
        int decimals = i % 8;
        char want[64], *from = want;
        snprintf(want, sizeof want, "%.*f", decimals, value);
        if (want[0] == '-' && strspn(want + 1, "0.") == strlen(want + 1))
            from++;
        buf.n = 0;
        quantity_write_number(&buf, value, decimals);
        if (strcmp(from, buf.p) != 0)
            fail_msg("%.17g with %d digits: %s, not %s", value, decimals, buf.p, from);
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_values),
        cmocka_unit_test(reads_ranges),
        cmocka_unit_test(compares_with_ranges),
        cmocka_unit_test(counts_whole_steps),
        cmocka_unit_test(reads_widths),
        cmocka_unit_test(says_what_would_be_right),
        cmocka_unit_test(units_are_reversible),
        cmocka_unit_test(writes_values),
        cmocka_unit_test(leaves_off_spare_digits),
        cmocka_unit_test(writes_numbers_as_printf_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
