/*
 * Whole fermentations, day by day: when is each first called finished? Real beers are read from the
 * folder $GYLE_SERIES (they have no stated licence and are not part of this repository); wines with
 * one, and generated beers, are tested everywhere.
 */
#include "../reference/table.h"
#include "interval.h"
#include "practice.h"
#include "replay.h"

struct outcome {
    double end_hour;    /* the first reading at the final level; NAN: it never got there */
    double called_hour; /* the first one called finished; NAN: never */
    enum finish_verdict last;
    char reason[100];
};

/* Called too early, when gravity was still more than a step above where it ended. */
static bool is_false_call(const struct outcome *outcome)
{
    return !isnan(outcome->called_hour) &&
           (isnan(outcome->end_hour) || outcome->called_hour < outcome->end_hour);
}

static bool is_missed(const struct outcome *outcome)
{
    return !isnan(outcome->end_hour) && isnan(outcome->called_hour);
}

/* The hour of the first daily reading at the final level, as the index tells it ("... at 96 h"). */
static double told_end(const char *why)
{
    int hours;
    for (const char *p = strstr(why, " at "); p != NULL; p = strstr(p + 1, " at "))
        if (sscanf(p, " at %d h", &hours) == 1)
            return hours;
    return NAN;
}

static struct outcome replay_record(const struct record *record, const struct brewery *brewery,
                                    const struct walk *walk, double end)
{
    static struct taken taken;
    struct replay replay;
    struct outcome outcome = {NAN, NAN, FINISH_NO_JUDGEMENT, ""};
    take(record, walk, &taken);
    outcome.end_hour = end;
    replay_begin(&replay, brewery, &taken);
    for (size_t i = 0; i < taken.n; i++) {
        struct finish finish =
            replay_judge(&replay, taken.hour[i], (struct limit_baseline){0, 0, false});
        bool called = finish.verdict == FINISH_FINISHED || finish.verdict == FINISH_UNCONFIRMED;
        if (called && isnan(outcome.called_hour))
            outcome.called_hour = taken.hour[i];
        outcome.last = finish.verdict;
        snprintf(outcome.reason, sizeof outcome.reason, "%s", finish.reason);
        if (getenv("REPLAY_DAYS"))
            printf("  %5.0f h %5.2f P %5.1f C  %d  %s: %s\n", taken.hour[i], taken.plato[i],
                   taken.celsius[i], finish.days_steady, FINISH_VERDICT[finish.verdict].name,
                   finish.reason);
    }
    replay_end(&replay);
    return outcome;
}

static void read_record(const char *path, struct record *record, double share)
{
    struct table table = table_read(path);
    record->n = 0;
    record->hours = calloc(table.rows * 3, sizeof(double));
    record->plato = record->hours + table.rows;
    record->celsius = record->plato + table.rows;
    for (size_t row = 0; row < table.rows; row++) {
        double gravity = table_number(&table, row, "gravity");
        if (isnan(gravity))
            continue;
        record->hours[record->n] = table_number(&table, row, "hours");
        record->plato[record->n] = gravity * share;
        record->celsius[record->n++] = table_number(&table, row, "temp_c");
    }
    table_free(&table);
}

static const struct walk WALKS[] = {
    {1, 0.5, 1, 0.1}, {1, 6, 1, 0.1}, {2, 1, 1, 0.1},  {3, 0, 1, 0.1},
    {1, 2, 7, 0.1},   {1, 3, 2, 0.1}, {1, 4, 1, 0.05},
};
enum { WALK_COUNT = sizeof WALKS / sizeof WALKS[0] };

static double set_temperature(const char *name)
{
    const char *p = strstr(name, "c-0");
    return p == NULL ? NAN : atof(p - 2);
}

static struct brewery brewery_of(const char *name, double original, bool knows_limit)
{
    double level = strstr(name, "comm") ? 2.2 : strstr(name, "small") ? 3.1 : 2.8;
    double set = set_temperature(name),
           half = getenv("REPLAY_HALF") ? atof(getenv("REPLAY_HALF")) : 0.3;
    return (struct brewery){
        .yeast = strstr(name, "-lager-") ? "lager" : "ale",
        .low = knows_limit ? level - half : NAN,
        .high = knows_limit ? level + half : NAN,
        .warm = getenv("REPLAY_NO_FERMENT") ? NAN : set - 1,
        .warmer = set + 2,
        .original = original,
    };
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Replays the beers of the index with one way of reading, with or without their limit. */
static void replay_beers(const char *folder, const struct walk *walk, bool knows_limit,
                         size_t *false_calls, size_t *missed, size_t *finished, size_t *all,
                         double *median_days)
{
    char path[512];
    double delays[64];
    size_t delayed = 0;
    *false_calls = *missed = *finished = *all = 0;
    snprintf(path, sizeof path, "%s/SERIES.tsv", folder);
    struct table index = table_read(path);
    for (size_t row = 0; row < index.rows; row++) {
        const char *name = table_text(&index, row, "series");
        if (strcmp(table_text(&index, row, "liquid"), "beer") != 0)
            continue;
        struct record record;
        snprintf(record.name, sizeof record.name, "%s", name);
        snprintf(path, sizeof path, "%s/%s.tsv", folder, name);
        read_record(path, &record, 1);
        bool ended = strncmp(table_text(&index, row, "verdict"), "finished", 8) == 0;
        double end = ended ? told_end(table_text(&index, row, "why")) : NAN;
        struct brewery brewery = brewery_of(name, table_number(&index, row, "start"), knows_limit);
        struct outcome outcome = replay_record(&record, &brewery, walk, end);
        double delay = (outcome.called_hour - outcome.end_hour) / 24;
        printf("%-26s %-16.16s %6.0f %6.0f %5.1f %s  %s: %s\n", name,
               table_text(&index, row, "verdict"), outcome.end_hour, outcome.called_hour, delay,
               is_false_call(&outcome) ? "FALSE "
               : is_missed(&outcome)   ? "MISSED"
                                       : "      ",
               FINISH_VERDICT[outcome.last].name, outcome.reason);
        *false_calls += is_false_call(&outcome);
        *missed += is_missed(&outcome);
        *finished += isnan(outcome.end_hour) ? 0 : 1;
        *all += 1;
        if (!isnan(delay))
            delays[delayed++] = delay;
        free(record.hours);
    }
    table_free(&index);
    qsort(delays, delayed, sizeof delays[0], compare_doubles);
    *median_days = delayed == 0 ? NAN : delays[delayed / 2];
}

static void real_beers(void **state)
{
    (void)state;
    const char *folder = getenv("GYLE_SERIES");
    if (folder == NULL) {
        printf("note: replay of real beers skipped: GYLE_SERIES names no folder of series\n");
        return;
    }
    size_t bad = 0;
    for (int knows = 1; knows >= 0; knows--) {
        for (size_t w = 0; w < WALK_COUNT; w++) {
            size_t false_calls, missed, finished, all;
            double median;
            printf("\n%d a day, first at %.1f h, every %d, step %.2f, %s limit\n", WALKS[w].a_day,
                   WALKS[w].first_hour, WALKS[w].every, WALKS[w].step, knows ? "with" : "no");
            replay_beers(folder, &WALKS[w], knows, &false_calls, &missed, &finished, &all, &median);
            struct interval f = interval_of_rate(false_calls, all, 0.95);
            struct interval m = interval_of_rate(missed, finished, 0.95);
            printf("note: %s limit, reading plan %zu: %zu of %zu false (95 %%: %.2f..%.2f), %zu of "
                   "%zu missed (%.2f..%.2f), median delay %.1f days\n",
                   knows ? "with" : "no", w + 1, false_calls, all, f.low, f.high, missed, finished,
                   m.low, m.high, median);
            double most = (PRACTICE[YEAST_ALE].steady_days + 1) * fmax(WALKS[w].every % 7, 1);
            bad += knows && (false_calls > 0 || missed > 0 || !(median <= most));
        }
    }
    if (bad > 0)
        fail_msg("%zu reading plans fall short", bad);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(real_beers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
