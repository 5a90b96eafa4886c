/*
 * Files that are only looked into: the example book is changed at random in one file, and what is
 * found there must be the same whether the other files are parsed whole or passed over where they
 * name neither a number nor a tank of it.
 */
#include "book.h"
#include "check.h"
#include "check_rules.h"
#include "file.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

enum { ROUNDS = 150, MOST_FILES = 64 };

struct world {
    struct arena arena; /* of the book */
    struct diags diags;
    struct book book;
    struct source files[MOST_FILES];
    size_t n;
    uint64_t seed;
};

static size_t random_below(struct world *w, size_t n)
{
    w->seed = w->seed * 6364136223846793005u + 1442695040888963407u;
    return (size_t)(w->seed >> 33) % n;
}

static const struct {
    const char *from, *to;
} CHANGES[] = {
    {"tank: FV", "tank: BT"},
    {"tank: BT", "tank: FV"},
    {"empty: yes", "empty: no"},
    {"batch: 04", "batch: 05"},
    {"volume:", "x-volume:"},
    {"readings:", "of: [{batch: 0404, volume: 90 hL}]\nreadings:"},
    {"from: 2026-1", "from: 2026-0"},
    {"from: 2026-10-1", "from: 2026-10-2"},
    {"readings:", "of: [{batch: 1404, volume: 9 hL}]\nreadings:"},
};

/* The file with one or two changes: words above, or a digit. */
static struct str changed(struct world *w, struct arena *arena, struct str text)
{
    struct buf buf = buf_new(arena);
    size_t which = random_below(w, COUNT(CHANGES) + 4);
    if (which < COUNT(CHANGES)) {
        const char *at = strstr(text.p, CHANGES[which].from);
        if (at == NULL)
            return text;
        buf_add(&buf, (struct str){text.p, (size_t)(at - text.p)});
        buf_add(&buf, str_of(CHANGES[which].to));
        buf_add(&buf, str_of(at + strlen(CHANGES[which].from)));
        return buf_str(&buf);
    }
    buf_add(&buf, text);
    for (int tries = 0; tries < 200; tries++) {
        size_t i = random_below(w, text.n / 3); /* the head, where tanks and numbers are */
        if (buf.p[i] >= '0' && buf.p[i] <= '9') {
            buf.p[i] = (char)('0' + random_below(w, 10));
            break;
        }
    }
    return buf_str(&buf);
}

static struct str all_findings(struct arena *arena, struct diags *diags)
{
    struct buf buf = buf_new(arena);
    diag_sort(diags);
    for (size_t i = 0; i < diags->n; i++)
        buf_printf(&buf, "%s:%u:%u: %s\n", str_shown(arena, diags->items[i].file),
                   (unsigned)diags->items[i].line, (unsigned)diags->items[i].column,
                   diags->items[i].message);
    return buf.n == 0 ? STR("") : buf_str(&buf);
}

/* What is found in one file of the book when it reads text. */
static struct str check_one(struct world *w, struct arena *arena, size_t which, struct str text,
                            bool whole)
{
    struct diags diags, silent;
    struct book book = w->book, quiet = w->book;
    struct check check;
    int64_t now;
    diag_init(&diags, arena);
    diag_init_silent(&silent, arena);
    book.diags = &diags;
    quiet.diags = &silent;
    assert_int_equal(civil_parse("2026-11-25T07:00Z", 17, civil_utc(), &now), CIVIL_OK);
    check_begin(&check, book.cellar, &diags, arena, now);
    struct source source = {w->files[which].name, text};
    check_file(&check, &book, arena, book_parse(&book, arena, source));
    for (size_t i = 0; i < w->n; i++) {
        if (i == which)
            continue;
        if (!whole) {
            check_other(&check, &book, arena, w->files[i]);
            continue;
        }
        struct book_file *file = book_parse(&quiet, arena, w->files[i]);
        for (size_t k = 0; k < file->batches.n; k++)
            book_settle(&quiet, arena, file->batches.items[k], INT64_MAX);
        check_sum_up(&check, file, false);
    }
    check_end(&check);
    return all_findings(arena, &diags);
}

static void open_world(struct world *w)
{
    arena_init(&w->arena, NULL, NULL);
    diag_init(&w->diags, &w->arena);
    w->n = 0;
    w->seed = 20261125;
    assert_true(book_open(&w->book, &w->arena, &w->diags, "examples/cellar.yaml", getenv("TZDIR")));
    struct file_list list = book_batches(&w->book);
    assert_true(list.n > 10 && list.n < MOST_FILES);
    for (size_t i = 0; i < list.n; i++)
        assert_true(file_read(&w->arena, list.paths[i], &w->files[w->n++], &w->diags));
    assert_int_equal(w->diags.n, 0);
}

static void finds_the_same(void **state)
{
    (void)state;
    struct world w;
    size_t across = 0;
    open_world(&w);
    for (int i = 0; i < ROUNDS; i++) {
        struct arena arena;
        arena_init(&arena, NULL, NULL);
        size_t which = random_below(&w, w.n);
        struct str text = changed(&w, &arena, w.files[which].text);
        struct str whole = check_one(&w, &arena, which, text, true);
        struct str part = check_one(&w, &arena, which, text, false);
        if (!str_eq(whole, part))
            fail_msg("round %d, " STR_FMT ":\n" STR_FMT "but\n" STR_FMT, i,
                     STR_ARG(w.files[which].name), STR_ARG(whole), STR_ARG(part));
        across += strstr(whole.p, "batches/2026/04") != strstr(whole.p, w.files[which].name.p);
        across += strstr(whole.p, "holds batch") != NULL || strstr(whole.p, "comes into") != NULL ||
                  strstr(whole.p, "stands also") != NULL || strstr(whole.p, "no batch") != NULL;
        arena_free(&arena);
    }
    assert_true(across > ROUNDS / 5); /* the changes do concern other files */
    arena_free(&w.arena);
}

static void passes_over_what_cannot_matter(void **state)
{
    (void)state;
    struct world w;
    struct check check;
    struct diags diags;
    open_world(&w);
    diag_init(&diags, &w.arena);
    check_begin(&check, w.book.cellar, &diags, &w.arena, 0);
    check.diags = &diags;
    struct source mine = {STR("mine"), STR("---\nbatch: 0417\nbeer: Chalkline Pale\n"
                                           "tanks: [{tank: FV3, from: 2026-11-14 15:30}]\n")};
    check_file(&check, &w.book, &w.arena, book_parse(&w.book, &w.arena, mine));
    assert_int_equal(check.batches.n, 1);

    static const struct {
        const char *text;
        bool counts;
    } ROWS[] = {
        {"---\nbatch: 0418\ntanks: [{tank: FV4, from: 2026-11-14 15:30}]\n", false},
        {"---\nbatch: 0418\ntanks: [{tank: FV3, from: 2026-11-14 15:30}]\n", true},
        {"---\nbatch: 0418\nof: [{batch: 0417, volume: 2 hL}]\n", true},
        {"---\nbatch: \"04\\x31\\x37\"\n", true}, /* an escape may hide a number */
        {"---\nplant: 2026-11\n# FV3\n", false},
        {"", false},
        /* What readings say does not count, what follows them does. */
        {"---\nbatch: 0418\nreadings:\n  - {at: 2026-11-14 15:30, note: FV3}\n", true},
        {"---\nbatch: 0418\nreadings:\n- {at: 2026-11-14 15:30}\n---\nbatch: 0417\n", true},
    };
    size_t before = check.batches.n;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        check_other(&check, &w.book, &w.arena, (struct source){STR("other"), str_of(ROWS[i].text)});
        if ((check.batches.n > before) != ROWS[i].counts)
            fail_msg("row %zu", i);
        before = check.batches.n;
    }
    const struct check_batch *batch, *last = NULL;
    for (struct chain_walk walk = chain_begin(&check.batches);
         (batch = chain_next(&walk, sizeof *batch)) != NULL;)
        last = batch;
    assert_non_null(last);
    assert_true(str_is(last->number, "0417"));
    arena_free(&w.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_the_same),
        cmocka_unit_test(passes_over_what_cannot_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
