/*
 * Whole fermentations, day by day: when is each first called finished? Real beers are read from the
 * folder $GYLE_SERIES (they have no stated licence and are not part of this repository); wines with
 * one, and generated beers, are tested everywhere.
 */
#include "../reference/table.h"
#include "../unit/noise.h"
#include "../unit/rate.h"
#include "practice.h"
#include "series.h"

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

static struct outcome replay_taken(const struct brewery *brewery, const struct taken *taken,
                                   double end)
{
    struct replay replay;
    struct outcome outcome = {end, NAN, FINISH_NO_JUDGEMENT, ""};
    replay_begin(&replay, brewery, taken);
    for (size_t i = 0; i < taken->n; i++) {
        struct judged judged;
        replay_judge(&replay, taken->hour[i], &judged);
        struct finish finish = judged.finish;
        bool called = FINISH_VERDICT[finish.verdict].is_over;
        if (called && isnan(outcome.called_hour))
            outcome.called_hour = taken->hour[i];
        outcome.last = finish.verdict;
        snprintf(outcome.reason, sizeof outcome.reason, "%s", finish.reason);
        if (getenv("REPLAY_DAYS"))
            printf("  %5.0f h %5.2f P %5.1f C  %d  %s: %s\n", taken->hour[i], taken->plato[i],
                   taken->celsius[i], finish.days_steady, FINISH_VERDICT[finish.verdict].name,
                   finish.reason);
    }
    replay_end(&replay);
    return outcome;
}

static struct outcome replay_record(const struct record *record, const struct brewery *brewery,
                                    const struct walk *walk, double end)
{
    static struct taken taken;
    take(record, walk, &taken);
    return replay_taken(brewery, &taken, end);
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
        .forced = NAN,
        .number = 1,
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
        series_read(path, &record);
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
        record_free(&record);
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
            struct rate f = rate_of(false_calls, all, 0.95);
            struct rate m = rate_of(missed, finished, 0.95);
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

/* One to three readings a day between six and ten at night, and now and then a day to three
 * without one. */
static void take_at_random(struct noise *noise, const struct record *record, struct taken *taken)
{
    double last = record->hours[record->n - 1];
    int free_days = 0;
    taken->n = 0;
    for (int day = 0; day * 24.0 <= last; day++) {
        if (free_days == 0 && noise_even(noise) < 0.12)
            free_days = 1 + (int)(3 * noise_even(noise));
        if (free_days > 0 && free_days-- > 0)
            continue;
        int count = 1 + (int)(3 * noise_even(noise));
        for (int k = 0; k < count; k++) {
            double hour = day * 24.0 + 16 * (k + noise_even(noise)) / count;
            double plato = record_at(record, record->plato, hour);
            if (hour < 2 || hour > last || isnan(plato) || taken->n == 512)
                continue;
            taken->hour[taken->n] = floor(hour * 60) / 60;
            taken->plato[taken->n] = rounded(plato, 0.1);
            taken->celsius[taken->n++] = record_at(record, record->celsius, hour);
        }
    }
}

/* The shared beers, each read so in many ways. */
static void real_beers_at_random(void **state)
{
    (void)state;
    enum { SEEDS = 12 };
    static struct taken taken;
    static double delays[64 * SEEDS];
    char path[512];
    const char *folder = getenv("GYLE_SERIES");
    struct noise noise = {20261125};
    size_t false_calls = 0, missed = 0, ended = 0, all = 0, called = 0;
    if (folder == NULL)
        return; /* real_beers() says so */
    snprintf(path, sizeof path, "%s/SERIES.tsv", folder);
    struct table index = table_read(path);
    for (size_t row = 0; row < index.rows; row++) {
        const char *name = table_text(&index, row, "series");
        if (strcmp(table_text(&index, row, "liquid"), "beer") != 0)
            continue;
        struct record record;
        snprintf(path, sizeof path, "%s/%s.tsv", folder, name);
        series_read(path, &record);
        bool ends = strncmp(table_text(&index, row, "verdict"), "finished", 8) == 0;
        double end = ends ? told_end(table_text(&index, row, "why")) : NAN;
        struct brewery brewery = brewery_of(name, table_number(&index, row, "start"), true);
        for (int seed = 0; seed < SEEDS; seed++) {
            take_at_random(&noise, &record, &taken);
            struct outcome outcome = replay_taken(&brewery, &taken, end);
            /* the end is told by daily readings, so a call may come up to a day before it */
            outcome.end_hour -= 24;
            if (is_false_call(&outcome))
                printf("  FALSE %s: called at %.0f h\n", name, outcome.called_hour);
            if (is_missed(&outcome) && getenv("REPLAY_MISSED"))
                printf("  MISSED %s: %s: %s\n", name, FINISH_VERDICT[outcome.last].name,
                       outcome.reason);
            size_t after = 0;
            for (size_t i = 0; i < taken.n; i++)
                after += taken.hour[i] >= end;
            false_calls += is_false_call(&outcome);
            all++;
            if (after < 6)
                continue; /* no reader could tell */
            missed += is_missed(&outcome);
            ended += ends;
            if (ends && !isnan(outcome.called_hour))
                delays[called++] = (outcome.called_hour - end) / 24;
        }
        record_free(&record);
    }
    table_free(&index);
    qsort(delays, called, sizeof delays[0], compare_doubles);
    struct rate f = rate_of(false_calls, all, 0.95);
    struct rate m = rate_of(missed, ended, 0.95);
    printf("note: with limit, read at any hour, with gaps: %zu of %zu replays false (95 %%: "
           "%.3f..%.3f), %zu of %zu missed (%.3f..%.3f), median delay %.1f days\n",
           false_calls, all, f.low, f.high, missed, ended, m.low, m.high,
           called == 0 ? NAN : delays[called / 2]);
    if (false_calls > 0 || missed * 50 > ended)
        fail_msg("%zu false, %zu missed", false_calls, missed);
}

/* Red wines under a licence: sugar in g/L as P by a tenth. They end dry, on the day that the table
 * tells (under 2 g/L and flat after), with readings every one or two days. */
static void wines(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double dry_hour;
    } WINES[] = {
        {"redwine-c-17l-b", 192}, {"redwine-c-fresh-a", 144}, {"redwine-c-frozen-b", 192},
        {"redwine-s-17l-b", 144}, {"redwine-s-fresh-b", 144}, {"redwine-s-frozen-a", 120},
    };
    static const struct walk WALK = {1, 0, 1, 0.1};
    for (size_t i = 0; i < sizeof WINES / sizeof WINES[0]; i++) {
        struct record record;
        char path[128];
        snprintf(path, sizeof path, "tests/reference/fermentation/%s.tsv", WINES[i].name);
        series_read(path, &record);
        for (size_t k = 0; k < record.n; k++)
            record.plato[k] /= 10;
        struct brewery brewery = brewery_of("wine", record.plato[0], false);
        brewery.low = -0.3;
        brewery.high = 0.2;
        brewery.warm = 18;
        brewery.warmer = 30;
        struct outcome outcome = replay_record(&record, &brewery, &WALK, WINES[i].dry_hour);
        if (is_false_call(&outcome) || is_missed(&outcome))
            fail_msg("%s: dry at %.0f h, called at %.0f h", WINES[i].name, outcome.end_hour,
                     outcome.called_hour);
        record_free(&record);
    }
}

/* Generated tanks, read each morning with noise on a scale of 0.1 P. */
enum fate { ENDS, STICKS, TRICKLES, CHILLED, FATES };
static const char *const FATE_NAMES[FATES] = {"ends", "sticks", "trickles", "chilled early"};

struct tank {
    enum fate fate;
    double original, limit, half, rate; /* P, h, per hour */
    double stuck_at;                    /* P */
    double chill_hour;
};

static double between(struct noise *noise, double low, double high)
{
    return low + (high - low) * noise_even(noise);
}

/* Gravity with time: a logistic to the limit; one that trickles covers the last 1.5 P at 0.1 P a
 * day; one that sticks goes to a higher end; one that is chilled stays where it was. */
static double gravity_at(const struct tank *tank, double hour)
{
    double end = tank->fate == STICKS ? tank->stuck_at : tank->limit;
    double trickle_from = tank->limit + 1.5;
    if (tank->fate == CHILLED && hour > tank->chill_hour)
        hour = tank->chill_hour + 10 * (1 - exp(-(hour - tank->chill_hour) / 10));
    if (tank->fate == TRICKLES)
        end = trickle_from;
    double plato = end + (tank->original - end) / (1 + exp(tank->rate * (hour - tank->half)));
    if (tank->fate == TRICKLES)
        plato -= fmin(1.5, 0.1 / 24 * fmax(0, hour - 2 * tank->half));
    return plato;
}

static struct tank draw_tank(struct noise *noise, enum fate fate)
{
    struct tank tank = {.fate = fate};
    tank.original = between(noise, 9, 18);
    tank.limit = rounded(tank.original * between(noise, 0.15, 0.28), 0.1);
    tank.half = between(noise, 30, 80);
    tank.rate = between(noise, 4, 6) / tank.half;
    tank.stuck_at = tank.limit + between(noise, 0.7, 3);
    /* While it still falls fast: a third to a tenth of the way is left. */
    double left = between(noise, 0.1, 0.33);
    tank.chill_hour = tank.half + log(1 / left - 1) / tank.rate;
    return tank;
}

static void record_tank(struct noise *noise, const struct tank *tank, struct record *record)
{
    double last = tank->fate == TRICKLES ? 2 * tank->half + 600 : 4 * tank->half + 240;
    record->n = 0;
    for (double hour = between(noise, 8, 24); hour < last; hour += 24) {
        size_t i = record->n++;
        record->hours[i] = hour + between(noise, -0.7, 0.7);
        record->plato[i] = gravity_at(tank, record->hours[i]) + 0.04 * noise_normal(noise);
        record->celsius[i] = 20;
        if (tank->fate == CHILLED)
            record->celsius[i] -= 19 * (1 - exp(-fmax(0, hour - tank->chill_hour) / 12));
    }
}

/* The first hour from which gravity stays within 0.1 P and a margin of the limit; NAN: never. */
static double near_limit(const struct tank *tank, double above)
{
    for (double hour = 0; hour < 1500; hour += 0.5)
        if (gravity_at(tank, hour) <= tank->limit + above)
            return tank->fate == STICKS || tank->fate == CHILLED ? NAN : hour;
    return NAN;
}

static void generated_tanks(void **state)
{
    (void)state;
    enum { TANKS = 400 };
    struct noise noise = {20261125};
    struct record record;
    static struct taken taken;
    assert_true(record_room(&record, 400));
    for (int fate = 0; fate < FATES; fate++) {
        size_t early = 0, missed = 0, right = 0;
        for (int k = 0; k < TANKS; k++) {
            struct tank tank = draw_tank(&noise, (enum fate)fate);
            struct brewery brewery = brewery_of("generated", rounded(tank.original, 0.1), false);
            brewery.forced = tank.limit;
            record_tank(&noise, &tank, &record);
            take_all(&record, 0.1, &taken);
            double end = near_limit(&tank, 0.4);
            struct outcome outcome = replay_taken(&brewery, &taken, end);
            early += is_false_call(&outcome) ? 1 : 0;
            missed += is_missed(&outcome) ? 1 : 0;
            bool is_right = outcome.last == (fate == STICKS    ? FINISH_STUCK
                                             : fate == CHILLED ? FINISH_CHILLED_EARLY
                                                               : FINISH_FINISHED);
            right += is_right ? 1 : 0;
            if (!is_right)
                printf("  %s: limit %.1f P, last reading %.1f P, %s: %s\n", FATE_NAMES[fate],
                       tank.limit, taken.plato[taken.n - 1], FINISH_VERDICT[outcome.last].name,
                       outcome.reason);
        }
        printf("note: %d generated tanks, %s: %zu called too early, %zu missed, %zu with the right "
               "verdict at the end\n",
               TANKS, FATE_NAMES[fate], early, missed, right);
        if (early > 0 || missed > 0 || right < TANKS * 95 / 100)
            fail_msg("%s: %zu early, %zu missed, %zu right", FATE_NAMES[fate], early, missed,
                     right);
    }
    record_free(&record);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(real_beers),
        cmocka_unit_test(real_beers_at_random),
        cmocka_unit_test(wines),
        cmocka_unit_test(generated_tanks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
