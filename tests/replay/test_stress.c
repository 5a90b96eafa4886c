/*
 * Made-up fermentations as careless people read them: one to three readings a day at any hour, days
 * without one, a scale of 0.1 P or a hydrometer's 0.001 SG, a meter that jitters by a step, single
 * wild readings. What is true at each reading is known, so that every call can be judged.
 */
#include "../unit/noise.h"
#include "../unit/rate.h"
#include "replay.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* What becomes of a beer, and how it is read. */
enum fate {
    ENDS,
    WARMED,
    COOLED,
    HOPPED_EARLY,
    HOPPED_LATE,
    CHILLED_LATE,
    CHILLED_EARLY,
    TRICKLES,
    STICKS,
    HALF_WAY,
    FATES
};
enum meter { TENTHS, JITTER, SPIKES, HYDROMETER, METERS };
enum knows { FORCED, TERMINAL, NOTHING, KNOWS };

static const struct {
    const char *name;
    bool ends;
} FATE[FATES] = {
    [ENDS] = {"ends", true},
    [WARMED] = {"warmed by 4 C", true},
    [COOLED] = {"cooled by 4 C", true},
    [HOPPED_EARLY] = {"dry hopped before the end", true},
    [HOPPED_LATE] = {"dry hopped after the end", true},
    [CHILLED_LATE] = {"chilled after the end", true},
    [CHILLED_EARLY] = {"chilled before the end", false},
    [TRICKLES] = {"trickles", false},
    [STICKS] = {"sticks", false},
    [HALF_WAY] = {"record stops half way", false},
};
/* The verdicts at the end of the record that are right for one that does not end. */
#define BIT(verdict) (1U << FINISH_##verdict)
static const unsigned RIGHT[FATES] = {
    [CHILLED_EARLY] = BIT(CHILLED_EARLY),
    [TRICKLES] = BIT(SLOWING) | BIT(FINISHED) | BIT(STUCK),
    [STICKS] = BIT(STUCK),
    [HALF_WAY] = BIT(FERMENTING) | BIT(SLOWING),
};
static const char *const METER_NAMES[METERS] = {"0.1 P", "0.1 P, jitters", "0.1 P, wild readings",
                                                "0.001 SG"};
static const char *const KNOWS_NAMES[KNOWS] = {"forced", "terminal", "no limit"};

enum { MOST_HOURS = 2000 };

/* A beer hour by hour: what it reads, what is to go by then, and how warm it is. */
struct truth {
    enum fate fate;
    bool lager;
    double original, end; /* P */
    double forced;        /* where wort without hops would end */
    double end_hour;      /* within 0.1 P of its last level; NAN: never */
    double event_hour;    /* of what befalls it; NAN: nothing */
    int hours;            /* the record's length */
    double plato[MOST_HOURS], to_go[MOST_HOURS], celsius[MOST_HOURS];
};

static double between(struct noise *noise, double low, double high)
{
    return low + (high - low) * noise_even(noise);
}

static bool chance(struct noise *noise, double share)
{
    return noise_even(noise) < share;
}

/* How fast yeast works at a temperature, against 20 C: Q10 of 2.3, next to nothing when cold. */
static double speed_at(double celsius)
{
    return celsius < 6 ? 0.02 : pow(2.3, (celsius - 20) / 10);
}

/* Where the event of a fate comes: the share of the extract left, or hours after the end. */
static bool is_event_due(struct noise *noise, const struct truth *truth, double left, int hour)
{
    bool ended = !isnan(truth->end_hour);
    switch (truth->fate) {
    case WARMED:
    case COOLED:
        return left < 0.5 && chance(noise, 0.1);
    case HOPPED_EARLY:
        return left < 0.25 && chance(noise, 0.1);
    case CHILLED_EARLY:
        return left < 0.35 && chance(noise, 0.1);
    case HOPPED_LATE:
    case CHILLED_LATE:
        return ended && hour > truth->end_hour + 48 && chance(noise, 0.05);
    default:
        return false;
    }
}

/*
 * Yeast grows, then eats what is left in proportion to left / (half + left). Hops set free more to
 * eat over days. One that sticks stops at a level; one that trickles eats its last 1.5 P at a
 * constant creep.
 */
static void ferment(struct noise *noise, struct truth *truth)
{
    double per_day = truth->lager ? between(noise, 1, 1.8) : between(noise, 2.5, 6);
    double half = between(noise, 0.2, truth->lager ? 1 : 1.5), lag = between(noise, 8, 24);
    double warm = truth->lager ? 11 : 20, target = warm, celsius = warm, hops = 0, left;
    double stuck = between(noise, 1, 3.5), creep = between(noise, 0.05, 0.12) / 24;
    double freed = between(noise, 0.01, 0.02), cooling = between(noise, 0.05, 0.2);
    double whole = left = truth->original - truth->end;
    int last = MOST_HOURS;
    truth->end_hour = truth->event_hour = NAN;
    for (int hour = 0; hour < last; hour++) {
        truth->plato[hour] = truth->end + left;
        truth->to_go[hour] = left + hops;
        truth->celsius[hour] = celsius;
        truth->hours = hour + 1;
        if (isnan(truth->event_hour) && is_event_due(noise, truth, left / whole, hour)) {
            truth->event_hour = hour;
            bool chills = truth->fate == CHILLED_EARLY || truth->fate == CHILLED_LATE;
            target = chills ? 2 : truth->fate == WARMED ? warm + 4 : warm - 4;
            if (truth->fate == HOPPED_EARLY || truth->fate == HOPPED_LATE) {
                target = warm;
                hops = between(noise, 0.1, 0.8);
                truth->end_hour = NAN;
            }
        }
        celsius += (target - celsius) * cooling;
        double grown = 1 / (1 + exp(-(hour - lag) / 5));
        double lost =
            per_day / 24 * (truth->lager ? 1 : speed_at(celsius)) * grown * left / (half + left);
        if (truth->lager && celsius < 6)
            lost *= 0.02;
        if (truth->fate == TRICKLES && left <= 1.5)
            lost = fmin(lost, creep);
        if (truth->fate == STICKS && left - lost < stuck)
            lost = 0;
        left = fmax(0, left - lost) + hops * freed;
        truth->end = truth->end - hops * freed;
        hops -= hops * freed;
        if (isnan(truth->end_hour) && left + hops <= 0.1 && truth->fate != TRICKLES &&
            truth->fate != CHILLED_EARLY)
            truth->end_hour = hour;
        if (truth->fate == HALF_WAY && left < 0.5 * whole)
            last = hour + 1;
        if (truth->fate == CHILLED_EARLY && last == MOST_HOURS && !isnan(truth->event_hour))
            last = hour + 24 * 14;
        bool waits = truth->fate == HOPPED_LATE || truth->fate == CHILLED_LATE ||
                     truth->fate == HOPPED_EARLY;
        if (last == MOST_HOURS && !isnan(truth->end_hour) && !(waits && isnan(truth->event_hour)))
            last = (int)fmin(last, hour + 24 * 14);
    }
    if (isnan(truth->end_hour) && truth->hours == MOST_HOURS)
        truth->hours = 24 * 25;
}

static void draw_truth(struct noise *noise, enum fate fate, struct truth *truth)
{
    truth->fate = fate;
    truth->lager = chance(noise, 0.25);
    truth->original = rounded(between(noise, 9, 19), 0.1);
    truth->forced = truth->end = truth->original * between(noise, 0.16, 0.3);
    ferment(noise, truth);
}

static double read_off(struct noise *noise, enum meter meter, double plato)
{
    plato += 0.03 * noise_normal(noise);
    if (meter == JITTER)
        plato += chance(noise, 0.5) ? 0 : chance(noise, 0.5) ? 0.1 : -0.1;
    if (meter == SPIKES && chance(noise, 0.04))
        plato += between(noise, 0.6, 2.5) * (chance(noise, 0.7) ? 1 : -1);
    return meter == HYDROMETER ? plato : rounded(plato, 0.1);
}

/* One to three readings a day between six and ten, and now and then a day to three without one. */
static void read_truth(struct noise *noise, const struct truth *truth, enum meter meter,
                       struct taken *taken)
{
    bool tells_temperature = chance(noise, 0.8) || truth->fate == CHILLED_EARLY;
    int free_days = 0;
    taken->n = 0;
    for (int day = 0; day * 24 < truth->hours; day++) {
        if (free_days == 0 && chance(noise, 0.12))
            free_days = 1 + (int)between(noise, 0, 3);
        if (free_days > 0 && free_days-- > 0)
            continue;
        int count = 1 + (int)between(noise, 0, 3);
        for (int k = 0; k < count; k++) {
            /* The pitch is at eight: the day's hours from 22 to 38 since then are 06:00 to 22:00.
             */
            double hour = day * 24 - 2 + 16 * (k + noise_even(noise)) / count;
            if (hour < 4 || hour >= truth->hours - 1 || taken->n == 512)
                continue;
            size_t i = taken->n++;
            taken->hour[i] = floor(hour * 60) / 60;
            taken->plato[i] = read_off(noise, meter, truth->plato[(int)hour]);
            taken->celsius[i] =
                tells_temperature ? truth->celsius[(int)hour] + 0.3 * noise_normal(noise) : NAN;
        }
    }
}

static struct brewery brewery_of(struct noise *noise, const struct truth *truth, enum meter meter,
                                 enum knows knows)
{
    struct brewery brewery = {.yeast = truth->lager ? "lager" : "ale",
                              .low = NAN,
                              .high = NAN,
                              .warm = truth->lager ? 9 : 18,
                              .warmer = truth->lager ? 14 : 25,
                              .original = truth->original,
                              .forced = NAN,
                              .number = 1,
                              .in_sg = meter == HYDROMETER};
    static const char *const WORDS[FATES] = {[HOPPED_EARLY] = "dry hop",
                                             [HOPPED_LATE] = "dry hop",
                                             [CHILLED_LATE] = "chill",
                                             [CHILLED_EARLY] = "chill"};
    if (knows == FORCED)
        brewery.forced = rounded(truth->forced + 0.05 * noise_normal(noise), 0.1);
    if (knows == TERMINAL) {
        double middle = truth->end + between(noise, -0.15, 0.15);
        brewery.low = middle - 0.3;
        brewery.high = middle + 0.3;
    }
    if (WORDS[truth->fate] != NULL && !isnan(truth->event_hour) &&
        (truth->fate != CHILLED_EARLY || chance(noise, 0.5))) {
        brewery.events[0].hour = truth->event_hour;
        brewery.events[0].what = WORDS[truth->fate];
        brewery.event_count = 1;
    }
    return brewery;
}

/* Of one kind of course: how many, how many were called falsely, ended, were missed, and how many
 * days late the others were. */
enum { MOST_COURSES = 8192 };
struct tally {
    size_t n, false_calls, ended, missed, called, right;
    double days[MOST_COURSES];
};

static void note_course(struct tally *tally, const struct tally *one)
{
    tally->n += one->n;
    tally->false_calls += one->false_calls;
    tally->right += one->right;
    tally->ended += one->ended;
    tally->missed += one->missed;
    for (size_t i = 0; i < one->called; i++)
        tally->days[tally->called++] = one->days[i];
}

/* A call is false while more than the margin and a step of the scale is to go; in a brewery that
 * knows a limit, only if gravity is as much above that as well. */
static bool is_false(const struct finish *finish, double plato, double to_go)
{
    double most = finish->limit.margin_plato + finish->last->step;
    double above = plato - finish->limit.high_plato;
    return to_go > most && (isnan(above) || above > most);
}

static void replay_truth(const struct truth *truth, const struct brewery *brewery,
                         const struct taken *taken, const char *title, struct tally *one)
{
    struct replay replay;
    double called = NAN, end = truth->end_hour;
    bool was_false = false;
    int readings_after = 0;
    replay_begin(&replay, brewery, taken);
    for (size_t i = 0; i < taken->n; i++) {
        struct judged judged;
        replay_judge(&replay, taken->hour[i], &judged);
        const struct finish *finish = &judged.finish;
        bool over = FINISH_VERDICT[finish->verdict].is_over;
        double to_go = truth->to_go[(int)taken->hour[i]];
        if (over && is_false(finish, truth->plato[(int)taken->hour[i]], to_go) && !was_false) {
            was_false = true;
            printf("  FALSE %s: %.1f P at %.0f h, %.2f P to go, limit %.1f..%.1f P: %s\n", title,
                   finish->gravity_plato, taken->hour[i], to_go, finish->limit.low_plato,
                   finish->limit.high_plato, finish->reason);
        }
        one->right = (RIGHT[truth->fate] & 1U << finish->verdict) != 0;
        readings_after += taken->hour[i] >= end;
        if (!over)
            called = taken->hour[i] < end ? NAN : called;
        else if (isnan(called))
            called = taken->hour[i];
        if (i + 1 == taken->n && !isnan(end) && isnan(called) && getenv("STRESS_EACH"))
            printf("  MISSED %s: %.1f P, %s: %s\n", title, finish->gravity_plato,
                   FINISH_VERDICT[finish->verdict].name, finish->reason);
    }
    replay_end(&replay);
    one->n = 1;
    one->false_calls = was_false;
    one->ended = !isnan(end) && readings_after >= 6;
    one->missed = one->ended && isnan(called);
    one->called = 0;
    if (one->ended && !isnan(called))
        one->days[one->called++] = fmax(0, called - end) / 24;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The median, and between which two of n sorted values it lies for sure (95 %, binomial). */
static void print_tally(const char *title, struct tally *tally)
{
    struct rate f = rate_of(tally->false_calls, tally->n, 0.95);
    printf("note: %-26s %4zu courses, %zu called falsely (%.3f..%.3f)", title, tally->n,
           tally->false_calls, f.low, f.high);
    if (tally->ended == 0)
        printf(", %zu with the right verdict at the end", tally->right);
    else {
        struct rate m = rate_of(tally->missed, tally->ended, 0.95);
        size_t n = tally->called, low = 0;
        double sum = 0, term = pow(0.5, (double)n);
        qsort(tally->days, n, sizeof tally->days[0], compare);
        while (n > 0 && n < 1000 && low < n / 2 && sum + term <= 0.025) {
            sum += term;
            term *= (double)(n - low) / (double)(low + 1);
            low++;
        }
        if (n >= 1000)
            low = (size_t)((double)n / 2 - 0.98 * sqrt((double)n));
        printf(", %zu of %zu missed (%.3f..%.3f), %.1f days late (%.1f..%.1f)", tally->missed,
               tally->ended, m.low, m.high, n == 0 ? NAN : tally->days[n / 2],
               n == 0 ? NAN : tally->days[low > 0 ? low - 1 : 0],
               n == 0 ? NAN : tally->days[n - low]);
    }
    printf("\n");
}

static struct tally by_fate[FATES], by_meter[METERS], by_knows[KNOWS], all;

static void stress(void **state)
{
    (void)state;
    static struct truth truth;
    static struct taken taken;
    static struct tally one;
    struct noise noise = {20261125};
    int count = getenv("STRESS") != NULL ? atoi(getenv("STRESS")) : 8;
    for (int fate = 0; fate < FATES; fate++)
        for (int k = 0; k < count * METERS * KNOWS; k++) {
            enum meter meter = (enum meter)(k % METERS);
            enum knows knows = (enum knows)(k / METERS % KNOWS);
            char title[120];
            draw_truth(&noise, (enum fate)fate, &truth);
            if ((truth.fate == STICKS || truth.fate == TRICKLES) && knows == NOTHING)
                continue; /* nothing tells it from a beer that ends there, but a month of days */
            read_truth(&noise, &truth, meter, &taken);
            if (taken.n < 2)
                continue;
            struct brewery brewery = brewery_of(&noise, &truth, meter, knows);
            snprintf(title, sizeof title, "%s, %s, %s, %s", FATE[fate].name, METER_NAMES[meter],
                     KNOWS_NAMES[knows], truth.lager ? "lager" : "ale");
            replay_truth(&truth, &brewery, &taken, title, &one);
            note_course(&by_fate[fate], &one);
            note_course(&by_meter[meter], &one);
            note_course(&by_knows[knows], &one);
            note_course(&all, &one);
        }
    for (int i = 0; i < FATES; i++)
        print_tally(FATE[i].name, &by_fate[i]);
    for (int i = 0; i < METERS; i++)
        print_tally(METER_NAMES[i], &by_meter[i]);
    for (int i = 0; i < KNOWS; i++)
        print_tally(KNOWS_NAMES[i], &by_knows[i]);
    print_tally("all", &all);
    size_t missed = by_knows[FORCED].missed + by_knows[TERMINAL].missed;
    size_t ended = by_knows[FORCED].ended + by_knows[TERMINAL].ended;
    if (all.false_calls > 0 || missed * 50 > ended)
        fail_msg("%zu false calls, %zu missed where a limit is known", all.false_calls, missed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stress),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
