/*
 * A made-up book: tanks, two pH meters and a density meter, two people, and what they write down on
 * their rounds; as the text of the files. For tests only.
 */
#ifndef GYLE_TESTS_SEEDED_BOOK_H
#define GYLE_TESTS_SEEDED_BOOK_H

#include "civil.h"
#include "tank.h"

enum { SEEDED_TANKS = 8 };

/* The book's first midnight: Monday, 2 March 2026, UTC. */
#define SEEDED_EPOCH INT64_C(1772409600)

#define SEEDED_PH_SD    0.02 /* of a reading, besides what the meter is off on its day */
#define SEEDED_PLATO_SD 0.05
#define SEEDED_FOAMING  0.03  /* of the readings while gas comes off are not degassed */
#define SEEDED_RINSE    0.005 /* of the pH readings are off by 0.1..0.4: electrode badly rinsed */
#define SEEDED_SKIPPED  0.02  /* of the readings are not taken */
#define SEEDED_NO_ROUND 0.03  /* of the days */

/* A fault of the whole book. */
struct seeded_plant {
    int shift_day, shift_meter; /* that meter is off that day in all tanks; day -1: none */
    double shift_by;
    int due_missed_from; /* nobody calibrates from that day on; SEEDED_DAYS: never */
    int room_day;        /* the cold room is warm from that day on */
    double room_by;
    int counter_day;             /* a counter is read with digits swapped that day */
    int missed_day, missed_tank; /* two rounds from that day leave a tank out */
};

static inline struct seeded_plant seeded_plant_sound(void)
{
    return (struct seeded_plant){.shift_day = -1,
                                 .due_missed_from = SEEDED_DAYS,
                                 .room_day = SEEDED_DAYS,
                                 .counter_day = -1,
                                 .missed_day = SEEDED_DAYS};
}

struct seeded_book {
    struct seeded_tank tanks[SEEDED_TANKS];
    int tank_count;
    struct seeded_plant plant;
};

static inline void seeded_cellar(struct buf *buf)
{
    buf_printf(buf, "---\ncellar: Seeded\nzone: UTC\nunits: {gravity: P, temperature: C, pressure: "
                    "bar, volume: hL, carbonation: vol}\ntanks:\n");
    for (int i = 0; i < SEEDED_TANKS; i++)
        buf_printf(buf, "  F%d: {kind: unitank, capacity: 30 hL, rated: %.1f bar}\n", i + 1,
                   SEEDED_RATED);
    buf_printf(buf, "beers:\n");
    for (int i = 0; i < SEEDED_BEER_COUNT; i++)
        buf_printf(buf, "  %s: {yeast: %s%s%s}\n", SEEDED_BEERS[i].name, SEEDED_BEERS[i].yeast,
                   SEEDED_BEERS[i].limits[0] == '\0' ? "" : ", ", SEEDED_BEERS[i].limits);
    buf_printf(buf, "meters:\n  M0: {reads: ph, kind: bench}\n  M1: {reads: ph, kind: handheld}\n"
                    "  D1: {reads: gravity, kind: density, step: 0.1 P}\n"
                    "checks:\n  cold room: {reads: temperature, limits: 1..4 C}\n"
                    "  water in: {reads: volume, counter: yes}\n");
}

static inline const char *seeded_time(double hours, char text[CIVIL_TEXT_SIZE])
{
    int64_t at = SEEDED_EPOCH + (int64_t)(hours * CIVIL_HOUR);
    return civil_minute(civil_utc(), at - at % CIVIL_MINUTE, text);
}

static inline void seeded_head(struct buf *buf, const struct seeded_tank *tank)
{
    char at[CIVIL_TEXT_SIZE];
    buf_printf(buf, "---\nbatch: %04d\nbeer: %s\nbrewed: %s\nvolume: 28 hL\noriginal: %.1f P\n",
               tank->number, tank->beer->name, seeded_time(tank->pitched, at), tank->original);
    if (tank->has_wort_ph)
        buf_printf(buf, "wort-ph: %.2f\n", tank->wort_ph);
    if (tank->has_forced)
        buf_printf(buf, "forced: {gravity: %.1f P, at: %s}\n", tank->forced,
                   seeded_time(tank->pitched + 42, at));
    buf_printf(buf, "tanks: [{tank: F%d, from: %s}]\n", tank->number % 10,
               seeded_time(tank->pitched, at));
}

static inline void seeded_events(struct buf *buf, const struct seeded_tank *tank)
{
    const struct {
        const char *what;
        double at;
    } events[] = {{"pitch", 0.5},
                  {"close", tank->closed_at},
                  {"dry hop", tank->dry_hop_at},
                  {"chill", tank->chill_at},
                  {"carbonate", tank->carbonate_at}};
    char at[CIVIL_TEXT_SIZE];
    buf_printf(buf, "events:\n");
    for (size_t i = 0; i < sizeof events / sizeof events[0]; i++)
        if (tank->pitched + events[i].at < SEEDED_DAYS * 24)
            buf_printf(buf, "  - {at: %s, what: %s}\n",
                       seeded_time(tank->pitched + events[i].at, at), events[i].what);
}

/* What a person reads of a tank at an hour of its own, with a meter that is off by so much. */
static inline void seeded_reading(struct buf *buf, const struct seeded_tank *tank, double hours,
                                  int person, double meter_off, struct noise *noise)
{
    char at[CIVIL_TEXT_SIZE];
    bool cold = hours > tank->chill_at, bright = hours > tank->carbonate_at;
    double plato = seeded_plato(tank, hours) + SEEDED_PLATO_SD * noise_normal(noise);
    double left = seeded_left(tank, hours);
    double foam = noise_even(noise), foam_by = seeded_between(noise, 0.1, 0.5);
    if (foam < SEEDED_FOAMING && left > 0.02 && left < 0.98)
        plato += foam_by;
    if (hours >= tank->rise_at && hours < tank->rise_at + 48)
        plato += tank->rise_by;
    double ph = seeded_ph(tank, hours) + meter_off + SEEDED_PH_SD * noise_normal(noise);
    double rinse = noise_even(noise), rinse_by = seeded_between(noise, 0.1, 0.4);
    if (rinse < SEEDED_RINSE)
        ph += rinse < SEEDED_RINSE / 2 ? rinse_by : -rinse_by;
    double celsius = seeded_celsius(tank, hours) + 0.15 * noise_normal(noise);
    double bar = seeded_bar(tank, hours) + 0.02 * noise_normal(noise);
    double vdk = tank->vdk * (1 + 0.1 * noise_normal(noise));
    double vol = tank->carbonation + 0.01 * noise_normal(noise);
    double ppb = tank->oxygen + noise_normal(noise);
    buf_printf(buf, "  - {at: %s", seeded_time(tank->pitched + hours, at));
    if (!cold || tank->chilled_early)
        buf_printf(buf, ", gravity: %.1f P, gravity-meter: D1, ph: %.2f, ph-meter: M%d", plato, ph,
                   person);
    buf_printf(buf, ", temp: %.1f C, pressure: %.2f bar", celsius, fmax(0, bar));
    if (!cold && hours > tank->finished_at + 24)
        buf_printf(buf, ", vdk: %.2f mg/L", vdk);
    if (bright)
        buf_printf(buf, ", carbonation: %.2f vol, oxygen: %.0f ppb", vol, ppb);
    buf_printf(buf, ", by: %s}\n", person == 0 ? "AB" : "CD");
}

/* The day's random course: who walks, whether anybody does, how far the meters are off. */
struct seeded_day {
    bool walked;
    int person;
    double off[2];
};

static inline void seeded_days(struct seeded_day days[SEEDED_DAYS],
                               const struct seeded_plant *plant, struct noise *noise)
{
    for (int day = 0; day < SEEDED_DAYS; day++) {
        days[day].walked = noise_even(noise) >= SEEDED_NO_ROUND;
        days[day].person = noise_even(noise) < 0.4;
        days[day].off[0] = 0.012 * noise_normal(noise);
        days[day].off[1] = 0.02 * noise_normal(noise);
        days[day].walked |= day == plant->counter_day;
        if (day == plant->shift_day) {
            days[day].walked = true;
            days[day].person = plant->shift_meter;
            days[day].off[plant->shift_meter] += plant->shift_by;
        }
    }
}

static inline void seeded_log(struct buf *buf, const struct seeded_plant *plant,
                              const struct seeded_day days[SEEDED_DAYS], struct noise *noise)
{
    char at[CIVIL_TEXT_SIZE];
    double counter = 1000;
    buf_printf(buf, "---\nplant: 2026-03\ncalibrations:\n");
    for (int day = 0; day < SEEDED_DAYS && day < plant->due_missed_from; day++) {
        double mv = seeded_between(noise, -5, -3);
        if (day % 7 == 0)
            buf_printf(buf,
                       "  - {at: %s, meter: M0, temp: 20 C, buffers: [{ph: 7.00, mv: %.0f}, "
                       "{ph: 4.01, mv: %.0f}]}\n  - {at: %s, meter: D1, water: 0.0 P}\n",
                       seeded_time(day * 24 + 6.9, at), mv, mv + 169,
                       seeded_time(day * 24 + 6.95, at));
        if (days[day].walked && days[day].person == 1 && day != plant->shift_day)
            buf_printf(buf,
                       "  - {at: %s, meter: M1, temp: 20 C, buffers: [{ph: 7.00, mv: %.0f}, "
                       "{ph: 4.01, mv: %.0f}]}\n",
                       seeded_time(day * 24 + 7, at), mv, mv + 168);
    }
    buf_printf(buf, "rounds:\n");
    for (int day = 0; day < SEEDED_DAYS; day++)
        if (days[day].walked)
            buf_printf(buf, "  - {at: %s, by: %s}\n", seeded_time(day * 24 + 7.5, at),
                       days[day].person == 0 ? "AB" : "CD");
    buf_printf(buf, "readings:\n");
    for (int day = 0; day < SEEDED_DAYS; day++) {
        counter += seeded_between(noise, 3, 30);
        if (!days[day].walked)
            continue;
        double room = seeded_between(noise, 2, 3.2) + (day >= plant->room_day ? plant->room_by : 0);
        double dial = day == plant->counter_day ? counter - 270 : counter;
        buf_printf(buf, "  - {at: %s, check: cold room, value: %.1f C}\n",
                   seeded_time(day * 24 + 8.6, at), room);
        buf_printf(buf, "  - {at: %s, check: water in, value: %.1f m3}\n",
                   seeded_time(day * 24 + 8.7, at), dial);
    }
}

/* A batch as its file: readings of the days on which somebody walked. */
static inline void seeded_batch(struct buf *buf, const struct seeded_tank *tank, int place,
                                const struct seeded_day days[SEEDED_DAYS],
                                const struct seeded_plant *plant, struct noise *noise)
{
    seeded_head(buf, tank);
    seeded_events(buf, tank);
    size_t before = buf->n;
    buf_printf(buf, "readings:\n");
    size_t empty = buf->n;
    for (int day = 0; day < SEEDED_DAYS; day++) {
        double hours = day * 24 + 7.7 + 0.07 * place - tank->pitched;
        bool missed = place == plant->missed_tank && day >= plant->missed_day;
        if (hours > 0 && days[day].walked && noise_even(noise) >= SEEDED_SKIPPED && !missed)
            seeded_reading(buf, tank, hours, days[day].person, days[day].off[days[day].person],
                           noise);
    }
    if (buf->n == empty) { /* an empty list must not stand there */
        buf->n = before;
        buf->p[buf->n] = '\0';
    }
}

/* The whole book as one stream of documents. */
static inline void seeded_write(struct buf *buf, const struct seeded_book *book,
                                struct noise *noise)
{
    struct seeded_day days[SEEDED_DAYS];
    seeded_days(days, &book->plant, noise);
    for (int i = 0; i < book->tank_count; i++)
        seeded_batch(buf, &book->tanks[i], i, days, &book->plant, noise);
    seeded_log(buf, &book->plant, days, noise);
}

#endif
