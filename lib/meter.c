#include "meter.h"

#include "acidity.h"
#include "civil.h"
#include "order.h"
#include "practice.h"
#include "robust.h"

#include <math.h>

#define ROOM_CELSIUS 25.0 /* of buffers whose temperature nobody wrote down */
#define BEER_PH      4.3  /* where a meter's error matters */

static enum batch_reads reads_of(enum quantity quantity)
{
    for (int i = 0; i < READS_COUNT; i++)
        if (BATCH_COLUMNS[i].quantity == quantity)
            return (enum batch_reads)i;
    return READS_COUNT;
}

/* A buffer's pH is that of its label at 25 C, another one at another temperature. */
static double buffer_ph(double label, double celsius)
{
    const struct acidity_buffer *buffer = acidity_buffer_numbered(label);
    double ph = buffer == NULL ? NAN : acidity_buffer_ph(buffer, celsius);
    return isnan(ph) ? label : ph;
}

/* The lowest and the highest buffer that gave a figure; false when there are not two. */
static bool outer_buffers(const struct plant_calibration *entry, const struct plant_buffer **low,
                          const struct plant_buffer **high)
{
    *low = *high = NULL;
    for (size_t i = 0; i < entry->buffers.n; i++) {
        const struct plant_buffer *buffer = &entry->buffers.items[i];
        if (!figure_is_exact(&buffer->ph) ||
            (!figure_is_exact(&buffer->mv) && !figure_is_exact(&buffer->reads)))
            continue;
        if (*low == NULL || buffer->ph.value < (*low)->ph.value)
            *low = buffer;
        if (*high == NULL || buffer->ph.value > (*high)->ph.value)
            *high = buffer;
    }
    return *low != NULL && (*high)->ph.value > (*low)->ph.value;
}

/* The mV of a buffer, or what the pH shown stands for in a meter at its factory setting. */
static double buffer_mv(const struct plant_buffer *buffer, double celsius)
{
    if (figure_is_exact(&buffer->mv))
        return buffer->mv.value;
    return (7 - buffer->reads.value) * acidity_slope(celsius);
}

static void work_out_electrode(struct meter_check *check)
{
    const struct plant_buffer *low, *high;
    if (!outer_buffers(check->entry, &low, &high))
        return;
    check->low = buffer_ph(low->ph.value, check->celsius);
    check->high = buffer_ph(high->ph.value, check->celsius);
    struct acidity_calibration by =
        acidity_calibrate(check->low, buffer_mv(low, check->celsius), check->high,
                          buffer_mv(high, check->celsius), check->celsius);
    check->slope_percent = by.slope_percent;
    check->offset_mv = by.offset_mv;
    if (figure_is_exact(&low->reads) && figure_is_exact(&high->reads)) {
        double part = (BEER_PH - check->low) / (check->high - check->low);
        double low_off = low->reads.value - check->low, high_off = high->reads.value - check->high;
        check->found_off = low_off + part * (high_off - low_off);
    }
}

/* What the old calibration made of the electrode that the new one found. */
static double drift(const struct meter_check *before, const struct meter_check *check)
{
    struct acidity_calibration old = {before->slope_percent, before->offset_mv};
    struct acidity_calibration found = {check->slope_percent, check->offset_mv};
    return acidity_ph(&old, acidity_mv(&found, BEER_PH, ROOM_CELSIUS), ROOM_CELSIUS) - BEER_PH;
}

static void work_out(struct meter_check *check, const struct meter_check *before)
{
    const struct plant_calibration *entry = check->entry;
    check->at = entry->at.at;
    check->celsius = figure_is_exact(&entry->temp) ? entry->temp.value : ROOM_CELSIUS;
    check->slope_percent = check->offset_mv = check->low = check->high = NAN;
    check->water_plato = check->found_off = NAN;
    work_out_electrode(check);
    if (figure_is_exact(&entry->water))
        check->water_plato = check->found_off = entry->water.value;
    if (isnan(check->found_off) && before != NULL)
        check->found_off = drift(before, check);
}

static int compare_checks(const void *left, const void *right)
{
    const struct meter_check *a = left, *b = right;
    return order_then(order_of(a->entry->at.at, b->entry->at.at),
                      order_of((intptr_t)a->entry, (intptr_t)b->entry));
}

static void collect_checks(struct meter *meter, struct arena *arena, struct meter_logs logs,
                           int64_t now)
{
    size_t capacity = 0;
    for (size_t i = 0; i < logs.n; i++)
        for (size_t k = 0; k < logs.items[i]->calibrations.n; k++) {
            const struct plant_calibration *entry = &logs.items[i]->calibrations.items[k];
            if (entry->meter == NULL || !str_eq(entry->meter->text, meter->name) ||
                !entry->at.set || entry->at.at > now)
                continue;
            if (meter->checks.n == capacity)
                meter->checks.items =
                    arena_grow(arena, meter->checks.items, &capacity, sizeof *meter->checks.items);
            meter->checks.items[meter->checks.n++].entry = entry;
        }
    order_sort(meter->checks.items, meter->checks.n, sizeof *meter->checks.items, compare_checks);
    for (size_t i = 0; i < meter->checks.n; i++)
        work_out(&meter->checks.items[i], i == 0 ? NULL : &meter->checks.items[i - 1]);
}

/* What is usual is so of pH and gravity meters. */
static double usual_hours(const struct meter *meter)
{
    if (meter->quantity != QUANTITY_PH && meter->quantity != QUANTITY_GRAVITY)
        return INFINITY;
    return practice_calibrate_hours(meter->declared->kind);
}

struct meters meter_all(struct arena *arena, const struct cellar *cellar, struct meter_logs logs,
                        int64_t now)
{
    struct meters meters = {arena_array(arena, cellar->meters.n + 1, sizeof *meters.items),
                            cellar->meters.n,
                            {NULL, 0}};
    for (size_t i = 0; i < meters.n; i++) {
        struct meter *meter = &meters.items[i];
        meter->declared = &cellar->meters.items[i];
        meter->name = name_of(meter->declared->node);
        meter->quantity = cellar_reads_quantity(meter->declared->reads);
        meter->reads = reads_of(meter->quantity);
        meter->due_hours = figure_is_exact(&meter->declared->calibrate)
                               ? meter->declared->calibrate.value
                               : usual_hours(meter);
        collect_checks(meter, arena, logs, now);
    }
    return meters;
}

const struct meter *meter_find(const struct meters *meters, struct str name)
{
    for (size_t i = 0; i < meters->n; i++)
        if (str_eq(meters->items[i].name, name))
            return &meters->items[i];
    return NULL;
}

const struct meter_check *meter_last_check(const struct meter *meter, int64_t at)
{
    for (size_t i = meter->checks.n; i-- > 0;)
        if (meter->checks.items[i].at <= at)
            return &meter->checks.items[i];
    return NULL;
}

const struct meter_check *meter_next_check(const struct meter *meter, int64_t after)
{
    for (size_t i = 0; i < meter->checks.n; i++)
        if (meter->checks.items[i].at > after)
            return &meter->checks.items[i];
    return NULL;
}

/* Shifts. */

/* A figure read with a meter, in the order of time over all tanks. */
struct sample {
    int64_t day, at;
    size_t course;
    struct meter *meter;
    const struct reading *reading;
    double value;
};

/* What is known of one tank's beer before a day. */
struct rest {
    double last, before_last; /* sound readings, corrected; NAN */
    int64_t last_at, before_at;
};

enum { REST_DAYS = 4 }; /* an older reading says nothing of today's */

/* How much a beer at rest may move in a day. */
static double rest_limit(enum quantity quantity)
{
    return quantity == QUANTITY_PH ? 0.10 : 0.15;
}

static double shift_limit(enum quantity quantity)
{
    return quantity == QUANTITY_PH ? METER_SHIFT_PH : METER_SHIFT_PLATO;
}

/* Events that move gravity or pH by themselves. */
#define EVENTS_THAT_MOVE_FIGURES (EVENTS_THAT_ROUSE | 1U << EVENT_CHILL)

static bool moved_between(const struct batch *batch, int64_t from, int64_t to)
{
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->at.at >= from && event->at.at <= to &&
            batch_event_is(event, EVENTS_THAT_MOVE_FIGURES))
            return true;
    }
    return false;
}

static bool is_at_rest(const struct rest *rest, const struct batch *batch, int64_t at,
                       enum quantity quantity)
{
    if (isnan(rest->last) || isnan(rest->before_last) || at - rest->last_at > REST_DAYS * CIVIL_DAY)
        return false;
    double days = fmax(1, (double)(rest->last_at - rest->before_at) / CIVIL_DAY);
    if (fabs(rest->last - rest->before_last) > rest_limit(quantity) * days + 1e-9)
        return false;
    return !moved_between(batch, rest->last_at, at);
}

/* By day, meter and tank, then by time. */
static int compare_samples(const void *left, const void *right)
{
    const struct sample *a = left, *b = right;
    int by_day =
        order_then(order_of(a->day, b->day), order_of((intptr_t)a->meter, (intptr_t)b->meter));
    int by_tank = order_of((int64_t)a->course, (int64_t)b->course);
    return order_then(by_day, order_then(by_tank, order_of(a->at, b->at)));
}

struct samples {
    struct sample *items;
    size_t n, capacity;
};

static void collect_samples(struct samples *samples, struct arena *arena, struct meters *meters,
                            enum batch_reads reads, const struct civil_zone *zone,
                            const struct batch_course *course, size_t index)
{
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        if (!figure_is_exact(&reading->figure[reads]) || reading->meter[reads] == NULL)
            continue;
        const struct meter *meter = meter_find(meters, reading->meter[reads]->text);
        if (meter == NULL || meter->reads != reads || meter->declared->kind == METER_STRIP)
            continue;
        if (samples->n == samples->capacity)
            samples->items =
                arena_grow(arena, samples->items, &samples->capacity, sizeof *samples->items);
        samples->items[samples->n++] =
            (struct sample){.day = civil_day(zone, reading->at.at),
                            .at = reading->at.at,
                            .course = index,
                            .meter = &meters->items[meter - meters->items],
                            .reading = reading,
                            .value = reading->figure[reads].value};
    }
}

static void add_shift(struct meter *meter, struct arena *arena, struct meter_shift shift)
{
    size_t capacity = meter->shifts.n; /* shifts are rare */
    meter->shifts.items =
        arena_grow(arena, meter->shifts.items, &capacity, sizeof *meter->shifts.items);
    meter->shifts.items[meter->shifts.n++] = shift;
}

/* The samples of one day and one meter: do their tanks agree that it was off? 0 if not. */
static double judge_day(const struct sample *samples, size_t n, const struct rest *rests,
                        const struct batch_course *courses, struct arena *arena)
{
    struct meter *meter = samples[0].meter;
    double *off = arena_array(arena, n, sizeof *off), *work = arena_array(arena, n, sizeof *work);
    size_t tanks = 0, counted = SIZE_MAX;
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (size_t i = 0; i < n; i++) {
        const struct sample *sample = &samples[i];
        const struct rest *rest = &rests[sample->course];
        first = sample->at < first ? sample->at : first;
        last = sample->at > last ? sample->at : last;
        if (sample->course == counted ||
            batch_courses_share(courses, sample->course, sample->reading) ||
            !is_at_rest(rest, courses[sample->course].batch, sample->at, meter->quantity))
            continue;
        counted = sample->course;
        off[tanks++] = sample->value - rest->last;
    }
    if (tanks < METER_SHIFT_TANKS)
        return 0;
    double by = robust_median(off, tanks, work), spread = robust_mad(off, tanks, work);
    /* in doubles 4.31 - 4.21 is under 0.1 */
    if (fabs(by) + 1e-6 < shift_limit(meter->quantity) || spread > fabs(by) / 2)
        return 0;
    add_shift(meter, arena, (struct meter_shift){samples[0].day, first, last, by, spread, tanks});
    return by;
}

/* Of the readings of one minute the first is the measure; false: this one was not taken. */
static bool remember(struct rest *rest, const struct sample *sample, double by)
{
    if (!isnan(rest->last) && sample->at <= rest->last_at)
        return false;
    rest->before_last = rest->last;
    rest->before_at = rest->last_at;
    rest->last = sample->value - by;
    rest->last_at = sample->at;
    return true;
}

static void find_shifts(struct meters *meters, struct arena *arena, enum batch_reads reads,
                        const struct civil_zone *zone, const struct batch_course *courses, size_t n)
{
    struct samples samples = {NULL, 0, 0};
    struct rest *rests = arena_array(arena, n + 1, sizeof *rests);
    for (size_t i = 0; i < n; i++) {
        rests[i] = (struct rest){.last = NAN, .before_last = NAN};
        collect_samples(&samples, arena, meters, reads, zone, &courses[i], i);
    }
    order_sort(samples.items, samples.n, sizeof *samples.items, compare_samples);
    for (size_t from = 0, to; from < samples.n; from = to) {
        const struct sample *day = &samples.items[from];
        for (to = from; to < samples.n && samples.items[to].day == day->day; to++)
            ;
        /* all meters of a day are judged by the days before, then all are remembered */
        double *by = arena_array(arena, to - from, sizeof *by);
        for (size_t i = from, end; i < to; i = end) {
            for (end = i; end < to && samples.items[end].meter == samples.items[i].meter; end++)
                ;
            double off = judge_day(&samples.items[i], end - i, rests, courses, arena);
            for (size_t k = i; k < end; k++)
                by[k - from] = off;
        }
        for (size_t i = from; i < to; i++)
            remember(&rests[samples.items[i].course], &samples.items[i], by[i - from]);
    }
}

void meter_find_shifts(struct meters *meters, struct arena *arena, const struct cellar *cellar,
                       const struct batch_course *courses, size_t n)
{
    find_shifts(meters, arena, READS_PH, cellar->zone, courses, n);
    find_shifts(meters, arena, READS_GRAVITY, cellar->zone, courses, n);
}

const struct meter_shift *meter_shift_on(const struct meter *meter, const struct civil_zone *zone,
                                         int64_t at)
{
    int64_t day = civil_day(zone, at);
    for (size_t i = 0; i < meter->shifts.n; i++)
        if (meter->shifts.items[i].day == day)
            return &meter->shifts.items[i];
    return NULL;
}

/* Pairs. */

#define ONE_SAMPLE (2 * CIVIL_HOUR)
#define NEIGHBOURS (36 * CIVIL_HOUR)

static const struct meter *sound_meter(const struct meters *meters, const struct civil_zone *zone,
                                       const struct reading *reading, enum batch_reads reads)
{
    if (!figure_is_exact(&reading->figure[reads]) || reading->meter[reads] == NULL)
        return NULL;
    const struct meter *meter = meter_find(meters, reading->meter[reads]->text);
    bool sound = meter != NULL && meter->reads == reads &&
                 meter_shift_on(meter, zone, reading->at.at) == NULL;
    return sound ? meter : NULL;
}

static void pair_up(struct meters *meters, struct arena *arena, size_t *capacity,
                    const struct meter *meter, const struct meter *other, int64_t at,
                    double difference)
{
    if (meters->pairs.n == *capacity)
        meters->pairs.items =
            arena_grow(arena, meters->pairs.items, capacity, sizeof *meters->pairs.items);
    bool in_order = meter < other;
    meters->pairs.items[meters->pairs.n++] =
        (struct meter_pair){in_order ? meter : other, in_order ? other : meter, at,
                            in_order ? difference : -difference};
}

static void pairs_of_course(struct meters *meters, struct arena *arena, size_t *capacity,
                            enum batch_reads reads, const struct civil_zone *zone,
                            const struct batch_course *courses, size_t index)
{
    struct rest rest = {.last = NAN, .before_last = NAN};
    const struct meter *last = NULL;
    const struct batch_course *course = &courses[index];
    const struct batch *batch = course->batch;
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        const struct meter *meter = sound_meter(meters, zone, reading, reads);
        if (meter == NULL)
            continue;
        int64_t at = reading->at.at, gone = at - rest.last_at;
        double value = reading->figure[reads].value;
        if (last != NULL && last != meter &&
            (gone <= ONE_SAMPLE ||
             (gone <= NEIGHBOURS && is_at_rest(&rest, batch, at, meter->quantity))) &&
            !batch_courses_share(courses, index, reading))
            pair_up(meters, arena, capacity, meter, last, at, value - rest.last);
        struct sample sample = {.at = at, .value = value};
        if (remember(&rest, &sample, 0))
            last = meter;
    }
}

void meter_find_pairs(struct meters *meters, struct arena *arena, const struct cellar *cellar,
                      const struct batch_course *courses, size_t n)
{
    size_t capacity = meters->pairs.n;
    for (size_t i = 0; i < n; i++) {
        pairs_of_course(meters, arena, &capacity, READS_PH, cellar->zone, courses, i);
        pairs_of_course(meters, arena, &capacity, READS_GRAVITY, cellar->zone, courses, i);
    }
}

/* Doubts. */

/* Buffers carry a third of their distance beyond themselves: 4 and 7 serve for 3 to 8. */
static bool is_bracketed(const struct meter_check *check, double ph)
{
    double beyond = (check->high - check->low) / 3;
    return isnan(check->low) || (ph >= check->low - beyond && ph <= check->high + beyond);
}

static unsigned doubts_of_check(const struct meter_check *check, const struct figure *figure)
{
    unsigned doubts = 0;
    if (check->slope_percent < METER_SLOPE_LOW || check->slope_percent > METER_SLOPE_HIGH)
        doubts |= METER_SLOPE;
    if (fabs(check->offset_mv) > METER_OFFSET_MOST)
        doubts |= METER_OFFSET;
    if (fabs(check->water_plato) > METER_WATER_MOST)
        doubts |= METER_WATER;
    if (figure != NULL && figure_is_exact(figure) && !is_bracketed(check, figure->value))
        doubts |= METER_BRACKET;
    return doubts;
}

unsigned meter_doubts(const struct meter *meter, const struct civil_zone *zone, int64_t at,
                      const struct figure *figure)
{
    const struct meter_check *last = meter_last_check(meter, at);
    const struct meter_check *next = meter_next_check(meter, at);
    unsigned doubts = 0;
    if (meter->declared->kind == METER_STRIP)
        doubts |= METER_IS_STRIP;
    if (figure != NULL && figure->state == FIGURE_SET && figure->censor != 0)
        doubts |= METER_CENSORED;
    if (isfinite(meter->due_hours) && last == NULL)
        doubts |= METER_NEVER;
    if (last != NULL && (double)(at - last->at) / CIVIL_HOUR > meter->due_hours + METER_GRACE_HOURS)
        doubts |= METER_OVERDUE;
    if (last != NULL)
        doubts |= doubts_of_check(last, figure);
    if (next != NULL && last != NULL && fabs(next->found_off) > shift_limit(meter->quantity))
        doubts |= METER_OFF_AFTER;
    if (meter_shift_on(meter, zone, at) != NULL)
        doubts |= METER_SHIFTED;
    return doubts;
}

static void write_day(struct buf *buf, const struct civil_zone *zone, int64_t at)
{
    char text[CIVIL_SHORT_SIZE];
    buf_printf(buf, "%s", civil_short_date(civil_day(zone, at), text));
}

void meter_write_off(struct buf *buf, enum quantity quantity, const struct quantity_unit *unit,
                     double by)
{
    const double about_plato = 2.5; /* where most beer ends: SG is not quite in proportion */
    if (quantity != QUANTITY_GRAVITY || unit == NULL) {
        buf_printf(buf, quantity == QUANTITY_PH ? "%.2f" : "%.1f P", fabs(by));
    } else {
        double there = quantity_from_library(unit, about_plato + fabs(by));
        quantity_write_shown(buf, quantity, there - quantity_from_library(unit, about_plato), unit);
        buf_printf(buf, " %s", unit->name);
    }
    buf_printf(buf, by > 0 ? " too high" : " too low");
}

void meter_write_outside(struct buf *buf, double value, double low, double high)
{
    int digits = 0;
    double shown = round(value), scale = 1;
    while (digits < 3 && shown >= low && shown <= high) {
        scale *= 10;
        shown = round(value * scale) / scale;
        digits++;
    }
    buf_printf(buf, "%.*f", digits, value);
}

static void write_due(struct buf *buf, double hours)
{
    if (hours < 48)
        buf_printf(buf, hours == 24 ? "daily" : "every %.0f h", hours);
    else
        buf_printf(buf, "every %.0f days", hours / 24);
}

void meter_write_doubt(struct buf *buf, const struct meter *meter, const struct civil_zone *zone,
                       const struct quantity_unit *unit, int64_t at, unsigned doubts)
{
    const struct meter_check *last = meter_last_check(meter, at);
    const struct meter_shift *shift = meter_shift_on(meter, zone, at);
    const struct meter_check *next = meter_next_check(meter, at);
    buf_add(buf, meter->name);
    if ((doubts & METER_SHIFTED) && shift != NULL) {
        buf_printf(buf, " read ");
        meter_write_off(buf, meter->quantity, unit, shift->by);
        buf_printf(buf, " in %zu tanks on ", shift->tanks);
        write_day(buf, zone, at);
    } else if ((doubts & METER_OFF_AFTER) && next != NULL) {
        buf_printf(buf, " was found ");
        meter_write_off(buf, meter->quantity, unit, next->found_off);
        buf_printf(buf, " on ");
        write_day(buf, zone, next->at);
    } else if ((doubts & METER_OVERDUE) && last != NULL) {
        buf_printf(buf, " was last calibrated on ");
        write_day(buf, zone, last->at);
        buf_printf(buf, " and wants it ");
        write_due(buf, meter->due_hours);
    } else if (doubts & METER_NEVER) {
        buf_printf(buf, " has no calibration in the plant log");
    } else if ((doubts & METER_SLOPE) && last != NULL) {
        buf_printf(buf, " has a slope of ");
        meter_write_outside(buf, last->slope_percent, METER_SLOPE_LOW, METER_SLOPE_HIGH);
        buf_printf(buf, " %%, not %.0f..%.0f %%", METER_SLOPE_LOW, METER_SLOPE_HIGH);
    } else if ((doubts & METER_OFFSET) && last != NULL) {
        buf_printf(buf, " is ");
        meter_write_outside(buf, last->offset_mv, -METER_OFFSET_MOST, METER_OFFSET_MOST);
        buf_printf(buf, " mV off at pH 7");
    } else if ((doubts & METER_WATER) && last != NULL) {
        buf_printf(buf, " read ");
        quantity_write(buf, QUANTITY_GRAVITY, last->water_plato, unit, -1);
        buf_printf(buf, " in water");
    } else if ((doubts & METER_BRACKET) && last != NULL) {
        buf_printf(buf, " was calibrated from %.2f to %.2f, which is not around this", last->low,
                   last->high);
    } else if (doubts & METER_IS_STRIP) {
        buf_printf(buf, " is a strip, good to 0.1..0.4 at best");
    } else if (doubts & METER_CENSORED) {
        buf_printf(buf, " was off the end of its scale");
    }
}
