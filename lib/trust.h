/*
 * Can a meter be trusted today? What its calibrations say, where they are going, and whether it
 * agrees with the other meters.
 */
#ifndef GYLE_TRUST_H
#define GYLE_TRUST_H

#include "meter.h"

#include <stdbool.h>
#include <stdint.h>

enum trust_verdict { TRUST_YES, TRUST_CHECK, TRUST_NO };
extern const char *const TRUST_VERDICTS[]; /* "trust", "check", "do not use" */

/* What is looked at of the past, and how many calibrations a trend asks for. */
enum { TRUST_DAYS = 90, TRUST_FEWEST = 8, TRUST_AHEAD_DAYS = 14 };

/* Where something is going: Sen's slope where Mann-Kendall finds a trend (two-sided 5 %). */
struct trust_trend {
    bool is_moving;
    double per_month; /* in 30 days */
    bool leaves;      /* it will leave its limits, as it goes now */
    int64_t leaves_at;
};

/* How a meter reads against another one. */
struct trust_pairs {
    const struct meter *other; /* the one with most pairs; NULL: no pair at all */
    size_t n;
    double difference; /* median of what this one read less what the other did */
    double low, high;  /* limits of agreement, 95 %: mean -+ 1.96 sd; NAN under 3 pairs (Bland and
                        * Altman 1986, from memory) */
};

struct trust {
    const struct meter *meter;
    const struct meter_check *last; /* NULL: never calibrated */
    bool has_due;
    int64_t due_at;
    double days_to_due; /* below 0: overdue */
    struct trust_trend slope, offset;
    struct trust_pairs pairs;
    const struct meter_shift *shift; /* the last day it was off in all tanks, TRUST_DAYS back */
    enum trust_verdict verdict;
    const char *why; /* one sentence; never NULL */
};

/* The cellar's meters as they are judged: their calibrations up to now, and what the courses say of
 * them. */
struct meters trust_meters(struct arena *arena, const struct cellar *cellar, struct meter_logs logs,
                           const struct batch_courses *courses, int64_t now);

/* Judges one of them as of now. Words live in the arena. */
struct trust trust_judge(const struct meters *meters, const struct meter *meter,
                         struct arena *arena, const struct cellar *cellar, int64_t now);

#endif
