/*
 * A small cellar and who is in its tanks, for the tests of what people type and fill in.
 */
#ifndef GYLE_TYPED_BOOK_H
#define GYLE_TYPED_BOOK_H

#include "roster.h"
#include "typed.h"

#include <math.h>
#include <string.h>

struct typed_book {
    struct arena arena;
    struct diags diags;
    struct source cellar_source, source;
    struct cellar *cellar;
    struct roster roster;
    struct entry_list list;
    int64_t now;
};

static inline void typed_book_row(struct typed_book *b, const char *batch, const char *tank,
                                  const char *from, const char *to, double plato)
{
    struct roster_row *row = &b->roster.rows.items[b->roster.rows.n++];
    *row = (struct roster_row){.batch = str_of(batch),
                               .beer = STR("Pale"),
                               .tank = str_of(tank),
                               .path = "batches/x.yaml",
                               .to = BATCH_OPEN_END,
                               .original_plato = plato};
    civil_parse(from, strlen(from), b->cellar->zone, &row->from);
    if (to != NULL)
        civil_parse(to, strlen(to), b->cellar->zone, &row->to);
}

/* now: 2026-11-25 10:00, in winter, in Dublin. */
static inline void typed_book_start(struct typed_book *b, const char *cellar)
{
    static const char *const NOW = "2026-11-25 10:00";
    memset(b, 0, sizeof *b);
    arena_init(&b->arena, NULL, NULL);
    diag_init(&b->diags, &b->arena);
    b->cellar_source = (struct source){STR("cellar.yaml"), str_of(cellar)};
    struct doc_stream stream = doc_read(&b->arena, &b->cellar_source, &b->diags);
    b->cellar = cellar_read(&b->arena, &b->cellar_source, stream.first->root, NULL, &b->diags);
    civil_parse(NOW, strlen(NOW), b->cellar->zone, &b->now);
    b->roster.cellar = b->cellar;
    b->roster.rows.items = arena_array(&b->arena, 16, sizeof *b->roster.rows.items);
    typed_book_row(b, "0402", "FV3", "2026-10-20 15:30", "2026-11-01 09:00", 12.1);
    typed_book_row(b, "0417", "FV3", "2026-11-14 15:30", NULL, 12.1);
    typed_book_row(b, "0419", "FV8", "2026-11-20 15:30", NULL, 24.0);
    typed_book_row(b, "0413", "BT1", "2026-11-19 10:00", NULL, 12.1);
    typed_book_row(b, "12", "FV12", "2026-11-19 10:00", NULL, 12.0);
}

/* "FV3 2026-11-25 08:10 reading gravity: 3.4 P, ph: 4.42", or "! reason". */
static inline const char *typed_book_tell(struct typed_book *b, const struct entry *entry)
{
    struct buf out = buf_new(&b->arena);
    char at[CIVIL_TEXT_SIZE];
    if (entry->state == ENTRY_REFUSED) {
        buf_printf(&out, "! %s", entry->reason);
        return out.p;
    }
    if (entry->tank.n > 0 || entry->batch.n > 0)
        buf_printf(&out, STR_FMT " ", STR_ARG(entry->tank.n > 0 ? entry->tank : entry->batch));
    buf_printf(&out, "%s%s %s", civil_exact(b->cellar->zone, entry->at, at) + strlen("2026-"),
               entry->assumed_time ? "?" : "", ENTRY_FORMS[entry->kind].what);
    for (size_t i = 0; i < entry->n; i++)
        buf_printf(&out, "%s %s: " STR_FMT, i > 0 ? "," : "", entry->pairs[i].key,
                   STR_ARG(entry->pairs[i].value));
    return out.p;
}

/* Are the entries what the lines of `becomes` tell, of a refused one the beginning? What they are
 * is appended to got. */
static inline bool typed_book_becomes(struct typed_book *b, const char *becomes, struct buf *got)
{
    bool same = true;
    struct str rest = str_of(becomes);
    for (size_t k = 0; k < b->list.n; k++) {
        const char *told = typed_book_tell(b, b->list.items[k]);
        struct str line = rest.p == NULL ? STR("") : str_split(&rest, '\n');
        const char *expected = arena_copy(&b->arena, line.p, line.n);
        size_t compared = expected[0] == '!' ? line.n : strlen(told) + 1;
        same = same && line.n > 0 && strncmp(told, expected, compared) == 0;
        buf_printf(got, "%s\n", told);
    }
    return same && rest.n == 0;
}

#endif
