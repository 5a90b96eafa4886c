#include "remain.h"

#include "robust.h"
#include "special.h"

#include <math.h>

/* Readings over which the speed is taken: the last one and so many before it. */
enum { SPEED_READINGS = 3 };

/* A course says nothing about speed before it is well under way. */
static const double UNDER_WAY = 0.95;
static const double BARELY_BEGUN = 0.97;

/* Two moments closer than this tell no speed, h. */
static const double LEAST_HOURS = 2;

/* For how many courses the scatter known beforehand counts. */
static const double PRIOR_DOF = 4;

double remain_hours_at(const struct remain_course *course, double left)
{
    for (size_t i = 1; i < course->n; i++) {
        double before = course->left[i - 1], after = course->left[i];
        if (after > left || before < left)
            continue;
        if (!(before > after))
            return course->hours[i];
        double share = (before - left) / (before - after);
        return course->hours[i - 1] + share * (course->hours[i] - course->hours[i - 1]);
    }
    return NAN;
}

/* How long the earlier course took for what this one did over its last readings: above 1 this one
 * is slower. NAN where that cannot be told. */
static double slowness(const struct remain_course *now, const struct remain_course *earlier,
                       double earlier_now)
{
    size_t last = now->n - 1, first = last > SPEED_READINGS ? last - SPEED_READINGS : 0;
    double from = now->hours[first], earlier_from = remain_hours_at(earlier, now->left[first]);
    if (now->left[first] >= BARELY_BEGUN) {
        from = remain_hours_at(now, UNDER_WAY);
        earlier_from = remain_hours_at(earlier, UNDER_WAY);
    }
    double took = now->hours[last] - from, earlier_took = earlier_now - earlier_from;
    if (!(took > LEAST_HOURS) || !(earlier_took > LEAST_HOURS))
        return NAN;
    return took / earlier_took;
}

/* Median of the logarithms of `values`, and the sum of squares about it. */
static double log_centre(const double *values, size_t n, double *work, double *squares)
{
    double *logs = work, *room = work + n;
    for (size_t i = 0; i < n; i++)
        logs[i] = log(values[i]);
    double centre = robust_median(logs, n, room);
    *squares = 0;
    for (size_t i = 0; i < n; i++)
        *squares += (logs[i] - centre) * (logs[i] - centre);
    return centre;
}

/* What a reading's noise makes of the time: noise over the speed of fall, as it was between the
 * last two readings that differ, and at the most a day. */
static double noise_hours(const struct remain_course *now, double noise_left)
{
    for (size_t i = now->n - 1; i > 0; i--) {
        double fell = now->left[i - 1] - now->left[now->n - 1];
        if (fell > 0)
            return fmin(24, noise_left * (now->hours[now->n - 1] - now->hours[i - 1]) / fell);
    }
    return 24;
}

bool remain_estimate(const struct remain_course *now, const struct remain_course *earlier,
                     size_t count, const struct remain_options *options, double *work,
                     struct remain *remain)
{
    double *left = work, *slow = work + count, *room = work + 2 * count;
    size_t n = 0, told = 0, too_slow = 0;
    if (now->n < 2 || !(now->left[now->n - 1] < now->left[0]))
        return false;
    double here = now->left[now->n - 1];
    for (size_t i = 0; i < count; i++) {
        double at = remain_hours_at(&earlier[i], here);
        if (isnan(at) || !(earlier[i].end_hours - at > 0))
            continue;
        double factor = slowness(now, &earlier[i], at);
        too_slow += factor > REMAIN_SLOWEST;
        if (!isnan(factor))
            slow[told++] = factor;
        factor = isnan(factor) ? 1 : fmin(fmax(factor, 1 / REMAIN_SLOWEST), REMAIN_SLOWEST);
        left[n++] = (earlier[i].end_hours - at) * pow(factor, options->share);
    }
    if (n == 0 || too_slow == n)
        return false;
    remain->used = n;
    remain->speed = told == 0 ? 1 : 1 / robust_median(slow, told, room);
    double squares, centre = log_centre(left, n, room, &squares), dof = PRIOR_DOF + (double)n - 1;
    double prior = PRIOR_DOF * options->prior_sd * options->prior_sd;
    double log_sd = sqrt((prior + squares) / dof * (1 + 1 / (double)n));
    remain->hours = exp(centre);
    double sd = hypot(remain->hours * log_sd, noise_hours(now, options->noise_left));
    double t = special_t_quantile(0.5 + options->confidence / 2, dof);
    remain->early = fmax(0, remain->hours - t * sd);
    remain->late = remain->hours + t * sd;
    return true;
}

static const double GENERIC_HOURS[] = {0,    10,   22.3, 24.7, 29.2, 35.6, 40.9, 44.7, 48.8,
                                       53.5, 58.0, 63.2, 65.7, 69.0, 71.5, 74.0, 78.2, 83.6};
static const double GENERIC_LEFT[] = {1,   0.99, 0.97, 0.95, 0.9, 0.8,  0.7,  0.6,  0.5,
                                      0.4, 0.3,  0.2,  0.15, 0.1, 0.07, 0.05, 0.03, 0.0103};

const struct remain_course REMAIN_GENERIC = {GENERIC_HOURS, GENERIC_LEFT,
                                             sizeof GENERIC_LEFT / sizeof GENERIC_LEFT[0], 83.6};
