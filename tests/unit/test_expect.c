#include "book.h"
#include "expect.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] =
    "---\ncellar: Test\nzone: UTC\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL}\n"
    "tanks:\n  FV1: {kind: fermenter, rated: 1.0 bar}\n  FV2: {kind: fermenter, rated: 3 bar}\n"
    "  FV3: {kind: fermenter, rated: 15 psi}\n  FV4: {kind: fermenter}\n"
    "beers:\n  Pale: {yeast: ale, ph: 4.05..4.45, vdk: ..0.10 mg/L, ferment: 18..20 C, "
    "cold: -1..2 C}\n  Plain: {yeast: ale}\n";

static const struct row {
    const char *title, *beer, *tank;
    int reads;
    const char *last; /* NULL: never read */
    double low_plato, high_plato;
    bool is_cold;
    const char *expected; /* "" for nothing */
} ROWS[] = {
    {"gravity, nothing read: the limit", "Pale", "FV1", READS_GRAVITY, NULL, 2.2, 2.8, false,
     "2.2..2.8 P"},
    {"gravity falls from the last", "Pale", "FV1", READS_GRAVITY, "7.2 P", 2.2, 2.8, false,
     "2.2..7.2 P"},
    {"gravity under the limit already", "Pale", "FV1", READS_GRAVITY, "2.0 P", 2.2, 2.8, false,
     "..2.0 P"},
    {"gravity without a limit", "Pale", "FV1", READS_GRAVITY, "7.2 P", NAN, NAN, false, "..7.2 P"},
    {"gravity, nothing known", "Pale", "FV1", READS_GRAVITY, NULL, NAN, NAN, false, ""},
    {"a censored figure is no measure", "Pale", "FV1", READS_GRAVITY, "<7.2 P", 2.2, 2.8, false,
     "2.2..2.8 P"},
    {"pH, nothing read: down from the wort's", "Pale", "FV1", READS_PH, NULL, NAN, NAN, false,
     "4.05..5.10"},
    {"pH on its way down", "Pale", "FV1", READS_PH, "4.60", NAN, NAN, false, "4.05..4.60"},
    {"pH in the beer's range stays there", "Pale", "FV1", READS_PH, "4.20", NAN, NAN, false,
     "4.05..4.45"},
    {"pH above the wort's: no higher than the wort", "Pale", "FV1", READS_PH, "5.41", NAN, NAN,
     false, "4.05..5.10"},
    {"pH far too low: the beer's range", "Pale", "FV1", READS_PH, "3.50", NAN, NAN, false,
     "4.05..4.45"},
    {"pH of a beer without a range", "Plain", "FV1", READS_PH, "4.60", NAN, NAN, false, "..4.60"},
    {"warm", "Pale", "FV1", READS_TEMP, "19.0 C", NAN, NAN, false, "18..20 C"},
    {"chilled", "Pale", "FV1", READS_TEMP, "1.0 C", NAN, NAN, true, "-1..2 C"},
    {"a beer without a range of temperature", "Plain", "FV1", READS_TEMP, NULL, NAN, NAN, false,
     ""},
    {"pressure: four fifths of the name plate", "Pale", "FV1", READS_PRESSURE, NULL, NAN, NAN,
     false, "..0.8 bar"},
    {"with a digit more where it needs one", "Pale", "FV2", READS_PRESSURE, NULL, NAN, NAN, false,
     "..2.4 bar"},
    {"in the unit of the plate", "Pale", "FV3", READS_PRESSURE, NULL, NAN, NAN, false, "..12 psi"},
    {"no plate", "Pale", "FV4", READS_PRESSURE, NULL, NAN, NAN, false, ""},
    {"VDK", "Pale", "FV1", READS_VDK, NULL, NAN, NAN, false, "..0.10 mg/L"},
};

static void what_is_expected(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        const struct row *row = &ROWS[i];
        struct diags diags;
        diag_init(&diags, &arena);
        struct source source = {STR("cellar.yaml"), str_of(CELLAR)};
        struct doc_stream stream = doc_read(&arena, &source, &diags);
        const struct cellar *cellar =
            cellar_read(&arena, &source, stream.first->root, NULL, &diags);
        assert_int_equal(diags.n, 0);
        struct batch batch = {.type = cellar_beer(cellar, str_of(row->beer))};
        assert_int_equal(quantity_read(STR("5.10"), QUANTITY_PH, NULL, &batch.used_wort_ph),
                         QUANTITY_OK);
        struct figure last = {.state = FIGURE_ABSENT};
        if (row->last != NULL)
            assert_int_equal(
                quantity_read(str_of(row->last), BATCH_COLUMNS[row->reads].quantity, NULL, &last),
                QUANTITY_OK);
        const struct limit limit = {
            .low_plato = row->low_plato,
            .high_plato = row->high_plato,
            .source = isnan(row->high_plato) ? LIMIT_NONE : LIMIT_TERMINAL,
        };
        const struct expect_case it = {
            .batch = &batch,
            .cellar = cellar,
            .tank = cellar_tank(cellar, str_of(row->tank)),
            .limit = &limit,
            .is_cold = row->is_cold,
        };
        struct range range = expect_today(&it, row->reads, &last);
        struct buf text = buf_new(&arena);
        if (range.state == FIGURE_SET)
            quantity_write_range(&text, &range, NULL);
        if (strcmp(text.p, row->expected) != 0)
            fail_msg("%s: \"%s\", not \"%s\"", row->title, text.p, row->expected);
        arena_reset(&arena);
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(what_is_expected)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
