#include "board.h"

#include "due.h"
#include "order.h"
#include "robust.h"

#include <math.h>
#include <stdarg.h>

static const char *said(struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static const char *said(struct arena *arena, const char *format, ...)
{
    char words[512];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    return str_copy(arena, str_of(words)).p;
}

/* Rows. */

static const char *state_of(const struct board_row *row, int64_t now)
{
    if (row->course == NULL && row->place->cleaned != 0)
        return row->place->cleaned >= row->place->emptied ? "empty, clean" : "empty, dirty";
    if (row->course == NULL)
        return "empty";
    int kind = row->place->tank == NULL ? TANK_UNKNOWN : row->place->tank->kind;
    const struct finish *finish = &row->outlook.finish;
    switch (due_phase_of(finish, kind, now)) {
    case DUE_COLD:
        return "cold";
    case DUE_BRIGHT:
        return "bright";
    default:
        return FINISH_VERDICT[finish->verdict].name;
    }
}

static const struct figure *last_figure(const struct batch_course *course, int reads, int64_t now)
{
    const struct reading *reading = due_last_reading(course, reads, now);
    return reading == NULL ? NULL : &reading->figure[reads];
}

static void fill_row(struct board *board, struct board_row *row)
{
    const struct occupancy *occupancy = board->occupancy;
    const struct civil_zone *zone = occupancy->cellar->zone;
    const struct batch_course *course = row->course;
    const struct batch *batch = course->batch;
    row->outlook = outlook_of(occupancy, course, board->arena);
    row->has_day = batch->has_zero;
    row->day = civil_day(zone, occupancy->now) - civil_day(zone, batch->zero);
    const struct figure volume = occupancy_volume(occupancy, course);
    const struct cellar_tank *tank = row->place->tank;
    if (tank != NULL && figure_is_exact(&volume) && figure_is_exact(&tank->capacity))
        row->fill_percent = 100 * volume.value / tank->capacity.value;
    row->temp = last_figure(course, READS_TEMP, occupancy->now);
    row->pressure = last_figure(course, READS_PRESSURE, occupancy->now);
}

static void add_rows(struct board *board)
{
    const struct occupancy *occupancy = board->occupancy;
    board->rows.items = arena_array(board->arena, occupancy->tanks.n, sizeof *board->rows.items);
    for (size_t i = 0; i < occupancy->tanks.n; i++) {
        const struct occupancy_tank *place = &occupancy->tanks.items[i];
        if (place->course == NULL && occupancy->is_part)
            continue;
        struct board_row *row = &board->rows.items[board->rows.n++];
        row->place = place;
        row->course = place->course;
        row->fill_percent = NAN;
        if (row->course != NULL)
            fill_row(board, row);
        row->state = state_of(row, occupancy->now);
    }
}

static struct board_row *find_row(const struct board *board, struct str tank)
{
    for (size_t i = 0; i < board->rows.n; i++)
        if (str_eq(board->rows.items[i].place->name, tank))
            return &board->rows.items[i];
    return NULL;
}

/* Plans. */

static void add_plan(struct board *board, struct board_plan plan)
{
    if (board->occupancy->is_part && find_row(board, plan.tank) == NULL)
        return;
    plan.words = "";
    board->plans.items[board->plans.n++] = plan;
}

static bool has_file(const struct occupancy *occupancy, struct str number)
{
    for (size_t i = 0; i < occupancy->planned.n; i++)
        if (str_eq(text_of(occupancy->planned.items[i]->number), number))
            return true;
    for (size_t i = 0; i < occupancy->standing.n; i++)
        if (str_eq(text_of(occupancy->standing.items[i]->number), number))
            return true;
    return false;
}

/* Batch files with their day to come, beer that is to move on, and the cellar's own list, which
 * gives way to a batch's file. */
static void collect_plans(struct board *board)
{
    const struct occupancy *occupancy = board->occupancy;
    const struct cellar *cellar = occupancy->cellar;
    size_t most = cellar->planned.n + occupancy->planned.n;
    for (size_t i = 0; i < occupancy->standing.n; i++)
        most += occupancy->standing.items[i]->stays.n;
    board->plans.items = arena_array(board->arena, most, sizeof *board->plans.items);
    for (size_t i = 0; i < occupancy->planned.n; i++) {
        const struct batch *batch = occupancy->planned.items[i];
        bool has_stay = batch->stays.n > 0;
        add_plan(board, (struct board_plan){
                            .batch = text_of(batch->number),
                            .beer = text_of(batch->beer),
                            .tank = has_stay ? batch->stays.items[0].tank : STR(""),
                            .has_at = true,
                            .at = has_stay ? batch->stays.items[0].from : batch->brewed.at,
                            .volume = batch->volume,
                        });
    }
    for (size_t i = 0; i < occupancy->standing.n; i++) {
        const struct batch *batch = occupancy->standing.items[i];
        for (size_t k = 0; k < batch->stays.n && batch->later == 0; k++)
            if (batch->stays.items[k].from > occupancy->now)
                add_plan(board, (struct board_plan){
                                    .batch = text_of(batch->number),
                                    .beer = text_of(batch->beer),
                                    .tank = batch->stays.items[k].tank,
                                    .has_at = true,
                                    .at = batch->stays.items[k].from,
                                    .volume = batch->stays.items[k].entry->volume,
                                });
    }
    for (size_t i = 0; i < cellar->planned.n; i++) {
        const struct cellar_plan *plan = &cellar->planned.items[i];
        if (has_file(occupancy, text_of(plan->batch)) ||
            (plan->at.set && plan->at.at <= occupancy->now))
            continue;
        add_plan(board, (struct board_plan){
                            .batch = text_of(plan->batch),
                            .beer = text_of(plan->beer),
                            .tank = text_of(plan->tank),
                            .has_at = plan->at.set,
                            .at = plan->at.at,
                            .volume = plan->volume,
                        });
    }
}

static int compare_plans(const void *left, const void *right)
{
    const struct board_plan *a = left, *b = right;
    int order = order_then(order_of(b->has_at, a->has_at), order_of(a->at, b->at));
    order = order_then(order, str_cmp(a->batch, b->batch));
    return order_then(order, str_cmp(a->tank, b->tank));
}

static const char *day_of(struct board *board, int64_t at)
{
    char *text = arena_alloc(board->arena, CIVIL_SHORT_SIZE);
    return civil_short_date(civil_day(board->occupancy->cellar->zone, at), text);
}

static void judge_time(struct board *board, struct board_plan *plan, const struct board_row *row)
{
    const struct outlook *outlook = &row->outlook;
    const char *number = str_shown(board->arena, text_of(row->course->batch->number));
    if (outlook->is_held && outlook->free_early > plan->at) {
        plan->clash = BOARD_CLASH;
        plan->words = said(board->arena, "%s is in it, not free before %s", number,
                           day_of(board, outlook->free_early));
    } else if (outlook->free_source == OUTLOOK_UNKNOWN) {
        plan->clash = BOARD_UNKNOWN;
        plan->words = said(board->arena, "%s is in it, and nothing says until when: %s", number,
                           outlook->why_not);
    } else if (outlook->is_overdue) {
        plan->clash = BOARD_FITS;
    } else if (outlook->free_at > plan->at) {
        plan->clash = BOARD_CLASH;
        plan->words = said(board->arena, "%s is in it, free about %s (%s to %s)", number,
                           day_of(board, outlook->free_at), day_of(board, outlook->free_early),
                           day_of(board, outlook->free_late));
    } else if (outlook->free_late > plan->at) {
        plan->clash = BOARD_TIGHT;
        plan->words = said(board->arena, "%s is in it, free %s to %s", number,
                           day_of(board, outlook->free_early), day_of(board, outlook->free_late));
    }
}

/* How long a beer of this name is usually in a tank of this kind, in seconds; 0: not known. */
static int64_t usual_stay(const struct board *board, const struct board_plan *plan, int kind)
{
    const struct occupancy *occupancy = board->occupancy;
    double *hours = arena_array(board->arena, occupancy->stays.n + 1, sizeof *hours);
    double *work = arena_array(board->arena, occupancy->stays.n + 1, sizeof *work);
    size_t n = 0;
    for (size_t i = 0; i < occupancy->stays.n; i++)
        if (occupancy->stays.items[i].kind == kind &&
            str_eq(occupancy->stays.items[i].beer, plan->beer))
            hours[n++] = occupancy->stays.items[i].hours;
    return n < OUTLOOK_FEWEST_STAYS ? 0 : (int64_t)(robust_median(hours, n, work) * CIVIL_HOUR);
}

/* Another plan that has the tank less than a usual stay earlier. */
static void judge_plans_before(struct board *board, size_t index, const struct board_row *row)
{
    struct board_plan *plan = &board->plans.items[index];
    int kind = row->place->tank == NULL ? TANK_UNKNOWN : row->place->tank->kind;
    for (size_t i = 0; i < index; i++) {
        const struct board_plan *before = &board->plans.items[i];
        if (!str_eq(before->tank, plan->tank) || !before->has_at || !plan->has_at)
            continue;
        int64_t stay = usual_stay(board, before, kind);
        if (plan->at - before->at >= (stay > CIVIL_DAY ? stay : CIVIL_DAY))
            continue;
        plan->clash = BOARD_TWICE;
        plan->words =
            said(board->arena, "%s is to go there on %s",
                 str_shown(board->arena, before->batch.n > 0 ? before->batch : before->beer),
                 day_of(board, before->at));
    }
}

static void judge_plan(struct board *board, size_t index)
{
    struct board_plan *plan = &board->plans.items[index];
    struct board_row *row = find_row(board, plan->tank);
    if (plan->tank.n == 0) {
        plan->clash = BOARD_NO_TANK;
        plan->words = "no tank is named for it";
        return;
    }
    if (row == NULL) {
        plan->clash = BOARD_NO_TANK;
        plan->words = "the cellar file does not declare that tank";
        return;
    }
    if (row->wanted == NULL)
        row->wanted = plan;
    if (row->course != NULL && plan->has_at &&
        !str_eq(text_of(row->course->batch->number), plan->batch))
        judge_time(board, plan, row);
    if (plan->clash <= BOARD_TIGHT)
        judge_plans_before(board, index, row);
    const struct cellar_tank *tank = row->place->tank;
    if (plan->clash <= BOARD_TIGHT && tank != NULL && figure_is_exact(&plan->volume) &&
        figure_is_exact(&tank->capacity) && plan->volume.value > tank->capacity.value) {
        plan->clash = BOARD_TOO_MUCH;
        plan->words = "it is more than the tank holds";
    }
}

struct board *board_make(struct arena *arena, const struct occupancy *occupancy)
{
    struct board *board = arena_alloc(arena, sizeof *board);
    board->arena = arena;
    board->occupancy = occupancy;
    add_rows(board);
    collect_plans(board);
    order_sort(board->plans.items, board->plans.n, sizeof *board->plans.items, compare_plans);
    for (size_t i = 0; i < board->plans.n; i++) {
        judge_plan(board, i);
        board->clashes += board->plans.items[i].clash >= BOARD_CLASH;
    }
    return board;
}
