/*
 * A gravity as its meter's kind asks for it: a hydrometer's for the sample's temperature, a
 * refractometer's for the wort's sugars and for alcohol.
 */
#ifndef GYLE_CORRECTED_H
#define GYLE_CORRECTED_H

#include "cellar.h"
#include "quantity.h"

enum corrected_how {
    CORRECTED_NOT,           /* the meter needs no correction, or says too little for one */
    CORRECTED_HYDROMETER,    /* reference: and the temperature are known */
    CORRECTED_REFRACTOMETER, /* factor:, else the usual one, and the original */
};
extern const char *const CORRECTED_NAMES[]; /* "", "hydrometer", "refractometer" */

struct corrected {
    double plato; /* NAN: outside of the correction's range, or it needs an original */
    enum corrected_how how;
};

/* figure: set and not censored. meter: NULL when not known. celsius, original_plato: NAN when not
 * known; an original of 0 means wort, which has no alcohol. A hydrometer whose scale is SG is read
 * at its own reference temperature. */
struct corrected corrected_gravity(const struct figure *figure, const struct cellar_meter *meter,
                                   double celsius, double original_plato);

/* The gravity to hold against figures of other meters: a refractometer's as above, NAN where it
 * cannot be told; else as it was read, for what temperature does to a hydrometer is small. */
double corrected_to_compare(const struct figure *figure, const struct cellar_meter *meter,
                            const struct figure *original);

#endif
