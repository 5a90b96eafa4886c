/* Where the volume went: what each event posts, that the postings of every batch add up to nothing,
 * and what is said when they cannot. */
#include "arena.h"
#include "doc.h"
#include "ledger.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char CELLAR[] = "---\n"
                             "cellar: Plumb Lane\n"
                             "zone: UTC\n"
                             "units: {gravity: P, volume: hL}\n"
                             "walk: [FV1, FV2, BT1, BT2]\n"
                             "tanks:\n"
                             "  FV1: {kind: fermenter, capacity: 60 hL}\n"
                             "  FV2: {kind: fermenter, capacity: 60 hL}\n"
                             "  BT1: {kind: bright, capacity: 60 hL}\n"
                             "  BT2: {kind: bright, capacity: 60 hL}\n"
                             "beers:\n"
                             "  Chalkline Pale: {yeast: ale}\n";

static struct arena arena;
static struct diags diags;
static const struct cellar *cellar;

static int set_up(void **state)
{
    static struct source source = {{"cellar.yaml", 11}, {CELLAR, sizeof CELLAR - 1}};
    (void)state;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    struct doc_stream stream = doc_read(&arena, &source, &diags);
    cellar = cellar_read(&arena, &source, stream.first->root, NULL, &diags);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static int64_t at(const char *time)
{
    int64_t result = 0;
    assert_int_equal(civil_parse(time, strlen(time), civil_utc(), &result), CIVIL_OK);
    return result;
}

static int64_t now(void)
{
    return at("2026-11-25 07:00");
}

static struct batch *batch_of(const char *keys)
{
    struct buf text = buf_new(&arena);
    buf_printf(&text, "---\nbatch: 0417\nbeer: Chalkline Pale\n%s\n", keys);
    struct source *source = arena_alloc(&arena, sizeof *source);
    *source = (struct source){STR("0417.yaml"), buf_str(&text)};
    struct doc_stream stream = doc_read(&arena, source, &diags);
    struct keys_context context = cellar_context(cellar, &arena, source, &diags);
    struct batch *batch = batch_read(&context, stream.first->root);
    batch_settle(batch, cellar, now(), &context);
    if (diags.errors > 0)
        fail_msg("%s: %s", keys, diags.items[0].message);
    return batch;
}

#define FILLED                                                                                     \
    "brewed: 2026-11-01 10:00\nvolume: 50 hL\noriginal: 12.0 P\n"                                  \
    "tanks:\n  - {tank: FV1, from: 2026-11-01 10:00}\n"
#define MOVED "  - {tank: BT1, from: 2026-11-10 10:00, volume: 48 hL}\n"

/* What each step comes to over all time. */
static void steps_are_posted(void **state)
{
    static const struct {
        const char *title, *keys;
        struct {
            enum ledger_step step;
            double hl;
        } want[6];
        const char *said; /* NULL: nothing */
    } rows[] = {
        {"in the fermenter", FILLED, {{LEDGER_BREWED, 50}, {LEDGER_CLOSING, -50}}, NULL},
        {"two turns",
         "brews: [{at: 2026-11-01 10:00, volume: 24.5 hL}, {at: 2026-11-01 16:00, volume: 25 hL}]\n"
         "volume: 49.5 hL\ntanks: [{tank: FV1, from: 2026-11-01 10:00}]",
         {{LEDGER_BREWED, 49.5}, {LEDGER_CLOSING, -49.5}},
         NULL},
        {"moved",
         FILLED MOVED,
         {{LEDGER_BREWED, 50}, {LEDGER_LOST_MOVING, -2}, {LEDGER_CLOSING, -48}},
         NULL},
        {"moved, told by the event only",
         FILLED "  - {tank: BT1, from: 2026-11-10 10:00}\n"
                "events: [{at: 2026-11-10 10:00, what: move, to: BT1, volume: 47 hL}]",
         {{LEDGER_BREWED, 50}, {LEDGER_LOST_MOVING, -3}, {LEDGER_CLOSING, -47}},
         NULL},
        {"moved without a volume",
         FILLED "  - {tank: BT1, from: 2026-11-10 10:00}\n",
         {{LEDGER_BREWED, 50}, {LEDGER_CLOSING, -50}},
         NULL},
        {"packaged in two goes",
         FILLED MOVED "events:\n"
                      "  - {at: 2026-11-11 10:00, what: package, volume: 20 hL}\n"
                      "  - {at: 2026-11-12 10:00, what: package, volume: 27 hL, empty: yes}\n",
         {{LEDGER_BREWED, 50},
          {LEDGER_LOST_MOVING, -2},
          {LEDGER_PACKAGED, -47},
          {LEDGER_LOST_PACKAGING, -1},
          {LEDGER_CLOSING, 0}},
         NULL},
        {"yeast dumped",
         FILLED "events: [{at: 2026-11-05 10:00, what: dump, volume: 0.5 hL}]",
         {{LEDGER_BREWED, 50}, {LEDGER_DUMPED, -0.5}, {LEDGER_CLOSING, -49.5}},
         NULL},
        {"poured away",
         FILLED "events: [{at: 2026-11-05 10:00, what: discard, empty: yes}]",
         {{LEDGER_BREWED, 50}, {LEDGER_DISCARDED, -50}, {LEDGER_CLOSING, 0}},
         NULL},
        {"split in two, one packaged",
         FILLED "  - {tank: BT1, from: 2026-11-10 10:00, volume: 30 hL}\n"
                "  - {tank: BT2, from: 2026-11-10 10:00, volume: 18 hL}\n"
                "events: [{at: 2026-11-12 10:00, what: package, tank: BT1, volume: 29 hL, "
                "empty: yes}]",
         {{LEDGER_BREWED, 50},
          {LEDGER_LOST_MOVING, -2},
          {LEDGER_PACKAGED, -29},
          {LEDGER_LOST_PACKAGING, -1},
          {LEDGER_CLOSING, -18}},
         NULL},
        {"split in two an hour apart, from the tank that the first part ended",
         FILLED "  - {tank: BT1, from: 2026-11-10 10:00, volume: 30 hL}\n"
                "  - {tank: BT2, from: 2026-11-10 11:00, volume: 18 hL}\n",
         {{LEDGER_BREWED, 50}, {LEDGER_LOST_MOVING, -2}, {LEDGER_CLOSING, -48}},
         NULL},
        {"split when it was brewed",
         "brewed: 2026-11-01 10:00\nvolume: 50 hL\n"
         "tanks:\n  - {tank: FV1, from: 2026-11-01 10:00, volume: 25 hL}\n"
         "  - {tank: FV2, from: 2026-11-01 12:00, volume: 25 hL}\n",
         {{LEDGER_BREWED, 50}, {LEDGER_CLOSING, -50}},
         NULL},
        {"krausen",
         FILLED "events: [{at: 2026-11-05 10:00, what: krausen, batch: 0416, volume: 4 hL}]",
         {{LEDGER_BREWED, 50}, {LEDGER_RECEIVED, 4}, {LEDGER_CLOSING, -54}},
         NULL},
        {"a blend",
         "brewed: 2026-11-05 10:00\nof: [{batch: 0416, volume: 20 hL}, {batch: 0415, volume: 9 "
         "hL}]\n"
         "tanks: [{tank: FV1, from: 2026-11-05 10:00}]",
         {{LEDGER_BREWED, 0}, {LEDGER_RECEIVED, 29}, {LEDGER_CLOSING, -29}},
         NULL},
        {"more out than in",
         FILLED "events: [{at: 2026-11-12 10:00, what: package, volume: 52 hL, empty: yes}]",
         {{LEDGER_BREWED, 50}, {LEDGER_PACKAGED, -52}, {LEDGER_LOST_PACKAGING, 2}},
         "2.0 hL more came out of FV1"},
        {"more out than in, not empty yet",
         FILLED "events: [{at: 2026-11-12 10:00, what: package, volume: 52 hL}]",
         {{LEDGER_PACKAGED, -52}},
         "2.0 hL more came out of FV1"},
        {"a rounding more out than in",
         FILLED "events: [{at: 2026-11-12 10:00, what: package, volume: 50.2 hL, empty: yes}]",
         {{LEDGER_PACKAGED, -50.2}},
         NULL},
        {"no volume",
         "brewed: 2026-11-01 10:00\ntanks: [{tank: FV1, from: 2026-11-01 10:00}]\n"
         "events: [{at: 2026-11-12 10:00, what: package, volume: 50 hL, empty: yes}]",
         {{LEDGER_PACKAGED, -50}, {LEDGER_CLOSING, 0}},
         "no volume into the fermenter"},
        {"in no tank",
         "brewed: 2026-11-01 10:00\nvolume: 50 hL",
         {{LEDGER_BREWED, 50}, {LEDGER_CLOSING, -50}},
         NULL},
        {"still to be brewed",
         "brewed: 2026-12-01 10:00\nvolume: 50 hL\ntanks: [{tank: FV1, from: 2026-12-01 10:00}]",
         {{LEDGER_BREWED, 0}},
         NULL},
    };
    struct ledger_draws none = {NULL, 0, 0};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t before = diags.n;
        struct ledger ledger = ledger_of(batch_of(rows[i].keys), &none, &arena, &diags, now());
        for (size_t k = 0; k < 6; k++) {
            if (k > 0 && rows[i].want[k].step == LEDGER_OPENING)
                break;
            double got = ledger_sum(&ledger, rows[i].want[k].step, INT64_MIN, INT64_MAX);
            if (!(fabs(got - rows[i].want[k].hl) < 1e-9))
                fail_msg("%s: %s is %g, not %g", rows[i].title, LEDGER_STEP[rows[i].want[k].step],
                         got, rows[i].want[k].hl);
        }
        const char *said = diags.n > before ? diags.items[before].message : NULL;
        if (rows[i].said == NULL ? said != NULL
                                 : said == NULL || strstr(said, rows[i].said) == NULL)
            fail_msg("%s: said %s", rows[i].title, said == NULL ? "nothing" : said);
    }
}

/* What others take is given, in the tank where it was. */
static void draws_are_given(void **state)
{
    struct ledger_draws draws = {NULL, 0, 0};
    struct batch *taker =
        batch_of("brewed: 2026-11-06 10:00\nof: [{batch: 0417, volume: 20 hL}]\n"
                 "tanks: [{tank: FV2, from: 2026-11-06 10:00}]\n"
                 "events: [{at: 2026-11-07 10:00, what: krausen, batch: 0417, volume: 3 hL}]");
    (void)state;
    ledger_add_draws(&draws, &arena, taker);
    assert_int_equal(draws.n, 2);
    struct ledger ledger = ledger_of(batch_of(FILLED), &draws, &arena, &diags, now());
    assert_true(fabs(ledger_sum(&ledger, LEDGER_GIVEN, INT64_MIN, INT64_MAX) + 23) < 1e-9);
    assert_true(fabs(ledger_stock(&ledger, STR("FV1"), at("2026-11-06 12:00")) - 30) < 1e-9);
    assert_true(fabs(ledger_stock(&ledger, STR("FV1"), now()) - 27) < 1e-9);
}

/* Whatever the period, the steps add up to nothing. */
static void every_period_balances(void **state)
{
    struct ledger_draws none = {NULL, 0, 0};
    struct ledger ledger = ledger_of(
        batch_of(FILLED MOVED "events:\n"
                              "  - {at: 2026-11-05 10:00, what: dump, volume: 0.5 hL}\n"
                              "  - {at: 2026-11-12 10:00, what: package, volume: 46.6 hL, "
                              "empty: yes}\n"),
        &none, &arena, &diags, now());
    (void)state;
    for (int64_t from = at("2026-10-31 10:00"); from < now(); from += CIVIL_DAY)
        for (int64_t to = from; to < now(); to += CIVIL_DAY) {
            double sum = 0;
            for (int step = 0; step < LEDGER_STEPS; step++)
                sum += ledger_sum(&ledger, (enum ledger_step)step, from, to);
            if (!(fabs(sum) < 1e-9))
                fail_msg("%lld..%lld: %g hL", (long long)from, (long long)to, sum);
        }
    assert_true(fabs(ledger_yield_percent(&ledger) - 93.2) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_are_posted),
        cmocka_unit_test(draws_are_given),
        cmocka_unit_test(every_period_balances),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
