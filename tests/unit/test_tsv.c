#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define MARK         "\xef\xbb\xbf" /* byte order mark */
#define DEGREE       "\xc2\xb0"

/* What is read, shown as one text: each field in [ ], blanks between the rows. */
static const struct {
    const char *title;
    struct str input;
    const char *rows;
} READS[] = {
    {"nothing", STR_ROW(""), ""},
    {"an empty line alone", STR_ROW("\n"), ""},
    {"one field", STR_ROW("a\n"), "[a]"},
    {"no line end at the end", STR_ROW("a\tb"), "[a][b]"},
    {"empty fields", STR_ROW("\ta\t\n"), "[][a][]"},
    {"two rows", STR_ROW("a\tb\nc\td\n"), "[a][b] [c][d]"},
    {"CRLF", STR_ROW("a\tb\r\nc\td\r\n"), "[a][b] [c][d]"},
    {"CR alone", STR_ROW("a\tb\rc\td\r"), "[a][b] [c][d]"},
    {"CRLF written twice over", STR_ROW("a\r\r\nb\r\r\n"), "[a] [b]"},
    {"byte order mark", STR_ROW(MARK "a\tb\n"), "[a][b]"},
    {"mark before a quoted cell", STR_ROW(MARK "\"a\"\tb\n"), "[a][b]"},
    {"a mark further on is text", STR_ROW("a\n" MARK "b\n"), "[a] [" MARK "b]"},
    {"blank lines", STR_ROW("a\n\n \t \n\t\t\nb\n"), "[a] [b]"},
    {"blanks are kept", STR_ROW(" a \tb \n"), "[ a ][b ]"},
    {"named escapes", STR_ROW("a\\tb\\nc\\\\d\\re\n"), "[a\tb\nc\\d\re]"},
    {"hex escapes", STR_ROW("\\x41\\x0d\\xC3\\xbc\n"), "[A\r\xc3\xbc]"},
    {"an escaped backslash hides its letter", STR_ROW("C:\\\\temp\\\\x41\n"), "[C:\\temp\\x41]"},
    {"unknown escapes stand", STR_ROW("\\q \\x4 \\xg1 \\\n"), "[\\q \\x4 \\xg1 \\]"},
    {"an escape does not reach over a tab", STR_ROW("a\\\tb\\x4\t1\n"), "[a\\][b\\x4][1]"},
    {"an escape does not reach over the end", STR_ROW("\\x4"), "[\\x4]"},
    {"quoted cell", STR_ROW("\"a b\"\tc\n"), "[a b][c]"},
    {"quoted cell at the end", STR_ROW("c\t\"a\""), "[c][a]"},
    {"empty quoted cell", STR_ROW("\"\"\ta\n"), "[][a]"},
    {"doubled quotes", STR_ROW("\"say \"\"ah\"\"\"\ta\n"), "[say \"ah\"][a]"},
    {"one quote in a cell", STR_ROW("\"\"\"\"\ta\n"), "[\"][a]"},
    {"escapes in a quoted cell", STR_ROW("\"a\\tb\"\n"), "[a\tb]"},
    {"quoted cell with a line end", STR_ROW("\"a\nb\"\tc\nd\n"), "[a\nb][c] [d]"},
    {"quoted cell with CRLF", STR_ROW("\"a\r\nb\"\tc\r\n"), "[a\nb][c]"},
    {"quotes inside a plain field", STR_ROW("12\" pipe\ta\"\n"), "[12\" pipe][a\"]"},
    {"a quote that is not closed", STR_ROW("\"a\tb\nc\td\n"), "[\"a][b] [c][d]"},
    {"a quote closed too early", STR_ROW("\"a\" b\tc\n"), "[\"a\" b][c]"},
    {"a quote alone", STR_ROW("\""), "[\"]"},
    {"three quotes", STR_ROW("\"\"\"\tc\n"), "[\"\"\"][c]"},
    {"a lost quote does not swallow rows", STR_ROW("\"a\tb\nc\td\"\n"), "[\"a][b] [c][d\"]"},
    {"broken UTF-8 stands", STR_ROW("\xff\t\xc3\n"), "[\xff][\xc3]"},
};

static void show_row(struct buf *shown, const struct tsv_row *row)
{
    if (shown->n > 0)
        buf_char(shown, ' ');
    for (size_t i = 0; i < row->count; i++) {
        buf_char(shown, '[');
        buf_add(shown, row->fields[i].text);
        buf_char(shown, ']');
    }
}

static void test_read(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(READS); i++) {
        struct tsv_reader reader = tsv_reader_of(READS[i].input);
        struct buf shown = buf_new(&arena);
        struct tsv_row row;
        while (tsv_read(&reader, &arena, &row))
            show_row(&shown, &row);
        if (!str_is(buf_str(&shown), READS[i].rows))
            fail_msg("%s: read as %s", READS[i].title, str_shown(&arena, buf_str(&shown)));
    }
    arena_free(&arena);
}

static void test_places(void **state)
{
    static const struct {
        const char *text;
        size_t line, column;
    } places[] = {
        {"tank", 1, 1},           {"note", 1, 6},     {"FV1", 3, 1},
        {"18 " DEGREE "C", 3, 5}, {"ok", 3, 11},      {"two\nlines", 4, 1},
        {"here", 5, 8},           {"\xff\xff", 6, 1}, {"after two bad", 6, 4},
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct tsv_reader reader = tsv_reader_of(STR(MARK "tank\tnote\r\n\r\n"
                                                      "FV1\t18 " DEGREE "C\tok\r\n"
                                                      "\"two\r\nlines\"\there\r\n"
                                                      "\xff\xff\tafter two bad"));
    struct tsv_row row;
    size_t n = 0;
    while (tsv_read(&reader, &arena, &row)) {
        assert_int_equal(row.line, row.fields[0].line);
        for (size_t i = 0; i < row.count; i++, n++) {
            assert_true(n < COUNT(places));
            struct tsv_field field = row.fields[i];
            if (!str_is(field.text, places[n].text) || field.line != places[n].line ||
                field.column != places[n].column)
                fail_msg("%s: \"%s\" at %zu:%zu", places[n].text, str_shown(&arena, field.text),
                         field.line, field.column);
        }
    }
    assert_int_equal(n, COUNT(places));
    arena_free(&arena);
}

static void test_row(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct str input = STR("Tank \tgravity_P\n\"a\nb\"\t\\x41\r\nc\n");
    struct tsv_reader reader = tsv_reader_of(input);
    struct tsv_row header, row;
    assert_true(tsv_read(&reader, &arena, &header));
    assert_int_equal(tsv_find(&header, "tank"), 0);
    assert_int_equal(tsv_find(&header, "gravity_P"), 1);
    assert_true(tsv_find(&header, "gravity") == SIZE_MAX);
    assert_true(tsv_find(&header, "") == SIZE_MAX);
    assert_ptr_equal(header.fields[1].text.p, input.p + 6); /* nothing decoded: no copy */

    assert_true(tsv_read(&reader, &arena, &row));
    assert_true(str_is(row.source, "\"a\nb\"\t\\x41"));
    assert_true(str_is(tsv_at(&row, 1).text, "A"));
    assert_true(tsv_at(&row, 2).text.n == 0);
    assert_int_equal(tsv_at(&row, 2).line, 3);
    assert_int_equal(tsv_at(&row, 2).column, 4);

    assert_true(tsv_read(&reader, &arena, &row));
    assert_true(str_is(row.source, "c"));
    assert_false(tsv_read(&reader, &arena, &row));
    arena_free(&arena);
}

static const struct {
    const char *title;
    struct str field;
    const char *written;
} WRITES[] = {
    {"nothing", STR_ROW(""), ""},
    {"plain", STR_ROW("FV3"), "FV3"},
    {"UTF-8", STR_ROW("18 " DEGREE "C"), "18 " DEGREE "C"},
    {"tab, newline, backslash", STR_ROW("a\tb\nc\\"), "a\\tb\\nc\\\\"},
    {"other controls", STR_ROW("\r\x1b[2J\x7f"), "\\x0D\\x1B[2J\\x7F"},
    {"NUL", STR_ROW("a\0b"), "a\\x00b"},
    {"C1", STR_ROW("\xc2\x9b[J"), "\\xC2\\x9B[J"},
    {"a mark that reorders", STR_ROW("a\xe2\x80\xae."), "a\\xE2\\x80\\xAE."},
    {"broken bytes", STR_ROW("\xff\xc3"), "\\xFF\\xC3"},
    {"what looks like an escape", STR_ROW("\\x41\\n"), "\\\\x41\\\\n"},
    {"what looks like a quoted cell", STR_ROW("\"a\""), "\\x22a\""},
    {"a quote inside", STR_ROW("12\" pipe"), "12\" pipe"},
};

static struct str written(struct arena *arena, struct str field)
{
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    assert_non_null(out);
    tsv_write(out, field);
    assert_int_equal(fclose(out), 0);
    struct str copy = str_copy(arena, (struct str){text, n});
    free(text);
    return copy;
}

static void check_round_trip(struct arena *arena, const char *title, struct str field)
{
    struct buf line = buf_new(arena);
    buf_add(&line, STR("x\t"));
    buf_add(&line, written(arena, field));
    buf_add(&line, STR("\ty\n"));
    struct tsv_reader reader = tsv_reader_of(buf_str(&line));
    struct tsv_row row;
    assert_true(tsv_read(&reader, arena, &row));
    if (row.count != 3 || !str_eq(row.fields[1].text, field))
        fail_msg("%s: does not come back from %s", title, str_shown(arena, buf_str(&line)));
}

static void test_write(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(WRITES); i++) {
        struct str text = written(&arena, WRITES[i].field);
        if (!str_is(text, WRITES[i].written))
            fail_msg("%s: written as %s", WRITES[i].title, str_shown(&arena, text));
        check_round_trip(&arena, WRITES[i].title, WRITES[i].field);
    }
    for (size_t i = 0; i < COUNT(READS); i++)
        check_round_trip(&arena, READS[i].title, READS[i].input);
    char bytes[256];
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (char)(unsigned char)i;
    check_round_trip(&arena, "every byte", (struct str){bytes, sizeof bytes});
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_read),
        cmocka_unit_test(test_places),
        cmocka_unit_test(test_row),
        cmocka_unit_test(test_write),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
