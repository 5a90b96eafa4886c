/* The meters' own findings: off in all tanks of a day, used though overdue, or in doubt when one
 * of their figures surprised. One finding for each meter and day. */
#include "anomaly_run.h"
#include "civil.h"
#include "order.h"

#include <math.h>

enum { STILL_MATTERS = 7 }; /* days that a meter's fault is told */

static struct anomaly_finding finding_of(enum anomaly_rule rule, const struct meter *meter,
                                         int64_t at)
{
    struct anomaly_finding f = anomaly_finding_of(rule, at);
    f.subject = meter->name;
    return f;
}

struct stop {
    struct str name;
    size_t order;
};

static int compare_stops(const void *left, const void *right)
{
    const struct stop *a = left, *b = right;
    return order_then(order_of((int64_t)a->order, (int64_t)b->order), str_cmp(a->name, b->name));
}

/* The tanks of beer reported on that were read with a meter on a day, in walking order. */
static size_t tanks_read(const struct anomaly_run *run, const struct meter *meter, int64_t day,
                         struct buf *list)
{
    size_t n = 0;
    struct stop *stops = arena_array(run->book->arena, run->course_count + 1, sizeof *stops);
    for (size_t i = 0; i < run->course_count; i++) {
        if (!run->asked[i])
            continue;
        const struct batch_course *course = &run->courses[i];
        for (size_t k = 0; k < course->readings.n; k++) {
            const struct reading *reading = course->readings.items[k];
            if (reading->meter[meter->reads] == NULL ||
                !str_eq(reading->meter[meter->reads]->text, meter->name) ||
                reading->figure[meter->reads].state != FIGURE_SET ||
                civil_day(run->book->cellar->zone, reading->at.at) != day ||
                batch_courses_share(run->courses, i, reading))
                continue;
            struct str name =
                reading->where.n > 0 ? reading->where : text_of(course->batch->number);
            stops[n++] = (struct stop){name, anomaly_walk_order(run->book, name)};
            break;
        }
    }
    order_sort(stops, n, sizeof *stops, compare_stops);
    for (size_t i = 0; i < n; i++)
        buf_printf(list, "%s" STR_FMT, i > 0 ? ", " : "", STR_ARG(stops[i].name));
    return n;
}

static void say_calibrated(const struct anomaly_run *run, struct buf *buf,
                           const struct meter *meter, int64_t at)
{
    const struct civil_zone *zone = run->book->cellar->zone;
    const struct meter_check *last = meter_last_check(meter, at);
    const struct meter_check *next = meter_next_check(meter, at);
    char day[CIVIL_SHORT_SIZE];
    if (last == NULL)
        buf_printf(buf, "no calibration of it in the log");
    else
        buf_printf(buf, "calibrated on %s", civil_short_date(civil_day(zone, last->at), day) + 4);
    if (next == NULL || isnan(next->found_off))
        return;
    buf_printf(buf, "; on %s it was found ", civil_short_date(civil_day(zone, next->at), day) + 4);
    if (fabs(next->found_off) < 0.005)
        buf_printf(buf, "right");
    else
        meter_write_off(buf, meter->quantity, anomaly_gravity_unit(run->book), next->found_off);
}

static void report_shift(struct anomaly_run *run, const struct meter *meter,
                         const struct meter_shift *shift)
{
    struct buf tanks = buf_new(run->book->arena);
    if (shift->last < anomaly_told_since(run, STILL_MATTERS) ||
        tanks_read(run, meter, shift->day, &tanks) == 0)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_METER_SHIFT, meter, shift->at);
    struct buf buf = buf_new(run->book->arena);
    buf_add(&buf, meter->name);
    buf_printf(&buf, " read ");
    meter_write_off(&buf, meter->quantity, anomaly_gravity_unit(run->book), shift->by);
    buf_printf(&buf, " in all %zu tanks at rest", shift->tanks);
    f.reading = buf_str(&buf);
    f.expected = STR("as the days before");
    f.source = STR("median over the tanks at rest");
    buf = buf_new(run->book->arena);
    say_calibrated(run, &buf, meter, shift->at);
    buf_printf(&buf, "; read with it: " STR_FMT, STR_ARG(buf_str(&tanks)));
    f.more = buf_str(&buf);
    anomaly_add(run, f);
}

static void report_blame(struct anomaly_run *run, const struct anomaly_blame *blame)
{
    if (blame->at < anomaly_told_since(run, STILL_MATTERS) ||
        meter_shift_on(blame->meter, run->book->cellar->zone, blame->at) != NULL)
        return;
    struct anomaly_finding f = finding_of(ANOMALY_METER_DOUBT, blame->meter, blame->at);
    struct buf buf = buf_new(run->book->arena);
    meter_write_doubt(&buf, blame->meter, run->book->cellar->zone, anomaly_gravity_unit(run->book),
                      blame->at, blame->doubts);
    f.reading = buf_str(&buf);
    f.expected = STR("a meter in order");
    f.source = STR("the plant log");
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "%zu surprising figure%s came from it", blame->figures,
               blame->figures == 1 ? "" : "s");
    f.more = buf_str(&buf);
    anomaly_add(run, f);
}

static bool is_blamed(const struct anomaly_run *run, const struct meter *meter, int64_t day)
{
    for (size_t i = 0; i < run->blame_count; i++)
        if (run->blames[i].meter == meter &&
            civil_day(run->book->cellar->zone, run->blames[i].at) == day)
            return true;
    return false;
}

/* Used lately, and not calibrated since it fell due. */
static void report_due(struct anomaly_run *run, const struct meter *meter)
{
    const struct civil_zone *zone = run->book->cellar->zone;
    int64_t used = INT64_MIN;
    if (meter->reads == READS_COUNT)
        return;
    for (size_t i = 0; i < run->course_count; i++)
        for (size_t k = 0; run->asked[i] && k < run->courses[i].readings.n; k++) {
            const struct reading *reading = run->courses[i].readings.items[k];
            if (reading->meter[meter->reads] != NULL && reading->at.at > used &&
                reading->figure[meter->reads].state == FIGURE_SET &&
                str_eq(reading->meter[meter->reads]->text, meter->name))
                used = reading->at.at;
        }
    if (used < anomaly_told_since(run, STILL_MATTERS))
        return;
    unsigned doubts = meter_doubts(meter, zone, used, NULL) & (METER_OVERDUE | METER_NEVER);
    if (doubts == 0 || meter_next_check(meter, used) != NULL ||
        meter_shift_on(meter, zone, used) != NULL || is_blamed(run, meter, civil_day(zone, used)))
        return;
    struct anomaly_finding f = finding_of(ANOMALY_METER_DUE, meter, used);
    struct buf buf = buf_new(run->book->arena);
    meter_write_doubt(&buf, meter, zone, anomaly_gravity_unit(run->book), used, doubts);
    f.reading = buf_str(&buf);
    f.expected = STR("a calibration before use");
    f.source = figure_is_exact(&meter->declared->calibrate) ? STR("its calibrate:")
                                                            : STR("usual in the trade");
    anomaly_add(run, f);
}

void anomaly_of_meters(struct anomaly_run *run)
{
    for (size_t i = 0; i < run->meters.n; i++) {
        const struct meter *meter = &run->meters.items[i];
        for (size_t k = 0; k < meter->shifts.n; k++)
            report_shift(run, meter, &meter->shifts.items[k]);
        report_due(run, meter);
    }
    for (size_t i = 0; i < run->blame_count; i++)
        report_blame(run, &run->blames[i]);
}
