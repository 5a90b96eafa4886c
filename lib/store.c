#define _XOPEN_SOURCE 700 /* realpath */

#include "store.h"

#include "file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>

enum { CHUNK = 1 << 16 };

static const char *explain(struct arena *arena, const char *what, const char *path, int error)
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
        *why = explain(arena, "cannot open", path, errno);
        return false;
    }
    for (int tries = seconds * TRIES_A_SECOND; flock(lock->fd, LOCK_EX | LOCK_NB) != 0;) {
        if (errno == EINTR)
            continue;
        if (errno != EWOULDBLOCK || tries-- <= 0) {
            *why = errno == EWOULDBLOCK
                       ? "another gyle-ingest is at work in this book: try again when it has ended"
                       : explain(arena, "cannot lock", path, errno);
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

static int open_again(const char *path, int flags)
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
    int fd = file->target == NULL ? -1 : open_again(file->target, O_RDONLY);
    if (fd < 0 && errno == ENOENT && file->target != NULL)
        return true;
    if (fd < 0) {
        *why = explain(arena, "cannot read", path, errno);
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
        *why = explain(arena, "cannot read", path, error);
    return error == 0;
}

static bool write_all(int fd, struct str bytes)
{
    size_t done = 0;
    while (done < bytes.n) {
        ssize_t put = write(fd, bytes.p + done, bytes.n - done);
        if (put > 0)
            done += (size_t)put;
        else if (put == 0) {
            errno = ENOSPC;
            return false;
        } else if (errno != EINTR)
            return false;
    }
    return true;
}

static int sync_fd(int fd)
{
    int result;
    do
        result = fsync(fd);
    while (result != 0 && errno == EINTR);
    return result;
}

/* Mode and group are kept. The owner, too, where that is allowed; else it is the one who writes, as
 * after a git checkout. */
static bool copy_mode(int fd, const struct stat *old)
{
    struct stat now;
    if (fstat(fd, &now) != 0)
        return false;
    if (now.st_uid != old->st_uid || now.st_gid != old->st_gid) {
        bool kept = fchown(fd, old->st_uid, old->st_gid) == 0;
        if (!kept && errno != EPERM)
            return false;
        if (!kept && now.st_gid != old->st_gid && fchown(fd, (uid_t)-1, old->st_gid) != 0)
            return false;
    }
    return fchmod(fd, old->st_mode & 07777) == 0;
}

static bool is_as_read(const struct store_file *file)
{
    struct stat now;
    static char chunk[CHUNK];
    if (stat(file->target, &now) != 0)
        return !file->exists && errno == ENOENT;
    const struct stat *then = &file->info;
    if (!file->exists || now.st_dev != then->st_dev || now.st_ino != then->st_ino ||
        (size_t)now.st_size != file->source.text.n || now.st_mtim.tv_sec != then->st_mtim.tv_sec ||
        now.st_mtim.tv_nsec != then->st_mtim.tv_nsec)
        return false;
    /* Clocks of file systems are coarse: look at the bytes as well. */
    int fd = open_again(file->target, O_RDONLY);
    bool same = fd >= 0;
    for (size_t done = 0; same && done < file->source.text.n;) {
        ssize_t got = read(fd, chunk, sizeof chunk);
        if (got < 0 && errno == EINTR)
            continue;
        same = got > 0 && (size_t)got <= file->source.text.n - done &&
               memcmp(chunk, file->source.text.p + done, (size_t)got) == 0;
        done += same ? (size_t)got : 0;
    }
    if (fd >= 0)
        close(fd);
    return same;
}

static bool sync_folder(const char *folder)
{
    int fd = open_again(folder[0] == '\0' ? "." : folder, O_RDONLY | O_DIRECTORY);
    if (fd < 0)
        return false;
    /* Some file systems cannot sync a folder, and say so. */
    bool done = sync_fd(fd) == 0 || errno == EINVAL || errno == ENOSYS;
    int error = errno;
    close(fd);
    errno = error;
    return done;
}

/* What the system was asked to do when it failed. */
struct step {
    const char *what;
    enum store_status status;
    int error;
};

static struct step failed(const char *what)
{
    return (struct step){what, STORE_FAILED, errno};
}

static struct step fill_temporary(const struct store_file *file, int fd, struct str bytes)
{
    mode_t mask = umask(0);
    umask(mask);
    struct step step = {NULL, STORE_DONE, 0};
    if (!write_all(fd, bytes))
        step = failed("cannot write to");
    else if (file->exists && !copy_mode(fd, &file->info))
        step = failed("cannot keep the mode and group of");
    else if (!file->exists && fchmod(fd, 0666 & ~mask) != 0)
        step = failed("cannot set the mode of");
    else if (sync_fd(fd) != 0)
        step = failed("cannot sync");
    if (close(fd) != 0 && step.status == STORE_DONE)
        step = failed("cannot close");
    return step;
}

/* Puts the temporary file in the old one's place; a new one only where there is none. */
static struct step put_in_place(const struct store_file *file, const char *temporary)
{
    if (!is_as_read(file))
        return (struct step){NULL, STORE_CHANGED, 0};
    if (file->exists && rename(temporary, file->target) != 0)
        return failed("cannot replace");
    if (!file->exists && link(temporary, file->target) != 0)
        return errno == EEXIST ? (struct step){NULL, STORE_CHANGED, 0} : failed("cannot create");
    if (!file->exists)
        unlink(temporary);
    return (struct step){NULL, STORE_DONE, 0};
}

static struct step replace(const struct store_file *file, char *temporary, struct str bytes)
{
    int fd = mkstemp(temporary);
    if (fd < 0)
        return failed("cannot create a temporary file beside");
    struct step step = fill_temporary(file, fd, bytes);
    if (step.status == STORE_DONE)
        step = put_in_place(file, temporary);
    if (step.status != STORE_DONE)
        unlink(temporary);
    return step;
}

enum store_status store_write(const struct store_file *file, struct arena *arena, struct str bytes,
                              const char **why)
{
    if (file->exists && access(file->target, W_OK) != 0) {
        *why = explain(arena, "may not write to", file->path, errno);
        return STORE_FAILED;
    }
    const char *folder = file_folder(arena, file->target);
    if (!file->exists && folder[0] != '\0' && mkdir(folder, 0777) != 0 && errno != EEXIST) {
        *why = explain(arena, "cannot create the folder", folder, errno);
        return STORE_FAILED;
    }
    char *temporary = (char *)(uintptr_t)file_join(arena, folder, ".gyle-XXXXXX");
    /* An interrupt waits until the temporary file is gone or in its place. */
    sigset_t all, old;
    sigfillset(&all);
    sigprocmask(SIG_SETMASK, &all, &old);
    struct step step = replace(file, temporary, bytes);
    sigprocmask(SIG_SETMASK, &old, NULL);
    if (step.status == STORE_FAILED)
        *why = explain(arena, step.what, file->path, step.error);
    else if (step.status == STORE_CHANGED)
        *why = "another program wrote the file at the same moment";
    return step.status;
}

bool store_sync(const struct store_file *file, struct arena *arena, const char **why)
{
    if (sync_folder(file_folder(arena, file->target)))
        return true;
    *why = explain(arena, "cannot sync the folder of", file->path, errno);
    return false;
}
