/*
 * Values and sets of values as text in, answers as text out: what gyle-convert does with each line
 * or with its operands.
 *
 *   1.048 SG                       a value: in another unit, or in every unit of its quantity
 *   original=12.1 P gravity=2.5 P  a set: every figure that follows (figures.h)
 */
#ifndef GYLE_CONVERT_H
#define GYLE_CONVERT_H

#include "arena.h"
#include "figures.h"
#include "quantity.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum convert_status {
    CONVERT_OK,
    CONVERT_REFUSED, /* a value cannot be read, does not fit, or is out of range */
    CONVERT_MISUSED  /* an unknown key, a text that is neither value nor set */
};

#define CONVERT_MOST_TARGETS 4

struct convert {
    FILE *out;
    struct arena *arena; /* of one line: the caller resets it between lines */
    bool tsv;
    int digits; /* behind the point; -1: as many as the input carries */

    /* By convert_to(): the unit to answer in, once for each quantity that has it; none: every. */
    const struct quantity_unit *targets[CONVERT_MOST_TARGETS];
    size_t target_count;

    const struct quantity_unit *house[QUANTITY_COUNT]; /* of bare numbers in a set; NULL: none */
    double bar_atmosphere;                             /* NAN: that of sea level */

    /* Told what is wrong or worth saying. part lies in the text, or is all of it. */
    void (*tell)(void *context, enum figures_remark_level level, struct str part,
                 const char *message);
    void *context;
};

/* Answers are to be in this unit. False: there is no such unit. */
bool convert_to(struct convert *convert, struct str unit);

/* The header row of TSV. */
void convert_begin(const struct convert *convert);

/* Answers one text, a value or a set. Without TSV a value gives one line for each unit, a set one
 * for each figure; what is refused gives none. */
enum convert_status convert_text(const struct convert *convert, struct str text);

/* True where the text holds KEY=VALUE. */
bool convert_is_set(struct str text);

/* Takes the next value off the start of a text of several: "1.048 SG 12 P" holds two. */
struct str convert_next_value(struct str *rest);

#endif
