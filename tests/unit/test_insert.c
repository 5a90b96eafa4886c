#include "batch.h"
#include "insert.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

struct row {
    const char *title, *key, *before, *after; /* after NULL: it cannot be done */
};

static const struct row ROWS[] = {
    {"a block list", "readings", "---\nbatch: 1\nreadings:\n  - {at: a}\n",
     "---\nbatch: 1\nreadings:\n  - {at: a}\n  - {x}\n  - {y}\n"},
    {"its own indentation", "readings", "batch: 1\nreadings:\n- {at: a}\n",
     "batch: 1\nreadings:\n- {at: a}\n- {x}\n- {y}\n"},
    {"a deep indentation", "readings", "batch: 1\nreadings:\n      -   {at: a}\n",
     "batch: 1\nreadings:\n      -   {at: a}\n      - {x}\n      - {y}\n"},
    {"entries in block form", "readings",
     "batch: 1\nreadings:\n  - at: a\n    gravity: 3.4 P\n  -\n    at: b\n    ph: 4\nx-mine: 1\n",
     "batch: 1\nreadings:\n  - at: a\n    gravity: 3.4 P\n  -\n    at: b\n    ph: 4\n  - {x}\n  - "
     "{y}\nx-mine: 1\n"},
    {"a remark between the dash and its entry", "readings",
     "batch: 1\nreadings:\n    - # late\n      at: a\n",
     "batch: 1\nreadings:\n    - # late\n      at: a\n    - {x}\n    - {y}\n"},
    {"a remark behind the last entry", "readings",
     "batch: 1\nreadings:\n  - {at: a} # first\n  # more to come\n\n",
     "batch: 1\nreadings:\n  - {at: a} # first\n  - {x}\n  - {y}\n  # more to come\n\n"},
    {"no line end at the end", "readings", "batch: 1\nreadings:\n  - {at: a}",
     "batch: 1\nreadings:\n  - {at: a}\n  - {x}\n  - {y}\n"},
    {"no line end, and the list is not the last", "readings",
     "batch: 1\nreadings:\n  - {at: a}\nnote: n",
     "batch: 1\nreadings:\n  - {at: a}\n  - {x}\n  - "
     "{y}\nnote: n\n"},
    {"CRLF", "readings", "batch: 1\r\nreadings:\r\n  - {at: a}\r\n",
     "batch: 1\r\nreadings:\r\n  - {at: a}\r\n  - {x}\r\n  - {y}\r\n"},
    {"CRLF without the last one", "readings", "batch: 1\r\nreadings:\r\n  - {at: a}",
     "batch: 1\r\nreadings:\r\n  - {at: a}\r\n  - {x}\r\n  - {y}\r\n"},
    {"a byte order mark and wide letters", "readings",
     "\xef\xbb\xbf"
     "batch: 1\nbeer: \xc3\xa9\xe2\x82\xac\nreadings:\n  - {at: \xc3\xa9}\n",
     "\xef\xbb\xbf"
     "batch: 1\nbeer: \xc3\xa9\xe2\x82\xac\nreadings:\n  - {at: \xc3\xa9}\n  - {x}\n  - "
     "{y}\n"},
    {"a literal text at the end", "readings",
     "batch: 1\nreadings:\n  - at: a\n    note: |\n      one\n\n      two\n\n\n# end\n",
     "batch: 1\nreadings:\n  - at: a\n    note: |\n      one\n\n      two\n  - {x}\n  - {y}\n\n\n# "
     "end\n"},
    {"an entry over several lines", "readings", "batch: 1\nreadings:\n  - {at: a,\n     ph: 4}\n",
     "batch: 1\nreadings:\n  - {at: a,\n     ph: 4}\n  - {x}\n  - {y}\n"},
    {"followed by another document", "readings",
     "---\nbatch: 1\nreadings:\n  - {at: a}\n---\nbatch: 2\n",
     "---\nbatch: 1\nreadings:\n  - {at: a}\n  - {x}\n  - {y}\n---\nbatch: 2\n"},
    {"an end of document", "readings", "---\nbatch: 1\nreadings:\n  - {at: a}\n...\n",
     "---\nbatch: 1\nreadings:\n  - {at: a}\n  - {x}\n  - {y}\n...\n"},
    {"nothing behind the key", "readings", "batch: 1\nreadings:\n",
     "batch: 1\nreadings:\n  - {x}\n  - {y}\n"},
    {"nothing behind the key but a remark", "readings", "batch: 1\nreadings:  # none\n# yet\n",
     "batch: 1\nreadings:  # none\n  - {x}\n  - {y}\n# yet\n"},
    {"nothing behind the key, no line end", "readings",
     "batch: 1\nreadings:", "batch: 1\nreadings:\n  - {x}\n  - {y}\n"},
    {"a tilde", "readings", "batch: 1\nreadings: ~ # none\nnote: n\n",
     "batch: 1\nreadings: # ~ # none\n  - {x}\n  - {y}\nnote: n\n"},
    {"null in the next line", "readings", "batch: 1\nreadings:\n  null\n",
     "batch: 1\nreadings:\n  # null\n  - {x}\n  - {y}\n"},
    {"empty brackets", "readings", "batch: 1\nreadings: []\nnote: n\n",
     "batch: 1\nreadings: # []\n  - {x}\n  - {y}\nnote: n\n"},
    {"empty brackets over two lines", "readings", "batch: 1\nreadings: [ # none\n  ]\n",
     "batch: 1\nreadings: [ # none\n  {x}\n  , {y}\n  ]\n"},
    {"a list in brackets on one line", "readings",
     "batch: 1\nreadings: [{at: a}, {at: b}]\nnote: n\n",
     "batch: 1\nreadings: [{at: a}, {at: b}\n  , {x}\n  , {y}\n  ]\nnote: n\n"},
    {"a list in brackets, a line an entry", "readings",
     "batch: 1\nreadings: [\n    {at: a},\n    {at: b} # last\n  ]\n",
     "batch: 1\nreadings: [\n    {at: a},\n    {at: b} # last\n    , {x}\n    , {y}\n  ]\n"},
    {"a list in brackets with a comma at its end", "readings",
     "batch: 1\nreadings: [\n    {at: a},\n    {at: b},\n  ]\n",
     "batch: 1\nreadings: [\n    {at: a},\n    {at: b},\n    {x},\n    {y},\n  ]\n"},
    {"no such key: at the end", "readings",
     "batch: 1\ntanks:\n    - {tank: t}\nnote: |\n  text\n\n# end\n",
     "batch: 1\ntanks:\n    - {tank: t}\nnote: |\n  text\nreadings:\n    - {x}\n    - {y}\n\n# "
     "end\n"},
    {"no such key, no line end", "readings", "batch: 1", "batch: 1\nreadings:\n  - {x}\n  - {y}\n"},
    {"no such key, the last is empty", "readings", "batch: 1\nevents:\n# none\n",
     "batch: 1\nevents:\nreadings:\n  - {x}\n  - {y}\n# none\n"},
    {"no such key, which is not the last", "events",
     "batch: 1\ntanks: [{tank: t}]\n# all of them\nreadings:\n  - {at: a}\n",
     "batch: 1\ntanks: [{tank: t}]\nevents:\n  - {x}\n  - {y}\n# all of them\nreadings:\n  - {at: "
     "a}\n"},
    {"a list that is none", "readings", "batch: 1\nreadings: 3.4 P\n", NULL},
    {"the whole document in braces", "readings", "{batch: 1, readings: []}\n", NULL},
};

struct parsed {
    struct source source;
    struct diags diags;
    struct doc_stream stream;
};

static struct parsed *parse(struct arena *arena, struct str text)
{
    struct parsed *parsed = arena_alloc(arena, sizeof *parsed);
    parsed->source = (struct source){str_of("test"), text};
    diag_init(&parsed->diags, arena);
    parsed->stream = doc_read(arena, &parsed->source, &parsed->diags);
    return parsed;
}

/* `{x}` in the tables above is short for an entry of its own. */
static struct str spelled(struct arena *arena, const char *text)
{
    struct buf out = buf_new(arena);
    for (; *text != '\0'; text++) {
        if (strncmp(text, "{x}", 3) == 0 || strncmp(text, "{y}", 3) == 0) {
            buf_printf(&out, "{at: %c, ph: 4.41}", text[1]);
            text += 2;
        } else {
            buf_char(&out, *text);
        }
    }
    return buf_str(&out);
}

static bool only_added(struct str before, struct str after)
{
    size_t i = 0;
    for (size_t k = 0; k < after.n && i < before.n; k++)
        i += before.p[i] == after.p[k];
    return i == before.n;
}

static void test_rows(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        struct parsed *before = parse(&arena, str_of(row->before));
        struct str entries[] = {spelled(&arena, "{x}"), spelled(&arena, "{y}")};
        struct insert insert = insert_new(&arena, before->source.text);
        const char *why =
            insert_entries(&insert, before->stream.first->root, &BATCH_KEYS, row->key, entries, 2);
        if ((why == NULL) != (row->after != NULL))
            fail_msg("%s: %s", row->title, why == NULL ? "was done" : why);
        if (row->after == NULL) {
            arena_free(&arena);
            continue;
        }
        struct str expected = spelled(&arena, row->after), got = insert_apply(&insert);
        struct parsed *after = parse(&arena, got);
        if (!str_eq(expected, got))
            fail_msg("%s:\n" STR_FMT "\ninstead of\n" STR_FMT, row->title, STR_ARG(got),
                     STR_ARG(expected));
        if (after->diags.n > 0)
            fail_msg("%s: %s", row->title, after->diags.items[0].message);
        if (!insert_keeps(&before->stream, &after->stream) || !only_added(before->source.text, got))
            fail_msg("%s: not all is kept", row->title);
        const struct doc_node *was = doc_get(before->stream.first->root, row->key);
        const struct doc_node *list = doc_get(after->stream.first->root, row->key);
        size_t n = was == NULL || was->kind != DOC_LIST ? 0 : was->count;
        if (list == NULL || list->kind != DOC_LIST || list->count != n + 2)
            fail_msg("%s: the list has not two entries more", row->title);
        arena_free(&arena);
    }
}

/* One plan for several lists that go to the same place: what is there goes on, then new lists stand
 * in the order of the table. */
static void test_together(void **state)
{
    static const struct {
        const char *title, *before, *after;
    } TOGETHER[] = {
        {"a list and two new ones behind it", "batch: 1\ntanks:\n  - {at: t}\n",
         "batch: 1\ntanks:\n  - {at: t}\n  - {x}\nevents:\n  - {x}\nreadings:\n  - {x}\n"},
        {"the same without a line end", "batch: 1\ntanks:\n  - {at: t}",
         "batch: 1\ntanks:\n  - {at: t}\n  - {x}\nevents:\n  - {x}\nreadings:\n  - {x}\n"},
        {"one new list between two others",
         "batch: 1\ntanks:\n  - {at: t}\nreadings:\n  - {at: r}\n",
         "batch: 1\ntanks:\n  - {at: t}\n  - {x}\nevents:\n  - {x}\nreadings:\n  - {at: r}\n  - "
         "{x}\n"},
        {"an empty one, and one that is not there", "batch: 1\ntanks:\nevents: []\n",
         "batch: 1\ntanks:\n  - {x}\nevents: # []\n  - {x}\nreadings:\n  - {x}\n"},
        {"in brackets", "batch: 1\ntanks: [{at: t}]\n",
         "batch: 1\ntanks: [{at: t}\n  , {x}\n  ]\nevents:\n  - {x}\nreadings:\n  - {x}\n"},
    };
    static const char *const KEYS[] = {"readings", "events", "tanks"};
    (void)state;
    for (size_t i = 0; i < sizeof TOGETHER / sizeof TOGETHER[0]; i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        struct parsed *before = parse(&arena, str_of(TOGETHER[i].before));
        struct str entry = spelled(&arena, "{x}"), after = spelled(&arena, TOGETHER[i].after);
        struct insert insert = insert_new(&arena, before->source.text);
        for (size_t k = 0; k < sizeof KEYS / sizeof KEYS[0]; k++)
            assert_null(insert_entries(&insert, before->stream.first->root, &BATCH_KEYS, KEYS[k],
                                       &entry, 1));
        struct str got = insert_apply(&insert);
        if (!str_eq(got, after))
            fail_msg("%s:\n" STR_FMT, TOGETHER[i].title, STR_ARG(got));
        if (!insert_keeps(&before->stream, &parse(&arena, got)->stream))
            fail_msg("%s: not all is kept", TOGETHER[i].title);
        arena_free(&arena);
    }
}

/* A second insertion into what the first one made gives lines that look alike. */
static void test_twice(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        if (row->after != NULL) {
            struct parsed *before = parse(&arena, spelled(&arena, row->after));
            struct str entry = STR("{at: z, ph: 4.42}");
            struct insert insert = insert_new(&arena, before->source.text);
            const char *why = insert_entries(&insert, before->stream.first->root, &BATCH_KEYS,
                                             row->key, &entry, 1);
            struct parsed *after = parse(&arena, insert_apply(&insert));
            if (why != NULL || after->diags.n > 0 ||
                !insert_keeps(&before->stream, &after->stream) ||
                doc_get(after->stream.first->root, row->key)->count !=
                    doc_get(before->stream.first->root, row->key)->count + 1)
                fail_msg("%s, twice: " STR_FMT, row->title, STR_ARG(after->source.text));
        }
        arena_free(&arena);
    }
}

struct change {
    const char *title, *before, *after;
};

/* What must be noticed as lost or changed. */
static const struct change CHANGES[] = {
    {"an entry gone", "a: [{b: 1}, {b: 2}]", "a: [{b: 1}]"},
    {"a value changed", "a: [{b: 1}]\nc: 2", "a: [{b: 1}]\nc: 3"},
    {"a key gone", "a: 1\nb: 2", "a: 1"},
    {"another order", "a: [{b: 1}, {b: 2}]", "a: [{b: 2}, {b: 1}]"},
    {"an entry put in before", "a: [{b: 1}]", "a: [{b: 0}, {b: 1}]"},
    {"quotes come", "a: 1", "a: \"1\""},
    {"a document gone", "---\na: 1\n---\na: 2\n", "---\na: 1\n"},
    {"a text grown", "a: |\n  one\nb: 1", "a: |\n  one\n  two\nb: 1"},
    {"a syntax error", "a: 1", "a: 1\n}"},
};

static void test_keeps_notices(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof CHANGES / sizeof CHANGES[0]; i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        struct parsed *before = parse(&arena, str_of(CHANGES[i].before));
        struct parsed *after = parse(&arena, str_of(CHANGES[i].after));
        if (!insert_keeps(&before->stream, &before->stream))
            fail_msg("%s: not the same as itself", CHANGES[i].title);
        if (insert_keeps(&before->stream, &after->stream))
            fail_msg("%s: not noticed", CHANGES[i].title);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rows),
        cmocka_unit_test(test_together),
        cmocka_unit_test(test_twice),
        cmocka_unit_test(test_keeps_notices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
