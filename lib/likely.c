#include "likely.h"

#include "acidity.h"
#include "carbonation.h"
#include "chill.h"
#include "door.h"
#include "expect.h"
#include "history.h"
#include "order.h"
#include "practice.h"
#include "volumes.h"
#include "words.h"

#include <math.h>
#include <string.h>

/* What a beer's earlier batches read. */
struct usual {
    struct usual *next;
    struct str beer;
    struct history history;
};

struct likely {
    struct arena *arena;
    const struct book *book;
    const struct roster *roster;
    int64_t now;
    struct usual *first;
};

struct likely *likely_new(struct arena *arena, const struct book *book, const struct roster *roster,
                          int64_t now)
{
    struct likely *likely = arena_alloc(arena, sizeof *likely);
    *likely = (struct likely){arena, book, roster, now, NULL};
    return likely;
}

static int compare_late_first(const void *left, const void *right)
{
    const struct roster_row *const *a = left, *const *b = right;
    return order_of((*b)->from, (*a)->from);
}

/* The files of the beer's last batches that have left a tank. */
static size_t last_files(const struct likely *likely, struct str beer, const char **paths)
{
    const struct roster *roster = likely->roster;
    const struct roster_row **rows = arena_array(likely->arena, roster->rows.n + 1, sizeof *rows);
    size_t n = 0, count = 0;
    for (size_t i = 0; i < roster->rows.n; i++) {
        const struct roster_row *row = &roster->rows.items[i];
        if (row->to <= likely->now && str_eq(row->beer, beer))
            rows[n++] = row;
    }
    order_sort(rows, n, sizeof *rows, compare_late_first);
    for (size_t i = 0; i < n && count < HISTORY_NEWEST; i++) {
        size_t k = 0;
        while (k < count && strcmp(paths[k], rows[i]->path) != 0)
            k++;
        if (k == count)
            paths[count++] = rows[i]->path;
    }
    return count;
}

static const struct history *history_of(struct likely *likely, struct str beer)
{
    for (struct usual *usual = likely->first; usual != NULL; usual = usual->next)
        if (str_eq(usual->beer, beer))
            return &usual->history;
    struct usual *usual = arena_alloc(likely->arena, sizeof *usual);
    *usual = (struct usual){likely->first, beer, {.arena = likely->arena}};
    likely->first = usual;
    const char *paths[HISTORY_NEWEST];
    size_t n = last_files(likely, beer, paths);
    struct arena scratch;
    arena_init(&scratch, likely->arena->exhausted, likely->arena->context);
    history_read_files(&usual->history, likely->book, &scratch, paths, n, likely->now);
    arena_free(&scratch);
    return &usual->history;
}

/* One reading at work. */
struct judging {
    struct likely *likely;
    struct entry *entry;
    const struct batch *batch;
    const struct known *known;
    struct expect_case expect;
    struct limit limit;
    struct baseline usual;
};

/* Far outside: so much beyond the ends of what is expected. With a band of earlier batches half its
 * width more. Common practice, no source. */
static const struct far {
    int reads;
    int figure; /* enum baseline_figure, or -1 */
    double below, above;
    const char *advice;
} FAR[] = {
    {READS_GRAVITY, BASELINE_GRAVITY, 0.5, 0.5, "check the decimal point, the tank and the sample"},
    {READS_PH, BASELINE_PH, 0.25, 0.25, "check the meter and its calibration"},
    {READS_TEMP, -1, 3.5, 3.5, "check the unit and the tank"},
    {READS_CARBONATION, -1, INFINITY, 0.5, "check the gauge; do not package it"},
};

static bool is_cold(const struct judging *j)
{
    struct batch_courses courses = batch_courses(j->batch, j->likely->arena, j->likely->now);
    for (size_t i = 0; i < courses.n; i++) {
        const struct batch_stay *stay = courses.items[i].stay;
        if (courses.n == 1 || (stay != NULL && str_eq(stay->tank, j->entry->tank)))
            return chill_of(&courses.items[i], j->entry->at).is_cold;
    }
    return false;
}

/* The last figure before this one; of a gravity that has none the original, of a pH the wort's. */
static struct figure last_figure(const struct judging *j, int reads)
{
    const struct known_figure *before =
        known_before(j->known, reads == READS_TEMP ? j->entry->tank : STR(""), j->entry->at, reads);
    if (before != NULL)
        return before->now;
    if (reads == READS_GRAVITY)
        return j->batch->used_original;
    if (reads == READS_PH)
        return j->batch->used_wort_ph;
    return (struct figure){.state = FIGURE_ABSENT};
}

/* Did anything raise the gravity since it was last read? */
static bool extract_came(const struct judging *j)
{
    const struct known_figure *before =
        known_before(j->known, STR(""), j->entry->at, READS_GRAVITY);
    return door_extract_came(j->batch, before == NULL ? j->batch->zero + 1 : before->at,
                             j->entry->at);
}

static double compared(const struct judging *j, const struct figure *figure, int reads,
                       struct str meter)
{
    return door_compared(figure, reads, meter, j->batch, j->likely->book->cellar);
}

/* Has the beer come to its limit, by this reading, else by the last one of its gravity? */
static bool is_done(const struct judging *j, const struct reading *reading)
{
    const struct figure *now = &reading->figure[READS_GRAVITY];
    const struct known_figure *before =
        known_before(j->known, STR(""), j->entry->at, READS_GRAVITY);
    double plato = (double)NAN;
    if (figure_is_exact(now))
        plato = compared(j, now, READS_GRAVITY, text_of(reading->meter[READS_GRAVITY]));
    else if (before != NULL)
        plato = compared(j, &before->now, READS_GRAVITY, before->meter);
    return !isnan(plato) && limit_reached(&j->limit, plato, 1.0);
}

/* A beer at its limit may be chilled without a word, or rest warmer than it fermented: anything
 * between cold and what its yeast bears is likely. */
static void widen_for_chilling(const struct judging *j, const struct reading *reading,
                               struct range *range)
{
    bool done = is_done(j, reading);
    const struct cellar_beer *beer = j->batch->type;
    if (range->state != FIGURE_SET || beer == NULL || !(done || expect_is_to_be_cold(&j->expect)))
        return;
    range->low =
        beer->cold.state == FIGURE_SET && beer->cold.has_low ? beer->cold.low : PRACTICE_COLD_LOW;
    range->has_low = true;
    if (beer->ferment.state == FIGURE_SET && beer->ferment.has_high) {
        double borne = PRACTICE[j->batch->yeast].ferment_high;
        range->high = done ? fmax(beer->ferment.high, borne) : beer->ferment.high;
        range->has_high = true;
    }
}

/* Is there a remark on this quantity already? Then it has told what to check. */
static bool is_remarked(const struct entry *entry, const char *key)
{
    size_t n = strlen(key);
    for (const struct entry_remark *remark = entry->remarks; remark != NULL; remark = remark->next)
        if (strlen(remark->text) > n && str_is_nocase((struct str){remark->text, n}, key))
            return true;
    return false;
}

static void judge_figure(struct judging *j, const struct far *far, const struct reading *reading)
{
    const struct figure *figure = &reading->figure[far->reads];
    struct figure last = last_figure(j, far->reads);
    if (far->reads == READS_GRAVITY && extract_came(j))
        return; /* what it was before tells nothing of it now */
    struct range range = expect_today(&j->expect, far->reads, &last);
    if (far->reads == READS_TEMP)
        widen_for_chilling(j, reading, &range);
    struct baseline_row row;
    bool by_band =
        far->figure >= 0 && j->expect.usual != NULL && !j->expect.is_cold &&
        baseline_at(j->expect.usual, (enum baseline_figure)far->figure, j->expect.hours, &row) &&
        !isnan(row.low) && !isnan(row.high);
    double wider = by_band ? (row.high - row.low) / 2 : 0;
    bool falls = far->reads == READS_GRAVITY || far->reads == READS_PH;
    if (range.state != FIGURE_SET || (falls && last.state != FIGURE_SET && !by_band))
        return;
    bool sours = PRACTICE[j->batch->yeast].sours;
    double value = compared(j, figure, far->reads, text_of(reading->meter[far->reads]));
    bool low = range.has_low && value < range.low - far->below - wider && !(falls && sours);
    bool high = range.has_high && value > range.high + far->above + wider;
    if (!low && !high)
        return;
    struct buf expected = buf_new(j->likely->arena);
    quantity_write_range(&expected, &range, NULL);
    struct buf by = buf_new(j->likely->arena);
    if (by_band)
        buf_printf(&by, " by %zu earlier batches", j->expect.usual->batches);
    struct str text = entry_figure_text(j->likely->arena, figure);
    struct buf corrected = buf_new(j->likely->arena);
    if (value != figure->value)
        buf_printf(&corrected, " (%.1f P corrected)", value);
    const char *key = BATCH_COLUMNS[far->reads].key;
    bool told = is_remarked(j->entry, key);
    entry_remark(j->entry, j->likely->arena, true,
                 "%s " STR_FMT "%s: %s is expected on day %d%s%s%s", key, STR_ARG(text),
                 corrected.n > 0 ? corrected.p : "", expected.p, (int)(j->expect.hours / 24),
                 by.n > 0 ? by.p : "", told ? "" : "; ", told ? "" : far->advice);
}

static void learn(struct judging *j)
{
    const struct batch *batch = j->batch;
    struct arena *arena = j->likely->arena;
    struct limit_baseline end = {0};
    const struct history *history = history_of(j->likely, j->entry->beer);
    struct history_list earlier = history_before(history, batch, j->entry->at, arena);
    if (earlier.n >= HISTORY_FEWEST) {
        j->usual = baseline_at_age(&earlier, j->expect.hours, arena);
        j->expect.usual = &j->usual;
        end = history_limit(&earlier, arena);
    }
    double original =
        figure_is_exact(&batch->used_original) ? batch->used_original.value : (double)NAN;
    j->limit = limit_of(batch, original, end, j->entry->at);
    j->expect.limit = &j->limit;
}

void likely_reading(struct likely *likely, struct entry *entry, const struct reading *reading,
                    const struct batch *batch, const struct known *known)
{
    struct judging j = {.likely = likely, .entry = entry, .batch = batch, .known = known};
    bool has_any = false;
    for (size_t i = 0; i < sizeof FAR / sizeof FAR[0]; i++)
        has_any = has_any || figure_is_exact(&reading->figure[FAR[i].reads]);
    if (!has_any || !batch->has_zero || entry->at < batch->zero)
        return;
    j.expect = (struct expect_case){.batch = batch,
                                    .cellar = likely->book->cellar,
                                    .tank = cellar_tank(likely->book->cellar, entry->tank),
                                    .is_cold = is_cold(&j),
                                    .hours = (double)(entry->at - batch->zero) / CIVIL_HOUR};
    learn(&j);
    for (size_t i = 0; i < sizeof FAR / sizeof FAR[0]; i++)
        if (figure_is_exact(&reading->figure[FAR[i].reads]))
            judge_figure(&j, &FAR[i], reading);
}

static void judge_packaged_gravity(const struct judging *j)
{
    const struct known_figure *last = known_before(j->known, STR(""), j->entry->at, READS_GRAVITY);
    if (last == NULL || j->limit.source == LIMIT_NONE)
        return;
    double plato = compared(j, &last->now, READS_GRAVITY, last->meter);
    if (isnan(plato) || limit_reached(&j->limit, plato, j->limit.margin_plato))
        return;
    const struct cellar *cellar = j->likely->book->cellar;
    struct buf text = buf_new(j->likely->arena);
    buf_printf(&text, "gravity was ");
    words_value(&text, cellar, QUANTITY_GRAVITY, plato);
    buf_printf(&text, " on ");
    words_day(&text, cellar, last->at);
    buf_printf(&text, ", ");
    words_gravity_difference(&text, cellar, j->limit.high_plato, plato - j->limit.high_plato);
    buf_printf(&text,
               " above where it should end: what is left to ferment can burst packages; hold "
               "them cold and apart, and ask");
    entry_remark(j->entry, j->likely->arena, true, "%s", text.p);
}

static void judge_packaged_ph(const struct judging *j)
{
    const struct known_figure *last = known_before(j->known, STR(""), j->entry->at, READS_PH);
    const struct cellar_beer *beer = j->batch->type;
    if (last == NULL || last->now.value < ACIDITY_LOW_ACID_ABOVE - 1e-9 ||
        batch_last_event(j->batch, EVENT_RELEASE, j->entry->at) != NULL)
        return;
    if (beer != NULL && beer->ph.state == FIGURE_SET && beer->ph.has_high &&
        last->now.value <= beer->ph.high + 1e-9)
        return;
    entry_remark(j->entry, j->likely->arena, true,
                 "pH was %.2f, at or above %.1f: hold the packages, ask someone qualified",
                 last->now.value, ACIDITY_LOW_ACID_ABOVE);
}

static void judge_packaged_oxygen(const struct judging *j)
{
    const struct cellar_beer *beer = j->batch->type;
    const struct known_figure *last =
        known_before(j->known, j->entry->tank, j->entry->at, READS_OXYGEN);
    if (last == NULL || beer == NULL || !quantity_is_over(&beer->oxygen, last->now.value))
        return;
    const struct cellar *cellar = j->likely->book->cellar;
    struct buf text = buf_new(j->likely->arena);
    buf_printf(&text, "oxygen was ");
    words_value(&text, cellar, QUANTITY_OXYGEN, last->now.value);
    buf_printf(&text, ", wants ");
    words_range(&text, cellar, QUANTITY_OXYGEN, &beer->oxygen);
    buf_printf(&text, ": it will age fast; sell it first, keep it cold");
    entry_remark(j->entry, j->likely->arena, true, "%s", text.p);
}

/* The case of an event, for what is learned of the beer. */
static struct expect_case expect_of(const struct judging *j)
{
    return (struct expect_case){.batch = j->batch,
                                .cellar = j->likely->book->cellar,
                                .hours = (double)(j->entry->at - j->batch->zero) / CIVIL_HOUR};
}

/* hL in a tank as it was filled, by what is written; 0 where nothing is. */
static double filled_hl(const struct batch *batch, const struct entry *entry)
{
    const struct batch_stay *stay = batch_stay_at(batch, entry->tank, entry->at);
    bool is_told = stay != NULL && figure_is_exact(&stay->entry->volume);
    return is_told ? stay->entry->volume.value : batch_whole_volume(batch);
}

/* What the tank would come to, closed for good: INFINITY beyond what is computed, NAN where
 * something is not known. */
static double closed_bar(const struct judging *j, const struct cellar_tank *tank)
{
    const struct entry *entry = j->entry;
    const struct known_figure *gravity =
        known_before(j->known, STR(""), entry->at + 1, READS_GRAVITY);
    const struct known_figure *temp =
        known_before(j->known, entry->tank, entry->at + 1, READS_TEMP);
    const struct known_figure *pressure =
        known_before(j->known, entry->tank, entry->at + 1, READS_PRESSURE);
    if (gravity == NULL || temp == NULL || !figure_is_exact(&j->batch->used_original) ||
        !figure_is_exact(&tank->capacity))
        return NAN;
    double plato = compared(j, &gravity->now, READS_GRAVITY, gravity->meter);
    const struct carbonation_tank closed = {
        .original_plato = j->batch->used_original.value,
        .now_plato = plato,
        .end_plato = fmin(j->limit.high_plato, plato),
        .celsius = temp->now.value,
        .headspace = volumes_headspace(filled_hl(j->batch, entry), tank->capacity.value),
        .bar_gauge = pressure == NULL ? 0 : pressure->now.value,
        .bar_atmosphere = CARBONATION_SEA_LEVEL,
    };
    return carbonation_closed_pressure(&closed);
}

void likely_close(struct likely *likely, struct entry *entry, const struct batch *batch,
                  const struct known *known)
{
    struct judging j = {.likely = likely, .entry = entry, .batch = batch, .known = known};
    const struct cellar *cellar = likely->book->cellar;
    const struct cellar_tank *tank = cellar_tank(cellar, entry->tank);
    if (tank == NULL || !figure_is_exact(&tank->rated) || !batch->has_zero ||
        entry->at < batch->zero)
        return;
    j.expect = expect_of(&j);
    learn(&j);
    double bar = j.limit.source == LIMIT_NONE ? NAN : closed_bar(&j, tank);
    if (!(bar > tank->rated.value))
        return;
    struct buf text = buf_new(likely->arena);
    buf_printf(&text, "caution: closed for good, what is left to ferment takes it %s ",
               isinf(bar) ? "beyond" : "to");
    words_value(&text, cellar, QUANTITY_PRESSURE, isinf(bar) ? CARBONATION_HIGHEST_BAR : bar);
    buf_printf(&text, "; it is rated for ");
    words_value(&text, cellar, QUANTITY_PRESSURE, tank->rated.value);
    buf_printf(&text, ": let the rest off by a valve that is set; go by the name plate, and watch "
                      "the relief valve");
    entry_remark(entry, likely->arena, false, "%s", text.p);
}

void likely_package(struct likely *likely, struct entry *entry, const struct batch *batch,
                    const struct known *known)
{
    struct judging j = {.likely = likely, .entry = entry, .batch = batch, .known = known};
    if (!batch->has_zero || entry->at < batch->zero)
        return;
    j.expect = expect_of(&j);
    learn(&j);
    judge_packaged_gravity(&j);
    judge_packaged_ph(&j);
    judge_packaged_oxygen(&j);
}
