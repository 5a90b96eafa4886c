/*
 * The inside of anomaly: a run over the book, and the passes that look across tanks.
 */
#ifndef GYLE_ANOMALY_RUN_H
#define GYLE_ANOMALY_RUN_H

#include "anomaly.h"

/* A meter in doubt whose figures surprised, on one day. */
struct anomaly_blame {
    const struct meter *meter;
    int64_t at;
    unsigned doubts;
    size_t figures;
};

struct anomaly_run {
    const struct anomaly_book *book;
    struct meters meters;
    struct batch_course *courses; /* of every batch */
    bool *asked;                  /* for each of them */
    size_t course_count;
    struct anomaly_findings findings;
    size_t capacity;
    struct anomaly_blame *blames;
    size_t blame_count, blame_capacity;
};

/* What a rule that has no course finds, at a moment, once: its level, and no words yet. */
struct anomaly_finding anomaly_finding_of(enum anomaly_rule rule, int64_t at);
struct anomaly_finding *anomaly_add(struct anomaly_run *run, struct anomaly_finding finding);

/* The tank's place on the walk. */
size_t anomaly_walk_order(const struct anomaly_book *book, struct str tank);

/* The unit of gravities in what is said: the house's, or P. */
const struct quantity_unit *anomaly_gravity_unit(const struct anomaly_book *book);

/* What matters for some days is told from here on: so long ago, or since the book asks. */
int64_t anomaly_told_since(const struct anomaly_run *run, int days);

void anomaly_of_meters(struct anomaly_run *run);
void anomaly_of_plant(struct anomaly_run *run);
void anomaly_of_trends(struct anomaly_run *run);
void anomaly_of_line(struct anomaly_run *run);
void anomaly_of_round(struct anomaly_run *run);

#endif
