/*
 * The figures that follow from others, and how. One table names every figure and its unit; one says
 * what each follows from, by which equation. From `original` and `gravity` follow real extract,
 * alcohol and attenuation; from `temp` and `pressure` carbonation; and so on until nothing more
 * does.
 *
 * A computed figure carries the doubt of what it came from: each given figure is moved by one unit
 * of its last digit, and what that makes of the others is summed up as their step.
 */
#ifndef GYLE_FIGURES_H
#define GYLE_FIGURES_H

#include "arena.h"
#include "quantity.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

enum figures_id {
    FIGURES_NONE,

    /* May be given. */
    FIGURES_ORIGINAL,
    FIGURES_GRAVITY,
    FIGURES_LIMIT,
    FIGURES_REAL_EXTRACT,
    FIGURES_ABV,
    FIGURES_ABW,
    FIGURES_HYDROMETER,
    FIGURES_REFERENCE,
    FIGURES_REFRACTOMETER,
    FIGURES_FACTOR,
    FIGURES_TEMP,
    FIGURES_COLD,
    FIGURES_PRESSURE,
    FIGURES_CARBONATION,
    FIGURES_WANTED,
    FIGURES_ALTITUDE,
    FIGURES_VOLUME,
    FIGURES_CAPACITY,
    FIGURES_HEADSPACE,
    FIGURES_RATED,
    FIGURES_PACKAGED,
    FIGURES_EXTRACT,
    FIGURES_PH,
    FIGURES_WORT_PH,
    FIGURES_BUFFER,
    FIGURES_MV,
    FIGURES_MV4,
    FIGURES_MV7,
    FIGURES_BUFFER4,
    FIGURES_BUFFER7,
    FIGURES_SLOPE,
    FIGURES_OFFSET,
    FIGURES_DECLARE,

    /* Only follow. */
    FIGURES_HYDROMETER_SG, /* the hydrometer's reading where its scale is SG */
    FIGURES_WORT_EXTRACT,
    FIGURES_ORIGINAL_SG,
    FIGURES_ORIGINAL_DENSITY,
    FIGURES_GRAVITY_SG,
    FIGURES_GRAVITY_DENSITY,
    FIGURES_LIMIT_SG,
    FIGURES_ADF,
    FIGURES_RDF,
    FIGURES_ENERGY,
    FIGURES_ENERGY_355,
    FIGURES_DECLARED,
    FIGURES_ATMOSPHERE,
    FIGURES_CARBONATION_MASS,
    FIGURES_WATER_CARBONATION,
    FIGURES_PRESSURE_TO_SET,
    FIGURES_TO_COME,
    FIGURES_CLOSED_PRESSURE,
    FIGURES_CLOSING_GRAVITY,
    FIGURES_PRIMING_SUCROSE,
    FIGURES_PRIMING_GLUCOSE,
    FIGURES_PRIMING_MONOHYDRATE,
    FIGURES_PRIMING_WORT,
    FIGURES_FILL,
    FIGURES_VOLUME_COLD,
    FIGURES_LOSS,
    FIGURES_LOSS_PERCENT,
    FIGURES_EXTRACT_MASS,
    FIGURES_ORIGINAL_WITH,
    FIGURES_BUFFER_PH,
    FIGURES_PERFECT_SLOPE,
    FIGURES_HYDROGEN_RATIO,
    FIGURES_COUNT
};

/* How the text of a given figure is read. */
enum figures_kind {
    FIGURES_VALUE,    /* a measured value of its quantity */
    FIGURES_SOLUTION, /* a pH buffer, by its name or the number on its bottle */
    FIGURES_ROUNDING, /* a rule of alcohol.h, by its name */
};

struct figures_info {
    const char *name;    /* its key, and what it is called in output */
    const char *also[3]; /* other keys for it */
    enum figures_kind kind;
    enum quantity quantity; /* QUANTITY_NUMBER where the unit is only a name */
    const char *unit; /* always shown in this one; NULL: in that of the set (figures_unit()) */
    int decimals;     /* where nothing that was given has a last digit */
    bool given;       /* may be given */
    bool has_assumed;
    double assumed;           /* taken where it is needed and not given */
    const char *help;         /* one line for the manual */
    enum figures_id scale_of; /* it is that figure, on the scale of its own unit */
};

extern const struct figures_info FIGURES[FIGURES_COUNT];

/* The figure of that key that may be given, or FIGURES_NONE; and the nearest key, or NULL. */
enum figures_id figures_find(struct str key);
const char *figures_nearest(struct str key);

/* Every key that may be given, parted by commas. */
const char *figures_keys(struct arena *arena);

enum figures_state {
    FIGURES_UNKNOWN,
    FIGURES_GIVEN,
    FIGURES_DERIVED,
    FIGURES_ASSUMED,
    FIGURES_REFUSED
};

struct figures_derivation;

struct figures {
    double value[FIGURES_COUNT]; /* in the library's unit; INFINITY: beyond the equation's range */
    double step[FIGURES_COUNT];  /* in the library's unit; 0: no input moves it */
    unsigned char state[FIGURES_COUNT]; /* enum figures_state */
    bool used[FIGURES_COUNT];           /* something follows from it */
    const struct figures_derivation *by[FIGURES_COUNT];
    double assumed[FIGURES_COUNT]; /* taken where it is needed and not given; NAN: nothing */
    const struct quantity_unit *unit[QUANTITY_COUNT];  /* as written; NULL: none was */
    const struct quantity_unit *house[QUANTITY_COUNT]; /* of bare numbers; set by the caller */
    bool as_shown[FIGURES_COUNT]; /* given in the very unit that it would be shown in */
};

/* An empty set; house stays to be filled. */
void figures_begin(struct figures *set);

/* Reads the text of a figure that may be given. NULL, or what is wrong with it. */
const char *figures_give(struct figures *set, enum figures_id id, struct str text,
                         struct arena *arena);

/* What is taken for a figure where it is needed and not given, such as a brewery's atmosphere. */
void figures_assume(struct figures *set, enum figures_id id, double library);

/* Works out what follows, with steps. */
void figures_derive(struct figures *set);

/* True for what output shows: what followed, what was assumed for it, and gravities that were given
 * on another scale than Plato. */
bool figures_is_shown(const struct figures *set, enum figures_id id);

/* The unit in which it is shown: its own, else that of the given figures, else the house's, else
 * the library's; NULL for a mere number. canonical: its own or the library's. */
const struct quantity_unit *figures_unit(const struct figures *set, enum figures_id id,
                                         bool canonical);

/* Appends the figure's number in that unit. digits < 0: as many as its step has. */
void figures_write(struct buf *buf, const struct figures *set, enum figures_id id,
                   const struct quantity_unit *unit, int digits);

/* The unit's name as shown: "" where there is none. */
const char *figures_unit_name(enum figures_id id, const struct quantity_unit *unit);

/* The name of the equation (equations.h) that gave it, "given" or "assumed". */
const char *figures_source(const struct figures *set, enum figures_id id);

/* What there is to say about a derived set, one sentence each. */
enum figures_remark_level { FIGURES_NOTE, FIGURES_CAUTION, FIGURES_ERROR };
struct figures_remark {
    enum figures_remark_level level;
    const char *text;
};
struct figures_remarks {
    struct figures_remark *items;
    size_t n, capacity;
};

/* Refusals (a figure that is out of its equation's range), notes, cautions. */
struct figures_remarks figures_remarks(const struct figures *set, struct arena *arena);

/* What would follow from the given figures if one or two more were there; for a set from which
 * nothing does. */
const char *figures_missing(const struct figures *set, struct arena *arena);

#endif
