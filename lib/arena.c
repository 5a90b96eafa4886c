#include "arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

struct arena_block {
    struct arena_block *older;
    size_t size;
    max_align_t bytes[];
};

enum { FIRST_BLOCK = 64 * 1024, LARGEST_STEP = 4 * 1024 * 1024 };

void arena_init(struct arena *arena, void (*exhausted)(void *), void *context)
{
    *arena = (struct arena){.exhausted = exhausted, .context = context};
}

static _Noreturn void give_up(struct arena *arena)
{
    if (arena->exhausted != NULL)
        arena->exhausted(arena->context);
    abort();
}

static void use_block(struct arena *arena, struct arena_block *block)
{
    arena->block = block;
    arena->next = (char *)block->bytes;
    arena->end = arena->next + block->size;
}

static void add_block(struct arena *arena, size_t least)
{
    size_t size = arena->block == NULL ? FIRST_BLOCK : arena->block->size * 2;
    if (size > LARGEST_STEP)
        size = LARGEST_STEP;
    if (size < least)
        size = least;
    struct arena_block *block = malloc(sizeof *block + size);
    if (block == NULL)
        give_up(arena);
    block->older = arena->block;
    block->size = size;
    use_block(arena, block);
}

void *arena_raw_block(struct arena *arena, size_t size)
{
    const size_t unit = sizeof(max_align_t);
    if (size > PTRDIFF_MAX - unit)
        give_up(arena);
    size = (size + unit - 1) / unit * unit;
    if (arena->block == NULL || size > (size_t)(arena->end - arena->next))
        add_block(arena, size);
    void *taken = arena->next;
    arena->next += size;
    return taken;
}

void *arena_array(struct arena *arena, size_t count, size_t size)
{
    if (size != 0 && count > PTRDIFF_MAX / size)
        give_up(arena);
    return arena_alloc(arena, count * size);
}

void *arena_grow(struct arena *arena, const void *old, size_t *capacity, size_t size)
{
    size_t used = *capacity;
    *capacity = used < 4 ? 8 : used * 2;
    char *larger = arena_array(arena, *capacity, size);
    if (used > 0)
        memcpy(larger, old, used * size);
    return larger;
}

char *arena_copy(struct arena *arena, const char *text, size_t n)
{
    char *copy = arena_raw(arena, n + 1);
    if (n > 0)
        memcpy(copy, text, n);
    copy[n] = '\0';
    return copy;
}

void arena_trim(struct arena *arena, void *taken, size_t size)
{
    const size_t unit = sizeof(max_align_t);
    arena->next = (char *)taken + (size + unit - 1) / unit * unit;
}

void arena_rewind(struct arena *arena, struct arena_mark mark)
{
    if (arena->block == mark.block) {
        arena->next = mark.next;
        return;
    }
    while (arena->block->older != mark.block) {
        struct arena_block *older = arena->block->older;
        free(arena->block);
        arena->block = older;
    }
    use_block(arena, arena->block);
}

static void free_older(struct arena_block *block)
{
    while (block != NULL) {
        struct arena_block *older = block->older;
        free(block);
        block = older;
    }
}

/* Takes the largest block out of the chain. */
static struct arena_block *take_largest(struct arena_block **chain)
{
    struct arena_block **largest = chain;
    for (struct arena_block **at = chain; *at != NULL; at = &(*at)->older)
        if ((*at)->size > (*largest)->size)
            largest = at;
    struct arena_block *taken = *largest;
    *largest = taken->older;
    return taken;
}

void arena_reset(struct arena *arena)
{
    if (arena->block == NULL)
        return;
    struct arena_block *keep = take_largest(&arena->block);
    free_older(arena->block);
    keep->older = NULL;
    use_block(arena, keep);
}

/* Behind the block in use, whose free room is not lost. */
void arena_adopt(struct arena *arena, struct arena *other)
{
    if (arena->block == NULL) {
        arena->block = other->block;
        arena->next = other->next;
        arena->end = other->end;
    } else if (other->block != NULL) {
        struct arena_block *last = other->block;
        while (last->older != NULL)
            last = last->older;
        last->older = arena->block->older;
        arena->block->older = other->block;
    }
    arena_init(other, other->exhausted, other->context);
}

void arena_free(struct arena *arena)
{
    free_older(arena->block);
    arena_init(arena, arena->exhausted, arena->context);
}
