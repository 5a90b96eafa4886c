#include "trust.h"

#include "robust.h"
#include "trend.h"
#include "words.h"

#include <math.h>

const char *const TRUST_VERDICTS[] = {"trust", "check", "do not use"};

#define TREND_P      0.025 /* one-sided */
#define SEN_PART     0.95
#define MONTH        30.0 /* days */
#define AGREE_PH     0.10
#define AGREE_PLATO  0.25
#define FEWEST_PAIRS 3

/* What the calibrations of the last months gave, against days before now. */
struct series {
    double *day, *value;
    size_t n;
};

static struct series series_of(const struct meter *meter, struct arena *arena, int64_t now,
                               bool offset)
{
    struct series series = {arena_array(arena, meter->checks.n + 1, sizeof(double)),
                            arena_array(arena, meter->checks.n + 1, sizeof(double)), 0};
    for (size_t i = 0; i < meter->checks.n; i++) {
        const struct meter_check *check = &meter->checks.items[i];
        double value = offset ? check->offset_mv : check->slope_percent;
        if (isnan(value) || check->at < now - TRUST_DAYS * CIVIL_DAY)
            continue;
        series.day[series.n] = (double)(check->at - now) / CIVIL_DAY;
        series.value[series.n++] = value;
    }
    return series;
}

static struct trust_trend trend_of_series(const struct series *series, struct arena *arena,
                                          double low, double high, int64_t now)
{
    struct trust_trend trend = {.is_moving = false};
    struct trend_kendall kendall;
    struct trend_sen sen;
    size_t n = series->n;
    if (n < TRUST_FEWEST)
        return trend;
    double *work = arena_array(arena, n * (n - 1) / 2 + n, sizeof *work);
    if (!trend_kendall(series->value, n, work, &kendall) || kendall.p > TREND_P ||
        !trend_sen(series->day, series->value, n, SEN_PART, work, &sen) || fabs(sen.slope) < 1e-9)
        return trend;
    trend.is_moving = true;
    trend.per_month = sen.slope * MONTH;
    double days = ((sen.slope < 0 ? low : high) - sen.intercept) / sen.slope;
    if (days < 10 * 365) { /* below 0: the line has left them, the last calibration had not yet */
        trend.leaves = true;
        trend.leaves_at = now + (int64_t)(fmax(0, days) * CIVIL_DAY);
    }
    return trend;
}

static void gather_pairs(const struct meters *meters, struct trust *trust,
                         const struct meter *other, struct arena *arena, int64_t now)
{
    double *apart = arena_array(arena, meters->pairs.n + 1, sizeof *apart);
    double *work = arena_array(arena, meters->pairs.n + 1, sizeof *work);
    size_t n = 0;
    for (size_t i = 0; i < meters->pairs.n; i++) {
        const struct meter_pair *pair = &meters->pairs.items[i];
        if (pair->at < now - TRUST_DAYS * CIVIL_DAY)
            continue;
        if (pair->a == trust->meter && pair->b == other)
            apart[n++] = pair->difference;
        else if (pair->b == trust->meter && pair->a == other)
            apart[n++] = -pair->difference;
    }
    if (n <= trust->pairs.n)
        return;
    trust->pairs = (struct trust_pairs){other, n, robust_median(apart, n, work), NAN, NAN};
    if (n < FEWEST_PAIRS)
        return;
    double mean = robust_mean(apart, n), sd = robust_sd(apart, n);
    trust->pairs.low = mean - 1.96 * sd;
    trust->pairs.high = mean + 1.96 * sd;
}

/* Why: the first row that holds says it. */

struct judging {
    struct trust *trust;
    const struct cellar *cellar;
    int64_t now;
};

static bool is_worn_slope(const struct judging *j, struct buf *why)
{
    const struct meter_check *last = j->trust->last;
    if (last == NULL ||
        !(last->slope_percent < METER_SLOPE_LOW || last->slope_percent > METER_SLOPE_HIGH))
        return false;
    buf_printf(why, "slope ");
    meter_write_outside(why, last->slope_percent, METER_SLOPE_LOW, METER_SLOPE_HIGH);
    buf_printf(why, " %%, sound is %.0f..%.0f: clean the electrode, calibrate, else replace it",
               METER_SLOPE_LOW, METER_SLOPE_HIGH);
    return true;
}

static bool is_worn_offset(const struct judging *j, struct buf *why)
{
    const struct meter_check *last = j->trust->last;
    if (last == NULL || !(fabs(last->offset_mv) > METER_OFFSET_MOST))
        return false;
    meter_write_outside(why, last->offset_mv, -METER_OFFSET_MOST, METER_OFFSET_MOST);
    buf_printf(why,
               " mV at pH 7, sound is within %.0f: clean the electrode, calibrate, else replace it",
               METER_OFFSET_MOST);
    return true;
}

static bool is_off_in_water(const struct judging *j, struct buf *why)
{
    const struct meter_check *last = j->trust->last;
    if (last == NULL || !(fabs(last->water_plato) > METER_WATER_MOST))
        return false;
    buf_printf(why, "read ");
    words_value(why, j->cellar, QUANTITY_GRAVITY, last->water_plato);
    buf_printf(why, " in water: clean and adjust it");
    return true;
}

static void say_shift(const struct judging *j, struct buf *why)
{
    const struct meter_shift *shift = j->trust->shift;
    buf_printf(why, "read ");
    meter_write_off(why, j->trust->meter->quantity, j->cellar->house[QUANTITY_GRAVITY], shift->by);
    buf_printf(why, " in %zu tanks on ", shift->tanks);
    words_day(why, j->cellar, shift->at);
}

static bool is_shifted_since(const struct judging *j, struct buf *why)
{
    const struct trust *trust = j->trust;
    if (trust->shift == NULL || (trust->last != NULL && trust->last->at > trust->shift->last))
        return false;
    say_shift(j, why);
    buf_printf(why, " and was not calibrated since");
    return true;
}

static bool is_strip(const struct judging *j, struct buf *why)
{
    if (j->trust->meter->declared->kind != METER_STRIP)
        return false;
    buf_printf(why, "a strip is good to 0.1..0.4 and says nothing beyond its ends");
    return true;
}

static bool is_never_checked(const struct judging *j, struct buf *why)
{
    if (!isfinite(j->trust->meter->due_hours) || j->trust->last != NULL)
        return false;
    buf_printf(why, "no calibration in the plant log");
    return true;
}

static bool is_overdue(const struct judging *j, struct buf *why)
{
    const struct trust *trust = j->trust;
    if (!trust->has_due || trust->days_to_due * 24 >= -METER_GRACE_HOURS)
        return false;
    buf_printf(why, "calibrate it before use: due since ");
    words_time(why, j->cellar, trust->due_at);
    return true;
}

static bool is_one_buffer(const struct judging *j, struct buf *why)
{
    const struct trust *trust = j->trust;
    if (trust->meter->quantity != QUANTITY_PH || trust->last == NULL ||
        !isnan(trust->last->slope_percent))
        return false;
    buf_printf(why, "its last calibration has not two buffers around beer: take 4.01 and 7.00");
    return true;
}

static bool is_apart(const struct judging *j, struct buf *why)
{
    const struct trust_pairs *pairs = &j->trust->pairs;
    bool ph = j->trust->meter->quantity == QUANTITY_PH;
    /* in doubles 4.3 - 4.2 is under 0.1 */
    if (pairs->n < FEWEST_PAIRS || fabs(pairs->difference) + 1e-6 < (ph ? AGREE_PH : AGREE_PLATO))
        return false;
    buf_printf(why, "reads %.*f %s than " STR_FMT " (%zu pairs): %s", ph ? 2 : 1,
               fabs(pairs->difference), pairs->difference > 0 ? "higher" : "lower",
               STR_ARG(pairs->other->name), pairs->n,
               ph ? "calibrate both in fresh buffers" : "read water with both");
    return true;
}

static bool is_leaving(const struct judging *j, struct buf *why)
{
    const struct trust_trend *trends[] = {&j->trust->slope, &j->trust->offset};
    static const char *const NAMES[] = {"slope", "offset"};
    for (size_t i = 0; i < 2; i++) {
        if (!trends[i]->leaves || trends[i]->leaves_at > j->now + TRUST_AHEAD_DAYS * CIVIL_DAY)
            continue;
        buf_printf(why, "its %s will leave the limits about ", NAMES[i]);
        words_day(why, j->cellar, trends[i]->leaves_at);
        buf_printf(why, ": have a new electrode ready");
        return true;
    }
    return false;
}

static bool is_sound(const struct judging *j, struct buf *why)
{
    const struct trust *trust = j->trust;
    if (trust->shift != NULL) {
        say_shift(j, why);
        buf_printf(why, ", calibrated since");
    } else if (trust->last != NULL) {
        buf_printf(why, "calibrated, nothing against it");
    } else {
        buf_printf(why, "no calibration asked for; %s now and then",
                   trust->meter->quantity == QUANTITY_GRAVITY ? "read it in water"
                   : trust->meter->quantity == QUANTITY_PH    ? "read a buffer with it"
                                                              : "hold it against another one");
    }
    return true;
}

static const struct {
    enum trust_verdict verdict;
    bool (*holds)(const struct judging *, struct buf *);
} ROWS[] = {
    {TRUST_NO, is_worn_slope},    {TRUST_NO, is_worn_offset},   {TRUST_NO, is_off_in_water},
    {TRUST_NO, is_shifted_since}, {TRUST_CHECK, is_strip},      {TRUST_CHECK, is_never_checked},
    {TRUST_CHECK, is_overdue},    {TRUST_CHECK, is_one_buffer}, {TRUST_CHECK, is_apart},
    {TRUST_CHECK, is_leaving},    {TRUST_YES, is_sound},
};

static const struct meter_shift *last_shift(const struct meter *meter, int64_t now)
{
    const struct meter_shift *last = NULL;
    for (size_t i = 0; i < meter->shifts.n; i++)
        if (meter->shifts.items[i].at >= now - TRUST_DAYS * CIVIL_DAY)
            last = &meter->shifts.items[i];
    return last;
}

struct meters trust_meters(struct arena *arena, const struct cellar *cellar, struct meter_logs logs,
                           const struct batch_courses *courses, int64_t now)
{
    struct meters meters = meter_all(arena, cellar, logs, now);
    meter_find_shifts(&meters, arena, cellar, courses->items, courses->n);
    meter_find_pairs(&meters, arena, cellar, courses->items, courses->n);
    return meters;
}

struct trust trust_judge(const struct meters *meters, const struct meter *meter,
                         struct arena *arena, const struct cellar *cellar, int64_t now)
{
    struct trust trust = {.meter = meter, .last = meter_last_check(meter, now)};
    if (trust.last != NULL && isfinite(meter->due_hours)) {
        trust.has_due = true;
        trust.due_at = trust.last->at + (int64_t)(meter->due_hours * CIVIL_HOUR);
        trust.days_to_due = (double)(trust.due_at - now) / CIVIL_DAY;
    }
    struct series slope = series_of(meter, arena, now, false);
    struct series offset = series_of(meter, arena, now, true);
    trust.slope = trend_of_series(&slope, arena, METER_SLOPE_LOW, METER_SLOPE_HIGH, now);
    trust.offset = trend_of_series(&offset, arena, -METER_OFFSET_MOST, METER_OFFSET_MOST, now);
    trust.shift = last_shift(meter, now);
    for (size_t i = 0; i < meters->n; i++)
        gather_pairs(meters, &trust, &meters->items[i], arena, now);
    struct judging judging = {&trust, cellar, now};
    struct buf why = buf_new(arena);
    size_t i = 0;
    while (!ROWS[i].holds(&judging, &why))
        i++;
    trust.verdict = ROWS[i].verdict;
    trust.why = why.p;
    return trust;
}
