/*
 * Meters: what the plant log tells of each one, and whether a reading taken with it can be
 * believed. Before a figure accuses the beer, its meter is looked at: is it calibrated, is its
 * electrode sound, do its buffers lie around the reading, and did it shift every tank of a day?
 *
 * Limits where no source is named are common practice.
 */
#ifndef GYLE_METER_H
#define GYLE_METER_H

#include "batch.h"
#include "cellar.h"
#include "plant.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define METER_SLOPE_LOW   92.0 /* % of the theoretical slope: from memory, an electrode maker's */
#define METER_SLOPE_HIGH  102.0
#define METER_OFFSET_MOST 30.0 /* mV at pH 7: an instrument maker's note on offset and slope */
#define METER_WATER_MOST  0.2  /* P, of a gravity meter in pure water */
#define METER_GRACE_HOURS 2.0  /* a round at eight after a calibration at seven is in time */
#define METER_SHIFT_PH    0.10 /* a smaller common shift is within the meter's daily wander */
#define METER_SHIFT_PLATO 0.25
#define METER_SHIFT_TANKS 3 /* fewer cannot tell a meter from a beer */

/* Why a reading's meter is to be doubted; bits. */
enum meter_doubt {
    METER_SHIFTED = 1,  /* all tanks of that day with this meter are off by the same amount */
    METER_NEVER = 2,    /* the log has no calibration of it */
    METER_OVERDUE = 4,  /* the last calibration is too old */
    METER_SLOPE = 8,    /* the electrode's slope is out of METER_SLOPE_LOW..HIGH */
    METER_OFFSET = 16,  /* its offset is over METER_OFFSET_MOST */
    METER_BRACKET = 32, /* its buffers do not lie around the reading */
    METER_WATER = 64,   /* a gravity meter that does not read 0 in water */
    METER_IS_STRIP = 128,
    METER_CENSORED = 256, /* the reading is off the end of the scale */
    METER_OFF_AFTER = 512 /* the next calibration found it off by more than METER_SHIFT_PH */
};

/* One calibration of the log, worked out. NAN: the entry cannot tell. */
struct meter_check {
    const struct plant_calibration *entry;
    int64_t at;
    double celsius;       /* of the buffers; 25 where not told */
    double slope_percent; /* of the theoretical slope at that temperature */
    double offset_mv;     /* at pH 7 */
    double low, high;     /* pH of the lowest and the highest buffer */
    double water_plato;   /* what a gravity meter read in water */
    double found_off;     /* by how much it read too high just before, near pH 4.3, or in P */
};

/* A day on which a meter was off in all tanks. */
struct meter_shift {
    int64_t day;      /* civil_day() */
    int64_t at, last; /* its first and last reading that day */
    double by;        /* median over the tanks, in the quantity's unit; above 0: reads high */
    double spread;    /* of the tanks about that */
    size_t tanks;
};

struct meter {
    const struct cellar_meter *declared;
    struct str name;
    enum quantity quantity;
    enum batch_reads reads; /* READS_COUNT: nothing that a batch's reading holds */
    double due_hours;       /* between calibrations; INFINITY: none asked for */
    LIST(struct meter_check) checks;
    LIST(struct meter_shift) shifts;
};

/* The same beer by two meters. */
struct meter_pair {
    const struct meter *a, *b; /* in the cellar file's order */
    int64_t at;
    double difference; /* what a read less what b read */
};

struct meters {
    struct meter *items; /* in the cellar file's order */
    size_t n;
    LIST(struct meter_pair) pairs; /* by meter_find_pairs() */
};

/* The plant logs of a book. */
struct meter_logs {
    const struct plant *const *items;
    size_t n;
};

/* The cellar's meters with their calibrations up to now, by time. */
struct meters meter_all(struct arena *arena, const struct cellar *cellar, struct meter_logs logs,
                        int64_t now);

/*
 * Finds the days on which a pH or gravity meter was off in all tanks, and adds them to its shifts.
 * A tank counts where its beer has come to rest: its last two sound readings are near each other
 * and nothing was done to it since; then the new reading less the last one is beer or meter, and
 * what three tanks or more have in common is the meter. Readings of a shifted day are corrected
 * by it before they serve as the next day's measure.
 */
void meter_find_shifts(struct meters *meters, struct arena *arena, const struct cellar *cellar,
                       const struct batch_course *courses, size_t n);

/*
 * Pairs of readings of one tank by two meters: of one sample (within two hours), or of neighbouring
 * days where the beer was at rest as above. Days on which one of them was shifted are left out.
 */
void meter_find_pairs(struct meters *meters, struct arena *arena, const struct cellar *cellar,
                      const struct batch_course *courses, size_t n);

/* By name; NULL when there is none. */
const struct meter *meter_find(const struct meters *meters, struct str name);

/* The last calibration at or before a moment, and the first one after it; NULL when there is none.
 */
const struct meter_check *meter_last_check(const struct meter *meter, int64_t at);
const struct meter_check *meter_next_check(const struct meter *meter, int64_t after);

/* The shift of the day of a moment, or NULL. */
const struct meter_shift *meter_shift_on(const struct meter *meter, const struct civil_zone *zone,
                                         int64_t at);

/* Why a figure read with a meter at a moment is to be doubted; 0: it is not. */
unsigned meter_doubts(const struct meter *meter, const struct civil_zone *zone, int64_t at,
                      const struct figure *figure);

/* By how much a meter is off: "0.19 too high", "0.3 P too low"; a gravity in the unit (NULL: P). */
void meter_write_off(struct buf *buf, enum quantity quantity, const struct quantity_unit *unit,
                     double by);

/* A figure that lies outside of its bounds, with no more digits than show it: "85", but "91.8"
 * where 92 is the bound; three behind the point at the most. */
void meter_write_outside(struct buf *buf, double value, double low, double high);

/* The gravest of some doubts, in words, gravities in the unit (NULL: P): "PH2 was last calibrated
 * on 16 Nov, due every 1 d". */
void meter_write_doubt(struct buf *buf, const struct meter *meter, const struct civil_zone *zone,
                       const struct quantity_unit *unit, int64_t at, unsigned doubts);

#endif
