#include "interval.h"

#include "special.h"

#include <math.h>
#include <stdbool.h>

static bool tolerance_asked_rightly(size_t n, double coverage, double confidence)
{
    return n >= 2 && n <= 100000 && coverage >= 0.5 && coverage < 1 && confidence > 0 &&
           confidence < 1;
}

/* An integral over a normal error, by the trapezoid rule, which for such a curve is exact to
 * rounding at this spacing: half the nodes z = 0, h, 2h, ... with their weights. */
enum { NODES = 35 };
static const double NODE_SPACING = 0.25;

static double node_weight(int node)
{
    double z = node * NODE_SPACING;
    double density = NODE_SPACING * 0.39894228040143267794 * exp(-0.5 * z * z);
    return node == 0 ? density : 2 * density;
}

/* k > 0 with confidence_of(k) = confidence, where confidence_of rises with k: by doubling, then
 * the Illinois form of regula falsi. */
struct factor_search {
    double (*confidence_of)(double k, const void *data);
    const void *data;
    double confidence;
};

static double find_factor(const struct factor_search *search, double guess)
{
    double low = 0, high = guess;
    double under = search->confidence_of(low, search->data) - search->confidence;
    double over = search->confidence_of(high, search->data) - search->confidence;
    while (over < 0) {
        low = high;
        under = over;
        high *= 1.25;
        over = search->confidence_of(high, search->data) - search->confidence;
    }
    int kept = 0;
    for (int step = 0; step < 200 && high - low > 1e-13 * high; step++) {
        double k = high - over * (high - low) / (over - under);
        double excess = search->confidence_of(k, search->data) - search->confidence;
        if (excess == 0 || k == low || k == high)
            return k;
        if (excess < 0) {
            low = k;
            under = excess;
            over = kept < 0 ? over / 2 : over;
            kept = -1;
        } else {
            high = k;
            over = excess;
            under = kept > 0 ? under / 2 : under;
            kept = 1;
        }
    }
    return low + 0.5 * (high - low);
}

/* r with P(shift - r <= Z <= shift + r) = coverage: Newton from a start below, where the curve
 * bends so that no step goes too far. */
static double half_width(double shift, double coverage)
{
    double r = fmax(special_normal_quantile(0.5 + 0.5 * coverage),
                    shift + special_normal_quantile(coverage));
    for (int step = 0; step < 100; step++) {
        double inside = special_normal_cdf(shift + r) - special_normal_cdf(shift - r);
        double slope = 0.39894228040143267794 * (exp(-0.5 * (shift + r) * (shift + r)) +
                                                 exp(-0.5 * (shift - r) * (shift - r)));
        double next = r + (coverage - inside) / slope;
        if (!(fabs(next - r) > 1e-15 * r))
            break;
        r = next;
    }
    return r;
}

struct two_sides {
    double dof;
    double squared_width[NODES];
};

static double two_sides_confidence(double k, const void *data)
{
    const struct two_sides *p = data;
    double sum = 0;
    for (int node = 0; node < NODES; node++) {
        double chi2 = p->dof * p->squared_width[node] / (k * k);
        sum += node_weight(node) * (1 - special_chi2_cdf(chi2, p->dof));
    }
    return sum;
}

/* Howe 1969: z sqrt((n-1)(1 + 1/n) / chi2), 5 % too large at n = 2, 0.3 % too small at n = 10. */
static double approximate_factor(double n, double coverage, double confidence)
{
    double chi2 = special_chi2_quantile(1 - confidence, n - 1);
    return special_normal_quantile(0.5 + 0.5 * coverage) * sqrt((n - 1) * (1 + 1 / n) / chi2);
}

double interval_tolerance(size_t n, double coverage, double confidence)
{
    if (!tolerance_asked_rightly(n, coverage, confidence))
        return NAN;
    struct two_sides problem = {.dof = (double)n - 1};
    for (int node = 0; node < NODES; node++) {
        double r = half_width(node * NODE_SPACING / sqrt((double)n), coverage);
        problem.squared_width[node] = r * r;
    }
    struct factor_search search = {two_sides_confidence, &problem, confidence};
    return find_factor(&search, approximate_factor((double)n, coverage, confidence));
}

double interval_step_sd(double step)
{
    return step >= 0 ? step / sqrt(12) : NAN;
}

long interval_steps(double a, double b, double step)
{
    if (!(step > 0) || !isfinite(a) || !isfinite(b))
        return 0;
    double steps = round((a - b) / step);
    return fabs(steps) < 1e9 ? (long)steps : 0;
}
