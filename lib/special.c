#include "special.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

/* From here the t distribution and the normal one agree to 1e-7 of the tail. */
static const double T_IS_NORMAL = 1e7;

static const double SQRT2 = 1.41421356237309504880;
static const double LN_SQRT_2PI = 0.91893853320467274178;

static double normal_upper(double z)
{
    return 0.5 * erfc(z / SQRT2);
}

double special_normal_cdf(double z)
{
    return normal_upper(-z);
}

/* Upper-tail quantile, 0 < p <= 0.5: Abramowitz & Stegun 26.2.23 (within 4.5e-4), then two
 * Halley steps on the exact tail. */
static double normal_upper_quantile(double p)
{
    double t = sqrt(-2 * log(p));
    double z = t - (2.515517 + t * (0.802853 + t * 0.010328)) /
                       (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    for (int step = 0; step < 2; step++) {
        double density = exp(-0.5 * z * z - LN_SQRT_2PI);
        double newton = (normal_upper(z) - p) / density;
        z += newton / (1 - 0.5 * z * newton);
    }
    return z;
}

double special_normal_quantile(double p)
{
    if (!(p >= 0 && p <= 1))
        return NAN;
    if (p == 0)
        return -INFINITY;
    if (p == 1)
        return INFINITY;
    return p < 0.5 ? -normal_upper_quantile(p) : normal_upper_quantile(1 - p);
}

/* A continued fraction term by term (modified Lentz): one factor of the value per call. */
struct lentz {
    double value, c, d;
};

static double away_from_zero(double x)
{
    return fabs(x) < DBL_MIN / DBL_EPSILON ? DBL_MIN / DBL_EPSILON : x;
}

static struct lentz lentz_start(double b)
{
    double value = away_from_zero(b);
    return (struct lentz){value, value, 0};
}

/* Adds the term a / (b + ...); true once the value has settled. */
static bool lentz_term(struct lentz *f, double a, double b)
{
    f->d = 1 / away_from_zero(b + a * f->d);
    f->c = away_from_zero(b + a / f->c);
    double factor = f->c * f->d;
    f->value *= factor;
    return fabs(factor - 1) <= 2 * DBL_EPSILON;
}

enum { TERMS_MAX = 20000 };

/* log of x^a y^b / (a B(a, b)), where y = 1 - x. */
static double log_beta_front(double x, double y, double a, double b)
{
    return a * log(x) + b * log(y) + lgamma(a + b) - lgamma(a + 1) - lgamma(b);
}

/* I_x(a, b) where the fraction converges fast: x below (a + 1) / (a + b + 2). */
static double beta_fraction(double x, double y, double a, double b)
{
    struct lentz f = lentz_start(1);
    for (int m = 0; m < TERMS_MAX; m++) {
        double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        double even = (m + 1) * (b - m - 1) * x / ((a + 2 * m + 1) * (a + 2 * m + 2));
        lentz_term(&f, odd, 1);
        if (lentz_term(&f, even, 1))
            break;
    }
    return exp(log_beta_front(x, y, a, b)) / f.value;
}

/* I_x(a, b) by y = 1 - x, both given, so that neither end loses digits. */
static double beta_split(double x, double y, double a, double b)
{
    if (x <= 0)
        return 0;
    if (y <= 0)
        return 1;
    return x < (a + 1) / (a + b + 2) ? beta_fraction(x, y, a, b) : 1 - beta_fraction(y, x, b, a);
}

static bool shape_is_sound(double shape)
{
    return shape > 0 && isfinite(shape);
}

double special_beta_cdf(double x, double a, double b)
{
    if (!(x >= 0 && x <= 1) || !shape_is_sound(a) || !shape_is_sound(b))
        return NAN;
    return beta_split(x, 1 - x, a, b);
}

/* A distribution as the inversion below sees it. */
struct distribution {
    double (*cdf)(double x, double dof);
    double (*log_density)(double x, double dof);
    double dof;
};

/* x in low..high with cdf(x) = p: Newton's step where it stays inside the bracket, else the
 * middle. `x` is the first guess. Returns the best x seen, since near the end the sign of the
 * excess is rounding. */
static double invert(const struct distribution *d, double p, double x, double low, double high)
{
    double best = x, least = INFINITY;
    for (int step = 0; step < 200 && high - low > DBL_EPSILON * fabs(high); step++) {
        if (!(x > low && x < high))
            x = low + 0.5 * (high - low);
        double excess = d->cdf(x, d->dof) - p;
        if (fabs(excess) < least) {
            least = fabs(excess);
            best = x;
        }
        if (excess > 0)
            high = x;
        else
            low = x;
        double next = x - excess / exp(d->log_density(x, d->dof));
        if (fabs(next - x) <= 1e-14 * fabs(x))
            return next;
        x = next;
    }
    return best;
}

/* P(a, x) by its power series, for x below a + 1. */
static double gamma_series(double x, double a)
{
    double term = 1, sum = 1;
    for (int n = 1; n < TERMS_MAX && term > sum * DBL_EPSILON; n++) {
        term *= x / (a + n);
        sum += term;
    }
    return sum * exp(a * log(x) - x - lgamma(a + 1));
}

/* 1 - P(a, x) by its continued fraction, for x above a + 1. */
static double gamma_fraction(double x, double a)
{
    struct lentz f = lentz_start(x + 1 - a);
    for (int n = 1; n < TERMS_MAX; n++) {
        if (lentz_term(&f, -n * (n - a), x + 2 * n + 1 - a))
            break;
    }
    return exp(a * log(x) - x - lgamma(a)) / f.value;
}

double special_gamma_cdf(double x, double a)
{
    if (!(x >= 0) || !shape_is_sound(a))
        return NAN;
    if (x == 0)
        return 0;
    if (isinf(x))
        return 1;
    return x < a + 1 ? gamma_series(x, a) : 1 - gamma_fraction(x, a);
}

double special_chi2_cdf(double x, double dof)
{
    if (isnan(x) || !shape_is_sound(dof))
        return NAN;
    return x <= 0 ? 0 : special_gamma_cdf(0.5 * x, 0.5 * dof);
}

static double chi2_log_density(double x, double dof)
{
    double a = 0.5 * dof;
    return (a - 1) * log(0.5 * x) - 0.5 * x - lgamma(a) - log(2);
}

/* Wilson & Hilferty 1931: the cube root of chi-squared / dof is nearly normal. */
static double chi2_guess(double p, double dof)
{
    double v = 2 / (9 * dof);
    double root = 1 - v + special_normal_quantile(p) * sqrt(v);
    return dof * root * root * root;
}

double special_chi2_quantile(double p, double dof)
{
    if (!(p >= 0 && p <= 1) || !shape_is_sound(dof))
        return NAN;
    if (p == 0)
        return 0;
    if (p == 1)
        return INFINITY;
    double high = dof + 10;
    while (special_chi2_cdf(high, dof) < p)
        high *= 2;
    struct distribution d = {special_chi2_cdf, chi2_log_density, dof};
    return invert(&d, p, chi2_guess(p, dof), 0, high);
}

/* P(T > t) for t >= 0. */
static double t_upper(double t, double dof)
{
    double square = t * t;
    return 0.5 * beta_split(dof / (dof + square), square / (dof + square), 0.5 * dof, 0.5);
}

double special_t_cdf(double t, double dof)
{
    if (isnan(t) || !(dof > 0))
        return NAN;
    if (dof >= T_IS_NORMAL)
        return special_normal_cdf(t);
    if (isinf(t))
        return t < 0 ? 0 : 1;
    return t < 0 ? t_upper(-t, dof) : 1 - t_upper(t, dof);
}

/* The lower tail by minus t, so that the inversion sees a rising function of a small p. */
static double t_cdf_of_minus(double s, double dof)
{
    return -t_upper(s, dof);
}

static double t_log_density(double t, double dof)
{
    return lgamma(0.5 * (dof + 1)) - lgamma(0.5 * dof) - 0.5 * log(dof) - 0.57236494292470008707 -
           0.5 * (dof + 1) * log1p(t * t / dof);
}

static double t_upper_quantile(double p, double dof)
{
    double high = 2;
    while (t_upper(high, dof) > p && high < 1e300)
        high *= 2;
    double z = normal_upper_quantile(p);
    struct distribution d = {t_cdf_of_minus, t_log_density, dof};
    return invert(&d, -p, z + z * (z * z + 1) / (4 * dof), 0, high);
}

double special_t_quantile(double p, double dof)
{
    if (!(p >= 0 && p <= 1) || !(dof > 0))
        return NAN;
    if (dof >= T_IS_NORMAL || p == 0 || p == 1)
        return special_normal_quantile(p);
    if (p == 0.5)
        return 0;
    return p < 0.5 ? -t_upper_quantile(p, dof) : t_upper_quantile(1 - p, dof);
}
