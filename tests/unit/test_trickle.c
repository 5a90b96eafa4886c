#include "civil.h"
#include "trickle.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 20 };
static struct sound_point points[MOST];
static const struct sound_point *items[MOST];
static int64_t days_of[MOST];

/* Tenths of P, one a day; "-" a day without a reading, "24~" one on a scale of 0.3 P. */
static struct sound_days days_from(const char *text, double step)
{
    struct sound_days days = {items, days_of, 0};
    char copy[200];
    snprintf(copy, sizeof copy, "%s", text);
    int day = 0;
    for (char *word = strtok(copy, " "); word != NULL; word = strtok(NULL, " "), day++) {
        if (word[0] == '-')
            continue;
        size_t n = days.n++;
        points[n] = (struct sound_point){.at = day * CIVIL_DAY,
                                         .plato = atof(word) / 10,
                                         .step = strchr(word, '~') != NULL ? 0.3 : step};
        items[n] = &points[n];
        days_of[n] = day;
    }
    return days;
}

/* P a day of the later half; 0: not trickling. */
static const struct row {
    const char *title, *days;
    double step;
    double per_day;
    size_t first;
} ROWS[] = {
    {"0.1 P a day for a week", "31 30 29 28 27 26 25", 0.1, 0.1, 0},
    {"the last week of it counts", "60 40 31 30 29 28 27 26 25", 0.1, 0.1, 2},
    {"five days will do", "29 28 27 26 25", 0.1, 0.1, 0},
    {"four will not", "28 27 26 25", 0.1, 0, 4},
    {"flat", "25 25 25 25 25 25 25", 0.1, 0, 7},
    {"rising", "25 26 27 28 29 30 31", 0.1, 0, 7},
    {"to and fro", "25 24 25 24 25 24 25", 0.1, 0, 7},
    {"0.1 P every other day", "28 28 27 27 26 26 25", 0.1, 0.05, 0},
    {"0.1 P in the week: within the scale's doubt", "25.1 25.1 25 25 24.9 24.9 24.8", 0.1, 0, 7},
    {"as steep, in steps of 0.3 P it is no fall", "31 30 29 28 27 26 25", 0.3, 0, 7},
    {"at rest at its end", "40 34 30 27 25 24 24", 0.1, 0, 7},
    {"the later half at 0.73 of the speed", "40 37.6 35.2 32.8 31.3 29.8 28.3", 0.1, 0.165, 0},
    {"at 0.68 of it", "40 37.5 35 32.5 31.1 29.7 28.3", 0.1, 0, 7},
    {"days without a reading", "31 - 29 - 27 - 25 - 23", 0.1, 0.1, 0},
    {"three days, and three two steps lower", "28 28 28 26 26 26", 0.1, 0.0666667, 0},
    {"1.5 steps from the first three to the last", "26.5 26.4 26.1 25.6 25.3 24.9 24.3", 0.1,
     0.0416667, 0},
    {"a steep creep: 0.3 P a day", "43 40 37 34 31 28 25", 0.1, 0.3, 0},
    {"0.31 P a day is no creep: it ferments", "43.6 40.5 37.4 34.3 31.2 28.1 25", 0.1, 0, 7},
    {"a rise, and one high reading before", "25 26 30 27 27.5 28 28.5", 0.1, 0, 7},
    {"the last one on such a scale", "31 30 29 28 27 26 25~", 0.1, 0, 7},
    {"down, but not evenly: five readings do not prove it", "30 31 28 29 27", 0.1, 0, 5},
    {"speeding up", "31 31 30 29 27 25 23", 0.1, 0.183333, 0},
};

static void falls(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct sound_days days = days_from(row->days, row->step);
        struct trickle trickle = trickle_of(&days, days.n);
        double off = trickle.plato_per_day - row->per_day;
        if (trickle.is_trickling != (row->per_day > 0) || off > 1e-5 || off < -1e-5 ||
            trickle.first != row->first)
            fail_msg("%s: %f P a day, from %zu", row->title, trickle.plato_per_day, trickle.first);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(falls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
