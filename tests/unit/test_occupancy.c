/* What stands in the tanks of a small book, told in one line: "F1=2+1,left 18T12" for a tank (a
 * star: the walk passes it) with batch 2, the book's second batch 1 in it, and when beer last left;
 * then who is planned, lost or in a tank that nobody declared, and the hours of stays that ended.
 */
#include "occupancy.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const int64_t NOW = 1795176000; /* 2026-11-20 12:00 UTC */

static char folder[64];

static int start(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/gyle-occupancy-XXXXXX");
    return mkdtemp(folder) == NULL || chdir(folder) != 0 || mkdir("batches", 0777) != 0 ||
           mkdir("plant", 0777) != 0;
}

static int finish(void **state)
{
    char command[128];
    (void)state;
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return chdir("/") != 0 || system(command) != 0;
}

/* NULL: no such file. */
static void put(const char *path, const char *text)
{
    remove(path);
    if (text == NULL)
        return;
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

#define HEAD(number) "---\nbatch: " number "\nbeer: Pale\n"
/* A batch in a tank since a day and hour of November; until another one, or nothing more. */
#define IN(number, tank, from, to)                                                                 \
    HEAD(number) "tanks: [{tank: " tank ", from: 2026-11-" from "" to "}]\n"
#define TO(at)            ", to: 2026-11-" at
#define CLEAN(at, tank)   "events: [{at: 2026-11-" at ", what: clean, tank: " tank "}]\n"
#define PLANT             "---\nplant: 2026-11\ncleaned:\n"
#define CLEANED(at, tank) "  - {at: 2026-11-" at ", tank: " tank "}\n"

#define COLD_ROOM "readings:\n  - {at: 2026-11-19 08:00, check: cold room, value: 3 C}\n"

enum asked { ALL, FIRST };

static const struct row {
    const char *title, *walk;
    const char *batches[2], *plants[2]; /* texts of files */
    enum asked asked;
    const char *wanted;
} ROWS[] = {
    {"nothing", "", {NULL}, {NULL}, ALL, "F1* F2* B1*"},
    {"the walk, then what it leaves out", "walk: [F2, F1]\n", {NULL}, {NULL}, ALL, "F2* F1* B1"},
    {"one in its tank", "", {IN("1", "F2", "10 12:00", "")}, {NULL}, ALL, "F1* F2*=1 B1*"},
    {"in since just now", "", {IN("1", "F1", "20 12:00", "")}, {NULL}, ALL, "F1*=1 F2* B1*"},
    {"a minute later: planned",
     "",
     {IN("1", "F1", "20 12:01", "")},
     {NULL},
     ALL,
     "F1* F2* B1*; planned 1"},
    {"left just now",
     "",
     {IN("1", "F1", "10 12:00", TO("20 12:00"))},
     {NULL},
     ALL,
     "F1*,left 20T12 F2* B1*; stays 240"},
    {"leaves a minute later",
     "",
     {IN("1", "F1", "10 12:00", TO("20 12:01"))},
     {NULL},
     ALL,
     "F1*=1 F2* B1*"},
    {"the last to leave tells, whichever is read first",
     "",
     {IN("1", "F1", "10 12:00", TO("18 12:00")), IN("2", "F1", "02 12:00", TO("05 12:00"))},
     {NULL},
     ALL,
     "F1*,left 18T12 F2* B1*; stays 192 72"},
    {"and the other way round",
     "",
     {IN("1", "F1", "02 12:00", TO("05 12:00")), IN("2", "F1", "10 12:00", TO("18 12:00"))},
     {NULL},
     ALL,
     "F1*,left 18T12 F2* B1*; stays 72 192"},
    {"two in one tank: the later is in it",
     "",
     {IN("1", "F1", "10 12:00", ""), IN("2", "F1", "12 12:00", "")},
     {NULL},
     ALL,
     "F1*=2+1 F2* B1*"},
    {"whichever is read first",
     "",
     {IN("1", "F1", "12 12:00", ""), IN("2", "F1", "10 12:00", "")},
     {NULL},
     ALL,
     "F1*=1+2 F2* B1*"},
    {"in a tank that nobody declared, and one that left it",
     "",
     {IN("1", "X9", "12 12:00", ""), IN("2", "X8", "10 12:00", TO("11 12:00"))},
     {NULL},
     ALL,
     "F1* F2* B1*; strays 1"},
    {"brewed tomorrow",
     "",
     {HEAD("1") "brewed: 2026-11-21 08:00\n"},
     {NULL},
     ALL,
     "F1* F2* B1*; planned 1"},
    {"brewed just now, no tank told",
     "",
     {HEAD("1") "brewed: 2026-11-20 12:00\n"},
     {NULL},
     ALL,
     "F1* F2* B1*; lost 1"},
    {"sixty days ago",
     "",
     {HEAD("1") "brewed: 2026-09-21 08:00\n"},
     {NULL},
     ALL,
     "F1* F2* B1*; lost 1"},
    {"sixty-one: nobody asks any more",
     "",
     {HEAD("1") "brewed: 2026-09-20 23:00\n"},
     {NULL},
     ALL,
     "F1* F2* B1*"},
    {"a reading of tomorrow tells of looking back: it is no plan",
     "",
     {IN("1", "F1", "20 13:00", "") "readings:\n  - {at: 2026-11-21 08:00, temp: 19 C}\n"},
     {NULL},
     ALL,
     "F1* F2* B1*; later 1"},
    {"cleaned, as the plant log says",
     "",
     {NULL},
     {PLANT CLEANED("19 10:00", "F1") CLEANED("18 10:00", "F1") CLEANED("20 12:00", "F2")},
     ALL,
     "F1*,clean 19T10 F2*,clean 20T12 B1*"},
    {"not yet", "", {NULL}, {PLANT CLEANED("20 12:01", "F1")}, ALL, "F1* F2* B1*"},
    {"a tank that nobody declared",
     "",
     {NULL},
     {PLANT CLEANED("19 10:00", "X9")},
     ALL,
     "F1* F2* B1*"},
    {"cleaned, as a batch says",
     "",
     {IN("1", "F1", "10 12:00", TO("18 12:00")) CLEAN("18 15:00", "F1")},
     {NULL},
     ALL,
     "F1*,left 18T12,clean 18T15 F2* B1*; stays 192"},
    {"a chill is no cleaning",
     "",
     {IN("1", "F1", "10 12:00", "") "events: [{at: 2026-11-18 15:00, what: chill, tank: F1}]\n"},
     {NULL},
     ALL,
     "F1*=1 F2* B1*"},
    {"of one month the log of the last file counts",
     "",
     {NULL},
     {PLANT CLEANED("19 10:00", "F1") COLD_ROOM, PLANT CLEANED("18 10:00", "F1") COLD_ROOM},
     ALL,
     "F1*,clean 18T10 F2* B1*; logs 1"},
    {"of two months both do",
     "",
     {NULL},
     {"---\nplant: 2026-10\n" COLD_ROOM, PLANT CLEANED("18 10:00", "F1") COLD_ROOM},
     ALL,
     "F1*,clean 18T10 F2* B1*; logs 2"},
    {"one with an error is passed over, and the other still tells",
     "",
     {NULL},
     {PLANT CLEANED("18 10:00", "F1"), PLANT CLEANED("19 10:00", "F1") CLEANED("19 25:00", "F2")},
     ALL,
     "F1*,clean 18T10 F2* B1*; left out 1"},
    {"a batch with an error is left out, and its file counted",
     "",
     {IN("1", "F1", "10 12:00", "") "volume: many\n", IN("2", "F2", "10 12:00", "")},
     {NULL},
     ALL,
     "F1* F2*=2 B1*; left out 1"},
    {"one file asked for: the other is read for its stays, what is in its tanks is not told",
     "",
     {IN("1", "F1", "10 12:00", ""),
      IN("2", "F1", "02 12:00", TO("05 12:00")) IN("3", "F2", "10 12:00", "")},
     {NULL},
     FIRST,
     "F1*=1,left 5T12 F2* B1*; stays 72"},
    {"of a number in both the one asked for counts",
     "",
     {IN("1", "F1", "10 12:00", "") IN("2", "F1", "02 12:00", TO("06 12:00")),
      IN("2", "F1", "02 12:00", TO("05 12:00")) IN("1", "F1", "02 12:00", TO("07 12:00"))},
     {NULL},
     FIRST,
     "F1*=1,left 6T12 F2* B1*; stays 96"},
    {"one asked for that stands nowhere needs no other",
     "",
     {IN("1", "F1", "10 12:00", TO("18 12:00")), IN("2", "F1", "02 12:00", TO("05 12:00"))},
     {NULL},
     FIRST,
     "F1*,left 18T12 F2* B1*; stays 192"},
};

static void say_moment(struct buf *text, const char *what, int64_t at)
{
    char time[CIVIL_TEXT_SIZE];
    if (at == 0)
        return;
    civil_rfc3339(civil_utc(), at, time); /* 2026-11-18T12:00:00Z */
    buf_printf(text, ",%s %dT%.2s", what, atoi(time + 8), time + 11);
}

static void say_batches(struct buf *text, const char *what, struct batch *const *items, size_t n)
{
    for (size_t i = 0; i < n; i++)
        buf_printf(text, "%s" STR_FMT, i == 0 ? what : " ", STR_ARG(items[i]->number->text));
}

static void say_count(struct buf *text, const char *what, size_t n)
{
    if (n > 0)
        buf_printf(text, "; %s %zu", what, n);
}

static void say_number(struct buf *text, char before, const struct batch_course *course)
{
    if (course != NULL)
        buf_printf(text, "%c" STR_FMT, before, STR_ARG(course->batch->number->text));
}

static void say(struct buf *text, const struct occupancy *it)
{
    for (size_t i = 0; i < it->tanks.n; i++) {
        const struct occupancy_tank *tank = &it->tanks.items[i];
        buf_printf(text, "%s" STR_FMT "%s", i == 0 ? "" : " ", STR_ARG(tank->name),
                   tank->in_walk ? "*" : "");
        say_number(text, '=', tank->course);
        say_number(text, '+', tank->other);
        say_moment(text, "left", tank->emptied);
        say_moment(text, "clean", tank->cleaned);
    }
    say_batches(text, "; planned ", it->planned.items, it->planned.n);
    say_batches(text, "; lost ", it->lost.items, it->lost.n);
    for (size_t i = 0; i < it->strays.n; i++)
        buf_printf(text, "; strays " STR_FMT, STR_ARG(it->strays.items[i].batch->number->text));
    for (size_t i = 0; i < it->stays.n; i++)
        buf_printf(text, "%s%.0f", i == 0 ? "; stays " : " ", it->stays.items[i].hours);
    say_count(text, "logs", it->plants.n);
    say_count(text, "later", it->later);
    say_count(text, "left out", it->left_out);
}

static struct occupancy *read_row(struct arena *arena, struct book *book, struct diags *diags,
                                  const struct row *row, int64_t since)
{
    struct buf cellar = buf_new(arena);
    buf_printf(&cellar,
               "---\ncellar: Test\nzone: UTC\nunits: {gravity: P, temperature: C}\n%s"
               "tanks:\n  F1: {kind: fermenter}\n  F2: {kind: fermenter}\n  B1: {kind: bright}\n"
               "beers:\n  Pale: {yeast: ale, terminal: 2.2..2.8 P}\n"
               "checks:\n  cold room: {reads: temperature}\n",
               row->walk);
    put("cellar.yaml", cellar.p);
    put("batches/1.yaml", row->batches[0]);
    put("batches/2.yaml", row->batches[1]);
    put("plant/1.yaml", row->plants[0]);
    put("plant/2.yaml", row->plants[1]);
    diag_init(diags, arena);
    assert_true(book_open(book, arena, diags, "cellar.yaml", NULL));
    static const char *first[] = {"batches/1.yaml"};
    const struct occupancy_request request = {
        .asked = row->asked == ALL ? book_batches(book) : (struct file_list){first, 1, 1},
        .whole = row->asked == ALL,
        .now = NOW,
        .since = since};
    return occupancy_read(book, arena, &request);
}

static void what_stands_where(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct arena arena;
        struct book book;
        struct diags diags;
        arena_init(&arena, NULL, NULL);
        struct occupancy *it = read_row(&arena, &book, &diags, &ROWS[i], NOW);
        struct buf text = buf_new(&arena);
        say(&text, it);
        if (strcmp(text.p, ROWS[i].wanted) != 0)
            fail_msg("%s: %s", ROWS[i].title, text.p);
        /* nothing is looked back at */
        assert_int_equal(it->files.n, 0);
        assert_int_equal(it->kept.n, it->standing.n + it->planned.n + it->lost.n);
        occupancy_free(it);
        arena_free(&arena);
    }
}

/* Read once for a day back, as it was at each moment of it; beer that had left before is no more.
 */
static void at_a_moment(void **state)
{
    static const struct row ROW = {
        "",
        "",
        {IN("1", "F1", "10 12:00", TO("19 18:00")) IN("2", "F2", "10 12:00", TO("19 11:59")),
         IN("3", "F1", "20 08:00", "") IN("4", "B1", "19 12:00", TO("20 10:00"))
             IN("5", "B1", "10 12:00", TO("19 12:00"))},
        {NULL},
        ALL,
        ""};
    static const struct {
        int64_t hours_ago;
        const char *wanted;
    } MOMENTS[] = {
        {24, "F1*=1 F2* B1*=4,left 19T12; planned 3; stays 216"},
        {18, "F1*,left 19T18 F2* B1*=4; planned 3; stays 222"},
        {4, "F1*=3 F2* B1*=4"},
        {2, "F1*=3 F2* B1*,left 20T10; stays 22"},
    };
    (void)state;
    struct arena arena;
    struct book book;
    struct diags diags;
    arena_init(&arena, NULL, NULL);
    struct occupancy *it = read_row(&arena, &book, &diags, &ROW, NOW - CIVIL_DAY);
    assert_int_equal(it->kept.n, 4); /* 2 had left before, 5 just then */
    assert_int_equal(it->files.n, 2);
    for (size_t i = 0; i < COUNT(MOMENTS); i++) {
        struct buf text = buf_new(&arena);
        say(&text, occupancy_at(it, NOW - MOMENTS[i].hours_ago * CIVIL_HOUR));
        if (strcmp(text.p, MOMENTS[i].wanted) != 0)
            fail_msg("%d hours ago: %s", (int)MOMENTS[i].hours_ago, text.p);
    }
    occupancy_free(it);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_stands_where),
        cmocka_unit_test(at_a_moment),
    };
    return cmocka_run_group_tests(tests, start, finish);
}
