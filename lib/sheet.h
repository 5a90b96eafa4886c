/*
 * The round sheet as data: for each stop of the walk what is in the tank, what is due, the last
 * figures and what is expected today; the plant's checks; the meters to calibrate first. How it
 * looks on paper is sheet_text's business, how it looks to type into sheet_tsv's.
 *
 * Everything in a sheet is copied: the files it was told of may go afterwards.
 */
#ifndef GYLE_SHEET_H
#define GYLE_SHEET_H

#include "arena.h"
#include "batch.h"
#include "cellar.h"
#include "due.h"
#include "plant.h"
#include "quantity.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The quantities that a sheet has blanks for: READS_GRAVITY to READS_OXYGEN, in the order of
 * SHEET_ORDER. */
#define SHEET_CELLS (READS_OXYGEN + 1)
extern const int SHEET_ORDER[SHEET_CELLS];

struct sheet_cell {
    bool is_due;
    struct figure last; /* state FIGURE_SET when there is one */
    int64_t last_at;
    struct range expected; /* state FIGURE_SET when there is one */
    const char *why;       /* due beyond the daily round: the rule's words; NULL */
};

struct sheet_line {
    const char *text;
    struct sheet_line *next;
};

/* What the judgement says of a course, for its stop. */
struct sheet_verdict {
    enum due_phase phase;
    bool is_cold;
    const char *words;   /* the verdict, why, and the next step; NULL: nothing to say */
    const char *caution; /* NULL: none */
    struct range limit;  /* where the gravity should end */
    const char *limit_from;
};

/* A tank. */
struct sheet_stop {
    struct str name;
    const struct cellar_tank *tank; /* NULL: not declared */
    bool in_walk;

    bool is_occupied;
    struct str batch, beer;
    bool has_day;
    int64_t day;        /* civil days since day zero */
    int64_t brewed_day; /* civil day */
    int64_t from;       /* when the beer came */
    struct figure volume, original;
    struct sheet_verdict verdict;
    struct due due;
    int64_t last_at; /* of the last reading; 0: none */
    struct sheet_cell cells[SHEET_CELLS];

    int64_t emptied, cleaned; /* 0: not known */
    struct sheet_line *remarks, **remarks_end;
};

/* What the round reads that belongs to no batch. */
struct sheet_check {
    struct str name;
    const struct cellar_check *check;
    enum quantity quantity;
    const struct quantity_unit *unit; /* in which it is read: as last written, else the house's */
    struct sheet_cell cell;
};

/* A meter to calibrate before the round. */
struct sheet_meter {
    struct str name;
    const struct cellar_meter *meter;
    bool is_due;
    int64_t last_at; /* 0: never in the log */
    double due_hours;
};

struct sheet {
    struct arena *arena;
    const struct cellar *cellar;
    int64_t now, today;            /* today: a civil day of the cellar's zone */
    LIST(struct sheet_stop) stops; /* in the order of the walk */
    LIST(struct sheet_check) checks;
    LIST(struct sheet_meter) meters;
    unsigned due; /* bits 1 << READS_...: due somewhere */
    size_t occupied;
    bool is_part; /* not all batches were asked for: of a tank without one nothing can be said */
    struct sheet_line *remarks, **remarks_end; /* what belongs to no stop */
};

/* An empty sheet: the walk, then tanks that it leaves out; checks; meters. */
struct sheet *sheet_new(struct arena *arena, const struct cellar *cellar, int64_t now);

/* Adds what a plant log tells. Logs may come in any order. */
void sheet_add_plant(struct sheet *sheet, const struct plant *plant);

/* Adds a settled batch; scratch is for what need not last. */
void sheet_add_batch(struct sheet *sheet, const struct batch *batch, struct arena *scratch);

/* When all has been added: what is still due, and what to say of it. */
void sheet_finish(struct sheet *sheet);

/* The house's unit of a quantity, else the library's; NULL for pH and the like. */
const struct quantity_unit *sheet_unit(const struct sheet *sheet, enum quantity quantity);

/* True when the round goes to the tank today. */
bool sheet_is_visited(const struct sheet_stop *stop);

#endif
