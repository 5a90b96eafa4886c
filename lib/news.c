#include "news.h"

#include "anomaly_brief.h"
#include "board.h"
#include "check.h"
#include "sheet_missed.h"
#include "trust.h"

#include <stdlib.h>

/* Making items. */

static struct news_item *add(struct news *news, enum news_part part, enum news_count count,
                             struct str place, struct str text)
{
    struct news_item *item = arena_alloc(news->arena, sizeof *item);
    *item = (struct news_item){.part = part, .count = count, .place = place, .text = text};
    news->counts[count]++;
    *news->end = item;
    news->end = &item->next;
    return item;
}

static struct news_item *add_of_batch(struct news *news, enum news_part part, enum news_count count,
                                      struct str place, const struct batch *batch, struct str text)
{
    struct news_item *item = add(news, part, count, place, text);
    item->batch = text_of(batch == NULL ? NULL : batch->number);
    item->beer = text_of(batch == NULL ? NULL : batch->beer);
    return item;
}

/* Meters. */

static struct batch_courses all_courses(const struct news *news, const struct occupancy *occupancy)
{
    struct batch_courses all = {NULL, 0};
    size_t capacity = 0;
    for (size_t i = 0; i < occupancy->kept.n; i++)
        batch_courses_add(&all, &capacity, occupancy->kept.items[i], news->arena, occupancy->now);
    return all;
}

/* "handheld, last Tue 24 Nov 07:33" */
static struct str calibrated(const struct news *news, const struct trust *trust)
{
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    const struct civil_zone *zone = news->cellar->zone;
    struct buf text = buf_new(news->arena);
    if (trust->meter->declared->kind > 0)
        buf_printf(&text, "%s, ", CELLAR_METER_KINDS[trust->meter->declared->kind - 1]);
    if (trust->last == NULL)
        buf_add(&text, STR("never calibrated"));
    else
        buf_printf(&text, "last %s %s", civil_short_date(civil_day(zone, trust->last->at), day),
                   civil_clock(zone, trust->last->at, clock));
    return buf_str(&text);
}

static void add_meters(struct news *news, const struct occupancy *occupancy)
{
    const struct cellar *cellar = news->cellar;
    struct batch_courses courses = all_courses(news, occupancy);
    const struct meter_logs logs = {occupancy->plants.items, occupancy->plants.n};
    struct meters *meters = arena_alloc(news->arena, sizeof *meters);
    *meters = trust_meters(news->arena, cellar, logs, &courses, news->now);
    for (size_t i = 0; i < meters->n; i++) {
        const struct meter *meter = &meters->items[i];
        struct trust trust = trust_judge(meters, meter, news->arena, cellar, news->now);
        news->found |= trust.verdict == TRUST_NO;
        if (trust.has_due &&
            civil_day(cellar->zone, trust.due_at) <= civil_day(cellar->zone, news->now))
            add(news, NEWS_METERS, NEWS_COUNT_CALIBRATE, meter->name, calibrated(news, &trust));
        else if (trust.verdict != TRUST_YES && meter->declared->kind != METER_STRIP)
            add(news, NEWS_METERS, NEWS_COUNT_NOTHING, meter->name, str_of(trust.why));
    }
}

/* Alarms and warnings. */

/* The newest of a beer's earlier batches, as the shelf sums them up. */
static struct history newest(const struct news *news, const struct history *from)
{
    struct history some = {.arena = news->arena};
    some.batches.items = arena_array(news->arena, from->batches.n + 1, sizeof *some.batches.items);
    some.capacity = from->batches.n + 1;
    for (size_t i = from->batches.n; i-- > 0;) {
        const struct history_batch *batch = &from->batches.items[i];
        size_t newer = 0;
        for (size_t k = 0; k < from->batches.n; k++)
            newer += from->batches.items[k].zero > batch->zero &&
                     str_eq(from->batches.items[k].beer, batch->beer);
        if (newer < HISTORY_NEWEST)
            some.batches.items[some.batches.n++] = *batch;
    }
    return some;
}

static void add_finding(struct news *news, const struct anomaly_finding *finding)
{
    const struct anomaly_info *rule = &ANOMALY_RULES[finding->rule];
    bool alarm = finding->level == ANOMALY_ALARM;
    struct buf text = buf_new(news->arena), more = buf_new(news->arena);
    anomaly_brief(&text, news->cellar, news->now, finding);
    buf_add(&more, finding->more);
    if (finding->doubt.n > 0) {
        buf_add(&more, finding->more.n > 0 ? STR("; the meter first: ") : STR("the meter first: "));
        buf_add(&more, finding->doubt);
    }
    struct news_item *item = add_of_batch(
        news, alarm ? NEWS_ALARMS : NEWS_WARNINGS, alarm ? NEWS_COUNT_ALARM : NEWS_COUNT_WARNING,
        finding->tank.n > 0 ? finding->tank : finding->subject, finding->batch, buf_str(&text));
    item->more = buf_str(&more);
    item->first = anomaly_brief_first(finding);
    item->caution = alarm ? str_of(rule->caution) : STR("");
    news->found |= alarm;
}

static void add_findings(struct news *news, const struct occupancy *occupancy)
{
    struct history history = newest(news, &occupancy->history);
    bool *asked = arena_array(news->arena, occupancy->kept.n + 1, sizeof *asked);
    for (size_t i = 0; i < occupancy->kept.n; i++)
        asked[i] = true;
    const struct anomaly_book book = {
        .arena = news->arena,
        .cellar = news->cellar,
        .batches = (const struct batch *const *)occupancy->kept.items,
        .asked = asked,
        .batch_count = occupancy->kept.n,
        .history = &history,
        .plants = occupancy->plants.items,
        .plant_count = occupancy->plants.n,
        .plants_asked = !occupancy->is_part,
        .now = news->now,
        .since = news->now,
        .house_units = true,
    };
    struct anomaly_findings findings = anomaly_judge(&book);
    for (size_t i = 0; i < findings.n; i++) {
        const struct anomaly_finding *finding = &findings.items[i];
        if (!finding->ended && finding->seen == NULL && finding->level >= ANOMALY_WARN)
            add_finding(news, finding);
    }
}

/* Tanks. */

/* What a step is counted as; else other. */
static const enum news_count COUNT_OF[] = {
    [NEXT_VDK] = NEWS_COUNT_VDK,         [NEXT_CHILL] = NEWS_COUNT_CHILL,
    [NEXT_MOVE] = NEWS_COUNT_MOVE,       [NEXT_CARBONATE] = NEWS_COUNT_CARBONATE,
    [NEXT_PACKAGE] = NEWS_COUNT_PACKAGE,
};

static enum news_count count_of(const struct next *next)
{
    enum news_count count = COUNT_OF[next->kind];
    return count == NEWS_COUNT_NOTHING ? NEWS_COUNT_OTHER : count;
}

static bool is_finished(const struct finish *finish)
{
    return finish->verdict == FINISH_FINISHED || finish->verdict == FINISH_UNCONFIRMED;
}

/* The same beer in the same tank at an earlier moment; NULL when it was not there. */
static const struct batch_course *same_course(const struct occupancy *before,
                                              const struct batch_course *course)
{
    size_t tank = occupancy_find(before, course->stay->tank);
    const struct occupancy_tank *place = tank == SIZE_MAX ? NULL : &before->tanks.items[tank];
    struct str number = text_of(course->batch->number);
    if (place == NULL)
        return NULL;
    if (place->course != NULL && str_eq(text_of(place->course->batch->number), number))
        return place->course;
    if (place->other != NULL && str_eq(text_of(place->other->batch->number), number))
        return place->other;
    return NULL;
}

static bool just_finished(const struct news *news, const struct occupancy *before,
                          const struct batch_course *course, const struct finish *finish)
{
    const struct batch_course *then = is_finished(finish) ? same_course(before, course) : NULL;
    if (then == NULL)
        return false;
    struct finish verdict = outlook_finish(before, then, news->arena);
    return !is_finished(&verdict);
}

static void add_tank(struct news *news, const struct occupancy *occupancy,
                     const struct occupancy *before, const struct batch_course *course)
{
    enum { DAYS_AHEAD = 7 };
    struct outlook outlook = outlook_of(occupancy, course, news->arena);
    const struct finish *finish = &outlook.finish;
    const struct civil_zone *zone = news->cellar->zone;
    struct str step = str_of(outlook.next.step), tank = course->stay->tank;
    news->found |= FINISH_VERDICT[finish->verdict].is_found;
    if (step.n > 0 && outlook.next.kind != NEXT_READ)
        add_of_batch(news, NEWS_TO_DO, count_of(&outlook.next), tank, course->batch, step)
            ->caution = str_of(outlook.next.caution);
    if (just_finished(news, before, course, finish)) {
        struct buf text = buf_new(news->arena);
        buf_printf(&text, "%s, %s", FINISH_VERDICT[finish->verdict].name, finish->reason);
        add_of_batch(news, NEWS_FINISHED, NEWS_COUNT_FINISHED, tank, course->batch, buf_str(&text));
    }
    if (outlook.forecast.source != FORECAST_NONE &&
        civil_day(zone, outlook.forecast.finish_at) <= civil_day(zone, news->now) + DAYS_AHEAD)
        add_of_batch(news, NEWS_WEEK, NEWS_COUNT_NOTHING, tank, course->batch, STR(""))->at =
            outlook.forecast.finish_at;
}

static void add_tanks(struct news *news, const struct occupancy *occupancy)
{
    const struct occupancy *before = occupancy_at(occupancy, news->now - CIVIL_DAY);
    for (size_t i = 0; i < occupancy->tanks.n; i++) {
        const struct occupancy_tank *place = &occupancy->tanks.items[i];
        if (place->course == NULL)
            continue;
        add_tank(news, occupancy, before, place->course);
        if (place->other == NULL)
            continue;
        add_tank(news, occupancy, before, place->other);
        struct buf text = buf_new(news->arena);
        buf_printf(&text, "the book has two batches in it: ");
        buf_add(&text, text_of(place->other->batch->number));
        buf_add(&text, STR(" and "));
        buf_add(&text, text_of(place->course->batch->number));
        add(news, NEWS_BOOK, NEWS_COUNT_MISTAKE, place->name, buf_str(&text));
    }
    for (size_t i = 0; i < occupancy->lost.n; i++) {
        struct buf place = buf_new(news->arena);
        buf_add(&place, STR("batch "));
        buf_add(&place, text_of(occupancy->lost.items[i]->number));
        add(news, NEWS_BOOK, NEWS_COUNT_MISTAKE, buf_str(&place),
            STR("in no tank, its file has no tanks:"));
    }
    for (size_t i = 0; i < occupancy->strays.n; i++)
        add_tank(news, occupancy, before, &occupancy->strays.items[i]);
}

/* Plans. */

static void add_plan(struct news *news, const struct board_plan *plan)
{
    char day[CIVIL_SHORT_SIZE];
    struct buf text = buf_new(news->arena);
    buf_add(&text, plan->batch.n > 0 ? plan->batch : plan->beer);
    buf_add(&text, STR(" wants it"));
    if (plan->has_at)
        buf_printf(&text, " on %s", civil_short_date(civil_day(news->cellar->zone, plan->at), day));
    buf_printf(&text, "; %s", plan->words);
    add(news, NEWS_PLANS, plan->clash == BOARD_TIGHT ? NEWS_COUNT_NOTHING : NEWS_COUNT_CLASH,
        plan->tank.n > 0 ? plan->tank : STR("?"), buf_str(&text));
}

static void add_plans(struct news *news, const struct occupancy *occupancy)
{
    const struct board *board = board_make(news->arena, occupancy);
    for (size_t i = 0; i < board->plans.n; i++)
        if (board->plans.items[i].clash != BOARD_FITS)
            add_plan(news, &board->plans.items[i]);
    news->found |= board->clashes > 0;
}

/* The round. */

static void tell_missed(void *context, struct str name, const struct batch *batch,
                        struct str missing)
{
    struct news *news = context;
    add_of_batch(news, NEWS_MISSED, NEWS_COUNT_NOT_READ, name, batch,
                 str_copy(news->arena, missing));
}

static void add_missed(struct news *news, const struct occupancy *occupancy)
{
    static const struct sheet_wish usual;
    struct sheet_missed missed = sheet_missed_make(news->arena, occupancy, &usual);
    sheet_missed_each(&missed, tell_missed, news);
}

/* The book. */

/* A plant log, or a file of beer that was there since yesterday. */
static bool is_of_today(const struct book_file *file, int64_t now)
{
    for (size_t i = 0; i < file->batches.n; i++)
        if (shelf_end_of(file->batches.items[i]) >= now - CIVIL_DAY)
            return true;
    return file->batches.n == 0;
}

static void add_mistakes(struct news *news, const struct book *book,
                         const struct occupancy *occupancy, struct diags *diags)
{
    struct check check;
    struct book telling = *book;
    telling.diags = diags;
    check_begin(&check, book->cellar, diags, news->arena, news->now);
    check_cellar(&check, book->cellar);
    for (size_t i = 0; i < occupancy->files.n; i++)
        if (is_of_today(occupancy->files.items[i], news->now))
            check_file(&check, &telling, news->arena,
                       occupancy_fresh_file(occupancy, occupancy->files.items[i]));
    diag_sort(diags);
    struct str last = STR("");
    for (size_t i = 0; i < diags->n; i++) {
        const struct diag *diag = &diags->items[i];
        struct buf text = buf_new(news->arena);
        buf_printf(&text, "%s: %s [%s]", diag_level_name(diag->level), diag->message,
                   RULES[diag->rule].name);
        struct buf place = buf_new(news->arena);
        str_escape(&place, diag->file, 0);
        if (diag->line > 0)
            buf_printf(&place, ":%u:%u", (unsigned)diag->line, (unsigned)diag->column);
        struct buf whole = buf_new(news->arena);
        buf_printf(&whole, STR_FMT ": " STR_FMT, STR_ARG(buf_str(&place)), STR_ARG(buf_str(&text)));
        if (diag->level < DIAG_WARNING || str_eq(last, buf_str(&whole)))
            continue;
        last = buf_str(&whole);
        add(news, NEWS_BOOK, NEWS_COUNT_MISTAKE, buf_str(&place), buf_str(&text));
    }
    news->found |= diags->errors > 0;
}

int64_t news_since(const struct cellar *cellar, int64_t now)
{
    int64_t lately = now - SHELF_DAYS * CIVIL_DAY, missed = sheet_missed_since(cellar, now);
    return lately < missed ? lately : missed;
}

struct news *news_make(struct arena *arena, const struct book *book,
                       const struct occupancy *occupancy, struct diags *diags)
{
    struct news *news = arena_alloc(arena, sizeof *news);
    news->arena = arena;
    news->cellar = occupancy->cellar;
    news->now = occupancy->now;
    news->end = &news->first;
    add_meters(news, occupancy);
    add_findings(news, occupancy);
    add_tanks(news, occupancy);
    add_plans(news, occupancy);
    add_missed(news, occupancy);
    add_mistakes(news, book, occupancy, diags);
    return news;
}
