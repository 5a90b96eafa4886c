#include "outlook.h"

#include "robust.h"
#include "special.h"

#include <math.h>

static struct finish_context context_of(const struct occupancy *occupancy, struct arena *arena)
{
    return (struct finish_context){
        .cellar = occupancy->cellar, .arena = arena, .now = occupancy->now};
}

struct finish outlook_finish(const struct occupancy *occupancy, const struct batch_course *course,
                             struct arena *arena)
{
    struct finish_context context = context_of(occupancy, arena);
    struct finish finish = finish_judge(&context, course);
    if (finish.limit.source != LIMIT_NONE)
        return finish;
    struct history_list earlier =
        history_before(&occupancy->history, course->batch, occupancy->now, arena);
    context.baseline = history_limit(&earlier, arena);
    return context.baseline.has ? finish_judge(&context, course) : finish;
}

static void judge(const struct occupancy *occupancy, const struct batch_course *course,
                  struct arena *arena, struct outlook *it)
{
    struct finish_context context = context_of(occupancy, arena);
    it->finish = outlook_finish(occupancy, course, arena);
    it->next = next_step(&context, &it->finish);
    if (FINISH_VERDICT[it->finish.verdict].is_over)
        it->forecast = (struct forecast){.source = FORECAST_NONE, .why_not = ""};
    else
        it->forecast = forecast_of(&context, &it->finish, &occupancy->history);
}

static bool is_like(const struct occupancy_stay *stay, enum outlook_free_source source,
                    const struct batch *batch, int kind)
{
    if (stay->kind != kind)
        return false;
    if (source == OUTLOOK_BY_BEER)
        return str_eq(stay->beer, text_of(batch->beer));
    return source == OUTLOOK_BY_KIND || stay->yeast == batch->yeast;
}

/* The hours of the stays that are like this one; returns how many. */
static size_t collect(const struct occupancy *occupancy, enum outlook_free_source source,
                      const struct batch *batch, int kind, double *hours)
{
    size_t n = 0;
    for (size_t i = 0; i < occupancy->stays.n; i++)
        if (is_like(&occupancy->stays.items[i], source, batch, kind))
            hours[n++] = occupancy->stays.items[i].hours;
    return n;
}

static int64_t later_of(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static int64_t after_hours(int64_t from, double hours)
{
    return from + (int64_t)(hours * CIVIL_HOUR);
}

/* Where the next stay will end, with a confidence of OUTLOOK_CONFIDENCE: the prediction interval of
 * normal readings, about the median. */
static double half_width(const double *hours, size_t n)
{
    double sd = fmax(robust_sd(hours, n), OUTLOOK_LEAST_SD_HOURS);
    double t = special_t_quantile((1 + OUTLOOK_CONFIDENCE) / 2, (double)n - 1);
    return t * sd * sqrt(1 + 1 / (double)n);
}

static void foresee_by_stays(const struct occupancy *occupancy, const struct batch_course *course,
                             int kind, struct arena *arena, struct outlook *it)
{
    double *hours = arena_raw(arena, (occupancy->stays.n + 1) * sizeof *hours);
    double *work = arena_raw(arena, (occupancy->stays.n + 1) * sizeof *work);
    int64_t from = course->stay->from;
    size_t n = 0;
    enum outlook_free_source source = OUTLOOK_BY_BEER;
    for (; source <= OUTLOOK_BY_KIND; source++) {
        /* what is usual in a bright tank is not a matter of the yeast */
        if (source == OUTLOOK_BY_KIND && kind != TANK_BRIGHT)
            break;
        n = collect(occupancy, source, course->batch, kind, hours);
        if (n >= OUTLOOK_FEWEST_STAYS)
            break;
    }
    if (n < OUTLOOK_FEWEST_STAYS) {
        it->why_not = "too few earlier batches tell how long";
        it->is_held =
            it->forecast.source != FORECAST_NONE && it->forecast.early_at > occupancy->now;
        it->free_early = it->forecast.early_at;
        return;
    }
    it->free_source = source;
    it->free_stays = n;
    double middle = robust_median(hours, n, work), half = half_width(hours, n);
    it->free_at = after_hours(from, middle);
    it->free_early = after_hours(from, middle - half);
    it->free_late = after_hours(from, middle + half);
    if (it->forecast.source != FORECAST_NONE) {
        it->free_at = later_of(it->free_at, it->forecast.finish_at);
        it->free_early = later_of(it->free_early, it->forecast.early_at);
        it->free_late = later_of(it->free_late, later_of(it->forecast.late_at, it->free_at));
    }
    it->free_early = later_of(it->free_early, occupancy->now);
    it->free_late = later_of(it->free_late, occupancy->now);
    it->is_overdue = it->free_at < occupancy->now;
}

static void foresee(const struct occupancy *occupancy, const struct batch_course *course,
                    struct arena *arena, struct outlook *it)
{
    it->free_source = OUTLOOK_UNKNOWN;
    it->why_not = "";
    /* a batch with later entries is looked back at: what they say was not known then */
    if (course->stay->to != BATCH_OPEN_END && course->batch->later == 0) {
        it->free_source = OUTLOOK_WRITTEN;
        it->free_at = it->free_early = it->free_late = course->stay->to;
        return;
    }
    if (FINISH_VERDICT[it->finish.verdict].is_found || it->finish.verdict == FINISH_CHILLED_EARLY) {
        it->why_not = FINISH_VERDICT[it->finish.verdict].name;
        return;
    }
    size_t tank = occupancy_find(occupancy, course->stay->tank);
    const struct cellar_tank *declared =
        tank == SIZE_MAX ? NULL : occupancy->tanks.items[tank].tank;
    if (declared == NULL) {
        it->why_not = "the cellar file does not declare the tank";
    } else {
        struct arena_mark before = arena_mark(arena);
        foresee_by_stays(occupancy, course, declared->kind, arena, it);
        arena_rewind(arena, before);
    }
}

struct outlook outlook_of(const struct occupancy *occupancy, const struct batch_course *course,
                          struct arena *arena)
{
    struct outlook it = {.why_not = ""};
    judge(occupancy, course, arena, &it);
    if (course->stay != NULL)
        foresee(occupancy, course, arena, &it);
    return it;
}
