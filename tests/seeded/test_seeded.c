/*
 * Faults put into made-up tanks: is each found within two days, and are healthy tanks left alone?
 * Every evening the whole book is judged as it stood then. The bounds are exact ones (Clopper and
 * Pearson), one-sided 95 %: found at least 93 of 100, a false alarm in at most one of 150
 * tank-days.
 *
 * In `make check` a part of it runs; GYLE_SEEDED=whole (make seeded) runs 1,000 faults and 5,000
 * tank-days.
 */
#include "../reference/table.h"
#include "../unit/anomaly_book.h"
#include "../unit/rate.h"
#include "book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#define FOUND_LEAST 0.93
#define FALSE_MOST  (1.0 / 150)

enum { WITHIN = 2 }; /* days */

/* The hour of the book at which a fault may first be read. */
typedef double (*seed)(struct seeded_book *book, struct noise *noise);

static double random_of(struct noise *noise, double low, double high)
{
    return seeded_between(noise, low, high);
}

/* Where the tank should end by what the book says of it: forced, else terminal. */
static double upper_limit(const struct seeded_tank *tank)
{
    return tank->has_forced ? tank->forced : tank->beer->end + 0.3;
}

static double lower_limit(const struct seeded_tank *tank)
{
    return tank->has_forced ? tank->forced : tank->beer->end - 0.3;
}

/* The next hour of the tank that is ten in the morning. */
static double at_ten(double hours)
{
    return 24 * ceil((hours + 5) / 24) - 5;
}

static double slow_start(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double by = strcmp(tank->beer->yeast, "lager") == 0 ? 72 : 30;
    tank->has_wort_ph = true;
    tank->lag = by + random_of(noise, 14, 80);
    tank->chill_at = tank->carbonate_at = tank->closed_at = tank->dry_hop_at = SEEDED_NEVER;
    return tank->pitched + by;
}

static double caustic(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->ph_add = random_of(noise, 0.15, 1.0);
    tank->lag = 30; /* it hampers the yeast */
    tank->has_wort_ph = true;
    return tank->pitched;
}

static double acid(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->ph_add = random_of(noise, 3.4, 4.1) - tank->wort_ph;
    tank->lag = 20;
    return tank->pitched;
}

static double bacteria(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->acid_at = seeded_hour_at(tank, random_of(noise, 0.02, 0.5));
    tank->acid_a_day = random_of(noise, 0.25, 0.6);
    tank->chill_at = tank->carbonate_at = SEEDED_NEVER;
    double hours = tank->acid_at;
    while (seeded_ph(tank, hours) > 3.6)
        hours += 1;
    return tank->pitched + hours;
}

static double wild_yeast(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->below_at = tank->finished_at - 24;
    tank->below_by = tank->end - lower_limit(tank) + random_of(noise, 0.5, 1.5);
    tank->dry_hop_at = tank->chill_at = tank->carbonate_at = SEEDED_NEVER;
    return tank->pitched + tank->below_at + 24;
}

static double stuck(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double above = upper_limit(tank) + random_of(noise, 1.0, 3.0) - tank->end;
    tank->stop_left = above / (tank->original - tank->end);
    tank->chill_at = tank->carbonate_at = tank->closed_at = tank->dry_hop_at = SEEDED_NEVER;
    double hours = 0;
    while (seeded_left(tank, hours) > tank->stop_left + 1e-6)
        hours += 0.5;
    return tank->pitched + hours;
}

static double chilled_early(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double above = random_of(noise, 1.0, 3.0), hours = 0;
    while (seeded_plato(tank, hours) > upper_limit(tank) + above + 0.1)
        hours += 0.5;
    tank->chill_at = at_ten(hours) - 24; /* the morning before it comes there */
    if (tank->chill_at < hours - 12)
        tank->chill_at = hours;
    tank->chilled_early = true;
    tank->closed_at = tank->dry_hop_at = tank->carbonate_at = SEEDED_NEVER;
    return tank->pitched + tank->chill_at;
}

static double wrong_sample(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->rise_at = tank->finished_at + random_of(noise, 0, 48);
    tank->rise_by = random_of(noise, 0.5, 1.5);
    return tank->pitched + tank->rise_at;
}

static double restart(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->chill_at = tank->carbonate_at = tank->dry_hop_at = SEEDED_NEVER;
    tank->restart_at = tank->finished_at + random_of(noise, 96, 144);
    tank->restart_by = random_of(noise, 0.5, 1.3);
    return tank->pitched + tank->restart_at;
}

static int days_needed(const struct seeded_tank *tank)
{
    bool slow =
        strcmp(tank->beer->yeast, "lager") == 0 || strcmp(tank->beer->yeast, "belgian") == 0;
    return slow ? 3 : 2;
}

static double ph_high(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->ph_high = random_of(noise, 4.65, 4.95) - tank->final_ph;
    tank->chill_at = tank->carbonate_at = tank->dry_hop_at = SEEDED_NEVER;
    return tank->pitched + tank->finished_at + 24 * (days_needed(tank) - 1);
}

static double hot(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double range = strcmp(tank->beer->yeast, "lager") == 0 ? 15 - tank->warm : 1.5;
    if (tank->beer->limits[0] == '\0')
        range = 25 - tank->warm; /* nothing of its own: the trade's range */
    tank->hot_at = random_of(noise, 20, 80);
    tank->hot_by = range + random_of(noise, 1.0, 6.0);
    return tank->pitched + tank->hot_at;
}

static double warm_cold(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double high = tank->beer->limits[0] == '\0' ? 4 : 2;
    tank->warm_cold = high - tank->cold + random_of(noise, 1.0, 5.0);
    return tank->pitched + tank->chill_at + 48;
}

static double chill_dead(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    (void)noise;
    tank->chill_dead = true;
    return tank->pitched + tank->chill_at + 20;
}

static double near_rated(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->full_at = random_of(noise, 40, 240);
    tank->full_part = random_of(noise, 0.82, 1.05);
    return tank->pitched + tank->full_at;
}

static double rising(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->press_at = tank->carbonate_at + random_of(noise, 36, 72);
    tank->press_a_day = random_of(noise, 0.2, 0.4);
    return tank->pitched + tank->press_at;
}

static double leak(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->press_at = tank->carbonate_at + random_of(noise, 36, 72);
    tank->press_a_day = -random_of(noise, 0.2, 0.3);
    return tank->pitched + tank->press_at;
}

static double not_building(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->closed_at = seeded_hour_at(tank, random_of(noise, 0.10, 0.2));
    tank->leaks = true;
    return tank->pitched + tank->closed_at + 40;
}

static double vdk(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->vdk = random_of(noise, 0.13, 0.3);
    return tank->pitched + tank->finished_at + 24 * days_needed(tank);
}

static double gas(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    double half = strcmp(tank->beer->name, "Wheat") == 0 || strcmp(tank->beer->name, "Blond") == 0
                      ? 0.15
                      : 0.10;
    double by = half + random_of(noise, 0.05, 0.4);
    tank->carbonation = tank->beer->carbonation + (noise_even(noise) < 0.5 ? by : -by);
    return tank->pitched + tank->carbonate_at;
}

static double air(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->oxygen = random_of(noise, 55, 200);
    return tank->pitched + tank->carbonate_at;
}

static double shift(struct seeded_book *book, struct noise *noise)
{
    double by = random_of(noise, 0.15, 0.4);
    for (int i = 0; i < book->tank_count; i++)
        book->tanks[i].chill_at = book->tanks[i].carbonate_at = book->tanks[i].dry_hop_at =
            SEEDED_NEVER;
    book->plant.shift_day = 14 + (int)(6 * noise_even(noise));
    book->plant.shift_meter = noise_even(noise) < 0.5;
    book->plant.shift_by = noise_even(noise) < 0.5 ? by : -by;
    return book->plant.shift_day * 24;
}

static double warm_room(struct seeded_book *book, struct noise *noise)
{
    book->plant.room_day = 10 + (int)(10 * noise_even(noise));
    book->plant.room_by = random_of(noise, 2.5, 6);
    return book->plant.room_day * 24;
}

static double backwards(struct seeded_book *book, struct noise *noise)
{
    book->plant.counter_day = 10 + (int)(10 * noise_even(noise));
    return book->plant.counter_day * 24;
}

static double passed_by(struct seeded_book *book, struct noise *noise)
{
    book->plant.missed_tank = 0;
    book->plant.missed_day = 8 + (int)(10 * noise_even(noise));
    return book->plant.missed_day * 24;
}

/* Which beers a fault can befall. */
enum { ANY, LIMITED, VDK_LIMITED };

static const struct fault {
    const char *name, *sizes;
    seed seed;
    int beers;
    enum anomaly_rule rules[3]; /* any of them; the first one repeated where there are fewer */
    int tanks;
} FAULTS[] = {
    {"slow start",
     "still in the wort 14..80 h after its hour",
     slow_start,
     LIMITED,
     {ANOMALY_SLOW_START, ANOMALY_SLOW_START, ANOMALY_SLOW_START},
     2},
    {"caustic in the tank",
     "pH 0.15..1.0 over the wort's",
     caustic,
     ANY,
     {ANOMALY_PH_ABOVE_WORT, ANOMALY_PH_ABOVE_WORT, ANOMALY_PH_ABOVE_WORT},
     2},
    {"acid in the tank",
     "pH 3.4..4.1 on the first day",
     acid,
     ANY,
     {ANOMALY_PH_ACID_EARLY, ANOMALY_PH_LOW, ANOMALY_PH_LOW},
     2},
    {"bacteria",
     "0.25..0.6 pH a day, from pH 3.6 on",
     bacteria,
     ANY,
     {ANOMALY_PH_LOW, ANOMALY_PH_LOW, ANOMALY_PH_LOW},
     2},
    {"wild yeast",
     "0.5..1.5 P below the limit",
     wild_yeast,
     LIMITED,
     {ANOMALY_GRAVITY_BELOW, ANOMALY_RESTART, ANOMALY_RESTART},
     2},
    {"stuck",
     "1..3 P above the limit",
     stuck,
     LIMITED,
     {ANOMALY_STUCK, ANOMALY_STALLED, ANOMALY_STALLED},
     2},
    {"chilled early",
     "1..3 P above the limit",
     chilled_early,
     LIMITED,
     {ANOMALY_CHILLED_EARLY, ANOMALY_CHILLED_EARLY, ANOMALY_CHILLED_EARLY},
     2},
    {"another tank's sample",
     "0.5..1.5 P too high, two days",
     wrong_sample,
     ANY,
     {ANOMALY_GRAVITY_RISING, ANOMALY_GRAVITY_RISING, ANOMALY_GRAVITY_RISING},
     2},
    {"fermenting again",
     "0.5..1.3 P in 30 h",
     restart,
     LIMITED,
     {ANOMALY_RESTART, ANOMALY_GRAVITY_BELOW, ANOMALY_GRAVITY_BELOW},
     2},
    {"high final pH",
     "pH 4.65..4.95",
     ph_high,
     ANY,
     {ANOMALY_PH_HOLD, ANOMALY_PH_NOT_PASSED, ANOMALY_PH_FINAL},
     2},
    {"too hot",
     "1..6 C over its range",
     hot,
     ANY,
     {ANOMALY_TEMP_FERMENT, ANOMALY_TEMP_JUMP, ANOMALY_TEMP_JUMP},
     2},
    {"cold not cold",
     "1..5 C over its range",
     warm_cold,
     ANY,
     {ANOMALY_TEMP_COLD, ANOMALY_TEMP_NOT_FALLING, ANOMALY_TEMP_NOT_FALLING},
     2},
    {"no chill",
     "stays warm",
     chill_dead,
     ANY,
     {ANOMALY_TEMP_NOT_FALLING, ANOMALY_TEMP_COLD, ANOMALY_TEMP_COLD},
     2},
    {"pressure near rated",
     "0.82..1.05 of it",
     near_rated,
     ANY,
     {ANOMALY_PRESSURE_RATED, ANOMALY_PRESSURE_RATED, ANOMALY_PRESSURE_RATED},
     2},
    {"pressure rising",
     "0.2..0.4 bar a day",
     rising,
     ANY,
     {ANOMALY_PRESSURE_RISING, ANOMALY_PRESSURE_RATED, ANOMALY_PRESSURE_RATED},
     2},
    {"leak",
     "0.2..0.3 bar a day",
     leak,
     ANY,
     {ANOMALY_PRESSURE_FALLING, ANOMALY_PRESSURE_FALLING, ANOMALY_PRESSURE_FALLING},
     2},
    {"no pressure builds",
     "closed at 10..20 % to go",
     not_building,
     ANY,
     {ANOMALY_PRESSURE_NOT_BUILDING, ANOMALY_PRESSURE_NOT_BUILDING, ANOMALY_PRESSURE_NOT_BUILDING},
     2},
    {"VDK over the limit",
     "0.13..0.3 mg/L",
     vdk,
     LIMITED,
     {ANOMALY_VDK_HIGH, ANOMALY_VDK_HIGH, ANOMALY_VDK_HIGH},
     2},
    {"too little or much gas",
     "0.05..0.4 vol out of range",
     gas,
     LIMITED,
     {ANOMALY_CARBONATION, ANOMALY_CARBONATION, ANOMALY_CARBONATION},
     2},
    {"oxygen",
     "55..200 ppb of 50",
     air,
     LIMITED,
     {ANOMALY_OXYGEN, ANOMALY_OXYGEN, ANOMALY_OXYGEN},
     2},
    {"a meter off in all tanks",
     "0.15..0.4 pH, one day",
     shift,
     ANY,
     {ANOMALY_METER_SHIFT, ANOMALY_METER_SHIFT, ANOMALY_METER_SHIFT},
     6},
    {"cold room warm",
     "to 4.5..9 C",
     warm_room,
     ANY,
     {ANOMALY_CHECK_LIMITS, ANOMALY_CHECK_LIMITS, ANOMALY_CHECK_LIMITS},
     2},
    {"counter backwards",
     "digits swapped",
     backwards,
     ANY,
     {ANOMALY_CHECK_COUNTER, ANOMALY_CHECK_COUNTER, ANOMALY_CHECK_COUNTER},
     2},
    {"tank passed by",
     "two rounds",
     passed_by,
     ANY,
     {ANOMALY_ROUND_MISSED, ANOMALY_ROUND_MISSED, ANOMALY_ROUND_MISSED},
     2},
};
enum { FAULT_COUNT = sizeof FAULTS / sizeof FAULTS[0] };

/* The beers that have a limit come first in the list; those without any last. */
static const struct seeded_beer *draw_beer(struct noise *noise, int beers)
{
    int n = beers == LIMITED ? SEEDED_BEER_COUNT - 1 : SEEDED_BEER_COUNT;
    return &SEEDED_BEERS[(int)(n * noise_even(noise))];
}

static struct str cellar_text, book_text;
static const struct history *earlier; /* batches; NULL: none */

/* The findings of an evening. */
static struct anomaly_findings judge(struct anomaly_test *test, int day)
{
    anomaly_test_open(test, cellar_text.p);
    anomaly_test_load(test, book_text.p, SEEDED_EPOCH + day * CIVIL_DAY + 20 * CIVIL_HOUR);
    if (test->diags.errors > 0) {
        diag_write(stderr, &test->diags);
        fail_msg("the made-up book has errors");
    }
    test->judged.history = earlier;
    return anomaly_judge(&test->judged);
}

static bool is_meant(const struct fault *fault, const struct anomaly_finding *f)
{
    bool plant = ANOMALY_RULES[f->rule].scope == ANOMALY_OF_METERS ||
                 ANOMALY_RULES[f->rule].scope == ANOMALY_OF_PLANT;
    if (f->level < ANOMALY_WARN ||
        (!plant && (f->batch == NULL || !str_is(f->batch->number->text, "0001"))))
        return false;
    return f->rule == fault->rules[0] || f->rule == fault->rules[1] || f->rule == fault->rules[2];
}

/* The day after the onset on which the fault is found, or -1; *alarm: as an alarm. */
static int find_fault(const struct fault *fault, struct noise *noise, struct arena *arena,
                      bool *alarm)
{
    struct seeded_book book;
    double onset;
    do { /* the book must go on beyond it */
        book = (struct seeded_book){.tank_count = fault->tanks, .plant = seeded_plant_sound()};
        for (int i = 0; i < book.tank_count; i++)
            book.tanks[i] = seeded_tank(noise, draw_beer(noise, i == 0 ? fault->beers : ANY), i + 1,
                                        24 * (i == 0 ? 1 : 1 + i % 3) + 15);
        onset = fault->seed(&book, noise);
    } while (onset > 24 * (SEEDED_DAYS - WITHIN - 1));
    struct buf buf = buf_new(arena);
    seeded_write(&buf, &book, noise);
    book_text = buf_str(&buf);
    int first = (int)floor((onset - 7.7) / 24) + 1, found = -1; /* the round that can read it */
    *alarm = false;
    for (int day = first; day <= first + WITHIN && day < SEEDED_DAYS; day++) {
        struct anomaly_test test;
        struct anomaly_findings findings = judge(&test, day);
        for (size_t i = 0; i < findings.n; i++)
            if (is_meant(fault, &findings.items[i])) {
                found = found < 0 ? day - first : found;
                *alarm |= findings.items[i].level == ANOMALY_ALARM;
            }
        anomaly_test_close(&test);
        if (found >= 0 && *alarm)
            break;
    }
    return found;
}

static bool is_whole(void)
{
    const char *asked = getenv("GYLE_SEEDED");
    return asked != NULL && strcmp(asked, "whole") == 0;
}

static void faults(void **state)
{
    struct noise noise = {UINT64_C(0x9e3779b97f4a7c15)};
    struct arena arena;
    size_t each = is_whole() ? 42 : 12, all = 0, all_found = 0;
    (void)state;
    arena_init(&arena, NULL, NULL);
    print_message("note: seeded faults, found within %d days (by day 0, 1, 2), as an alarm\n",
                  WITHIN);
    for (int i = 0; i < FAULT_COUNT; i++) {
        size_t by_day[WITHIN + 1] = {0}, found = 0, alarms = 0;
        for (size_t k = 0; k < each; k++) {
            bool alarm;
            int day = find_fault(&FAULTS[i], &noise, &arena, &alarm);
            arena_reset(&arena);
            if (day < 0)
                continue;
            found++;
            by_day[day]++;
            alarms += alarm;
        }
        print_message("note:   %-25s %-34s %2zu of %zu (%zu %zu %zu) %2zu\n", FAULTS[i].name,
                      FAULTS[i].sizes, found, each, by_day[0], by_day[1], by_day[2], alarms);
        all += each;
        all_found += found;
    }
    struct rate interval = rate_of(all_found, all, 0.90);
    print_message("note: %zu of %zu faults found: %.1f %%, at least %.1f %% (one-sided 95 %%)\n",
                  all_found, all, 100.0 * (double)all_found / (double)all, 100 * interval.low);
    arena_free(&arena);
    assert_true(interval.low >= FOUND_LEAST);
}

/* Whether the finding was not counted yet: by rule, level, and batch or subject. */
static bool is_new(struct buf *keys, const struct anomaly_finding *f)
{
    char key[96];
    snprintf(key, sizeof key, "|%d %d %.40s %.40s|", (int)f->rule, (int)f->level,
             f->batch != NULL ? f->batch->number->text.p : "-",
             f->subject.n > 0 ? f->subject.p : "-");
    for (char *c = key; *c != '\0'; c++) /* slices are not ended by NUL */
        if (*c == '\n')
            *c = '\0';
    if (keys->n > 0 && strstr(keys->p, key) != NULL)
        return false;
    buf_add(keys, str_of(key));
    return true;
}

struct counts {
    size_t days, by_rule[ANOMALY_COUNT][ANOMALY_ALARM + 1];
};

static size_t count_level(const struct counts *counts, enum anomaly_level level)
{
    size_t n = 0;
    for (int rule = 0; rule < ANOMALY_COUNT; rule++)
        n += counts->by_rule[rule][level];
    return n;
}

/* A cellar of healthy tanks, every evening of its month. */
static void watch_cellar(struct counts *counts, struct noise *noise, struct arena *arena)
{
    struct seeded_book book = {.tank_count = SEEDED_TANKS, .plant = seeded_plant_sound()};
    for (int i = 0; i < SEEDED_TANKS; i++)
        book.tanks[i] = seeded_tank(noise, draw_beer(noise, ANY), i + 1,
                                    24 * floor(random_of(noise, 0, 12)) + 15);
    struct buf buf = buf_new(arena), keys = buf_new(arena);
    seeded_write(&buf, &book, noise);
    book_text = buf_str(&buf);
    for (int day = 0; day < SEEDED_DAYS; day++) {
        struct anomaly_test test;
        struct anomaly_findings findings = judge(&test, day);
        for (size_t i = 0; i < findings.n; i++)
            if (is_new(&keys, &findings.items[i]))
                counts->by_rule[findings.items[i].rule][findings.items[i].level]++;
        for (int i = 0; i < SEEDED_TANKS; i++)
            counts->days += book.tanks[i].pitched < day * 24 + 20;
        anomaly_test_close(&test);
    }
}

static void healthy(void **state)
{
    struct noise noise = {UINT64_C(0xd1b54a32d192ed03)};
    size_t wanted = is_whole() ? 5000 : 650;
    struct counts counts = {.days = 0};
    struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    while (counts.days < wanted) {
        watch_cellar(&counts, &noise, &arena);
        arena_reset(&arena);
    }
    print_message("note: healthy tanks, %zu tank-days: alarms, warnings, notes by rule\n",
                  counts.days);
    for (int rule = 0; rule < ANOMALY_COUNT; rule++) {
        const size_t *n = counts.by_rule[rule];
        if (n[ANOMALY_ALARM] + n[ANOMALY_WARN] + n[ANOMALY_NOTE] > 0)
            print_message("note:   %-22s %3zu %3zu %3zu\n", ANOMALY_RULES[rule].name,
                          n[ANOMALY_ALARM], n[ANOMALY_WARN], n[ANOMALY_NOTE]);
    }
    size_t alarms = count_level(&counts, ANOMALY_ALARM);
    struct rate interval = rate_of(alarms, counts.days, 0.90);
    print_message("note: %zu false alarms: %.2f in 200 tank-days, at most %.2f (one-sided 95 %%); "
                  "%.2f warnings\n",
                  alarms, 200.0 * (double)alarms / (double)counts.days, 200 * interval.high,
                  200.0 * (double)count_level(&counts, ANOMALY_WARN) / (double)counts.days);
    arena_free(&arena);
    assert_true(interval.high <= FALSE_MOST);
}

/* What earlier batches of each beer are worth. */

static double slow_yeast(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->stretch *= random_of(noise, 1.8, 3.0);
    tank->chill_at = tank->carbonate_at = tank->closed_at = tank->dry_hop_at = SEEDED_NEVER;
    return tank->pitched + seeded_hour_at(tank, 0.9);
}

/* Slower acid than bacteria(), looked for from the hour on at which it begins. */
static double slow_acid(struct seeded_book *book, struct noise *noise)
{
    struct seeded_tank *tank = &book->tanks[0];
    tank->acid_at = seeded_hour_at(tank, random_of(noise, 0.02, 0.3));
    tank->acid_a_day = random_of(noise, 0.12, 0.22);
    tank->chill_at = tank->carbonate_at = SEEDED_NEVER;
    return tank->pitched + tank->acid_at;
}

static const struct fault SUBTLE[] = {
    {"slow yeast",
     "1.8..3 times as long",
     slow_yeast,
     ANY,
     {ANOMALY_SLOW_COURSE, ANOMALY_SLOW_START, ANOMALY_STALLED},
     2},
    {"slow acid",
     "0.12..0.22 pH a day",
     slow_acid,
     ANY,
     {ANOMALY_PH_LOW, ANOMALY_PH_COURSE, ANOMALY_PH_COURSE},
     2},
};

/* So many healthy batches of each beer, half a year before the books that are judged. */
static void brew_earlier(struct history *history, int each, struct noise *noise,
                         struct arena *arena)
{
    struct anomaly_test test;
    struct seeded_day days[SEEDED_DAYS];
    struct seeded_plant sound = seeded_plant_sound();
    int64_t now = SEEDED_EPOCH + SEEDED_DAYS * CIVIL_DAY;
    *history = (struct history){.arena = arena};
    for (int k = 0; k < each * SEEDED_BEER_COUNT; k++) {
        struct seeded_tank tank =
            seeded_tank(noise, &SEEDED_BEERS[k % SEEDED_BEER_COUNT], 8000 + k, 15);
        struct buf buf = buf_new(arena);
        seeded_days(days, &sound, noise);
        seeded_batch(&buf, &tank, 0, days, &sound, noise);
        anomaly_test_open(&test, cellar_text.p);
        anomaly_test_load(&test, buf.p, now);
        struct batch_courses courses = batch_courses(test.judged.batches[0], &test.arena, now);
        const struct finish_context context = {
            .cellar = test.book.cellar, .arena = &test.arena, .now = now};
        struct finish finish = finish_judge(&context, &courses.items[0]);
        history_add(history, &finish);
        anomaly_test_close(&test);
    }
    for (size_t i = 0; i < history->batches.n; i++)
        history->batches.items[i].zero -= (int64_t)(180 + i) * CIVIL_DAY;
}

static void with_earlier(void **state)
{
    static const int EACH[] = {0, 3, 10};
    size_t each = is_whole() ? 60 : 12, wanted = is_whole() ? 2000 : 300;
    struct counts worst = {.days = 0};
    size_t found[3][2] = {{0}};
    (void)state;
    print_message("note: earlier batches of each beer: subtle faults found within %d days; alarms "
                  "and warnings in 200 healthy tank-days\n",
                  WITHIN);
    for (int e = 0; e < 3; e++) {
        struct noise noise = {UINT64_C(0xa0761d6478bd642f)};
        struct arena kept, arena;
        struct history history;
        struct counts counts = {.days = 0};
        arena_init(&kept, NULL, NULL);
        arena_init(&arena, NULL, NULL);
        brew_earlier(&history, EACH[e], &noise, &kept);
        earlier = &history;
        noise.state = UINT64_C(0xe7037ed1a0b428db); /* the same faults and tanks for each */
        for (int i = 0; i < 2; i++)
            for (size_t k = 0; k < each; k++) {
                bool alarm;
                found[e][i] += find_fault(&SUBTLE[i], &noise, &arena, &alarm) >= 0;
                arena_reset(&arena);
            }
        while (counts.days < wanted) {
            watch_cellar(&counts, &noise, &arena);
            arena_reset(&arena);
        }
        print_message("note:   %2d: %s %zu of %zu, %s %zu of %zu; %.2f alarms, %.2f warnings\n",
                      EACH[e], SUBTLE[0].name, found[e][0], each, SUBTLE[1].name, found[e][1], each,
                      200.0 * (double)count_level(&counts, ANOMALY_ALARM) / (double)counts.days,
                      200.0 * (double)count_level(&counts, ANOMALY_WARN) / (double)counts.days);
        if (e == 2)
            worst = counts;
        earlier = NULL;
        arena_free(&arena);
        arena_free(&kept);
    }
    assert_true(found[2][0] > found[0][0] && found[2][1] > found[0][1]);
    assert_int_equal(count_level(&worst, ANOMALY_ALARM), 0);
}

/* Recorded tanks that fermented well, of the thesis named in tests/reference/fermentation. Their
 * probes were not calibrated: the offset that brings each to pH 4.25 at its end is taken off, which
 * leaves its course. Its fall before the chill is judged, day by day, at six hours of the day. */
static const char *const RECORDED[] = {
    "shu-comm-mix4040-17c-00",  "shu-pilot-ale-22c-00",     "shu-pilot-ale-22c-02",
    "shu-pilot-ale-22c-03",     "shu-pilot-lager-22c-01",   "shu-pilot-mix2060-22c-00",
    "shu-pilot-mix2060-22c-02", "shu-pilot-mix2060-22c-03", "shu-pilot-mix2060-22c-04",
    "shu-pilot-mix4040-22c-02", "shu-pilot-mix6020-22c-01", "shu-small-lager-20c-02",
    "shu-small-mix2060-20c-02", "shu-small-mix6020-20c-02"};

enum { RECORDED_DAYS = 14 };

/* The row of the table nearest to an hour, within one hour; SIZE_MAX. */
static size_t row_at(const struct table *table, double hour)
{
    size_t best = SIZE_MAX;
    double away = 1;
    for (size_t row = 0; row < table->rows; row++) {
        double from = fabs(table_number(table, row, "hours") - hour);
        if (from <= away && !isnan(table_number(table, row, "gravity"))) {
            away = from;
            best = row;
        }
    }
    return best;
}

/* What is to be added to its pH; NAN without a pH about its end. */
static double probe_offset(const struct table *table)
{
    double sum = 0;
    size_t n = 0;
    for (size_t row = 0; row < table->rows; row++) {
        double hours = table_number(table, row, "hours"), ph = table_number(table, row, "ph");
        if (hours < 100 || hours > 122 || isnan(ph))
            continue;
        sum += ph;
        n++;
    }
    return n == 0 ? NAN : 4.25 - sum / (double)n;
}

static void write_recorded(struct buf *buf, const struct table *table, double first_hour)
{
    char at[CIVIL_TEXT_SIZE];
    double offset = probe_offset(table);
    size_t start = row_at(table, 0.5);
    buf_printf(buf, "---\nbatch: 0001\nbeer: Recorded\nbrewed: %s\noriginal: %.1f P\n",
               seeded_time(0, at), table_number(table, start, "gravity"));
    if (!isnan(offset) && !isnan(table_number(table, start, "ph")))
        buf_printf(buf, "wort-ph: %.2f\n", table_number(table, start, "ph") + offset);
    buf_printf(buf, "tanks: [{tank: F1, from: %s}]\nreadings:\n", seeded_time(0, at));
    for (int day = 0; day < RECORDED_DAYS; day++) {
        double hour = 24 * day + first_hour;
        size_t row = row_at(table, hour);
        if (row == SIZE_MAX)
            continue;
        buf_printf(buf, "  - {at: %s, gravity: %.1f P", seeded_time(hour, at),
                   table_number(table, row, "gravity"));
        if (!isnan(offset) && !isnan(table_number(table, row, "ph")))
            buf_printf(buf, ", ph: %.2f", table_number(table, row, "ph") + offset);
        if (!isnan(table_number(table, row, "temp_c")))
            buf_printf(buf, ", temp: %.1f C", table_number(table, row, "temp_c"));
        buf_printf(buf, "}\n");
    }
}

static void recorded(void **state)
{
    static const char CELLAR[] =
        "---\ncellar: Recorded\nzone: UTC\ntanks:\n  F1: {kind: fermenter}\nbeers:\n"
        "  Recorded: {yeast: ale, terminal: 2.2..3.1 P, ph: 4.00..4.50, ferment: 16..24 C}\n";
    const char *folder = getenv("GYLE_SERIES");
    size_t counts[ANOMALY_COUNT][ANOMALY_ALARM + 1] = {{0}}, days = 0, alarms = 0;
    (void)state;
    if (folder == NULL) {
        print_message("note: recorded tanks skipped: GYLE_SERIES names no folder of series\n");
        return;
    }
    cellar_text = str_of(CELLAR);
    for (size_t i = 0; i < sizeof RECORDED / sizeof RECORDED[0]; i++) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s.tsv", folder, RECORDED[i]);
        struct table table = table_read(path);
        for (double hour = 2; hour < 24; hour += 4) {
            struct arena arena;
            arena_init(&arena, NULL, NULL);
            struct buf buf = buf_new(&arena), keys = buf_new(&arena);
            write_recorded(&buf, &table, hour);
            book_text = buf_str(&buf);
            for (int day = 0; day < RECORDED_DAYS; day++) {
                struct anomaly_test test;
                struct anomaly_findings findings = judge(&test, day + 1);
                for (size_t k = 0; k < findings.n; k++)
                    if (is_new(&keys, &findings.items[k]))
                        counts[findings.items[k].rule][findings.items[k].level]++;
                days++;
                anomaly_test_close(&test);
            }
            arena_free(&arena);
        }
        table_free(&table);
    }
    print_message("note: recorded tanks, offsets of their probes taken off: %zu tank-days (14 "
                  "tanks, each read at six hours of the day)\n",
                  days);
    for (int rule = 0; rule < ANOMALY_COUNT; rule++) {
        alarms += counts[rule][ANOMALY_ALARM];
        if (counts[rule][ANOMALY_ALARM] + counts[rule][ANOMALY_WARN] > 0)
            print_message("note:   %-22s %3zu %3zu %3zu\n", ANOMALY_RULES[rule].name,
                          counts[rule][ANOMALY_ALARM], counts[rule][ANOMALY_WARN],
                          counts[rule][ANOMALY_NOTE]);
    }
    print_message("note: %zu false alarms: %.2f in 200 tank-days\n", alarms,
                  200.0 * (double)alarms / (double)days);
}

static int set_up(void **state)
{
    static struct arena arena;
    (void)state;
    arena_init(&arena, NULL, NULL);
    struct buf cellar = buf_new(&arena);
    seeded_cellar(&cellar);
    cellar_text = buf_str(&cellar);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(faults), cmocka_unit_test(healthy),
                                       cmocka_unit_test(with_earlier), cmocka_unit_test(recorded)};
    return cmocka_run_group_tests(tests, set_up, NULL);
}
