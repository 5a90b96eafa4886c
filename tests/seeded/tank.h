/*
 * A made-up tank of beer, healthy or with one fault, and the readings that a round takes of it. For
 * tests only.
 *
 * What is real in it:
 *   - the fall of gravity is the median of twelve recorded tanks (REMAIN_GENERIC), stretched;
 *   - pH runs ahead of gravity as it did in the pilot tanks of the same thesis: of its whole fall
 *     0.34 was left when 0.95 of the extract was, and 0.16 at 0.52 (medians of 9 tanks, computed
 *     here);
 *   - chilling raises pH by 0.08..0.17 (11 of those tanks); undegassed samples read up to 0.5 P
 * high while gas comes off (6 of 11);
 *   - now and then an electrode is not rinsed, or a sample not degassed;
 *   - two gravity readings of one sample differ by 0.05 P (within one laboratory, EBC trial of
 *     1999), two pH readings by about 0.03.
 * The rest (temperatures, pressures, the days people do what) is common practice without a source.
 */
#ifndef GYLE_TESTS_SEEDED_TANK_H
#define GYLE_TESTS_SEEDED_TANK_H

#include "../unit/noise.h"
#include "remain.h"
#include "str.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

enum { SEEDED_DAYS = 32 };

/* The beers of the made-up cellar: what they do and what cellar.yaml says of them. */
struct seeded_beer {
    const char *name, *yeast, *limits; /* limits: the rest of its entry, "" for none */
    double original, end, wort_ph, final_ph;
    double warm, cold; /* C */
    double carbonation;
    double stretch; /* of the generic course */
    double trickle; /* P that the last part takes a day by itself */
};

static const struct seeded_beer SEEDED_BEERS[] = {
    {"Pale", "ale",
     "terminal: 2.2..2.8 P, ph: 4.05..4.45, vdk: ..0.10 mg/L, ferment: 18..20 C, cold: -1..2 C, "
     "carbonation: 2.4..2.6 vol, oxygen: ..50 ppb",
     12.0, 2.5, 5.10, 4.22, 19.0, 0.8, 2.50, 0.9, 0},
    {"Stout", "ale",
     "terminal: 3.6..4.2 P, ph: 4.10..4.50, vdk: ..0.10 mg/L, ferment: 18..21 C, cold: -1..2 C, "
     "carbonation: 2.2..2.4 vol, oxygen: ..50 ppb",
     14.4, 3.9, 5.14, 4.27, 19.6, 0.8, 2.30, 1.0, 0},
    {"Wheat", "wheat",
     "terminal: 2.4..3.0 P, ph: 4.10..4.50, ferment: 18..22 C, cold: -1..2 C, "
     "carbonation: 2.5..2.8 vol, oxygen: ..50 ppb",
     11.9, 2.7, 5.12, 4.29, 20.2, 0.8, 2.65, 0.85, 0},
    {"Lager", "lager",
     "terminal: 2.1..2.6 P, ph: 4.20..4.60, vdk: ..0.10 mg/L, ferment: 10..15 C, cold: -1..2 C, "
     "carbonation: 2.4..2.6 vol, oxygen: ..50 ppb",
     11.7, 2.4, 5.20, 4.36, 12.0, 0.8, 2.50, 2.2, 0},
    {"Blond", "belgian",
     "terminal: 1.6..2.4 P, ph: 3.95..4.40, ferment: 20..26 C, cold: -1..2 C, "
     "carbonation: 2.5..2.8 vol, oxygen: ..50 ppb",
     15.6, 1.9, 5.13, 4.12, 24.5, 0.8, 2.65, 0.9, 0.10},
    {"Guest", "ale", "", 13.0, 3.0, 5.15, 4.30, 19.5, 1.0, 2.40, 1.0, 0},
};
enum { SEEDED_BEER_COUNT = sizeof SEEDED_BEERS / sizeof SEEDED_BEERS[0] };

/* One tank. Hours count from the pitch. What a fault changes is neutral unless it is set. */
struct seeded_tank {
    const struct seeded_beer *beer;
    int number;
    double pitched; /* hours since the book's first midnight */
    double original, end, forced, wort_ph, final_ph, warm, cold, lag, stretch, ph_slow;
    double chill_rise, pressure, closed_at, dry_hop_at, creep, vdk, carbonation, oxygen;
    double finished_at, chill_at, carbonate_at;
    bool has_forced, has_wort_ph;

    double stop_left;           /* it goes no further than that share */
    double ph_add;              /* from the start: caustic above 0, acid below */
    double acid_at, acid_a_day; /* bacteria */
    double below_by;            /* it ends so far under its end, from below_at on */
    double below_at;
    double rise_at, rise_by; /* P read too high, for two days */
    double restart_at, restart_by;
    double ph_high;               /* added to the final pH */
    double hot_at, hot_by;        /* C */
    double warm_cold;             /* C that the cold stays too warm */
    bool chill_dead;              /* the chill does not bite */
    double press_at, press_a_day; /* bar, rising or falling from then on */
    double full_at, full_part;    /* pressure is that part of the rated one */
    bool leaks;                   /* closed, and nothing builds */
    bool chilled_early;
};

#define SEEDED_NEVER 1e9
#define SEEDED_RATED 1.5

static inline double seeded_between(struct noise *noise, double low, double high)
{
    return low + (high - low) * noise_even(noise);
}

/* The generic course ends at a hundredth; what is left then goes by half in four hours. */
#define SEEDED_TAIL 0.0103
#define SEEDED_HALF 4.0

/* The hour at which a share is left. */
static inline double seeded_hour_at(const struct seeded_tank *tank, double left)
{
    double hours = left > SEEDED_TAIL
                       ? remain_hours_at(&REMAIN_GENERIC, left)
                       : REMAIN_GENERIC.end_hours + SEEDED_HALF * log2(SEEDED_TAIL / left);
    return tank->lag + tank->stretch * hours;
}

/* The share left at an hour of the generic course. */
static inline double seeded_generic(double hours)
{
    const struct remain_course *course = &REMAIN_GENERIC;
    if (hours <= 0)
        return 1;
    for (size_t i = 1; i < course->n; i++)
        if (hours <= course->hours[i]) {
            double part =
                (hours - course->hours[i - 1]) / (course->hours[i] - course->hours[i - 1]);
            return course->left[i - 1] + part * (course->left[i] - course->left[i - 1]);
        }
    return SEEDED_TAIL * exp2(-(hours - course->end_hours) / SEEDED_HALF);
}

static inline double seeded_left(const struct seeded_tank *tank, double hours)
{
    double left = seeded_generic((hours - tank->lag) / tank->stretch);
    double extract = tank->original - tank->end;
    if (tank->beer->trickle > 0 && left < 0.12) { /* the last part only trickles */
        double since = hours - seeded_hour_at(tank, 0.12);
        left = fmax(0, 0.12 - tank->beer->trickle * since / 24 / extract);
    }
    left = fmax(left, tank->stop_left);
    if (tank->chilled_early && hours > tank->chill_at) {
        struct seeded_tank warm = *tank;
        warm.chilled_early = false;
        double was = seeded_left(&warm, tank->chill_at);
        left = fmax(left, was - 0.03 * (1 - exp(-(hours - tank->chill_at) / 30)));
    }
    return left;
}

/* A draw of a healthy tank. */
static inline struct seeded_tank seeded_tank(struct noise *noise, const struct seeded_beer *beer,
                                             int number, double pitched)
{
    struct seeded_tank tank = {
        .beer = beer,
        .number = number,
        .pitched = pitched,
        .original = beer->original + 0.15 * noise_normal(noise),
        .end = beer->end + 0.12 * noise_normal(noise),
        .wort_ph = beer->wort_ph + 0.03 * noise_normal(noise),
        .final_ph = beer->final_ph + 0.04 * noise_normal(noise),
        .warm = beer->warm + seeded_between(noise, -0.3, 0.3),
        .cold = beer->cold + seeded_between(noise, -0.3, 0.3),
        .lag = seeded_between(noise, 0, 4),
        .stretch = beer->stretch * exp(0.1 * noise_normal(noise)),
        .ph_slow = seeded_between(noise, 0.2, 0.4),
        .chill_rise = seeded_between(noise, 0.08, 0.17),
        .pressure = seeded_between(noise, 0.05, 0.2),
        .vdk = seeded_between(noise, 0.02, 0.08),
        .carbonation = beer->carbonation + seeded_between(noise, -0.07, 0.07),
        .oxygen = seeded_between(noise, 12, 40),
        .closed_at = SEEDED_NEVER,
        .dry_hop_at = SEEDED_NEVER,
        .has_forced = noise_even(noise) < 0.8,
        .has_wort_ph = noise_even(noise) < 0.95,
        .stop_left = 0,
        .acid_at = SEEDED_NEVER,
        .below_at = SEEDED_NEVER,
        .rise_at = SEEDED_NEVER,
        .restart_at = SEEDED_NEVER,
        .hot_at = SEEDED_NEVER,
        .press_at = SEEDED_NEVER,
        .full_at = SEEDED_NEVER,
    };
    double extract = tank.original - tank.end;
    tank.forced = tank.end + 0.06 * noise_normal(noise);
    tank.finished_at = beer->trickle > 0
                           ? seeded_hour_at(&tank, 0.12) + 0.12 * extract / beer->trickle * 24
                           : seeded_hour_at(&tank, 0.005);
    if (noise_even(noise) < 0.4)
        tank.closed_at = seeded_hour_at(&tank, seeded_between(noise, 0.06, 0.10));
    if (noise_even(noise) < 0.3) {
        tank.dry_hop_at = tank.finished_at + 24;
        tank.creep = seeded_between(noise, 0, 0.2);
    }
    tank.chill_at = 24 * ceil(tank.finished_at / 24) + 24 * floor(seeded_between(noise, 4, 6)) -
                    5; /* at ten in the morning: pitched at three */
    tank.carbonate_at = tank.chill_at + 24 * 4;
    return tank;
}

/* What is true of it at an hour. */

static inline double seeded_plato(const struct seeded_tank *tank, double hours)
{
    double plato = tank->end + (tank->original - tank->end) * seeded_left(tank, hours);
    if (hours > tank->dry_hop_at)
        plato -= tank->creep * (1 - exp(-(hours - tank->dry_hop_at) / 48));
    if (hours > tank->below_at)
        plato -= fmin(tank->below_by, tank->below_by * (hours - tank->below_at) / 24);
    if (hours > tank->restart_at)
        plato -= fmin(tank->restart_by, tank->restart_by * (hours - tank->restart_at) / 30);
    return plato;
}

static inline double seeded_ph(const struct seeded_tank *tank, double hours)
{
    double left = hours <= 0 ? 1 : seeded_left(tank, hours);
    double final = tank->final_ph + tank->ph_high;
    double shape = tank->ph_slow * left + (1 - tank->ph_slow) * pow(left, 40);
    double ph = final + (tank->wort_ph - final) * shape;
    ph += tank->ph_add;
    if (hours > tank->chill_at && !tank->chill_dead)
        ph += tank->chill_rise * (1 - exp(-(hours - tank->chill_at) / 20));
    if (hours > tank->acid_at)
        ph = fmax(3.3, ph - tank->acid_a_day * (hours - tank->acid_at) / 24);
    return ph;
}

static inline double seeded_celsius(const struct seeded_tank *tank, double hours)
{
    double warm = tank->warm - 0.5 * exp(-fmax(hours, 0) / 12);
    double cold = tank->cold + tank->warm_cold;
    if (hours > tank->chill_at && !tank->chill_dead)
        return cold + (warm - cold) * exp(-(hours - tank->chill_at) / 15);
    if (hours > tank->hot_at)
        return warm + tank->hot_by * (1 - exp(-(hours - tank->hot_at + 6) / 6));
    return warm;
}

static inline double seeded_bar(const struct seeded_tank *tank, double hours)
{
    double bar = tank->pressure;
    if (hours > tank->full_at)
        return tank->full_part * SEEDED_RATED;
    if (hours > tank->closed_at && !tank->leaks) {
        double built = (seeded_plato(tank, tank->closed_at) - seeded_plato(tank, hours)) * 1.0;
        bar += fmin(0.55, built);
    }
    if (hours > tank->chill_at + 20 && hours < tank->carbonate_at)
        bar = 0.3 + (bar - 0.3) * exp(-(hours - tank->chill_at - 20) / 30);
    if (hours > tank->carbonate_at)
        bar = 0.60;
    if (hours > tank->press_at)
        bar = fmax(0, bar + tank->press_a_day * (1 + floor((hours - tank->press_at) / 24)));
    return bar;
}

#endif
