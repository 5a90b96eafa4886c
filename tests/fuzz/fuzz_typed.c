/* Any bytes as lines typed on a phone, in the example book. Run at the top of the repository. */
#include "book.h"
#include "fuzz.h"
#include "roster.h"
#include "typed.h"

#include <stdlib.h>

static const int64_t NOW = 1795590000; /* 2026-11-25T07:00Z */

static const struct roster *example_roster(void)
{
    static struct arena arena;
    static struct diags diags;
    static struct book book;
    static struct roster *roster;
    if (roster != NULL)
        return roster;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    if (!book_open(&book, &arena, &diags, "examples/cellar.yaml", getenv("TZDIR")))
        abort();
    return roster = roster_read(&book, &arena, NOW);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    struct arena arena;
    struct entry_list list = {NULL, 0, 0};
    arena_init(&arena, NULL, NULL);
    struct source source = {STR("fuzz"), {arena_copy(&arena, (const char *)bytes, n), n}};
    typed_read(&arena, example_roster(), &source, NOW, &list);
    for (size_t i = 0; i < list.n; i++)
        if (list.items[i] == NULL)
            abort();
    arena_free(&arena);
    return 0;
}
