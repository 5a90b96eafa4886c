#include "chain.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

static void add_numbers(struct chain *chain, struct arena *arena, int from, int to)
{
    for (int i = from; i < to; i++) {
        int *added = chain_add(chain, arena, sizeof *added);
        assert_int_equal(*added, 0);
        *added = i;
    }
}

/* The chain holds 0, 1, 2 ... n - 1. */
static void assert_counts(const struct chain *chain, int n)
{
    int expected = 0;
    const int *number;
    for (struct chain_walk walk = chain_begin(chain);
         (number = chain_next(&walk, sizeof *number)) != NULL;)
        assert_int_equal(*number, expected++);
    assert_int_equal(expected, n);
    assert_int_equal(chain->n, n);
}

static void test_order(void **state)
{
    static const int sizes[] = {0, 1, 7, 8, 9, 24, 25, 1000};
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        struct arena arena;
        struct chain chain = {NULL, NULL, 0};
        arena_init(&arena, NULL, NULL);
        add_numbers(&chain, &arena, 0, sizes[i]);
        assert_counts(&chain, sizes[i]);
        arena_free(&arena);
    }
}

static void test_things_stay(void **state)
{
    struct arena arena;
    struct chain chain = {NULL, NULL, 0};
    (void)state;
    arena_init(&arena, NULL, NULL);
    int *first = chain_add(&chain, &arena, sizeof *first);
    add_numbers(&chain, &arena, 1, 500);
    struct chain_walk walk = chain_begin(&chain);
    assert_ptr_equal(chain_next(&walk, sizeof *first), first);
    arena_free(&arena);
}

static void test_join(void **state)
{
    static const struct {
        const char *title;        /* what the parts are */
        int first, second, third; /* the numbers where each part ends */
    } rows[] = {
        {"blocks that are full", 8, 16, 16},     {"an empty one behind", 5, 5, 9},
        {"an empty one before", 0, 5, 9},        {"all empty", 0, 0, 0},
        {"blocks that are not full", 3, 14, 40}, {"many", 300, 301, 900},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct arena arena;
        struct chain chain = {NULL, NULL, 0}, more = {NULL, NULL, 0};
        arena_init(&arena, NULL, NULL);
        add_numbers(&chain, &arena, 0, rows[i].first);
        add_numbers(&more, &arena, rows[i].first, rows[i].second);
        chain_join(&chain, &more);
        assert_int_equal(more.n, 0);
        assert_counts(&more, 0);
        add_numbers(&chain, &arena, rows[i].second, rows[i].third);
        assert_counts(&chain, rows[i].third);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_order),
        cmocka_unit_test(test_things_stay),
        cmocka_unit_test(test_join),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
