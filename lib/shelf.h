/*
 * The whole book at once: every batch and every plant log, for judgements that look across tanks
 * and days. A document with an error is left out and counted.
 */
#ifndef GYLE_SHELF_H
#define GYLE_SHELF_H

#include "book.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct shelf_batch {
    struct batch *batch; /* settled as of now */
    bool asked;          /* it comes from a file that was asked for */
};

struct shelf {
    LIST(struct shelf_batch) batches; /* in the order read; one for each number */
    LIST(const struct plant *) plants;
    size_t later;       /* entries after now, left out, of the batches asked for */
    size_t left_out;    /* documents with errors, of those asked for */
    bool plants_wanted; /* no file was asked for, or a plant log was among them */
};

/* Reads the files asked for (paths = NULL: the book's batches), then the rest of the book. What is
 * wrong in a file goes to the book's diags. Everything lives in the arena. */
struct shelf shelf_load(struct book *book, struct arena *arena, struct file_list asked,
                        int64_t now);

#endif
