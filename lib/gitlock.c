#define _XOPEN_SOURCE 700 /* realpath */

#include "gitlock.h"

#include "file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* The folder that a .git file points to ("gitdir: PATH", as in a linked work tree), or NULL. */
static const char *linked_folder(struct arena *arena, const char *top, const char *path)
{
    enum { LONGEST = 4096 };
    char *text = arena_array(arena, LONGEST + 1, 1);
    static const char WORD[] = "gitdir: ";
    FILE *file = fopen(path, "r");
    size_t n = file == NULL ? 0 : fread(text, 1, LONGEST, file), start = strlen(WORD);
    if (file != NULL)
        fclose(file);
    if (n <= start || strncmp(text, WORD, start) != 0)
        return NULL;
    text[strcspn(text, "\r\n")] = '\0';
    return text[start] == '/' ? text + start : file_join(arena, top, text + start);
}

void gitlock_find(struct gitlock *git, struct arena *arena, const char *folder)
{
    *git = (struct gitlock){NULL, NULL, false, {0}};
    char *real = realpath(folder[0] == '\0' ? "." : folder, NULL);
    if (real == NULL)
        return;
    char *top = arena_copy(arena, real, strlen(real));
    free(real);
    for (;;) {
        struct stat info;
        const char *path = file_join(arena, top[0] == '\0' ? "/" : top, ".git");
        if (stat(path, &info) == 0) {
            if (!S_ISDIR(info.st_mode))
                path = linked_folder(arena, top, path);
            if (path == NULL)
                return;
            git->lock = file_join(arena, path, "index.lock");
            git->index = file_join(arena, path, "index");
            return;
        }
        char *slash = strrchr(top, '/');
        if (slash == NULL)
            return;
        *slash = '\0';
    }
}

bool gitlock_wait(const struct gitlock *git, int seconds)
{
    enum { TRIES_A_SECOND = 50 };
    struct stat info;
    for (int tries = seconds * TRIES_A_SECOND; git->lock != NULL && stat(git->lock, &info) == 0;) {
        if (tries-- <= 0)
            return false;
        nanosleep(&(struct timespec){0, 1000000000L / TRIES_A_SECOND}, NULL);
    }
    return true;
}

void gitlock_note(struct gitlock *git)
{
    git->has_index = git->index != NULL && stat(git->index, &git->was) == 0;
}

bool gitlock_has_changed(const struct gitlock *git)
{
    struct stat now;
    if (git->index == NULL)
        return false;
    if (stat(git->index, &now) != 0)
        return git->has_index;
    return !git->has_index || now.st_ino != git->was.st_ino || now.st_size != git->was.st_size ||
           now.st_mtim.tv_sec != git->was.st_mtim.tv_sec ||
           now.st_mtim.tv_nsec != git->was.st_mtim.tv_nsec;
}
