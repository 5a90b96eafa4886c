/* Checks of the round that belong to no batch: cold rooms, counters, and what was not read. */
#include "anomaly_run.h"
#include "civil.h"
#include "robust.h"

#include <math.h>

#define MISSED_GRACE 1.5 /* of its every: before a check counts as missed */
#define USE_MORE     1.5 /* times the usual water for a volume brewed */

enum { USE_DAYS = 14, USE_EARLIER = 6, USE_FEWEST = 3 };

/* The readings of one check up to now: the last two, by time. */
struct last_two {
    const struct plant_reading *last, *before;
};

static struct last_two last_two_of(const struct anomaly_run *run, struct str check)
{
    struct last_two two = {NULL, NULL};
    for (size_t i = 0; i < run->book->plant_count; i++)
        for (size_t k = 0; k < run->book->plants[i]->readings.n; k++) {
            const struct plant_reading *reading = &run->book->plants[i]->readings.items[k];
            if (!reading->at.set || reading->at.at > run->book->now ||
                !str_eq(text_of(reading->check), check) || !figure_is_exact(&reading->value))
                continue;
            if (two.last == NULL || reading->at.at >= two.last->at.at) {
                two.before = two.last;
                two.last = reading;
            } else if (two.before == NULL || reading->at.at >= two.before->at.at) {
                two.before = reading;
            }
        }
    return two;
}

static const struct quantity_unit *unit_of(const struct anomaly_run *run, enum quantity quantity,
                                           const struct figure *figure)
{
    if (!run->book->house_units)
        return quantity_library_unit(quantity);
    return figure->unit;
}

/* Words, and a value behind them. */
static struct str value_text(const struct anomaly_run *run, struct str words,
                             enum quantity quantity, const struct figure *figure)
{
    struct buf buf = buf_new(run->book->arena);
    const struct quantity_unit *unit = unit_of(run, quantity, figure);
    buf_add(&buf, words);
    buf_add(&buf, STR(" "));
    quantity_write(&buf, quantity, figure->value, unit,
                   unit == figure->unit ? figure->decimals : -1);
    return buf_str(&buf);
}

static struct anomaly_finding finding_of(enum anomaly_rule rule, const struct cellar_check *check,
                                         int64_t at)
{
    struct anomaly_finding f = anomaly_finding_of(rule, at);
    f.subject = name_of(check->node);
    return f;
}

static void judge_limits(struct anomaly_run *run, const struct cellar_check *check,
                         const struct plant_reading *last)
{
    const struct range *limits = &check->limits;
    enum quantity quantity = cellar_reads_quantity(check->reads);
    if (limits->state != FIGURE_SET)
        return;
    bool low = limits->has_low && last->value.value < limits->low - 1e-9;
    bool high = limits->has_high && last->value.value > limits->high + 1e-9;
    if (!low && !high)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_CHECK_LIMITS, check, last->at.at);
    f.reading = value_text(run, f.subject, quantity, &last->value);
    struct buf buf = buf_new(run->book->arena);
    quantity_write_range(&buf, limits,
                         run->book->house_units ? NULL : quantity_library_unit(quantity));
    f.expected = buf_str(&buf);
    f.source = STR("its limits");
    anomaly_add(run, f);
}

static void judge_counter(struct anomaly_run *run, const struct cellar_check *check,
                          struct last_two two)
{
    enum quantity quantity = cellar_reads_quantity(check->reads);
    if (!check->counter.yes || two.before == NULL || two.last->reset.yes ||
        two.last->value.value >= two.before->value.value)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_CHECK_COUNTER, check, two.last->at.at);
    f.reading = value_text(run, f.subject, quantity, &two.last->value);
    f.expected = value_text(run, STR("at least"), quantity, &two.before->value);
    f.source = STR("the reading before");
    anomaly_add(run, f);
}

static void judge_missed(struct anomaly_run *run, const struct cellar_check *check,
                         const struct plant_reading *last)
{
    double every = figure_is_exact(&check->every) ? check->every.value : 24;
    double hours = (double)(run->book->now - last->at.at) / CIVIL_HOUR;
    if (hours <= every * MISSED_GRACE)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_CHECK_MISSED, check, last->at.at);
    struct buf buf = buf_new(run->book->arena);
    buf_add(&buf, f.subject);
    bool in_days = hours >= 72;
    buf_printf(&buf, in_days ? " not read for %.0f days" : " not read for %.0f h",
               in_days ? floor(hours / 24) : hours);
    f.reading = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "every %.0f h", every);
    f.expected = buf_str(&buf);
    f.source = figure_is_exact(&check->every) ? STR("its every:") : STR("daily");
    anomaly_add(run, f);
}

/* What a counter stood at, at a moment: its last reading of the two days before; NAN. */
static double counter_at(const struct anomaly_run *run, struct str check, int64_t at)
{
    double value = NAN;
    int64_t last = at - 2 * CIVIL_DAY;
    for (size_t i = 0; i < run->book->plant_count; i++)
        for (size_t k = 0; k < run->book->plants[i]->readings.n; k++) {
            const struct plant_reading *reading = &run->book->plants[i]->readings.items[k];
            if (!reading->at.set || reading->at.at > at || reading->at.at < last ||
                !figure_is_exact(&reading->value) || !str_eq(text_of(reading->check), check))
                continue;
            last = reading->at.at;
            value = reading->value.value;
        }
    return value;
}

static double brewed_between(const struct anomaly_run *run, int64_t from, int64_t to)
{
    double hectolitres = 0;
    for (size_t i = 0; i < run->book->batch_count; i++) {
        const struct batch *batch = run->book->batches[i];
        if (batch->has_zero && batch->zero >= from && batch->zero < to && batch->of.n == 0 &&
            figure_is_exact(&batch->volume))
            hectolitres += batch->volume.value;
    }
    return hectolitres;
}

/* Volumes of water for one of beer in the fortnight that ends at a moment; NAN: not known. */
static double use_until(const struct anomaly_run *run, struct str check, int64_t to)
{
    int64_t from = to - USE_DAYS * CIVIL_DAY;
    double brewed = brewed_between(run, from, to);
    double used = counter_at(run, check, to) - counter_at(run, check, from);
    return brewed > 0 && used >= 0 ? used / brewed : NAN;
}

static void judge_use(struct anomaly_run *run, const struct cellar_check *check,
                      const struct plant_reading *last)
{
    double earlier[USE_EARLIER], work[USE_EARLIER];
    struct str name = name_of(check->node);
    size_t n = 0;
    if (!check->counter.yes || cellar_reads_quantity(check->reads) != QUANTITY_VOLUME)
        return;
    double use = use_until(run, name, last->at.at);
    for (int i = 1; i <= USE_EARLIER; i++) {
        double was = use_until(run, name, last->at.at - i * USE_DAYS * CIVIL_DAY);
        if (!isnan(was))
            earlier[n++] = was;
    }
    double usual = robust_median(earlier, n, work);
    if (isnan(use) || n < USE_FEWEST || use <= USE_MORE * usual)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_WATER_USE, check, last->at.at);
    struct buf buf = buf_new(run->book->arena);
    buf_add(&buf, name);
    buf_printf(&buf, " %.1f for each volume brewed in %d days", use, USE_DAYS);
    f.reading = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "about %.1f", usual);
    f.expected = buf_str(&buf);
    f.source = STR("the fortnights before");
    anomaly_add(run, f);
}

void anomaly_of_plant(struct anomaly_run *run)
{
    for (size_t i = 0; i < run->book->cellar->checks.n; i++) {
        const struct cellar_check *check = &run->book->cellar->checks.items[i];
        struct last_two two = last_two_of(run, name_of(check->node));
        if (two.last == NULL)
            continue;
        judge_limits(run, check, two.last);
        judge_counter(run, check, two);
        judge_missed(run, check, two.last);
        judge_use(run, check, two.last);
    }
}
