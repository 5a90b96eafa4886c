/*
 * A list that grows in an arena and copies nothing: things of one size in blocks that hang
 * together. What was added stays where it is. Two lists are joined without a copy, so that parts
 * made beside each other become one in their order.
 */
#ifndef GYLE_CHAIN_H
#define GYLE_CHAIN_H

#include "arena.h"

#include <stddef.h>

struct chain_block;

/* All zero: empty. */
struct chain {
    struct chain_block *first, *last;
    size_t n;
};

/* Room for one more thing of size bytes, the same for all of a list: zeroed. */
void *chain_add(struct chain *chain, struct arena *arena, size_t size);

/* Hangs the things of `more` behind those of chain; more is empty afterwards. */
void chain_join(struct chain *chain, struct chain *more);

/* Each thing in its order, then NULL. */
struct chain_walk {
    struct chain_block *block;
    size_t i;
};
struct chain_walk chain_begin(const struct chain *chain);
void *chain_next(struct chain_walk *walk, size_t size);

#endif
