/*
 * Which courses of the book are meant: all of the batches asked for, or those of some numbers and
 * tanks. Beer that has left all tanks is meant only where its file or its number was named.
 */
#ifndef GYLE_PICK_H
#define GYLE_PICK_H

#include "shelf.h"

struct pick_names {
    const char *const *items;
    size_t n;
};

struct pick {
    struct pick_names numbers, tanks; /* n = 0: any */
    bool with_ended;                  /* also beer that has left all tanks */
};

/* Is a batch of which so much is known meant, for all that its tank tells? As shelf_request's keep;
 * data is the struct pick. */
bool pick_keeps(const struct batch *batch, bool asked, const void *data);

/* Reads what is asked for (paths = NULL: the whole book) as of now and keeps what is meant; with
 * history it sums up the rest, as far back as what is meant may lie. */
struct shelf pick_load(const struct pick *pick, struct book *book, struct arena *arena,
                       struct file_list asked, int64_t now, bool history);

/* In the order of the cellar's walk when in_walk is set, else as they were read. */
struct batch_courses pick_courses(const struct pick *pick, const struct shelf *shelf,
                                  const struct cellar *cellar, int64_t now, bool in_walk,
                                  struct arena *arena);

/* The entries of their batches after now, which were left out. */
size_t pick_later(const struct batch_courses *courses);

/* The first number that no batch asked for has, or NULL. */
const char *pick_missing_number(const struct pick *pick, const struct shelf *shelf);

#endif
