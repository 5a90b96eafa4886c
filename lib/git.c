#include "git.h"

#include <errno.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

static bool fail(const char **why, const char *what)
{
    *why = what;
    return false;
}

static bool wait_for(pid_t child, int *status)
{
    while (waitpid(child, status, 0) < 0)
        if (errno != EINTR)
            return false;
    return true;
}

/* Runs git with input from a file (NULL: ours) and output into one. Gives its exit status, 127 when
 * it is not there, -1 when it could not be run or did not end by itself. */
static int spawn(const char *const *args, FILE *input, FILE *output, bool quiet)
{
    posix_spawn_file_actions_t actions;
    pid_t child;
    int how = 0;
    if (posix_spawn_file_actions_init(&actions) != 0)
        return -1;
    bool ready = (input == NULL ||
                  posix_spawn_file_actions_adddup2(&actions, fileno(input), STDIN_FILENO) == 0) &&
                 posix_spawn_file_actions_adddup2(&actions, fileno(output), STDOUT_FILENO) == 0 &&
                 (!quiet || posix_spawn_file_actions_addclose(&actions, STDERR_FILENO) == 0);
    int error =
        ready ? posix_spawnp(&child, "git", &actions, NULL, (char *const *)(uintptr_t)args, environ)
              : ENOMEM;
    posix_spawn_file_actions_destroy(&actions);
    if (error != 0)
        return error == ENOENT ? 127 : -1;
    return wait_for(child, &how) && WIFEXITED(how) ? WEXITSTATUS(how) : -1;
}

/* What was written into a file. It stays mapped, as an arena's memory stays. */
static bool map(FILE *file, struct str *text)
{
    struct stat info;
    *text = (struct str){"", 0};
    if (fstat(fileno(file), &info) != 0)
        return false;
    if (info.st_size <= 0)
        return true;
    void *bytes = mmap(NULL, (size_t)info.st_size, PROT_READ, MAP_PRIVATE, fileno(file), 0);
    if (bytes == MAP_FAILED)
        return false;
    *text = (struct str){bytes, (size_t)info.st_size};
    return true;
}

/* Runs git and takes its output: from a file, since git then never waits for us, nor we for it
 * piece by piece. False when it could not be run or did not end well; *status is its exit status
 * then, -1 when there is none. */
static bool run(const char *const *args, FILE *input, bool quiet, struct str *output, int *status)
{
    *status = -1;
    FILE *file = tmpfile();
    if (file == NULL)
        return false;
    *status = spawn(args, input, file, quiet);
    bool good = *status == 0 && map(file, output);
    fclose(file);
    return good;
}

static bool run_plain(const char *const *args, struct str *output, const char **why)
{
    int status;
    if (run(args, NULL, false, output, &status))
        return true;
    if (status < 0)
        return fail(why, "git could not be run, or there is no place for a temporary file");
    return fail(why, status == 127 ? "git is not installed" : "git could not tell what is staged");
}

static struct str without_newline(struct str s)
{
    return s.n > 0 && s.p[s.n - 1] == '\n' ? str_cut(s, 0, s.n - 1) : s;
}

static int compare_files(const void *left, const void *right)
{
    const struct git_file *a = left, *b = right;
    return strcmp(a->path, b->path);
}

/* git lists the index by path, in most books just so. */
static void sort_files(struct git_file *files, size_t n)
{
    size_t i = 1;
    while (i < n && compare_files(&files[i - 1], &files[i]) <= 0)
        i++;
    if (i < n)
        qsort(files, n, sizeof *files, compare_files);
}

/* Takes the text before the next NUL. */
static bool take(struct str *rest, struct str *field)
{
    if (rest->p == NULL || rest->n == 0)
        return false;
    *field = str_split(rest, '\0');
    return true;
}

static size_t count(struct str text, char c)
{
    size_t n = 0;
    for (size_t i = 0; i < text.n; i++)
        n += text.p[i] == c;
    return n;
}

/* `100644 ID STAGE<TAB>PATH` each. */
static bool read_entries(struct arena *arena, struct git_index *index, struct str list)
{
    struct str entry;
    index->files = arena_array(arena, count(list, '\0') + 1, sizeof *index->files);
    while (take(&list, &entry)) {
        struct str path = entry, head = str_split(&path, '\t');
        struct str mode = str_split(&head, ' '), id = str_split(&head, ' ');
        if (path.p == NULL || head.p == NULL)
            return false;
        if (!str_starts(mode, "100"))
            continue;
        struct git_file *last = index->n > 0 ? &index->files[index->n - 1] : NULL;
        if (!str_is(head, "0")) { /* stages 1 to 3 of one path follow each other */
            if (last != NULL && last->unmerged && str_is(path, last->path))
                continue;
            id = (struct str){"", 0};
        }
        /* an entry for each NUL was allocated: */
        /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference) */
        index->files[index->n++] = (struct git_file){
            .path = arena_copy(arena, path.p, path.n),
            .id = id,
            .unmerged = !str_is(head, "0"),
        };
    }
    sort_files(index->files, index->n);
    return true;
}

static struct git_file *find(const struct git_index *index, const char *path)
{
    const struct git_file wanted = {.path = path};
    return index->n == 0
               ? NULL
               : bsearch(&wanted, index->files, index->n, sizeof *index->files, compare_files);
}

/* `:100644 100644 OLD NEW M` and the path, each; deleted files are added behind the others. */
static bool mark_changes(struct arena *arena, struct git_index *index, struct str list)
{
    struct git_file *files = arena_array(arena, index->n + count(list, '\0') + 1, sizeof *files);
    size_t n = index->n;
    memcpy(files, index->files, n * sizeof *files);
    index->files = files;
    struct str head, path;
    while (take(&list, &head)) {
        if (!take(&list, &path))
            return false;
        struct str old_mode = str_split(&head, ' ');
        str_split(&head, ' ');
        struct str old_id = str_split(&head, ' ');
        if (!str_starts(old_mode, ":100"))
            old_id = (struct str){"", 0};
        const char *name = arena_copy(arena, path.p, path.n);
        struct git_file *file = find(index, name);
        if (file == NULL)
            files[n++] = (struct git_file){.path = name, .old_id = old_id, .changed = true};
        else
            file->changed = true, file->old_id = old_id;
    }
    index->n = n;
    sort_files(files, n);
    return true;
}

static bool read_changes(struct arena *arena, struct git_index *index, const char **why)
{
    static const char *const VERIFY[] = {"git", "rev-parse", "--verify", "--quiet", "HEAD", NULL};
    static const char *const DIFF[] = {"git",
                                       "-c",
                                       "diff.relative=false",
                                       "diff-index",
                                       "--cached",
                                       "-z",
                                       "--no-renames",
                                       "--ignore-submodules",
                                       "--no-abbrev",
                                       "HEAD",
                                       "--",
                                       NULL};
    struct str output;
    int status;
    if (!run(VERIFY, NULL, true, &output, &status)) {
        for (size_t i = 0; i < index->n; i++)
            index->files[i].changed = true;
        return status == 1 || status == 128 || fail(why, "git could not be run");
    }
    if (!run_plain(DIFF, &output, why))
        return false;
    return mark_changes(arena, index, output) || fail(why, "git diff-index answered oddly");
}

bool git_read_index(struct arena *arena, struct git_index *index, const char **why)
{
    static const char *const PREFIX[] = {"git", "rev-parse", "--show-prefix", NULL};
    static const char *const LIST[] = {"git",         "ls-files", "-s", "-z",
                                       "--full-name", "--",       ":/", NULL};
    struct str output;
    *index = (struct git_index){NULL, 0, ""};
    if (!run_plain(PREFIX, &output, why))
        return false;
    output = without_newline(output);
    index->prefix = arena_copy(arena, output.p, output.n);
    if (!run_plain(LIST, &output, why))
        return false;
    if (!read_entries(arena, index, output))
        return fail(why, "git ls-files answered oddly");
    return read_changes(arena, index, why);
}

/* `ID blob SIZE<LF>BYTES<LF>`. False when the answer is another. */
static bool take_blob(struct str *rest, struct str id, struct str *text)
{
    struct str head = str_split(rest, '\n');
    struct str got = str_split(&head, ' '), type = str_split(&head, ' ');
    if (rest->p == NULL || !str_eq(got, id) || !str_is(type, "blob"))
        return false;
    size_t size = 0;
    for (size_t i = 0; i < head.n; i++) {
        if (head.p[i] < '0' || head.p[i] > '9' || size > rest->n)
            return false;
        size = size * 10 + (size_t)(head.p[i] - '0');
    }
    if (size + 1 > rest->n)
        return false;
    *text = str_cut(*rest, 0, size);
    *rest = str_cut(*rest, size + 1, rest->n);
    return true;
}

/* The ids wanted, one a line, in a file. */
static FILE *write_ids(struct git_file *const *files, size_t n)
{
    FILE *ids = tmpfile();
    if (ids == NULL)
        return NULL;
    for (size_t i = 0; i < n; i++) {
        const struct str both[] = {files[i]->id, files[i]->old_id};
        for (size_t k = 0; k < 2; k++)
            if (both[k].n > 0)
                fprintf(ids, STR_FMT "\n", STR_ARG(both[k]));
    }
    if (fflush(ids) != 0 || fseek(ids, 0, SEEK_SET) != 0) {
        fclose(ids);
        return NULL;
    }
    return ids;
}

bool git_read_blobs(struct git_file **files, size_t n, const char **why)
{
    static const char *const CAT[] = {"git", "cat-file", "--batch", "--buffer", NULL};
    struct str rest;
    int status;
    FILE *ids = write_ids(files, n);
    if (ids == NULL)
        return fail(why, "no place for a temporary file");
    bool good = run(CAT, ids, false, &rest, &status);
    fclose(ids);
    if (!good)
        return fail(why, "git cat-file could not be run");
    for (size_t i = 0; i < n; i++) {
        if (files[i]->id.n > 0 && !take_blob(&rest, files[i]->id, &files[i]->text))
            return fail(why, "git cat-file answered oddly");
        if (files[i]->old_id.n > 0 && !take_blob(&rest, files[i]->old_id, &files[i]->old_text))
            return fail(why, "git cat-file answered oddly");
    }
    return true;
}

const char *git_shown_path(struct arena *arena, const struct git_index *index, const char *path)
{
    size_t n = strlen(index->prefix);
    if (strncmp(path, index->prefix, n) == 0)
        return path + n;
    struct buf shown = buf_new(arena);
    for (size_t i = 0; i < n; i++)
        if (index->prefix[i] == '/')
            buf_add(&shown, STR("../"));
    buf_add(&shown, str_of(path));
    return shown.p;
}
