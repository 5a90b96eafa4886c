/*
 * What the trade takes as usual for each kind of yeast, where cellar.yaml says nothing. All of it
 * is common practice without a published source, unless a row says otherwise.
 */
#ifndef GYLE_PRACTICE_H
#define GYLE_PRACTICE_H

#include "cellar.h"

#include <stdbool.h>

struct practice {
    int steady_days;        /* days of the same gravity that mean finished */
    double start_hours;     /* by then pH has fallen and gravity moves */
    bool sours;             /* low pH, trickling and a low end are its nature: no alarm for them */
    double ph_low, ph_high; /* of the finished beer */
    double ferment_low, ferment_high; /* C */
};

/* By enum yeast_kind; YEAST_UNKNOWN and YEAST_NONE are judged as ale. */
extern const struct practice PRACTICE[YEAST_NONE + 1];

/* Cold beer after chilling, C. */
#define PRACTICE_COLD_LOW  (-2.0)
#define PRACTICE_COLD_HIGH 4.0

/* The most pressure that a tank should show, or be closed to reach, as a share of what its name
 * plate says. */
#define PRACTICE_SHARE_OF_RATED 0.8

/* The limit's margin where none is known better: published repeatability within one laboratory is
 * about 0.05 P, between laboratories 0.3 to 0.4 P (EBC trial of 1999, at 12 P). */
#define PRACTICE_MARGIN_PLATO 0.3

/* What sampling, degassing, temperature and a scale of 0.1 P make of two readings of one beer, P:
 * a judgement, not published. */
#define PRACTICE_READING_PLATO 0.15

/* The longest time between calibrations, h: a bench pH meter weekly, a handheld one daily. */
double practice_calibrate_hours(int meter_kind);

/* Days of the same gravity that a beer needs: its steady:, else its yeast's. type may be NULL. */
int practice_steady_days(const struct cellar_beer *type);

#endif
