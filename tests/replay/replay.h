/*
 * Replays a recorded or generated fermentation day by day: readings as a brewer would take them
 * are written as a batch file, read back and judged as of each reading. For tests only.
 */
#ifndef GYLE_TESTS_REPLAY_H
#define GYLE_TESTS_REPLAY_H

#include "book.h"
#include "extract.h"
#include "finish.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A record: gravity in P and temperature in C (NAN where it has none) by hours since pitching. */
struct record {
    char name[64];
    size_t n;
    double *hours, *plato, *celsius;
};

static inline bool record_room(struct record *record, size_t most)
{
    record->n = 0;
    record->hours = calloc(most * 3, sizeof(double));
    record->plato = record->hours + most;
    record->celsius = record->plato + most;
    return record->hours != NULL;
}

static inline void record_free(struct record *record)
{
    free(record->hours);
}

/* What the brewery knows of it. */
struct brewery {
    const char *beer;    /* its name; NULL: "beer" */
    const char *yeast;   /* of cellar.yaml */
    double low, high;    /* terminal, P; NAN: not given */
    double warm, warmer; /* ferment, C; NAN: not given */
    double original;     /* P; NAN: not given */
    double forced;       /* P; NAN: not given */
    int number;          /* of the batch */
    int days_before;     /* REPLAY_PITCH was it pitched */
    /* What was done: at these hours, the words after at: of an event. */
    struct {
        double hour;
        const char *what;
    } events[4];
    size_t event_count;
    bool in_sg; /* read with a hydrometer, in steps of 0.001 */
};

/* When readings are taken. */
struct walk {
    int a_day;         /* readings a day, 1 to 3, eight hours apart */
    double first_hour; /* of the day's first one */
    int every;         /* 2: every other day; 7: one day a week is left out (see skips) */
    double step;       /* P */
};

/* The reading of the record at an hour, or NAN: none within two hours. */
static inline double record_at(const struct record *record, const double *values, double hour)
{
    double best = 2, value = NAN;
    for (size_t i = 0; i < record->n; i++) {
        double away = fabs(record->hours[i] - hour);
        if (away <= best && !isnan(values[i])) {
            best = away;
            value = values[i];
        }
    }
    return value;
}

static inline double rounded(double value, double step)
{
    return step * floor(value / step + 0.5);
}

/* Days on which nobody reads. */
static inline bool skips(const struct walk *walk, int day)
{
    if (walk->every == 7)
        return day % 7 == 6;
    return walk->every > 1 && day % walk->every != 0;
}

struct taken {
    size_t n;
    double hour[512], plato[512], celsius[512];
};

static inline void take(const struct record *record, const struct walk *walk, struct taken *taken)
{
    double last = record->hours[record->n - 1];
    taken->n = 0;
    for (int day = 0; day * 24.0 <= last; day++) {
        for (int k = 0; k < walk->a_day && !skips(walk, day); k++) {
            double hour = day * 24.0 + walk->first_hour + k * 8;
            double plato = record_at(record, record->plato, hour);
            if (hour > last || isnan(plato) || taken->n == 512)
                continue;
            taken->hour[taken->n] = hour;
            taken->plato[taken->n] = rounded(plato, walk->step);
            taken->celsius[taken->n++] = record_at(record, record->celsius, hour);
        }
    }
}

/* Every reading of a record, on a scale of so many P. */
static inline void take_all(const struct record *record, double step, struct taken *taken)
{
    taken->n = record->n;
    for (size_t i = 0; i < record->n; i++) {
        taken->hour[i] = record->hours[i];
        taken->plato[i] = rounded(record->plato[i], step);
        taken->celsius[i] = record->celsius[i];
    }
}

static const int64_t REPLAY_PITCH = 1767600000; /* 2026-01-05 08:00 UTC */

struct replay {
    int64_t pitch;
    struct arena arena, scratch;
    struct diags diags;
    struct book book;
    struct buf text;
};

static inline void replay_stop(void *context)
{
    (void)context;
    abort();
}

static inline const char *brewery_beer(const struct brewery *brewery)
{
    return brewery->beer == NULL ? "beer" : brewery->beer;
}

static inline void replay_cellar(struct replay *replay, const struct brewery *brewery)
{
    struct buf text = buf_new(&replay->arena);
    buf_printf(&text,
               "---\ncellar: replay\nzone: UTC\ntanks:\n  FV1: {kind: fermenter}\nbeers:\n"
               "  %s: {yeast: %s",
               brewery_beer(brewery), brewery->yeast);
    if (!isnan(brewery->high))
        buf_printf(&text, ", terminal: %.2f..%.2f P", brewery->low, brewery->high);
    if (!isnan(brewery->warm))
        buf_printf(&text, ", ferment: %.1f..%.1f C", brewery->warm, brewery->warmer);
    buf_printf(&text, "}\n");
    struct source *source = arena_alloc(&replay->arena, sizeof *source);
    *source = (struct source){STR("cellar.yaml"), buf_str(&text)};
    struct doc_stream stream = doc_read(&replay->arena, source, &replay->diags);
    replay->book = (struct book){.arena = &replay->arena, .diags = &replay->diags};
    replay->book.cellar =
        cellar_read(&replay->arena, source, stream.first->root, NULL, &replay->diags);
}

static inline int64_t replay_moment(const struct replay *replay, double hour)
{
    return replay->pitch + (int64_t)(hour * CIVIL_HOUR);
}

static inline void replay_time(struct replay *replay, double hour)
{
    char at[CIVIL_TEXT_SIZE];
    buf_printf(&replay->text, "%s", civil_rfc3339(civil_utc(), replay_moment(replay, hour), at));
}

static inline void replay_begin(struct replay *replay, const struct brewery *brewery,
                                const struct taken *taken)
{
    memset(replay, 0, sizeof *replay);
    arena_init(&replay->arena, replay_stop, NULL);
    arena_init(&replay->scratch, replay_stop, NULL);
    diag_init(&replay->diags, &replay->arena);
    replay_cellar(replay, brewery);
    replay->text = buf_new(&replay->arena);
    replay->pitch = REPLAY_PITCH - (int64_t)brewery->days_before * CIVIL_DAY;
    buf_printf(&replay->text, "---\nbatch: %d\nbeer: %s\nbrewed: ", brewery->number,
               brewery_beer(brewery));
    replay_time(replay, 0);
    if (!isnan(brewery->original))
        buf_printf(&replay->text, "\noriginal: %.2f P", brewery->original);
    if (!isnan(brewery->forced))
        buf_printf(&replay->text, "\nforced: {gravity: %.2f P}", brewery->forced);
    buf_printf(&replay->text, "\ntanks: [{tank: FV1, from: ");
    replay_time(replay, 0);
    buf_printf(&replay->text, "}]\n");
    if (brewery->event_count > 0)
        buf_printf(&replay->text, "events:\n");
    for (size_t i = 0; i < brewery->event_count; i++) {
        buf_printf(&replay->text, "  - {at: ");
        replay_time(replay, brewery->events[i].hour);
        buf_printf(&replay->text, ", what: %s}\n", brewery->events[i].what);
    }
    buf_printf(&replay->text, "readings:\n");
    for (size_t i = 0; i < taken->n; i++) {
        buf_printf(&replay->text, "  - {at: ");
        replay_time(replay, taken->hour[i]);
        if (brewery->in_sg)
            buf_printf(&replay->text, ", gravity: %.3f SG", extract_sg_from_plato(taken->plato[i]));
        else
            buf_printf(&replay->text, ", gravity: %.2f P", taken->plato[i]);
        if (!isnan(taken->celsius[i]))
            buf_printf(&replay->text, ", temp: %.1f C", taken->celsius[i]);
        buf_printf(&replay->text, "}\n");
    }
    if (replay->diags.n > 0) {
        diag_write(stderr, &replay->diags);
        abort();
    }
}

/* As of an hour; they live until the next call. */
struct judged {
    struct finish_context context;
    struct batch_courses courses;
    struct finish finish;
};

static inline void replay_judge(struct replay *replay, double hour, struct judged *judged)
{
    arena_reset(&replay->scratch);
    int64_t now = replay_moment(replay, hour) + CIVIL_MINUTE;
    struct source source = {STR("batch.yaml"), buf_str(&replay->text)};
    struct book_file *file = book_parse(&replay->book, &replay->scratch, source);
    struct batch *batch = file->batches.items[0];
    book_settle(&replay->book, &replay->scratch, batch, now);
    judged->context = (struct finish_context){
        .cellar = replay->book.cellar, .arena = &replay->scratch, .now = now};
    judged->courses = batch_courses(batch, &replay->scratch, now);
    judged->finish = finish_judge(&judged->context, &judged->courses.items[0]);
}

static inline void replay_end(struct replay *replay)
{
    arena_free(&replay->scratch);
    arena_free(&replay->arena);
}

#endif
