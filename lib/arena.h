/*
 * Memory that is given back all at once. One arena serves one file read, or one filter's run; what
 * is allocated lives until arena_reset() or arena_free(), so nothing else in the library frees
 * anything.
 */
#ifndef GYLE_ARENA_H
#define GYLE_ARENA_H

#include <stddef.h>

struct arena_block;

struct arena {
    struct arena_block *block; /* the block in use; older ones hang behind it */
    char *next, *end;          /* what is free in it */
    void (*exhausted)(void *); /* must not return; NULL: abort() */
    void *context;             /* handed to exhausted */
};

/* An empty arena that calls exhausted(context) when the system has no more memory. */
void arena_init(struct arena *arena, void (*exhausted)(void *), void *context);

/* size bytes, zeroed, aligned for any type. Never NULL. */
void *arena_alloc(struct arena *arena, size_t size);

/* The same, but not zeroed; for large buffers that are filled at once. */
void *arena_raw(struct arena *arena, size_t size);

/* arena_alloc() for count things of size bytes; a product too large for size_t counts as exhausted.
 */
void *arena_array(struct arena *arena, size_t count, size_t size);

/* A larger copy of an array that is full: capacity is doubled (at least 8) and the new part zeroed.
 * The old one stays until the arena ends. */
void *arena_grow(struct arena *arena, const void *old, size_t *capacity, size_t size);

/* The n bytes at text, and a NUL behind them. */
char *arena_copy(struct arena *arena, const char *text, size_t n);

/* Forgets everything but keeps the largest block for the next use. */
void arena_reset(struct arena *arena);

/* Gives all memory back to the system. The arena is as after arena_init(). */
void arena_free(struct arena *arena);

#endif
