#include "chill.h"

#include "civil.h"
#include "practice.h"

/* The low end of the beer's fermenting range, C: its ferment:, else its yeast's. */
static double ferment_low(const struct batch *batch)
{
    if (batch->type != NULL && batch->type->ferment.has_low)
        return batch->type->ferment.low;
    return PRACTICE[batch->yeast].ferment_low;
}

/* A tank takes its time to get cold: a warm reading sooner after a chill event is no warming. */
static const int64_t COOLING = CIVIL_DAY;

struct walk {
    struct chill chill;
    double low; /* of the fermenting range */
    int cold_in_row, warm_in_row;
    int64_t first_cold;
};

static void take_event(struct walk *walk, const struct batch_course *course,
                       const struct batch_event *event)
{
    if (event->what != EVENT_CHILL || walk->chill.is_cold || !batch_course_had(course, event))
        return;
    walk->chill = (struct chill){true, true, event->at.at};
    walk->warm_in_row = 0;
}

static void take_temperature(struct walk *walk, int64_t at, double celsius)
{
    bool cold = celsius <= walk->low - CHILL_BELOW_CELSIUS;
    if (cold && walk->cold_in_row++ == 0)
        walk->first_cold = at;
    if (!cold)
        walk->cold_in_row = 0;
    bool warm = celsius >= walk->low && at > walk->chill.at + COOLING;
    walk->warm_in_row = warm ? walk->warm_in_row + 1 : 0;
    if (!walk->chill.is_cold && walk->cold_in_row >= 2)
        walk->chill = (struct chill){true, false, walk->first_cold};
    else if (walk->chill.is_cold && walk->warm_in_row >= 2)
        walk->chill = (struct chill){false, false, 0};
}

struct chill chill_of(const struct batch_course *course, int64_t until)
{
    const struct batch *batch = course->batch;
    struct walk walk = {.low = ferment_low(batch)};
    size_t e = 0;
    for (size_t i = 0; i < course->readings.n; i++) {
        const struct reading *reading = course->readings.items[i];
        const struct figure *temp = &reading->figure[READS_TEMP];
        if (reading->at.at > until)
            break;
        while (e < batch->happened.n && batch->happened.items[e]->at.at <= reading->at.at)
            take_event(&walk, course, batch->happened.items[e++]);
        if (figure_is_exact(temp))
            take_temperature(&walk, reading->at.at, temp->value);
    }
    while (e < batch->happened.n && batch->happened.items[e]->at.at <= until)
        take_event(&walk, course, batch->happened.items[e++]);
    return walk.chill;
}

bool chill_covers(const struct chill *chill, int64_t at)
{
    return chill->is_cold && (at > chill->at || (!chill->by_event && at == chill->at));
}
