/* Checks of the round that belong to no batch: cold rooms, counters, and what was not read. */
#include "anomaly_run.h"
#include "civil.h"

#include <math.h>

#define MISSED_GRACE 1.5 /* of its every: before a check counts as missed */

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

static struct str value_text(const struct anomaly_run *run, struct str check,
                             enum quantity quantity, const struct figure *figure)
{
    struct buf buf = buf_new(run->book->arena);
    const struct quantity_unit *unit = unit_of(run, quantity, figure);
    if (check.n > 0) {
        buf_add(&buf, check);
        buf_add(&buf, STR(" "));
    }
    quantity_write(&buf, quantity, figure->value, unit,
                   unit == figure->unit ? figure->decimals : -1);
    return buf_str(&buf);
}

static struct anomaly_finding finding_of(enum anomaly_rule rule, const struct cellar_check *check,
                                         int64_t at)
{
    return (struct anomaly_finding){
        .rule = rule,
        .level = ANOMALY_RULES[rule].level,
        .at = at,
        .since = at,
        .times = 1,
        .subject = name_of(check->node),
    };
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
    if (!check->counter.yes || two.before == NULL ||
        two.last->value.value >= two.before->value.value)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_CHECK_COUNTER, check, two.last->at.at);
    f.reading = value_text(run, f.subject, quantity, &two.last->value);
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, "at least ");
    buf_add(&buf, value_text(run, STR(""), quantity, &two.before->value));
    f.expected = buf_str(&buf);
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
    buf_printf(&buf, " not read for %.0f h", hours);
    f.reading = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "every %.0f h", every);
    f.expected = buf_str(&buf);
    f.source = figure_is_exact(&check->every) ? STR("its every:") : STR("daily");
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
    }
}
