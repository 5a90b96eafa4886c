/*
 * The gyle books of a commit about to be made, as check.h wants them: what is staged, not what lies
 * in the folder. The files that differ from the last commit are reported on, all of them when the
 * cellar file itself differs; the others only say what these may not contradict.
 */
#ifndef GYLE_STAGED_H
#define GYLE_STAGED_H

#include "arena.h"
#include "book.h"
#include "check.h"
#include "diag.h"
#include "git.h"

#include <stdbool.h>
#include <stddef.h>

struct staged_book {
    const char *folder; /* from the top of the repository, "" or with a slash at its end */
    struct git_file *cellar;
    bool in_conflict; /* its cellar file is */
    struct git_file **files;
    size_t n;
};

struct staged {
    struct arena *arena;
    struct git_index index;
    struct staged_book *books; /* those that have changes */
    size_t n;
};

/* Reads what is staged. False: *why says what went wrong. Files in conflict, and changed files of a
 * book whose cellar file is not staged, are findings. */
bool staged_read(struct staged *staged, struct arena *arena, struct diags *diags, const char **why);

/* book_open() for one of the books. */
bool staged_open(const struct staged *staged, size_t i, struct book *book, struct diags *diags,
                 const char *zone_folder);

/* Hands its files to a check that has begun; check_end() is the caller's. */
void staged_check(const struct staged *staged, size_t i, struct check *check,
                  const struct book *book, struct arena *scratch);

/* The staged bytes of a file by its shown name; empty when there is none. */
struct str staged_text(const struct staged *staged, struct str name);

#endif
