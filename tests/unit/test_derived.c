/* What follows from a reading and its batch: corrections by the meter's kind, alcohol, progress,
 * figures off the end of a scale; and the choice of columns. */
#include "arena.h"
#include "carbonation.h"
#include "derived.h"
#include "doc.h"
#include "extract.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char CELLAR[] =
    "---\n"
    "cellar: Plumb Lane\n"
    "zone: UTC\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL, carbonation: vol}\n"
    "walk: [FV1]\n"
    "tanks:\n"
    "  FV1: {kind: fermenter, capacity: 60 hL, rated: 1.0 bar}\n"
    "beers:\n"
    "  Chalkline Pale: {yeast: ale, terminal: 2.2..2.8 P}\n"
    "meters:\n"
    "  HY1: {reads: gravity, kind: hydrometer, reference: 20 C}\n"
    "  HY2: {reads: gravity, kind: hydrometer, reference: 60 F}\n"
    "  HY3: {reads: gravity, kind: hydrometer}\n"
    "  RF1: {reads: gravity, kind: refractometer, factor: 1.00}\n"
    "  RF2: {reads: gravity, kind: refractometer}\n"
    "  DM1: {reads: gravity, kind: density}\n";

static struct arena arena;
static struct diags diags;
static struct source cellar_source = {{"cellar.yaml", 11}, {CELLAR, sizeof CELLAR - 1}};

static int set_up(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static const struct cellar *cellar(void)
{
    struct doc_stream stream = doc_read(&arena, &cellar_source, &diags);
    return cellar_read(&arena, &cellar_source, stream.first->root, NULL, &diags);
}

/* The rows of a batch with these keys and readings. */
struct rows {
    struct derived_batch *of;
    struct derived items[8];
    size_t n;
};

static struct rows rows_of(const struct cellar *in, const char *keys, const char *readings)
{
    struct buf text = buf_new(&arena);
    buf_printf(&text,
               "---\nbatch: 0417\nbeer: Chalkline Pale\nbrewed: 2026-11-14 15:30\n%s"
               "tanks: [{tank: FV1, from: 2026-11-14 15:30}]\nreadings:\n%s",
               keys, readings);
    struct source *source = arena_alloc(&arena, sizeof *source);
    *source = (struct source){STR("0417.yaml"), buf_str(&text)};
    struct doc_stream stream = doc_read(&arena, source, &diags);
    struct keys_context context = cellar_context(in, &arena, source, &diags);
    struct batch *batch = batch_read(&context, stream.first->root);
    int64_t now = INT64_C(1795590000); /* 2026-11-25 */
    batch_settle(batch, in, now, &context);
    if (diags.errors > 0)
        fail_msg("%s%s: %s", keys, readings, diags.items[0].message);
    struct rows rows = {.of = arena_alloc(&arena, sizeof *rows.of)};
    *rows.of = derived_begin(batch, in, derived_atmosphere(in), now);
    for (size_t i = 0; i < batch->course.n; i++)
        rows.items[rows.n++] = derived_of(rows.of, batch->course.items[i], i < batch->first);
    return rows;
}

static void is_near(const char *title, const char *what, double got, double want)
{
    if (!(fabs(got - want) < 1e-9 || (isnan(got) && isnan(want))))
        fail_msg("%s: %s is %.12g, not %.12g", title, what, got, want);
}

static void gravities_are_corrected(void **state)
{
    const struct cellar *in = cellar();
    const struct {
        const char *title, *figure;
        double plato;
        enum corrected_how how;
    } rows[] = {
        {"no meter", "gravity: 3.0 P, temp: 25 C", 3, CORRECTED_NOT},
        {"density meter", "gravity: 3.0 P, temp: 25 C, gravity-meter: DM1", 3, CORRECTED_NOT},
        {"hydrometer", "gravity: 3.0 P, temp: 25 C, gravity-meter: HY1",
         extract_hydrometer(3, 25, 20), CORRECTED_HYDROMETER},
        {"hydrometer of 60 F in P", "gravity: 3.0 P, temp: 25 C, gravity-meter: HY2",
         extract_hydrometer(3, 25, EXTRACT_60F), CORRECTED_HYDROMETER},
        {"hydrometer of 60 F in SG", "gravity: 1.012 SG, temp: 25 C, gravity-meter: HY2",
         extract_hydrometer(extract_plato_from_sg_at(1.012, EXTRACT_60F), 25, EXTRACT_60F),
         CORRECTED_HYDROMETER},
        {"no temperature", "gravity: 3.0 P, gravity-meter: HY1", 3, CORRECTED_NOT},
        {"temperature off its scale", "gravity: 3.0 P, temp: \">25 C\", gravity-meter: HY1", 3,
         CORRECTED_NOT},
        {"no reference told", "gravity: 3.0 P, temp: 25 C, gravity-meter: HY3", 3, CORRECTED_NOT},
        {"refractometer at the original", "gravity: 12.0 Bx, gravity-meter: RF1", 12,
         CORRECTED_REFRACTOMETER},
        {"off the scale", "gravity: <3.0 P, temp: 25 C, gravity-meter: HY1", NAN, CORRECTED_NOT},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct buf reading = buf_new(&arena);
        buf_printf(&reading, "  - {at: 2026-11-16 08:00, %s}\n", rows[i].figure);
        struct rows got = rows_of(in, "original: 12.0 P\n", reading.p);
        assert_int_equal(got.n, 1);
        is_near(rows[i].title, "gravity", got.items[0].gravity.plato, rows[i].plato);
        if (got.items[0].gravity.how != rows[i].how)
            fail_msg("%s: corrected as \"%s\"", rows[i].title,
                     CORRECTED_NAMES[got.items[0].gravity.how]);
    }
    /* alcohol reads as extract: 6 Bx of a beer of 12 P are far less */
    struct rows beer = rows_of(in, "original: 12.0 P\n",
                               "  - {at: 2026-11-16 08:00, gravity: 6.0 Bx, gravity-meter: RF1}\n");
    assert_true(beer.items[0].gravity.plato > 2 && beer.items[0].gravity.plato < 3);
    /* before the yeast there is none, and no original is needed */
    struct rows wort =
        rows_of(in, "", "  - {at: 2026-11-14 10:00, gravity: 10.4 Bx, gravity-meter: RF2}\n");
    assert_true(wort.items[0].is_wort);
    is_near("wort", "gravity", wort.items[0].gravity.plato, 10);
    is_near("wort", "alcohol", wort.items[0].abv_percent, NAN);
}

/* Balling's balance of 12 P at 2.5 P, computed apart: tests/reference/README.md. */
static void figures_follow(void **state)
{
    (void)state;
    struct rows rows = rows_of(cellar(), "original: 12 P\nforced: {gravity: 2.5 P}\n",
                               "  - {at: 2026-11-15 03:30, gravity: 12.1 P}\n"
                               "  - {at: 2026-11-16 15:30, gravity: 7.25 P, temp: 3.3 C, "
                               "pressure: 0.75 bar}\n"
                               "  - {at: 2026-11-20 15:30, gravity: 2.5 P, pressure: 0.5 bar}\n"
                               "  - {at: 2026-11-21 15:30, gravity: 2.4 P}\n");
    assert_int_equal(rows.n, 4);
    const struct derived *end = &rows.items[2];
    is_near("end", "hours", end->hours, 6 * 24);
    assert_true(fabs(end->real_plato - 4.218) < 0.0005);
    assert_true(fabs(end->abv_percent - 5.127) < 0.002);
    assert_true(fabs(end->adf_percent - 79.17) < 0.005);
    assert_true(fabs(end->rdf_percent - 66.30) < 0.005);
    is_near("end", "progress", end->progress, 1);
    is_near("no temperature", "co2", end->co2_vol, NAN);
    is_near("half way", "progress", rows.items[1].progress, 0.5);
    is_near("half way", "co2", rows.items[1].co2_vol,
            carbonation_vol(carbonation_beer(3.3, 0.75, CARBONATION_SEA_LEVEL)));
    is_near("above the original", "progress", rows.items[0].progress, 0);
    is_near("above the original", "alcohol", rows.items[0].abv_percent, NAN);
    is_near("below the limit", "progress", rows.items[3].progress, 1);
}

static void limit_may_be_a_beers(void **state)
{
    (void)state;
    struct rows rows =
        rows_of(cellar(), "original: 12 P\n", "  - {at: 2026-11-16 15:30, gravity: 2.5 P}\n");
    is_near("terminal 2.2..2.8 P", "limit", rows.of->limit_plato, 2.5);
    is_near("terminal 2.2..2.8 P", "progress", rows.items[0].progress, 1);
    rows = rows_of(cellar(), "", "  - {at: 2026-11-16 15:30, gravity: 2.5 P}\n");
    is_near("no original", "progress", rows.items[0].progress, NAN);
    is_near("no original", "adf", rows.items[0].adf_percent, NAN);
}

static void columns_are_chosen(void **state)
{
    (void)state;
    struct derived_choice choice = derived_choose(&arena, STR("ph, batch,ph"));
    assert_int_equal(choice.count, 3);
    assert_null(choice.unknown.p);
    assert_string_equal(choice.columns[0].name, "ph");
    assert_string_equal(choice.columns[1].name, "batch");
    choice = derived_choose(&arena, STR("batch,gravity"));
    assert_true(str_is(choice.unknown, "gravity"));
    assert_string_equal(choice.nearest, "gravity_P");
    assert_non_null(derived_choose(&arena, STR("")).unknown.p);
    choice = derived_choose(&arena, str_of(DERIVED_USUAL));
    assert_null(choice.unknown.p);
    for (size_t i = 0; i < DERIVED_COLUMN_COUNT; i++)
        if (DERIVED_COLUMNS[i].name == NULL || DERIVED_COLUMNS[i].heading == NULL)
            fail_msg("column %zu has no name or heading", i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gravities_are_corrected),
        cmocka_unit_test(figures_follow),
        cmocka_unit_test(limit_may_be_a_beers),
        cmocka_unit_test(columns_are_chosen),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
