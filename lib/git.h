/*
 * What git would commit: the files of the index, which of them differ from the last commit, and
 * their bytes. Reads through git's plumbing only, in the repository of the working directory; the
 * work tree is not looked at. Whatever a path holds (blanks, newlines), it comes whole.
 */
#ifndef GYLE_GIT_H
#define GYLE_GIT_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

struct git_file {
    const char *path;    /* from the top of the repository */
    struct str id;       /* of the blob in the index; empty when the file is deleted */
    struct str old_id;   /* of the blob in the last commit; empty when it is new or unchanged */
    struct str text;     /* by git_read_blobs() */
    struct str old_text; /* the same */
    bool changed;        /* from the last commit; all are while there is none */
    bool unmerged;       /* a merge has left it in conflict */
};

struct git_index {
    struct git_file *files; /* by path in byte order; links and submodules are left out */
    size_t n;
    const char *prefix; /* of the working directory: "" at the top, else "folder/" */
};

/* Reads the index. False: *why says what went wrong, where git itself did not. */
bool git_read_index(struct arena *arena, struct git_index *index, const char **why);

/* Reads the blobs of files, those that have an id: text and old_text are filled, and stay for as
 * long as the program runs. */
bool git_read_blobs(struct git_file **files, size_t n, const char **why);

/* A path of the repository as seen from the working directory. */
const char *git_shown_path(struct arena *arena, const struct git_index *index, const char *path);

#endif
