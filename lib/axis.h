/*
 * The axes of a chart: where an axis begins and ends, and where its ticks stand, at figures that a
 * person reads easily. Pure arithmetic, in whatever unit the figures have.
 */
#ifndef GYLE_AXIS_H
#define GYLE_AXIS_H

struct axis {
    double low, high; /* low < high; of axis_of() both are ticks */
    double step;      /* between ticks, above 0 */
    long ticks;       /* how many, 2 or more */
    int decimals;     /* that tell the ticks apart */
};

/* An axis that holds low..high in at most `most` steps (2 or more) of 1, 2 or 5 times a power of
 * ten, none finer than least_step (above 0). Equal ends give an axis around them (from 0 up where
 * both are 0), ends in the wrong order are exchanged; ends that are not finite give one from 0. */
struct axis axis_of(double low, double high, long most, double least_step);

/* Days from low (0 or before) to high, beginning and ending at whole days: at most `most` ticks
 * after the first, by days, weeks, or longer stretches of whole weeks or hundreds of days. */
struct axis axis_days(double low, double high, long most);

/* The figure at tick i, from 0; never -0. */
double axis_tick(const struct axis *axis, long i);

/* Where a figure lies: 0 at the low end, 1 at the high end, beyond them outside. */
double axis_share(const struct axis *axis, double value);

#endif
