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

/* So many times as fast or as slow is no chance. */
static const double CERTAIN_FACTOR = 2;

/* The standard deviation of a time guessed between two readings, as a share of the hours between
 * them. */
static const double GAP_SHARE = 0.12;

/* Of a beer that hardly falls a reading says when it was there to a day at the most, h. */
static const double MOST_NOISE = 24;

/* A longer gap is no worse, h. */
static const double MOST_GAP = 72;

/* For how many courses the scatter known beforehand counts. */
static const double PRIOR_DOF = 3;

/* How far the logarithm of the time left is out where it lies in one gap of an earlier course and
 * is guessed by the generic one's bend: 0.25 to 0.36 on made-up courses read every 8 to 48 h. */
static const double BLIND_SD = 0.3;

/* What is left of the generic course when it has come to its end. */
#define GENERIC_END 0.0103

static const double GENERIC_HOURS[] = {0,    10,   22.3, 24.7, 29.2, 35.6, 40.9, 44.7, 48.8, 53.5,
                                       58.0, 63.2, 65.7, 69.0, 71.5, 74.0, 78.2, 83.6, 95.0};
static const double GENERIC_LEFT[] = {1,    0.99, 0.97, 0.95,        0.9, 0.8,  0.7,
                                      0.6,  0.5,  0.4,  0.3,         0.2, 0.15, 0.1,
                                      0.07, 0.05, 0.03, GENERIC_END, 0};
enum { GENERIC_POINTS = sizeof GENERIC_LEFT / sizeof(double) };

/* The hour at which the generic course comes to a share; it begins with all and ends with nothing.
 */
static double generic_hours(double left)
{
    size_t i = 1;
    left = fmin(fmax(left, 0), 1);
    while (GENERIC_LEFT[i] > left)
        i++;
    double share = (GENERIC_LEFT[i - 1] - left) / (GENERIC_LEFT[i - 1] - GENERIC_LEFT[i]);
    return GENERIC_HOURS[i - 1] + share * (GENERIC_HOURS[i] - GENERIC_HOURS[i - 1]);
}

/* How far between two readings a share is reached, 0..1: as the generic course bends there. */
static double share_between(double before, double after, double left)
{
    double from = generic_hours(before), to = generic_hours(after);
    if (!(to > from))
        return (before - left) / (before - after);
    return (generic_hours(left) - from) / (to - from);
}

double remain_hours_at(const struct remain_course *course, double left)
{
    for (size_t i = 1; i < course->n; i++) {
        double before = course->left[i - 1], after = course->left[i];
        if (after > left || before < left)
            continue;
        if (!(before > after))
            return course->hours[i - 1];
        double share = share_between(before, after, left);
        return course->hours[i - 1] + share * (course->hours[i] - course->hours[i - 1]);
    }
    return NAN;
}

/* Was an earlier course not read between the share of now, reached at so many hours, and its end?
 * Then the time between is a guess, and that such guesses agree with each other says nothing. */
static bool is_blind(const struct remain_course *earlier, double at)
{
    size_t i = 0;
    while (i < earlier->n && earlier->hours[i] <= at)
        i++;
    return i == earlier->n || earlier->hours[i] >= earlier->end_hours;
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

/* How much longer the rest will take. A difference in speed is partly chance, so only `share` of
 * its logarithm is carried over; what goes beyond CERTAIN_FACTOR is another temperature or yeast,
 * and stays whole. */
static double carried(double factor, const struct remain_options *options)
{
    factor = fmin(fmax(factor, 1 / options->slowest), options->slowest);
    double chance = fmin(fmax(factor, 1 / CERTAIN_FACTOR), CERTAIN_FACTOR);
    return pow(chance, options->share) * (factor / chance);
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
 * last two readings that differ, and at the most a day. Between readings the time is guessed: part
 * of the gap is added. */
static double noise_hours(const struct remain_course *now, double noise_left)
{
    size_t last = now->n - 1;
    double gap = fmin(MOST_GAP, now->hours[last] - now->hours[last - 1]);
    size_t before = last - 1;
    while (!(now->left[before] > now->left[last])) /* the first is: see remain_estimate */
        before--;
    double fell = now->left[before] - now->left[last];
    double noise = noise_left * (now->hours[last] - now->hours[before]) / fell;
    return hypot(fmin(MOST_NOISE, noise), GAP_SHARE * gap);
}

/* What the noise makes of the time at which the end is reached: there gravity falls slowly, and how
 * slowly the generic course tells, stretched to the hours that are left. */
static double end_noise_hours(const struct remain_course *now, double hours, double noise_left)
{
    double here = now->left[now->n - 1];
    const struct remain_course *tail = &REMAIN_GENERIC;
    double before = generic_hours(GENERIC_END + noise_left);
    double rest = tail->end_hours - generic_hours(here);
    return rest > 0 ? fmin(1, (tail->end_hours - before) / rest) * hours : 0;
}

/* The interval: what the earlier courses leave open is a factor either way, what the readings of
 * this one leave open are hours either way; the distances of the two add up as squares do. */
static void set_interval(struct remain *remain, double variance, double dof, double noise,
                         double confidence)
{
    double upper = 0.5 + confidence / 2;
    double factor = exp(special_t_quantile(upper, dof) * sqrt(variance));
    double hours = special_normal_quantile(upper) * noise;
    double early = hypot(remain->hours * (1 - 1 / factor), hours);
    remain->early = fmax(0, remain->hours - early);
    remain->late = remain->hours + hypot(remain->hours * (factor - 1), hours);
}

bool remain_estimate(const struct remain_course *now, const struct remain_course *earlier,
                     size_t count, const struct remain_options *options, double *work,
                     struct remain *remain)
{
    double *left = work, *slow = work + count, *room = work + 2 * count;
    size_t n = 0, told = 0, too_slow = 0, blind = 0;
    if (now->n < 2 || !(now->left[now->n - 1] < now->left[0]))
        return false;
    double here = now->left[now->n - 1];
    for (size_t i = 0; i < count; i++) {
        double at = remain_hours_at(&earlier[i], here);
        if (isnan(at) || !(earlier[i].end_hours - at > 0))
            continue;
        double factor = slowness(now, &earlier[i], at);
        too_slow += factor > options->slowest;
        blind += is_blind(&earlier[i], at);
        if (!isnan(factor))
            slow[told++] = factor;
        left[n++] = (earlier[i].end_hours - at) * (isnan(factor) ? 1 : carried(factor, options));
    }
    if (n == 0 || too_slow == n)
        return false;
    remain->used = n;
    remain->speed = told == 0 ? 1 : 1 / robust_median(slow, told, room);
    double squares, centre = log_centre(left, n, room, &squares), dof = PRIOR_DOF + (double)n - 1;
    remain->hours = exp(centre);
    squares +=
        PRIOR_DOF * options->prior_sd * options->prior_sd + (double)blind * BLIND_SD * BLIND_SD;
    double noise = hypot(noise_hours(now, options->noise_left),
                         end_noise_hours(now, remain->hours, options->noise_left));
    set_interval(remain, squares / dof * (1 + 1 / (double)n), dof, noise, options->confidence);
    return true;
}

const struct remain_course REMAIN_GENERIC = {GENERIC_HOURS, GENERIC_LEFT, GENERIC_POINTS, 83.6};
