#include "git.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

static bool fail(const char **why, const char *what)
{
    *why = what;
    return false;
}

/* In the child: becomes git, with input from a file and output to a pipe. */
static void become_git(const char *const *args, int input, int output, bool quiet)
{
    if (input >= 0)
        dup2(input, STDIN_FILENO);
    dup2(output, STDOUT_FILENO);
    close(output);
    if (quiet)
        close(STDERR_FILENO);
    execvp("git", (char *const *)(uintptr_t)args);
    _exit(127);
}

static bool read_pipe(struct arena *arena, int fd, struct str *output)
{
    size_t capacity = 65536, n = 0;
    char *bytes = arena_raw(arena, capacity);
    for (;;) {
        if (n == capacity) {
            char *larger = arena_raw(arena, capacity * 2);
            memcpy(larger, bytes, n);
            bytes = larger;
            capacity *= 2;
        }
        ssize_t got = read(fd, bytes + n, capacity - n);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return false;
        if (got == 0)
            break;
        n += (size_t)got;
    }
    *output = (struct str){bytes, n};
    return true;
}

static bool wait_for(pid_t child, int *status)
{
    while (waitpid(child, status, 0) < 0)
        if (errno != EINTR)
            return false;
    return true;
}

/* Runs git and takes its output. False when it could not be run or did not end well; *status is its
 * exit status then, -1 when there is none. */
static bool run(struct arena *arena, const char *const *args, FILE *input, bool quiet,
                struct str *output, int *status)
{
    int ends[2], how = 0;
    *status = -1;
    if (pipe(ends) != 0)
        return false;
    pid_t child = fork();
    if (child == 0) {
        close(ends[0]);
        become_git(args, input == NULL ? -1 : fileno(input), ends[1], quiet);
    }
    close(ends[1]);
    bool got = child > 0 && read_pipe(arena, ends[0], output);
    close(ends[0]);
    if (child < 0 || !wait_for(child, &how))
        return false;
    if (WIFEXITED(how))
        *status = WEXITSTATUS(how);
    return got && *status == 0;
}

static bool run_plain(struct arena *arena, const char *const *args, struct str *output,
                      const char **why)
{
    int status;
    if (run(arena, args, NULL, false, output, &status))
        return true;
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
    qsort(index->files, index->n, sizeof *index->files, compare_files);
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
    qsort(files, n, sizeof *files, compare_files);
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
    if (!run(arena, VERIFY, NULL, true, &output, &status)) {
        for (size_t i = 0; i < index->n; i++)
            index->files[i].changed = true;
        return status == 1 || status == 128 || fail(why, "git could not be run");
    }
    if (!run_plain(arena, DIFF, &output, why))
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
    if (!run_plain(arena, PREFIX, &output, why))
        return false;
    output = without_newline(output);
    index->prefix = arena_copy(arena, output.p, output.n);
    if (!run_plain(arena, LIST, &output, why))
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

/* The ids wanted, one a line, in a file: a pipe could fill up while git waits for us to read. */
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

bool git_read_blobs(struct arena *arena, struct git_file **files, size_t n, const char **why)
{
    static const char *const CAT[] = {"git", "cat-file", "--batch", NULL};
    struct str rest;
    int status;
    FILE *ids = write_ids(files, n);
    if (ids == NULL)
        return fail(why, "no place for a temporary file");
    bool good = run(arena, CAT, ids, false, &rest, &status);
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
