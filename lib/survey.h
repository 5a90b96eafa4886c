/*
 * A check from its first file to its last: of a whole book, of the files that are given, which the
 * rest of their book must not contradict, or of the books of which git would commit something.
 */
#ifndef GYLE_SURVEY_H
#define GYLE_SURVEY_H

#include "arena.h"
#include "book.h"
#include "check.h"
#include "diag.h"
#include "staged.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct survey {
    const char *name; /* the name of the file that standard input stands for, or NULL */
    size_t threads;   /* that read the files of a whole book; 0 is taken for 1 */

    /* Called for each book that is open, before its files are checked: tells what counts as now
     * there, and may set levels of rules in its diags. False: the survey ends. */
    bool (*opened)(void *context, const struct book *book, int64_t *now);
    void *context;

    /* The module's own. */
    struct arena *arena;
    struct book *book;
    struct check check;
    struct arena scratch; /* of the file at hand */
    struct arena shown;   /* of the file whose lines are shown */
    struct source input;  /* standard input, once it is read; as long as the arena */
    struct staged staged;
    bool is_staged;
};

/* What is kept of the files lives in the arena. What the caller chooses is set. */
void survey_begin(struct survey *survey, struct arena *arena);

/* Every file of the book, by so many threads; what is found is the same with any number. False:
 * opened() was. */
bool survey_book(struct survey *survey, struct book *book);

/* The files at paths ("-": standard input); the rest of the book is only looked into. False: the
 * same. */
bool survey_files(struct survey *survey, struct book *book, const char *const *paths, size_t n);

/* What is staged, in each of its books; what is found goes to diags. False: *why says what went
 * wrong, or is NULL, when opened() was false. */
bool survey_staged(struct survey *survey, struct diags *diags, const char *zone_folder,
                   const char **why);

/* The text of a file that was checked, as struct report asks for it: as it is staged, or read anew
 * and kept until the next one; "" where it cannot be. The context is the survey. */
struct str survey_text(void *context, struct str name);

void survey_end(struct survey *survey);

#endif
