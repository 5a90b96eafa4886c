/*
 * What is wrong: rules that look at each reading of each tank, at what the tank came to, at the
 * meters, the plant and the round, and say what they find in words: what was read, what was
 * expected and where that comes from, the likely causes in order, and the first thing to do.
 *
 * The rules are one list, anomaly.def. What is normal for a beer is its limits in cellar.yaml,
 * else what its yeast usually does (practice.h). The meter is looked at first: a finding whose
 * figure comes from a meter that cannot be believed is one level lower, says so, and the meter
 * has a finding of its own. One reading alone is told as unconfirmed where a spike could be it.
 */
#ifndef GYLE_ANOMALY_H
#define GYLE_ANOMALY_H

#include "batch.h"
#include "book.h"
#include "history.h"
#include "meter.h"
#include "plant.h"
#include "shelf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum anomaly_level { ANOMALY_NONE, ANOMALY_NOTE, ANOMALY_WARN, ANOMALY_ALARM };
extern const char *const ANOMALY_LEVELS[]; /* by level: "", "note", "warn", "alarm" */

/* The level of that name; ANOMALY_NONE for one that there is not. */
enum anomaly_level anomaly_level_of(struct str name);

enum anomaly_rule {
#define ANOMALY(id, name, level, alone, scope, reads, judge, meaning, normal, causes, first,       \
                caution)                                                                           \
    id,
#include "anomaly.def"
    ANOMALY_COUNT
};

enum anomaly_scope {
    ANOMALY_AT_READING, /* judged at each reading that has one of the rule's figures */
    ANOMALY_AS_OF_NOW,  /* judged once for each tank */
    ANOMALY_OF_METERS,
    ANOMALY_OF_PLANT,
    ANOMALY_OF_ROUND,
    ANOMALY_OF_BATCHES /* from batch to batch of a beer */
};

struct anomaly_case;
struct anomaly_finding;

struct anomaly_info {
    const char *name;
    enum anomaly_level level;
    enum anomaly_level alone; /* while a single reading says so; ANOMALY_NONE: the same, and a
                               * second one is not asked for */
    enum anomaly_scope scope;
    unsigned reads; /* 1 << enum batch_reads, any of them */
    bool (*judge)(const struct anomaly_case *, struct anomaly_finding *);
    const char *meaning; /* what it finds */
    const char *normal;  /* what is normal, and where that comes from */
    const char *causes;  /* likely causes in order, parted by "; " */
    const char *first;   /* the first thing to do */
    const char *caution; /* where work can hurt; or "" */
};
extern const struct anomaly_info ANOMALY_RULES[ANOMALY_COUNT];

/* The rule of that name, or ANOMALY_COUNT; and the nearest name to what was meant, or NULL. */
enum anomaly_rule anomaly_find(struct str name);
const char *anomaly_nearest(struct str name);

struct anomaly_finding {
    enum anomaly_rule rule;
    enum anomaly_level level;
    int64_t at;                /* of the reading that shows it */
    int64_t since;             /* of the first reading in a row that did */
    size_t times;              /* how many did */
    bool ended;                /* a later reading does not show it */
    bool unconfirmed;          /* a second reading should be taken before it is believed */
    struct str tank;           /* "" where it belongs to no tank */
    struct str subject;        /* the meter, the check, the person; "" where it is a tank */
    const struct batch *batch; /* NULL where it belongs to none */
    struct str reading, expected, source, more; /* in words; more: what else to know, or "" */
    struct str doubt;                           /* why it is perhaps the meter, or "" */
    const struct batch_seen *seen;              /* acknowledged since it began and not worse now */
    size_t order;                               /* of the tank on the walk */
};

struct anomaly_findings {
    struct anomaly_finding *items;
    size_t n;
};

/* What is judged. */
struct anomaly_book {
    struct arena *arena;
    const struct cellar *cellar;
    const struct batch *const *batches; /* settled; all of the book */
    const bool *asked;                  /* those to report on */
    size_t batch_count;
    const struct history *history; /* what earlier batches came to; NULL: not known */
    const struct plant *const *plants;
    size_t plant_count;
    bool plants_asked; /* report on meters, checks and rounds that touch no tank asked for, too */
    int64_t now;
    int64_t since;    /* also what ended, and beer that left, after this; now: only what still is */
    bool house_units; /* figures in words: in the cellar's units, else in the library's */
};

/* A book as it was taken off the shelf, to be judged in the library's units. */
struct anomaly_book anomaly_book_of(const struct book *book, const struct shelf *shelf,
                                    struct arena *arena, int64_t now, int64_t since);

/* Every finding: meters first, then tanks in the order of the walk, the plant last; in each the
 * gravest first, then by time. */
struct anomaly_findings anomaly_judge(const struct anomaly_book *book);

/* Drops what is milder and, where tanks are named, what is not of them: meters, checks and rounds.
 */
void anomaly_keep(struct anomaly_findings *findings, enum anomaly_level least,
                  const char *const *tanks, size_t tank_count);

/* An alarm that still is and that nobody has seen. */
bool anomaly_is_alarm(const struct anomaly_finding *finding);

#endif
