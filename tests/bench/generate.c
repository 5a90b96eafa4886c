/*
 * generate FOLDER BATCHES [SEED]
 *
 * Writes a gyle book into a new folder: so many healthy batches of an invented brewery, spread over
 * three years up to BOOK_NOW so that two in a hundred are in tanks, with the cellar and the plant
 * logs that go with them. The same seed gives the same bytes. Nothing in it is wrong, so no filter
 * has anything to report beyond the ordinary.
 *
 * All times here are those of the brewery's clock, counted as if it were UTC; none lies in the
 * hours in which clocks are changed.
 */
#include "arena.h"
#include "civil.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* 2026-11-25 07:00, the moment of tests/bench/run: winter, when the clock shows UTC. */
#define BOOK_NOW  INT64_C(1795590000)
#define BOOK_DAYS 1080
#define TANK_HL   60.0

struct span {
    double low, high;
};

/* Beers, and how they ferment: a logistic curve with its middle and slope in hours. */
static const struct beer {
    const char *name, *yeast, *strain;
    struct span original, terminal, ph, ferment, volumes; /* P, P, pH, C, vol */
    double middle, slope;
    int steady, cold_days, bitterness;
    bool dry_hopped;
} BEERS[] = {
    {"Chalkline Pale",
     "ale",
     "house ale",
     {11.8, 12.4},
     {2.2, 2.8},
     {4.05, 4.45},
     {18, 20},
     {2.4, 2.6},
     40,
     10,
     2,
     4,
     32,
     true},
    {"Datum Stout",
     "ale",
     "house ale",
     {14.0, 14.8},
     {3.6, 4.2},
     {4.10, 4.50},
     {18, 21},
     {2.2, 2.4},
     42,
     11,
     2,
     5,
     38,
     false},
    {"Batten Bitter",
     "ale",
     "house ale",
     {9.8, 10.4},
     {1.9, 2.4},
     {4.05, 4.45},
     {18, 20},
     {2.0, 2.3},
     34,
     9,
     2,
     2,
     30,
     false},
    {"Scrim Wheat",
     "wheat",
     "wheat",
     {11.6, 12.2},
     {2.4, 3.0},
     {4.10, 4.50},
     {18, 22},
     {2.5, 2.8},
     38,
     10,
     2,
     3,
     14,
     false},
    {"Corbel Blond",
     "belgian",
     "abbey",
     {15.2, 16.0},
     {1.6, 2.4},
     {4.05, 4.40},
     {20, 26},
     {2.5, 2.8},
     52,
     15,
     3,
     8,
     22,
     false},
    {"Lintel Lager",
     "lager",
     "lager",
     {11.4, 12.0},
     {2.1, 2.6},
     {4.20, 4.60},
     {10, 15},
     {2.4, 2.6},
     125,
     30,
     3,
     20,
     24,
     false},
};

/* How people write a figure and its unit. */
enum writing { APART, TOGETHER, NO_UNIT };

enum kind { FERMENTER, UNITANK, BRIGHT, KINDS };
static const struct {
    const char *prefix, *name;
    double rated_bar;
} TANK_KINDS[KINDS] = {{"FV", "fermenter", 1.5}, {"UT", "unitank", 2.0}, {"BT", "bright", 2.0}};

static const char *const WARM_NOTES[] = {
    "krausen high",         "smells clean",      "sample degassed twice",
    "foam in the arm",      "a little sulphur",  "sample valve drips",
    "tasted with EK: good", "head falling back", "yeast in the glass",
};
static const char *const COLD_NOTES[] = {
    "yeast dropping bright", "harvested 40 L: thick", "haze, as it should be",
    "sample valve drips",    "jacket 2 shut off",
};

static const char *const REMARKS[] = {
    "new malt delivery from here",
    "jacket valve serviced",
    "brewed together with the trainees",
    "pitched a bit late, pump was in pieces",
};

static const char *const PEOPLE[] = {"MO", "EK"};

/* One batch as it is planned; times in seconds, 0 for what is not done. */
struct batch {
    const struct beer *beer;
    uint64_t seed;
    int number, source, generation;
    double volume, original, final, wort_ph, ph, celsius, middle, slope;
    int64_t first_turn, brewed, pitched, dry_hop, close, chill, dump, move, carbonate, package;
    enum kind kind;
    size_t tank, bright;
};

struct tank {
    int64_t free_at;
};

struct cleaning {
    int64_t at;
    enum kind kind;
    size_t tank;
};

struct book {
    struct arena arena;
    const char *folder;
    struct batch *batches;
    size_t count;
    struct tank *tanks[KINDS];
    size_t tank_count[KINDS];
    struct cleaning *cleanings;
    size_t cleaning_count;
};

static _Noreturn void fail(const char *what)
{
    fprintf(stderr, "generate: %s: %s\n", what, strerror(errno));
    exit(2);
}

/* splitmix64 (Sebastiano Vigna, public domain): each state gives the next and a number. */
static uint64_t next(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

static double between(uint64_t *state, double low, double high)
{
    return low + (high - low) * (double)(next(state) >> 11) / 9007199254740992.0;
}

static int whole(uint64_t *state, int low, int high)
{
    return low + (int)(next(state) % (uint64_t)(high - low + 1));
}

static bool chance(uint64_t *state, double share)
{
    return between(state, 0, 1) < share;
}

static double tenths(double x)
{
    return round(x * 10) / 10;
}

/* Planning. */

/* What the density meter shows of the batch at a time. */
static double gravity_at(const struct batch *batch, int64_t at)
{
    double hours = (double)(at - batch->pitched) / CIVIL_HOUR;
    double left = (1 + exp(-batch->middle / batch->slope)) /
                  (1 + exp((hours - batch->middle) / batch->slope));
    return tenths(batch->final + (batch->original - batch->final) * left);
}

static int64_t on_day(const struct batch *batch, int day, int hour, int minute)
{
    int64_t midnight = batch->brewed / CIVIL_DAY * CIVIL_DAY;
    return midnight + (int64_t)day * CIVIL_DAY + hour * CIVIL_HOUR + minute * CIVIL_MINUTE;
}

/* The first morning on which the gravity is within `above` of its end. */
static int day_within(const struct batch *batch, double above)
{
    int day = 1;
    while (gravity_at(batch, on_day(batch, day, 8, 0)) > batch->final + above + 0.01)
        day++;
    return day;
}

static void plan_cellar_days(struct batch *batch, uint64_t *chances)
{
    int last_rouse = 0;
    if (batch->beer->dry_hopped) {
        last_rouse = day_within(batch, 0.5);
        batch->dry_hop = on_day(batch, last_rouse, 10, 5 * whole(chances, 0, 11));
    }
    if (chance(chances, 0.3))
        batch->close = on_day(batch, day_within(batch, 0.9), 11, 5 * whole(chances, 0, 11));
    int end = day_within(batch, 0);
    if (end <= last_rouse)
        end = last_rouse + 1;
    int cold = end + batch->beer->steady + whole(chances, 0, 2);
    int cold_days = batch->beer->cold_days + whole(chances, 0, batch->beer->cold_days / 2);
    batch->chill = on_day(batch, cold, 10 + whole(chances, 0, 5), 5 * whole(chances, 0, 11));
    if (cold_days > 1)
        batch->dump = on_day(batch, cold + 1, 9, 5 * whole(chances, 0, 11));
    int out = cold + cold_days;
    if (batch->kind == UNITANK) {
        batch->carbonate = on_day(batch, out - 1, 15, 5 * whole(chances, 0, 11));
        out += 2;
    } else {
        batch->move = on_day(batch, out, 9, 30 + 5 * whole(chances, 0, 5));
        batch->carbonate = on_day(batch, out, 15, 5 * whole(chances, 0, 11));
        out += whole(chances, 2, 5);
    }
    batch->package = on_day(batch, out, 14, 5 * whole(chances, 0, 11));
}

static void plan_batch(struct batch *batch, int64_t day, uint64_t seed)
{
    uint64_t chances = seed;
    const struct beer *beer = &BEERS[next(&chances) % COUNT(BEERS)];
    bool sunday = civil_weekday(day) == 7;
    batch->beer = beer;
    batch->brewed = (sunday ? day + 1 : day) * CIVIL_DAY + whole(&chances, 14, 16) * CIVIL_HOUR +
                    5 * whole(&chances, 0, 11) * CIVIL_MINUTE;
    batch->first_turn = batch->brewed;
    batch->volume = 2 * whole(&chances, 14, 29);
    if (batch->volume > 40)
        batch->first_turn -= 5 * CIVIL_HOUR;
    batch->pitched = batch->brewed + 5 * whole(&chances, 5, 11) * CIVIL_MINUTE;
    batch->original =
        tenths(between(&chances, beer->original.low + 0.1, beer->original.high - 0.1));
    batch->final = tenths(between(&chances, beer->terminal.low + 0.1, beer->terminal.high - 0.1));
    batch->wort_ph = between(&chances, 5.05, 5.25);
    batch->ph = between(&chances, beer->ph.low + 0.1, beer->ph.high - 0.12);
    batch->celsius = between(&chances, beer->ferment.low + 0.8, beer->ferment.high - 0.8);
    batch->middle = beer->middle * between(&chances, 0.94, 1.06);
    batch->slope = beer->slope * between(&chances, 0.96, 1.04);
    batch->kind = chance(&chances, 0.1) ? UNITANK : FERMENTER;
    plan_cellar_days(batch, &chances);
    batch->seed = next(&chances);
}

/* Yeast comes from an earlier batch of its strain that has been cropped, up to eight times. */
static void choose_yeast(struct book *book, size_t i)
{
    enum { MOST_TIMES = 8 };
    struct batch *batch = &book->batches[i];
    batch->generation = 1;
    for (size_t j = i; j-- > 0;) {
        const struct batch *earlier = &book->batches[j];
        if (strcmp(earlier->beer->strain, batch->beer->strain) != 0 ||
            earlier->dump + CIVIL_DAY > batch->brewed || earlier->dump == 0)
            continue;
        if (earlier->generation < MOST_TIMES &&
            batch->brewed - earlier->dump < INT64_C(20) * CIVIL_DAY) {
            batch->source = earlier->number;
            batch->generation = earlier->generation + 1;
        }
        return;
    }
}

static int64_t leaves_first_tank(const struct batch *batch)
{
    return batch->kind == UNITANK ? batch->package : batch->move;
}

/* Takes a tank of the kind that is free a day before `from`, to be cleaned the day before; there is
 * always one, since new ones are set up as they are needed. */
static size_t take_tank(struct book *book, enum kind kind, int64_t from, int64_t to)
{
    int64_t cleaned = from - 20 * CIVIL_HOUR;
    size_t i = 0;
    while (i < book->tank_count[kind] && book->tanks[kind][i].free_at > cleaned - CIVIL_HOUR)
        i++;
    if (i == book->tank_count[kind])
        book->tank_count[kind]++;
    book->tanks[kind][i].free_at = to;
    book->cleanings[book->cleaning_count++] = (struct cleaning){cleaned, kind, i};
    return i;
}

static int by_move(const void *left, const void *right)
{
    const struct batch *a = *(struct batch *const *)left, *b = *(struct batch *const *)right;
    return a->move != b->move ? (a->move > b->move) - (a->move < b->move) : a->number - b->number;
}

static int by_first_turn(const void *left, const void *right)
{
    const struct batch *a = *(struct batch *const *)left, *b = *(struct batch *const *)right;
    return a->first_turn != b->first_turn
               ? (a->first_turn > b->first_turn) - (a->first_turn < b->first_turn)
               : a->number - b->number;
}

static int by_time(const void *left, const void *right)
{
    const struct cleaning *a = left, *b = right;
    return (a->at > b->at) - (a->at < b->at);
}

static void give_tanks(struct book *book)
{
    struct batch **order = arena_array(&book->arena, book->count, sizeof(struct batch *));
    for (size_t i = 0; i < book->count; i++)
        order[i] = &book->batches[i];
    qsort(order, book->count, sizeof(struct batch *), by_first_turn);
    for (size_t i = 0; i < book->count; i++)
        order[i]->tank =
            take_tank(book, order[i]->kind, order[i]->first_turn, leaves_first_tank(order[i]));
    qsort(order, book->count, sizeof(struct batch *), by_move);
    for (size_t i = 0; i < book->count; i++)
        if (order[i]->move != 0)
            order[i]->bright = take_tank(book, BRIGHT, order[i]->move, order[i]->package);
    qsort(book->cleanings, book->cleaning_count, sizeof *book->cleanings, by_time);
}

static void plan(struct book *book, uint64_t seed)
{
    uint64_t seeds = seed;
    book->batches = arena_array(&book->arena, book->count, sizeof *book->batches);
    book->cleanings = arena_array(&book->arena, book->count * 2, sizeof *book->cleanings);
    for (size_t kind = 0; kind < KINDS; kind++)
        book->tanks[kind] = arena_array(&book->arena, book->count, sizeof(struct tank));
    for (size_t i = 0; i < book->count; i++) {
        double share = ((double)i + between(&seeds, 0, 1)) / (double)book->count;
        int64_t day = BOOK_NOW / CIVIL_DAY - BOOK_DAYS + (int64_t)(share * (BOOK_DAYS - 2));
        book->batches[i].number = (int)i + 1;
        plan_batch(&book->batches[i], day, next(&seeds));
        choose_yeast(book, i);
    }
    give_tanks(book);
}

/* Writing. */

static FILE *create(struct book *book, const char *format, ...)
{
    char path[4096];
    int n = snprintf(path, sizeof path, "%s/", book->folder);
    va_list args;
    va_start(args, format);
    if (n > 0 && (size_t)n < sizeof path)
        n += vsnprintf(path + n, sizeof path - (size_t)n, format, args);
    va_end(args);
    if (n < 0 || (size_t)n >= sizeof path) {
        errno = ENAMETOOLONG;
        fail(book->folder);
    }
    for (char *slash = strchr(path + 1, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(path, 0777) != 0 && errno != EEXIST)
            fail(path);
        *slash = '/';
    }
    FILE *out = fopen(path, "w");
    if (out == NULL)
        fail(path);
    return out;
}

static void finish(struct book *book, FILE *out)
{
    if (ferror(out) || fclose(out) != 0)
        fail(book->folder);
}

static void write_time(FILE *out, const char *key, int64_t at)
{
    char text[CIVIL_TEXT_SIZE];
    fprintf(out, "%s: %s", key, civil_minute(civil_utc(), at, text));
}

static void write_tank(FILE *out, enum kind kind, size_t tank)
{
    fprintf(out, "%s%zu", TANK_KINDS[kind].prefix, tank + 1);
}

static void write_number(FILE *out, const struct book *book, int number)
{
    fprintf(out, "%0*d", book->count < 10000 ? 4 : 5, number);
}

static void write_turns(FILE *out, const struct batch *batch)
{
    double half = batch->volume / 2;
    fputs("brews:\n  - {", out);
    write_time(out, "at", batch->first_turn);
    fprintf(out, ", volume: %.0f hL, original: %.1f P}\n  - {", half, batch->original - 0.1);
    write_time(out, "at", batch->brewed);
    fprintf(out, ", volume: %.0f hL, original: %.1f P}\n", half, batch->original + 0.1);
}

static void write_head(FILE *out, const struct book *book, const struct batch *batch,
                       uint64_t *chances)
{
    if (chance(chances, 0.15))
        fprintf(out, "# %s\n", REMARKS[next(chances) % COUNT(REMARKS)]);
    fputs("---\nbatch: ", out);
    write_number(out, book, batch->number);
    fprintf(out, "\nbeer: %s\n", batch->beer->name);
    write_time(out, "brewed", batch->brewed);
    fprintf(out, "\nvolume: %.0f hL\n", batch->volume);
    if (batch->first_turn != batch->brewed)
        write_turns(out, batch);
    else
        fprintf(out, "original: %.1f P\n", batch->original);
    fprintf(out, "wort-ph: %.2f\nibu: %d\n", batch->wort_ph,
            batch->beer->bitterness + whole(chances, -2, 2));
    if (chance(chances, 0.3))
        fprintf(out, "x-mash: \"66 C, %d min\"\n", 5 * whole(chances, 9, 15));
    int64_t forced = on_day(batch, 2, 9, 5 * whole(chances, 0, 11));
    if (chance(chances, 0.8) && forced < BOOK_NOW) {
        fprintf(out, "forced: {gravity: %.1f P, ", batch->final - (chance(chances, 0.3) ? 0.1 : 0));
        write_time(out, "at", forced);
        fputs("}\n", out);
    }
}

static void write_stays(FILE *out, const struct batch *batch, uint64_t *chances)
{
    fputs("tanks:\n  - {tank: ", out);
    write_tank(out, batch->kind, batch->tank);
    write_time(out, ", from", batch->first_turn);
    if (chance(chances, 0.3) && leaves_first_tank(batch) < BOOK_NOW)
        write_time(out, ", to", leaves_first_tank(batch));
    fputs("}\n", out);
    if (batch->move == 0 || batch->move > BOOK_NOW)
        return;
    fputs("  - {tank: ", out);
    write_tank(out, BRIGHT, batch->bright);
    write_time(out, ", from", batch->move);
    fprintf(out, ", volume: %.1f hL}\n", batch->volume * 0.96);
}

/* Begins an entry of `events:` when that event has happened. */
static bool begin_event(FILE *out, int64_t at, const char *what)
{
    if (at == 0 || at > BOOK_NOW)
        return false;
    fputs("  - {", out);
    write_time(out, "at", at);
    fprintf(out, ", what: %s", what);
    return true;
}

static void write_pitch(FILE *out, const struct book *book, const struct batch *batch,
                        uint64_t *chances)
{
    fprintf(out, ", strain: %s, source: ", batch->beer->strain);
    if (batch->source == 0)
        fputs("lab", out);
    else
        write_number(out, book, batch->source);
    fprintf(out, ", generation: %d, cells: %d M/mL}\n", batch->generation, whole(chances, 8, 18));
}

static void write_package(FILE *out, const struct book *book, const struct batch *batch)
{
    double litres = batch->volume * 94;
    int kegs = (int)(litres * 0.6 / 30);
    int bottles = (int)((litres - kegs * 30) / 0.33);
    fprintf(out,
            ", volume: %.1f hL, containers: [{size: 30 L, count: %d}, {size: 330 mL, count: %d}], "
            "lot: L",
            litres / 100, kegs, bottles);
    write_number(out, book, batch->number);
    fputs(", empty: yes}\n", out);
}

static void write_events(FILE *out, const struct book *book, const struct batch *batch,
                         uint64_t *chances)
{
    if (batch->pitched > BOOK_NOW)
        return;
    fputs("events:\n", out);
    if (begin_event(out, batch->pitched, "pitch"))
        write_pitch(out, book, batch, chances);
    if (begin_event(out, batch->dry_hop, "dry hop"))
        fprintf(out, ", amount: %d kg, note: \"first charge, %s\"}\n", whole(chances, 6, 24),
                chance(chances, 0.5) ? "pellets" : "through the top");
    if (begin_event(out, batch->close, "close"))
        fputs("}\n", out);
    if (begin_event(out, batch->chill, "chill"))
        fputs(chance(chances, 0.3) ? ", note: \"to 1 C overnight\"}\n" : "}\n", out);
    if (begin_event(out, batch->dump, "dump"))
        fprintf(out, ", volume: %.1f hL}\n", batch->volume * 0.02);
    if (batch->move == 0 && begin_event(out, batch->carbonate, "carbonate"))
        fputs("}\n", out);
    if (begin_event(out, batch->move, "move")) {
        fputs(", to: ", out);
        write_tank(out, BRIGHT, batch->bright);
        fprintf(out, ", volume: %.1f hL}\n", batch->volume * 0.96);
        if (begin_event(out, batch->carbonate, "carbonate"))
            fputs("}\n", out);
    }
    if (begin_event(out, batch->package, "package"))
        write_package(out, book, batch);
}

/* How the keys of a reading are written: in one flow line, or one a line. */
struct reading {
    FILE *out;
    bool block;
    enum writing writing;
};

static void key(const struct reading *reading, const char *name)
{
    fprintf(reading->out, "%s%s: ", reading->block ? "\n    " : ", ", name);
}

static void figure(const struct reading *reading, const char *name, int digits, double value,
                   const char *unit)
{
    double scale = pow(10, digits);
    double shown = round(value * scale) / scale + 0.0; /* never -0.0 */
    key(reading, name);
    fprintf(reading->out, "%.*f", digits, shown);
    if (unit != NULL && reading->writing != NO_UNIT)
        fprintf(reading->out, "%s%s", reading->writing == APART ? " " : "", unit);
}

/* Degrees of the batch in its tank. */
static double celsius_at(const struct batch *batch, int64_t at, uint64_t *chances)
{
    static const double after_chill[] = {5.0, 2.0, 1.2};
    if (at < batch->chill) {
        bool first_day = at - batch->pitched < CIVIL_DAY;
        return batch->celsius + between(chances, -0.4, 0.4) - (first_day ? 0.3 : 0);
    }
    size_t day = (size_t)((at - batch->chill) / CIVIL_DAY);
    double aim = day < COUNT(after_chill) ? after_chill[day] : 0.7;
    return aim + between(chances, -0.3, 0.3);
}

static double bar_at(const struct batch *batch, int64_t at, uint64_t *chances)
{
    if (at > batch->carbonate)
        return 0.8;
    if (batch->move != 0 && at > batch->move)
        return 0.2;
    if (batch->close == 0 || at < batch->close)
        return chance(chances, 0.1) ? 0.1 : 0.2;
    double closed_days = (double)(at - batch->close) / CIVIL_DAY;
    double cold_days = at < batch->chill ? 0 : (double)(at - batch->chill) / CIVIL_DAY;
    return fmax(0.3, fmin(0.7, 0.3 + 0.15 * closed_days) - 0.1 * cold_days);
}

static void write_warm(const struct reading *reading, const struct batch *batch, int64_t at,
                       uint64_t *chances)
{
    double hours = (double)(at - batch->pitched) / CIVIL_HOUR;
    double left = gravity_at(batch, at) - batch->final;
    double ph = batch->ph + (batch->wort_ph - batch->ph) * exp(-hours / 20);
    figure(reading, "gravity", 1, gravity_at(batch, at), "P");
    figure(reading, "ph", 2, ph + between(chances, -0.02, 0.02), NULL);
    bool before_end = left > 0.25 && left < 0.85 && chance(chances, 0.5);
    bool last_day = at + CIVIL_DAY > batch->chill;
    if (before_end)
        figure(reading, "vdk", 2, between(chances, 0.15, 0.30), "mg/L");
    else if (last_day && chance(chances, 0.3))
        fprintf(reading->out, "%s", reading->block ? "\n    vdk: pass" : ", vdk: pass");
    else if (last_day)
        figure(reading, "vdk", 2, between(chances, 0.03, 0.08), "mg/L");
}

static void write_bright(const struct reading *reading, const struct batch *batch, int64_t at,
                         uint64_t *chances)
{
    struct span volumes = batch->beer->volumes;
    if (at < batch->carbonate + 12 * CIVIL_HOUR)
        return;
    if (chance(chances, 0.7))
        figure(reading, "carbonation", 2, between(chances, volumes.low + 0.04, volumes.high - 0.04),
               "vol");
    if (chance(chances, 0.5))
        figure(reading, "oxygen", 0, between(chances, 8, 35), "ppb");
}

/* The handheld is EK's. */
static void write_meters(const struct reading *reading, bool warm, size_t person)
{
    if (!warm)
        return;
    key(reading, "ph-meter");
    fputs(person == 0 ? "PH1" : "PH2", reading->out);
    key(reading, "gravity-meter");
    fputs("DM1", reading->out);
}

static void write_note(const struct reading *reading, bool warm, uint64_t *chances)
{
    uint64_t pick = next(chances);
    key(reading, "note");
    fprintf(reading->out, "\"%s\"",
            warm ? WARM_NOTES[pick % COUNT(WARM_NOTES)] : COLD_NOTES[pick % COUNT(COLD_NOTES)]);
}

static void write_reading(FILE *out, const struct batch *batch, int64_t at, bool block,
                          enum writing writing, bool meters, uint64_t *chances)
{
    struct reading reading = {out, block, writing};
    bool warm = at < batch->chill;
    size_t person = next(chances) % COUNT(PEOPLE);
    fputs(block ? "  - " : "  - {", out);
    write_time(out, "at", at);
    if (warm)
        write_warm(&reading, batch, at, chances);
    figure(&reading, "temp", 1, celsius_at(batch, at, chances), "C");
    figure(&reading, "pressure", 1, bar_at(batch, at, chances), "bar");
    if (!warm)
        write_bright(&reading, batch, at, chances);
    key(&reading, "by");
    fputs(PEOPLE[person], out);
    if (meters)
        write_meters(&reading, warm, person);
    if (chance(chances, 0.08))
        write_note(&reading, warm, chances);
    fputs(block ? "\n" : "}", out);
    if (!block)
        fputs(chance(chances, 0.01) ? "   # asked MO\n" : "\n", out);
}

/* Every morning, in some batches also in the afternoon while the yeast is at work; with the cold
 * beer some come every other day, once it is history. */
static void write_readings(FILE *out, const struct batch *batch, uint64_t *chances)
{
    bool block = chance(chances, 0.04), meters = chance(chances, 0.8);
    bool twice = chance(chances, 0.3);
    bool sparing = chance(chances, 0.2) && batch->package < BOOK_NOW;
    enum writing writing = chance(chances, 0.7) ? APART : chance(chances, 0.5) ? TOGETHER : NO_UNIT;
    int64_t at = on_day(batch, 1, 7, whole(chances, 35, 59));
    if (at > BOOK_NOW)
        return;
    fputs("readings:\n", out);
    for (int day = 1; at < batch->package && at < BOOK_NOW; day++) {
        bool at_work = gravity_at(batch, at) > batch->final + 0.5;
        if (at < batch->chill || !sparing || day % 2 == 0)
            write_reading(out, batch, at, block, writing, meters, chances);
        at = on_day(batch, day, 16, whole(chances, 0, 40));
        if (twice && at_work && at < BOOK_NOW)
            write_reading(out, batch, at, block, writing, meters, chances);
        at = on_day(batch, day + 1, 7, whole(chances, 35, 59));
    }
}

static void write_batch(struct book *book, const struct batch *batch)
{
    uint64_t chances = batch->seed;
    struct civil_date brewed = civil_date_of_day(batch->brewed / CIVIL_DAY);
    FILE *out = create(book, "batches/%d/%0*d.yaml", brewed.year, book->count < 10000 ? 4 : 5,
                       batch->number);
    write_head(out, book, batch, &chances);
    write_stays(out, batch, &chances);
    write_events(out, book, batch, &chances);
    write_readings(out, batch, &chances);
    finish(book, out);
}

static void write_walk(FILE *out, const struct book *book)
{
    enum { TANKS_A_LINE = 12 };
    size_t n = 0;
    fputs("walk: [", out);
    for (enum kind kind = 0; kind < KINDS; kind++) {
        for (size_t i = 0; i < book->tank_count[kind]; i++, n++) {
            fputs(n == 0 ? "" : n % TANKS_A_LINE == 0 ? ",\n       " : ", ", out);
            write_tank(out, kind, i);
        }
    }
    fputs("]\n", out);
}

static void write_span(FILE *out, const char *name, int digits, struct span span, const char *unit)
{
    fprintf(out, "    %s: %.*f..%.*f%s\n", name, digits, span.low, digits, span.high, unit);
}

static void write_beer(FILE *out, const struct beer *beer)
{
    fprintf(out, "  %s:\n    yeast: %s\n", beer->name, beer->yeast);
    write_span(out, "original", 1, beer->original, " P");
    write_span(out, "terminal", 1, beer->terminal, " P");
    write_span(out, "ph", 2, beer->ph, "");
    fputs("    vdk: ..0.10 mg/L\n", out);
    write_span(out, "ferment", 0, beer->ferment, " C");
    fputs("    cold: -1..2 C\n", out);
    write_span(out, "carbonation", 1, beer->volumes, " vol");
    fputs("    oxygen: ..50 ppb\n", out);
}

static void write_cellar(struct book *book)
{
    FILE *out = create(book, "cellar.yaml");
    fputs("# A generated book: see tests/bench.\n"
          "---\n"
          "cellar: Plumb Lane\n"
          "zone: Europe/Dublin\n"
          "units: {gravity: P, temperature: C, pressure: bar, volume: hL, carbonation: vol, "
          "vdk: mg/L, oxygen: ppb}\n",
          out);
    write_walk(out, book);
    fputs("\ntanks:\n", out);
    for (enum kind kind = 0; kind < KINDS; kind++) {
        for (size_t i = 0; i < book->tank_count[kind]; i++) {
            fputs("  ", out);
            write_tank(out, kind, i);
            fprintf(out, ": {kind: %s, capacity: %.0f hL, rated: %.1f bar}\n",
                    TANK_KINDS[kind].name, TANK_HL, TANK_KINDS[kind].rated_bar);
        }
    }
    fputs("\nbeers:\n", out);
    for (size_t i = 0; i < COUNT(BEERS); i++)
        write_beer(out, &BEERS[i]);
    fputs("\nmeters:\n"
          "  PH1: {reads: ph, kind: bench, calibrate: 7 d, buffers: [4.01, 7.00]}\n"
          "  PH2: {reads: ph, kind: handheld, calibrate: 1 d, buffers: [4.01, 7.00]}\n"
          "  DM1: {reads: gravity, kind: density, step: 0.1 P, calibrate: 7 d}\n"
          "\n"
          "checks:\n"
          "  cold room: {reads: temperature, limits: 1..4 C}\n"
          "  water in: {reads: volume, counter: yes}\n"
          "  hop store: {reads: temperature, limits: ..0 C}\n",
          out);
    finish(book, out);
}

/* The days of one month in the plant log. */
struct month {
    int64_t first, end;
};

static int64_t day_at(int64_t day, int hour, int minute)
{
    return day * CIVIL_DAY + hour * CIVIL_HOUR + minute * CIVIL_MINUTE;
}

static void write_ph_calibration(FILE *out, int64_t at, const char *meter, uint64_t *chances)
{
    int offset = whole(chances, -4, -2);
    fputs("  - {", out);
    write_time(out, "at", at);
    fprintf(out,
            ", meter: %s, temp: %d C, buffers: [{ph: 7.00, mv: %d}, {ph: 4.01, mv: %d}], by: %s}\n",
            meter, whole(chances, 18, 21), offset, offset + whole(chances, 169, 171),
            PEOPLE[next(chances) % COUNT(PEOPLE)]);
}

static void write_calibrations(FILE *out, struct month month, uint64_t *chances)
{
    fputs("calibrations:\n", out);
    for (int64_t day = month.first; day < month.end; day++) {
        int weekday = civil_weekday(day);
        if (weekday == 1 || weekday == 4 || day == month.first) {
            write_ph_calibration(out, day_at(day, 6, whole(chances, 10, 25)), "PH1", chances);
            fputs("  - {", out);
            write_time(out, "at", day_at(day, 6, whole(chances, 30, 40)));
            fputs(", meter: DM1, water: 0.0 P}\n", out);
        }
        write_ph_calibration(out, day_at(day, 6, whole(chances, 41, 59)), "PH2", chances);
    }
}

static void write_rounds(FILE *out, struct month month, uint64_t *chances)
{
    fputs("rounds:\n", out);
    for (int64_t day = month.first; day < month.end; day++) {
        int64_t at = day_at(day, 7, whole(chances, 20, 34));
        if (at > BOOK_NOW)
            break;
        fputs("  - {", out);
        write_time(out, "at", at);
        fprintf(out, ", by: %s}\n", PEOPLE[next(chances) % COUNT(PEOPLE)]);
    }
}

static void write_cleanings(FILE *out, const struct book *book, struct month month,
                            uint64_t *chances)
{
    fputs("cleaned:\n", out);
    for (size_t i = 0; i < book->cleaning_count; i++) {
        const struct cleaning *it = &book->cleanings[i];
        if (it->at < month.first * CIVIL_DAY || it->at >= month.end * CIVIL_DAY ||
            it->at > BOOK_NOW)
            continue;
        fputs("  - {", out);
        write_time(out, "at", it->at);
        fputs(", tank: ", out);
        write_tank(out, it->kind, it->tank);
        fprintf(out, ", by: %s%s}\n", PEOPLE[next(chances) % COUNT(PEOPLE)],
                chance(chances, 0.2) ? ", note: \"caustic, acid, rinsed to 7\"" : "");
    }
}

static void write_check(FILE *out, int64_t at, const char *check, double value, const char *unit)
{
    fputs("  - {", out);
    write_time(out, "at", at);
    fprintf(out, ", check: %s, value: %.1f %s}\n", check, value, unit);
}

static void write_checks(FILE *out, struct month month, double *counter, uint64_t *chances)
{
    fputs("readings:\n", out);
    for (int64_t day = month.first; day < month.end; day++) {
        int64_t at = day_at(day, 8, whole(chances, 0, 20));
        if (at > BOOK_NOW)
            break;
        *counter += between(chances, 180, 260);
        write_check(out, at, "cold room", between(chances, 2.0, 3.4), "C");
        write_check(out, at + 2 * CIVIL_MINUTE, "water in", *counter, "hL");
        write_check(out, at + 6 * CIVIL_MINUTE, "hop store", between(chances, -2.4, -0.8), "C");
    }
}

static void write_plant(struct book *book, uint64_t seed)
{
    uint64_t chances = seed;
    double counter = 41200;
    struct civil_date date = civil_date_of_day(BOOK_NOW / CIVIL_DAY - BOOK_DAYS - 2);
    date.day = 1;
    while (civil_day_of_date(date) * CIVIL_DAY < BOOK_NOW) {
        int64_t first = civil_day_of_date(date);
        struct month month = {first, first + civil_days_in_month(date.year, date.month)};
        if (month.end > BOOK_NOW / CIVIL_DAY)
            month.end = BOOK_NOW / CIVIL_DAY + 1;
        FILE *out = create(book, "plant/%d-%02d.yaml", date.year, date.month);
        fprintf(out, "---\nplant: %d-%02d\n", date.year, date.month);
        write_calibrations(out, month, &chances);
        write_rounds(out, month, &chances);
        write_cleanings(out, book, month, &chances);
        write_checks(out, month, &counter, &chances);
        finish(book, out);
        date.year += date.month / 12;
        date.month = date.month % 12 + 1;
    }
}

static size_t read_count(const char *text, size_t most)
{
    char *end;
    errno = 0;
    unsigned long count = strtoul(text, &end, 10);
    if (errno != 0 || *end != '\0' || end == text || count == 0 || count > most) {
        fprintf(stderr, "generate: \"%s\" is not a count from 1 to %zu\n", text, most);
        exit(2);
    }
    return count;
}

int main(int argc, char **argv)
{
    enum { MOST_BATCHES = 99999 };
    if (argc < 3 || argc > 4) {
        fputs("usage: generate FOLDER BATCHES [SEED]\n", stderr);
        return 2;
    }
    struct book book = {.folder = argv[1], .count = read_count(argv[2], MOST_BATCHES)};
    uint64_t seed = argc == 4 ? read_count(argv[3], SIZE_MAX - 1) : 417;
    arena_init(&book.arena, NULL, NULL);
    plan(&book, seed);
    for (size_t i = 0; i < book.count; i++)
        write_batch(&book, &book.batches[i]);
    write_cellar(&book);
    write_plant(&book, seed);
    arena_free(&book.arena);
    return 0;
}
