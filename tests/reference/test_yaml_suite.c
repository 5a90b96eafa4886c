/*
 * The inputs of the public YAML test suite (yaml_suite.tsv): lib/doc reads each as a bare loop over
 * libyaml does, or refuses by its own rules what a gyle book does not use, at the place where that
 * stands; and gyle-validate's checks end with findings that lie within the bytes.
 */
#include "../fuzz/agree.h"
#include "book.h"
#include "check.h"
#include "table.h"

enum verdict { TAKEN, REFUSED_BY_BOTH, REFUSED_BY_DESIGN, VERDICTS };

static unsigned char hexadecimal(char c)
{
    return (unsigned char)(c >= 'a' ? c - 'a' + 10 : c - '0');
}

/* \n, \t, \\ and \xNN. */
static struct str unescaped(struct arena *arena, const char *cell)
{
    struct buf buf = buf_new(arena);
    for (; *cell != '\0'; cell++) {
        if (*cell != '\\') {
            buf_char(&buf, *cell);
            continue;
        }
        cell++;
        assert_true(*cell == 'n' || *cell == 't' || *cell == '\\' || *cell == 'x');
        if (*cell == 'x') {
            buf_char(&buf, (char)(hexadecimal(cell[1]) << 4 | hexadecimal(cell[2])));
            cell += 2;
        } else {
            buf_char(&buf, *cell == 'n' ? '\n' : *cell == 't' ? '\t' : '\\');
        }
    }
    return buf_str(&buf);
}

static enum verdict verdict_of(enum rule refused)
{
    bool broken = refused == RULE_SYNTAX || refused == RULE_ENCODING;
    return refused == RULE_COUNT ? TAKEN : broken ? REFUSED_BY_BOTH : REFUSED_BY_DESIGN;
}

static void agrees_with_libyaml(void **state)
{
    (void)state;
    size_t wrong = 0, seen[VERDICTS] = {0}, against_suite = 0;
    struct table table = table_read("tests/reference/yaml_suite.tsv");
    for (size_t row = 0; row < table.rows; row++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        enum rule refused;
        const char *why =
            agree(&arena, unescaped(&arena, table_text(&table, row, "bytes")), &refused);
        enum verdict verdict = verdict_of(refused);
        bool holds = strcmp(table_text(&table, row, "yaml12"), "holds") == 0;
        seen[verdict]++;
        against_suite += verdict != REFUSED_BY_DESIGN && holds != (verdict == TAKEN);
        if (why != NULL) {
            print_error("%s: %s\n", table_text(&table, row, "id"), why);
            wrong++;
        }
        arena_free(&arena);
    }
    print_message(
        "note: YAML suite: %zu inputs: %zu taken, %zu refused as no YAML, %zu by design; libyaml "
        "differs from YAML 1.2 in %zu\n",
        table.rows, seen[TAKEN], seen[REFUSED_BY_BOTH], seen[REFUSED_BY_DESIGN], against_suite);
    assert_int_equal(wrong, 0);
    /* Each kind is met often, else the file was not read as it should be. */
    assert_true(table.rows > 390 && seen[TAKEN] > 150 && seen[REFUSED_BY_BOTH] > 70 &&
                seen[REFUSED_BY_DESIGN] > 70);
    table_free(&table);
}

static const char CELLAR[] =
    "---\ncellar: Plumb Lane\nzone: UTC\ntanks:\n  FV1: {kind: fermenter}\n"
    "beers:\n  Pale: {yeast: ale}\n";

/* As a file of a book. */
static size_t check_as_file(const char *id, struct str text)
{
    struct arena arena;
    struct diags diags;
    struct book book;
    struct check check;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    struct source cellar = {STR("cellar.yaml"), {CELLAR, sizeof CELLAR - 1}};
    assert_true(book_open_source(&book, &arena, &diags, cellar, NULL));
    check_begin(&check, book.cellar, &diags, &arena, 1795590000);
    struct source source = {STR("batches/1.yaml"), text};
    check_file(&check, &book, &arena, book_parse(&book, &arena, source));
    check_other(&check, &book, &arena, source);
    check_end(&check);
    const char *misplaced = agree_misplaced(&diags, text);
    if (misplaced != NULL)
        print_error("%s: a finding lies outside of the bytes: %s\n", id, misplaced);
    if (diags.n == 0)
        print_error("%s: nothing is found, though it is no batch\n", id);
    size_t wrong = misplaced != NULL || diags.n == 0;
    arena_free(&arena);
    return wrong;
}

static void finds_what_is_no_batch(void **state)
{
    (void)state;
    size_t wrong = 0;
    struct table table = table_read("tests/reference/yaml_suite.tsv");
    for (size_t row = 0; row < table.rows; row++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        wrong += check_as_file(table_text(&table, row, "id"),
                               unescaped(&arena, table_text(&table, row, "bytes")));
        arena_free(&arena);
    }
    assert_int_equal(wrong, 0);
    table_free(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_libyaml),
        cmocka_unit_test(finds_what_is_no_batch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
