#include "civil.h"
#include "steady.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 40 };
static struct sound_point points[MOST];
static const struct sound_point *items[MOST];
static int64_t days_of[MOST];

/* Tenths of P, one a day at 08:00; "-" is a day without a reading, "24@32" is read at hour 32 of
 * its day 0 (the day counts by 24 h), "24~" on a scale of 0.2 P. */
static struct sound_days days_from(const char *text)
{
    struct sound_days days = {items, days_of, 0};
    char copy[200];
    snprintf(copy, sizeof copy, "%s", text);
    int day = 0;
    for (char *word = strtok(copy, " "); word != NULL; word = strtok(NULL, " "), day++) {
        if (word[0] == '-')
            continue;
        const char *at = strchr(word, '@');
        size_t n = days.n++;
        int64_t hour = at == NULL ? day * 24 + 8 : atoi(at + 1);
        points[n] = (struct sound_point){.at = hour * CIVIL_HOUR,
                                         .plato = atoi(word) / 10.0,
                                         .step = strchr(word, '~') != NULL ? 0.2 : 0.1};
        items[n] = &points[n];
        days_of[n] = hour / 24;
    }
    return days;
}

static const struct row {
    const char *title, *days;
    size_t from;
    int needed, steady, skipped;
    bool enough, equal;
    size_t first;
} ROWS[] = {
    {"one reading is one day", "24", 0, 2, 1, 0, false, true, 0},
    {"one day may be all that is asked", "24", 0, 1, 1, 0, true, true, 0},
    {"two the same", "25 24 24", 0, 2, 2, 0, true, true, 1},
    {"two a step apart are one", "26 25 24", 0, 2, 1, 0, false, true, 2},
    {"three within a step are two", "30 24 25 24", 0, 2, 2, 0, true, false, 1},
    {"in either order", "30 25 24 24", 0, 2, 2, 0, true, true, 2},
    {"three within a step, up", "24 24 25", 0, 2, 2, 0, true, false, 0},
    {"two steps over the whole are too many", "26 25 24 24", 0, 3, 2, 0, false, true, 2},
    {"0.1 P a day for a week", "31 30 29 28 27 26 25 24", 0, 2, 1, 0, false, true, 7},
    {"a lager's three", "26 24 24 24", 0, 3, 3, 0, true, true, 1},
    {"a lager's four within a step", "26 25 24 25 24", 0, 3, 3, 0, true, false, 1},
    {"a day without one", "25 24 - 24", 0, 2, 2, 1, true, true, 1},
    {"every other day", "30 - 24 - 24", 0, 2, 2, 1, true, true, 1},
    {"20 h are a day", "30@8 24@28 24@48", 0, 2, 2, 0, true, true, 1},
    {"19 h are none", "30@8 24@29 24@48", 0, 2, 2, 0, false, true, 1},
    {"40 h are two", "24@20 24@36 24@60", 0, 3, 3, 0, true, true, 0},
    {"39 h are not", "24@21 24@36 24@60", 0, 3, 3, 0, false, true, 0},
    {"only from a day on", "24 24 24", 2, 2, 1, 0, false, true, 2},
    {"from the day before", "24 24 24", 1, 2, 2, 0, true, true, 1},
    {"the coarser scale of two tells the step", "26~ 24~ 26~", 0, 2, 2, 0, true, false, 0},
    {"but not between finer ones", "26 24 26", 0, 2, 1, 0, false, true, 2},
    {"enough within a step goes before more days of one figure that are too close",
     "25@8 24@47 24@66", 0, 2, 2, 0, true, false, 0},
    {"seven days are read each day", "24 - - - - - 24", 0, 7, 2, 5, false, true, 0},
    {"eight are not: four readings will do", "24 - 24 - 24 - - 24", 0, 8, 8, 4, true, true, 0},
    {"three will not", "24 - - - 24 - - 24", 0, 8, 8, 5, false, true, 0},
    {"nor seven days", "24 - 24 - 24 - 24", 0, 8, 7, 3, false, true, 0},
    {"within a step, a day less", "24 - 25 - 24 - - - 25", 0, 8, 8, 5, true, false, 0},
};

static void runs(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct sound_days days = days_from(row->days);
        struct steady run = steady_run(&days, row->from, days.n, row->needed);
        if (run.days != row->steady || run.is_enough != row->enough || run.is_equal != row->equal ||
            run.first != row->first || run.skipped != row->skipped)
            fail_msg("%s: %d days from %zu, %d skipped, %s, %s", row->title, run.days, run.first,
                     run.skipped, run.is_enough ? "enough" : "not enough",
                     run.is_equal ? "the same" : "within a step");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(runs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
