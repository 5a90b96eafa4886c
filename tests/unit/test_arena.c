#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* The module is compiled in here, over an allocator that can be told to have no more. */
#define LARGEST_GRANTED ((size_t)1 << 30)
static size_t blocks_left = SIZE_MAX;
static size_t blocks_held;

static void *limited_malloc(size_t size)
{
    if (blocks_left == 0 || size > LARGEST_GRANTED)
        return NULL;
    blocks_left--;
    blocks_held++;
    return malloc(size);
}

static void counted_free(void *block)
{
    blocks_held -= block != NULL;
    free(block);
}

#define malloc limited_malloc
#define free   counted_free
#include "../../lib/arena.c"
#undef malloc
#undef free

static void jump(void *context)
{
    longjmp(*(jmp_buf *)context, 1);
}

static bool is_zero(const char *p, size_t n)
{
    while (n > 0 && *p == 0) {
        p++;
        n--;
    }
    return n == 0;
}

static void test_alloc(void **state)
{
    static const size_t sizes[] = {0,         1,         7, 8, 16,   17,     65536, 64 * 1024,
                                   64 * 1000, 10u << 20, 1, 3, 4096, 100000, 0,     (4u << 20) + 1};
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t round = 0; round < 3; round++) {
        char *all[sizeof sizes / sizeof sizes[0]];
        for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
            all[i] = arena_alloc(&arena, sizes[i]);
            assert_non_null(all[i]);
            assert_true((uintptr_t)all[i] % _Alignof(max_align_t) == 0);
            if (!is_zero(all[i], sizes[i]))
                fail_msg("round %zu: %zu bytes are not zeroed", round, sizes[i]);
            memset(all[i], (int)i + 1, sizes[i]);
        }
        for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++)
            for (size_t b = 0; b < sizes[i]; b++)
                assert_int_equal(all[i][b], i + 1);
        arena_reset(&arena);
        assert_int_equal(blocks_held, 1);
    }
    arena_free(&arena);
    assert_int_equal(blocks_held, 0);
}

static void test_copy(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    char *copy = arena_copy(&arena, "gravity", 4);
    assert_string_equal(copy, "grav");
    assert_string_equal(arena_copy(&arena, NULL, 0), "");
    assert_memory_equal(arena_copy(&arena, "a\0b", 3), "a\0b", 4);
    assert_string_equal(copy, "grav");
    arena_free(&arena);
}

static void test_grow(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    size_t capacity = 0;
    int *numbers = NULL;
    for (size_t n = 0; n < 100000; n++) {
        if (n == capacity) {
            numbers = arena_grow(&arena, numbers, &capacity, sizeof *numbers);
            assert_true(capacity >= 8 && capacity >= n * 2);
            assert_true(is_zero((char *)(numbers + n), (capacity - n) * sizeof *numbers));
        }
        numbers[n] = (int)n;
    }
    for (size_t n = 0; n < 100000; n++)
        assert_int_equal(numbers[n], n);
    arena_free(&arena);
}

/* The largest block stays, also when it is not the newest: reading the next large file takes no
 * new memory. */
static void test_reset(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    arena_reset(&arena);
    arena_alloc(&arena, 1);
    arena_alloc(&arena, 20u << 20);
    arena_alloc(&arena, 1u << 20);
    assert_int_equal(blocks_held, 3);
    arena_reset(&arena);
    assert_int_equal(blocks_held, 1);
    arena_alloc(&arena, 20u << 20);
    assert_int_equal(blocks_held, 1);
    arena_free(&arena);
    arena_free(&arena);
    arena_alloc(&arena, 1);
    assert_int_equal(blocks_held, 1);
    arena_free(&arena);
    assert_int_equal(blocks_held, 0);
}

static void test_rewind(void **state)
{
    static const struct {
        const char *title;
        size_t before, after; /* things of 50,000 bytes taken before and after the mark */
    } rows[] = {
        {"an empty arena", 0, 3},      {"nothing taken since", 3, 0},
        {"within one block", 2, 1},    {"into the next block", 1, 2},
        {"over several blocks", 2, 9}, {"an empty arena, nothing taken", 0, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        enum { SIZE = 50000, MOST = 3 };
        struct arena arena;
        char *things[MOST];
        arena_init(&arena, NULL, NULL);
        for (size_t k = 0; k < rows[i].before; k++)
            memset(things[k] = arena_alloc(&arena, SIZE), (int)k + 1, SIZE);
        size_t held = blocks_held;
        struct arena_mark mark = arena_mark(&arena);
        char *again = NULL;
        for (int round = 0; round < 5; round++) {
            for (size_t k = 0; k < rows[i].after; k++)
                memset(arena_alloc(&arena, SIZE), 99, SIZE);
            arena_rewind(&arena, mark);
            if (blocks_held > held + 1)
                fail_msg("%s: %zu blocks are held, %zu were", rows[i].title, blocks_held, held);
            char *taken = arena_alloc(&arena, 100);
            if (again != NULL && taken != again)
                fail_msg("%s: what was forgotten is not used again", rows[i].title);
            again = taken;
            if (!is_zero(taken, 100))
                fail_msg("%s: 100 bytes are not zeroed", rows[i].title);
            arena_rewind(&arena, mark);
        }
        for (size_t k = 0; k < rows[i].before; k++)
            for (size_t b = 0; b < SIZE; b++)
                assert_int_equal(things[k][b], k + 1);
        arena_free(&arena);
        assert_int_equal(blocks_held, 0);
    }
}

static void test_trim(void **state)
{
    static const size_t sizes[] = {0, 1, 16, 17, 39999, 40000};
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        char *taken = arena_raw(&arena, 40000);
        memset(taken, 1, 40000);
        arena_trim(&arena, taken, sizes[i]);
        char *next = arena_alloc(&arena, 50);
        assert_true(next >= taken + sizes[i] && next < taken + sizes[i] + sizeof(max_align_t));
        assert_true(is_zero(next, 50));
        for (size_t b = 0; b < sizes[i]; b++)
            assert_int_equal(taken[b], 1);
        arena_reset(&arena);
    }
    arena_free(&arena);
}

/* volatile: setjmp() returns twice. */
static bool is_exhausted(struct arena *arena, volatile size_t count, volatile size_t size)
{
    jmp_buf out;
    arena->context = &out;
    if (setjmp(out) != 0)
        return true;
    arena_array(arena, count, size);
    return false;
}

static void test_exhausted(void **state)
{
    enum { HALF = sizeof(size_t) * 4 };
    static const struct {
        const char *title;
        bool in_use;
        size_t blocks_left, count, size;
    } rows[] = {
        {"no first block", false, 0, 1, 1},
        {"no second block", true, 0, 1, 100000},
        {"a product beyond size_t", true, 9, SIZE_MAX / 2, 3},
        {"a product of just 0 modulo the largest", true, 9, (size_t)1 << HALF, (size_t)1 << HALF},
        {"a product beyond ptrdiff_t", true, 9, SIZE_MAX / 4 + 1, 2},
        {"rounding up would overflow", false, 9, PTRDIFF_MAX, 1},
        {"more than the system gives", true, 9, LARGEST_GRANTED, 8},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct arena arena;
        arena_init(&arena, jump, NULL);
        const char *kept = rows[i].in_use ? arena_copy(&arena, "kept", 4) : "kept";
        blocks_left = rows[i].blocks_left;
        if (!is_exhausted(&arena, rows[i].count, rows[i].size))
            fail_msg("%s: memory was found", rows[i].title);
        blocks_left = SIZE_MAX;
        assert_string_equal(kept, "kept");
        assert_non_null(arena_alloc(&arena, 100000)); /* the arena is still whole */
        arena_free(&arena);
        assert_int_equal(blocks_held, 0);
    }
}

static void test_adopt(void **state)
{
    static const struct {
        const char *title;
        size_t here, there; /* things of 50,000 bytes in each */
    } rows[] = {
        {"both empty", 0, 0},
        {"nothing to take", 3, 0},
        {"nothing here yet", 0, 3},
        {"several blocks in each", 5, 7},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        enum { SIZE = 50000, MOST = 8 };
        struct arena arena, other;
        char *things[2 * MOST];
        size_t n = 0;
        arena_init(&arena, NULL, NULL);
        arena_init(&other, NULL, NULL);
        for (size_t k = 0; k < rows[i].here; k++)
            things[n++] = arena_alloc(&arena, SIZE);
        for (size_t k = 0; k < rows[i].there; k++)
            things[n++] = arena_alloc(&other, SIZE);
        arena_adopt(&arena, &other);
        assert_null(other.block);
        things[n++] = arena_alloc(&arena, SIZE);
        for (size_t k = 0; k < n; k++)
            memset(things[k], (int)k + 1, SIZE);
        for (size_t k = 0; k < n; k++)
            assert_int_equal(things[k][0] + things[k][SIZE - 1], 2 * (k + 1));
        arena_free(&other);
        arena_free(&arena);
        assert_int_equal(blocks_held, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_adopt),  cmocka_unit_test(test_alloc),
        cmocka_unit_test(test_copy),   cmocka_unit_test(test_grow),
        cmocka_unit_test(test_reset),  cmocka_unit_test(test_exhausted),
        cmocka_unit_test(test_rewind), cmocka_unit_test(test_trim),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
