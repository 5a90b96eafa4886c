#include "one_arena.h"
#include "str.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define BEER         "\xe9\xba\xa6\xe9\x85\x92" /* two characters of two columns */
#define ACUTE        "\xcc\x81"                 /* combining, no column */
#define GLASS        "\xf0\x9f\x8d\xba"         /* an emoji, two columns */

static void test_compare(void **state)
{
    static const struct {
        struct str a, b;
        int order;
        bool nocase;
    } rows[] = {
        {STR_ROW(""), STR_ROW(""), 0, true},          {STR_ROW("a"), STR_ROW(""), 1, false},
        {STR_ROW("a"), STR_ROW("a"), 0, true},        {STR_ROW("a"), STR_ROW("A"), 1, true},
        {STR_ROW("FV1"), STR_ROW("FV10"), -1, false}, {STR_ROW("FV2"), STR_ROW("FV10"), 1, false},
        {STR_ROW("\xff"), STR_ROW("a"), 1, false},    {STR_ROW("a\0b"), STR_ROW("a"), 1, false},
        {STR_ROW("[x"), STR_ROW("{x"), -1, false},    {{NULL, 0}, STR_ROW(""), 0, true},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        int order = str_cmp(rows[i].a, rows[i].b), back = str_cmp(rows[i].b, rows[i].a);
        if ((order > 0) - (order < 0) != rows[i].order || (back < 0) - (back > 0) != rows[i].order)
            fail_msg("row %zu: order %d", i, order);
        assert_int_equal(str_eq(rows[i].a, rows[i].b), rows[i].order == 0);
        assert_int_equal(str_is(rows[i].a, rows[i].b.p), rows[i].order == 0);
        if (str_is_nocase(rows[i].a, rows[i].b.p) != rows[i].nocase)
            fail_msg("row %zu: case", i);
    }
    assert_int_equal(str_of(NULL).n, 0);
    assert_true(str_starts(STR("gravity"), "grav"));
    assert_false(str_starts(STR("gra"), "grav"));
    assert_true(str_starts((struct str){NULL, 0}, ""));
    assert_true(str_ends(STR("gravity-meter"), "-meter"));
    assert_false(str_ends(STR("meter"), "-meter"));
    assert_true(str_ends((struct str){NULL, 0}, ""));
    assert_true(str_contains(STR("batch: 0417"), STR("0417")));
    assert_true(str_contains(STR("aab"), STR("ab")));
    assert_true(str_contains(STR("0417"), STR("")));
    assert_false(str_contains(STR("batch: 0417"), STR("04170")));
    assert_false(str_contains(STR("0416 0418"), STR("0417")));
    assert_false(str_contains((struct str){NULL, 0}, STR("0")));
}

static void test_parts(void **state)
{
    static const struct {
        struct str s;
        const char *trimmed;
    } trims[] = {
        {STR_ROW(""), ""},       {STR_ROW(" \t\r\n"), ""},        {STR_ROW("a"), "a"},
        {STR_ROW("a b"), "a b"}, {STR_ROW("\t a b \r\n"), "a b"}, {{NULL, 0}, ""},
    };
    static const struct {
        size_t from, to;
        const char *part;
    } cuts[] = {{0, 7, "gravity"}, {0, 4, "grav"}, {4, 7, "ity"}, {4, SIZE_MAX, "ity"},
                {7, 7, ""},        {9, 12, ""},    {5, 2, ""}};
    (void)state;
    for (size_t i = 0; i < COUNT(trims); i++)
        assert_true(str_is(str_trim(trims[i].s), trims[i].trimmed));
    for (size_t i = 0; i < COUNT(cuts); i++)
        assert_true(str_is(str_cut(STR("gravity"), cuts[i].from, cuts[i].to), cuts[i].part));
    assert_int_equal(str_cut((struct str){NULL, 0}, 0, 3).n, 0);
    struct str copy = str_copy(&arena, str_cut(STR("gravity"), 0, 4));
    assert_string_equal(copy.p, "grav");
    assert_int_equal(str_copy(&arena, (struct str){NULL, 0}).n, 0);
}

static void test_split(void **state)
{
    static const struct {
        struct str s;
        const char *parts; /* each in [ ] */
    } rows[] = {
        {STR_ROW(""), "[]"},           {STR_ROW("a"), "[a]"},    {STR_ROW(","), "[][]"},
        {STR_ROW("a,"), "[a][]"},      {STR_ROW(",a"), "[][a]"}, {STR_ROW("a,b,c"), "[a][b][c]"},
        {STR_ROW("a,,b"), "[a][][b]"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf parts = buf_new(&arena);
        struct str rest = rows[i].s;
        while (rest.p != NULL) {
            struct str part = str_split(&rest, ',');
            buf_printf(&parts, "[" STR_FMT "]", STR_ARG(part));
        }
        assert_string_equal(parts.p, rows[i].parts);
    }
}

/* Broken UTF-8 after RFC 3629: overlong forms, surrogates, beyond 10FFFF, cut and lone bytes. */
static void test_char(void **state)
{
    static const struct {
        struct str s;
        uint32_t code;
        size_t used;
    } rows[] = {
        {STR_ROW("a"), 'a', 1},
        {STR_ROW("\0"), 0, 1},
        {STR_ROW("\x7f"), 0x7f, 1},
        {STR_ROW("\xc2\x80"), 0x80, 2},
        {STR_ROW("\xdf\xbf"), 0x7ff, 2},
        {STR_ROW("\xe0\xa0\x80"), 0x800, 3},
        {STR_ROW("\xef\xbf\xbf"), 0xffff, 3},
        {STR_ROW("\xf0\x90\x80\x80"), 0x10000, 4},
        {STR_ROW("\xf4\x8f\xbf\xbf"), 0x10ffff, 4},
        {STR_ROW("\xed\x9f\xbf"), 0xd7ff, 3},
        {STR_ROW("\xee\x80\x80"), 0xe000, 3},
        {STR_ROW("\xc2\x80more"), 0x80, 2},
        {STR_ROW("\x80"), UINT32_MAX, 1},
        {STR_ROW("\xbf\xbf"), UINT32_MAX, 1},
        {STR_ROW("\xc0\x80"), UINT32_MAX, 1},
        {STR_ROW("\xc1\xbf"), UINT32_MAX, 1},
        {STR_ROW("\xe0\x9f\xbf"), UINT32_MAX, 1},
        {STR_ROW("\xf0\x8f\xbf\xbf"), UINT32_MAX, 1},
        {STR_ROW("\xed\xa0\x80"), UINT32_MAX, 1},
        {STR_ROW("\xed\xbf\xbf"), UINT32_MAX, 1},
        {STR_ROW("\xf4\x90\x80\x80"), UINT32_MAX, 1},
        {STR_ROW("\xf5\x80\x80\x80"), UINT32_MAX, 1},
        {STR_ROW("\xf8\x88\x80\x80\x80"), UINT32_MAX, 1},
        {STR_ROW("\xff"), UINT32_MAX, 1},
        {STR_ROW("\xc2"), UINT32_MAX, 1},
        {STR_ROW("\xc2"
                 "a"),
         UINT32_MAX, 1},
        {STR_ROW("\xe2\x82"), UINT32_MAX, 1},
        {STR_ROW("\xe2\x82("), UINT32_MAX, 1},
        {STR_ROW("\xf0\x9f\x8d"), UINT32_MAX, 1},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t used = 99;
        uint32_t code = str_char(rows[i].s.p, rows[i].s.n, &used);
        if (code != rows[i].code || used != rows[i].used)
            fail_msg("%s: U+%04X of %zu bytes", str_shown(&arena, rows[i].s), code, used);
    }
}

static void test_width(void **state)
{
    static const struct {
        const char *title;
        struct str s;
        size_t width;
    } rows[] = {
        {"nothing", STR_ROW(""), 0},
        {"no bytes", {NULL, 0}, 0},
        {"ASCII", STR_ROW("Datum Stout"), 11},
        {"degree sign",
         STR_ROW("18 \xc2\xb0"
                 "C"),
         5},
        {"combining", STR_ROW("cafe" ACUTE), 4},
        {"east Asian", STR_ROW(BEER), 4},
        {"full-width letter", STR_ROW("\xef\xbc\xa1"), 2},
        {"half-width katakana", STR_ROW("\xef\xbd\xb1"), 1},
        {"Hangul from its parts", STR_ROW("\xe1\x84\x92\xe1\x85\xa1\xe1\x86\xab"), 2},
        {"emoji", STR_ROW(GLASS), 2},
        {"a star", STR_ROW("\xe2\xad\x90"), 2},
        {"an emoji sign that is text by default", STR_ROW("\xe2\x9a\xa0"), 1},
        {"box drawing", STR_ROW("\xe2\x94\x80"), 1},
        {"Thai vowel above", STR_ROW("\xe0\xb8\x81\xe0\xb8\xb4"), 1},
        {"escaped", STR_ROW("a\n\x1b\xc2\x9b\xff\xe2\x80\xae"), 1 + 2 + 4 + 4 + 4 + 6},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        if (str_width(rows[i].s) != rows[i].width)
            fail_msg("%s: %zu columns", rows[i].title, str_width(rows[i].s));
}

static void test_fit(void **state)
{
    static const struct {
        struct str s;
        size_t width;
        const char *part;
    } rows[] = {
        {STR_ROW(""), 3, ""},
        {{NULL, 0}, 3, ""},
        {STR_ROW("abc"), 0, ""},
        {STR_ROW("abc"), 2, "ab"},
        {STR_ROW("abc"), 3, "abc"},
        {STR_ROW("abc"), SIZE_MAX, "abc"},
        {STR_ROW(BEER), 3, "\xe9\xba\xa6"},
        {STR_ROW(BEER), 1, ""},
        {STR_ROW("e" ACUTE "f"), 1, "e" ACUTE},
        {STR_ROW("a\x1b"
                 "b"),
         4, "a"},
        {STR_ROW("a\x1b"
                 "b"),
         5, "a\x1b"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct str part = str_fit(rows[i].s, rows[i].width);
        if (!str_is(part, rows[i].part))
            fail_msg("%s in %zu: %s", str_shown(&arena, rows[i].s), rows[i].width,
                     str_shown(&arena, part));
    }
}

static const struct {
    const char *title;
    struct str s;
    size_t limit;
    const char *shown;
} ESCAPES[] = {
    {"nothing", STR_ROW(""), 0, ""},
    {"no bytes", {NULL, 0}, 0, ""},
    {"plain", STR_ROW("3.4 P"), 0, "3.4 P"},
    {"newline, tab, return", STR_ROW("a\nb\tc\r"), 0, "a\\nb\\tc\\r"},
    {"a terminal's sequence", STR_ROW("\x1b]0;x\x07"), 0, "\\x1B]0;x\\x07"},
    {"NUL and DEL", STR_ROW("a\0\x7f"), 0, "a\\x00\\x7F"},
    {"C1", STR_ROW("\xc2\x80\xc2\x9b[2J\xc2\x9f"), 0, "\\x80\\x9B[2J\\x9F"},
    {"no-break space is no control", STR_ROW("\xc2\xa0"), 0, "\xc2\xa0"},
    {"reordering", STR_ROW("\xe2\x80\xaa\xe2\x80\xae\xe2\x81\xa6\xe2\x81\xa9"), 0,
     "\\u202A\\u202E\\u2066\\u2069"},
    {"direction marks", STR_ROW("\xe2\x80\x8e\xe2\x80\x8f\xd8\x9c"), 0, "\\u200E\\u200F\\u061C"},
    {"line separators", STR_ROW("\xe2\x80\xa8\xe2\x80\xa9"), 0, "\\u2028\\u2029"},
    {"byte order mark", STR_ROW("\xef\xbb\xbf"), 0, "\\uFEFF"},
    {"tags", STR_ROW("\xf3\xa0\x81\x81"), 0, "\\uE0041"},
    {"broken bytes", STR_ROW("\xff\xc3(\xe2\x82"), 0, "\\xFF\\xC3(\\xE2\\x82"},
    {"a surrogate", STR_ROW("\xed\xa0\x80"), 0, "\\xED\\xA0\\x80"},
    {"emoji", STR_ROW(GLASS), 0, GLASS},
    {"just fits", STR_ROW("abcdef"), 6, "abcdef"},
    {"cut", STR_ROW("abcdefg"), 6, "abc..."},
    {"cut to the dots", STR_ROW("abcdefg"), 3, "..."},
    {"less than the dots", STR_ROW("abcdefg"), 2, ".."},
    {"one column", STR_ROW("abcdefg"), 1, "."},
    {"no escape is cut through", STR_ROW("a\x1b\x1b"), 7, "a..."},
    {"no wide character is cut through", STR_ROW(BEER BEER), 6, "\xe9\xba\xa6..."},
};

static void test_escape(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ESCAPES); i++) {
        struct buf shown = buf_new(&arena);
        str_escape(&shown, ESCAPES[i].s, ESCAPES[i].limit);
        if (strcmp(shown.p, ESCAPES[i].shown) != 0)
            fail_msg("%s: %s", ESCAPES[i].title, shown.p);
        if (ESCAPES[i].limit == 0)
            assert_int_equal(str_width(buf_str(&shown)), str_width(ESCAPES[i].s));
        else
            assert_true(str_width(buf_str(&shown)) <= ESCAPES[i].limit);
    }
    char long_text[100];
    memset(long_text, 'x', sizeof long_text);
    assert_int_equal(strlen(str_shown(&arena, (struct str){long_text, sizeof long_text})), 60);
}

static void test_write_escaped(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ESCAPES); i++) {
        char *text = NULL;
        size_t n = 0;
        FILE *out = open_memstream(&text, &n);
        assert_non_null(out);
        str_write_escaped(out, ESCAPES[i].s);
        assert_int_equal(fclose(out), 0);
        if (ESCAPES[i].limit == 0 && strcmp(text, ESCAPES[i].shown) != 0)
            fail_msg("%s: %s", ESCAPES[i].title, text);
        free(text);
    }
}

/* Every code point is read back from its UTF-8, but for the surrogates. */
static void test_every_char(void **state)
{
    (void)state;
    for (uint32_t code = 0x80; code <= 0x10ffff; code++) {
        char p[4];
        size_t n = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
        for (size_t i = n; i-- > 1;)
            p[i] = (char)(unsigned char)(0x80 | (code >> 6 * (n - 1 - i) & 0x3f));
        p[0] = (char)(unsigned char)((0xf00u >> n & 0xf0) | code >> 6 * (n - 1));
        size_t used;
        uint32_t read = str_char(p, n, &used);
        bool surrogate = code >= 0xd800 && code < 0xe000;
        if (read != (surrogate ? UINT32_MAX : code) || used != (surrogate ? 1 : n))
            fail_msg("U+%04X is read as U+%04X", code, read);
        int width = str_char_width(code);
        assert_true(width >= 0 && width <= 2);
    }
}

static void test_distance(void **state)
{
    static const struct {
        const char *a, *b;
        size_t distance;
    } rows[] = {
        {"", "", 0},
        {"", "abc", 3},
        {"gravity", "gravity", 0},
        {"gravity", "Gravity", 0},
        {"gravty", "gravity", 1},
        {"gravityy", "gravity", 1},
        {"grabity", "gravity", 1},
        {"garvity", "gravity", 1},
        {"rgaviyt", "gravity", 2},
        {"ca", "abc", 3}, /* a swapped pair is not changed again */
        {"kitten", "sitting", 3},
        {"abc", "xyz", 3},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct str a = str_of(rows[i].a), b = str_of(rows[i].b);
        if (str_distance(a, b) != rows[i].distance || str_distance(b, a) != rows[i].distance)
            fail_msg("%s, %s: %zu and %zu", rows[i].a, rows[i].b, str_distance(a, b),
                     str_distance(b, a));
    }
    char text[64];
    memset(text, 'x', sizeof text);
    struct str longest = {text, 63}, too_long = {text, 64};
    assert_int_equal(str_distance(longest, longest), 0);
    assert_int_equal(str_distance(longest, STR("")), 63);
    assert_true(str_distance(too_long, longest) == SIZE_MAX);
    assert_true(str_distance(STR(""), too_long) == SIZE_MAX);
}

static const char *const KEYS[] = {"at",   "tank",     NULL,  "gravity", "ph",      "temp",
                                   "note", "corrects", "vdk", "by",      "pressure"};

static const char *key_name(const void *table, size_t i)
{
    return ((const char *const *)table)[i];
}

static void test_nearest(void **state)
{
    static const struct {
        const char *typed, *meant;
    } rows[] = {
        {"gravty", "gravity"},
        {"GRAVITY", "gravity"},
        {"presure", "pressure"},
        {"temperature", NULL},
        {"tmep", "temp"},
        {"hp", "ph"},
        {"p", "ph"},
        {"x", NULL},
        {"", NULL},
        {"zz", NULL},
        {"correct", "corrects"},
        {"volume", NULL},
        {"notes", "note"},
        {"bya", "by"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *found = str_nearest(str_of(rows[i].typed), key_name, KEYS, COUNT(KEYS));
        if ((found == NULL) != (rows[i].meant == NULL) ||
            (found != NULL && strcmp(found, rows[i].meant) != 0))
            fail_msg("%s: %s", rows[i].typed, found == NULL ? "none" : found);
    }
    assert_null(str_nearest(STR("ph"), key_name, KEYS, 0));
}

static void test_buf(void **state)
{
    (void)state;
    struct buf buf = buf_new(&arena);
    assert_string_equal(buf.p, "");
    for (size_t n = 0; n < 300; n++) { /* past every size at which the buffer grows */
        buf_printf(&buf, "%zu", n % 10);
        assert_int_equal(buf.n, n + 1);
        assert_int_equal(strlen(buf.p), n + 1);
    }
    for (size_t fill = 0; fill < 200; fill++) {
        struct buf pad = buf_new(&arena);
        buf_pad(&pad, 'x', fill);
        buf_printf(&pad, "%s-%d", "grown while printing, by more than it holds", 417);
        assert_int_equal(pad.n, fill + 47);
        assert_int_equal(strlen(pad.p), pad.n);
        assert_string_equal(pad.p + pad.n - 4, "-417");
    }
    buf.n = 0;
    buf_add(&buf, (struct str){NULL, 0});
    buf_add(&buf, STR("a\0b"));
    buf_char(&buf, 'c');
    assert_true(str_eq(buf_str(&buf), STR("a\0bc")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_compare),    cmocka_unit_test(test_parts),
        cmocka_unit_test(test_split),      cmocka_unit_test(test_char),
        cmocka_unit_test(test_width),      cmocka_unit_test(test_fit),
        cmocka_unit_test(test_escape),     cmocka_unit_test(test_write_escaped),
        cmocka_unit_test(test_every_char), cmocka_unit_test(test_distance),
        cmocka_unit_test(test_nearest),    cmocka_unit_test(test_buf),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
