#include "report.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

struct finding {
    const char *file;
    uint32_t line, column;
    enum rule rule;
    const char *message;
};

/* What report_text() writes of findings in the one text. */
static const char *written(struct arena *arena, const struct report *like,
                           const struct finding *findings, size_t n)
{
    struct diags diags;
    char *bytes = NULL;
    size_t size = 0;
    diag_init(&diags, arena);
    for (size_t i = 0; i < n; i++) {
        struct source source = {str_of(findings[i].file), {"", 0}};
        diag_add(&diags, (struct place){&source, findings[i].line, findings[i].column},
                 findings[i].rule, "%s", findings[i].message);
    }
    diag_sort(&diags);
    struct report report = *like;
    report.arena = arena;
    report.out = open_memstream(&bytes, &size);
    report_text(&report, &diags);
    fclose(report.out);
    const char *copy = arena_copy(arena, bytes, size);
    free(bytes);
    return copy;
}

static struct str text_of_context(void *context, struct str file)
{
    (void)file;
    return str_of(context);
}

static const struct {
    const char *title, *text;
    uint32_t line, column;
    size_t width;
    const char *shown;
} LINES[] = {
    {"first column", "abc\ndef\n", 2, 1, 80, "    2 | def\n      | ^\n"},
    {"behind the end", "abc\ndef\n", 1, 4, 80, "    1 | abc\n      |    ^\n"},
    {"far behind the end", "abc\ndef\n", 1, 40, 80, "    1 | abc\n      |    ^\n"},
    {"no last newline", "abc\ndef", 2, 3, 80, "    2 | def\n      |   ^\n"},
    {"an empty line", "abc\n\ndef\n", 2, 1, 80, "    2 | \n      | ^\n"},
    {"no such line", "abc\n", 7, 1, 80, ""},
    {"no text any more", "", 1, 1, 80, ""},
    {"CRLF", "abc\r\ndef\r\n", 2, 2, 80, "    2 | def\n      |  ^\n"},
    {"CR alone", "abc\rdef\r", 2, 2, 80, "    2 | def\n      |  ^\n"},
    {"a byte order mark is no column",
     "\xef\xbb\xbf"
     "abc\n",
     1, 2, 80, "    1 | abc\n      |  ^\n"},
    {"characters, not bytes", "\xc3\xa5\xc3\xa4: 1\n", 1, 3, 80,
     "    1 | \xc3\xa5\xc3\xa4: 1\n      |   ^\n"},
    {"wide characters take two", "\xe9\xba\xa6\xe9\x85\x92: 1\n", 1, 3, 80,
     "    1 | \xe9\xba\xa6\xe9\x85\x92: 1\n      |     ^\n"},
    {"combining ones take none", "e\xcc\x81: 1\n", 1, 3, 80, "    1 | e\xcc\x81: 1\n      |  ^\n"},
    {"tabs go to the next stop", "a\tb\tc\n", 1, 5, 80,
     "    1 | a       b       c\n      |                 ^\n"},
    {"a control character is shown escaped", "a\033[31mb\n", 1, 2, 80,
     "    1 | a\\x1B[31mb\n      |  ^\n"},
    {"a broken byte too",
     "a\xff"
     "bc\n",
     1, 3, 80, "    1 | a\\xFFbc\n      |      ^\n"},
    {"a line that fits to the last column", "123456789012345678901234567890ab\n", 1, 1, 40,
     "    1 | 123456789012345678901234567890ab\n      | ^\n"},
    {"the end is cut", "123456789012345678901234567890abc\n", 1, 1, 40,
     "    1 | 12345678901234567890123456789...\n      | ^\n"},
    {"both ends are cut",
     "1234567890123456789012345678901234567890X234567890123456789012345678901\n", 1, 41, 40,
     "    1 | ...9012345678901234567890X234...\n      |                          ^\n"},
};

static void shows_the_line_and_a_caret(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < COUNT(LINES); i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        struct finding finding = {"f", LINES[i].line, LINES[i].column, RULE_VALUE, "no"};
        struct report report = {.width = LINES[i].width,
                                .text_of = text_of_context,
                                .context = (void *)(uintptr_t)LINES[i].text};
        const char *all = written(&arena, &report, &finding, 1);
        const char *shown = strchr(all, '\n') + 1;
        size_t n = strlen(shown) - strlen("1 error\n");
        if (strlen(LINES[i].shown) != n || memcmp(LINES[i].shown, shown, n) != 0) {
            print_error("%s:\n%s\n", LINES[i].title, shown);
            wrong++;
        }
        arena_free(&arena);
    }
    assert_int_equal(wrong, 0);
}

static void folds_what_is_said_again(void **state)
{
    (void)state;
    static const struct finding FINDINGS[] = {
        {"a", 3, 1, RULE_REFERENCE, "tank"},   {"a", 9, 1, RULE_REFERENCE, "tank"},
        {"a", 5, 1, RULE_UNIT, "tank"},        {"a", 7, 1, RULE_REFERENCE, "other"},
        {"b", 3, 1, RULE_REFERENCE, "tank"},   {"a", 10, 1, RULE_REFERENCE, "other"},
        {"a", 11, 1, RULE_REFERENCE, "other"}, {"a", 12, 1, RULE_REFERENCE, "other"},
        {"a", 13, 1, RULE_REFERENCE, "other"}, {"a", 14, 1, RULE_REFERENCE, "other"},
        {"a", 1, 1, RULE_GAP, "where"},
    };
    struct arena arena;
    struct report report = {.errors_only = false};
    arena_init(&arena, NULL, NULL);
    assert_string_equal(
        written(&arena, &report, FINDINGS, COUNT(FINDINGS)),
        "a:1:1: warning: where [gap]\n"
        "a:3:1: error: tank (also in line 9) [reference]\n"
        "a:5:1: error: tank [unit]\n"
        "a:7:1: error: other (also in lines 10, 11, 12, 13 and 1 more) [reference]\n"
        "b:3:1: error: tank [reference]\n"
        "10 errors, 1 warning\n");
    report.errors_only = true;
    const char *errors = written(&arena, &report, FINDINGS, COUNT(FINDINGS));
    assert_null(strstr(errors, "warning"));
    assert_non_null(strstr(errors, "\n10 errors\n"));
    assert_string_equal(written(&arena, &report, FINDINGS, 0), "");
    arena_free(&arena);
}

static void counts_what_is_too_much(void **state)
{
    enum { MANY = 1000 };
    static struct finding findings[MANY];
    struct arena arena;
    struct report report = {.errors_only = false};
    (void)state;
    arena_init(&arena, NULL, NULL);
    for (uint32_t i = 0; i < MANY; i++) {
        struct buf message = buf_new(&arena);
        buf_printf(&message, "figure %u", (unsigned)i);
        findings[i] = (struct finding){"a", i + 1, 1, RULE_UNIT, message.p};
    }
    const char *text = written(&arena, &report, findings, MANY);
    size_t lines = 0;
    for (const char *p = text; *p != '\0'; p++)
        lines += *p == '\n';
    assert_int_equal(lines, 27);
    assert_non_null(strstr(text, "\na: note: 975 more like these, -t lists them all [unit]\n"));
    assert_non_null(strstr(text, "\n1000 errors\n"));
    arena_free(&arena);
}

static void colours_when_told(void **state)
{
    (void)state;
    struct arena arena;
    struct finding finding = {"a\033", 1, 2, RULE_UNIT, "no"};
    struct report report = {.colour = true};
    arena_init(&arena, NULL, NULL);
    assert_string_equal(written(&arena, &report, &finding, 1),
                        "\033[1ma\\x1B:1:2:\033[0m\033[1;31m error:\033[0m no [unit]\n1 error\n");
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_the_line_and_a_caret),
        cmocka_unit_test(folds_what_is_said_again),
        cmocka_unit_test(counts_what_is_too_much),
        cmocka_unit_test(colours_when_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
