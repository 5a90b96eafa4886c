/*
 * The course of gravity in a fermenting tank: curves from a start to an end, fitted to readings,
 * and what they say about other times, with a band. When a beer will be finished they do not say:
 * remain.h does that better. Hours are counted from any one moment, usually the pitch; gravity is
 * in Plato, but any falling quantity will do.
 *
 * Shapes, f the part still to go (1 at the start, 0 at the end), gravity = end + (start - end) f:
 *   exponential  f = 2^(-hours / half)                        no lag: pitched at full activity
 *   logistic     f = 1 / (1 + exp(rate (hours - half)))       the four-parameter logistic
 *   asymmetric   f = (1 + (2^(1/s) - 1) exp(b (hours - half)))^(-s)
 *   monod        f + K log f = 1 - log(1 + exp(a (hours - lag))) / c
 * In the last three `half` is when half the extract is gone, and `rate` four times the share of
 * the extract lost per hour at that moment.
 * The asymmetric curve (five parameters) has a lag and a tail that need not mirror each other: s
 * above 1 ends more sharply than it began, s below 1 trails; s = 1 is the logistic.
 * The monod curve (six) is the yeast that first grows, at a rate c times its full speed V, and
 * then eats at V f / (f + K): nearly straight until little is left (K of the whole), so that it
 * ends as sharply as real tanks do. Its K and c want a prior, or many readings.
 *
 * Sources: the logistic for the decline of gravity, Speers, Rogers & Smith, J. Inst. Brew.
 * 109(3), 2003 (abstract); four- and five-parameter forms, and the exponential as the nested case
 * of a tank without lag, Fermentation 7(1) 13, 2021; asymmetry, Richards 1959; uptake limited by
 * what is left, Monod 1949, here with a logistic start (the last two and all midpoint forms: our
 * own algebra). Band: the delta method on the fit's covariance.
 */
#ifndef GYLE_CURVE_H
#define GYLE_CURVE_H

#include "fit.h"

#include <stdbool.h>
#include <stddef.h>

enum curve_shape { CURVE_EXPONENTIAL, CURVE_LOGISTIC, CURVE_ASYMMETRIC, CURVE_MONOD, CURVE_SHAPES };

/* The parameters in the order they are fitted: the exponential has the first three, the logistic
 * four, the asymmetric five, the monod six. */
enum curve_parameter {
    CURVE_START,     /* Plato */
    CURVE_END,       /* Plato */
    CURVE_HALF,      /* hours; of the exponential its half-life */
    CURVE_LOG_RATE,  /* natural logarithm of the rate per hour */
    CURVE_LOG_TAIL,  /* natural logarithm of s (asymmetric) or K (monod) */
    CURVE_LOG_ONSET, /* natural logarithm of c */
    CURVE_PARAMETERS
};

/* What is known of a shape's parameters before the readings: normal, an sd of INFINITY says
 * nothing, 0 holds the parameter. */
struct curve_prior {
    double mean[CURVE_PARAMETERS];
    double sd[CURVE_PARAMETERS];
};

struct curve_options {
    double noise_sd;  /* of one reading, Plato: repeatability and scale step together */
    double noise_dof; /* how firmly it is known; see struct fit_problem */
    enum fit_loss loss;
    const struct curve_prior *prior[CURVE_SHAPES]; /* NULL: none */
    /* Of curve_choose() only. */
    double spare;     /* so many readings more than parameters it pays for; 0: two */
    double most_miss; /* a curve farther from a reading is not theirs, Plato; 0: as far as it is */
};

struct curve {
    enum curve_shape shape;
    struct fit fit;
    double aicc; /* Akaike's criterion, corrected for few readings: lower is better */
};

/* Fits one shape. hours and plato hold n readings, in any order, more than one at an hour
 * allowed. Starts are found from the readings and the prior, several if need be. Parameters are
 * within 0.0001 of their own standard deviation of the best ones nearby, as far as the last steps
 * tell: of 13,000 fits to sound and disturbed courses 26 were farther off, half of them with a
 * parameter on its bound. Gives and keeps the fit's status; unless it is FIT_CONVERGED nothing of
 * the curve is to be used. */
enum fit_status curve_fit(enum curve_shape shape, const double *hours, const double *plato,
                          size_t n, const struct curve_options *options, struct curve *curve);

/* Is no reading farther from the curve than so many Plato? */
bool curve_goes_through(const struct curve *curve, const double *hours, const double *plato,
                        size_t n, double most_miss);

/* Fits every shape and keeps the one of the lowest AICc among those that converged and go through
 * the readings; a shape of more parameters wins only by fitting so much better. Each needs some
 * readings more than parameters it pays for (a prior pays its part): FIT_TOO_FEW where there are
 * too few for any. */
enum fit_status curve_choose(const double *hours, const double *plato, size_t n,
                             const struct curve_options *options, struct curve *curve);

/*
 * What earlier curves of one beer (same shape; those not converged are left out) tell of the
 * next: the conjugate normal model, with `generic` (any beer of its kind) as one earlier curve of
 * mean and 3 degrees of freedom of spread. `sd` is that of the next curve, widened for what so few
 * curves leave open. Parameters on which `generic` says nothing need three curves, else they stay
 * unknown. With n = 0 it is `generic`.
 */
void curve_learn(enum curve_shape shape, const struct curve *earlier, size_t n,
                 const struct curve_prior *generic, struct curve_prior *prior);

/* The fitted gravity. */
double curve_plato(const struct curve *curve, double hours);

/* What a band is to hold: the curve itself, or one more reading of the same noise. */
enum curve_band { CURVE_OF_MEAN, CURVE_OF_READING };

struct curve_range {
    double value, low, high;
};

/* Gravity at a time with its two-sided band, Student's t by the fit's degrees of freedom.
 * `confidence` in 0..1. */
struct curve_range curve_predict(const struct curve *curve, double hours, double confidence,
                                 enum curve_band band);

#endif
