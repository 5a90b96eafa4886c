#include "git.h"

#include <errno.h>
#include <stdint.h>
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

/* What is there, at most n bytes; 0 at the end, -1 when it cannot be read. */
static ssize_t read_some(int fd, char *bytes, size_t n)
{
    ssize_t got;
    do
        got = read(fd, bytes, n);
    while (got < 0 && errno == EINTR);
    return got;
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
        ssize_t got = read_some(fd, bytes + n, capacity - n);
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

/* A git that runs, and the end of the pipe that its output comes from. */
struct child {
    pid_t id;
    int output;
};

static bool start(struct child *child, const char *const *args, FILE *input, bool quiet)
{
    int ends[2];
    if (pipe(ends) != 0)
        return false;
    child->output = ends[0];
    child->id = fork();
    if (child->id == 0) {
        close(ends[0]);
        become_git(args, input == NULL ? -1 : fileno(input), ends[1], quiet);
    }
    close(ends[1]);
    if (child->id < 0)
        close(ends[0]);
    return child->id > 0;
}

/* Its exit status; -1 when it did not end by itself. */
static int finish(const struct child *child)
{
    int how = 0;
    close(child->output);
    return wait_for(child->id, &how) && WIFEXITED(how) ? WEXITSTATUS(how) : -1;
}

/* Runs git and takes its output. False when it could not be run or did not end well; *status is its
 * exit status then, -1 when there is none. */
static bool run(struct arena *arena, const char *const *args, bool quiet, struct str *output,
                int *status)
{
    struct child child;
    *status = -1;
    if (!start(&child, args, NULL, quiet))
        return false;
    bool got = read_pipe(arena, child.output, output);
    *status = finish(&child);
    return got && *status == 0;
}

static bool run_plain(struct arena *arena, const char *const *args, struct str *output,
                      const char **why)
{
    int status;
    if (run(arena, args, false, output, &status))
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
    if (!run(arena, VERIFY, true, &output, &status)) {
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

/* What comes from a pipe, by lines and by so many bytes. */
struct stream {
    int fd;
    size_t at, n;
    char bytes[65536];
};

static bool fill(struct stream *stream)
{
    ssize_t got = read_some(stream->fd, stream->bytes, sizeof stream->bytes);
    stream->at = 0;
    stream->n = got > 0 ? (size_t)got : 0;
    return got > 0;
}

/* A line without its end, at most size bytes of it. False when the stream ends before. */
static bool take_line(struct stream *stream, char *line, size_t size, struct str *taken)
{
    size_t n = 0;
    for (;;) {
        if (stream->at == stream->n && !fill(stream))
            return false;
        char c = stream->bytes[stream->at++];
        if (c == '\n')
            break;
        if (n < size)
            line[n++] = c;
    }
    *taken = (struct str){line, n};
    return true;
}

static bool take_bytes(struct stream *stream, char *to, size_t n)
{
    size_t there = stream->n - stream->at < n ? stream->n - stream->at : n;
    memcpy(to, stream->bytes + stream->at, there);
    stream->at += there;
    while (there < n) {
        ssize_t got = read_some(stream->fd, to + there, n - there);
        if (got <= 0)
            return false;
        there += (size_t)got;
    }
    return true;
}

static bool read_size(struct str digits, size_t *size)
{
    *size = 0;
    for (size_t i = 0; i < digits.n; i++) {
        if (digits.p[i] < '0' || digits.p[i] > '9' || *size > SIZE_MAX / 100)
            return false;
        *size = *size * 10 + (size_t)(digits.p[i] - '0');
    }
    return digits.n > 0;
}

/* `ID blob SIZE<LF>BYTES<LF>`. False when the answer is another. */
static bool take_blob(struct arena *arena, struct stream *stream, struct str id, struct str *text)
{
    char line[256];
    struct str head;
    size_t size;
    if (!take_line(stream, line, sizeof line, &head))
        return false;
    struct str got = str_split(&head, ' '), type = str_split(&head, ' ');
    if (head.p == NULL || !str_eq(got, id) || !str_is(type, "blob") || !read_size(head, &size))
        return false;
    char *bytes = arena_raw(arena, size + 1);
    *text = (struct str){bytes, size};
    return take_bytes(stream, bytes, size + 1) && bytes[size] == '\n';
}

static bool take_blobs(struct arena *arena, int fd, struct git_file **files, size_t n)
{
    struct stream stream;
    stream.fd = fd;
    stream.at = stream.n = 0;
    for (size_t i = 0; i < n; i++) {
        struct git_file *file = files[i];
        if (file->id.n > 0 && !take_blob(arena, &stream, file->id, &file->text))
            return false;
        if (file->old_id.n > 0 && !take_blob(arena, &stream, file->old_id, &file->old_text))
            return false;
    }
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
    static const char *const CAT[] = {"git", "cat-file", "--batch", "--buffer", NULL};
    struct child child;
    FILE *ids = write_ids(files, n);
    if (ids == NULL)
        return fail(why, "no place for a temporary file");
    bool started = start(&child, CAT, ids, false);
    fclose(ids);
    if (!started)
        return fail(why, "git cat-file could not be run");
    bool good = take_blobs(arena, child.output, files, n);
    int status = finish(&child);
    if (good && status == 0)
        return true;
    return fail(why, status == 0 ? "git cat-file answered oddly" : "git cat-file could not be run");
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
