#include "doc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

struct reading {
    struct arena arena;
    struct diags diags;
    struct source source;
    struct doc_stream stream;
};

static void start(struct reading *r, struct str text)
{
    arena_init(&r->arena, NULL, NULL);
    diag_init(&r->diags, &r->arena);
    r->source = (struct source){STR("f"), text};
    r->stream = doc_read(&r->arena, &r->source, &r->diags);
}

/* A tree as one line: [list] {key=value} 'text' with @line:column+start-end where asked for. */
static void show(struct buf *out, const struct doc_node *node, bool places)
{
    if (node == NULL) {
        buf_add(out, STR("nothing"));
        return;
    }
    if (node->kind == DOC_SCALAR)
        buf_printf(out, "'" STR_FMT "'", STR_ARG(node->text));
    if (places)
        buf_printf(out, "@%u:%u+%u-%u", node->line, node->column, node->start, node->end);
    if (node->kind == DOC_SCALAR)
        return;
    buf_char(out, node->kind == DOC_LIST ? '[' : '{');
    for (const struct doc_node *n = node->first; n != NULL; n = n->next) {
        if (n != node->first)
            buf_char(out, ' ');
        if (n->key != NULL) {
            show(out, n->key, places);
            buf_char(out, '=');
        }
        show(out, n, places);
    }
    buf_char(out, node->kind == DOC_LIST ? ']' : '}');
}

static const struct {
    const char *title, *text, *tree;
} TREES[] = {
    {"raw text is kept", "a: 0417\nb: no\nc: 1:30\nd: 1e3\ne: 3.4 P\n",
     "{'a'='0417' 'b'='no' 'c'='1:30' 'd'='1e3' 'e'='3.4 P'}"},
    {"a decimal comma as YAML sees it", "{gravity: 3,4 P}\n", "{'gravity'='3' '4 P'=''}"},
    {"a missing blank", "{gravity:3.4 P}\n", "{'gravity:3.4 P'=''}"},
    {"duplicates stay", "{a: 1, a: 2}\n", "{'a'='1' 'a'='2'}"},
    {"quoted", "a: \"x\\ty\"\nb: 'it''s'\n", "{'a'='x\ty' 'b'='it's'}"},
    {"literal", "a: |\n  one\n  two\n", "{'a'='one\ntwo\n'}"},
    {"a comment is no value", "a: 1 # two\n", "{'a'='1'}"},
    {"plain over lines", "a: 12.1 P\n  ph 4.5\n", "{'a'='12.1 P ph 4.5'}"},
    {"list", "- 1\n- [2, 3]\n- {a: 4}\n", "['1' ['2' '3'] {'a'='4'}]"},
    {"empty document", "---\n", "''"},
};

static void keeps_the_text(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(TREES); i++) {
        struct reading r;
        start(&r, str_of(TREES[i].text));
        struct buf out = buf_new(&r.arena);
        if (r.stream.first == NULL || r.diags.n != 0)
            fail_msg("%s: %s", TREES[i].title, r.diags.n ? r.diags.items[0].message : "nothing");
        show(&out, r.stream.first->root, false);
        if (strcmp(out.p, TREES[i].tree) != 0)
            fail_msg("%s: %s", TREES[i].title, out.p);
        arena_free(&r.arena);
    }
}

static const struct {
    const char *title, *text, *tree;
} PLACES[] = {
    {"block", "a: 1\nbc:   2\n", "@1:1+0-12{'a'@1:1+0-1='1'@1:4+3-4 'bc'@2:1+5-7='2'@2:7+11-12}"},
    {"columns are characters, offsets bytes", "\xc3\xa5: {\xc3\xa9: 1}\n",
     "@1:1+0-11{'\xc3\xa5'@1:1+0-2=@1:4+4-11{'\xc3\xa9'@1:5+5-7='1'@1:8+9-10}}"},
    {"a byte order mark is not counted in columns",
     "\xef\xbb\xbf"
     "a: 1\n",
     "@1:1+3-7{'a'@1:1+3-4='1'@1:4+6-7}"},
    {"CRLF", "a: 1\r\nb: 2\r\n", "@1:1+0-10{'a'@1:1+0-1='1'@1:4+3-4 'b'@2:1+6-7='2'@2:4+9-10}"},
    {"CRLF after a wide character", "a: \xc3\xa5\r\nb: 2\r\n",
     "@1:1+0-11{'a'@1:1+0-1='\xc3\xa5'@1:4+3-5 'b'@2:1+7-8='2'@2:4+10-11}"},
    {"a list ends with its last entry, not with comments behind it",
     "a:\n  - {b: 1}\n  # more\n\nc: 2\n",
     "@1:1+0-28{'a'@1:1+0-1=@2:3+5-13[@2:5+7-13{'b'@2:6+8-9='1'@2:9+11-12}] "
     "'c'@5:1+24-25='2'@5:4+27-28}"},
    {"a literal ends with its last line that is not blank", "a: |\n  x\n\n\nb: 1\n",
     "@1:1+0-15{'a'@1:1+0-1='x\n'@1:4+3-8 'b'@5:1+11-12='1'@5:4+14-15}"},
};

static void knows_places(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(PLACES); i++) {
        struct reading r;
        start(&r, str_of(PLACES[i].text));
        struct buf out = buf_new(&r.arena);
        assert_non_null(r.stream.first);
        show(&out, r.stream.first->root, true);
        if (strcmp(out.p, PLACES[i].tree) != 0)
            fail_msg("%s: %s", PLACES[i].title, out.p);
        arena_free(&r.arena);
    }
}

static const struct {
    const char *title;
    struct str text;
    const char *rule;
    unsigned line, column;
} ERRORS[] = {
#define BYTES(literal)                                                                             \
    {                                                                                              \
        literal, sizeof literal - 1                                                                \
    }
    {"alias", BYTES("a: *pale\n"), "plain-yaml", 1, 4},
    {"anchor", BYTES("a: &x 1\n"), "plain-yaml", 1, 4},
    {"tag", BYTES("a: !t 1\n"), "plain-yaml", 1, 4},
    {"merge key", BYTES("<<: {a: 1}\n"), "plain-yaml", 1, 1},
    {"a key that is a list", BYTES("? [a]\n: 1\n"), "shape", 1, 3},
    {"quote never closed", BYTES("a: \"x\nb: 2\n"), "syntax", 1, 4},
    {"bracket never closed", BYTES("a: [1, 2\n"), "syntax", 1, 4},
    {"colon in a plain value", BYTES("a: b: c\n"), "syntax", 1, 5},
    {"a line by itself", BYTES("a: 1\njunk\nb: 2\n"), "syntax", 2, 1},
    {"at sign", BYTES("a: @x\n"), "syntax", 1, 4},
    {"tab as indentation", BYTES("a:\n\t- 1\n"), "syntax", 2, 1},
    {"NUL", BYTES("a: 1\nb: \0\n"), "encoding", 2, 4},
    {"escape character", BYTES("a: 1\nb: \033[31m\n"), "encoding", 2, 4},
    {"broken UTF-8", BYTES("a: 1\nb: \xff\n"), "encoding", 2, 4},
    {"at the end, behind CR alone", BYTES("\r {\n"), "syntax", 2, 3},
    {"at the end, before CR LF", BYTES("a:\r\n  {\r\n"), "syntax", 2, 4},
    {"at the end, behind a mark",
     BYTES("\xef\xbb\xbf"
           "{\n"),
     "syntax", 1, 2},
    {"UTF-16",
     BYTES("\xff\xfe"
           "a\0:\0"),
     "encoding", 1, 1},
#undef BYTES
};

static void refuses_with_a_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ERRORS); i++) {
        struct reading r;
        start(&r, ERRORS[i].text);
        if (r.diags.n == 0)
            fail_msg("%s: nothing said", ERRORS[i].title);
        const struct diag *d = &r.diags.items[0];
        if (!r.stream.broken || d->line != ERRORS[i].line || d->column != ERRORS[i].column ||
            strcmp(RULES[d->rule].name, ERRORS[i].rule) != 0)
            fail_msg("%s: %u:%u %s [%s]", ERRORS[i].title, d->line, d->column, d->message,
                     RULES[d->rule].name);
        arena_free(&r.arena);
    }
}

static void stops_at_a_depth(void **state)
{
    enum { MANY = 1000000 };
    static char brackets[MANY];
    struct reading r;
    (void)state;
    memset(brackets, '[', MANY);
    start(&r, (struct str){brackets, MANY});
    assert_true(r.stream.broken);
    assert_int_equal(r.diags.items[0].rule, RULE_NESTING);
    assert_int_equal(r.diags.items[0].column, DOC_MOST_DEPTH + 1);
    assert_int_equal(r.stream.count, 0);
    arena_free(&r.arena);
}

static void hands_out_the_documents_before_an_error(void **state)
{
    struct reading r;
    (void)state;
    start(&r, STR("---\na: 1\n---\nb: 2\n---\nc: [\n"));
    assert_true(r.stream.broken);
    assert_int_equal(r.stream.count, 2);
    assert_true(str_is(doc_get(r.stream.first->next->root, "b")->text, "2"));
    assert_null(r.stream.first->next->next);
    assert_true(r.stream.first->marked);
    assert_int_equal(r.stream.first->next->line, 3);
    arena_free(&r.arena);
}

static void an_escaped_nul_counts(void **state)
{
    struct reading r;
    (void)state;
    start(&r, STR("a: \"x\\0y\"\n"));
    assert_int_equal(doc_get(r.stream.first->root, "a")->text.n, 3);
    arena_free(&r.arena);
}

static const struct {
    const char *text;
    bool null, omitted;
} NULLS[] = {{"a: ~\n", true, false},     {"a:\n", true, true},       {"a: null\n", true, false},
             {"a: \"\"\n", false, false}, {"a: '~'\n", false, false}, {"a: []\n", false, false},
             {"{a}\n", true, true},       {"a: no\n", false, false}};

static void tells_null_from_empty(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(NULLS); i++) {
        struct reading r;
        start(&r, str_of(NULLS[i].text));
        const struct doc_node *node = doc_get(r.stream.first->root, "a");
        if (doc_is_null(node) != NULLS[i].null || node->omitted != NULLS[i].omitted)
            fail_msg("%s", NULLS[i].text);
        arena_free(&r.arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keeps_the_text),
        cmocka_unit_test(knows_places),
        cmocka_unit_test(refuses_with_a_place),
        cmocka_unit_test(stops_at_a_depth),
        cmocka_unit_test(hands_out_the_documents_before_an_error),
        cmocka_unit_test(an_escaped_nul_counts),
        cmocka_unit_test(tells_null_from_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
