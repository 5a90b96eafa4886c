/*
 * A git commit of just what was added. Changes that a file had before do not go with it: of such a
 * file the last commit's bytes with what was added are committed, and the work tree keeps the rest
 * as it is, uncommitted.
 */
#ifndef GYLE_COMMIT_H
#define GYLE_COMMIT_H

#include "civil.h"
#include "typed.h"

struct commit {
    struct arena *arena;
    const char *folder; /* of the book, "" for the working directory */
    const char *top;    /* of the repository */
    struct str changes; /* what git told before anything was added */
};

/* Looks what is changed and not committed, before anything is added. False: *why, such as that the
 * book is in no git repository. */
bool commit_begin(struct commit *commit, struct arena *arena, const char *folder, const char **why);

/* A file that was written. */
struct commit_file {
    const char *path;
    bool partly; /* it had changes before, and bytes are what is to be committed */
    struct str bytes;
};

/* True when a file had no changes before. */
bool commit_is_clean(const struct commit *commit, const char *path);

/* The bytes of a changed file in the last commit. False: *why it cannot be committed without its
 * changes (it is new to git, or something is staged). */
bool commit_last(const struct commit *commit, const char *path, struct str *bytes,
                 const char **why);

/* Commits the files that were written; git's own words go to standard error. False: *why. */
bool commit_added(const struct commit *commit, const struct commit_file *files, size_t count,
                  const struct entry_list *list, const struct civil_zone *zone, const char **why);

#endif
