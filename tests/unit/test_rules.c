/*
 * Every rule of gyle-validate: one mistake in a small healthy book, with the exact finding, and a
 * near miss beside it of which nothing is said.
 */
#include "book.h"
#include "check.h"
#include "diag.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

enum file { CELLAR, PALE, STOUT, PLANT, FILES };

static const char *const NAMES[FILES] = {"cellar.yaml", "batches/0417.yaml", "batches/0418.yaml",
                                         "plant/2026-11.yaml"};

static const char *const TEXTS[FILES] = {
    "---\n"
    "cellar: Plumb Lane\n"
    "zone: Europe/Dublin\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL, carbonation: vol}\n"
    "walk: [FV1, FV2, BT1]\n"
    "tanks:\n"
    "  FV1: {kind: fermenter, capacity: 30 hL, rated: 1.0 bar}\n"
    "  FV2: {kind: fermenter, capacity: 30 hL, rated: 1.0 bar}\n"
    "  BT1: {kind: bright, capacity: 30 hL, rated: 2.0 bar}\n"
    "beers:\n"
    "  Chalkline Pale: {yeast: ale, original: 11.8..12.4 P}\n"
    "  Datum Stout: {yeast: ale, original: 14.0..14.8 P}\n"
    "meters:\n"
    "  PH1: {reads: ph, kind: bench, calibrate: 7 d, buffers: [4.01, 7.00]}\n"
    "  ST1: {reads: ph, kind: strip, step: 0.3, range: 4.7..6.2}\n"
    "  DM1: {reads: gravity, kind: density, step: 0.1 P}\n"
    "checks: {water in: {reads: volume, counter: yes}, bulk gas: {reads: pressure, limits: 14..20 "
    "bar},\n"
    "  cold room: {reads: temperature, limits: 1..4 C}}\n"
    "lint: {}\n",

    "---\n"
    "batch: 0417\n"
    "beer: Chalkline Pale\n"
    "brewed: 2026-11-01 15:30\n"
    "volume: 28 hL\n"
    "original: 12.1 P\n"
    "forced: {gravity: 2.4 P, at: 2026-11-03 09:00}\n"
    "tanks:\n"
    "  - {tank: FV1, from: 2026-11-01 15:30}\n"
    "  - {tank: BT1, from: 2026-11-10 10:00, volume: 27 hL}\n"
    "events:\n"
    "  - {at: 2026-11-01 16:00, what: pitch, strain: house ale}\n"
    "  - {at: 2026-11-10 10:00, what: move, to: BT1}\n"
    "  - {at: 2026-11-13 14:00, what: package, volume: 26 hL, containers: [{size: 50 L, count: "
    "52}], "
    "empty: yes}\n"
    "readings:\n"
    "  - {at: 2026-11-02 08:00, gravity: 10.9 P, ph: 4.58, temp: 19.0 C, pressure: 0.2 bar, "
    "ph-meter: PH1, gravity-meter: DM1}\n"
    "  - {at: 2026-11-03 08:00, gravity: 7.2 P, ph: 4.41, temp: 19.6 C, pressure: 0.4 bar}\n"
    "  - {at: 2026-11-04 08:00, gravity: 3.4 P, ph: 4.30, temp: 19.6 C, pressure: 0.4 bar}\n"
    "  - {at: 2026-11-11 08:00, tank: BT1, temp: 1.0 C, pressure: 0.9 bar, carbonation: 2.52 "
    "vol}\n",

    "---\n"
    "batch: 0418\n"
    "beer: Datum Stout\n"
    "brewed: 2026-11-14 15:30\n"
    "volume: 29 hL\n"
    "brews: [{at: 2026-11-14 15:30, volume: 15 hL, original: 14.2 P}, {at: 2026-11-14 19:30, "
    "volume: 14 hL, original: 14.4 P}]\n"
    "tanks:\n"
    "  - {tank: FV1, from: 2026-11-14 15:30}\n"
    "events:\n"
    "  - {at: 2026-11-14 16:00, what: pitch}\n"
    "readings:\n"
    "  - {at: 2026-11-16 08:00, gravity: 9.0 P, ph: 4.41}\n",

    "---\n"
    "plant: 2026-11\n"
    "calibrations:\n"
    "  - {at: 2026-11-02 07:20, meter: PH1, temp: 20 C, buffers: [{ph: 7.00, mv: -4}, {ph: 4.01, "
    "mv: 164}]}\n"
    "  - {at: 2026-11-02 07:24, meter: DM1, water: 0.0 P}\n"
    "rounds:\n"
    "  - {at: 2026-11-02 07:30, by: MO, skipped: [{tank: FV2, why: \"cleaning\"}]}\n"
    "cleaned:\n"
    "  - {at: 2026-11-13 16:00, tank: FV1, by: MO}\n"
    "readings:\n"
    "  - {at: 2026-11-02 07:40, check: cold room, value: 3.2 C, by: MO}\n",
};

static const char NOW[] = "2026-11-25T07:00:00Z";

/* The text `from` in a file becomes `to`; from NULL: the whole file does, "+": `to` is added. */
struct edit {
    enum file file;
    const char *from;
    struct str to;
};

#define EDIT(file, from, to)                                                                       \
    {                                                                                              \
        file, from, STR_ROW(to)                                                                    \
    }
#define END "+"
#define ALL NULL

static const struct row {
    enum rule rule;
    struct edit wrong;
    const char *finding; /* file:line:column: level: message; more than one apart by newlines */
    struct edit right;
} ROWS[] = {
#include "test_rules.def"
};

struct world {
    struct arena arena;
    struct diags diags;
    struct book book;
    struct check check;
};

static struct str edited(struct arena *arena, enum file file, const struct edit *edit)
{
    struct str text = str_of(TEXTS[file]);
    if (edit == NULL || edit->file != file)
        return text;
    if (edit->from == NULL)
        return edit->to;
    struct buf buf = buf_new(arena);
    if (strcmp(edit->from, END) == 0) {
        buf_add(&buf, text);
        buf_add(&buf, edit->to);
        return buf_str(&buf);
    }
    const char *at = strstr(text.p, edit->from);
    if (at == NULL)
        fail_msg("\"%s\" is not in %s", edit->from, NAMES[file]);
    buf_add(&buf, (struct str){text.p, (size_t)(at - text.p)});
    buf_add(&buf, edit->to);
    buf_add(&buf, str_of(at + strlen(edit->from)));
    return buf_str(&buf);
}

/* Checks the book with one edit and gives its findings, sorted. */
static void check_edited(struct world *w, const struct edit *edit, enum rule rule)
{
    int64_t now;
    arena_init(&w->arena, NULL, NULL);
    diag_init(&w->diags, &w->arena);
    assert_int_equal(civil_parse(NOW, sizeof NOW - 1, civil_utc(), &now), CIVIL_OK);
    struct source cellar = {str_of(NAMES[CELLAR]), edited(&w->arena, CELLAR, edit)};
    if (!book_open_source(&w->book, &w->arena, &w->diags, cellar, getenv("TZDIR")))
        return;
    if (rule == RULE_BLOCK_ENTRY)
        diag_set_level(&w->diags, RULE_BLOCK_ENTRY, DIAG_WARNING);
    check_begin(&w->check, w->book.cellar, &w->diags, &w->arena, now);
    check_cellar(&w->check, w->book.cellar);
    for (int file = PALE; file < FILES; file++) {
        struct source source = {str_of(NAMES[file]), edited(&w->arena, (enum file)file, edit)};
        check_file(&w->check, &w->book, &w->arena, book_parse(&w->book, &w->arena, source));
    }
    check_end(&w->check);
    diag_sort(&w->diags);
}

static struct str findings(struct world *w)
{
    struct buf buf = buf_new(&w->arena);
    for (size_t i = 0; i < w->diags.n; i++) {
        const struct diag *d = &w->diags.items[i];
        if (i > 0)
            buf_char(&buf, '\n');
        buf_add(&buf, d->file);
        if (d->line > 0)
            buf_printf(&buf, ":%u:%u", (unsigned)d->line, (unsigned)d->column);
        buf_printf(&buf, ": %s: %s", diag_level_name(d->level), d->message);
    }
    return buf.n == 0 ? STR("") : buf_str(&buf);
}

static void finds_nothing_in_the_healthy_book(void **state)
{
    (void)state;
    struct world w;
    check_edited(&w, NULL, RULE_COUNT);
    struct str said = findings(&w);
    if (said.n != 0)
        fail_msg("%s", said.p);
    arena_free(&w.arena);
}

static void finds_each_mistake_and_no_near_miss(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct world w;
        check_edited(&w, &ROWS[i].wrong, ROWS[i].rule);
        struct str said = findings(&w);
        bool of_rule = w.diags.n > 0;
        for (size_t k = 0; k < w.diags.n; k++)
            of_rule = of_rule && w.diags.items[k].rule == ROWS[i].rule;
        if (!str_is(said, ROWS[i].finding) || !of_rule) {
            print_error("%s, row %zu (%s):\n%s\nexpected:\n%s\n", RULES[ROWS[i].rule].name, i,
                        w.diags.n > 0 ? RULES[w.diags.items[0].rule].name : "none", said.p,
                        ROWS[i].finding);
            wrong++;
        }
        arena_free(&w.arena);
        check_edited(&w, &ROWS[i].right, ROWS[i].rule);
        said = findings(&w);
        if (said.n != 0) {
            print_error("%s, row %zu, the near miss:\n%s\n", RULES[ROWS[i].rule].name, i, said.p);
            wrong++;
        }
        arena_free(&w.arena);
    }
    assert_int_equal(wrong, 0);
}

static void has_a_row_for_each_rule(void **state)
{
    (void)state;
    bool has[RULE_COUNT] = {[RULE_UNREADABLE] = true}; /* tests/cli/validate.txt */
    for (size_t i = 0; i < COUNT(ROWS); i++)
        has[ROWS[i].rule] = true;
    for (size_t rule = 0; rule < RULE_COUNT; rule++)
        if (!has[rule])
            fail_msg("no row for %s", RULES[rule].name);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_nothing_in_the_healthy_book),
        cmocka_unit_test(finds_each_mistake_and_no_near_miss),
        cmocka_unit_test(has_a_row_for_each_rule),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
