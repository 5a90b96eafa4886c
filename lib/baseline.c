#include "baseline.h"

#include "alcohol.h"
#include "interval.h"
#include "order.h"
#include "robust.h"
#include "special.h"
#include "tsv.h"

#include <math.h>
#include <string.h>

const char *const BASELINE_BYS[] = {"whole", "progress", "day"};
enum { BY_COUNT = 3 };

const struct baseline_figure_info BASELINE_FIGURE[BASELINE_FIGURES] = {
    [BASELINE_ORIGINAL] = {"original_P", 0.1, 2},
    [BASELINE_END] = {"end_P", 0.1, 2},
    [BASELINE_ADF] = {"adf_pct", 0.5, 1},
    [BASELINE_ABV] = {"abv_pct", 0.05, 2},
    [BASELINE_LAG] = {"lag_h", 1, 1},
    [BASELINE_HALF] = {"half_h", 1, 1},
    [BASELINE_END_TIME] = {"end_h", 1, 1},
    [BASELINE_STEADY] = {"steady_h", 1, 1},
    [BASELINE_HOURS] = {"hours", 1, 1},
    [BASELINE_LEFT] = {"left_h", 1, 1},
    [BASELINE_GRAVITY] = {"gravity_P", 0.1, 2},
    [BASELINE_PH] = {"ph", 0.02, 3},
    [BASELINE_TEMP] = {"temp_C", 0.1, 2},
};

/* The share left when a lag is over. */
static const double LAG_LEFT = 0.95;

/* A figure between two readings is taken as straight, if they are no farther apart, h. */
static const double WIDEST_GAP = 37;

/* The shares gone that are told, %. */
static const double PERCENTS[] = {0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 100};
enum { PERCENT_COUNT = sizeof PERCENTS / sizeof PERCENTS[0] };

/* Two shares of one course are reached so far apart, at least, h; and a baseline stands for no more
 * batches than this. */
static const double LEAST_APART = 0.1;
enum { MOST_BATCHES = 9 };

/* Days are told up to this one. */
enum { LAST_DAY = 60 };

/* Where most batches agree to the last digit, one is unlike them only from about so far on: the
 * steps below which a spread is not believed (as such a step alone makes it). */
static const double UNLIKE_PLATO = 0.3;
static const double UNLIKE_RATIO = 0.4; /* of hours, as their logarithm */

/* With fewer batches none is unlike the rest. */
enum { FEWEST_TO_TEST = 5 };

static double half_hours(const struct history_batch *batch)
{
    return remain_hours_at(&batch->course, 0.5);
}

/* One figure of the whole of each batch. */
static double whole_of(const struct history_batch *batch, enum baseline_figure figure)
{
    switch (figure) {
    case BASELINE_ORIGINAL:
        return batch->original_plato;
    case BASELINE_END:
        return batch->end_plato;
    case BASELINE_ADF:
        return alcohol_apparent_fermentation(batch->original_plato, batch->end_plato);
    case BASELINE_ABV:
        return alcohol_from_gravity(batch->original_plato, batch->end_plato);
    case BASELINE_LAG:
        return remain_hours_at(&batch->course, LAG_LEFT);
    case BASELINE_HALF:
        return half_hours(batch);
    case BASELINE_END_TIME:
        return batch->end_hours;
    case BASELINE_STEADY:
        return batch->steady_hours;
    default:
        return NAN;
    }
}

static double value_of(const struct history_point *point, enum baseline_figure figure)
{
    if (point->cold)
        return NAN;
    return figure == BASELINE_PH ? point->ph : point->celsius;
}

/* A figure at an hour, straight between the readings before and after it; NAN where there is no
 * reading on both sides, or they are far apart. */
static double value_at(const struct history_batch *batch, enum baseline_figure figure, double hours)
{
    double before_at = NAN, before = NAN;
    for (size_t i = 0; i < batch->points.n; i++) {
        const struct history_point *point = &batch->points.items[i];
        double value = value_of(point, figure);
        if (isnan(value))
            continue;
        if (point->hours >= hours) {
            if (point->hours == hours)
                return value;
            if (!(point->hours - before_at <= WIDEST_GAP))
                return NAN;
            double share = (hours - before_at) / (point->hours - before_at);
            return before + share * (value - before);
        }
        before_at = point->hours;
        before = value;
    }
    return NAN;
}

/* Gravity at an hour, the pitch counted as a reading of the original. */
static double gravity_at(const struct history_batch *batch, double hours)
{
    const struct remain_course *course = &batch->course;
    for (size_t i = 1; i < course->n; i++) {
        double gap = course->hours[i] - course->hours[i - 1];
        if (course->hours[i] < hours)
            continue;
        if (gap > WIDEST_GAP)
            return NAN;
        double share = (hours - course->hours[i - 1]) / gap;
        double left = course->left[i - 1] + share * (course->left[i] - course->left[i - 1]);
        return batch->end_plato + left * (batch->original_plato - batch->end_plato);
    }
    return NAN;
}

/* The moment at which so many % are gone. */
static double hours_of_progress(const struct history_batch *batch, double percent)
{
    if (percent <= 0)
        return 0;
    if (percent >= 100)
        return batch->end_hours;
    return remain_hours_at(&batch->course, 1 - percent / 100);
}

static double figure_of(const struct history_batch *batch, enum baseline_by by,
                        enum baseline_figure figure, double at)
{
    if (by == BASELINE_WHOLE)
        return whole_of(batch, figure);
    double hours = by == BASELINE_DAY ? 24 * at : hours_of_progress(batch, at);
    if (figure == BASELINE_HOURS)
        return hours;
    if (figure == BASELINE_LEFT)
        return hours < batch->end_hours ? batch->end_hours - hours : NAN;
    if (isnan(hours))
        return NAN;
    return figure == BASELINE_GRAVITY ? gravity_at(batch, hours) : value_at(batch, figure, hours);
}

/* Which batches count, and room to work in. */
struct facts {
    struct arena *arena;
    struct arena scratch; /* of all below, until end() */
    const struct history_batch **batches;
    size_t n;
    double *values, *work;
    double *factors; /* tolerance factor by number of batches; 0: not worked out yet */
};

static double factor_of(struct facts *facts, size_t n)
{
    if (facts->factors[n] == 0)
        facts->factors[n] = interval_tolerance(n, 0.9, 0.9);
    return facts->factors[n];
}

static void add_row(struct facts *facts, struct baseline *baseline, enum baseline_by by,
                    enum baseline_figure figure, double at)
{
    struct baseline_row row = {by, figure, at, 0, NAN, NAN, NAN, NAN};
    for (size_t i = 0; i < facts->n; i++) {
        double value = figure_of(facts->batches[i], by, figure, at);
        if (!isnan(value))
            facts->values[row.n++] = value;
    }
    if (row.n == 0)
        return;
    robust_sort(facts->values, row.n); /* once for both */
    row.median = robust_median(facts->values, row.n, facts->work);
    if (row.n > 1)
        row.spread = fmax(robust_qn(facts->values, row.n, facts->work),
                          interval_step_sd(BASELINE_FIGURE[figure].step));
    if (row.n >= HISTORY_FEWEST) {
        row.low = row.median - factor_of(facts, row.n) * row.spread;
        row.high = row.median + factor_of(facts, row.n) * row.spread;
    }
    if (baseline->rows.n == baseline->capacity)
        baseline->rows.items = arena_grow(facts->arena, baseline->rows.items, &baseline->capacity,
                                          sizeof *baseline->rows.items);
    baseline->rows.items[baseline->rows.n++] = row;
}

/* Marks the batches whose figure is unlike that of the rest. */
static void mark_unlike(const struct facts *facts, enum baseline_figure figure, bool as_ratio,
                        bool *unlike)
{
    double *z = facts->work + facts->n;
    for (size_t i = 0; i < facts->n; i++) {
        double value = whole_of(facts->batches[i], figure);
        facts->values[i] = as_ratio ? log(value) : value;
        if (!isfinite(facts->values[i]))
            return;
    }
    robust_modified_z(facts->values, facts->n, as_ratio ? UNLIKE_RATIO : UNLIKE_PLATO, z,
                      facts->work);
    for (size_t i = 0; i < facts->n; i++)
        unlike[i] = unlike[i] || fabs(z[i]) > ROBUST_MODIFIED_Z_LIMIT;
}

static void leave_out(struct facts *facts, struct baseline *baseline)
{
    bool *unlike = arena_array(&facts->scratch, facts->n, sizeof *unlike);
    size_t kept = 0, out = 0;
    if (facts->n < FEWEST_TO_TEST)
        return;
    mark_unlike(facts, BASELINE_END, false, unlike);
    mark_unlike(facts, BASELINE_HALF, true, unlike);
    mark_unlike(facts, BASELINE_END_TIME, true, unlike);
    for (size_t i = 0; i < facts->n; i++)
        out += unlike[i];
    if (2 * out >= facts->n) /* each odd in its own way: there is no rest to be unlike */
        return;
    baseline->left_out.items = arena_array(facts->arena, out, sizeof *baseline->left_out.items);
    for (size_t i = 0; i < facts->n; i++) {
        if (unlike[i])
            baseline->left_out.items[baseline->left_out.n++] = facts->batches[i];
        else
            facts->batches[kept++] = facts->batches[i];
    }
    facts->n = kept;
}

/* The beer, and which batches count. */
static struct baseline begin(const struct history_list *list, struct arena *arena,
                             struct facts *facts)
{
    struct baseline baseline = {.beer = list->items[0]->beer, .yeast = list->items[0]->yeast};
    *facts = (struct facts){.arena = arena, .n = list->n};
    struct arena *scratch = &facts->scratch;
    arena_init(scratch, arena->exhausted, arena->context);
    facts->batches = arena_array(scratch, list->n, sizeof *facts->batches);
    memcpy(facts->batches, list->items, list->n * sizeof *facts->batches);
    facts->values = arena_array(scratch, list->n, sizeof *facts->values);
    facts->work = arena_array(scratch, 2 * list->n, sizeof *facts->work);
    facts->factors = arena_array(scratch, list->n + 1, sizeof *facts->factors);
    leave_out(facts, &baseline);
    baseline.batches = facts->n;
    return baseline;
}

static void end(struct facts *facts)
{
    arena_free(&facts->scratch);
}

static void add_whole(struct facts *facts, struct baseline *baseline)
{
    for (int figure = BASELINE_ORIGINAL; figure <= BASELINE_STEADY; figure++)
        add_row(facts, baseline, BASELINE_WHOLE, (enum baseline_figure)figure, 0);
}

static void add_progress(struct facts *facts, struct baseline *baseline,
                         enum baseline_figure figure)
{
    for (size_t k = 0; k < PERCENT_COUNT; k++)
        add_row(facts, baseline, BASELINE_PROGRESS, figure, PERCENTS[k]);
}

static void add_days(struct facts *facts, struct baseline *baseline, enum baseline_figure figure,
                     int first, int last)
{
    for (int day = first > 1 ? first : 1; day <= last && day <= LAST_DAY; day++)
        add_row(facts, baseline, BASELINE_DAY, figure, day);
}

struct baseline baseline_of(const struct history_list *list, struct arena *arena)
{
    struct facts facts;
    struct baseline baseline = begin(list, arena, &facts);
    add_whole(&facts, &baseline);
    add_progress(&facts, &baseline, BASELINE_HOURS);
    add_progress(&facts, &baseline, BASELINE_LEFT);
    add_progress(&facts, &baseline, BASELINE_PH);
    add_progress(&facts, &baseline, BASELINE_TEMP);
    add_days(&facts, &baseline, BASELINE_GRAVITY, 1, LAST_DAY);
    add_days(&facts, &baseline, BASELINE_PH, 1, LAST_DAY);
    add_days(&facts, &baseline, BASELINE_TEMP, 1, LAST_DAY);
    end(&facts);
    return baseline;
}

/* The day after an age; none after the last that is told. */
static int next_day(double hours)
{
    return hours >= 0 && hours <= 24.0 * LAST_DAY ? (int)(hours / 24) + 1 : LAST_DAY;
}

struct baseline baseline_until(const struct history_list *list, double hours, struct arena *arena)
{
    struct facts facts;
    struct baseline baseline = begin(list, arena, &facts);
    add_whole(&facts, &baseline);
    add_progress(&facts, &baseline, BASELINE_PH);
    add_days(&facts, &baseline, BASELINE_GRAVITY, 1, next_day(hours));
    add_days(&facts, &baseline, BASELINE_PH, 1, next_day(hours));
    end(&facts);
    return baseline;
}

struct baseline baseline_at_age(const struct history_list *list, double hours, struct arena *arena)
{
    struct facts facts;
    struct baseline baseline = begin(list, arena, &facts);
    if (hours >= 0 && hours <= 24.0 * LAST_DAY) {
        add_days(&facts, &baseline, BASELINE_GRAVITY, next_day(hours) - 1, next_day(hours));
        add_days(&facts, &baseline, BASELINE_PH, next_day(hours) - 1, next_day(hours));
    }
    end(&facts);
    return baseline;
}

const struct baseline_row *baseline_row(const struct baseline *baseline, enum baseline_by by,
                                        enum baseline_figure figure, double at)
{
    for (size_t i = 0; i < baseline->rows.n; i++) {
        const struct baseline_row *row = &baseline->rows.items[i];
        if (row->by == by && row->figure == figure && row->at == at)
            return row;
    }
    return NULL;
}

static double straight(double from, double to, double share)
{
    return from + share * (to - from);
}

bool baseline_at(const struct baseline *baseline, enum baseline_figure figure, double hours,
                 struct baseline_row *row)
{
    double day = floor(hours / 24), share = hours / 24 - day;
    const struct baseline_row *before = baseline_row(baseline, BASELINE_DAY, figure, day);
    const struct baseline_row *after = baseline_row(baseline, BASELINE_DAY, figure, day + 1);
    if (before != NULL && share == 0)
        after = before;
    if (before == NULL || after == NULL)
        return false;
    *row = *before;
    row->at = hours / 24;
    row->n = before->n < after->n ? before->n : after->n;
    row->median = straight(before->median, after->median, share);
    row->spread = straight(before->spread, after->spread, share);
    row->low = straight(before->low, after->low, share);
    row->high = straight(before->high, after->high, share);
    return true;
}

/* The baselines of a book. */

static struct baseline *add_beer(struct baselines *baselines)
{
    if (baselines->beers.n == baselines->capacity)
        baselines->beers.items = arena_grow(baselines->arena, baselines->beers.items,
                                            &baselines->capacity, sizeof *baselines->beers.items);
    return &baselines->beers.items[baselines->beers.n++];
}

static int compare_beers(const void *left, const void *right)
{
    return str_cmp(((const struct baseline *)left)->beer, ((const struct baseline *)right)->beer);
}

struct baselines baselines_of(const struct history *history, struct arena *arena)
{
    struct baselines baselines = {.arena = arena};
    for (size_t i = 0; i < history->batches.n; i++) {
        struct str beer = history->batches.items[i].beer;
        if (baselines_find(&baselines, beer) != NULL)
            continue;
        struct history_list list =
            history_of_beer(history, beer, INT64_MAX, (struct str){NULL, 0}, arena);
        *add_beer(&baselines) = baseline_of(&list, arena);
    }
    order_sort(baselines.beers.items, baselines.beers.n, sizeof *baselines.beers.items,
               compare_beers);
    return baselines;
}

const struct baseline *baselines_find(const struct baselines *baselines, struct str beer)
{
    for (size_t i = 0; i < baselines->beers.n; i++)
        if (str_eq(baselines->beers.items[i].beer, beer))
            return &baselines->beers.items[i];
    return NULL;
}

/* The score that the i-th of n normal values has on average (Blom 1958); i from 0. */
static double score_of(size_t i, size_t n)
{
    return special_normal_quantile(((double)i + 1 - 0.375) / ((double)n + 0.25));
}

struct limit_baseline baseline_limit(const struct baseline *baseline)
{
    const struct baseline_row *end =
        baseline == NULL ? NULL : baseline_row(baseline, BASELINE_WHOLE, BASELINE_END, 0);
    if (end == NULL || isnan(end->low))
        return (struct limit_baseline){NAN, NAN, false};
    double farthest = score_of(end->n - 1, end->n) * end->spread;
    return history_band((struct limit_baseline){end->low, end->high, true}, end->n,
                        end->median - farthest, end->median + farthest);
}

/* A batch of the baseline: from each share, the time left that lies so many spreads from its
 * median. A file without those times has its hours since the pitch. */
static bool as_batch(const struct baseline *baseline, double score, struct arena *arena,
                     struct history_batch *batch)
{
    const struct baseline_row *original =
        baseline_row(baseline, BASELINE_WHOLE, BASELINE_ORIGINAL, 0);
    const struct baseline_row *end = baseline_row(baseline, BASELINE_WHOLE, BASELINE_END, 0);
    const struct baseline_row *last =
        baseline_row(baseline, BASELINE_PROGRESS, BASELINE_HOURS, PERCENTS[PERCENT_COUNT - 1]);
    if (original == NULL || end == NULL || last == NULL ||
        !(original->median > end->median + HISTORY_NEAR_PLATO))
        return false;
    double *hours = arena_array(arena, PERCENT_COUNT, sizeof *hours);
    double *share = arena_array(arena, PERCENT_COUNT, sizeof *share);
    double near = HISTORY_NEAR_PLATO / (original->median - end->median), next = last->median;
    size_t n = PERCENT_COUNT;
    hours[--n] = last->median;
    share[n] = near;
    for (size_t k = PERCENT_COUNT - 1; k-- > 0;) {
        const struct baseline_row *left =
            baseline_row(baseline, BASELINE_PROGRESS, BASELINE_LEFT, PERCENTS[k]);
        const struct baseline_row *since =
            baseline_row(baseline, BASELINE_PROGRESS, BASELINE_HOURS, PERCENTS[k]);
        if ((left == NULL && since == NULL) || 1 - PERCENTS[k] / 100 <= near)
            continue;
        double spread = left == NULL || isnan(left->spread) ? 0 : score * left->spread;
        double at = left == NULL ? since->median : last->median - left->median - spread;
        hours[--n] = next = fmin(at, next - LEAST_APART);
        share[n] = 1 - PERCENTS[k] / 100;
    }
    size_t count = PERCENT_COUNT - n;
    if (count < 2)
        return false;
    *batch = (struct history_batch){.number = STR("(baseline)"),
                                    .beer = baseline->beer,
                                    .yeast = baseline->yeast,
                                    .zero = INT64_MIN,
                                    .original_plato = original->median,
                                    .end_plato = end->median,
                                    .end_hours = last->median,
                                    .steady_hours = NAN,
                                    .abv_percent = NAN};
    batch->course = (struct remain_course){hours + n, share + n, count, last->median};
    return true;
}

/* As many batches as the baseline was made of, their scores those of as many normal values. */
static void add_batches(const struct baseline *baseline, struct history *history)
{
    size_t n = baseline->batches < MOST_BATCHES ? baseline->batches : MOST_BATCHES;
    for (size_t i = 0; i < n; i++) {
        if (as_batch(baseline, score_of(i, n), history->arena,
                     &history->batches.items[history->batches.n]))
            history->batches.n++;
    }
}

void baselines_into_history(const struct baselines *baselines, struct history *history)
{
    history->capacity = baselines->beers.n * MOST_BATCHES;
    history->batches.items =
        arena_array(history->arena, history->capacity, sizeof *history->batches.items);
    history->batches.n = 0;
    for (size_t i = 0; i < baselines->beers.n; i++)
        add_batches(&baselines->beers.items[i], history);
}

/* Reading back. */

enum field {
    FIELD_BEER,
    FIELD_BY,
    FIELD_AT,
    FIELD_FIGURE,
    FIELD_N,
    FIELD_MEDIAN,
    FIELD_SPREAD,
    FIELD_LOW,
    FIELD_HIGH,
    FIELD_BATCHES,
    FIELD_COUNT
};
static const char *const FIELDS[FIELD_COUNT] = {"beer",   "by",     "at",  "figure", "n",
                                                "median", "spread", "low", "high",   "batches"};

static bool read_number(struct str text, double *value)
{
    struct figure figure;
    *value = NAN;
    if (text.n == 0)
        return true;
    if (quantity_read(text, QUANTITY_NUMBER, NULL, &figure) != QUANTITY_OK || figure.censor != 0)
        return false;
    *value = figure.value;
    return true;
}

static int find_word(struct str text, const char *const *words, int count)
{
    for (int i = 0; i < count; i++)
        if (str_is(text, words[i]))
            return i;
    return -1;
}

static int find_figure(struct str text)
{
    for (int i = 0; i < BASELINE_FIGURES; i++)
        if (str_is(text, BASELINE_FIGURE[i].name))
            return i;
    return -1;
}

static struct baseline *beer_of(struct baselines *baselines, struct str beer,
                                const struct cellar *cellar)
{
    for (size_t i = 0; i < baselines->beers.n; i++)
        if (str_eq(baselines->beers.items[i].beer, beer))
            return &baselines->beers.items[i];
    struct baseline *baseline = add_beer(baselines);
    const struct cellar_beer *type = cellar_beer(cellar, beer);
    *baseline = (struct baseline){.beer = str_copy(baselines->arena, beer),
                                  .yeast = type == NULL ? YEAST_UNKNOWN : type->yeast};
    return baseline;
}

static const char *read_row(struct baselines *baselines, const struct str *cells,
                            const struct cellar *cellar)
{
    int by = find_word(cells[FIELD_BY], BASELINE_BYS, BY_COUNT);
    int figure = find_figure(cells[FIELD_FIGURE]);
    struct baseline_row row;
    double n, batches;
    if (by < 0 || figure < 0)
        return by < 0 ? "by is whole, progress or day" : "no such figure";
    row.by = (enum baseline_by)by;
    row.figure = (enum baseline_figure)figure;
    if (!read_number(cells[FIELD_AT], &row.at) || !read_number(cells[FIELD_N], &n) ||
        !read_number(cells[FIELD_MEDIAN], &row.median) ||
        !read_number(cells[FIELD_SPREAD], &row.spread) ||
        !read_number(cells[FIELD_LOW], &row.low) || !read_number(cells[FIELD_HIGH], &row.high) ||
        !read_number(cells[FIELD_BATCHES], &batches) || isnan(row.median) || !(n >= 1) ||
        !(batches >= 1))
        return "not a number";
    row.at = isnan(row.at) ? 0 : row.at;
    row.n = (size_t)n;
    struct baseline *baseline = beer_of(baselines, cells[FIELD_BEER], cellar);
    baseline->batches = (size_t)batches;
    if (baseline->rows.n == baseline->capacity)
        baseline->rows.items = arena_grow(baselines->arena, baseline->rows.items,
                                          &baseline->capacity, sizeof *baseline->rows.items);
    baseline->rows.items[baseline->rows.n++] = row;
    return NULL;
}

bool baselines_read(struct baselines *baselines, struct str text, const struct cellar *cellar,
                    size_t *line, const char **why)
{
    struct tsv_reader reader = tsv_reader_of(text);
    struct tsv_row header, row;
    size_t columns[FIELD_COUNT];
    *line = 1;
    *why = "no header row as gyle-baseline -t writes it";
    if (!tsv_read(&reader, baselines->arena, &header))
        return false;
    for (size_t i = 0; i < FIELD_COUNT; i++) {
        columns[i] = tsv_find(&header, FIELDS[i]);
        if (columns[i] == SIZE_MAX)
            return false;
    }
    while (tsv_read(&reader, baselines->arena, &row)) {
        struct str cells[FIELD_COUNT];
        for (size_t i = 0; i < FIELD_COUNT; i++)
            cells[i] = tsv_at(&row, columns[i]).text;
        *line = row.line;
        *why = read_row(baselines, cells, cellar);
        if (*why != NULL)
            return false;
    }
    return true;
}
