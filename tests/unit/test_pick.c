/* Which courses are meant: by number, by tank, of beer that has left, in the order of the walk. */
#include "pick.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] = "---\ncellar: Test\nzone: UTC\nunits: {gravity: P}\n"
                             "walk: [FV3, FV1, FV2]\n"
                             "tanks:\n  FV1: {kind: fermenter}\n  FV2: {kind: fermenter}\n"
                             "  FV3: {kind: fermenter}\n  BT1: {kind: bright}\n"
                             "beers:\n  Pale: {yeast: ale}\n";

/* 1 in FV1, 2 left, 3 in FV3 and, in part, in the bright tank, which no walk names; 4 in no tank; 5
 * on another page. */
static const char BATCHES[] =
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 15:00\ntanks: [{tank: FV1, from: 2026-11-01 "
    "15:00}]\n"
    "readings:\n  - {at: 2026-11-02 08:00, gravity: 11 P}\n  - {at: 2026-12-02 08:00, gravity: 3 "
    "P}\n"
    "---\nbatch: 2\nbeer: Pale\nbrewed: 2026-10-01 15:00\n"
    "tanks: [{tank: FV2, from: 2026-10-01 15:00, to: 2026-10-20 12:00}]\n"
    "---\nbatch: 3\nbeer: Pale\nbrewed: 2026-11-01 15:00\ntanks: [{tank: BT1, from: 2026-11-01 "
    "15:00, "
    "volume: 10 hL}, {tank: FV3, from: 2026-11-01 15:00, volume: 20 hL}]\n"
    "---\nbatch: 4\nbeer: Pale\nbrewed: 2026-11-01 15:00\n"
    "---\nbatch: 5\nbeer: Pale\nbrewed: 2026-11-01 15:00\ntanks: [{tank: FV2, from: 2026-11-01 "
    "15:00}]\n";

static const int64_t NOW = 1795590000; /* 2026-11-25 07:00 UTC */

enum { ASKED = 4 };

static struct arena arena;
static struct diags diags;
static struct source cellar_source, source;
static struct book book;
static struct shelf shelf;

static int set_up(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    cellar_source = (struct source){STR("cellar.yaml"), str_of(CELLAR)};
    book = (struct book){.arena = &arena, .diags = &diags};
    struct doc_stream stream = doc_read(&arena, &cellar_source, &diags);
    book.cellar = cellar_read(&arena, &cellar_source, stream.first->root, NULL, &diags);
    source = (struct source){STR("batches.yaml"), str_of(BATCHES)};
    struct book_file *file = book_parse(&book, &arena, source);
    shelf.batches.items = arena_array(&arena, file->batches.n, sizeof *shelf.batches.items);
    for (size_t i = 0; i < file->batches.n; i++) {
        book_settle(&book, &arena, file->batches.items[i], NOW);
        shelf.batches.items[shelf.batches.n++] =
            (struct shelf_batch){file->batches.items[i], i < ASKED};
    }
    diag_write(stderr, &diags);
    return diags.errors > 0 || shelf.batches.n != ASKED + 1;
}

static int tear_down(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static const struct {
    const char *title;
    const char *numbers[2], *tanks[2];
    bool with_ended, in_walk;
    const char *expected; /* number and tank of each course */
} ROWS[] = {
    {"what is in tanks", {0}, {0}, false, false, "1 FV1, 3 BT1, 3 FV3, 4 -"},
    {"by the walk", {0}, {0}, false, true, "3 FV3, 1 FV1, 3 BT1, 4 -"},
    {"files", {0}, {0}, true, false, "1 FV1, 2 FV2, 3 BT1, 3 FV3, 4 -"},
    {"a number", {"1"}, {0}, false, true, "1 FV1"},
    {"two numbers", {"4", "1"}, {0}, false, true, "1 FV1, 4 -"},
    {"one that has left", {"2"}, {0}, false, true, "2 FV2"},
    {"one that was not asked for", {"5"}, {0}, true, false, ""},
    {"one that is not there", {"9"}, {0}, true, false, ""},
    {"a tank", {0}, {"FV3"}, false, false, "3 FV3"},
    {"two tanks", {0}, {"FV3", "FV1"}, false, false, "1 FV1, 3 FV3"},
    {"a tank that it has left", {0}, {"FV2"}, false, false, ""},
    {"the same with its file", {0}, {"FV2"}, true, false, "2 FV2"},
    {"a number and another's tank", {"1"}, {"FV3"}, false, false, ""},
    {"a number and its tank", {"3"}, {"BT1"}, false, false, "3 BT1"},
};

static size_t count(const char *const names[2])
{
    return (size_t)(names[0] != NULL) + (names[1] != NULL);
}

static struct pick pick_of(size_t row)
{
    return (struct pick){{ROWS[row].numbers, count(ROWS[row].numbers)},
                         {ROWS[row].tanks, count(ROWS[row].tanks)},
                         ROWS[row].with_ended};
}

static void courses(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct pick pick = pick_of(i);
        struct batch_courses all =
            pick_courses(&pick, &shelf, book.cellar, NOW, ROWS[i].in_walk, &arena);
        struct buf got = buf_new(&arena);
        for (size_t k = 0; k < all.n; k++) {
            const struct batch_stay *stay = all.items[k].stay;
            buf_printf(&got, "%s" STR_FMT " " STR_FMT, k == 0 ? "" : ", ",
                       STR_ARG(text_of(all.items[k].batch->number)),
                       STR_ARG(stay == NULL ? STR("-") : stay->tank));
        }
        if (!str_is(buf_str(&got), ROWS[i].expected))
            fail_msg("%s: \"" STR_FMT "\" instead of \"%s\"", ROWS[i].title, STR_ARG(buf_str(&got)),
                     ROWS[i].expected);
        /* What is kept while the book is read is enough for it. */
        for (size_t k = 0; k < all.n; k++)
            assert_true(pick_keeps(all.items[k].batch, true, &pick));
        for (size_t k = 0; k < shelf.batches.n; k++)
            assert_false(pick_keeps(shelf.batches.items[k].batch, false, &pick));
    }
}

static void what_is_wrong(void **state)
{
    (void)state;
    static const struct {
        const char *title, *numbers[2], *number;
    } rows[] = {
        {"nothing", {"1", "2"}, NULL},
        {"a number", {"1", "9"}, "9"},
        {"a number that was not asked for", {"5"}, "5"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct pick pick = {.numbers = {rows[i].numbers, count(rows[i].numbers)}};
        const char *number = pick_missing_number(&pick, &shelf);
        if (number != rows[i].number &&
            (number == NULL || rows[i].number == NULL || strcmp(number, rows[i].number) != 0))
            fail_msg("%s: %s", rows[i].title, number == NULL ? "none" : number);
    }
}

/* A batch in two tanks has its later entries once. */
static void later(void **state)
{
    (void)state;
    struct pick all = {.with_ended = true};
    struct batch_courses courses = pick_courses(&all, &shelf, book.cellar, NOW, false, &arena);
    assert_int_equal(pick_later(&courses), 1);
    courses.n = 0;
    assert_int_equal(pick_later(&courses), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(courses),
        cmocka_unit_test(what_is_wrong),
        cmocka_unit_test(later),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
