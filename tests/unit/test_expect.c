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
    "  FV3: {kind: fermenter, rated: 15 psi}\n  FV4: {kind: fermenter}\n  BT1: {kind: bright}\n"
    "beers:\n  Pale: {yeast: ale, ph: 4.05..4.45, vdk: ..0.10 mg/L, ferment: 18..20 C, "
    "cold: -1..2 C, carbonation: 2.4..2.6 vol, oxygen: ..50 ppb}\n  Plain: {yeast: ale}\n  Strong: "
    "{yeast: ale}\n";

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
    {"gravity, nothing read: down from the wort's", "Strong", "FV1", READS_GRAVITY, NULL, 2.2, 2.8,
     false, "2.2..24.0 P"},
    {"gravity, nothing read and no limit: no more than the wort's", "Strong", "FV1", READS_GRAVITY,
     NULL, NAN, NAN, false, "..24.0 P"},
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
    {"a bright tank, not chilled in it: it came cold", "Pale", "BT1", READS_TEMP, NULL, NAN, NAN,
     false, "-1..2 C"},
    {"a beer without a range of temperature", "Plain", "FV1", READS_TEMP, NULL, NAN, NAN, false,
     ""},
    {"pressure: four fifths of the name plate", "Pale", "FV1", READS_PRESSURE, NULL, NAN, NAN,
     false, "..0.8 bar"},
    {"with a digit more where it needs one", "Pale", "FV2", READS_PRESSURE, NULL, NAN, NAN, false,
     "..2.4 bar"},
    {"in the unit of the plate", "Pale", "FV3", READS_PRESSURE, NULL, NAN, NAN, false, "..12 psi"},
    {"no plate", "Pale", "FV4", READS_PRESSURE, NULL, NAN, NAN, false, ""},
    {"carbonation", "Pale", "FV1", READS_CARBONATION, NULL, NAN, NAN, false, "2.4..2.6 vol"},
    {"oxygen", "Pale", "FV1", READS_OXYGEN, NULL, NAN, NAN, false, "..50 ppb"},
    {"what nobody limits", "Pale", "FV1", READS_COUNT, NULL, NAN, NAN, false, ""},
    {"a limit of one value", "Pale", "FV1", READS_GRAVITY, "3.0 P", 2.4, 2.4, false, "2.4..3.0 P"},
    {"gravity at its lowest", "Pale", "FV1", READS_GRAVITY, "2.2 P", 2.2, 2.8, false, "2.2..2.2 P"},
    {"gravity with a digit more", "Pale", "FV1", READS_GRAVITY, "7.25 P", 2.2, 2.8, false,
     "2.20..7.25 P"},
    {"gravity in another unit keeps the house's digits", "Pale", "FV1", READS_GRAVITY, "1.0300 SG",
     2.2, 2.8, false, "2.2..7.6 P"},
    {"pH at the top of its range", "Pale", "FV1", READS_PH, "4.45", NAN, NAN, false, "4.05..4.45"},
    {"pH just above it", "Pale", "FV1", READS_PH, "4.46", NAN, NAN, false, "4.05..4.46"},
    {"pH off the scale is no measure", "Pale", "FV1", READS_PH, "<4.7", NAN, NAN, false,
     "4.05..5.10"},
    {"pH as the wort's", "Pale", "FV1", READS_PH, "5.10", NAN, NAN, false, "4.05..5.10"},
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
        if (strcmp(row->beer, "Strong") == 0) /* whose original is written down */
            assert_int_equal(
                quantity_read(STR("24.0 P"), QUANTITY_GRAVITY, NULL, &batch.used_original),
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

/* Chilled or not: in a bright tank beer comes cold, unless it was brewed there. */
static void to_be_cold(void **state)
{
    static const struct {
        const char *title, *tank;
        const char *stays[2];
        size_t parts; /* of a blend */
        bool is_cold, to_be_cold;
    } rows[] = {
        {"fermenting", "FV1", {"FV1"}, 0, false, false},
        {"chilled", "FV1", {"FV1"}, 0, true, true},
        {"moved into the bright tank", "BT1", {"FV1", "BT1"}, 0, false, true},
        {"brewed into the bright tank", "BT1", {"BT1"}, 0, false, false},
        {"chilled where it was brewed", "BT1", {"BT1"}, 0, true, true},
        {"a blend of two in the bright tank", "BT1", {"BT1"}, 2, false, true},
        {"of one", "BT1", {"BT1"}, 1, false, true},
        {"a blend in a fermenter", "FV1", {"FV1"}, 2, false, false},
        {"in a tank that nobody declared", "XX9", {"XX9"}, 0, false, false},
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct diags diags;
    diag_init(&diags, &arena);
    struct source source = {STR("cellar.yaml"), str_of(CELLAR)};
    struct doc_stream stream = doc_read(&arena, &source, &diags);
    const struct cellar *cellar = cellar_read(&arena, &source, stream.first->root, NULL, &diags);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct batch_stay stays[2] = {{.from = 0}};
        size_t n = 0;
        for (; n < 2 && rows[i].stays[n] != NULL; n++)
            stays[n].tank = str_of(rows[i].stays[n]);
        struct batch batch = {.of = {.n = rows[i].parts}, .stays = {stays, n}};
        const struct expect_case it = {.batch = &batch,
                                       .cellar = cellar,
                                       .tank = cellar_tank(cellar, str_of(rows[i].tank)),
                                       .is_cold = rows[i].is_cold};
        if (expect_is_to_be_cold(&it) != rows[i].to_be_cold)
            fail_msg("%s", rows[i].title);
    }
    arena_free(&arena);
}

/* Within what six earlier batches showed at 48 h, around 6.0 P and pH 4.30. */
static void within_earlier_batches(void **state)
{
    static const struct {
        const char *title;
        int reads;
        const char *last;
        bool is_cold, has_usual;
        double hours;
        const char *expected;
        const char *beer; /* NULL: Pale */
    } rows[] = {
        {"gravity: down to the band's low end, up to its high one", READS_GRAVITY, "9.0 P", false,
         true, 48, "5.1..6.9 P", NULL},
        {"gravity: no higher than it was", READS_GRAVITY, "6.0 P", false, true, 48, "5.1..6.0 P",
         NULL},
        {"gravity: not where the last lies under the band", READS_GRAVITY, "4.0 P", false, true, 48,
         "2.2..4.0 P", NULL},
        {"gravity: nothing earlier", READS_GRAVITY, "9.0 P", false, false, 48, "2.2..9.0 P", NULL},
        {"gravity: cold", READS_GRAVITY, "9.0 P", true, true, 48, "2.2..9.0 P", NULL},
        {"gravity: beyond their days", READS_GRAVITY, "9.0 P", false, true, 900, "2.2..9.0 P",
         NULL},
        {"gravity: no limit, nothing read", READS_GRAVITY, NULL, false, true, 48, "5.1..6.9 P",
         "Plain"},
        {"gravity: no limit", READS_GRAVITY, "6.0 P", false, true, 48, "5.1..6.0 P", "Plain"},
        {"pH of a beer without a range", READS_PH, NULL, false, true, 48, "4.21..4.39", "Plain"},
        {"pH, cold", READS_PH, "4.60", true, true, 48, "4.05..4.60", NULL},
        {"pH", READS_PH, "4.60", false, true, 48, "4.21..4.39", NULL},
        {"pH, nothing read", READS_PH, NULL, false, true, 48, "4.21..4.39", NULL},
    };
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct diags diags;
    diag_init(&diags, &arena);
    struct source source = {STR("cellar.yaml"), str_of(CELLAR)};
    struct doc_stream stream = doc_read(&arena, &source, &diags);
    const struct cellar *cellar = cellar_read(&arena, &source, stream.first->root, NULL, &diags);
    struct history_batch batches[6];
    struct history_point points[6][4];
    static const double HOURS[] = {0, 24, 48, 96};
    double left[6][4];
    const struct history_batch *list[6];
    for (size_t i = 0; i < 6; i++) {
        double by = 0.1 * (double)i - 0.25;
        for (size_t day = 0; day < 4; day++) {
            left[i][day] = day == 0 ? 1 : day == 3 ? 0 : (12 - 3 * (double)day + by - 2.5) / 9.5;
            points[i][day] = (struct history_point){.hours = 24 * (double)day,
                                                    .plato = 12 - 3 * (double)day + by,
                                                    .ph = 5.1 - 0.4 * (double)day + by / 10,
                                                    .celsius = NAN};
        }
        batches[i] = (struct history_batch){.number = STR("1"),
                                            .beer = STR("Pale"),
                                            .zero = (int64_t)i * 7 * 86400,
                                            .original_plato = 12,
                                            .end_plato = 2.5,
                                            .end_hours = 76,
                                            .steady_hours = 120,
                                            .abv_percent = NAN,
                                            .points = {points[i], 4},
                                            .course = {HOURS, left[i], 4, 96}};
        list[i] = &batches[i];
    }
    const struct history_list earlier = {list, 6};
    const struct baseline usual = baseline_of(&earlier, &arena);
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *beer = rows[i].beer == NULL ? "Pale" : rows[i].beer;
        struct batch batch = {.type = cellar_beer(cellar, str_of(beer))};
        struct figure last = {.state = FIGURE_ABSENT};
        if (rows[i].last != NULL)
            assert_int_equal(quantity_read(str_of(rows[i].last),
                                           BATCH_COLUMNS[rows[i].reads].quantity, NULL, &last),
                             QUANTITY_OK);
        const struct limit limit = {.low_plato = rows[i].beer == NULL ? 2.2 : NAN,
                                    .high_plato = rows[i].beer == NULL ? 2.8 : NAN,
                                    .source = rows[i].beer == NULL ? LIMIT_TERMINAL : LIMIT_NONE};
        const struct expect_case it = {.batch = &batch,
                                       .cellar = cellar,
                                       .limit = &limit,
                                       .is_cold = rows[i].is_cold,
                                       .usual = rows[i].has_usual ? &usual : NULL,
                                       .hours = rows[i].hours};
        struct range range = expect_today(&it, rows[i].reads, &last);
        struct buf text = buf_new(&arena);
        if (range.state == FIGURE_SET)
            quantity_write_range(&text, &range, NULL);
        if (strcmp(text.p, rows[i].expected) != 0)
            fail_msg("%s: \"%s\", not \"%s\"", rows[i].title, text.p, rows[i].expected);
    }
    arena_free(&arena);
}

/* In the house's unit, of SG no more digits than a hydrometer shows; else in Plato. */
static void limit_in_the_unit_of_the_house(void **state)
{
    static const struct {
        const char *units, *expected;
    } rows[] = {{"units: {gravity: SG}\n", "1.009..1.011 SG"},
                {"units: {gravity: P}\n", "2.2..2.8 P"},
                {"", "2.2..2.8 P"}};
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf text = buf_new(&arena), range_text = buf_new(&arena);
        buf_printf(&text, "---\ncellar: Test\nzone: UTC\n%s", rows[i].units);
        struct diags diags;
        diag_init(&diags, &arena);
        struct source source = {STR("cellar.yaml"), buf_str(&text)};
        struct doc_stream stream = doc_read(&arena, &source, &diags);
        const struct cellar *cellar =
            cellar_read(&arena, &source, stream.first->root, NULL, &diags);
        const struct limit limit = {.low_plato = 2.2, .high_plato = 2.8, .source = LIMIT_TERMINAL};
        struct range range = expect_range_of_limit(cellar, &limit);
        quantity_write_range(&range_text, &range, NULL);
        assert_string_equal(range_text.p, rows[i].expected);
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_expected), cmocka_unit_test(to_be_cold),
        cmocka_unit_test(within_earlier_batches), cmocka_unit_test(limit_in_the_unit_of_the_house)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
