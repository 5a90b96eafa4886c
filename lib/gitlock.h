/*
 * Keeping out of git's way. While git changes the index or the work tree (a checkout, a merge, a
 * stash), it holds a lock file, and it looks only once, behind that lock, which files of the work
 * tree were changed. So whoever writes such files waits until the lock is free, and looks behind it
 * whether his bytes still stand: if git came in between, they may not, and he has lost.
 */
#ifndef GYLE_GITLOCK_H
#define GYLE_GITLOCK_H

#include "arena.h"

#include <stdbool.h>
#include <sys/stat.h>

struct gitlock {
    const char *lock, *index; /* NULL: no git repository around */
    bool has_index;
    struct stat was; /* of the index, when it was noted */
};

/* Looks for the repository that a folder ("" for the working directory) lies in. */
void gitlock_find(struct gitlock *git, struct arena *arena, const char *folder);

/* Waits until git holds its lock no longer. False when it still does after so many seconds. */
bool gitlock_wait(const struct gitlock *git, int seconds);

/* Remembers the index as it is; and has git written a new one since? */
void gitlock_note(struct gitlock *git);
bool gitlock_has_changed(const struct gitlock *git);

#endif
