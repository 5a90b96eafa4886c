/*
 * Refractometer readings. The instrument is made for sucrose, in Brix; wort holds other sugars and
 * reads a little high, and alcohol reads as if it were extract.
 *
 * Both corrections are coarse. The wort factor is the instrument's and the wort's own: find it
 * against a hydrometer. The share of alcohol is from memory, from the refractive indices of weak
 * solutions: about 0.0006 per % by mass of ethanol against 0.0014 of sucrose. Another 0.05 moves
 * the apparent extract of a beer of 4 % by mass by 0.3 P: good enough to see a fermentation go,
 * not to say that it is finished.
 */
#ifndef GYLE_REFRACTOMETER_H
#define GYLE_REFRACTOMETER_H

/* Brix read per Plato of wort: common practice, from memory. */
#define REFRACTOMETER_WORT_FACTOR 1.04

/* Plato that 1 % by mass of alcohol reads: from memory. */
#define REFRACTOMETER_ALCOHOL_SHARE 0.44

/* Plato of unfermented wort; brix_read 0..40, wort_factor 0.9..1.2, else NAN. */
double refractometer_wort(double brix_read, double wort_factor);

/*
 * The apparent extract (what a hydrometer would show, Plato) of beer whose wort had
 * `original_plato`: the real extract by brix / factor = real + share x alcohol, with Balling's
 * alcohol (alcohol.h). A reading at or above the original has no alcohol to correct for.
 * NAN outside refractometer_wort's range or alcohol.h's.
 */
double refractometer_beer(double brix_read, double wort_factor, double original_plato);

#endif
