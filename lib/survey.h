/*
 * Which files of a book are checked: all of them, or those that are given, which the others must
 * not contradict.
 */
#ifndef GYLE_SURVEY_H
#define GYLE_SURVEY_H

#include "arena.h"
#include "book.h"
#include "check.h"
#include "diag.h"

#include <stddef.h>

struct survey {
    struct check *check; /* begun; check_end() is the caller's */
    struct book *book;
    struct arena scratch; /* of the file at hand */
    const char *name;     /* the name of the file that standard input stands for, or NULL */
    size_t threads;       /* that read the files of a whole book; 0 is taken for 1 */
    struct source input;  /* standard input, once it is read; as long as the book's arena */
};

/* Every file of the book, by so many threads; what is found is the same with any number. */
void survey_book(struct survey *survey);

/* The files at paths ("-": standard input); the rest of the book is only looked into. */
void survey_files(struct survey *survey, const char *const *paths, size_t n);

/* The text of a file that was checked, read anew into the arena, which is reset; "" where it cannot
 * be. */
struct str survey_text(const struct survey *survey, struct arena *arena, struct str name);

#endif
