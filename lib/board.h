/*
 * The tank board: what is where, in which state, and when each tank should be free; what is planned
 * into which tank, and whether it will be free by then.
 *
 * A board points into the occupancy that it was made from.
 */
#ifndef GYLE_BOARD_H
#define GYLE_BOARD_H

#include "occupancy.h"
#include "outlook.h"
#include "table.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum board_clash {
    BOARD_FITS,
    BOARD_TIGHT,    /* free before it usually, but not in every case */
    BOARD_UNKNOWN,  /* nothing says when the tank will be free */
    BOARD_CLASH,    /* usually not free by then */
    BOARD_TWICE,    /* another plan has the tank within the time that this one needs it */
    BOARD_TOO_MUCH, /* more beer than the tank holds */
    BOARD_NO_TANK   /* the tank is not declared, or none is named */
};

struct board_plan {
    struct str batch, beer, tank; /* batch: "" where the plan has no number yet */
    bool has_at;
    int64_t at;
    struct figure volume;
    enum board_clash clash;
    const char *words; /* what is in the way; "" when nothing is */
};

struct board_row {
    const struct occupancy_tank *place;
    const struct batch_course *course; /* NULL: empty */
    struct outlook outlook;            /* of the course */
    bool has_day;
    int64_t day;                          /* civil days since day zero */
    double fill_percent;                  /* NAN: not known */
    const struct figure *temp, *pressure; /* the last ones; NULL */
    const char *state;
    const struct board_plan *wanted; /* the first plan for the tank, or NULL */
};

struct board {
    struct arena *arena;
    const struct occupancy *occupancy;
    LIST(struct board_row) rows;   /* in the order of the walk */
    LIST(struct board_plan) plans; /* by time */
    size_t clashes;                /* plans with BOARD_CLASH or worse */
};

struct board *board_make(struct arena *arena, const struct occupancy *occupancy);

/* Errors of the output are left for ferror(). */
void board_write_tsv(FILE *out, const struct board *board);
void board_write_text(FILE *out, const struct board *board);

/* A picture of the days to come, one line for each tank. */
void board_write_days(FILE *out, const struct board *board, int days);

#endif
