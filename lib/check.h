/*
 * The rules of gyle-validate that lie beyond the reading of a document: how a file begins and ends,
 * what a batch or a plant log says that cannot be, and what the files of a book say of each other.
 *
 * Files are checked one by one and may be forgotten afterwards, but for their names: of each batch
 * only a summary is kept, which the rules across files use at the end. Findings go to the diags of
 * the book handed over.
 */
#ifndef GYLE_CHECK_H
#define GYLE_CHECK_H

#include "arena.h"
#include "book.h"
#include "chain.h"
#include "diag.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct check_place {
    const struct str *file;
    uint32_t line, column;
};

/* A batch as other files see it. */
struct check_batch {
    struct str number;
    struct check_place place;
    double volume_hl; /* NAN when not told */
    bool reported;    /* findings about it are wanted */
    bool replaces;    /* it stands for those of the same number that are not reported */
    bool gone;        /* replaced by one that is reported */
};

/* One stay of one batch in one tank of the cellar. */
struct check_stay {
    int64_t from, to;
    struct check_place place;
    const struct check_batch *batch;
    uint32_t tank; /* index of the cellar's tanks */
};

/* A batch that another one names: a part of a blend, or krausen. */
struct check_use {
    struct str number;
    struct check_place place;
    const struct check_batch *batch; /* the one that names it */
    bool is_part;
    double volume_hl;
};

struct str_list {
    struct str *items;
    size_t n, capacity;
};

struct check {
    const struct cellar *cellar;
    struct diags *diags;
    struct arena *arena;   /* of the summaries; outlives the check */
    struct arena *scratch; /* of the file at hand */
    int64_t now;
    bool replaces; /* said of each batch that is reported from now on; see struct check_batch */

    struct str_list removed; /* numbers that the book had and may have no more */

    /* The module's own. */
    struct chain batches; /* of struct check_batch */
    struct chain stays;   /* of struct check_stay */
    struct chain uses;    /* of struct check_use */
    struct str_list needles;
    bool has_needles;
};

void check_begin(struct check *check, const struct cellar *cellar, struct diags *diags,
                 struct arena *arena, int64_t now);

/* A cellar that is reported: names that its own keys use. */
void check_cellar(struct check *check, const struct cellar *cellar);

/* One file or stream as book_load() gave it, all findings wanted; settles its batches in the arena.
 */
void check_file(struct check *check, const struct book *book, struct arena *arena,
                struct book_file *file);

/* A number that a changed or deleted file had before: a batch that names it is reported when the
 * book has it no more. */
void check_remove(struct check *check, struct str number);

/* One of the other files of the book, after those that are reported: it is only summed up, for what
 * it means to them. A file that names neither a number nor a tank of theirs is not even parsed, and
 * readings at a file's end are left aside. Findings in it go nowhere. */
void check_other(struct check *check, const struct book *book, struct arena *arena,
                 struct source source);

/* Takes over the summaries of another check of the same book, as if its files had been checked
 * after those here. Its arena must outlive this check. */
void check_join(struct check *check, struct check *more);

/* The rules across files, when all are there. */
void check_end(struct check *check);

#endif
