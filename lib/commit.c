#define _XOPEN_SOURCE 700 /* realpath */

#include "commit.h"

#include "outcome.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

/* Runs git in the book's folder, with bytes from input unless that is NULL. Its output is taken, or
 * goes to standard error when output is NULL. Returns its exit status, -1 when it could not be run.
 */
static int run_git_with(const struct commit *commit, const char *const *args, FILE *input,
                        struct str *output)
{
    enum { MOST_ARGS = 8 };
    size_t n = 0;
    while (args[n] != NULL)
        n++;
    const char **all = arena_array(commit->arena, n + MOST_ARGS, sizeof *all);
    size_t count = 0;
    all[count++] = "git";
    all[count++] = "-C";
    all[count++] = commit->folder[0] == '\0' ? "." : commit->folder;
    memcpy(all + count, args, (n + 1) * sizeof *all);
    int ends[2] = {-1, -1}, how;
    if (output != NULL && pipe(ends) != 0)
        return -1;
    pid_t child = fork();
    if (child == 0) {
        dup2(output != NULL ? ends[1] : STDERR_FILENO, STDOUT_FILENO);
        if (input != NULL)
            dup2(fileno(input), STDIN_FILENO);
        if (output != NULL) { /* a question: its complaints are told in our words */
            close(ends[0]);
            close(ends[1]);
            if (freopen("/dev/null", "w", stderr) == NULL)
                _exit(127);
        }
        execvp("git", (char *const *)(uintptr_t)all);
        _exit(127);
    }
    struct buf text = buf_new(commit->arena);
    if (output != NULL) {
        char chunk[4096];
        close(ends[1]);
        for (ssize_t got = 1; got > 0 || (got < 0 && errno == EINTR);) {
            got = read(ends[0], chunk, sizeof chunk);
            if (got > 0)
                buf_add(&text, (struct str){chunk, (size_t)got});
        }
        close(ends[0]);
        *output = buf_str(&text);
    }
    while (child > 0 && waitpid(child, &how, 0) < 0)
        if (errno != EINTR)
            return -1;
    return child > 0 && WIFEXITED(how) ? WEXITSTATUS(how) : -1;
}

static int run_git(const struct commit *commit, const char *const *args, struct str *output)
{
    return run_git_with(commit, args, NULL, output);
}

bool commit_begin(struct commit *commit, struct arena *arena, const char *folder, const char **why)
{
    struct str top;
    *commit = (struct commit){.arena = arena, .folder = folder};
    int status = run_git(commit, (const char *[]){"rev-parse", "--show-toplevel", NULL}, &top);
    if (status == 0)
        status = run_git(commit,
                         (const char *[]){"status", "--porcelain", "-z", "--no-renames",
                                          "--untracked-files=all", NULL},
                         &commit->changes);
    top = str_trim(top);
    commit->top = arena_copy(arena, top.p, top.n);
    if (status == 127)
        *why = "nothing was added: git is not installed, so there can be no commit";
    else if (status != 0)
        *why = "nothing was added: git does not keep this book, so there can be no commit";
    return status == 0;
}

/* The path of a file from the top of the repository; NULL when it lies elsewhere. */
static const char *path_from_top(const struct commit *commit, const char *path)
{
    char *real = realpath(path, NULL);
    size_t n = strlen(commit->top);
    const char *from_top = NULL;
    if (real != NULL && strncmp(real, commit->top, n) == 0 && real[n] == '/')
        from_top = arena_copy(commit->arena, real + n + 1, strlen(real + n + 1));
    free(real);
    return from_top;
}

/* What git told of a file, "XY": how it is changed in the index and in the work tree. NULL: not. */
static const char *change_of(const struct commit *commit, const char *path)
{
    enum { FLAGS = 3 }; /* "XY " */
    struct str rest = commit->changes;
    while (path != NULL && rest.p != NULL && rest.n > 0) {
        struct str change = str_split(&rest, '\0');
        if (change.n > FLAGS && str_is(str_cut(change, FLAGS, change.n), path))
            return change.p;
    }
    return NULL;
}

static bool has_staged(const struct commit *commit)
{
    struct str rest = commit->changes;
    while (rest.p != NULL && rest.n > 0) {
        struct str change = str_split(&rest, '\0');
        if (change.n > 0 && strchr(" ?!", change.p[0]) == NULL)
            return true;
    }
    return false;
}

bool commit_is_clean(const struct commit *commit, const char *path)
{
    const char *from_top = path_from_top(commit, path);
    return from_top != NULL && change_of(commit, from_top) == NULL;
}

bool commit_last(const struct commit *commit, const char *path, struct str *bytes, const char **why)
{
    const char *from_top = path_from_top(commit, path), *change = change_of(commit, from_top);
    struct buf name = buf_new(commit->arena);
    *why = NULL;
    if (from_top == NULL)
        *why = "it lies outside of the repository";
    else if (change[0] == '?')
        *why = "it was new to git before: commit all of it yourself";
    else if (has_staged(commit))
        *why = "it had changes before, and something is staged: commit that first, then this file";
    if (*why != NULL)
        return false;
    buf_printf(&name, "HEAD:%s", from_top);
    if (run_git(commit, (const char *[]){"cat-file", "blob", name.p, NULL}, bytes) != 0)
        *why = "git does not give its last state";
    return *why == NULL;
}

static bool is_named_before(const struct entry_list *list, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (list->items[k]->state == ENTRY_ADDED &&
            str_eq(entry_name(list->items[k]), entry_name(list->items[i])))
            return true;
    return false;
}

/* "Add readings of 25 Nov: FV1, FV3, BT1", and a line for each. */
static const char *message_of(const struct commit *commit, const struct entry_list *list,
                              const struct civil_zone *zone)
{
    enum { WIDEST = 40, MOST_LINES = 400 };
    struct buf names = buf_new(commit->arena), text = buf_new(commit->arena);
    char first[CIVIL_SHORT_SIZE] = "";
    bool one_day = true, more = false;
    struct buf lines = buf_new(commit->arena);
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        const struct entry *entry = list->items[i];
        char day[CIVIL_SHORT_SIZE];
        if (entry->state != ENTRY_ADDED)
            continue;
        struct str line = outcome_line(commit->arena, entry, zone), name = entry_name(entry);
        bool fits = names.n + name.n < WIDEST;
        if (fits && !is_named_before(list, i))
            buf_printf(&names, "%s" STR_FMT, names.n > 0 ? ", " : " ", STR_ARG(name));
        more = more || (!fits && !is_named_before(list, i));
        civil_short_date(civil_day(zone, entry->at), day);
        one_day = one_day && (first[0] == '\0' || strcmp(first, day) == 0);
        memcpy(first, day, sizeof first);
        if (n++ < MOST_LINES)
            buf_printf(&lines, STR_FMT "\n", STR_ARG(line));
    }
    buf_printf(&text, "Add readings");
    if (one_day)
        buf_printf(&text, " of %s", first + strlen("Wed "));
    buf_printf(&text, ":" STR_FMT "%s\n\n", STR_ARG(buf_str(&names)), more ? ", ..." : "");
    buf_add(&text, buf_str(&lines));
    if (n > MOST_LINES)
        buf_printf(&text, "and %zu more\n", n - MOST_LINES);
    return text.p;
}

/* Puts bytes into the index under a path from the top, with the mode that the path has. */
static bool stage(const struct commit *commit, const char *from_top, struct str bytes)
{
    struct str id, entry;
    struct buf rooted = buf_new(commit->arena), info = buf_new(commit->arena);
    FILE *input = tmpfile();
    bool good =
        input != NULL && fwrite(bytes.p, 1, bytes.n, input) == bytes.n && fflush(input) == 0 &&
        fseek(input, 0, SEEK_SET) == 0 &&
        run_git_with(commit, (const char *[]){"hash-object", "-w", "--stdin", "--no-filters", NULL},
                     input, &id) == 0;
    if (input != NULL)
        fclose(input);
    buf_printf(&rooted, ":(top,literal)%s", from_top);
    good = good &&
           run_git(commit, (const char *[]){"ls-files", "-s", "--", rooted.p, NULL}, &entry) == 0;
    if (!good)
        return false;
    struct str mode = str_split(&entry, ' ');
    id = str_trim(id);
    buf_printf(&info, STR_FMT "," STR_FMT ",%s", STR_ARG(mode), STR_ARG(id), from_top);
    return run_git(commit, (const char *[]){"update-index", "--cacheinfo", info.p, NULL}, NULL) ==
           0;
}

bool commit_added(const struct commit *commit, const struct commit_file *files, size_t count,
                  const struct entry_list *list, const struct civil_zone *zone, const char **why)
{
    const char **add = arena_array(commit->arena, count + 4, sizeof *add);
    const char **args = arena_array(commit->arena, count + 8, sizeof *args);
    size_t n = 0, k = 0;
    bool good = true, partly = false;
    if (count == 0)
        return true;
    add[n++] = "add";
    add[n++] = "--";
    for (size_t i = 0; i < count; i++)
        partly = partly || files[i].partly;
    args[k++] = "commit";
    args[k++] = "--quiet";
    args[k++] = "-m";
    args[k++] = message_of(commit, list, zone);
    if (!partly)
        args[k++] = "--"; /* just these files; else the index, in which nothing else was staged */
    for (size_t i = 0; i < count && good; i++) {
        const char *path = path_from_top(commit, files[i].path);
        struct buf rooted = buf_new(commit->arena);
        buf_printf(&rooted, ":(top,literal)%s", path == NULL ? "" : path);
        if (files[i].partly)
            good = stage(commit, path, files[i].bytes);
        else
            add[n++] = rooted.p;
        if (!partly)
            args[k++] = rooted.p;
    }
    good = good && (n == 2 || run_git(commit, add, NULL) == 0) && run_git(commit, args, NULL) == 0;
    if (!good && partly)
        run_git(commit, (const char *[]){"reset", "--quiet", NULL}, NULL);
    if (!good)
        *why = "added, but not committed: git refused, see above";
    return good;
}
