/*
 * The plant log: readings of the round that belong to no batch, calibrations of meters, rounds and
 * what they left out, tanks cleaned. One file a month.
 */
#ifndef GYLE_PLANT_H
#define GYLE_PLANT_H

#include "cellar.h"
#include "keys.h"

struct plant_reading {
    const struct doc_node *node;
    struct moment at;
    const struct doc_node *check, *value_node, *by, *note;
    struct figure value; /* in the quantity of its check */
    struct flag reset;   /* the counter was changed or set to zero before it */
};

struct plant_buffer {
    const struct doc_node *node;
    struct figure ph;    /* what the buffer is at 25 C, as on its label */
    struct figure mv;    /* what the electrode gave */
    struct figure reads; /* or what the meter showed, in pH */
};

struct plant_calibration {
    const struct doc_node *node;
    struct moment at;
    const struct doc_node *meter, *by, *note;
    struct figure temp;
    LIST(struct plant_buffer) buffers;
    struct figure water; /* what a gravity meter reads in water */
};

struct plant_skipped {
    const struct doc_node *node;
    const struct doc_node *tank, *check, *why;
};

struct plant_round {
    const struct doc_node *node;
    struct moment at;
    const struct doc_node *by, *note;
    LIST(struct plant_skipped) skipped;
};

struct plant_cleaned {
    const struct doc_node *node;
    struct moment at;
    const struct doc_node *tank, *by, *note;
};

struct plant {
    const struct doc_node *node;
    const struct source *source;
    const struct doc_node *month, *note;
    LIST(struct plant_reading) readings;
    LIST(struct plant_calibration) calibrations;
    LIST(struct plant_round) rounds;
    LIST(struct plant_cleaned) cleaned;
    size_t errors; /* found while reading it */
};

extern const struct key_table PLANT_KEYS;

/* Fills a plant log from the root of its document; values are read in the quantity of their check.
 */
struct plant *plant_read(const struct keys_context *context, const struct cellar *cellar,
                         const struct doc_node *root);

#endif
