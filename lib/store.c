#define _XOPEN_SOURCE 700 /* realpath */

#include "store_part.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>

const char *store_explain(struct arena *arena, const char *what, const char *path, int error)
{
    struct buf text = buf_new(arena);
    buf_printf(&text, "%s %s: %s", what, str_shown(arena, str_of(path)), strerror(error));
    return text.p;
}

bool store_lock(struct store_lock *lock, struct arena *arena, const char *folder, int seconds,
                const char **why)
{
    enum { TRIES_A_SECOND = 20 };
    const char *path = folder[0] == '\0' ? "." : folder;
    lock->fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (lock->fd < 0) {
        *why = store_explain(arena, "cannot open", path, errno);
        return false;
    }
    for (int tries = seconds * TRIES_A_SECOND; flock(lock->fd, LOCK_EX | LOCK_NB) != 0;) {
        if (errno == EINTR)
            continue;
        if (errno != EWOULDBLOCK || tries-- <= 0) {
            *why = errno == EWOULDBLOCK
                       ? "another gyle-ingest is at work in this book: try again when it has ended"
                       : store_explain(arena, "cannot lock", path, errno);
            store_unlock(lock);
            return false;
        }
        nanosleep(&(struct timespec){0, 1000000000L / TRIES_A_SECOND}, NULL);
    }
    return true;
}

void store_unlock(struct store_lock *lock)
{
    if (lock->fd >= 0)
        close(lock->fd);
    lock->fd = -1;
}

int store_open(const char *path, int flags)
{
    int fd;
    do
        fd = open(path, flags | O_CLOEXEC | O_NOCTTY);
    while (fd < 0 && errno == EINTR);
    return fd;
}

/* The file behind symbolic links; path itself where it does not exist. */
static const char *real_path(struct arena *arena, const char *path)
{
    char *real = realpath(path, NULL);
    if (real == NULL)
        return errno == ENOENT ? path : NULL;
    const char *kept = arena_copy(arena, real, strlen(real));
    free(real);
    return kept;
}

bool store_read(struct store_file *file, struct arena *arena, const char *path, const char **why)
{
    *file = (struct store_file){.path = path, .source = {str_of(path), {"", 0}}};
    file->target = real_path(arena, path);
    int fd = file->target == NULL ? -1 : store_open(file->target, O_RDONLY);
    if (fd < 0 && errno == ENOENT && file->target != NULL)
        return true;
    if (fd < 0) {
        *why = store_explain(arena, "cannot read", path, errno);
        return false;
    }
    int error = fstat(fd, &file->info) != 0 ? errno : 0;
    if (error == 0 && !S_ISREG(file->info.st_mode))
        error = S_ISDIR(file->info.st_mode) ? EISDIR : EINVAL;
    size_t capacity = error == 0 ? (size_t)file->info.st_size + 1 : 1, n = 0;
    char *bytes = arena_raw(arena, capacity + 1);
    while (error == 0) {
        if (n == capacity) { /* it grows while it is read */
            char *larger = arena_raw(arena, capacity * 2 + 1);
            memcpy(larger, bytes, n);
            bytes = larger;
            capacity *= 2;
        }
        ssize_t got = read(fd, bytes + n, capacity - n);
        if (got == 0)
            break;
        if (got > 0)
            n += (size_t)got;
        else if (errno != EINTR)
            error = errno;
    }
    close(fd);
    bytes[n] = '\0';
    file->source.text = (struct str){bytes, n};
    file->exists = true;
    if (error == EINVAL)
        *why = "it is no plain file";
    else if (error != 0)
        *why = store_explain(arena, "cannot read", path, error);
    return error == 0;
}
