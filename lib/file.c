/* The name is the C library's own.
 * NOLINTNEXTLINE(bugprone-reserved-identifier,cert-dcl37-c,cert-dcl51-cpp) */
#define _DEFAULT_SOURCE /* what a folder says of its entries */

#include "file.h"

#include "chain.h"
#include "order.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool fail(struct source *source, struct diags *diags, const char *why)
{
    diag_add(diags, (struct place){source, 0, 0}, RULE_UNREADABLE, "%s", why);
    return false;
}

/* The bytes that are to come, where the system knows; else 0. */
static size_t known_size(const struct stat *info)
{
    return S_ISREG(info->st_mode) && info->st_size > 0 ? (size_t)info->st_size : 0;
}

/* What read() gives once there is something. A pipe is opened so that it does not wait for somebody
 * to write to it; when somebody does, it is waited for. */
static ssize_t read_some(int fd, char *bytes, size_t n)
{
    for (;;) {
        ssize_t got = read(fd, bytes, n);
        if (got >= 0 || (errno != EINTR && errno != EAGAIN))
            return got;
        if (errno == EAGAIN) {
            int flags = fcntl(fd, F_GETFL);
            if (flags < 0 || !(flags & O_NONBLOCK) || fcntl(fd, F_SETFL, flags & ~O_NONBLOCK) < 0)
                return -1;
        }
    }
}

/* A file of known size is done when so much is there: nothing asks for its end. */
static bool read_all(struct arena *arena, int fd, size_t known, struct source *source,
                     struct diags *diags)
{
    if (known > SOURCE_MOST_BYTES)
        return fail(source, diags, "is over 512 MiB: no gyle book needs that");
    size_t capacity = known > 0 ? known + 2 : 4096, n = 0;
    char *bytes = arena_raw(arena, capacity);
    while (known == 0 || n != known) {
        if (n > SOURCE_MOST_BYTES)
            return fail(source, diags, "is over 512 MiB: no gyle book needs that");
        if (n + 1 >= capacity) {
            char *larger = arena_raw(arena, capacity * 2 + 4096);
            memcpy(larger, bytes, n);
            capacity = capacity * 2 + 4096;
            bytes = larger;
        }
        ssize_t got = read_some(fd, bytes + n, capacity - 1 - n);
        if (got < 0)
            return fail(source, diags, strerror(errno));
        if (got == 0)
            break;
        n += (size_t)got;
    }
    bytes[n] = '\0';
    source->text = (struct str){bytes, n};
    return true;
}

static bool read_open(struct arena *arena, int fd, struct source *source, struct diags *diags)
{
    struct stat info;
    if (fstat(fd, &info) != 0)
        return fail(source, diags, strerror(errno));
    if (S_ISDIR(info.st_mode))
        return fail(source, diags, "is a folder, not a file");
    if (!read_all(arena, fd, known_size(&info), source, diags))
        return false;
    if (S_ISFIFO(info.st_mode) && source->text.n == 0 && fd != STDIN_FILENO)
        return fail(source, diags, "is a pipe, and nobody writes to it");
    return true;
}

bool file_read(struct arena *arena, const char *path, struct source *source, struct diags *diags)
{
    bool standard_input = strcmp(path, "-") == 0;
    *source = (struct source){str_of(standard_input ? "standard input" : path), {"", 0}};
    int fd =
        standard_input ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0)
        return fail(source, diags, strerror(errno));
    bool done = read_open(arena, fd, source, diags);
    if (!standard_input)
        close(fd);
    return done;
}

bool file_exists(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0;
}

const char *file_join(struct arena *arena, const char *folder, const char *name)
{
    size_t n = strcmp(folder, ".") == 0 ? 0 : strlen(folder), rest = strlen(name);
    bool slash = n > 0 && folder[n - 1] != '/';
    char *path = arena_raw(arena, n + slash + rest + 1);
    if (n > 0)
        memcpy(path, folder, n);
    if (slash)
        path[n] = '/';
    memcpy(path + n + slash, name, rest);
    path[n + slash + rest] = '\0';
    return path;
}

const char *file_folder(struct arena *arena, const char *path)
{
    const char *slash = strrchr(path, '/');
    if (slash == NULL)
        return "";
    return arena_copy(arena, path, slash == path ? 1 : (size_t)(slash - path));
}

bool file_is_yaml(const char *name)
{
    return name[0] != '.' && name[0] != '#' && str_ends(str_of(name), ".yaml");
}

static int compare_paths(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

static void add_path(struct arena *arena, struct chain *found, const char *path)
{
    const char **added = chain_add(found, arena, sizeof *added);
    *added = path;
}

/* Puts what was found behind the paths of a list. */
static void append(struct arena *arena, struct file_list *list, const struct chain *found)
{
    if (list->capacity - list->n < found->n) {
        const char **larger = arena_array(arena, list->n + found->n, sizeof *larger);
        if (list->n > 0)
            memcpy(larger, list->paths, list->n * sizeof *larger);
        list->paths = larger;
        list->capacity = list->n + found->n;
    }
    const char **path;
    for (struct chain_walk at = chain_begin(found); (path = chain_next(&at, sizeof *path)) != NULL;)
        list->paths[list->n++] = *path;
}

static void report_path(const char *path, struct diags *diags)
{
    struct source source = {str_of(path), {"", 0}};
    fail(&source, diags, strerror(errno));
}

/* True where the folder itself says that it is a file: then nobody else need be asked. */
static bool is_said_file(const struct dirent *entry)
{
#ifdef DT_REG
    return entry->d_type == DT_REG;
#else
    (void)entry;
    return false;
#endif
}

static void walk(struct arena *arena, const char *folder, struct chain *found, struct diags *diags,
                 int depth)
{
    enum { DEEPEST = 16 };
    DIR *dir = opendir(folder);
    if (dir == NULL) {
        if (errno != ENOENT)
            report_path(folder, diags);
        return;
    }
    for (;;) {
        struct stat info;
        errno = 0;
        struct dirent *entry = readdir(dir);
        if (entry == NULL)
            break;
        if (entry->d_name[0] == '.')
            continue;
        const char *path = file_join(arena, folder, entry->d_name);
        bool yaml = file_is_yaml(entry->d_name);
        if (yaml && is_said_file(entry)) {
            add_path(arena, found, path);
            continue;
        }
        bool there = stat(path, &info) == 0;
        if (!there && !yaml && errno != ENOENT)
            report_path(path, diags); /* perhaps a folder of the book */
        if (yaml && !(there && S_ISDIR(info.st_mode)))
            add_path(arena, found, path);
        else if (depth < DEEPEST && there && S_ISDIR(info.st_mode))
            walk(arena, path, found, diags, depth + 1);
    }
    if (errno != 0)
        report_path(folder, diags);
    closedir(dir);
}

void file_walk(struct arena *arena, const char *folder, struct file_list *list, struct diags *diags)
{
    size_t before = list->n;
    struct chain found = {NULL, NULL, 0};
    walk(arena, folder, &found, diags, 0);
    append(arena, list, &found);
    order_sort(list->paths + before, list->n - before, sizeof *list->paths, compare_paths);
}
