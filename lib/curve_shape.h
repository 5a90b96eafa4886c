/*
 * The shapes of curve.h as functions: the gravity at each hour with its derivatives by the
 * parameters, two readings at once, and what is worked out first for all hours. A part of curve.c,
 * which alone includes this.
 */
#ifndef GYLE_CURVE_SHAPE_H
#define GYLE_CURVE_SHAPE_H

#include "curve.h"

/* What all hours share under one theta. Every shape is a function of x = b (hours - half), or of
 * b hours, so the rest is its start, its end and the form of the function. */
struct curve_course {
    enum curve_shape shape;
    const double *hours;
    double start, end, half, b;
    double form;    /* s (asymmetric), K (monod) */
    double onset;   /* c (monod) */
    double at_half; /* what is added to x: log(2^(1/s) - 1); a (half - lag) */
    double at_half_by_tail, at_half_by_onset;
    double log_b_by_tail, log_b_by_onset;
};

/* A shape: how many parameters it has, and its model, whose data is a course prepared for the same
 * theta. */
struct curve_form {
    size_t parameters;
    fit_model *model;
    void (*prepare)(const double *theta, struct curve_course *course);
};
extern const struct curve_form CURVE_FORMS[CURVE_SHAPES];

/* Prepares a course (data; its shape and hours are set) for theta. As fit_problem's prepare. */
void curve_prepare(const double *theta, void *data);

#endif
