/*
 * A git commit of just what was added. Files that had other changes before are never committed with
 * it.
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

/* Commits the files that were written; git's own words go to standard error. False: *why. */
bool commit_added(const struct commit *commit, const char *const *paths, size_t count,
                  const struct entry_list *list, const struct civil_zone *zone, const char **why);

#endif
