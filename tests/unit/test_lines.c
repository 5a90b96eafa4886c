/* Lines of a stream: their ends, their numbers, and one that is too long for the buffer. */
#include "lines.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* A descriptor from which the bytes can be read. */
static int descriptor_of(const char *bytes, size_t n, FILE **file)
{
    *file = tmpfile();
    assert_non_null(*file);
    assert_int_equal(fwrite(bytes, 1, n, *file), n);
    assert_int_equal(fflush(*file), 0);
    assert_int_equal(lseek(fileno(*file), 0, SEEK_SET), 0);
    return fileno(*file);
}

static void lines_are_cut(void **state)
{
    static const struct {
        const char *title, *bytes;
        const char *lines[5];
    } rows[] = {
        {"nothing", "", {NULL}},
        {"one line", "a\n", {"a", NULL}},
        {"the last one has no end", "a\nb", {"a", "b", NULL}},
        {"CRLF", "a\r\nb\r\n", {"a", "b", NULL}},
        {"empty lines count", "\n\na\n", {"", "", "a", NULL}},
    };
    static struct lines lines;
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        FILE *file;
        struct str text;
        size_t n = 0;
        lines_begin(&lines, descriptor_of(rows[i].bytes, strlen(rows[i].bytes), &file));
        while (lines_next(&lines, &text) == LINES_OK) {
            if (rows[i].lines[n] == NULL || !str_is(text, rows[i].lines[n]))
                fail_msg("%s: line %zu is \"" STR_FMT "\"", rows[i].title, n + 1, STR_ARG(text));
            assert_int_equal(lines.number, ++n);
        }
        if (rows[i].lines[n] != NULL)
            fail_msg("%s: ended after %zu lines", rows[i].title, n);
        fclose(file);
    }
}

static void too_long_is_one_error(void **state)
{
    static struct lines lines;
    static char bytes[3 * LINES_LONGEST];
    FILE *file;
    struct str text;
    (void)state;
    memset(bytes, 'x', sizeof bytes);
    memcpy(bytes, "a\n", 2);
    memcpy(bytes + sizeof bytes - 3, "\nb\n", 3);
    lines_begin(&lines, descriptor_of(bytes, sizeof bytes, &file));
    assert_int_equal(lines_next(&lines, &text), LINES_OK);
    assert_int_equal(lines_next(&lines, &text), LINES_TOO_LONG);
    assert_int_equal(lines.number, 2);
    assert_int_equal(lines_next(&lines, &text), LINES_OK);
    assert_true(str_is(text, "b"));
    assert_int_equal(lines.number, 3);
    assert_int_equal(lines_next(&lines, &text), LINES_END);
    fclose(file);
}

static void failing_reads_are_told(void **state)
{
    static struct lines lines;
    struct str text;
    (void)state;
    lines_begin(&lines, -1);
    assert_int_equal(lines_next(&lines, &text), LINES_FAILED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_cut),
        cmocka_unit_test(too_long_is_one_error),
        cmocka_unit_test(failing_reads_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
