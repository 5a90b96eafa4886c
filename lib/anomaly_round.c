/* The round itself: what was passed by, what was copied, and whose readings lie apart. */
#include "anomaly_run.h"
#include "civil.h"
#include "robust.h"

#include <math.h>
#include <stdlib.h>

#define ROUND_HOURS   6   /* a round that began earlier today is over */
#define FEWEST        3   /* figures that must all agree before a reading counts as copied */
#define IN_A_ROW      3   /* equal readings of one tank that are too many */
#define PERSON_PAIRS  10  /* pairs of readings that show whose lie apart */
#define PERSON_SIDE   0.9 /* of them on one side */
#define PERSON_DAYS   60
#define STILL_MATTERS (3 * CIVIL_DAY)

static int64_t day_of(const struct anomaly_run *run, int64_t at)
{
    return civil_day(run->book->cellar->zone, at);
}

/* The later of a round found so far and another, which counts once it is over, and before a day. */
static int64_t later_round(const struct anomaly_run *run, int64_t last, int64_t at, int64_t before)
{
    bool counts = at <= run->book->now - ROUND_HOURS * CIVIL_HOUR && day_of(run, at) < before;
    return counts && at > last ? at : last;
}

/* The day of the last round that is over, from the log or, where it has no rounds, from the
 * readings; INT64_MIN: none. */
static int64_t last_round_day(const struct anomaly_run *run, int64_t before)
{
    int64_t last = INT64_MIN;
    for (size_t i = 0; i < run->book->plant_count; i++)
        for (size_t k = 0; k < run->book->plants[i]->rounds.n; k++) {
            const struct plant_round *round = &run->book->plants[i]->rounds.items[k];
            if (round->at.set)
                last = later_round(run, last, round->at.at, before);
        }
    bool logged = last != INT64_MIN;
    for (size_t i = 0; !logged && i < run->course_count; i++)
        for (size_t k = 0; k < run->courses[i].readings.n; k++)
            last = later_round(run, last, run->courses[i].readings.items[k]->at.at, before);
    return last == INT64_MIN ? INT64_MIN : day_of(run, last);
}

static bool is_skipped(const struct anomaly_run *run, struct str tank, int64_t day)
{
    for (size_t i = 0; i < run->book->plant_count; i++)
        for (size_t k = 0; k < run->book->plants[i]->rounds.n; k++) {
            const struct plant_round *round = &run->book->plants[i]->rounds.items[k];
            if (!round->at.set || day_of(run, round->at.at) != day)
                continue;
            for (size_t s = 0; s < round->skipped.n; s++)
                if (str_eq(text_of(round->skipped.items[s].tank), tank))
                    return true;
        }
    return false;
}

/* The place in a course of the last reading of a tank up to and including a day; SIZE_MAX. */
static size_t last_up_to(const struct anomaly_run *run, const struct batch_course *course,
                         int64_t day)
{
    for (size_t i = course->readings.n; i-- > 0;)
        if (day_of(run, course->readings.items[i]->at.at) <= day)
            return i;
    return SIZE_MAX;
}

/* A reading of the wort, before the pitch, is none of the course, but the tank was not passed by.
 */
static bool read_as_wort(const struct anomaly_run *run, const struct batch_course *course,
                         int64_t day)
{
    for (size_t i = 0; i < course->batch->first; i++) {
        const struct reading *reading = course->batch->course.items[i];
        if (day_of(run, reading->at.at) == day &&
            (reading->where.n == 0 || str_eq(reading->where, course->stay->tank)))
            return true;
    }
    return false;
}

static bool read_on(const struct anomaly_run *run, const struct batch_course *course, int64_t day)
{
    size_t i = last_up_to(run, course, day);
    return i != SIZE_MAX && day_of(run, course->readings.items[i]->at.at) == day;
}

static struct anomaly_finding finding_of(const struct anomaly_run *run, enum anomaly_rule rule,
                                         int64_t at, const struct batch_course *course)
{
    struct anomaly_finding f = anomaly_finding_of(rule, at);
    if (course != NULL) {
        f.batch = course->batch;
        f.tank = course->stay->tank;
        f.order = anomaly_walk_order(run->book, f.tank);
    }
    return f;
}

/* How often the cellar file wants the tank of a course read; 0: on every round. */
static double every_hours(const struct anomaly_run *run, const struct batch_course *course)
{
    const struct cellar_tank *tank = cellar_tank(run->book->cellar, course->stay->tank);
    bool seldom = tank != NULL && figure_is_exact(&tank->every) && tank->every.value > 24;
    return seldom ? tank->every.value : 0;
}

/* In a tank and not ended, and somebody asked: then a round can pass it by. */
static bool is_walked(const struct anomaly_run *run, size_t i)
{
    const struct batch_course *course = &run->courses[i];
    return run->asked[i] && !course->batch->ended && course->stay != NULL;
}

static int64_t last_read(const struct anomaly_run *run, const struct batch_course *course,
                         int64_t day)
{
    size_t last = last_up_to(run, course, day);
    return last == SIZE_MAX ? course->stay->from : course->readings.items[last]->at.at;
}

/* A tank filled on that day was perhaps filled after the round. */
static bool passed_by(const struct anomaly_run *run, const struct batch_course *course, int64_t day)
{
    return !read_on(run, course, day) && !read_as_wort(run, course, day) &&
           !is_skipped(run, course->stay->tank, day) && day_of(run, course->stay->from) < day;
}

/* Tanks of every round, on the day of the last one. */
static void judge_missed(struct anomaly_run *run, int64_t day)
{
    int64_t before = last_round_day(run, day);
    for (size_t i = 0; i < run->course_count; i++) {
        const struct batch_course *course = &run->courses[i];
        if (!is_walked(run, i) || every_hours(run, course) > 0 || !passed_by(run, course, day))
            continue;
        struct anomaly_finding f =
            finding_of(run, ANOMALY_ROUND_MISSED, last_read(run, course, day), course);
        char text[CIVIL_SHORT_SIZE];
        struct buf buf = buf_new(run->book->arena);
        buf_printf(&buf, "not read on %s", civil_short_date(day, text) + 4);
        if (passed_by(run, course, before)) { /* no tank was filled before INT64_MIN */
            f.level = ANOMALY_WARN;
            buf_printf(&buf, " nor the round before");
        }
        f.reading = buf_str(&buf);
        f.expected = STR("a reading on every round");
        f.source = STR("usual in the trade");
        anomaly_add(run, f);
    }
}

/* Those that are read every so many days, barrels perhaps; the one due today may still come. */
static void judge_overdue(struct anomaly_run *run)
{
    int64_t today = day_of(run, run->book->now);
    int64_t morning = civil_day_start(run->book->cellar->zone, today);
    for (size_t i = 0; i < run->course_count; i++) {
        const struct batch_course *course = &run->courses[i];
        double every = is_walked(run, i) ? every_hours(run, course) : 0;
        if (every == 0)
            continue;
        int64_t last = last_read(run, course, today);
        if ((double)(morning - last) / CIVIL_HOUR <= every)
            continue;
        struct anomaly_finding f = finding_of(run, ANOMALY_ROUND_MISSED, last, course);
        struct buf reading = buf_new(run->book->arena), expected = buf_new(run->book->arena);
        buf_printf(&reading, "not read for %ld days", (long)(today - day_of(run, last)));
        buf_printf(&expected, "a reading every %.0f days", every / 24);
        f.reading = buf_str(&reading);
        f.expected = buf_str(&expected);
        f.source = STR("its every:");
        anomaly_add(run, f);
    }
}

/* Whether two readings agree in every figure that both have, three at least. */
static bool is_equal(const struct reading *a, const struct reading *b)
{
    size_t n = 0;
    for (int i = 0; i < READS_COUNT; i++) {
        const struct figure *x = &a->figure[i], *y = &b->figure[i];
        if (figure_is_exact(x) != figure_is_exact(y))
            return false;
        if (!figure_is_exact(x))
            continue;
        if (fabs(x->value - y->value) > 1e-9)
            return false;
        n++;
    }
    return n >= FEWEST;
}

/* How many readings of a course in a row, up to index, are equal, each on a day of its own. */
static size_t equal_run(const struct anomaly_run *run, const struct batch_course *course,
                        size_t index)
{
    size_t n = 1;
    for (size_t i = index; i-- > 0; n++) {
        const struct reading *a = course->readings.items[i], *b = course->readings.items[i + 1];
        if (!is_equal(a, b) || !str_eq(a->where, b->where) ||
            day_of(run, a->at.at) == day_of(run, b->at.at))
            break;
    }
    return n;
}

static void judge_copied(struct anomaly_run *run, int64_t day)
{
    size_t read = 0, equal = 0;
    const struct batch_course *copied = NULL;
    int64_t at = INT64_MIN;
    bool too_many = false;
    struct buf tanks = buf_new(run->book->arena);
    for (size_t i = 0; i < run->course_count; i++) {
        const struct batch_course *course = &run->courses[i];
        if (!is_walked(run, i) || !read_on(run, course, day))
            continue;
        size_t index = last_up_to(run, course, day);
        const struct reading *reading = course->readings.items[index];
        if (batch_courses_share(run->courses, i, reading))
            continue;
        size_t row = equal_run(run, course, index);
        read++;
        if (row < 2)
            continue;
        too_many |= row >= IN_A_ROW;
        at = reading->at.at;
        copied = course;
        buf_printf(&tanks, "%s" STR_FMT, equal++ > 0 ? ", " : "", STR_ARG(reading->where));
    }
    if (equal == 0 || (!too_many && (equal < 2 || equal * 2 < read)))
        return;
    struct anomaly_finding f =
        finding_of(run, ANOMALY_ROUND_COPIED, at, equal == 1 ? copied : NULL);
    char text[CIVIL_SHORT_SIZE];
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, "all figures of %s the same as before: ", civil_short_date(day, text) + 4);
    buf_add(&buf, buf_str(&tanks));
    f.reading = buf_str(&buf);
    f.expected = STR("a little scatter");
    f.source = STR("usual in the trade");
    anomaly_add(run, f);
}

/* Whose readings lie apart. */

/* What a person read less what another read just before in beer at rest, with the same meter. */
struct person {
    struct str name;
    double *apart;
    size_t n, capacity;
};

struct people {
    struct person *items;
    size_t n, capacity;
};

static struct person *person_of(struct people *people, struct arena *arena, struct str name)
{
    for (size_t i = 0; i < people->n; i++)
        if (str_eq(people->items[i].name, name))
            return &people->items[i];
    if (people->n == people->capacity)
        people->items = arena_grow(arena, people->items, &people->capacity, sizeof *people->items);
    people->items[people->n] = (struct person){.name = name};
    return &people->items[people->n++];
}

/* By which a person must lie apart before it matters; 0: not judged. */
static const double APART[READS_COUNT] = {
    [READS_GRAVITY] = 0.1, [READS_PH] = 0.05, [READS_TEMP] = 0.5, [READS_PRESSURE] = 0.05};

static void compare_neighbours(struct people *people, struct arena *arena, enum batch_reads reads,
                               const struct reading *before, const struct reading *reading)
{
    const struct figure *a = &before->figure[reads], *b = &reading->figure[reads];
    bool same_meter = str_eq(text_of(before->meter[reads]), text_of(reading->meter[reads]));
    if (!figure_is_exact(a) || !figure_is_exact(b) || before->by == NULL || reading->by == NULL ||
        str_eq(before->by->text, reading->by->text) || !same_meter ||
        !str_eq(before->where, reading->where) || reading->at.at - before->at.at > 2 * CIVIL_DAY)
        return;
    if (fabs(b->value - a->value) > 6 * APART[reads]) /* not at rest */
        return;
    struct person *person = person_of(people, arena, reading->by->text);
    if (person->n == person->capacity)
        person->apart = arena_grow(arena, person->apart, &person->capacity, sizeof *person->apart);
    person->apart[person->n++] = b->value - a->value;
    struct person *other = person_of(people, arena, before->by->text);
    if (other->n == other->capacity)
        other->apart = arena_grow(arena, other->apart, &other->capacity, sizeof *other->apart);
    other->apart[other->n++] = a->value - b->value;
}

static void report_person(struct anomaly_run *run, enum batch_reads reads,
                          const struct person *person)
{
    double *work = arena_array(run->book->arena, person->n + 1, sizeof *work);
    double by = robust_median(person->apart, person->n, work);
    size_t side = 0; /* apart in the same direction */
    for (size_t i = 0; i < person->n; i++)
        side += person->apart[i] * by > 0;
    if (person->n < PERSON_PAIRS || fabs(by) + 1e-9 < APART[reads] ||
        (double)side < PERSON_SIDE * (double)person->n)
        return;
    struct anomaly_finding f = finding_of(run, ANOMALY_ROUND_PERSON, run->book->now, NULL);
    f.subject = person->name;
    enum quantity quantity = BATCH_COLUMNS[reads].quantity;
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, STR_FMT " reads %s %.*f %s than the others", STR_ARG(person->name),
               BATCH_COLUMNS[reads].key, QUANTITIES[quantity].decimals, fabs(by),
               by > 0 ? "higher" : "lower");
    f.reading = buf_str(&buf);
    f.expected = STR("the same");
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "median of %zu pairs with one meter", person->n);
    f.source = buf_str(&buf);
    anomaly_add(run, f);
}

static void judge_people(struct anomaly_run *run)
{
    int64_t since = run->book->now - PERSON_DAYS * CIVIL_DAY;
    for (int reads = 0; reads < READS_COUNT; reads++) {
        struct people people = {NULL, 0, 0};
        for (size_t i = 0; APART[reads] > 0 && i < run->course_count; i++)
            for (size_t k = 1; k < run->courses[i].readings.n; k++)
                if (run->courses[i].readings.items[k]->at.at >= since &&
                    !batch_courses_share(run->courses, i, run->courses[i].readings.items[k]))
                    compare_neighbours(&people, run->book->arena, (enum batch_reads)reads,
                                       run->courses[i].readings.items[k - 1],
                                       run->courses[i].readings.items[k]);
        if (people.n == 2) /* two: either may be the one */
            people.n = 1;
        for (size_t i = 0; i < people.n; i++)
            report_person(run, (enum batch_reads)reads, &people.items[i]);
    }
}

/* Nobody walked yesterday. */
static void judge_no_round(struct anomaly_run *run, int64_t day)
{
    int64_t today = day_of(run, run->book->now);
    char text[CIVIL_SHORT_SIZE];
    bool any = false;
    for (size_t i = 0; i < run->course_count; i++)
        any |= run->courses[i].stay != NULL && !run->courses[i].batch->ended &&
               every_hours(run, &run->courses[i]) == 0;
    if (!any || day >= today - 1)
        return;
    struct anomaly_finding f = finding_of(run, ANOMALY_ROUND_MISSED,
                                          civil_day_start(run->book->cellar->zone, day + 1), NULL);
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, "no round since %s", civil_short_date(day, text) + 4);
    f.reading = buf_str(&buf);
    f.expected = STR("one every day");
    f.source = STR("usual in the trade");
    anomaly_add(run, f);
}

void anomaly_of_round(struct anomaly_run *run)
{
    int64_t day = last_round_day(run, INT64_MAX);
    if (day != INT64_MIN && run->book->plants_asked)
        judge_no_round(run, day);
    if (day >= day_of(run, run->book->now - STILL_MATTERS)) {
        judge_missed(run, day);
        judge_copied(run, day);
    }
    judge_overdue(run);
    if (run->book->plants_asked)
        judge_people(run);
}
