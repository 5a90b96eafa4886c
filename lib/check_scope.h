/*
 * What the checks of one batch share (check_batch.c, check_readings.c, check_steps.c): the batch at
 * hand, and how its figures and times stand in messages. Texts live in the arena of the diags.
 */
#ifndef GYLE_CHECK_SCOPE_H
#define GYLE_CHECK_SCOPE_H

#include "check_rules.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    CHECK_NEAR_STAY = CIVIL_HOUR, /* the entry of a move and the reading beside it */
    CHECK_MOST_STAYS = 64         /* beyond it, stays are not compared with each other */
};

struct scope {
    const struct check *check;
    const struct book_file *file;
    const struct batch *batch;
    struct diags *diags;
};

struct place check_at(const struct scope *s, const struct doc_node *node);

/* Text of the file, escaped. */
const char *check_shown(const struct scope *s, struct str text);

/* A moment in the cellar's zone. */
const char *check_minute_text(const struct scope *s, int64_t moment, char text[CIVIL_TEXT_SIZE]);

/* A figure as written. */
const char *check_written(const struct scope *s, const struct figure *figure);

/* A library value in the unit that a figure was written in. */
const char *check_in_unit_of(const struct scope *s, enum quantity quantity, double value,
                             const struct figure *figure);

/* The tanks that the batch is in at a moment: "FV1 and FV2", "none". */
const char *check_tank_list(const struct scope *s, int64_t moment);

/* seen: entries acknowledge odd figures that were read up to two days before. */
bool check_is_seen(const struct scope *s, enum rule rule, const struct reading *reading);

/* A tank that is named must hold the batch at that moment. */
void check_where(const struct scope *s, const struct doc_node *tank, const struct moment *moment);

/* Each reading by itself, and figures that are there twice. */
void check_readings(const struct scope *s);
void check_conflicts(const struct scope *s);

/* Figures that no beer steps to from the ones before and after. */
void check_steps(const struct scope *s);

#endif
