/* A book from text, for tests that judge: a cellar, then batches and plant logs in one stream. */
#ifndef GYLE_TEST_ANOMALY_BOOK_H
#define GYLE_TEST_ANOMALY_BOOK_H

#include "anomaly.h"
#include "book.h"

#include <string.h>

struct anomaly_test {
    struct arena arena;
    struct diags diags;
    struct book book;
    struct anomaly_book judged;
};

static void anomaly_test_open(struct anomaly_test *test, const char *cellar)
{
    *test = (struct anomaly_test){.book = {.cellar_path = "cellar.yaml", .folder = ""}};
    arena_init(&test->arena, NULL, NULL);
    diag_init(&test->diags, &test->arena);
    test->book.arena = &test->arena;
    test->book.diags = &test->diags;
    test->book.cellar_source = (struct source){STR("cellar.yaml"), str_of(cellar)};
    test->book.cellar_stream = doc_read(&test->arena, &test->book.cellar_source, &test->diags);
    test->book.cellar = cellar_read(&test->arena, &test->book.cellar_source,
                                    test->book.cellar_stream.first->root, NULL, &test->diags);
}

/* The documents of text, settled as of now; all batches are asked for. */
static void anomaly_test_load(struct anomaly_test *test, const char *text, int64_t now)
{
    struct source source = {STR("book.yaml"), str_of(text)};
    struct book_file *file = book_parse(&test->book, &test->arena, source);
    bool *asked = arena_array(&test->arena, file->batches.n + 1, sizeof *asked);
    for (size_t i = 0; i < file->batches.n; i++) {
        book_settle(&test->book, &test->arena, file->batches.items[i], now);
        asked[i] = true;
    }
    test->judged = (struct anomaly_book){
        .arena = &test->arena,
        .cellar = test->book.cellar,
        .batches = (const struct batch *const *)file->batches.items,
        .asked = asked,
        .batch_count = file->batches.n,
        .plants = (const struct plant *const *)file->plants.items,
        .plant_count = file->plants.n,
        .plants_asked = true,
        .now = now,
        .since = now,
    };
}

static void anomaly_test_close(struct anomaly_test *test)
{
    arena_free(&test->arena);
}

#endif
