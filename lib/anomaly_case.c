#include "anomaly_case.h"

#include "civil.h"

#include <math.h>
#include <stdarg.h>

const struct figure *anomaly_figure(const struct anomaly_case *c, enum batch_reads reads)
{
    if (!figure_is_exact(&c->reading->figure[reads]))
        return NULL;
    return &c->reading->figure[reads];
}

const struct figure *anomaly_beside(const struct anomaly_case *c, enum batch_reads reads)
{
    const struct figure *figure = anomaly_figure(c, reads);
    for (size_t i = 0; c->reading != NULL && figure == NULL && i < c->course->readings.n; i++) {
        const struct reading *reading = c->course->readings.items[i];
        if (reading->at.at == c->at && str_eq(reading->where, c->reading->where) &&
            figure_is_exact(&reading->figure[reads]))
            figure = &reading->figure[reads];
    }
    return figure;
}

double anomaly_hours(int64_t from, int64_t to)
{
    return (double)(to - from) / CIVIL_HOUR;
}

const struct reading *anomaly_before(const struct anomaly_case *c, enum batch_reads reads,
                                     double hours, bool here)
{
    for (size_t i = c->index; i-- > 0;) {
        const struct reading *reading = c->course->readings.items[i];
        if (anomaly_hours(reading->at.at, c->at) > hours)
            return NULL;
        if (here && !str_eq(reading->where, c->reading->where))
            return NULL;
        if (figure_is_exact(&reading->figure[reads]) && reading->at.at < c->at)
            return reading;
    }
    return NULL;
}

const struct finish *anomaly_finish(const struct anomaly_case *c)
{
    struct anomaly_cache *cache = c->cache;
    if (!cache->has_finish) {
        arena_reset(&cache->scratch);
        const struct finish_context context = {.cellar = c->book->cellar,
                                               .arena = &cache->scratch,
                                               .now = c->at,
                                               .baseline = cache->baseline};
        cache->finish = finish_judge(&context, c->course);
        cache->has_finish = true;
    }
    return &cache->finish;
}

bool anomaly_is_over(const struct anomaly_case *c)
{
    return FINISH_VERDICT[anomaly_finish(c)->verdict].is_over;
}

double anomaly_plato(const struct anomaly_case *c, const struct reading *reading)
{
    struct anomaly_cache *cache = c->cache;
    if (!cache->has_sound) {
        cache->sound = sound_points(c->course, c->book->cellar, c->book->now, c->book->arena);
        cache->has_sound = true;
    }
    for (size_t i = 0; i < cache->sound.points.n; i++) {
        const struct sound_point *point = &cache->sound.points.items[i];
        if (point->reading == reading)
            return point->state == SOUND_CENSORED || point->state == SOUND_OUTSIDE ? NAN
                                                                                   : point->plato;
    }
    return NAN;
}

/* The gravity of this reading or of one shortly before. */
static double plato_about(const struct anomaly_case *c)
{
    double plato = anomaly_plato(c, c->reading);
    const struct reading *before =
        isnan(plato) ? anomaly_before(c, READS_GRAVITY, 12, false) : NULL;
    return before == NULL ? plato : anomaly_plato(c, before);
}

double anomaly_progress(const struct anomaly_case *c)
{
    const struct figure *original = &c->batch->used_original;
    double end = anomaly_finish(c)->limit.high_plato, plato = plato_about(c);
    if (!figure_is_exact(original) || !(original->value > end + 1))
        return NAN;
    double share = 100 * (original->value - plato) / (original->value - end);
    return isnan(share) ? NAN : fmin(100, share);
}

/* An event without a tank is of all of them. */
static bool is_of_course(const struct anomaly_case *c, const struct batch_event *event)
{
    return event->tank == NULL || c->reading->where.n == 0 ||
           str_eq(event->tank->text, c->reading->where);
}

const struct batch_event *anomaly_event(const struct anomaly_case *c, enum event_what what)
{
    for (size_t i = c->batch->happened.n; i-- > 0;) {
        const struct batch_event *event = c->batch->happened.items[i];
        if (event->what == (int)what && event->at.at <= c->at && is_of_course(c, event))
            return event;
    }
    return NULL;
}

bool anomaly_event_between(const struct anomaly_case *c, unsigned kinds, int64_t from, int64_t to)
{
    for (size_t i = 0; i < c->batch->happened.n; i++) {
        const struct batch_event *event = c->batch->happened.items[i];
        if (event->at.at >= from && event->at.at <= to && (kinds >> event->what & 1U) != 0 &&
            is_of_course(c, event))
            return true;
    }
    return false;
}

enum anomaly_stage anomaly_stage(const struct anomaly_case *c)
{
    bool bright = c->tank != NULL && c->tank->kind == TANK_BRIGHT;
    if (bright || anomaly_event(c, EVENT_CARBONATE) != NULL)
        return ANOMALY_BRIGHT;
    return chill_of(c->course, c->at).is_cold ? ANOMALY_CHILLED : ANOMALY_FERMENTING;
}

bool anomaly_less(double a, double b)
{
    return a < b - 1e-6;
}

void anomaly_say(const struct anomaly_case *c, struct str *text, const char *format, ...)
{
    char line[512];
    va_list args;
    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    struct buf buf = buf_new(c->book->arena);
    buf_add(&buf, *text);
    buf_add(&buf, str_of(line));
    *text = buf_str(&buf);
}

static const struct quantity_unit *unit_of(const struct anomaly_case *c, enum quantity quantity)
{
    const struct quantity_unit *house =
        c->book->house_units ? c->book->cellar->house[quantity] : NULL;
    return house != NULL ? house : quantity_library_unit(quantity);
}

const char *anomaly_value(const struct anomaly_case *c, enum quantity quantity, double library)
{
    struct buf buf = buf_new(c->book->arena);
    if (quantity == QUANTITY_PH)
        buf_add(&buf, STR("pH "));
    quantity_write(&buf, quantity, library, unit_of(c, quantity), -1);
    return buf.p;
}

const char *anomaly_limits(const struct anomaly_case *c, enum quantity quantity, double low,
                           double high)
{
    const struct quantity_unit *unit = unit_of(c, quantity);
    struct buf buf = buf_new(c->book->arena);
    if (!isfinite(low))
        buf_add(&buf, STR("at most "));
    else if (!isfinite(high))
        buf_add(&buf, STR("at least "));
    if (quantity == QUANTITY_PH)
        buf_add(&buf, STR("pH "));
    if (isfinite(low))
        quantity_write_shown(&buf, quantity, quantity_from_library(unit, low), unit);
    if (isfinite(low) && isfinite(high))
        buf_add(&buf, STR(".."));
    if (isfinite(high))
        quantity_write_shown(&buf, quantity, quantity_from_library(unit, high), unit);
    if (unit != NULL)
        buf_printf(&buf, " %s", unit->name);
    return buf.p;
}

const char *anomaly_difference(const struct anomaly_case *c, enum quantity quantity, double from,
                               double to)
{
    const struct quantity_unit *unit = unit_of(c, quantity);
    double by = quantity_from_library(unit, to) - quantity_from_library(unit, from);
    struct buf buf = buf_new(c->book->arena);
    quantity_write_shown(&buf, quantity, fabs(by), unit);
    buf_printf(&buf, " %s", unit->name);
    return buf.p;
}

const char *anomaly_when(const struct anomaly_case *c, int64_t at)
{
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    struct buf buf = buf_new(c->book->arena);
    civil_short_date(civil_day(c->book->cellar->zone, at), day);
    buf_printf(&buf, "%s %s", day + 4, civil_clock(c->book->cellar->zone, at, clock));
    return buf.p;
}

struct anomaly_limit anomaly_limit_of(const struct range *range)
{
    struct anomaly_limit limit = {-INFINITY, INFINITY, "", false};
    if (range == NULL || range->state != FIGURE_SET)
        return limit;
    if (range->has_low)
        limit.low = range->low;
    if (range->has_high)
        limit.high = range->high;
    limit.source = "the beer's limit";
    limit.own = true;
    return limit;
}

static struct anomaly_limit limit_or(const struct range *range, double low, double high)
{
    struct anomaly_limit limit = anomaly_limit_of(range);
    if (!limit.own)
        limit = (struct anomaly_limit){low, high, "usual in the trade", false};
    return limit;
}

struct anomaly_limit anomaly_limit_ph(const struct anomaly_case *c)
{
    return limit_or(c->beer == NULL ? NULL : &c->beer->ph, c->practice->ph_low,
                    c->practice->ph_high);
}

struct anomaly_limit anomaly_limit_ferment(const struct anomaly_case *c)
{
    return limit_or(c->beer == NULL ? NULL : &c->beer->ferment, c->practice->ferment_low,
                    c->practice->ferment_high);
}

struct anomaly_limit anomaly_limit_cold(const struct anomaly_case *c)
{
    return limit_or(c->beer == NULL ? NULL : &c->beer->cold, PRACTICE_COLD_LOW, PRACTICE_COLD_HIGH);
}
