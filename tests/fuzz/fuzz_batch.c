/* Any bytes as a file of a book, checked by every rule: nothing crashes, and what is found has a
 * place within the bytes. */
#include "agree.h"
#include "book.h"
#include "check.h"
#include "fuzz.h"
#include "report.h"

#include <stdio.h>
#include <stdlib.h>

static const char CELLAR[] =
    "---\ncellar: Plumb Lane\nzone: UTC\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL, carbonation: vol}\n"
    "tanks:\n  FV1: {kind: fermenter, capacity: 30 hL, rated: 1.0 bar}\n"
    "  BT1: {kind: bright, capacity: 30 hL, rated: 2.0 bar}\n"
    "beers:\n  Pale: {yeast: ale}\n"
    "meters:\n  PH1: {reads: ph, range: 4.7..6.2}\n"
    "checks:\n  cold room: {reads: temperature}\n";

static struct str no_text(void *context, struct str file)
{
    (void)file;
    return ((struct source *)context)->text;
}

/* Opened once. */
static const struct book *small_book(void)
{
    static struct arena arena;
    static struct diags diags;
    static struct book book;
    if (book.cellar != NULL)
        return &book;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    struct source cellar = {STR("cellar.yaml"), {CELLAR, sizeof CELLAR - 1}};
    if (!book_open_source(&book, &arena, &diags, cellar, NULL) || diags.n > 0)
        abort();
    return &book;
}

static FILE *nowhere(void)
{
    static FILE *out;
    if (out == NULL)
        out = fopen("/dev/null", "w");
    if (out == NULL)
        abort();
    return out;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    struct arena arena;
    struct diags diags;
    struct check check;
    struct book book = *small_book();
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    diag_set_level(&diags, RULE_BLOCK_ENTRY, DIAG_WARNING);
    book.arena = &arena;
    book.diags = &diags;
    check_begin(&check, book.cellar, &diags, &arena, 1795590000);
    struct source source = {STR("batches/1.yaml"), {arena_copy(&arena, (const char *)bytes, n), n}};
    check_file(&check, &book, &arena, book_parse(&book, &arena, source));
    check_other(&check, &book, &arena, source);
    check_end(&check);
    diag_sort(&diags);
    const char *misplaced = agree_misplaced(&diags, source.text);
    if (misplaced != NULL) {
        fprintf(stderr, "a finding lies outside of the bytes: %s\n", misplaced);
        abort();
    }
    report_text(&(struct report){.out = nowhere(),
                                 .arena = &arena,
                                 .colour = true,
                                 .width = 60,
                                 .text_of = no_text,
                                 .context = &source},
                &diags);
    report_tsv(&(struct report){.out = nowhere(), .arena = &arena}, &diags);
    arena_free(&arena);
    return 0;
}
