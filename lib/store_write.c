#define _XOPEN_SOURCE 700 /* mkstemp */

#include "file.h"
#include "native.h"
#include "store_part.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { CHUNK = 1 << 16 };

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

/* True when the file at path, which may be given another name than it had, is the one that was
 * read: the same inode with the same bytes. Clocks of file systems are coarse, so the bytes are
 * looked at as well. nobody: and no other program has it open to write. */
static bool is_as_read(const struct store_file *file, const char *path, bool nobody)
{
    struct stat now;
    static char chunk[CHUNK];
    const struct stat *then = &file->info;
    if (stat(path, &now) != 0)
        return !file->exists && errno == ENOENT;
    if (!file->exists || now.st_dev != then->st_dev || now.st_ino != then->st_ino ||
        (size_t)now.st_size != file->source.text.n || now.st_mtim.tv_sec != then->st_mtim.tv_sec ||
        now.st_mtim.tv_nsec != then->st_mtim.tv_nsec)
        return false;
    int fd = store_open(path, O_RDONLY);
    bool same = fd >= 0 && !(nobody && native_is_being_written(fd));
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
    int fd = store_open(folder[0] == '\0' ? "." : folder, O_RDONLY | O_DIRECTORY);
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

static const struct step DONE = {NULL, STORE_DONE, 0}, CHANGED = {NULL, STORE_CHANGED, 0};

static struct step failed(const char *what)
{
    return (struct step){what, STORE_FAILED, errno};
}

static void tell(struct store_change *change, struct arena *arena, struct step step)
{
    change->status = step.status;
    if (step.status == STORE_FAILED)
        change->why = store_explain(arena, step.what, change->file->path, step.error);
    else if (step.status == STORE_CHANGED)
        change->why = "another program wrote the file at the same moment";
}

/* The temporary file of a change goes. */
static void drop(struct store_change *change, struct arena *arena, struct step step)
{
    if (change->fd >= 0)
        close(change->fd);
    change->fd = -1;
    unlink(change->temporary);
    tell(change, arena, step);
}

static struct step fill_temporary(struct store_change *change)
{
    const struct store_file *file = change->file;
    mode_t mask = umask(0);
    umask(mask);
    if (!write_all(change->fd, change->bytes))
        return failed("cannot write to");
    if (file->exists && !copy_mode(change->fd, &file->info))
        return failed("cannot keep the mode and group of");
    if (!file->exists && fchmod(change->fd, 0666 & ~mask) != 0)
        return failed("cannot set the mode of");
    native_begin_sync(change->fd);
    return DONE;
}

/* Writes the new bytes beside the old file. */
static void prepare(struct store_change *change, struct arena *arena)
{
    const struct store_file *file = change->file;
    const char *folder = file_folder(arena, file->target);
    change->fd = -1;
    if (file->exists && access(file->target, W_OK) != 0) {
        tell(change, arena, failed("may not write to"));
        return;
    }
    if (!file->exists && folder[0] != '\0' && mkdir(folder, 0777) != 0 && errno != EEXIST) {
        tell(change, arena, failed("cannot create the folder of"));
        return;
    }
    const char *name = file_join(arena, folder, ".gyle-XXXXXX");
    change->temporary = arena_copy(arena, name, strlen(name));
    change->fd = mkstemp(change->temporary);
    if (change->fd < 0) {
        tell(change, arena, failed("cannot create a temporary file beside"));
        return;
    }
    struct step step = fill_temporary(change);
    if (step.status == STORE_DONE)
        tell(change, arena, step);
    else
        drop(change, arena, step);
}

/* Waits until the new bytes are on the disk. */
static void sync_temporary(struct store_change *change, struct arena *arena)
{
    struct step step = DONE;
    if (sync_fd(change->fd) != 0)
        step = failed("cannot sync");
    else if (fstat(change->fd, &change->info) != 0)
        step = failed("cannot look at the new");
    int fd = change->fd;
    change->fd = -1;
    if (close(fd) != 0 && step.status == STORE_DONE)
        step = failed("cannot close");
    if (step.status != STORE_DONE)
        drop(change, arena, step);
}

/* What stands under a path. Two ways, since what cannot be looked at can neither be removed. */
static bool look_at(const char *path, struct stat *info)
{
    if (stat(path, info) == 0)
        return true;
    int fd = store_open(path, O_RDONLY);
    bool seen = fd >= 0 && fstat(fd, info) == 0;
    if (fd >= 0)
        close(fd);
    return seen;
}

static bool is_ours(const struct store_change *change, const char *path)
{
    struct stat now;
    return look_at(path, &now) && now.st_dev == change->info.st_dev &&
           now.st_ino == change->info.st_ino && now.st_size == change->info.st_size &&
           now.st_mtim.tv_sec == change->info.st_mtim.tv_sec &&
           now.st_mtim.tv_nsec == change->info.st_mtim.tv_nsec;
}

/* Another program wrote the file in the instant before the exchange: what it wrote gets its name
 * back. Should yet another file have come in meanwhile, that one keeps the name, and the other is
 * left under its temporary one. */
static struct step change_back(const struct store_change *change)
{
    const char *target = change->file->target;
    if (!native_exchange(change->temporary, target))
        return errno == ENOENT ? CHANGED
                               : failed("what another program wrote is kept in .gyle-* beside");
    if (is_ours(change, change->temporary)) {
        unlink(change->temporary);
        return CHANGED;
    }
    native_exchange(change->temporary, target);
    errno = EEXIST;
    return failed("what another program wrote is kept in .gyle-* beside");
}

/* The old file takes the temporary name, the new one its place; only when the old one is then seen
 * to be what was read, and nobody else's to write, it goes. Where names cannot be exchanged, an
 * instant remains between looking and renaming. */
static struct step exchange(const struct store_change *change)
{
    const struct store_file *file = change->file;
    if (native_exchange(change->temporary, file->target)) {
        if (!is_as_read(file, change->temporary, true))
            return change_back(change);
        unlink(change->temporary);
        return DONE;
    }
    struct step step = errno == ENOENT ? CHANGED : failed("cannot replace");
    if (errno == ENOSYS)
        step = rename(change->temporary, file->target) == 0 ? DONE : failed("cannot replace");
    if (step.status != STORE_DONE)
        unlink(change->temporary);
    return step;
}

/* A new file is put only where there is none. */
static struct step create(const struct store_change *change)
{
    struct step step = DONE;
    if (link(change->temporary, change->file->target) != 0)
        step = errno == EEXIST ? CHANGED : failed("cannot create");
    unlink(change->temporary);
    return step;
}

static void put_in_place(struct store_change *change, struct arena *arena)
{
    const struct store_file *file = change->file;
    if (!is_as_read(file, file->target, false))
        drop(change, arena, CHANGED);
    else
        tell(change, arena, file->exists ? exchange(change) : create(change));
}

/* Some at a time, since each has a descriptor: all are written, then all synced, so that the disk
 * works at them together, then each gets its name. */
static void write_some(struct arena *arena, struct store_change *changes, size_t n)
{
    static void (*const STEPS[])(struct store_change *, struct arena *) = {prepare, sync_temporary,
                                                                           put_in_place};
    for (size_t s = 0; s < sizeof STEPS / sizeof STEPS[0]; s++)
        for (size_t i = 0; i < n; i++)
            if (s == 0 || changes[i].status == STORE_DONE)
                STEPS[s](&changes[i], arena);
}

void store_write_all(struct arena *arena, struct store_change *changes, size_t n)
{
    enum { AT_ONCE = 64 };
    /* An interrupt waits until the temporary files are gone or in their places. */
    sigset_t all, old;
    sigfillset(&all);
    sigprocmask(SIG_SETMASK, &all, &old);
    for (size_t i = 0; i < n; i += AT_ONCE)
        write_some(arena, changes + i, n - i < AT_ONCE ? n - i : AT_ONCE);
    sigprocmask(SIG_SETMASK, &old, NULL);
}

enum store_status store_write(const struct store_file *file, struct arena *arena, struct str bytes,
                              const char **why)
{
    struct store_change change = {.file = file, .bytes = bytes};
    store_write_all(arena, &change, 1);
    if (change.status != STORE_DONE)
        *why = change.why;
    return change.status;
}

bool store_stands(const struct store_change *change)
{
    return is_ours(change, change->file->target);
}

bool store_sync(const struct store_file *file, struct arena *arena, const char **why)
{
    if (sync_folder(file_folder(arena, file->target)))
        return true;
    *why = store_explain(arena, "cannot sync the folder of", file->path, errno);
    return false;
}
