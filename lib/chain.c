#include "chain.h"

struct chain_block {
    struct chain_block *next;
    size_t n, capacity;
    max_align_t things[];
};

enum { FIRST_BLOCK = 8, LARGEST_BLOCK = 32 };

static void add_block(struct chain *chain, struct arena *arena, size_t size)
{
    size_t capacity = chain->last == NULL ? FIRST_BLOCK : chain->last->capacity * 2;
    if (capacity > LARGEST_BLOCK)
        capacity = LARGEST_BLOCK;
    struct chain_block *block = arena_alloc(arena, sizeof *block + capacity * size);
    block->capacity = capacity;
    if (chain->last == NULL)
        chain->first = block;
    else
        chain->last->next = block;
    chain->last = block;
}

static void *thing(const struct chain_block *block, size_t i, size_t size)
{
    return (char *)block->things + i * size;
}

void *chain_add(struct chain *chain, struct arena *arena, size_t size)
{
    if (chain->last == NULL || chain->last->n == chain->last->capacity)
        add_block(chain, arena, size);
    chain->n++;
    return thing(chain->last, chain->last->n++, size);
}

void chain_join(struct chain *chain, struct chain *more)
{
    if (more->first == NULL)
        return;
    if (chain->last == NULL)
        chain->first = more->first;
    else
        chain->last->next = more->first;
    chain->last = more->last;
    chain->n += more->n;
    *more = (struct chain){NULL, NULL, 0};
}

struct chain_walk chain_begin(const struct chain *chain)
{
    return (struct chain_walk){chain->first, 0};
}

void *chain_next(struct chain_walk *walk, size_t size)
{
    if (walk->block != NULL && walk->i == walk->block->n)
        *walk = (struct chain_walk){walk->block->next, 0};
    return walk->block == NULL ? NULL : thing(walk->block, walk->i++, size);
}
