#include "staged.h"

#include "file.h"

#include <stdlib.h>
#include <string.h>

static const char CELLAR[] = "cellar.yaml";

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

/* The length of the part of path that names the folder of a book: before "batches/" or "plant/", or
 * before "cellar.yaml". SIZE_MAX when the path is none of a book. */
static size_t book_part(const char *path)
{
    static const char *const FOLDERS[] = {"batches/", "plant/"};
    const char *base = base_name(path);
    if (strcmp(base, CELLAR) == 0)
        return (size_t)(base - path);
    if (!file_is_yaml(base))
        return SIZE_MAX;
    for (const char *at = path; at != NULL && at < base; at = strchr(at, '/')) {
        at += *at == '/';
        for (size_t i = 0; i < 2; i++)
            if (strncmp(at, FOLDERS[i], strlen(FOLDERS[i])) == 0)
                return (size_t)(at - path);
    }
    return SIZE_MAX;
}

/* Folders that begin with a dot are no part of a book. */
static bool is_hidden(const char *path, size_t from)
{
    for (const char *at = path + from; at != NULL; at = strchr(at, '/')) {
        at += *at == '/';
        if (*at == '.')
            return true;
    }
    return false;
}

static struct staged_book *book_of(struct staged *staged, const char *path, size_t n)
{
    for (size_t i = 0; i < staged->n; i++)
        if (strlen(staged->books[i].folder) == n && strncmp(staged->books[i].folder, path, n) == 0)
            return &staged->books[i];
    return NULL;
}

static bool is_deleted(const struct git_file *file)
{
    return file->id.n == 0;
}

static void report(const struct staged *staged, struct diags *diags, const struct git_file *file,
                   const char *message)
{
    struct source source = {str_of(git_shown_path(staged->arena, &staged->index, file->path)),
                            {"", 0}};
    diag_add(diags, (struct place){&source, 0, 0}, RULE_UNREADABLE, "%s", message);
}

/* The books that have changes. */
static void find_books(struct staged *staged)
{
    struct git_index *index = &staged->index;
    staged->books = arena_array(staged->arena, index->n + 1, sizeof *staged->books);
    for (size_t i = 0; i < index->n; i++) {
        const char *path = index->files[i].path;
        size_t n = book_part(path);
        if (!index->files[i].changed || n == SIZE_MAX || is_hidden(path, n) ||
            book_of(staged, path, n) != NULL)
            continue;
        staged->books[staged->n++] =
            (struct staged_book){.folder = arena_copy(staged->arena, path, n)};
    }
    for (size_t i = 0; i < staged->n; i++)
        staged->books[i].files =
            arena_array(staged->arena, index->n + 1, sizeof *staged->books[i].files);
}

static void sort_file(struct staged *staged, struct diags *diags, struct git_file *file)
{
    size_t n = book_part(file->path);
    struct staged_book *book = n == SIZE_MAX ? NULL : book_of(staged, file->path, n);
    if (book == NULL || is_hidden(file->path, n))
        return;
    if (file->unmerged && strcmp(base_name(file->path), CELLAR) == 0)
        book->in_conflict = true;
    if (file->unmerged)
        report(staged, diags, file, "is in conflict: finish the merge and git add it");
    else if (strcmp(base_name(file->path), CELLAR) != 0)
        book->files[book->n++] = file;
    else if (!is_deleted(file))
        book->cellar = file;
}

static bool read_blobs(struct staged *staged, const char **why)
{
    struct git_file **files = arena_array(staged->arena, staged->index.n + 1, sizeof *files);
    size_t n = 0;
    for (size_t i = 0; i < staged->n; i++) {
        if (staged->books[i].cellar != NULL)
            files[n++] = staged->books[i].cellar;
        for (size_t k = 0; k < staged->books[i].n; k++)
            files[n++] = staged->books[i].files[k];
    }
    return n == 0 || git_read_blobs(files, n, why);
}

/* Books without a cellar file are told and dropped; one that is deleted whole is no matter. */
static void drop_incomplete(struct staged *staged, struct diags *diags)
{
    size_t kept = 0;
    for (size_t i = 0; i < staged->n; i++) {
        struct staged_book *book = &staged->books[i];
        if (book->cellar != NULL) {
            staged->books[kept++] = *book;
            continue;
        }
        for (size_t k = 0; k < book->n && !book->in_conflict; k++)
            if (!is_deleted(book->files[k])) {
                report(staged, diags, book->files[k],
                       "the cellar.yaml of its book is not staged: git add it too");
                break;
            }
    }
    staged->n = kept;
}

bool staged_read(struct staged *staged, struct arena *arena, struct diags *diags, const char **why)
{
    *staged = (struct staged){.arena = arena};
    if (!git_read_index(arena, &staged->index, why))
        return false;
    find_books(staged);
    for (size_t i = 0; i < staged->index.n && staged->n > 0; i++)
        sort_file(staged, diags, &staged->index.files[i]);
    drop_incomplete(staged, diags);
    return read_blobs(staged, why);
}

static struct source source_of(const struct staged *staged, const struct git_file *file)
{
    return (struct source){str_of(git_shown_path(staged->arena, &staged->index, file->path)),
                           file->text};
}

bool staged_open(const struct staged *staged, size_t i, struct book *book, struct diags *diags,
                 const char *zone_folder)
{
    return book_open_source(book, staged->arena, diags, source_of(staged, staged->books[i].cellar),
                            zone_folder);
}

/* The numbers that a file had in the last commit. */
static void remove_old_numbers(struct check *check, const struct book *book, struct arena *scratch,
                               const struct git_file *file)
{
    struct diags silent;
    struct book quiet = *book;
    diag_init_silent(&silent, scratch);
    quiet.diags = &silent;
    if (file->old_text.n == 0)
        return;
    struct book_file *old =
        book_parse(&quiet, scratch, (struct source){str_of(file->path), file->old_text});
    for (size_t i = 0; i < old->batches.n; i++)
        if (old->batches.items[i]->number != NULL)
            check_remove(check, old->batches.items[i]->number->text);
}

void staged_check(const struct staged *staged, size_t i, struct check *check,
                  const struct book *book, struct arena *scratch)
{
    const struct staged_book *staged_book = &staged->books[i];
    bool all = staged_book->cellar->changed;
    if (all)
        check_cellar(check, book->cellar);
    for (size_t k = 0; k < staged_book->n; k++) {
        const struct git_file *file = staged_book->files[k];
        arena_reset(scratch);
        if (file->changed)
            remove_old_numbers(check, book, scratch, file);
        if ((all || file->changed) && !is_deleted(file))
            check_file(check, book, scratch, book_parse(book, scratch, source_of(staged, file)));
    }
    for (size_t k = 0; k < staged_book->n && !all; k++) {
        arena_reset(scratch);
        if (!staged_book->files[k]->changed)
            check_other(check, book, scratch, source_of(staged, staged_book->files[k]));
    }
}

struct str staged_text(const struct staged *staged, struct str name)
{
    for (size_t i = 0; i < staged->index.n; i++)
        if (str_is(name,
                   git_shown_path(staged->arena, &staged->index, staged->index.files[i].path)))
            return staged->index.files[i].text;
    return (struct str){"", 0};
}
