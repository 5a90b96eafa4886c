/* The character canvas: dots by their bits, what covers what, and places outside of it. */
#include "canvas.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static struct arena arena;

static const char *row_of(const struct canvas *canvas, long row)
{
    struct buf buf = buf_new(&arena);
    canvas_write_row(canvas, row, &buf);
    return buf.p;
}

static void test_dots(void **state)
{
    (void)state;
    /* Each dot of a cell, by the numbers of the Unicode Standard: 1 2 3 7 left, 4 5 6 8 right. */
    static const struct {
        double x, y;
        const char *shown;
    } DOTS[] = {
        {0, 0, "\u2801\n"},       {0, 0.25, "\u2802\n"},   {0, 0.5, "\u2804\n"},
        {0, 0.75, "\u2840\n"},    {0.5, 0, "\u2808\n"},    {0.5, 0.25, "\u2810\n"},
        {0.5, 0.5, "\u2820\n"},   {0.5, 0.75, "\u2880\n"}, {0.99, 0.99, "\u2880\n"},
        {0.49, 0.24, "\u2801\n"},
    };
    for (size_t i = 0; i < sizeof DOTS / sizeof *DOTS; i++) {
        struct canvas canvas = canvas_new(&arena, 1, 1, false);
        canvas_line(&canvas, DOTS[i].x, DOTS[i].y, DOTS[i].x, DOTS[i].y, CANVAS_LINE);
        assert_string_equal(row_of(&canvas, 0), DOTS[i].shown);
    }
}

static void test_outside(void **state)
{
    (void)state;
    static const double FAR[] = {-0.01, 3, 1e300, -1e300, INFINITY, -INFINITY, NAN};
    struct canvas canvas = canvas_new(&arena, 3, 1, false);
    for (size_t i = 0; i < sizeof FAR / sizeof *FAR; i++) {
        canvas_shade(&canvas, FAR[i], 0, 1);
        if (!(fabs(FAR[i]) <= 3)) {
            canvas_line(&canvas, 0, 0, FAR[i], 0, CANVAS_LINE);
            canvas_line(&canvas, FAR[i], 0, 0, 0, CANVAS_LINE);
        }
    }
    canvas_put(&canvas, -1, 0, 'x');
    canvas_put(&canvas, 3, 0, 'x');
    canvas_put(&canvas, 0, 1, 'x');
    canvas_text(&canvas, 1, 0, STR("long"));
    assert_string_equal(row_of(&canvas, 0), " lo\n");
    assert_true(canvas_is_covered(&canvas, 1, 0) && !canvas_is_covered(&canvas, 0, 0));
    assert_true(canvas_is_covered(&canvas, 3, 0) && canvas_is_covered(&canvas, 0, -1));
}

static void test_ascii(void **state)
{
    (void)state;
    struct canvas canvas = canvas_new(&arena, 9, 2, true);
    canvas_line(&canvas, 0, 0.9, 8.9, 0.9, CANVAS_RULE);
    assert_string_equal(row_of(&canvas, 0), "- - - - -\n");
    canvas_shade(&canvas, 4, 0, 1.9);
    assert_string_equal(row_of(&canvas, 0), "- - - - -\n"); /* a limit lies over a shade */
    assert_string_equal(row_of(&canvas, 1), "    :\n");
    canvas_line(&canvas, 0, 0.1, 8.9, 1.9, CANVAS_LINE);
    assert_string_equal(row_of(&canvas, 0), "''... - -\n");
}

static void test_patterns(void **state)
{
    (void)state;
    struct canvas whole = canvas_new(&arena, 8, 1, false), pieces = canvas_new(&arena, 8, 1, false);
    canvas_line(&whole, 0, 0, 7.9, 0, CANVAS_RULE);
    canvas_line(&pieces, 0, 0, 2.7, 0, CANVAS_RULE);
    canvas_line(&pieces, 2.7, 0, 7.9, 0, CANVAS_RULE);
    assert_string_equal(row_of(&whole, 0), row_of(&pieces, 0));
    canvas_put(&whole, 2, 0, 0x25cf);
    assert_string_equal(row_of(&whole, 0) + strlen("\u2801 "), "\u25cf \u2801 \u2801\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_dots),
        cmocka_unit_test(test_outside),
        cmocka_unit_test(test_ascii),
        cmocka_unit_test(test_patterns),
    };
    arena_init(&arena, NULL, NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    arena_free(&arena);
    return failed;
}
