/*
 * Measured values: a number with its unit, read from text into the library's own unit for that
 * quantity.
 *
 *   3.4 P   1.013 SG   66F   0.8 bar   <4.7   >6.2   (values)
 *   11.8..12.4 P   ..0.10 mg/L   2.4.. vol           (limits)
 *
 * Numbers are plain decimals of at most 15 digits, so that each is read exactly as written. No
 * exponent, no hexadecimal, no comma, no nan or inf. Which units there are is one table in
 * quantity.c.
 */
#ifndef GYLE_QUANTITY_H
#define GYLE_QUANTITY_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

struct doc_node;

/* What is measured. The library's unit is in brackets. */
enum quantity {
    QUANTITY_NUMBER,      /* [1] no unit */
    QUANTITY_GRAVITY,     /* apparent extract [P], 20 C */
    QUANTITY_PH,          /* [pH] no unit */
    QUANTITY_TEMPERATURE, /* [C] */
    QUANTITY_PRESSURE,    /* gauge [bar] */
    QUANTITY_VOLUME,      /* [hL] */
    QUANTITY_CARBONATION, /* [vol] volumes of CO2 at 0 C, 1 atm; see carbonation.h for g/L */
    QUANTITY_VDK,         /* [mg/L] */
    QUANTITY_OXYGEN,      /* [ppb], as ug/L */
    QUANTITY_ALCOHOL,     /* [%] by volume */
    QUANTITY_BITTERNESS,  /* [IBU], the unit may be left out */
    QUANTITY_CELLS,       /* [M/mL] */
    QUANTITY_PERCENT,     /* [%], the unit may be left out */
    QUANTITY_VOLTAGE,     /* [mV], the unit may be left out */
    QUANTITY_MASS,        /* [kg] */
    QUANTITY_DURATION,    /* [h] */
    QUANTITY_LENGTH,      /* [m] */
    QUANTITY_COUNT
};

struct quantity_info {
    const char *name;   /* "gravity"; also the key under units: in cellar.yaml where there is one */
    const char *unit;   /* the library's unit, "" for none */
    const char *suffix; /* of a TSV column: "_P", "_bar", "" */
    bool unit_optional; /* a bare number is in the library's unit */
    double least, most; /* a figure outside of these cannot be true, whatever the beer */
    int decimals;       /* of the library's unit when a computed figure is shown */
};

extern const struct quantity_info QUANTITIES[QUANTITY_COUNT];

struct quantity_unit {
    const char *name;
    enum quantity quantity;
    double factor, offset;  /* library = offset + factor x written, where there are no functions */
    double (*to)(double);   /* written -> library; NAN when out of range */
    double (*from)(double); /* library -> written */
    int decimals;           /* when a computed figure is shown in it */
    int spare;              /* so many of them are left off where they are 0: 1.018, 1.0135 SG */
};

extern const struct quantity_unit QUANTITY_UNITS[];
extern const size_t QUANTITY_UNIT_COUNT;

enum figure_state {
    FIGURE_ABSENT,    /* the key is not there */
    FIGURE_SET,       /* value holds */
    FIGURE_WITHDRAWN, /* ~ or no value: not taken */
    FIGURE_REFUSED    /* an error was reported */
};

/* One figure as read. Only when state is FIGURE_SET do value, step, unit mean anything. */
struct figure {
    double value;   /* in the library's unit */
    double step;    /* one unit of the last digit written, in the library's unit */
    double written; /* the number as written */
    const struct quantity_unit *unit; /* as written, or the house unit; NULL where there is none */
    const struct doc_node *node;      /* where it stands; NULL when it comes from no file */
    unsigned char state;              /* enum figure_state */
    signed char censor;               /* -1: below value, +1: above value, 0: value itself */
    unsigned char decimals;           /* digits behind the point, as written */
    unsigned char word;               /* a word beside or instead of it, from 1; 0: none */
};

/* An interval; a missing end has has_low or has_high false. */
struct range {
    double low, high; /* in the library's unit */
    double step;      /* of the end with more digits */
    const struct quantity_unit *unit;
    const struct doc_node *node;
    unsigned char state; /* enum figure_state */
    bool has_low, has_high;
    unsigned char decimals;
};

enum quantity_status {
    QUANTITY_OK,
    QUANTITY_NOT_A_NUMBER,
    QUANTITY_COMMA,     /* 3,4 */
    QUANTITY_NOT_PLAIN, /* nan, inf, 0x1f, 1e3 */
    QUANTITY_TOO_LONG,  /* over 15 digits */
    QUANTITY_UNIT_MISSING,
    QUANTITY_UNIT_UNKNOWN,
    QUANTITY_UNIT_OTHER,    /* a unit of another quantity */
    QUANTITY_TWO_UNITS,     /* 3.4 P P, 3.4 P 1.013 SG */
    QUANTITY_OUT_OF_RANGE,  /* outside of QUANTITIES[].least..most, or of the unit's formula */
    QUANTITY_NOT_A_WIDTH,   /* 0, below 0, <0.1 */
    QUANTITY_NOT_A_RANGE,   /* not one .. of two dots */
    QUANTITY_RANGE_REVERSED /* 4.5..4.1 */
};

/* The unit written `name` (also with the degree sign: °P, °C), or NULL. */
const struct quantity_unit *quantity_unit_find(struct str name);

/* The same among the units of one quantity. */
const struct quantity_unit *quantity_unit_of(struct str name, enum quantity quantity);

/* The name of the unit that was perhaps meant, of any quantity, or NULL. */
const char *quantity_nearest_unit(struct str name);

/* The library's own unit of a quantity, or NULL where it has none. */
const struct quantity_unit *quantity_library_unit(enum quantity quantity);

/* Between the library's unit and another. NAN outside of the unit's range. */
double quantity_to_library(const struct quantity_unit *unit, double written);
double quantity_from_library(const struct quantity_unit *unit, double library);

/* Reads a value or a limit. house is the unit of a bare number, NULL when there is none. On any
 * status but QUANTITY_OK *figure holds what could be read, with state FIGURE_REFUSED. */
enum quantity_status quantity_read(struct str text, enum quantity quantity,
                                   const struct quantity_unit *house, struct figure *figure);
enum quantity_status quantity_read_range(struct str text, enum quantity quantity,
                                         const struct quantity_unit *house, struct range *range);

/* Does a value lie under the low end, or over the high one, by more than rounding? False where that
 * end, or the range, is not set. */
bool quantity_is_under(const struct range *range, double value);
bool quantity_is_over(const struct range *range, double value);

/* Reads a difference, such as a meter's step: value is its width in the library's unit (of SG and
 * density: at 0 P), whatever least and most say. */
enum quantity_status quantity_read_width(struct str text, enum quantity quantity,
                                         const struct quantity_unit *house, struct figure *figure);

/* Reads the number at the start of text and what is left of it; for input where units come apart.
 */
enum quantity_status quantity_read_number(struct str text, struct figure *figure, struct str *rest);

/* The message for a status: what is wrong with text, and what would be right. */
const char *quantity_explain(struct arena *arena, struct str text, enum quantity quantity,
                             enum quantity_status status);

/* True for a figure that can be computed with: set and not censored. */
bool figure_is_exact(const struct figure *figure);

/* a - b in whole steps (the larger of both steps, or least_step when that is larger), rounded; so
 * that 2.5 P is one step above 2.4 P, whatever doubles make of it. */
long figure_steps_between(const struct figure *a, const struct figure *b, double least_step);

/* A library value in a unit (NULL: the library's own of quantity) with so many decimals (-1: the
 * unit's usual ones), then a blank and the unit's name. Never "-0.0". */
void quantity_write(struct buf *buf, enum quantity quantity, double library,
                    const struct quantity_unit *unit, int decimals);
/* Digits behind the point for a figure whose last digit makes `step`: so few that none is invented,
 * so many that nothing is lost (the last one shown stands for no more than 5/4 of the step). usual:
 * where step is 0. The second takes both from the library's unit. */
int quantity_step_digits(double step, int usual);
int quantity_digits(const struct quantity_unit *unit, double library, double step, int usual);

/* A number in a unit, with the digits in which a computed figure is shown. NULL: it has no unit. */
void quantity_write_shown(struct buf *buf, enum quantity quantity, double written,
                          const struct quantity_unit *unit);
/* The number alone. */
void quantity_write_number(struct buf *buf, double written, int decimals);
/* low..high UNIT; unit NULL: as written */
void quantity_write_range(struct buf *buf, const struct range *range,
                          const struct quantity_unit *unit);

#endif
