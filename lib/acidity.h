/*
 * pH: what the buffers are worth at a temperature, what the electrode gives for it, and what an
 * electrode calibrated with two buffers reads.
 *
 * Only the electrode is corrected for temperature. The pH of the beer itself changes with
 * temperature too; no honest correction of that is known, and none is made.
 *
 * Range: pH 0..14 (glass electrodes mean something between 2 and 12, ASTM E70-07), 0..100 C; each
 * buffer has its own, narrower one. Outside: NAN.
 */
#ifndef GYLE_ACIDITY_H
#define GYLE_ACIDITY_H

#include <stdbool.h>
#include <stddef.h>

/* Finished equilibrium pH that parts acid from low-acid food: 21 CFR 114.3. At or above it beer
 * does not keep by its own acid. */
#define ACIDITY_LOW_ACID_ABOVE 4.6

/*
 * Buffers of different makes carry nearly the same number and are different solutions: a "7.00"
 * is not the phosphate of 6.86. So each is known by its name, and found by the number on the
 * bottle, its pH at 25 C.
 */
struct acidity_buffer {
    const char *name;
    double nominal;
    const char *source;
    bool from_memory;
    double warmest;   /* C; the coldest is 0 */
    const double *ph; /* every 5 C from 0; NULL: phthalate, by its formula */
};
extern const struct acidity_buffer acidity_buffers[];
extern const size_t acidity_buffers_count;

/* The buffer of that name; the one with that number on its bottle. NULL when there is none. */
const struct acidity_buffer *acidity_buffer_named(const char *name);
const struct acidity_buffer *acidity_buffer_numbered(double nominal);

/* Its pH at a temperature, straight between the rows of the printed table. */
double acidity_buffer_ph(const struct acidity_buffer *buffer, double celsius);

/* mV per pH of a perfect electrode, R T ln 10 / F with the exact constants of the SI, 2019. */
double acidity_slope(double celsius);

/* An electrode as two buffers show it. */
struct acidity_calibration {
    double slope_percent; /* of acidity_slope */
    double offset_mv;     /* what it gives at pH 7, where a perfect one gives 0 */
};

/*
 * From the mV in two buffers whose pH at `celsius` is known. Both figures are NAN when the two
 * are less than 1 pH apart, or mV does not fall as pH rises (the buffers are swapped).
 */
struct acidity_calibration acidity_calibrate(double ph1, double mv1, double ph2, double mv2,
                                             double celsius);

/* pH of a sample by a calibrated electrode that is told the sample's temperature; and back. */
double acidity_ph(const struct acidity_calibration *by, double mv, double celsius);
double acidity_mv(const struct acidity_calibration *by, double ph, double celsius);

/* How many times the hydrogen ions (their activity) of `from` are in `to`: 10^(from - to). */
double acidity_hydrogen_ratio(double ph_from, double ph_to);

#endif
