/*
 * Replacing files of the book so that each is whole, old or new, whatever fails.
 *
 * The order: lock the book; follow symbolic links; read to the end; refuse what may not be written;
 * write a temporary file in the same folder, with the mode, owner and group of the old one; sync
 * it; see that the old one is still as it was read; exchange the two names, or rename where the
 * system cannot exchange; see that what was replaced is what was read; and, once for all files of a
 * folder, sync the folder: only then does the new file last. Any failure removes the temporary
 * file. Its name begins with a dot and does not end in .yaml, so that what a kill leaves behind is
 * never read.
 *
 * Functions that fail say why in *why, which lives in the arena; they print nothing.
 */
#ifndef GYLE_STORE_H
#define GYLE_STORE_H

#include "arena.h"
#include "diag.h"

#include <stdbool.h>
#include <sys/stat.h>

struct store_lock {
    int fd; /* -1: not held */
};

/* Takes the book's lock: flock() on its folder ("" for the working directory), which ends with the
 * process that holds it. Waits so many seconds for another one. */
bool store_lock(struct store_lock *lock, struct arena *arena, const char *folder, int seconds,
                const char **why);
void store_unlock(struct store_lock *lock);

struct store_file {
    const char *path;   /* as named */
    const char *target; /* the file itself, links followed */
    struct source source;
    struct stat info;
    bool exists;
};

/* Reads a file and remembers what it was like. A file that is not there is empty, with exists
 * false. */
bool store_read(struct store_file *file, struct arena *arena, const char *path, const char **why);

enum store_status {
    STORE_DONE,
    STORE_CHANGED, /* another program wrote the file since it was read: nothing was done */
    STORE_FAILED
};

/* New bytes for a file. */
struct store_change {
    const struct store_file *file;
    struct str bytes;
    enum store_status status; /* what became of it */
    const char *why;          /* where it is not STORE_DONE */
    /* At work: */
    char *temporary;
    int fd;
    struct stat info; /* of the new file */
};

/* Gives many files new bytes, each whole or not at all; they are synced together, which takes a
 * disk much less time than one by one. They last when their folders are synced. A file that was not
 * there is created, its folder too; one that has come to be since is STORE_CHANGED. */
void store_write_all(struct arena *arena, struct store_change *changes, size_t n);

/* True while the file is the one that was written. */
bool store_stands(const struct store_change *change);

/* Gives one file new bytes; they last when its folder is synced. A file that was not there is
 * created, its folder too; one that has come to be since is STORE_CHANGED. */
enum store_status store_write(const struct store_file *file, struct arena *arena, struct str bytes,
                              const char **why);

/* Makes what was written in the folder of a file last. */
bool store_sync(const struct store_file *file, struct arena *arena, const char **why);

#endif
