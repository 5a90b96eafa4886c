/*
 * Files worked on by several threads, with the outcome of one: the files are cut into shares of
 * neighbours, each share has an outcome of its own, and the outcomes are taken in the order of the
 * files. What the threads use of the caller's (book, cellar, tables) they only read.
 */
#ifndef GYLE_CREW_H
#define GYLE_CREW_H

#include "arena.h"

#include <stddef.h>

enum { CREW_MOST_THREADS = 64 };

struct crew_job {
    /* An outcome without a file, in the arena, which no other thread uses. */
    void *(*begin)(void *context, struct arena *arena);
    /* Adds a file to an outcome; scratch is reset behind it. */
    void (*add)(void *context, void *outcome, struct arena *scratch, const char *path);
    /* Takes the next outcome, when all files are done; in the caller's thread. */
    void (*take)(void *context, void *outcome);
    void *context;
};

/* So many threads as the system has processors; at least 1. */
size_t crew_processors(void);

/* Works on n files with so many threads (0 is taken for 1, and more than CREW_MOST_THREADS for
 * that; fewer where the system gives none, or where there are fewer files). Outcomes live as long
 * as the arena. */
void crew_work(const struct crew_job *job, struct arena *arena, const char *const *paths, size_t n,
               size_t threads);

#endif
