/*
 * Nonlinear least squares: parameters of a model, with exact derivatives, from readings.
 * Levenberg-Marquardt in the model's own scale, with bounds, a robust loss and a prior where
 * they are asked for; where steps leave much, what they tell of the second derivative is added
 * (a symmetric rank-one correction). It claims to have converged only by a test of the result
 * itself (the relative offset of Bates & Watts 1981), so a flat region that is no minimum is
 * reported, not returned. No memory but its arguments; nothing is printed.
 */
#ifndef GYLE_FIT_H
#define GYLE_FIT_H

#include <stdbool.h>
#include <stddef.h>

enum {
    FIT_PARAMETERS = 8, /* the most that a model may have */
    FIT_BLOCK = 64      /* the most readings that it is asked for at once */
};

/* The model's values at the `count` readings from number `first` on, under `theta`; the derivative
 * of the i-th of them by parameter j goes to gradient[j][i]. Beyond `count` it may leave what it
 * likes. A NAN or an infinity means that the model has no value there: such a step is not taken.
 * `data` is the caller's. */
typedef void fit_model(const double *theta, size_t first, size_t count, double *value,
                       double (*gradient)[FIT_BLOCK], const void *data);

enum fit_loss {
    FIT_SQUARES, /* least squares: best where noise is normal */
    FIT_HUBER    /* squares up to 1.345 noise sds, straight beyond: 95 % as sharp, bears outliers */
};

struct fit_problem {
    fit_model *model;
    /* Called with each new theta before the readings are gone through, to work out once what all
     * of them share; may write to `data`. NULL: nothing to prepare. */
    void (*prepare)(const double *theta, void *data);
    void *data;
    const double *y; /* the readings */
    size_t points;   /* how many */
    size_t parameters;
    const double *weight; /* of each reading, 1 / relative variance; NULL: all 1 */
    const double *low;    /* bounds of the parameters; NULL: none */
    const double *high;
    /* What is known beforehand: each parameter normal about prior_mean with sd prior_sd; an sd of
     * INFINITY says nothing, 0 holds the parameter at its mean. NULL: no prior. */
    const double *prior_mean;
    const double *prior_sd;
    /* The standard deviation of a reading of weight 1 as known beforehand, and how firmly: the
     * degrees of freedom behind it (INFINITY: exactly known; 0: only a first guess, and the
     * readings tell). Needed above 0 by a prior and by the robust loss, which scales by it. */
    double noise_sd;
    double noise_dof;
    enum fit_loss loss;
    double tolerance; /* of the relative offset; 0 means 1e-8 */
    int iterations;   /* at most; 0 means 200 */
};

enum fit_status {
    FIT_CONVERGED,
    FIT_NOT_CONVERGED, /* no minimum reached: the figures are not to be used */
    FIT_SINGULAR,      /* the readings do not determine every parameter */
    FIT_TOO_FEW,       /* fewer readings (and priors) than parameters */
    FIT_BAD_INPUT      /* a value not finite, bounds crossed, no noise_sd where needed */
};

struct fit {
    enum fit_status status;
    size_t points, parameters;
    double theta[FIT_PARAMETERS];
    /* Of theta; rows and columns of parameters on a bound are 0: they are taken as given. */
    double covariance[FIT_PARAMETERS][FIT_PARAMETERS];
    bool on_bound[FIT_PARAMETERS];
    double rss;         /* sum of weighted squared residuals (for a robust loss: of its loss) */
    double effective;   /* parameters that the readings pay for: fewer than free ones by a prior */
    double residual_sd; /* of a reading of weight 1, pooled with noise_sd by noise_dof */
    double dof;         /* of residual_sd: points - effective + noise_dof */
    double offset;      /* relative offset expected: distance to the minimum in units of noise */
    int iterations;
};

/*
 * Fits from `start`. Everything in *result is set; theta is the best point seen, whatever the
 * status. FIT_CONVERGED means that the relative offset is at most `tolerance` after a last step,
 * taken without another look: by what the step before left of it, times ten for caution. Where the
 * search ends before that an offset of 0.001 counts (Bates & Watts 1981). Covariance and rss are
 * those of the point last looked at. With the squares loss and no prior the
 * covariance is the usual one, residual_sd^2 (J'WJ)^-1, with residual_sd^2 = rss / (n - p); with a
 * prior it is that of the posterior; with the robust loss it is Huber's (Huber 1981, 7.6). Where
 * dof is 0 (as many parameters as readings) residual_sd and covariance are NAN.
 */
void fit_solve(const struct fit_problem *problem, const double *start, struct fit *result);

/* Variance of a quantity whose derivatives by theta are `gradient`, by the delta method:
 * gradient' covariance gradient. */
double fit_variance(const struct fit *result, const double *gradient);

#endif
