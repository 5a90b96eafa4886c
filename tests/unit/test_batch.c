#include "book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] =
    "---\ncellar: Test\nzone: UTC\nunits: {gravity: P, temperature: C, pressure: bar, volume: hL}\n"
    "walk: [FV1, FV2]\n"
    "tanks:\n  FV1: {kind: fermenter, capacity: 60 hL}\n  FV2: {kind: fermenter, capacity: 60 hL}\n"
    "  BT1: {kind: bright, capacity: 60 hL}\n"
    "beers:\n  Pale: {yeast: ale, terminal: 2.2..2.8 P}\n"
    "meters:\n  PH1: {reads: ph, kind: bench, step: 0.01}\n";

struct fixture {
    struct arena arena;
    struct diags diags;
    struct source cellar_source;
    struct book book;
    struct book_file *file;
    struct batch *batch;
};

/* The first batch of text, settled as of now. */
static void start(struct fixture *f, const char *text, const char *now)
{
    int64_t at;
    arena_init(&f->arena, NULL, NULL);
    diag_init(&f->diags, &f->arena);
    f->cellar_source = (struct source){STR("cellar.yaml"), str_of(CELLAR)};
    struct doc_stream stream = doc_read(&f->arena, &f->cellar_source, &f->diags);
    f->book = (struct book){.arena = &f->arena, .diags = &f->diags, .folder = ""};
    f->book.cellar = cellar_read(&f->arena, &f->cellar_source, stream.first->root, NULL, &f->diags);
    assert_int_equal(f->diags.n, 0);
    f->file = book_parse(&f->book, &f->arena, (struct source){STR("b.yaml"), str_of(text)});
    f->batch = f->file->batches.n > 0 ? f->file->batches.items[0] : NULL;
    assert_int_equal(civil_parse(now, strlen(now), civil_utc(), &at), CIVIL_OK);
    if (f->batch != NULL)
        book_settle(&f->book, &f->arena, f->batch, at);
}

static const char COURSE[] =
    "---\nbatch: 0417\nbeer: Pale\nbrewed: 2026-11-14 15:30\nvolume: 50 hL\n"
    "tanks: [{tank: FV1, from: 2026-11-14 15:30}]\n"
    "events: [{at: 2026-11-14 16:10, what: pitch}]\n"
    "readings:\n"
    "  - {at: 2026-11-16 08:00, gravity: 7.2 P, ph: 4.41}\n"
    "  - {at: 2026-11-14 15:40, gravity: 12.1 P, ph: 5.08}\n"
    "  - {at: 2026-11-15 08:00, gravity: 10.9 P, ph: 4.58}\n"
    "  - {at: 2026-11-30 08:00, gravity: 2.4 P}\n"
    "  - {at: 2026-11-16 09:00, corrects: 2026-11-16 08:00, gravity: 7.4 P, ph: ~}\n";

static void orders_and_corrects(void **state)
{
    struct fixture f;
    (void)state;
    start(&f, COURSE, "2026-11-20 12:00");
    assert_int_equal(f.diags.n, 0);
    assert_int_equal(f.batch->course.n, 3);
    assert_int_equal(f.batch->later, 1);
    assert_int_equal(f.batch->first, 1); /* the wort reading comes first */
    assert_true(f.batch->used_original.value == 12.1);
    assert_true(f.batch->used_wort_ph.value == 5.08);
    const struct reading *last = f.batch->course.items[2];
    assert_true(last->figure[READS_GRAVITY].value == 7.4);
    assert_int_equal(last->figure[READS_PH].state, FIGURE_WITHDRAWN);
    assert_true(str_is(last->where, "FV1"));
    arena_free(&f.arena);
}

static void a_correction_before_now_only(void **state)
{
    struct fixture f;
    (void)state;
    start(&f, COURSE, "2026-11-16 08:30");
    assert_true(f.batch->course.items[2]->figure[READS_GRAVITY].value == 7.2);
    arena_free(&f.arena);
}

static void a_correction_of_nothing(void **state)
{
    struct fixture f;
    (void)state;
    start(&f,
          "---\nbatch: 1\nbeer: Pale\nreadings:\n"
          "  - {at: 2026-11-16 09:00, corrects: 2026-11-16 08:00, ph: 4.4}\n",
          "2026-11-20 12:00");
    assert_int_equal(f.diags.n, 1);
    assert_int_equal(f.diags.items[0].line, 5);
    assert_int_equal(f.diags.items[0].rule, RULE_REFERENCE);
    assert_int_equal(f.batch->errors, 1);
    arena_free(&f.arena);
}

/* Of readings of one minute a correction means the one of its meter, or the one that has the
 * quantity; one correction may mend two. */
static void a_correction_finds_its_reading(void **state)
{
    static const char *const PAIR =
        "---\nbatch: 1\nbeer: Pale\nreadings:\n"
        "  - {at: 2026-11-16 08:00, gravity: 7.2 P}\n"
        "  - {at: 2026-11-16 08:00, ph: 4.40, ph-meter: PH1}\n"
        "  - {at: 2026-11-16 08:00, ph: 4.50, ph-meter: PH2}\n"
        "  - {at: 2026-11-16 09:00, corrects: 2026-11-16 08:00, ph: 4.45, ph-meter: PH2}\n"
        "  - {at: 2026-11-16 09:05, corrects: 2026-11-16 08:00, gravity: 7.4 P, ph: 4.41}\n"
        "  - {at: 2026-11-16 09:10, corrects: 2026-11-16 08:00, vdk: pass}\n";
    struct fixture f;
    (void)state;
    start(&f, PAIR, "2026-11-20 12:00");
    assert_int_equal(f.diags.n, 0);
    assert_int_equal(f.batch->course.n, 3);
    assert_true(f.batch->course.items[0]->figure[READS_GRAVITY].value == 7.4);
    assert_int_equal(f.batch->course.items[0]->figure[READS_PH].state, FIGURE_ABSENT);
    assert_int_equal(f.batch->course.items[0]->figure[READS_VDK].word, VDK_PASS);
    assert_true(f.batch->course.items[1]->figure[READS_PH].value == 4.41);
    assert_true(f.batch->course.items[2]->figure[READS_PH].value == 4.45);
    arena_free(&f.arena);
}

/* Two brews of 30 hL at 12 P and 20 hL at 13 P. By mass: the heavier wort counts a little more. */
static void mean_original_of_brews(void **state)
{
    struct fixture f;
    (void)state;
    start(&f,
          "---\nbatch: 1\nbeer: Pale\n"
          "brews: [{at: 2026-11-14 10:00, volume: 30 hL, original: 12.0 P},\n"
          "  {at: 2026-11-14 18:00, volume: 20 hL, original: 13.0 P}]\n"
          "readings: [{at: 2026-11-14 12:00, gravity: 12.0 P}, {at: 2026-11-15 08:00, gravity: 11 "
          "P}]\n",
          "2026-11-20 12:00");
    assert_int_equal(f.diags.n, 0);
    assert_true(fabs(f.batch->used_original.value - 12.4) < 0.005);
    assert_true(f.batch->used_original.value > 12.4);
    assert_int_equal(f.batch->first, 1); /* before the last brew: wort */
    arena_free(&f.arena);
}

/* 40 kg of sugar into 50 hL of 12 P: 5242 kg hold 629 kg; (629 + 40) / (5242 + 40) = 12.67 %. */
static void added_extract_raises_the_original(void **state)
{
    struct fixture f;
    (void)state;
    start(&f,
          "---\nbatch: 1\nbeer: Pale\nvolume: 50 hL\noriginal: 12 P\nbrewed: 2026-11-14 10:00\n"
          "events: [{at: 2026-11-15 10:00, what: addition, extract: 40 kg}]\n",
          "2026-11-20 12:00");
    assert_true(fabs(f.batch->used_original.value - 12.666) < 0.002);
    arena_free(&f.arena);
}

static const char MOVED[] =
    "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 10:00\n"
    "tanks:\n  - {tank: FV1, from: 2026-11-01 10:00}\n"
    "  - {tank: FV2, from: 2026-11-10 10:00, volume: 20 hL}\n"
    "  - {tank: BT1, from: 2026-11-10 10:00, volume: 20 hL}\n"
    "events: [{at: 2026-11-20 10:00, what: package, tank: BT1, empty: yes}]\n"
    "readings:\n"
    "  - {at: 2026-11-05 08:00, gravity: 5 P}\n"
    "  - {at: 2026-11-12 08:00, tank: FV2, gravity: 4 P}\n"
    "  - {at: 2026-11-12 08:00, tank: BT1, gravity: 3 P}\n";

static void a_split_is_two_courses(void **state)
{
    struct fixture f;
    (void)state;
    start(&f, MOVED, "2026-11-15 12:00");
    struct batch_courses courses =
        batch_courses(f.batch, &f.arena, f.batch->stays.items[1].from + 5 * CIVIL_DAY);
    assert_int_equal(courses.n, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_int_equal(courses.items[i].readings.n, 2);
        assert_true(courses.items[i].readings.items[0]->figure[READS_GRAVITY].value == 5);
        assert_true(str_eq(courses.items[i].readings.items[1]->where, courses.items[i].stay->tank));
    }
    arena_free(&f.arena);
}

static void a_stay_ends(void **state)
{
    struct fixture f;
    (void)state;
    start(&f, MOVED, "2026-11-25 12:00");
    assert_int_equal(f.batch->stays.items[0].to, f.batch->stays.items[1].from);
    assert_true(f.batch->stays.items[1].to == BATCH_OPEN_END);
    assert_true(f.batch->stays.items[2].to < BATCH_OPEN_END); /* the package event emptied it */
    assert_false(f.batch->ended);
    assert_null(batch_stay_at(f.batch, STR("BT1"), f.batch->stays.items[2].to));
    arena_free(&f.arena);
}

/* When each stay of a batch of 50 hL ends, by its day of November; 0: it does not. */
static const struct {
    const char *title, *tanks, *events;
    int ends[3];
} STAYS[] = {
    {"moved on",
     "{tank: FV1, from: 2026-11-01 10:00}, {tank: BT1, from: 2026-11-10 10:00}",
     "",
     {10, 0}},
    {"moved on, volumes written",
     "{tank: FV1, from: 2026-11-01 10:00, volume: 50 hL},"
     " {tank: BT1, from: 2026-11-10 10:00, volume: 48 hL}",
     "",
     {10, 0}},
    {"parts filled one after the other",
     "{tank: FV1, from: 2026-11-01 10:00}, {tank: FV2, from: 2026-11-10 10:00, volume: 25 hL},"
     " {tank: BT1, from: 2026-11-11 10:00, volume: 25 hL}",
     "",
     {10, 0, 0}},
    {"one part without a volume",
     "{tank: FV1, from: 2026-11-01 10:00}, {tank: FV2, from: 2026-11-10 10:00},"
     " {tank: BT1, from: 2026-11-11 10:00, volume: 25 hL}",
     "",
     {10, 11, 0}},
    {"together again", /* more than there is: no part */
     "{tank: FV2, from: 2026-11-01 10:00, volume: 25 hL},"
     " {tank: BT1, from: 2026-11-02 10:00, volume: 25 hL},"
     " {tank: FV1, from: 2026-11-11 10:00, volume: 49 hL}",
     "",
     {11, 11, 0}},
    {"emptied",
     "{tank: FV1, from: 2026-11-01 10:00}",
     "{at: 2026-11-12 10:00, what: discard, empty: yes}",
     {12}},
    {"the move that empties a fermenter does not end the beer in its new tank",
     "{tank: FV1, from: 2026-11-01 10:00}, {tank: BT1, from: 2026-11-10 10:00}",
     "{at: 2026-11-10 10:00, what: move, to: BT1, volume: 48 hL, empty: yes}",
     {10, 0}},
    {"moved into the tank of a blend",
     "{tank: FV1, from: 2026-11-01 10:00}",
     "{at: 2026-11-10 10:00, what: move, to: BT1, volume: 48 hL, empty: yes}",
     {10}},
    {"emptied by name",
     "{tank: FV1, from: 2026-11-01 10:00}, {tank: BT1, from: 2026-11-10 10:00}",
     "{at: 2026-11-12 10:00, what: move, tank: BT1, to: FV1, empty: yes}",
     {10, 12}},
};

static void stays_end(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(STAYS); i++) {
        struct fixture f;
        char text[1000];
        snprintf(text, sizeof text,
                 "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-01 10:00\nvolume: 50 hL\n"
                 "tanks: [%s]\nevents: [%s]\n",
                 STAYS[i].tanks, STAYS[i].events);
        start(&f, text, "2026-11-25 12:00");
        for (size_t k = 0; k < f.batch->stays.n; k++) {
            int64_t to = f.batch->stays.items[k].to;
            long day = to == BATCH_OPEN_END
                           ? 0
                           : (long)((to - f.batch->stays.items[0].from) / CIVIL_DAY) + 1;
            if (day != STAYS[i].ends[k])
                fail_msg("%s: stay %zu ends on day %ld", STAYS[i].title, k, day);
        }
        arena_free(&f.arena);
    }
}

/* What is wrong in an entry: where, which rule, and a word of the message. */
static const struct {
    const char *title, *text;
    unsigned line, column;
    const char *rule, *says;
} WRONG[] = {
    {"decimal comma", "- {at: 2026-11-15 08:00, gravity: 3,4 P}\n", 6, 35, "decimal-comma",
     "write 3.4 P"},
    {"missing blank", "- {at: 2026-11-15 08:00, gravity:3.4 P}\n", 6, 26, "missing-value",
     "blank is missing"},
    {"comma in a note", "- {at: 2026-11-15 08:00, note: high, smells fine}\n", 6, 38, "unknown-key",
     "double quotes"},
    {"misspelt key", "- {at: 2026-11-15 08:00, gravty: 3.4 P}\n", 6, 26, "unknown-key",
     "did you mean gravity?"},
    {"no value", "- {at: 2026-11-15 08:00, ph: }\n", 6, 26, "missing-value", "~"},
    {"no time", "- {ph: 4.4}\n", 6, 3, "missing-key", "at:"},
    {"impossible date", "- {at: 2026-02-30 08:00, ph: 4.4}\n", 6, 8, "time", "2026-02-30"},
    {"twice", "- {at: 2026-11-15 08:00, ph: 4.4, ph: 4.5}\n", 6, 35, "duplicate-key", "twice"},
    {"not a mapping", "- 3.4 P\n", 6, 3, "shape", "a mapping"},
    {"goes over lines", "- at: 2026-11-15 08:00\n  ph: 4.4\n    gravity 3\n", 7, 7, "shape",
     "next line"},
};

static void says_where_and_what(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(WRONG); i++) {
        char text[512];
        struct fixture f;
        snprintf(text, sizeof text,
                 "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-14 10:00\nreadings:\n%s",
                 WRONG[i].text);
        start(&f, text, "2026-11-20 12:00");
        if (f.diags.n != 1)
            fail_msg("%s: %zu findings, first: %s", WRONG[i].title, f.diags.n,
                     f.diags.n > 0 ? f.diags.items[0].message : "-");
        const struct diag *d = &f.diags.items[0];
        if (d->line != WRONG[i].line || d->column != WRONG[i].column ||
            strcmp(RULES[d->rule].name, WRONG[i].rule) != 0 ||
            strstr(d->message, WRONG[i].says) == NULL)
            fail_msg("%s: %u:%u %s [%s]", WRONG[i].title, d->line, d->column, d->message,
                     RULES[d->rule].name);
        assert_int_equal(f.batch->errors, 1);
        arena_free(&f.arena);
    }
}

static void not_taken_is_silent(void **state)
{
    struct fixture f;
    (void)state;
    start(&f,
          "---\nbatch: 1\nbeer: Pale\nbrewed: 2026-11-14 10:00\nibu:\nx-colour: 9\n"
          "readings:\n  - {at: 2026-11-15 08:00, ph: ~, vdk: 0.08 mg/L pass}\n"
          "  - {at: 2026-11-16 08:00, vdk: trace}\n",
          "2026-11-20 12:00");
    assert_int_equal(f.diags.n, 0);
    const struct reading *first = f.batch->course.items[0], *second = f.batch->course.items[1];
    assert_int_equal(first->figure[READS_PH].state, FIGURE_WITHDRAWN);
    assert_true(first->figure[READS_VDK].value == 0.08);
    assert_int_equal(first->figure[READS_VDK].word, VDK_PASS);
    assert_int_equal(second->figure[READS_VDK].state, FIGURE_ABSENT);
    assert_int_equal(second->figure[READS_VDK].word, VDK_TRACE);
    arena_free(&f.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(orders_and_corrects),
        cmocka_unit_test(a_correction_finds_its_reading),
        cmocka_unit_test(a_correction_before_now_only),
        cmocka_unit_test(a_correction_of_nothing),
        cmocka_unit_test(mean_original_of_brews),
        cmocka_unit_test(added_extract_raises_the_original),
        cmocka_unit_test(a_split_is_two_courses),
        cmocka_unit_test(a_stay_ends),
        cmocka_unit_test(stays_end),
        cmocka_unit_test(says_where_and_what),
        cmocka_unit_test(not_taken_is_silent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
