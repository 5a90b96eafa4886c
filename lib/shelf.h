/*
 * The book at once, for judgements that look across tanks and days: the batches that are in the
 * tanks or left them lately, the plant logs, and what the earlier batches came to. Beer that left
 * long ago is read, summed up where that is asked for, and forgotten. A document with an error is
 * left out, and its file counted.
 */
#ifndef GYLE_SHELF_H
#define GYLE_SHELF_H

#include "book.h"
#include "history.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* How long ago a batch may have left and still be kept: meters, people and the use of water are
 * judged by what was read since. */
enum { SHELF_DAYS = 100 };

struct shelf_batch {
    struct batch *batch; /* settled as of now */
    bool asked;          /* it comes from a file that was asked for */
};

struct shelf {
    LIST(struct shelf_batch) batches; /* in the files' order, those asked for last */
    LIST(const struct plant *) plants;
    struct history history; /* empty unless it was asked for */
    size_t later;           /* entries after now, left out, of the batches asked for */
    size_t left_out; /* files asked for that are not whole: unreadable, broken off, with errors */
    bool plants_wanted;  /* no file was asked for, or a plant log was among them */
    struct arena *files; /* the memory of what is kept */
};

struct shelf_request {
    struct file_list asked; /* paths = NULL: the book's batches */
    int64_t now;
    int64_t since;       /* kept is beer that left at most SHELF_DAYS before this; INT64_MIN: all */
    bool history;        /* sum up earlier batches */
    size_t most_earlier; /* of a beer, the newest first; 0: HISTORY_NEWEST */
    bool without_plants; /* leave the plant logs unread */
    /* Which batches to keep, whenever their beer left; NULL: by `since`. */
    bool (*keep)(const struct batch *batch, bool asked, const void *data);
    const void *keep_data;
};

/* When a beer left its last tank, or was read last where that is later: until then it counts as
 * there. INT64_MIN where nothing tells. */
int64_t shelf_end_of(const struct batch *batch);

/* Which plant logs are worth their memory, when they are read from the newest back: those with an
 * entry at keep_from or later, and those that tell when a meter was calibrated or a check read last
 * as of now. Begin with the cellar and the rest zero. */
struct shelf_logs {
    const struct cellar *cellar;
    struct arena *arena;
    int64_t now, keep_from;
    bool *meters, *checks; /* told of by newer logs, in the cellar's order */
};
bool shelf_keeps(struct shelf_logs *logs, const struct plant *plant);

/* Reads the files asked for, then the rest of the book. What is wrong in a file goes to the book's
 * diags. The lists live in the arena, what they point to until shelf_free(). */
struct shelf shelf_load(struct book *book, struct arena *arena,
                        const struct shelf_request *request);

/* The courses of all that is kept. */
struct batch_courses shelf_courses(const struct shelf *shelf, struct arena *arena, int64_t now);

/* Is a meter asked for? Each is where no file or a plant log was asked for; else those that the
 * files read with. */
bool shelf_asks_for_meter(const struct shelf *shelf, struct str name);

void shelf_free(struct shelf *shelf);

#endif
