/* The readings of one tank's beer: see struct batch_course. */
#include "batch.h"

#include <math.h>

bool batch_course_had(const struct batch_course *course, const struct batch_event *event)
{
    return event->tank == NULL || course->stay == NULL || event->at.at < course->stay->from ||
           str_eq(event->tank->text, course->stay->tank);
}

const struct batch_event *batch_course_last(const struct batch_course *course, unsigned kinds,
                                            int64_t until)
{
    const struct batch *batch = course->batch;
    for (size_t i = batch->happened.n; i-- > 0;) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->at.at <= until && batch_event_is(event, kinds) &&
            batch_course_had(course, event))
            return event;
    }
    return NULL;
}

/* The same figure of another volume. */
static struct figure scaled(struct figure volume, double hl)
{
    volume.written *= hl / volume.value;
    volume.value = hl;
    return volume;
}

/* All that went into the batch, in the unit of its first part where only the parts are told. */
static struct figure whole_figure(const struct batch *batch)
{
    struct figure whole = batch->volume;
    if (whole.state == FIGURE_ABSENT && batch->brews.n > 0)
        whole = batch->brews.items[0].volume;
    else if (whole.state == FIGURE_ABSENT && batch->of.n > 0)
        whole = batch->of.items[0].volume;
    return figure_is_exact(&whole) && whole.value > 0 ? scaled(whole, batch_whole_volume(batch))
                                                      : whole;
}

/* What of the beer in a tank went on into others while the rest stayed; the parts of a split are
 * told apart already. */
static double moved_on_hl(const struct batch *batch, const struct batch_stay *stay)
{
    double moved = 0;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *next = &batch->stays.items[i];
        const struct figure *volume = &next->entry->volume;
        if (next->from > stay->from && next->from < stay->to && figure_is_exact(volume) &&
            !batch_are_parts(batch, stay->entry, next->entry))
            moved += volume->value;
    }
    return moved;
}

struct figure batch_course_volume(const struct batch_course *course, double taken_hl)
{
    static const unsigned OUT =
        1U << EVENT_PACKAGE | 1U << EVENT_DUMP | 1U << EVENT_SAMPLE | 1U << EVENT_DISCARD;
    const struct batch *batch = course->batch;
    const struct batch_stay *stay = course->stay;
    bool is_told = stay != NULL && stay->entry->volume.state == FIGURE_SET;
    struct figure volume = is_told ? stay->entry->volume : whole_figure(batch);
    if (stay == NULL || !figure_is_exact(&volume) || volume.value <= 0)
        return volume;
    double left = volume.value - taken_hl - moved_on_hl(batch, stay);
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->at.at <= stay->from || !figure_is_exact(&event->volume) ||
            !batch_course_had(course, event))
            continue;
        if (batch_event_is(event, OUT))
            left -= event->volume.value;
        else if (event->what == EVENT_KRAUSEN)
            left += event->volume.value;
    }
    return scaled(volume, fmax(left, 0));
}

const struct batch_event *batch_last_event(const struct batch *batch, int what, int64_t before)
{
    for (size_t i = batch->happened.n; i-- > 0;) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->what == what && event->at.at < before)
            return event;
    }
    return NULL;
}

/* Marks the stays that a stay's beer came from: those in other tanks that ended as it began, or
 * went on beside it; and theirs. */
static void mark_sources(const struct batch *batch, size_t index, bool *marked)
{
    const struct batch_stay *stay = &batch->stays.items[index];
    marked[index] = true;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *other = &batch->stays.items[i];
        if (!marked[i] && other->from < stay->from && other->to >= stay->from - CIVIL_DAY)
            mark_sources(batch, i, marked);
    }
}

static bool belongs(const struct batch *batch, const struct reading *reading,
                    const struct batch_stay *stay, const bool *marked)
{
    if (reading->at.at >= stay->from)
        return reading->where.n == 0 || str_eq(reading->where, stay->tank);
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *source = &batch->stays.items[i];
        if (marked[i] && reading->at.at >= source->from && reading->at.at <= source->to &&
            str_eq(reading->where, source->tank))
            return true;
    }
    return reading->where.n == 0;
}

static struct batch_course course_of(const struct batch *batch, struct arena *arena,
                                     const struct batch_stay *stay)
{
    struct batch_course course = {batch, stay, {NULL, 0}};
    course.readings.items = arena_array(arena, batch->course.n, sizeof *course.readings.items);
    bool *marked = arena_array(arena, batch->stays.n + 1, sizeof *marked);
    if (stay != NULL)
        mark_sources(batch, (size_t)(stay - batch->stays.items), marked);
    for (size_t i = batch->first; i < batch->course.n; i++)
        if (stay == NULL || belongs(batch, batch->course.items[i], stay, marked))
            course.readings.items[course.readings.n++] = batch->course.items[i];
    return course;
}

struct batch_courses batch_courses(const struct batch *batch, struct arena *arena, int64_t now)
{
    struct batch_courses courses = {arena_array(arena, batch->stays.n + 1, sizeof *courses.items),
                                    0};
    int64_t moment = now;
    if (batch->ended) /* the last moment at which there was beer */
        for (size_t i = 0, seen = 0; i < batch->stays.n; i++)
            if (seen++ == 0 || batch->stays.items[i].to - 1 > moment)
                moment = batch->stays.items[i].to - 1;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        if (moment >= stay->from && moment < stay->to)
            courses.items[courses.n++] = course_of(batch, arena, stay);
    }
    if (courses.n == 0)
        courses.items[courses.n++] = course_of(batch, arena, NULL);
    return courses;
}

bool batch_courses_share(const struct batch_course *courses, size_t index,
                         const struct reading *reading)
{
    const struct batch_course *course = &courses[index];
    if (course->stay != NULL && reading->at.at >= course->stay->from && reading->where.n > 0)
        return false; /* of its own tank */
    for (size_t k = index; k-- > 0 && courses[k].batch == course->batch;)
        for (size_t i = 0; i < courses[k].readings.n; i++)
            if (courses[k].readings.items[i] == reading)
                return true;
    return false;
}

void batch_courses_add(struct batch_courses *all, size_t *capacity, const struct batch *batch,
                       struct arena *arena, int64_t now)
{
    struct batch_courses courses = batch_courses(batch, arena, now);
    for (size_t i = 0; i < courses.n; i++) {
        if (all->n == *capacity)
            all->items = arena_grow(arena, all->items, capacity, sizeof *all->items);
        all->items[all->n++] = courses.items[i];
    }
}
