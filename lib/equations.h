/*
 * Every equation of the arithmetic in one table: what it gives, its form, its source, its range,
 * and how far it is from the published figures that it was held against. The manual pages print
 * this table. The tests measure each error again and fail when it is larger than stated here, or
 * less than half of that.
 *
 * In the forms: P is extract in Plato, OE, AE and RE the original, apparent and real extract, A
 * alcohol by mass in %, t temperature in C, T = t + 273.15, p pressure in bar absolute unless
 * said otherwise.
 */
#ifndef GYLE_EQUATIONS_H
#define GYLE_EQUATIONS_H

#include <stddef.h>

enum equation_status {
    EQUATION_CONFIRMED,   /* seen in a published document */
    EQUATION_FROM_MEMORY, /* a coefficient was not */
    EQUATION_DERIVED,     /* arithmetic on definitions and on the equations above it */
};

/* The largest difference from a published table or a series of measurements. */
struct equation_check {
    const char *against;
    double worst;
    const char *unit; /* of worst */
};

#define EQUATION_CHECKS 4

struct equation {
    const char *name;
    const char *gives;
    const char *form;
    const char *source;
    const char *range;
    enum equation_status status;
    struct equation_check checks[EQUATION_CHECKS]; /* up to the first without `against` */
};

extern const struct equation equations[];
extern const size_t equations_count;

/* The equation of that name, or NULL. */
const struct equation *equations_named(const char *name);

/* "confirmed", "from memory" or "derived". */
const char *equations_status(enum equation_status status);

#endif
