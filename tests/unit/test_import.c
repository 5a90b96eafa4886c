/*
 * Instruments' CSV files: how their rows are cut, timed, thinned and counted.
 */
#include "csv.h"
#include "import.h"
#include "typed_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define CELLAR(import)                                                                             \
    "cellar: Test\nzone: Europe/Dublin\nunits: {gravity: P, temperature: C, pressure: bar}\n"      \
    "tanks:\n  FV3: {kind: fermenter, rated: 1.0 bar}\n  BT1: {kind: bright}\n"                    \
    "meters:\n  DM1: {reads: gravity}\nimports:\n  probe: {" import "}\n"

static const struct {
    const char *title, *cellar, *file, *becomes, *counts;
} ROWS[] = {
    {"the last of each hour", CELLAR("time: at, tank: FV3, columns: {g: gravity P}"),
     "at,g\n2026-11-25 08:00,3.4\n2026-11-25 08:59,3.3\n2026-11-25 09:10,3.2\n",
     "FV3 11-25 08:59 reading gravity: 3.3 P\nFV3 11-25 09:10 reading gravity: 3.2 P",
     "3 rows, 2 kept, 1 thinned out"},
    {"the last sound value of each quantity",
     CELLAR("time: at, tank: FV3, columns: {g: gravity P, t: temp C}"),
     "at,g,t\n2026-11-25 08:00,3.4,19.5\n2026-11-25 08:10,NaN,19.6\n2026-11-25 08:20,,\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P, temp: 19.6 C",
     "3 rows, 1 kept, 1 thinned out, 1 without a sound figure, first in line 4"},
    {"rows in any order", CELLAR("time: at, tank: FV3, columns: {g: gravity P}"),
     "at,g\n2026-11-25 08:59,3.3\n2026-11-25 08:00,3.4\n", "FV3 11-25 08:59 reading gravity: 3.3 P",
     "2 rows, 1 kept, 1 thinned out"},
    {"the highest pressure over the plate is kept beside the last one",
     CELLAR("time: at, tank: FV3, columns: {g: pressure bar, t: temp C}, by: log"),
     "at,g,t\n2026-11-25 08:00,0.6,19\n2026-11-25 08:10,1.1,19\n2026-11-25 08:20,1.3,19\n"
     "2026-11-25 08:30,1.2,19\n2026-11-25 08:59,0.6,19\n",
     "FV3 11-25 08:20 reading pressure: 1.3 bar, by: log\n"
     "FV3 11-25 08:59 reading pressure: 0.6 bar, temp: 19 C, by: log",
     "5 rows, 2 kept, 3 thinned out"},
    {"over the plate in the last row: that one",
     CELLAR("time: at, tank: FV3, columns: {g: pressure bar, t: temp C}"),
     "at,g,t\n2026-11-25 08:00,0.6,19\n2026-11-25 08:10,1.1,19\n2026-11-25 08:20,,19.5\n",
     "FV3 11-25 08:20 reading pressure: 1.1 bar, temp: 19.5 C", "3 rows, 1 kept, 2 thinned out"},
    {"over the plate a second earlier: no two readings of one minute",
     CELLAR("time: at, tank: FV3, columns: {g: pressure bar}"),
     "at,g\n2026-11-25T08:10:10Z,1.1\n2026-11-25T08:10:20Z,0.6\n",
     "FV3 11-25 08:10 reading pressure: 1.1 bar", "2 rows, 1 kept, 1 thinned out"},
    {"at the plate is not over it", CELLAR("time: at, tank: FV3, columns: {g: pressure bar}"),
     "at,g\n2026-11-25 08:10,1.0\n2026-11-25 08:20,0.6\n",
     "FV3 11-25 08:20 reading pressure: 0.6 bar", "2 rows, 1 kept, 1 thinned out"},
    {"the hour that is not over waits",
     CELLAR("time: at, tank: FV3, columns: {g: gravity P}, every: 2 h"),
     "at,g\n2026-11-25 09:59,3.4\n2026-11-25 10:00,3.3\n", "FV3 11-25 09:59 reading gravity: 3.4 P",
     "2 rows, 1 kept, 1 left for when their time is over"},
    {"the two hours of the same name when the clock goes back",
     CELLAR("time: at, tank: FV3, columns: {g: gravity P}"),
     "at,g\n2026-10-25T00:10Z,3.9\n2026-10-25T00:50Z,3.8\n2026-10-25T01:10Z,3.7\n"
     "2026-10-25T01:50Z,3.6\n2026-10-25T00:55Z,3.5\n",
     "FV3 10-25 01:55 reading gravity: 3.5 P\nFV3 10-25T01:50:00Z reading gravity: 3.6 P",
     "5 rows, 2 kept, 3 thinned out"},
    {"a longer span lasts an hour more then",
     CELLAR("time: at, tank: FV3, columns: {g: gravity P}, every: 24 h"),
     "at,g\n2026-10-25T00:10Z,3.9\n2026-10-25T01:10Z,3.7\n2026-10-25T23:50Z,3.6\n",
     "FV3 10-25 23:50 reading gravity: 3.6 P", "3 rows, 1 kept, 2 thinned out"},
    {"a meter, a signature, seconds cut off",
     CELLAR("time: at, tank: FV3, columns: {g: gravity SG}, meters: [DM1], by: probe"),
     "at,g\n2026-11-25T08:59:59Z,1.0130\n",
     "FV3 11-25 08:59 reading gravity: 1.0130 SG, gravity-meter: DM1, by: probe", "1 row, 1 kept"},
    {"its own zone", CELLAR("time: at, tank: FV3, zone: \"+02:00\", columns: {g: gravity P}"),
     "at,g\n2026-11-25 10:30,3.4\n", "FV3 11-25 08:30 reading gravity: 3.4 P", "1 row, 1 kept"},
    {"its own format, a date apart, a decimal comma",
     CELLAR("time: t, date: d, format: DD.MM.YYYY hh:mm, decimal: comma, tank: FV3, columns: {g: "
            "gravity P}"),
     "d;t;g\r\n24.11.2026;8:30;3,4\r\n", "FV3 11-24 08:30 reading gravity: 3.4 P", "1 row, 1 kept"},
    {"seconds since 1970, also in thousandths",
     CELLAR("time: t, format: epoch, tank: FV3, columns: {g: gravity P}"),
     "t,g\n1795594200,3.4\n1795590600000,3.5\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P\nFV3 11-25 07:10 reading gravity: 3.5 P",
     "2 rows, 2 kept"},
    {"tanks by its own names, quotes, lines before the header",
     CELLAR("time: at, tank-column: v, tanks: {TK-1: BT1}, columns: {\"t, C\": temp C}, skip: 1"),
     "made by a panel\nat,v,\"t, C\"\n2026-11-25 08:00,\"TK-1\",0.8\n2026-11-25 08:10,fv3,19\n",
     "BT1 11-25 08:00 reading temp: 0.8 C\nFV3 11-25 08:10 reading temp: 19 C", "2 rows, 2 kept"},
    {"what cannot be placed, once, with its number",
     CELLAR("time: at, tank-column: v, columns: {t: temp C}"),
     "at,v,t\n2026-11-25 08:00,X,1\n2026-11-25 08:01,X,1\n25/11,FV3,1\n2026-11-26 08:00,FV3,1\n",
     "! \"X\": is no tank of this cellar; name it under tanks: (and so in 1 row more)\n"
     "! \"25/11\": is no time\n! \"2026-11-26 08:00\": is still to come",
     "4 rows, 0 kept"},
    {"a tank that was empty", CELLAR("time: at, tank: BT1, columns: {t: temp C}"),
     "at,t\n2026-11-01 08:00,0.8\n", "", "1 row, 0 kept, 1 while the tank was empty"},
    {"no such column", CELLAR("time: at, tank: FV3, columns: {h: gravity P}"), "at,g\n1,2\n",
     "!! it has no column \"h\"", "0 rows, 0 kept"},
    {"two columns of one quantity", CELLAR("time: at, tank: FV3, columns: {g: temp C, f: temp F}"),
     "at,g,f\n1,2,3\n", "!! imports: two columns give temp", "0 rows, 0 kept"},
    {"no such quantity", CELLAR("time: at, tank: FV3, columns: {g: colour}"), "at,g\n1,2\n",
     "!! imports: \"colour\" begins with no quantity of a reading", "0 rows, 0 kept"},
    {"a unit of another quantity", CELLAR("time: at, tank: FV3, columns: {g: gravity bar}"),
     "at,g\n1,2\n", "!! imports: \"gravity bar\" has no unit of gravity", "0 rows, 0 kept"},
    {"no tank", CELLAR("time: at, columns: {g: gravity P}"), "at,g\n1,2\n",
     "!! imports: probe names neither tank: nor tank-column:", "0 rows, 0 kept"},
    {"an empty file", CELLAR("time: at, tank: FV3, columns: {g: gravity P}"), "",
     "!! the file holds no rows", "0 rows, 0 kept"},
};

static void rows_become_entries(void **state)
{
    size_t failures = 0;
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct typed_book b;
        struct import_count count = {0};
        typed_book_start(&b, ROWS[i].cellar);
        if (b.diags.n > 0)
            fail_msg("%s: %s", ROWS[i].title, b.diags.items[0].message);
        struct buf got = buf_new(&b.arena), counts = buf_new(&b.arena);
        b.source = (struct source){STR("csv"), str_of(ROWS[i].file)};
        const char *why = import_read(&b.arena, &b.roster, &b.cellar->imports.items[0], &b.source,
                                      NULL, b.now, &b.list, &count);
        import_describe(&counts, &count);
        bool same = strcmp(counts.p, ROWS[i].counts) == 0;
        const char *becomes = ROWS[i].becomes;
        if (why != NULL) {
            same = same && strncmp(becomes, "!! ", 3) == 0 && strcmp(why, becomes + 3) == 0;
            buf_printf(&got, "!! %s\n", why);
            becomes = "";
        }
        same = typed_book_becomes(&b, becomes, &got) && same;
        if (!same) {
            print_error("%s: %s\n%s", ROWS[i].title, counts.p, got.p == NULL ? "" : got.p);
            failures++;
        }
        arena_free(&b.arena);
    }
    assert_int_equal(failures, 0);
}

static const struct {
    const char *title, *text;
    bool is_csv;
} FILES[] = {
    {"an instrument's", "Time,SG\n2026-11-25,1.013\n", true},
    {"with quotes and semicolons", "\"Time\";\"SG\"\n\"2026\";\"1,013\"\n", true},
    {"typed lines with commas", "FV3 8:10 3.4P, high\nFV4 8:12 3.5P, fine\n", false},
    {"typed notes with commas", "cold room, fine\nhop store, fine\n", false},
    {"typed lines without any", "FV3 8:10 3.4P\n", false},
    {"one line", "Time,SG\n", false},
    {"nothing", "", false},
};

static void tells_a_csv_file(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(FILES); i++)
        if (import_is_csv(str_of(FILES[i].text)) != FILES[i].is_csv)
            fail_msg("%s", FILES[i].title);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_become_entries),
        cmocka_unit_test(tells_a_csv_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
