#include "trend.h"

#include "robust.h"
#include "special.h"

#include <math.h>
#include <stdlib.h>

static long kendall_s(const double *y, size_t n)
{
    long s = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++)
            s += (y[j] > y[i]) - (y[j] < y[i]);
    }
    return s;
}

/* The length of the group of equal values that starts at `first`. */
static size_t tie_length(const double *sorted, size_t n, size_t first)
{
    size_t end = first + 1;
    while (end < n && sorted[end] == sorted[first])
        end++;
    return end - first;
}

static double kendall_variance(const double *sorted, size_t n)
{
    double count = (double)n;
    double sum = count * (count - 1) * (2 * count + 5);
    for (size_t first = 0, length; first < n; first += length) {
        length = tie_length(sorted, n, first);
        double tied = (double)length;
        sum -= tied * (tied - 1) * (2 * tied + 5);
    }
    return sum / 18;
}

/* Orders of n values by their number of inversions, largest number and counts. */
struct inversions {
    size_t most;
    double orders[TREND_EXACT_TO * (TREND_EXACT_TO - 1) / 2 + 1];
};

/* Multiplies the generating function by (1 - q^a) / (1 - q^b), in whole numbers; the result is
 * a polynomial for the order in which it is used here. */
static void inversions_extend(struct inversions *v, size_t a, size_t b)
{
    size_t most = v->most + a - b;
    for (size_t i = v->most + 1; i <= most; i++)
        v->orders[i] = 0;
    for (size_t i = most; i >= a; i--)
        v->orders[i] -= v->orders[i - a];
    for (size_t i = b; i <= most; i++)
        v->orders[i] += v->orders[i - b];
    v->most = most;
}

/*
 * The chance of |s| or more pairs net to one side. The orders of values with ties are counted by
 * inversions through the q-multinomial coefficient, built group by group (MacMahon 1915): s is
 * the number of untied pairs less twice the inversions. The counts stay below 18!, exact in a
 * double.
 */
static double kendall_exact_p(long s, const double *sorted, size_t n)
{
    struct inversions v = {0, {1}};
    for (size_t first = 0, length; first < n; first += length) {
        length = tie_length(sorted, n, first);
        for (size_t k = 1; k <= length; k++)
            inversions_extend(&v, first + k, k);
    }
    double all = 0, tail = 0;
    for (size_t i = 0; i <= v.most; i++) {
        all += v.orders[i];
        if ((long)v.most - 2 * (long)i >= labs(s))
            tail += v.orders[i];
    }
    return tail / all;
}

bool trend_kendall(const double *y, size_t n, double *work, struct trend_kendall *result)
{
    if (n < 2 || !robust_all_finite(y, n))
        return false;
    for (size_t i = 0; i < n; i++)
        work[i] = y[i];
    robust_sort(work, n);
    long s = kendall_s(y, n);
    double variance = kendall_variance(work, n);
    double towards_zero = (double)(s - (s > 0) + (s < 0));
    double z = s == 0 ? 0 : towards_zero / sqrt(variance);
    *result = (struct trend_kendall){
        .s = s,
        .variance = variance,
        .z = z,
        .p = n <= TREND_EXACT_TO ? kendall_exact_p(s, work, n)
             : variance > 0      ? special_normal_cdf(-fabs(z))
                                 : 1,
    };
    return true;
}

/* The slope at a rank that may lie between two, or beyond the ends. */
static double slope_of_rank(const double *sorted, size_t count, double rank)
{
    if (rank < 1)
        return -INFINITY;
    if (rank > (double)count)
        return INFINITY;
    size_t below = (size_t)rank;
    double part = rank - (double)below;
    return part > 0 ? sorted[below - 1] + part * (sorted[below] - sorted[below - 1])
                    : sorted[below - 1];
}

bool trend_sen(const double *t, const double *y, size_t n, double confidence, double *work,
               struct trend_sen *result)
{
    if (n < 2 || !(confidence > 0 && confidence < 1) || !robust_all_finite(t, n) ||
        !robust_all_finite(y, n))
        return false;
    double *values = work, *slopes = work + n;
    for (size_t i = 0; i < n; i++)
        values[i] = y[i];
    robust_sort(values, n);
    double half =
        special_normal_quantile(0.5 + 0.5 * confidence) * sqrt(kendall_variance(values, n));
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++) {
            if (t[j] != t[i])
                slopes[count++] = (y[j] - y[i]) / (t[j] - t[i]);
        }
    }
    if (count == 0)
        return false;
    robust_sort(slopes, count);
    double pairs = (double)count;
    result->slope = robust_quantile(slopes, count, 0.5, ROBUST_R7);
    result->low = slope_of_rank(slopes, count, 0.5 * (pairs - half));
    result->high = slope_of_rank(slopes, count, 0.5 * (pairs + half) + 1);
    for (size_t i = 0; i < n; i++)
        values[i] = y[i] - result->slope * t[i];
    robust_sort(values, n);
    result->intercept = robust_quantile(values, n, 0.5, ROBUST_R7);
    return true;
}
