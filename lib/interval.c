#include "interval.h"

#include "special.h"

#include <math.h>

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

struct one_side {
    double n, z;
};

static double one_side_confidence(double k, const void *data)
{
    const struct one_side *p = data;
    double root = sqrt(p->n), shift = p->z * root;
    if (shift <= 37)
        return special_noncentral_t_cdf(k * root, p->n - 1, shift);
    /* The series underflows; but here the bend, where the sum below reaches 1, is far out in
     * the tail, and the plain integral is exact: P(sd >= (z - error of the mean) / k). */
    double sum = 0;
    for (int node = 1 - NODES; node < NODES; node++) {
        double edge = (p->z - node * NODE_SPACING / root) / k;
        double within = 1 - special_chi2_cdf((p->n - 1) * edge * edge, p->n - 1);
        sum += node_weight(node) / (node == 0 ? 1 : 2) * within;
    }
    return sum;
}

double interval_tolerance_one_side(size_t n, double coverage, double confidence)
{
    if (!tolerance_asked_rightly(n, coverage, confidence))
        return NAN;
    struct one_side problem = {(double)n, special_normal_quantile(coverage)};
    struct factor_search search = {one_side_confidence, &problem, confidence};
    return find_factor(&search, problem.z + 1 / sqrt((double)n));
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
    return find_factor(&search, interval_tolerance_howe(n, coverage, confidence, false));
}

double interval_tolerance_howe(size_t n, double coverage, double confidence, bool guenther)
{
    if (!tolerance_asked_rightly(n, coverage, confidence))
        return NAN;
    double count = (double)n;
    double chi2 = special_chi2_quantile(1 - confidence, count - 1);
    double k =
        special_normal_quantile(0.5 + 0.5 * coverage) * sqrt((count - 1) * (1 + 1 / count) / chi2);
    if (guenther)
        k *= sqrt(1 + (count - 3 - chi2) / (2 * (count + 1) * (count + 1)));
    return k;
}

struct interval interval_of_rate(size_t hits, size_t n, double confidence)
{
    struct interval unknown = {NAN, NAN};
    if (n == 0 || hits > n || !(confidence > 0 && confidence < 1))
        return unknown;
    double tail = 0.5 * (1 - confidence);
    double k = (double)hits, misses = (double)(n - hits);
    return (struct interval){
        .low = hits == 0 ? 0 : special_beta_quantile(tail, k, misses + 1),
        .high = hits == n ? 1 : special_beta_quantile(1 - tail, k + 1, misses),
    };
}

double interval_step_sd(double step)
{
    return step >= 0 ? step / sqrt(12) : NAN;
}

double interval_repeatability(double sd, double step)
{
    return sd >= 0 && step >= 0 ? 2.8 * sqrt(sd * sd + step * step / 12) : NAN;
}

double interval_range_factor(size_t n)
{
    static const double factor[] = {NAN, NAN, 2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5};
    return n < sizeof(factor) / sizeof(factor[0]) ? factor[n] : NAN;
}

long interval_steps(double a, double b, double step)
{
    if (!(step > 0) || !isfinite(a) || !isfinite(b))
        return 0;
    double steps = round((a - b) / step);
    return fabs(steps) < 1e9 ? (long)steps : 0;
}

bool interval_same(double a, double b, double limit, double step)
{
    if (!(step > 0) || !isfinite(a) || !isfinite(b) || !(limit >= 0))
        return false;
    double steps = fabs(round((a - b) / step));
    return steps <= floor(limit / step * (1 + 1e-9));
}
