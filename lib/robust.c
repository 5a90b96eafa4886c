#include "robust.h"

#include <math.h>

/* Moves values[root] down to its place in a heap of n values, largest on top. */
static void sift_down(double *values, size_t root, size_t n)
{
    double moving = values[root];
    for (size_t child; (child = 2 * root + 1) < n; root = child) {
        if (child + 1 < n && values[child + 1] > values[child])
            child++;
        if (values[child] <= moving)
            break;
        values[root] = values[child];
    }
    values[root] = moving;
}

static bool is_sorted(const double *values, size_t n)
{
    for (size_t i = 1; i < n; i++)
        if (!(values[i - 1] <= values[i]))
            return false;
    return true;
}

void robust_sort(double *values, size_t n)
{
    if (is_sorted(values, n))
        return;
    for (size_t root = n / 2; root-- > 0;)
        sift_down(values, root, n);
    for (size_t end = n; end-- > 1;) {
        double largest = values[0];
        values[0] = values[end];
        values[end] = largest;
        sift_down(values, 0, end);
    }
}

bool robust_all_finite(const double *readings, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(readings[i]))
            return false;
    }
    return true;
}

double robust_mean(const double *readings, size_t n)
{
    if (n == 0 || !robust_all_finite(readings, n))
        return NAN;
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += readings[i];
    double mean = sum / (double)n;
    /* What rounding took from the sum comes back as the mean of the deviations. */
    double rest = 0;
    for (size_t i = 0; i < n; i++)
        rest += readings[i] - mean;
    return mean + rest / (double)n;
}

double robust_sd(const double *readings, size_t n)
{
    if (n < 2)
        return NAN;
    double mean = robust_mean(readings, n);
    if (isnan(mean))
        return NAN;
    double squares = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        double deviation = readings[i] - mean;
        squares += deviation * deviation;
        rest += deviation;
    }
    return sqrt(fmax(0, squares - rest * rest / (double)n) / (double)(n - 1));
}

static double median_of_sorted(const double *sorted, size_t n)
{
    return n % 2 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
}

double robust_median(const double *readings, size_t n, double *work)
{
    if (n == 0 || !robust_all_finite(readings, n))
        return NAN;
    for (size_t i = 0; i < n; i++)
        work[i] = readings[i];
    robust_sort(work, n);
    return median_of_sorted(work, n);
}

double robust_quantile(const double *sorted, size_t n, double p, enum robust_rank rank)
{
    /* rank = p (n + slope) + shift, counted from 1. */
    static const struct {
        double slope, shift;
    } place[] = {
        [ROBUST_R6] = {1, 0},
        [ROBUST_R7] = {-1, 1},
        [ROBUST_R8] = {1.0 / 3, 1.0 / 3},
    };
    if (n == 0 || !(p >= 0 && p <= 1) || !robust_all_finite(sorted, n))
        return NAN;
    double position = p * ((double)n + place[rank].slope) + place[rank].shift;
    if (position <= 1)
        return sorted[0];
    if (position >= (double)n)
        return sorted[n - 1];
    size_t below = (size_t)position;
    double part = position - (double)below;
    return sorted[below - 1] + part * (sorted[below] - sorted[below - 1]);
}

/* The median absolute deviation about `centre`. */
static double mad_about(double centre, const double *readings, size_t n, double *work)
{
    for (size_t i = 0; i < n; i++)
        work[i] = fabs(readings[i] - centre);
    robust_sort(work, n);
    return median_of_sorted(work, n);
}

double robust_mad(const double *readings, size_t n, double *work)
{
    double centre = robust_median(readings, n, work);
    return isnan(centre) ? NAN : mad_about(centre, readings, n, work);
}

/* What makes a spread right on average for n normal readings: a table up to 9. */
enum { TABLE_TO = 9 };

static double mad_factor(size_t n)
{
    static const double factor[TABLE_TO + 1] = {NAN,   NAN,   1.196, 1.495, 1.363,
                                                1.206, 1.200, 1.140, 1.129, 1.107};
    return n <= TABLE_TO ? factor[n] : (double)n / ((double)n - 0.8);
}

static double qn_factor(size_t n)
{
    static const double factor[TABLE_TO + 1] = {NAN,   NAN,   0.399, 0.994, 0.512,
                                                0.844, 0.611, 0.857, 0.669, 0.872};
    if (n <= TABLE_TO)
        return factor[n];
    return n % 2 ? (double)n / ((double)n + 1.4) : (double)n / ((double)n + 3.8);
}

double robust_mad_sd(const double *readings, size_t n, double *work)
{
    return n < 2 ? NAN : 1.482602218505602 * mad_factor(n) * robust_mad(readings, n, work);
}

/* Of the differences between sorted readings, how many are at most `limit`, the largest of them,
 * and the smallest above it. One walk, since the partner of a later reading is never earlier. */
struct differences {
    size_t count;
    double last, next;
};

static struct differences differences_within(const double *sorted, size_t n, double limit)
{
    struct differences found = {0, 0, INFINITY};
    for (size_t i = 0, j = 1; i < n; i++) {
        if (j <= i)
            j = i + 1;
        while (j < n && sorted[j] - sorted[i] <= limit)
            j++;
        found.count += j - i - 1;
        if (j > i + 1)
            found.last = fmax(found.last, sorted[j - 1] - sorted[i]);
        if (j < n)
            found.next = fmin(found.next, sorted[j] - sorted[i]);
    }
    return found;
}

/* The k-th smallest difference between sorted readings, k from 1: halve the range it lies in, whose
 * ends are differences, until they are the same. */
static double difference_of_rank(const double *sorted, size_t n, size_t k)
{
    struct differences found = differences_within(sorted, n, 0);
    if (found.count >= k)
        return 0;
    double low = found.next, high = sorted[n - 1] - sorted[0];
    while (low < high) {
        double middle = low + 0.5 * (high - low);
        found = differences_within(sorted, n, middle < high ? middle : low);
        if (found.count >= k)
            high = found.last;
        else
            low = found.next;
    }
    return low;
}

double robust_qn(const double *readings, size_t n, double *work)
{
    if (n < 2 || !robust_all_finite(readings, n))
        return NAN;
    for (size_t i = 0; i < n; i++)
        work[i] = readings[i];
    robust_sort(work, n);
    size_t half = n / 2 + 1;
    return 2.2219 * qn_factor(n) * difference_of_rank(work, n, half * (half - 1) / 2);
}

static double modified_z_scale(double centre, const double *readings, size_t n, double step,
                               double *work)
{
    double scale = fmax(mad_about(centre, readings, n, work) / 0.6745, step / sqrt(12));
    if (scale > 0)
        return scale;
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += fabs(readings[i] - centre);
    return 1.253314 * sum / (double)n;
}

void robust_modified_z(const double *readings, size_t n, double step, double *z, double *work)
{
    double centre = robust_median(readings, n, work);
    double scale = isnan(centre) ? NAN : modified_z_scale(centre, readings, n, step, work);
    for (size_t i = 0; i < n; i++)
        z[i] = scale == 0 ? 0 : (readings[i] - centre) / scale;
}
