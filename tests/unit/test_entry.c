/*
 * Entries as they are written: in the list's own order of keys, and so that they are read back as
 * they were meant, whatever a note holds.
 */
#include "entry.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static struct arena arena;

static int start(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    return 0;
}

static int finish(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static struct doc_stream parse(const char *text, size_t n)
{
    struct source *source = arena_alloc(&arena, sizeof *source);
    struct diags *diags = arena_alloc(&arena, sizeof *diags);
    *source = (struct source){STR("test"), {text, n}};
    diag_init(diags, &arena);
    struct doc_stream stream = doc_read(&arena, source, diags);
    if (diags->n > 0)
        fail_msg("%s: %s", text, diags->items[0].message);
    return stream;
}

static const char *write_like(const char *list)
{
    const struct key_table *table = entry_table(ENTRY_READING);
    const char **order = arena_array(&arena, table->count, sizeof *order);
    struct entry *entry = entry_new(&arena, ENTRY_READING, NULL, 1, STR(""));
    struct buf out = buf_new(&arena);
    entry->at = 1795594200; /* 2026-11-25 08:10 UTC */
    entry_set(entry, "note", STR("high"));
    entry_set(entry, "temp", STR("19.5 C"));
    entry_set(entry, "ph", STR("4.42"));
    entry_set(entry, "gravity", STR("3.4 P"));
    entry_set(entry, "by", STR("MO"));
    entry_order(table, list == NULL ? NULL : parse(list, strlen(list)).first->root, order);
    entry_write(&out, entry, civil_utc(), order, table->count);
    return out.p;
}

static const struct {
    const char *title, *list, *expected;
} ORDERS[] = {
    {"the table's order", NULL,
     "{at: 2026-11-25 08:10, gravity: 3.4 P, ph: 4.42, temp: 19.5 C, by: MO, note: \"high\"}"},
    {"the list's order", "[{by: A, at: x, ph: 1, gravity: 2}]",
     "{by: MO, note: \"high\", at: 2026-11-25 08:10, ph: 4.42, temp: 19.5 C, gravity: 3.4 P}"},
    {"of the fullest of the last entries", "[{note: n, at: x, ph: 1}, {at: x, ph: 1}]",
     "{note: \"high\", at: 2026-11-25 08:10, gravity: 3.4 P, ph: 4.42, temp: 19.5 C, by: MO}"},
    {"keys of one's own do not disturb", "[{x-mine: 1, at: x, temp: 1, ph: 2}]",
     "{at: 2026-11-25 08:10, gravity: 3.4 P, temp: 19.5 C, by: MO, note: \"high\", ph: 4.42}"},
    {"an empty list", "[]",
     "{at: 2026-11-25 08:10, gravity: 3.4 P, ph: 4.42, temp: 19.5 C, by: MO, note: \"high\"}"},
};

static void keys_stand_as_in_the_list(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ORDERS); i++) {
        const char *got = write_like(ORDERS[i].list);
        if (strcmp(got, ORDERS[i].expected) != 0)
            fail_msg("%s: %s", ORDERS[i].title, got);
    }
}

/* Texts that would be something else, were they not quoted. */
static const struct str TEXTS[] = {
    STR_ROW("plain"),
    STR_ROW("two words"),
    STR_ROW("a, b: c"),
    STR_ROW("3,4"),
    STR_ROW("# no remark"),
    STR_ROW("it's > 6.2"),
    STR_ROW("\"quoted\""),
    STR_ROW("back\\slash"),
    STR_ROW("{a: b}"),
    STR_ROW("[x]"),
    STR_ROW("*alias"),
    STR_ROW("&anchor"),
    STR_ROW("!tag"),
    STR_ROW("null"),
    STR_ROW("NO"),
    STR_ROW("~"),
    STR_ROW("- dash"),
    STR_ROW("?"),
    STR_ROW("%percent"),
    STR_ROW("@at"),
    STR_ROW("`tick"),
    STR_ROW(" blanks "),
    STR_ROW("tab\there"),
    STR_ROW("line\nend"),
    STR_ROW("cr\rhere"),
    STR_ROW("caf\xc3\xa9"),
    STR_ROW("\xe2\x80\xae"
            "reversed"),
    STR_ROW("\xc2\x85nel"),
    STR_ROW("\xe2\x80\xa8ls"),
    STR_ROW("\xef\xbb\xbf"
            "bom"),
    STR_ROW("bell\a"),
    STR_ROW("esc\x1b[31m"),
    STR_ROW("\x7f"),
    STR_ROW("\xf0\x9f\x8d\xba beer"),
    STR_ROW("2026-11-25 08:10"),
    STR_ROW("12:30"),
    STR_ROW("0417"),
    STR_ROW("<4.7"),
    STR_ROW(">6.2"),
    STR_ROW("..."),
    STR_ROW("---"),
    STR_ROW("a\0b"),
};

static void texts_come_back_whole(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(TEXTS); i++)
        for (int quoted = 0; quoted < 2; quoted++) {
            struct buf out = buf_new(&arena);
            buf_printf(&out, "{a: ");
            entry_write_text(&out, TEXTS[i], quoted == 1);
            buf_printf(&out, ", b: 1}\n");
            if (memchr(out.p, '\n', out.n - 1) != NULL)
                fail_msg("row %zu goes over lines", i);
            const struct doc_node *root = parse(out.p, out.n).first->root;
            const struct doc_node *a = doc_get(root, "a");
            if (root->count != 2 || a == NULL || !str_eq(a->text, TEXTS[i]))
                fail_msg("row %zu is read back otherwise: %s", i, out.p);
            if (doc_is_null(a))
                fail_msg("row %zu is nothing: %s", i, out.p);
        }
}

static void a_figure_keeps_its_digits(void **state)
{
    static const char *const FIGURES[] = {"3.4 P", "3.40 P", "1.0130 SG", "-0.5 C", "<4.7",
                                          ">6.2",  "0 bar",  "19 C",      "12 psi"};
    (void)state;
    for (size_t i = 0; i < COUNT(FIGURES); i++) {
        struct figure figure = {0};
        struct str rest, text = str_of(FIGURES[i]);
        assert_int_equal(quantity_read_number(text, &figure, &rest), QUANTITY_OK);
        figure.unit = quantity_unit_find(str_trim(rest));
        figure.state = FIGURE_SET;
        if (!str_eq(entry_figure_text(&arena, &figure), text))
            fail_msg("%s", FIGURES[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(keys_stand_as_in_the_list, start, finish),
        cmocka_unit_test_setup_teardown(texts_come_back_whole, start, finish),
        cmocka_unit_test_setup_teardown(a_figure_keeps_its_digits, start, finish),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
