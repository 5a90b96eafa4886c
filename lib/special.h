/*
 * Distribution functions: the normal, Student's t, chi-squared and the beta distribution, and the
 * quantiles that intervals are made of. Pure arithmetic; every function returns NAN for an argument
 * outside its stated range, and for a NAN.
 *
 * Accuracy: about 1e-12 relative for shapes and degrees of freedom up to 1000; about 1e-10 for
 * larger ones, where the logarithm of the gamma function loses digits.
 *
 * Source: continued fraction of the incomplete beta and gamma functions, Abramowitz & Stegun,
 * Handbook of Mathematical Functions, 26.5.8 and 6.5.31 (from memory, checked in tests/reference).
 */
#ifndef GYLE_SPECIAL_H
#define GYLE_SPECIAL_H

/* P(Z <= z). */
double special_normal_cdf(double z);

/* z with P(Z <= z) = p; p in 0..1, -INFINITY and INFINITY at its ends. */
double special_normal_quantile(double p);

/* Regularised incomplete beta function I_x(a, b), the distribution function of the beta
 * distribution; a, b > 0 and finite, x in 0..1. */
double special_beta_cdf(double x, double a, double b);

/* Regularised lower incomplete gamma function P(a, x); a > 0, x >= 0. */
double special_gamma_cdf(double x, double a);

/* P(X <= x) of chi-squared; dof > 0, not only whole; x < 0 gives 0. */
double special_chi2_cdf(double x, double dof);

/* x with P(X <= x) = p; p in 0..1 (INFINITY at 1). */
double special_chi2_quantile(double p, double dof);

/* P(T <= t) of Student's t; dof > 0, not only whole. From 1e7 degrees of freedom, INFINITY
 * included, it is the normal distribution. */
double special_t_cdf(double t, double dof);

/* t with P(T <= t) = p; p in 0..1, -INFINITY and INFINITY at its ends. */
double special_t_quantile(double p, double dof);

#endif
