/*
 * What is due today in one tank: which figures the round takes, and what else is to be done with
 * the beer's samples. One table of rules (due.c) says it, each row with its source; days are civil
 * days, so that yesterday's round at nine does not excuse today's at eight.
 */
#ifndef GYLE_DUE_H
#define GYLE_DUE_H

#include "batch.h"
#include "cellar.h"
#include "civil.h"
#include "finish.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The stages that the rules tell apart; bits. */
enum due_phase {
    DUE_NOT_STARTED = 1, /* pitched, nothing moves yet */
    DUE_FERMENTING = 2,
    DUE_SLOWING = 4,  /* near its end, or flat and not yet believed */
    DUE_FINISHED = 8, /* at its end, not chilled */
    DUE_WRONG = 16,   /* stuck, below its limit, chilled early: to be watched as if it fermented */
    DUE_COLD = 32,    /* chilled */
    DUE_BRIGHT = 64   /* carbonated, or in a bright tank */
};

/* Things to do besides reading figures; bits. */
enum due_task {
    DUE_FORCED_SET = 1, /* put a forced sample aside */
    DUE_FORCED_READ = 2 /* read it */
};

struct due_tank {
    const struct batch_course *course;
    const struct civil_zone *zone;
    int64_t now;
    int kind;           /* enum tank_kind */
    double every_hours; /* how often the round visits the tank; 24 where not told */
    enum due_phase phase;
    bool is_asked;    /* as if it had not been read today or lately */
    bool is_open;     /* due_is_open() */
    int64_t vdk_from; /* due_vdk_from() */
};

struct due_rule {
    int reads; /* enum batch_reads; READS_COUNT for a row of a task */
    unsigned task;
    unsigned phases;                                                        /* enum due_phase */
    int every_days;                                                         /* of a figure */
    bool (*when)(const struct due_tank *tank, const struct due_rule *rule); /* NULL: always */
    const char *why;                                                        /* for the sheet */
    const char *source;
};
extern const struct due_rule DUE_RULES[];
extern const size_t DUE_RULE_COUNT;

struct due {
    unsigned reads;                              /* bits 1 << READS_... */
    unsigned tasks;                              /* enum due_task */
    const struct due_rule *because[READS_COUNT]; /* NULL: not due */
    const struct due_rule *task_because;         /* of the last task */
    int64_t next_day;                            /* the next visit, when nothing is due today */
    bool is_read_today;                          /* some figure was read today */
};

struct due due_today(const struct due_tank *tank);

/* Does the verdict, or the step that follows it, want another gravity, wherever the beer is? */
bool due_is_open(const struct finish *finish);

/* The stage of a beer in a tank of a kind, by its verdict. */
enum due_phase due_phase_of(const struct finish *finish, int tank_kind, int64_t now);

/* The last figure of a quantity in the course that was read (censored ones and words too) at or
 * before a moment, and its reading; NULL when there is none. */
const struct reading *due_last_reading(const struct batch_course *course, int reads, int64_t at);

/* A VDK test says something of the beer as it is now when it was taken so long before gravity came
 * to its end, or later. While it still falls, any does. (common practice, no source) */
#define DUE_VDK_HOURS_BEFORE_END 48
int64_t due_vdk_from(const struct finish *finish);

/* The last VDK figure, bound or smell from a moment on, up to another; NULL: none. */
const struct figure *due_vdk_test(const struct batch_course *course, int64_t from, int64_t at);

/* Is the beer tested for it at all? One that sours, and one of no brewer's yeast, only where its
 * limit is written down. */
bool due_wants_vdk(const struct batch *batch);

/* Did it pass: no smell, and nothing over the beer's limit? type may be NULL. */
bool due_vdk_passed(const struct cellar_beer *type, const struct figure *vdk);

/* True when a calibration or a visit of every_hours, last made at `last`, is due on the civil day
 * of now. */
bool due_by_day(const struct civil_zone *zone, int64_t last, double every_hours, int64_t now);

#endif
