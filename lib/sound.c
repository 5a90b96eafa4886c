#include "sound.h"

#include "civil.h"
#include "corrected.h"
#include "interval.h"

#include <math.h>

const char *const SOUND_WHY[SOUND_STATES] = {
    [SOUND_GOOD] = "",
    [SOUND_CENSORED] = "off the end of its scale",
    [SOUND_COARSE] = "written too coarsely",
    [SOUND_OUTSIDE] = "outside of its meter's correction",
    [SOUND_SPIKE] = "a spike: the readings around it agree with each other",
    [SOUND_UNCONFIRMED] = "far above the reading before; read again",
};

/* Events after which gravity may rise. */
#define EVENTS_THAT_RAISE (EVENTS_WITH_EXTRACT | 1U << EVENT_MOVE)

static bool raised_between(const struct batch *batch, int64_t from, int64_t to)
{
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (batch_event_is(event, EVENTS_THAT_RAISE) && event->at.at > from && event->at.at <= to)
            return true;
    }
    return false;
}

static struct sound_point point_of(const struct reading *reading, const struct cellar *cellar,
                                   double original_plato)
{
    const struct figure *figure = &reading->figure[READS_GRAVITY];
    const struct figure *temp = &reading->figure[READS_TEMP];
    const struct doc_node *meter = reading->meter[READS_GRAVITY];
    struct sound_point point = {.reading = reading, .at = reading->at.at};
    point.celsius = figure_is_exact(temp) ? temp->value : NAN;
    point.meter = meter == NULL ? NULL : cellar_meter(cellar, meter->text);
    double step = figure->step;
    if (point.meter != NULL && figure_is_exact(&point.meter->step))
        step = point.meter->step.value;
    point.step = fmax(step, SOUND_FINEST_STEP_PLATO);
    point.by_refractometer = point.meter != NULL && point.meter->kind == METER_REFRACTOMETER;
    point.plato = figure->value;
    if (figure_is_exact(figure))
        point.plato = corrected_gravity(figure, point.meter, point.celsius, original_plato).plato;
    if (!figure_is_exact(figure))
        point.state = SOUND_CENSORED;
    else if (point.step > SOUND_COARSEST_STEP_PLATO + 1e-9)
        point.state = SOUND_COARSE;
    else if (isnan(point.plato))
        point.state = SOUND_OUTSIDE;
    return point;
}

long sound_steps(const struct sound_point *a, const struct sound_point *b)
{
    return interval_steps(a->plato, b->plato, fmax(a->step, b->step));
}

static bool jumps(const struct sound_point *before, const struct sound_point *after)
{
    double least = fmax(SOUND_JUMP_PLATO, 2 * fmax(before->step, after->step));
    return after->plato - before->plato > least + 1e-9;
}

/* The next good point after i, or the number of points. */
static size_t next_good(const struct sound *sound, size_t i)
{
    for (i++; i < sound->points.n && sound->points.items[i].state != SOUND_GOOD;)
        i++;
    return i;
}

/* The good point before i, or SIZE_MAX. */
static size_t last_good(const struct sound *sound, size_t i)
{
    while (i-- > sound->from)
        if (sound->points.items[i].state == SOUND_GOOD)
            return i;
    return SIZE_MAX;
}

/* Gravity cannot rise by itself: point i stands too far above the good one before it. Which of the
 * two is wrong, the readings around them say; where they do not, the beer is another one. */
static void explain_jump(struct sound *sound, const struct batch *batch, size_t before, size_t i)
{
    struct sound_point *points = sound->points.items;
    size_t after = next_good(sound, i), earlier = last_good(sound, before);
    if (raised_between(batch, points[before].at, points[i].at))
        sound->from = i;
    else if (after == sound->points.n)
        points[i].state = SOUND_UNCONFIRMED;
    else if (!jumps(&points[before], &points[after]))
        points[i].state = SOUND_SPIKE;
    else if (earlier != SIZE_MAX && !jumps(&points[earlier], &points[i]) &&
             !jumps(&points[earlier], &points[after]))
        points[before].state = SOUND_SPIKE;
    else {
        sound->risen++;
        sound->from = i;
    }
}

static void mark_jumps(struct sound *sound, const struct batch *batch)
{
    for (size_t i = 1; i < sound->points.n; i++) {
        if (sound->points.items[i].state != SOUND_GOOD)
            continue;
        size_t before = last_good(sound, i);
        if (before != SIZE_MAX && jumps(&sound->points.items[before], &sound->points.items[i]))
            explain_jump(sound, batch, before, i);
    }
}

struct sound sound_points(const struct batch_course *course, const struct cellar *cellar,
                          int64_t until, struct arena *arena)
{
    struct sound sound = {.good = 0};
    const struct figure *original = &course->batch->used_original;
    double original_plato = figure_is_exact(original) ? original->value : NAN;
    sound.points.items = arena_array(arena, course->readings.n, sizeof *sound.points.items);
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        if (reading->figure[READS_GRAVITY].state == FIGURE_SET && reading->at.at <= until)
            sound.points.items[sound.points.n++] = point_of(reading, cellar, original_plato);
    }
    mark_jumps(&sound, course->batch);
    for (size_t i = 0; i < sound.points.n; i++) {
        sound.good += sound.points.items[i].state == SOUND_GOOD;
        sound.spikes += sound.points.items[i].state == SOUND_SPIKE;
    }
    return sound;
}

struct sound_days sound_days(const struct sound *sound, const struct civil_zone *zone,
                             struct arena *arena)
{
    struct sound_days days = {NULL, NULL, 0};
    days.items = arena_array(arena, sound->points.n, sizeof *days.items);
    days.day = arena_array(arena, sound->points.n, sizeof *days.day);
    for (size_t i = sound->from; i < sound->points.n; i++) {
        const struct sound_point *point = &sound->points.items[i];
        if (point->state != SOUND_GOOD)
            continue;
        int64_t day = civil_day(zone, point->at);
        if (days.n == 0 || days.day[days.n - 1] != day)
            days.n++;
        days.items[days.n - 1] = point;
        days.day[days.n - 1] = day;
    }
    return days;
}
