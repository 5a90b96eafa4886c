/*
 * Memory that is given back all at once. One arena serves one file read, or one filter's run; what
 * is allocated lives until arena_reset() or arena_free(), so nothing else in the library frees
 * anything.
 */
#ifndef GYLE_ARENA_H
#define GYLE_ARENA_H

#include <stddef.h>
#include <string.h>

struct arena_block;

struct arena {
    struct arena_block *block; /* the block in use; older ones hang behind it */
    char *next, *end;          /* what is free in it */
    void (*exhausted)(void *); /* must not return; NULL: abort() */
    void *context;             /* handed to exhausted */
};

/* An empty arena that calls exhausted(context) when the system has no more memory. */
void arena_init(struct arena *arena, void (*exhausted)(void *), void *context);

/* size bytes, aligned for any type, with a new block where there is no room in this one. */
void *arena_raw_block(struct arena *arena, size_t size);

/* size bytes, not zeroed, aligned for any type; for what is filled at once. Never NULL. Inline,
 * since a file read takes memory for each of its scalars. */
static inline void *arena_raw(struct arena *arena, size_t size)
{
    const size_t unit = sizeof(max_align_t);
    size_t rounded = (size + unit - 1) / unit * unit;
    if (arena->block == NULL || rounded < size || rounded > (size_t)(arena->end - arena->next))
        return arena_raw_block(arena, size);
    void *taken = arena->next;
    arena->next += rounded;
    return taken;
}

/* The same, zeroed. */
static inline void *arena_alloc(struct arena *arena, size_t size)
{
    return memset(arena_raw(arena, size), 0, size);
}

/* arena_alloc() for count things of size bytes; a product too large for size_t counts as exhausted.
 */
void *arena_array(struct arena *arena, size_t count, size_t size);

/* A larger copy of an array that is full: capacity is doubled (at least 8) and the new part zeroed.
 * The old one stays until the arena ends. */
void *arena_grow(struct arena *arena, const void *old, size_t *capacity, size_t size);

/* The n bytes at text, and a NUL behind them. */
char *arena_copy(struct arena *arena, const char *text, size_t n);

/* Gives back what of the thing taken last lies behind its first size bytes. */
void arena_trim(struct arena *arena, void *taken, size_t size);

/* How much is taken: what is taken after it can be forgotten alone. */
struct arena_mark {
    struct arena_block *block;
    char *next;
};
static inline struct arena_mark arena_mark(const struct arena *arena)
{
    return (struct arena_mark){arena->block, arena->next};
}

/* Forgets what was taken since the mark, and keeps one block of it for the next use. */
void arena_rewind(struct arena *arena, struct arena_mark mark);

/* Forgets everything but keeps the largest block for the next use. */
void arena_reset(struct arena *arena);

/* Takes over what another arena holds, which is empty afterwards: it lives as long as this one. */
void arena_adopt(struct arena *arena, struct arena *other);

/* Gives all memory back to the system. The arena is as after arena_init(). */
void arena_free(struct arena *arena);

#endif
