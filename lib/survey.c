#include "survey.h"

#include "crew.h"
#include "file.h"

#include <string.h>
#include <sys/stat.h>

enum { MOST_DEPTH = 32 }; /* of folders between a file and the batches */

void survey_begin(struct survey *survey, struct arena *arena)
{
    survey->arena = arena;
    arena_init(&survey->scratch, arena->exhausted, arena->context);
    arena_init(&survey->shown, arena->exhausted, arena->context);
}

void survey_end(struct survey *survey)
{
    arena_free(&survey->scratch);
    arena_free(&survey->shown);
}

static bool open_check(struct survey *survey, struct book *book)
{
    int64_t now;
    if (!survey->opened(survey->context, book, &now))
        return false;
    survey->book = book;
    check_begin(&survey->check, book->cellar, book->diags, survey->arena, now);
    return true;
}

static void check_path(struct survey *survey, const char *path)
{
    arena_reset(&survey->scratch);
    struct book_file *file = book_load(survey->book, &survey->scratch, path);
    check_file(&survey->check, survey->book, &survey->scratch, file);
}

/* What one thread finds in its share of the files. */
struct share {
    struct book book; /* that of the survey, with findings of its own */
    struct check check;
    struct diags diags;
};

static void *begin_share(void *context, struct arena *arena)
{
    const struct survey *survey = context;
    struct share *share = arena_alloc(arena, sizeof *share);
    share->book = *survey->book;
    share->book.diags = &share->diags;
    diag_init_like(&share->diags, arena, survey->book->diags);
    check_begin(&share->check, survey->check.cellar, &share->diags, arena, survey->check.now);
    return share;
}

static void add_to_share(void *context, void *outcome, struct arena *scratch, const char *path)
{
    struct share *share = outcome;
    (void)context;
    check_file(&share->check, &share->book, scratch, book_load(&share->book, scratch, path));
}

static void take_share(void *context, void *outcome)
{
    struct survey *survey = context;
    struct share *share = outcome;
    diag_append(survey->book->diags, &share->diags);
    check_join(&survey->check, &share->check);
}

static void check_paths(struct survey *survey, struct file_list list)
{
    const struct crew_job job = {begin_share, add_to_share, take_share, survey};
    crew_work(&job, survey->arena, list.paths, list.n, survey->threads);
}

bool survey_book(struct survey *survey, struct book *book)
{
    if (!open_check(survey, book))
        return false;
    check_cellar(&survey->check, book->cellar);
    check_paths(survey, book_batches(book));
    check_paths(survey, book_plants(book));
    check_end(&survey->check);
    return true;
}

/* Kept, since its lines cannot be read again. */
static void check_input(struct survey *survey)
{
    struct arena *arena = survey->arena;
    if (!file_read(arena, "-", &survey->input, survey->book->diags))
        return;
    if (survey->name != NULL)
        survey->input.name = str_of(survey->name);
    struct book_file *file = book_parse(survey->book, arena, survey->input);
    check_file(&survey->check, survey->book, arena, file);
}

static bool is_same_file(const struct stat *a, const struct stat *b)
{
    return a->st_ino == b->st_ino && a->st_dev == b->st_dev;
}

struct given {
    struct stat *items;
    size_t n;
};

static void give(struct given *given, const char *path)
{
    if (path != NULL && strcmp(path, "-") != 0 && stat(path, &given->items[given->n]) == 0)
        given->n++;
}

static bool is_given(const struct given *given, const char *path)
{
    struct stat info;
    if (stat(path, &info) != 0)
        return false;
    for (size_t i = 0; i < given->n; i++)
        if (is_same_file(&given->items[i], &info))
            return true;
    return false;
}

/* True when a path, there or not yet, lies below the batches of the book. What lies elsewhere, or
 * has no name, is another state of a batch that the book may have. */
static bool is_in_book(const struct survey *survey, const char *path)
{
    struct arena *arena = survey->arena;
    struct stat batches, above;
    if (path == NULL || stat(file_join(arena, survey->book->folder, "batches"), &batches) != 0)
        return false;
    const char *folder = file_folder(arena, path);
    while (folder[0] != '\0' && stat(folder, &above) != 0)
        folder = file_folder(arena, folder);
    for (int depth = 0; depth < MOST_DEPTH; depth++) {
        if (stat(folder[0] == '\0' ? "." : folder, &above) != 0)
            return false;
        if (is_same_file(&above, &batches))
            return true;
        folder = file_join(arena, folder, "..");
    }
    return false;
}

static void check_given(struct survey *survey, const char *path)
{
    struct stat info, cellar;
    survey->check.replaces = !is_in_book(survey, strcmp(path, "-") == 0 ? survey->name : path);
    if (strcmp(path, "-") == 0)
        check_input(survey);
    else if (stat(path, &info) == 0 && stat(survey->book->cellar_path, &cellar) == 0 &&
             is_same_file(&info, &cellar))
        check_cellar(&survey->check, survey->book->cellar);
    else
        check_path(survey, path);
}

static void check_others(struct survey *survey, const struct given *given)
{
    struct file_list list = book_batches(survey->book);
    for (size_t i = 0; i < list.n; i++) {
        struct source source;
        struct diags silent;
        arena_reset(&survey->scratch);
        diag_init_silent(&silent, &survey->scratch);
        if (!is_given(given, list.paths[i]) &&
            file_read(&survey->scratch, list.paths[i], &source, &silent))
            check_other(&survey->check, survey->book, &survey->scratch, source);
    }
}

bool survey_files(struct survey *survey, struct book *book, const char *const *paths, size_t n)
{
    struct given given = {arena_array(survey->arena, n + 1, sizeof *given.items), 0};
    if (!open_check(survey, book))
        return false;
    give(&given, survey->name);
    for (size_t i = 0; i < n; i++) {
        give(&given, paths[i]);
        check_given(survey, paths[i]);
    }
    check_others(survey, &given);
    check_end(&survey->check);
    return true;
}

/* Each book has findings of its own until its end, since it has levels of its own. */
static bool check_staged(struct survey *survey, size_t i, struct diags *all,
                         const char *zone_folder)
{
    struct book book;
    struct diags diags;
    diag_init(&diags, survey->arena);
    if (staged_open(&survey->staged, i, &book, &diags, zone_folder)) {
        if (!open_check(survey, &book))
            return false;
        staged_check(&survey->staged, i, &survey->check, &book, &survey->scratch);
        check_end(&survey->check);
    }
    diag_append(all, &diags);
    return true;
}

bool survey_staged(struct survey *survey, struct diags *diags, const char *zone_folder,
                   const char **why)
{
    survey->is_staged = true;
    if (!staged_read(&survey->staged, survey->arena, diags, why))
        return false;
    *why = NULL;
    bool good = true;
    for (size_t i = 0; i < survey->staged.n && good; i++)
        good = check_staged(survey, i, diags, zone_folder);
    return good;
}

struct str survey_text(void *context, struct str name)
{
    struct survey *survey = context;
    struct diags silent;
    struct source source;
    if (survey->is_staged)
        return staged_text(&survey->staged, name);
    if (str_eq(name, survey->input.name))
        return survey->input.text;
    arena_reset(&survey->shown);
    diag_init_silent(&silent, &survey->shown);
    file_read(&survey->shown, arena_copy(&survey->shown, name.p, name.n), &source, &silent);
    return source.text;
}
