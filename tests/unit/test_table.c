#include "table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define BEER         "\xe9\xba\xa6\xe9\x85\x92" /* two characters of two columns */

struct tank {
    const char *name, *beer;
    double plato;
    const char *note;
};

static void get_name(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct tank *)row)->name));
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct tank *)row)->beer));
}

static void get_gravity(struct buf *cell, const void *row, const struct table *table)
{
    const struct tank *tank = row;
    if (tank->plato > 0)
        buf_printf(cell, table->tsv ? "%.2f" : "%.1f", tank->plato);
}

static void add_unit(struct buf *title, const struct table *table)
{
    if (!table->tsv)
        buf_printf(title, " %s", (const char *)table->context);
}

static void get_note(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    buf_add(cell, str_of(((const struct tank *)row)->note));
}

static const struct table_column COLUMNS[] = {
    {"tank", "tank", 0, get_name, NULL},
    {"beer", "beer", TABLE_SHRINK, get_beer, NULL},
    {"gravity_P", "gravity", TABLE_RIGHT | TABLE_OPTIONAL, get_gravity, add_unit},
    {"only_tsv", NULL, 0, get_name, NULL},
    {NULL, "note", TABLE_WRAP, get_note, NULL},
};

static const struct {
    const char *title;
    bool tsv;
    size_t width;
    struct tank rows[2]; /* up to the first without a name */
    const char *shown;
} TABLES[] = {
    {"TSV",
     true,
     80,
     {{"FV1", "Chalkline Pale", 12.1, "krausen high"}, {"BT12", "Datum Stout", 3.4, NULL}},
     "tank\tbeer\tgravity_P\tonly_tsv\n"
     "FV1\tChalkline Pale\t12.10\tFV1\n"
     "BT12\tDatum Stout\t3.40\tBT12\n"},
    {"TSV without rows keeps its header", true, 80, {{0}}, "tank\tbeer\tgravity_P\tonly_tsv\n"},
    {"TSV has an empty field where there is no value",
     true,
     80,
     {{.name = "FV\t1"}},
     "tank\tbeer\tgravity_P\tonly_tsv\n"
     "FV\\t1\t\t\tFV\\t1\n"},
    {"text without rows is empty", false, 80, {{0}}, ""},
    {"text",
     false,
     80,
     {{"FV1", "Chalkline Pale", 12.1, "krausen high"}, {"BT12", "Datum Stout", 3.4, NULL}},
     "tank  beer            gravity P  note\n"
     "FV1   Chalkline Pale       12.1  krausen high\n"
     "BT12  Datum Stout           3.4\n"},
    {"an optional column without a value goes",
     false,
     80,
     {{"FV1", "Datum Stout", 0, "x"}},
     "tank  beer         note\n"
     "FV1   Datum Stout  x\n"},
    {"wide characters",
     false,
     80,
     {{"FV1", BEER "!", 3.4, "x"}, {"FV2", "caf\xc3\xa9", 3.4, "x"}},
     "tank  beer   gravity P  note\n"
     "FV1   " BEER "!        3.4  x\n"
     "FV2   caf\xc3\xa9         3.4  x\n"},
    {"nothing raw reaches the terminal",
     false,
     80,
     {{"FV1", "a\x1b[2J", 3.4, "a\nb"}},
     "tank  beer      gravity P  note\n"
     "FV1   a\\x1B[2J        3.4  a\\nb\n"},
    {"the note goes on below itself",
     false,
     57,
     {{"FV1", "Chalkline Pale", 12.1, "krausen high, smells of pears, valve closed"},
      {"BT12", "Datum Stout", 3.4, NULL}},
     "tank  beer            gravity P  note\n"
     "FV1   Chalkline Pale       12.1  krausen high, smells of\n"
     "                                 pears, valve closed\n"
     "BT12  Datum Stout           3.4\n"},
    {"the note goes below the row",
     false,
     43,
     {{"FV1", "Chalkline Pale", 12.1, "krausen high, smells of pears, valve closed"},
      {"BT12", "Datum Stout", 3.4, NULL}},
     "tank  beer            gravity P\n"
     "FV1   Chalkline Pale       12.1\n"
     "      krausen high, smells of pears, valve\n"
     "      closed\n"
     "BT12  Datum Stout           3.4\n"},
    {"then the beer is cut",
     false,
     28,
     {{"FV1", "Chalkline Pale", 12.1, "krausen high"}, {"BT12", "Datum Stout", 3.4, NULL}},
     "tank  beer         gravity P\n"
     "FV1   Chalklin...       12.1\n"
     "      krausen high\n"
     "BT12  Datum Stout        3.4\n"},
    {"a line that cannot be narrowed is written so",
     false,
     10,
     {{"BT12", "Datum Stout", 3.4, NULL}},
     "tank  beer        gravity P\n"
     "BT12  Datum S...        3.4\n"},
    {"no limit",
     false,
     0,
     {{"FV1", "Chalkline Pale with a long, long, very long name", 12.1,
       "and a note that alone would be wider than many a terminal is, by a good deal"}},
     "tank  beer                                              gravity P  note\n"
     "FV1   Chalkline Pale with a long, long, very long name       12.1  "
     "and a note that alone would be wider than many a terminal is, by a good deal\n"},
};

/* Writes the rows up to the first without a name; the text is to be freed. */
static char *write_rows(struct arena *arena, struct table table, const struct tank *rows,
                        size_t count)
{
    char *text = NULL;
    size_t n = 0;
    table.arena = arena;
    table.context = "P";
    table.out = open_memstream(&text, &n);
    assert_non_null(table.out);
    table_begin(&table);
    for (size_t r = 0; r < count && rows[r].name != NULL; r++)
        table_row(&table, &rows[r]);
    table_end(&table);
    assert_int_equal(fclose(table.out), 0);
    return text;
}

static void test_table(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(TABLES); i++) {
        struct table table = {.columns = COLUMNS,
                              .column_count = COUNT(COLUMNS),
                              .tsv = TABLES[i].tsv,
                              .width = TABLES[i].width};
        char *text = write_rows(&arena, table, TABLES[i].rows, COUNT(TABLES[i].rows));
        if (strcmp(text, TABLES[i].shown) != 0)
            fail_msg("%s: shown as\n%s", TABLES[i].title, text);
        free(text);
    }
    arena_free(&arena);
}

/* Two columns wrap, and not at the end: both give way, the wider one first. */
static void test_wrap_inside(void **state)
{
    static const struct table_column columns[] = {
        {NULL, "note", TABLE_WRAP, get_note, NULL},
        {NULL, "beer", TABLE_WRAP, get_beer, NULL},
        {NULL, "tank", TABLE_RIGHT, get_name, NULL},
    };
    static const struct tank rows[] = {
        {"FV1", "a beer with a name of its own length", 3.4,
         "a note that is longer than the name of the beer"},
        {"FV2", "a beer", 3.4, "a note"},
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct table table = {.columns = columns, .column_count = COUNT(columns), .width = 48};
    char *text = write_rows(&arena, table, rows, COUNT(rows));
    assert_string_equal(text, "note                  beer                  tank\n"
                              "a note that is        a beer with a name     FV1\n"
                              "longer than the name  of its own length\n"
                              "of the beer\n"
                              "a note                a beer                 FV2\n");
    free(text);
    arena_free(&arena);
}

static const struct {
    const char *title;
    size_t at, indent, width;
    struct str text;
    const char *shown;
} WRAPS[] = {
    {"nothing", 0, 4, 20, STR_ROW(""), "\n"},
    {"a line", 0, 0, 20, STR_ROW("confirm it"), "confirm it\n"},
    {"exactly a line", 0, 0, 10, STR_ROW("confirm it"), "confirm it\n"},
    {"a column less", 0, 0, 9, STR_ROW("confirm it"), "confirm\nit\n"},
    {"indented", 0, 4, 16, STR_ROW("confirm before packaging"),
     "    confirm\n    before\n    packaging\n"},
    {"behind a label", 6, 8, 20, STR_ROW("one two three four"), "  one two\n        three four\n"},
    {"behind a longer label", 10, 2, 20, STR_ROW("one two three four"), "one two\n  three four\n"},
    {"a word that fits only below the label", 15, 2, 20, STR_ROW("overshoot it"),
     "\n  overshoot it\n"},
    {"a long word is broken", 0, 2, 10, STR_ROW("a 0123456789abcdef b"),
     "  a\n  01234567\n  89abcdef\n  b\n"},
    {"a figure keeps its unit", 0, 0, 12, STR_ROW("chill to -1..2 C"), "chill to\n-1..2 C\n"},
    {"and the comma behind it", 0, 0, 12, STR_ROW("it fell 0.8 P, x"), "it fell\n0.8 P, x\n"},
    {"a longer word is no unit", 0, 0, 9, STR_ROW("for 5 readings"), "for 5\nreadings\n"},
    {"unless there is no other blank", 0, 0, 5, STR_ROW("18871 m3"), "18871\nm3\n"},
    {"several blanks", 0, 0, 5, STR_ROW("a    b      c"), "a\nb\nc\n"},
    {"blanks at the end", 0, 0, 5, STR_ROW("a     "), "a\n"},
    {"wide characters", 0, 0, 5, STR_ROW(BEER BEER), BEER "\n" BEER "\n"},
    {"escapes", 0, 0, 8, STR_ROW("a\x1b[ b"), "a\\x1B[ b\n"},
    {"less room than a character", 0, 4, 4, STR_ROW("a\x1b"), "    a\n    \\x1B\n"},
};

static void test_wrap(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(WRAPS); i++) {
        char *text = NULL;
        size_t n = 0;
        FILE *out = open_memstream(&text, &n);
        assert_non_null(out);
        table_wrap(out, WRAPS[i].at, WRAPS[i].indent, WRAPS[i].width, WRAPS[i].text);
        assert_int_equal(fclose(out), 0);
        if (strcmp(text, WRAPS[i].shown) != 0)
            fail_msg("%s: shown as\n%s", WRAPS[i].title, text);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_table),
        cmocka_unit_test(test_wrap_inside),
        cmocka_unit_test(test_wrap),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
