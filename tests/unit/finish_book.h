/*
 * Small batches for the tests of judgement, written short: one token a day from the day after the
 * pitch, read at 08:00.
 *
 *   "11.3 7.9 - 2.9/18 2.4/1 <2.4 2.4,2.5"
 *
 * "-" is a day without a reading, /18 the temperature in C (else 19), a comma parts two readings of
 * one day, four hours apart. Lines after the first are readings of their own, as in the file. The
 * pitch is 2026-11-01 15:00 UTC. For tests only.
 */
#ifndef GYLE_TESTS_FINISH_BOOK_H
#define GYLE_TESTS_FINISH_BOOK_H

#include "book.h"
#include "finish.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const int64_t FINISH_BOOK_PITCH = 1793545200; /* 2026-11-01 15:00 UTC */

struct finish_book {
    struct arena arena;
    struct diags diags;
    struct book book;
    struct source cellar;
    struct buf text;
    struct batch *batch;
    struct finish_context context;
    struct batch_courses courses;
};

static inline void finish_book_stop(void *context)
{
    (void)context;
    abort();
}

/* beers: lines of the mapping beers:, each with its line end. */
static inline void finish_book_begin(struct finish_book *book, const char *beers)
{
    memset(book, 0, sizeof *book);
    arena_init(&book->arena, finish_book_stop, NULL);
    diag_init(&book->diags, &book->arena);
    struct buf text = buf_new(&book->arena);
    buf_printf(&text,
               "---\ncellar: test\nzone: UTC\nunits: {gravity: P, temperature: C}\n"
               "tanks:\n  FV1: {kind: fermenter, capacity: 60 hL, rated: 1.5 bar}\n"
               "  FV2: {kind: fermenter}\n  FV3: {kind: fermenter, rated: 1.5 bar}\n"
               "  UT1: {kind: unitank, capacity: 60 hL, rated: 1.5 bar}\n"
               "  BT1: {kind: bright, capacity: 60 hL, rated: 1.5 bar}\n"
               "  BR1: {kind: barrel, every: 7 d}\nmeters:\n"
               "  DM1: {reads: gravity, kind: density, step: 0.1 P}\n"
               "  DM2: {reads: gravity, kind: density, step: 0.2 P}\n"
               "  DM3: {reads: gravity, kind: density, step: 0.3 P}\n"
               "  HY1: {reads: gravity, kind: hydrometer, reference: 20 C}\n"
               "  RM1: {reads: gravity, kind: refractometer}\nbeers:\n%s",
               beers);
    book->cellar = (struct source){STR("cellar.yaml"), buf_str(&text)};
    struct doc_stream stream = doc_read(&book->arena, &book->cellar, &book->diags);
    book->book = (struct book){.arena = &book->arena, .diags = &book->diags};
    book->book.cellar =
        cellar_read(&book->arena, &book->cellar, stream.first->root, NULL, &book->diags);
    if (book->diags.n > 0)
        diag_write(stderr, &book->diags);
    assert_int_equal(book->diags.n, 0);
}

static inline void finish_book_end(struct finish_book *book)
{
    arena_free(&book->arena);
}

/* The readings of the short form as lines of YAML, with more keys in each of its days. */
static inline void finish_book_readings(struct buf *text, const char *days, const char *more)
{
    struct str lines = str_of(days), rest = str_split(&lines, '\n');
    for (int day = 2; rest.p != NULL; day++) {
        struct str tokens = str_split(&rest, ' ');
        for (int hour = 8; tokens.p != NULL; hour += 4) {
            struct str temp = str_split(&tokens, ','), gravity = str_split(&temp, '/');
            if (gravity.n == 0 || str_is(gravity, "-"))
                continue;
            buf_printf(text, "  - {at: 2026-11-%02d %02d:00, gravity: " STR_FMT ", temp: ", day,
                       hour, STR_ARG(gravity));
            if (temp.p != NULL)
                buf_printf(text, STR_FMT, STR_ARG(temp));
            else
                buf_printf(text, "19");
            buf_printf(text, "%s}\n", more);
        }
    }
    buf_add(text, lines);
}

/* Reads a batch of `beer` and settles it as of so many days after the pitch's date, at 09:00. */
static inline void finish_book_batch(struct finish_book *book, const char *beer, const char *keys,
                                     const char *days, const char *more, int now_day)
{
    book->text = buf_new(&book->arena);
    buf_printf(&book->text, "---\nbatch: 1\nbeer: %s\nbrewed: 2026-11-01 15:00\n%s", beer, keys);
    if (strstr(keys, "tanks:") == NULL)
        buf_printf(&book->text, "tanks: [{tank: FV1, from: 2026-11-01 15:00}]\n");
    buf_printf(&book->text, "readings:\n");
    finish_book_readings(&book->text, days, more);
    struct source source = {STR("batch.yaml"), buf_str(&book->text)};
    struct book_file *file = book_parse(&book->book, &book->arena, source);
    int64_t now = FINISH_BOOK_PITCH + (int64_t)now_day * CIVIL_DAY - 6 * CIVIL_HOUR;
    assert_int_equal(file->batches.n, 1);
    book->batch = file->batches.items[0];
    book_settle(&book->book, &book->arena, book->batch, now);
    if (book->diags.errors > 0)
        diag_write(stderr, &book->diags);
    assert_int_equal(book->diags.errors, 0);
    book->courses = batch_courses(book->batch, &book->arena, now);
    book->context =
        (struct finish_context){.cellar = book->book.cellar, .arena = &book->arena, .now = now};
}

/* The beer in the last of its tanks. */
static inline struct finish finish_book_judge(struct finish_book *book)
{
    return finish_judge(&book->context, &book->courses.items[book->courses.n - 1]);
}

#endif
