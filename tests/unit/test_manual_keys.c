/*
 * The manual pages of the three files list exactly the keys that the tables have, with every word
 * that a key takes and every unit; and their examples are sound.
 */
#include "batch.h"
#include "book.h"
#include "cellar.h"
#include "check.h"
#include "file.h"
#include "plant.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const struct {
    const char *page;
    const struct key_table *table;
} PAGES[] = {
    {"man/gyle-batch.5", &BATCH_KEYS},
    {"man/gyle-cellar.5", &CELLAR_KEYS},
    {"man/gyle-plant.5", &PLANT_KEYS},
};

static struct str read_page(struct arena *arena, const char *path)
{
    struct diags diags;
    struct source source;
    diag_init(&diags, arena);
    if (!file_read(arena, path, &source, &diags))
        fail_msg("%s cannot be read", path);
    return source.text;
}

/* The lines between a mark and an end. */
static struct str part(struct str page, const char *mark, const char *end)
{
    const char *from = strstr(page.p, mark);
    const char *to = from == NULL ? NULL : strstr(from, end);
    if (to == NULL)
        return (struct str){NULL, 0};
    return (struct str){from, (size_t)(to - from)};
}

static bool contains(struct str text, const char *word)
{
    size_t n = strlen(word);
    for (size_t i = 0; i + n <= text.n; i++)
        if (memcmp(text.p + i, word, n) == 0)
            return true;
    return false;
}

static const struct key *find(const struct key_table *table, struct str name)
{
    for (size_t i = 0; i < table->count; i++)
        if (str_is(name, table->keys[i].name))
            return &table->keys[i];
    return NULL;
}

/* One `.It Ic key Pq required` and what follows it. */
static void check_item(const char *page, const struct key_table *table, struct str item,
                       bool *listed)
{
    struct str rest = item, head = str_split(&rest, '\n'), flags = head;
    struct str name = str_split(&flags, ' ');
    const struct key *key = find(table, name);
    if (key == NULL)
        fail_msg("%s: %s has no key " STR_FMT, page, table->name, STR_ARG(name));
    bool required = flags.p != NULL && str_is(flags, "Pq required");
    if (required != ((key->flags & KEY_REQUIRED) != 0))
        fail_msg("%s: %s of %s: is it required?", page, key->name, table->name);
    for (size_t i = 0; key->type == KEY_WORD && key->words[i] != NULL; i++)
        if (!contains(rest, key->words[i]))
            fail_msg("%s: %s of %s: %s is not named", page, key->name, table->name, key->words[i]);
    if (listed[key - table->keys])
        fail_msg("%s: %s of %s stands twice", page, key->name, table->name);
    listed[key - table->keys] = true;
}

static void check_table(const char *name, struct str page, const struct key_table *table)
{
    char mark[80];
    bool listed[64] = {false};
    snprintf(mark, sizeof mark, ".\\\" table: %s\n", table->name);
    struct str list = part(page, mark, "\n.El");
    if (list.p == NULL)
        fail_msg("%s has no list of the keys of a %s", name, table->name);
    for (const char *at = list.p; (at = strstr(at, "\n.It Ic ")) != NULL && at < list.p + list.n;) {
        at += strlen("\n.It Ic ");
        const char *next = strstr(at, "\n.It Ic ");
        const char *end = next != NULL && next < list.p + list.n ? next : list.p + list.n;
        check_item(name, table, (struct str){at, (size_t)(end - at)}, listed);
    }
    for (size_t i = 0; i < table->count; i++) {
        if (!listed[i])
            fail_msg("%s: %s of %s is not listed", name, table->keys[i].name, table->name);
        if (i > 0 && (table->keys[i].flags & ~table->keys[i - 1].flags & KEY_REQUIRED))
            fail_msg("%s of %s is required, but does not stand first", table->keys[i].name,
                     table->name);
        if (table->keys[i].table != NULL)
            check_table(name, page, table->keys[i].table);
    }
}

static void lists_the_keys_of_the_tables(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(PAGES); i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        check_table(PAGES[i].page, read_page(&arena, PAGES[i].page), PAGES[i].table);
        arena_free(&arena);
    }
}

static void names_every_unit(void **state)
{
    (void)state;
    static const enum quantity TOLD[] = {
        QUANTITY_GRAVITY, QUANTITY_TEMPERATURE, QUANTITY_PRESSURE,    QUANTITY_VOLUME,
        QUANTITY_VDK,     QUANTITY_OXYGEN,      QUANTITY_CARBONATION, QUANTITY_CELLS,
        QUANTITY_MASS,    QUANTITY_ALCOHOL,     QUANTITY_BITTERNESS};
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct str page = read_page(&arena, "man/gyle-batch.5");
    for (size_t i = 0; i < COUNT(TOLD); i++) {
        char mark[40];
        snprintf(mark, sizeof mark, "\n.It %s Ta",
                 TOLD[i] == QUANTITY_VDK ? "VDK" : QUANTITIES[TOLD[i]].name);
        const char *begin = strstr(page.p, mark);
        assert_non_null(begin);
        const char *end = strchr(begin + 1, '\n');
        struct str line = {begin, (size_t)(end - begin)};
        for (size_t k = 0; k < QUANTITY_UNIT_COUNT; k++)
            if (QUANTITY_UNITS[k].quantity == TOLD[i] && !contains(line, QUANTITY_UNITS[k].name))
                fail_msg("%s: the unit %s is not named", mark + 1, QUANTITY_UNITS[k].name);
    }
    arena_free(&arena);
}

/* The first literal block of a page that begins a document. */
static void has_a_sound_example(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(PAGES); i++) {
        struct arena arena;
        struct diags diags;
        struct book book;
        struct check check;
        int64_t now;
        arena_init(&arena, NULL, NULL);
        diag_init(&diags, &arena);
        assert_true(book_open(&book, &arena, &diags, "examples/cellar.yaml", getenv("TZDIR")));
        assert_int_equal(civil_parse("2026-11-25T07:00Z", 17, civil_utc(), &now), CIVIL_OK);
        check_begin(&check, book.cellar, &diags, &arena, now);
        struct str text = part(read_page(&arena, PAGES[i].page), "\n---\n", "\n.Ed");
        assert_non_null(text.p);
        struct source source = {str_of(PAGES[i].page), {text.p + 1, text.n}};
        struct book_file *file = book_parse(&book, &arena, source);
        assert_int_equal(file->stream.count, 1);
        check_file(&check, &book, &arena, file);
        check_end(&check);
        if (diags.n > 0)
            fail_msg("%s:%u of the example: %s", PAGES[i].page, (unsigned)diags.items[0].line,
                     diags.items[0].message);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists_the_keys_of_the_tables),
        cmocka_unit_test(names_every_unit),
        cmocka_unit_test(has_a_sound_example),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
