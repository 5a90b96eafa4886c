/*
 * What stands in the tanks as of now. The book's files are read one by one; of the batches only
 * those are kept that are in a tank, are still to come, or are in no tank though they should be, so
 * that years of finished ones cost no memory. Of the finished ones it is remembered when they left.
 */
#ifndef GYLE_OCCUPANCY_H
#define GYLE_OCCUPANCY_H

#include "book.h"
#include "history.h"
#include "ledger.h"
#include "shelf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A batch that is in no tank at all is asked after for so many days from brewing. */
#define OCCUPANCY_LOST_DAYS 60

struct occupancy_tank {
    struct str name;
    const struct cellar_tank *tank; /* NULL: the cellar file does not declare it */
    bool in_walk;
    const struct batch_course *course; /* what is in it; NULL: nothing known */
    const struct batch_course *other;  /* a second batch that the book has in it; NULL */
    int64_t emptied;                   /* when beer last left it; 0: not known */
    int64_t cleaned;                   /* 0: not known */
};

/* How long a beer that has left was in a tank. */
struct occupancy_stay {
    struct str beer;
    int yeast; /* enum yeast_kind */
    int kind;  /* enum tank_kind */
    double hours;
};

struct occupancy {
    const struct cellar *cellar;
    int64_t now;
    LIST(struct occupancy_tank) tanks; /* in the order of the walk, then those that it leaves out */
    LIST(struct batch *) kept;         /* of files asked for: those below, and who left lately */
    LIST(struct book_file *) files;    /* that hold something kept, where since lies before now */
    LIST(struct batch *) standing;     /* in a tank now; settled */
    LIST(struct batch *) planned;      /* its first tank lies in the future */
    LIST(struct batch *) lost;         /* no tank told, brewed within OCCUPANCY_LOST_DAYS */
    LIST(struct batch_course) strays;  /* in a tank that the cellar file does not declare */
    LIST(const struct plant *) plants; /* of SHELF_DAYS before since, and who tell something last */
    LIST(struct occupancy_stay) stays; /* of batches that have left */
    struct history history;
    struct ledger_draws draws; /* of all batches: what they took of others */
    size_t later;              /* entries after now, left out */
    size_t left_out; /* files that are not whole: unreadable, broken off, or with errors */
    bool is_part;    /* files were named: of a tank without beer nothing can be said */

    /* The module's own. */
    struct arena *arena;
    int64_t since;
    struct shelf_logs logs;
    struct arena read;     /* the files that hold something kept */
    LIST(struct str) seen; /* numbers of the batches asked for, where files were named */
    size_t seen_capacity;
    size_t file_capacity, kept_capacity, standing_capacity, planned_capacity, lost_capacity,
        plant_capacity, stay_capacity;
};

struct occupancy_request {
    struct file_list asked;
    bool whole; /* they are all of the book */
    int64_t now;
    int64_t since; /* beer that was there at this moment or later is kept too; now: only what is */
};

/* Reads the files asked for, each once, then the book's plant logs. Where files were named, the
 * rest of the book is read for its history only, and what is wrong in it is not told; else what is
 * wrong goes to the book's diags. All that is kept lives in the arena, or in one that calls its
 * exhausted(); occupancy_free() gives that back. */
struct occupancy *occupancy_read(struct book *book, struct arena *arena,
                                 const struct occupancy_request *request);

/* The same tanks as of a moment from the request's since to its now, from what was read then; it
 * lives as long as that. Of the earlier batches only those count that could be called finished by
 * then; of beer that had left before nothing is told, neither `emptied` nor `stays`. */
struct occupancy *occupancy_at(const struct occupancy *occupancy, int64_t moment);

/* One of the files that are kept, its batches not settled. */
struct book_file *occupancy_fresh_file(const struct occupancy *occupancy,
                                       const struct book_file *file);

void occupancy_free(struct occupancy *occupancy);

/* How much is in the tank of a course's stay: batch_course_volume(), less what other batches took.
 */
struct figure occupancy_volume(const struct occupancy *occupancy,
                               const struct batch_course *course);

/* A tank's place in tanks, or SIZE_MAX. */
size_t occupancy_find(const struct occupancy *occupancy, struct str tank);

#endif
