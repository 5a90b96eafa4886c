/*
 * The round sheet as data: for each stop of the walk what is in the tank, what is due, the last
 * figures and what is expected today; the plant's checks; the meters to calibrate first. How it
 * looks on paper is the business of sheet_text and sheet_roff, to type into that of sheet_tsv.
 *
 * A sheet points into the occupancy that it was made from.
 */
#ifndef GYLE_SHEET_H
#define GYLE_SHEET_H

#include "anomaly.h"
#include "arena.h"
#include "cellar.h"
#include "due.h"
#include "finish.h"
#include "meter.h"
#include "occupancy.h"
#include "quantity.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The quantities that a sheet has blanks for: READS_GRAVITY to READS_OXYGEN, in the order of
 * SHEET_ORDER. */
#define SHEET_CELLS (READS_OXYGEN + 1)
extern const int SHEET_ORDER[SHEET_CELLS];

/* What is wanted of a sheet; zero: the usual one. */
struct sheet_wish {
    LIST(struct str) tanks; /* n > 0: these only, due or not */
    unsigned columns;       /* not 0: blanks for these (bits 1 << READS_...), due or not */
    bool blank;             /* nothing filled in: every tank, blanks for what its kind can hold */
    bool due_only;          /* what is due and the last figures, no findings, no meters */
    int days_ahead;         /* of a blank sheet: its date, from today */
};

struct sheet_cell {
    bool is_due;
    struct figure last;
    int64_t last_at;       /* 0: never read */
    struct range expected; /* state FIGURE_SET when there is one */
};

struct sheet_line {
    enum anomaly_level level; /* ANOMALY_NONE: no finding */
    const char *text;
    struct sheet_line *next;
};

struct sheet_lines {
    struct sheet_line *first, **end;
};

/* A tank. */
struct sheet_stop {
    const struct occupancy_tank *place;
    bool is_visited;                   /* it has blanks today */
    const struct batch_course *course; /* NULL: empty, or nothing is known of it */
    struct finish finish;              /* of the course */
    bool has_day;
    int64_t day; /* civil days since day zero */
    struct figure volume;
    struct due due;
    int64_t last_at; /* of the last reading; 0: none */
    struct sheet_cell cells[SHEET_CELLS];
    enum anomaly_level worst;  /* of the findings */
    struct sheet_lines alerts; /* findings and what else cannot wait */
    const char *verdict;       /* and the next step; NULL: the blanks say it all */
    struct sheet_lines tasks;  /* samples to take */
};

/* What the round reads that belongs to no batch. */
struct sheet_check {
    struct str name;
    const struct cellar_check *check;
    enum quantity quantity;
    const struct quantity_unit *unit; /* in which it is read: as last written, else the house's */
    struct sheet_cell cell;
};

struct sheet {
    struct arena *arena;
    const struct cellar *cellar;
    int64_t now, today; /* today: a civil day of the cellar's zone */
    bool is_blank, is_part;
    LIST(struct sheet_stop) stops; /* in the order of the walk */
    LIST(struct sheet_check) checks;
    LIST(const struct meter *) meters; /* to calibrate before the round */
    unsigned due;                      /* bits 1 << READS_...: a blank somewhere */
    const char *look_first;            /* the tanks with alarms and warnings; NULL: none */
    struct sheet_lines alerts;         /* what belongs to no tank */
};

struct sheet *sheet_make(struct arena *arena, const struct occupancy *occupancy,
                         const struct sheet_wish *wish);

/* The house's unit of a quantity, else the library's; NULL for pH and the like. */
const struct quantity_unit *sheet_unit(const struct sheet *sheet, enum quantity quantity);

#endif
