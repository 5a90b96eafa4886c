/*
 * Which gravity readings of a course can be judged by. Each is corrected as its meter asks
 * (hydrometer for the sample's temperature, refractometer for alcohol), and those that say nothing
 * sure are marked with the reason, never dropped in silence: off the end of a scale, written too
 * coarsely, a spike that the readings before and after contradict.
 */
#ifndef GYLE_SOUND_H
#define GYLE_SOUND_H

#include "arena.h"
#include "batch.h"
#include "cellar.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* No sample repeats better than this, so a finer scale is judged in steps of it. */
#define SOUND_FINEST_STEP_PLATO 0.1

/* A reading written more coarsely says nothing about the same gravity. */
#define SOUND_COARSEST_STEP_PLATO 0.3

/* Readings jump up by as much as this while gas comes off (in-line records of 22 tanks). */
#define SOUND_JUMP_PLATO 0.5

enum sound_state {
    SOUND_GOOD,
    SOUND_CENSORED,    /* < or > */
    SOUND_COARSE,      /* its step is over SOUND_COARSEST_STEP_PLATO */
    SOUND_OUTSIDE,     /* its meter's correction has no value there */
    SOUND_SPIKE,       /* the readings before and after agree with each other, not with it */
    SOUND_UNCONFIRMED, /* the last one, and far above those before it */
    SOUND_STATES
};

/* "off the end of its scale", for "2026-11-14 07:50 left out: ..."; "" for SOUND_GOOD. */
extern const char *const SOUND_WHY[SOUND_STATES];

struct sound_point {
    const struct reading *reading;
    int64_t at;
    double plato;                     /* corrected */
    double step;                      /* P, SOUND_FINEST_STEP_PLATO or more */
    double celsius;                   /* of the beer as it was read; NAN: not taken */
    const struct cellar_meter *meter; /* NULL: none told, or not known */
    unsigned char state;              /* enum sound_state */
    bool by_refractometer;            /* corrected for alcohol by a coarse formula */
};

struct sound {
    LIST(struct sound_point) points; /* every set gravity in time's order */
    size_t good, spikes;
    size_t from;  /* the points before it belong to another state of the beer: see risen */
    size_t risen; /* times that gravity rose by more than SOUND_JUMP_PLATO and stayed up, without
                   * an event that explains it; from is then the point after the last rise */
};

/* The points of a course, in the arena. Points after `until` are not looked at. */
struct sound sound_points(const struct batch_course *course, const struct cellar *cellar,
                          int64_t until, struct arena *arena);

/* a - b in whole steps of the coarser one. */
long sound_steps(const struct sound_point *a, const struct sound_point *b);

/* The last good point of each civil day, from sound.from on. */
struct sound_days {
    const struct sound_point **items;
    int64_t *day; /* civil_day() of each */
    size_t n;
};
struct sound_days sound_days(const struct sound *sound, const struct civil_zone *zone,
                             struct arena *arena);

#endif
