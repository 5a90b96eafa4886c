#include "ledger.h"

#include "civil.h"
#include "order.h"
#include "volumes.h"

#include <math.h>
#include <stdlib.h>

const char *const LEDGER_STEP[LEDGER_STEPS] = {
    [LEDGER_OPENING] = "opening",
    [LEDGER_BREWED] = "brewed",
    [LEDGER_MOVED] = "moved",
    [LEDGER_RECEIVED] = "received",
    [LEDGER_GIVEN] = "given",
    [LEDGER_PACKAGED] = "packaged",
    [LEDGER_DUMPED] = "dumped",
    [LEDGER_DISCARDED] = "discarded",
    [LEDGER_LOST_MOVING] = "lost moving",
    [LEDGER_LOST_PACKAGING] = "lost packaging",
    [LEDGER_LOST] = "lost",
    [LEDGER_CLOSING] = "closing",
};

/* More out than in by less than this share of what went in is the meters' doubt. */
static const double doubt = 0.005;

/* What happens to a batch's volume, in the order in which things of one moment are done. */
enum action_kind { ACTION_IN, ACTION_OUT, ACTION_MOVE, ACTION_END };

struct action {
    int64_t at;
    enum action_kind kind;
    enum ledger_step step;
    size_t stay;  /* SIZE_MAX: in no tank */
    size_t from;  /* of a move: the stay that it came from */
    double hl;    /* NAN: all that is there */
    size_t order; /* as added */
    const struct batch_event *event;
};

/* A ledger while it is written. */
struct writing {
    struct ledger ledger;
    struct arena *arena;
    struct diags *diags;
    const struct batch *batch;
    struct action *actions;
    size_t n, capacity;
    double *level;               /* of each stay */
    enum ledger_step *last_step; /* of each stay: what its end would be called */
    double all_in;
    int64_t now;
};

static struct str stay_tank(const struct writing *w, size_t stay)
{
    return stay == SIZE_MAX ? STR("") : w->batch->stays.items[stay].tank;
}

static void add(struct writing *w, struct action action)
{
    if (w->n == w->capacity)
        w->actions = arena_grow(w->arena, w->actions, &w->capacity, sizeof *w->actions);
    action.order = w->n;
    w->actions[w->n++] = action;
}

static int compare(const void *left, const void *right)
{
    const struct action *a = left, *b = right;
    int by_time = order_then(order_of(a->at, b->at), order_of(a->kind, b->kind));
    return order_then(by_time, order_of((int64_t)a->order, (int64_t)b->order));
}

/* The stay in a tank ("": any) at a moment, its last moment counted in; SIZE_MAX: none. The one
 * that still goes on is taken before one that ends. */
static size_t stay_at(const struct batch *batch, struct str tank, int64_t at)
{
    size_t found = SIZE_MAX;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        if (at < stay->from || at > stay->to || (tank.n > 0 && !str_eq(tank, stay->tank)))
            continue;
        bool better = found == SIZE_MAX || batch->stays.items[found].to == at;
        if (better && !(found != SIZE_MAX && stay->from == at))
            found = i;
    }
    return found;
}

/* Where wort or beer that comes in goes: the stay of that moment, else the first one. */
static size_t filled_stay(const struct batch *batch, int64_t at)
{
    size_t stay = stay_at(batch, STR(""), at);
    return stay == SIZE_MAX && batch->stays.n > 0 ? 0 : stay;
}

static int64_t begin_of(const struct batch *batch)
{
    if (batch->brewed.set)
        return batch->brewed.at;
    return batch->stays.n > 0 ? batch->stays.items[0].from : batch->has_zero ? batch->zero : 0;
}

static void add_in(struct writing *w, int64_t at, enum ledger_step step,
                   const struct figure *volume)
{
    if (figure_is_exact(volume))
        add(w, (struct action){.at = at,
                               .kind = ACTION_IN,
                               .step = step,
                               .stay = filled_stay(w->batch, at),
                               .hl = volume->value});
}

static bool brews_have_volumes(const struct batch *batch)
{
    for (size_t i = 0; i < batch->brews.n; i++)
        if (!figure_is_exact(&batch->brews.items[i].volume) || !batch->brews.items[i].at.set)
            return false;
    return batch->brews.n > 0;
}

/* Wort, parts of a blend, krausen. */
static void add_fillings(struct writing *w)
{
    const struct batch *batch = w->batch;
    int64_t begin = begin_of(batch);
    for (size_t i = 0; i < batch->of.n; i++)
        add_in(w, begin, LEDGER_RECEIVED, &batch->of.items[i].volume);
    if (brews_have_volumes(batch)) {
        for (size_t i = 0; i < batch->brews.n; i++)
            if (batch->brews.items[i].at.at <= w->now)
                add_in(w, batch->brews.items[i].at.at, LEDGER_BREWED,
                       &batch->brews.items[i].volume);
    } else if (batch->of.n == 0) {
        add_in(w, begin, LEDGER_BREWED, &batch->volume);
    }
    w->ledger.is_known = w->n > 0;
    for (size_t i = 0; i < batch->happened.n; i++)
        if (batch->happened.items[i]->what == EVENT_KRAUSEN)
            add_in(w, batch->happened.items[i]->at.at, LEDGER_RECEIVED,
                   &batch->happened.items[i]->volume);
}

static void add_events(struct writing *w)
{
    static const struct {
        int what;
        enum ledger_step step;
        bool all; /* without a volume it is all that is there */
    } outs[] = {{EVENT_PACKAGE, LEDGER_PACKAGED, false},
                {EVENT_DUMP, LEDGER_DUMPED, false},
                {EVENT_SAMPLE, LEDGER_DUMPED, false},
                {EVENT_DISCARD, LEDGER_DISCARDED, true}};
    for (size_t i = 0; i < w->batch->happened.n; i++) {
        const struct batch_event *event = w->batch->happened.items[i];
        for (size_t k = 0; k < sizeof outs / sizeof outs[0]; k++) {
            bool has_volume = figure_is_exact(&event->volume);
            if (event->what != outs[k].what || !(has_volume || outs[k].all))
                continue;
            struct str tank = event->tank == NULL ? STR("") : event->tank->text;
            add(w, (struct action){.at = event->at.at,
                                   .kind = ACTION_OUT,
                                   .step = outs[k].step,
                                   .stay = stay_at(w->batch, tank, event->at.at),
                                   .hl = has_volume ? event->volume.value : NAN,
                                   .event = event});
        }
    }
}

static void add_draws(struct writing *w, const struct ledger_draws *draws)
{
    for (size_t i = 0; i < draws->n; i++) {
        const struct ledger_draw *draw = &draws->items[i];
        if (w->batch->number != NULL && str_eq(draw->from, w->batch->number->text) &&
            draw->at <= w->now)
            add(w, (struct action){.at = draw->at,
                                   .kind = ACTION_OUT,
                                   .step = LEDGER_GIVEN,
                                   .stay = stay_at(w->batch, STR(""), draw->at),
                                   .hl = draw->hl});
    }
}

/* The event that tells of a move into the stay, or NULL. */
static const struct batch_event *move_event(const struct batch *batch,
                                            const struct batch_stay *stay)
{
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->what == EVENT_MOVE && event->to != NULL && str_eq(event->to->text, stay->tank) &&
            llabs(event->at.at - stay->from) < CIVIL_DAY)
            return event;
    }
    return NULL;
}

/* The stay that a later one's beer came from: in the tank that the event names, else the last one
 * that ended about then or goes on; a part beside it only where there is no other. */
static size_t source_of(const struct batch *batch, size_t index, const struct batch_event *event)
{
    const struct batch_stay *stay = &batch->stays.items[index];
    size_t found = SIZE_MAX, beside = SIZE_MAX;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *other = &batch->stays.items[i];
        if (i == index || other->from >= stay->from || other->to < stay->from - CIVIL_DAY)
            continue;
        if (event != NULL && event->tank != NULL && !str_eq(event->tank->text, other->tank))
            continue;
        if (other->to > stay->from && batch_are_parts(batch, stay->entry, other->entry))
            beside = i;
        else
            found = i;
    }
    return found == SIZE_MAX ? beside : found;
}

static void add_moves(struct writing *w)
{
    const struct batch *batch = w->batch;
    int64_t *end = arena_array(w->arena, batch->stays.n + 1, sizeof *end);
    for (size_t i = 0; i < batch->stays.n; i++)
        end[i] = batch->stays.items[i].to;
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        const struct batch_event *event = move_event(batch, stay);
        size_t from = source_of(batch, i, event);
        if (from == SIZE_MAX || stay->from > w->now)
            continue;
        double hl = figure_is_exact(&stay->entry->volume)              ? stay->entry->volume.value
                    : event != NULL && figure_is_exact(&event->volume) ? event->volume.value
                                                                       : NAN;
        add(w, (struct action){
                   .at = stay->from, .kind = ACTION_MOVE, .stay = i, .from = from, .hl = hl});
        if (end[from] < stay->from)
            end[from] = stay->from;
    }
    for (size_t i = 0; i < batch->stays.n; i++)
        if (end[i] <= w->now)
            add(w, (struct action){.at = end[i], .kind = ACTION_END, .stay = i});
}

static void post(struct writing *w, const struct action *action, enum ledger_step step, double hl)
{
    struct ledger *ledger = &w->ledger;
    if (ledger->n == ledger->capacity)
        ledger->items =
            arena_grow(w->arena, ledger->items, &ledger->capacity, sizeof *ledger->items);
    ledger->items[ledger->n++] =
        (struct ledger_posting){action->at, step, stay_tank(w, action->stay), hl,
                                step == LEDGER_PACKAGED ? action->event : NULL};
}

static double *level_of(struct writing *w, size_t stay)
{
    return &w->level[stay == SIZE_MAX ? w->batch->stays.n : stay];
}

static void come_in(struct writing *w, const struct action *action)
{
    *level_of(w, action->stay) += action->hl;
    w->all_in += action->hl;
    post(w, action, action->step, action->hl);
}

static void go_out(struct writing *w, const struct action *action)
{
    double *level = level_of(w, action->stay), hl = isnan(action->hl) ? *level : action->hl;
    *level -= hl;
    post(w, action, action->step, -hl);
    if (action->stay != SIZE_MAX)
        w->last_step[action->stay] =
            action->step == LEDGER_PACKAGED ? LEDGER_LOST_PACKAGING : LEDGER_LOST;
}

/* Between tanks nothing is won or lost; what stays behind is told when the first one ends. */
static void move(struct writing *w, const struct action *action)
{
    double hl = isnan(action->hl) ? w->level[action->from] : action->hl;
    struct action out = *action;
    out.stay = action->from;
    w->level[action->from] -= hl;
    w->level[action->stay] += hl;
    post(w, &out, LEDGER_MOVED, -hl);
    post(w, action, LEDGER_MOVED, hl);
    w->last_step[action->from] = LEDGER_LOST_MOVING;
}

static void report(struct writing *w, const char *what, struct str tank, double hl)
{
    const struct doc_node *node = w->batch->number != NULL ? w->batch->number : w->batch->node;
    if (tank.p == NULL)
        diag_add(w->diags, doc_place(w->batch->source, node), RULE_ADDS_UP, "%s", what);
    else
        diag_add(w->diags, doc_place(w->batch->source, node), RULE_ADDS_UP,
                 "%.1f hL more came out of %s than %s: check the volumes", hl,
                 str_shown(w->diags->arena, tank), what);
}

static void end(struct writing *w, const struct action *action)
{
    double left = w->level[action->stay];
    if (!w->ledger.is_known || fabs(left) < 1e-9)
        return;
    if (left < -doubt * w->all_in)
        report(w, "went in", stay_tank(w, action->stay), -left);
    w->level[action->stay] = 0;
    post(w, action, w->last_step[action->stay], -left);
}

static void perform(struct writing *w)
{
    static void (*const how[])(struct writing *, const struct action *) = {
        [ACTION_IN] = come_in, [ACTION_OUT] = go_out, [ACTION_MOVE] = move, [ACTION_END] = end};
    order_sort(w->actions, w->n, sizeof *w->actions, compare);
    for (size_t i = 0; i < w->n; i++)
        if (w->actions[i].at <= w->now)
            how[w->actions[i].kind](w, &w->actions[i]);
    for (size_t i = 0; i < w->batch->stays.n; i++)
        if (w->ledger.is_known && w->level[i] < -doubt * w->all_in)
            report(w, "went in", w->batch->stays.items[i].tank, -w->level[i]);
}

struct ledger ledger_of(const struct batch *batch, const struct ledger_draws *draws,
                        struct arena *arena, struct diags *diags, int64_t now)
{
    struct writing w = {.arena = arena, .diags = diags, .batch = batch, .now = now};
    size_t levels = batch->stays.n + 1;
    w.ledger.batch = batch;
    w.level = arena_array(arena, levels, sizeof *w.level);
    w.last_step = arena_array(arena, levels, sizeof *w.last_step);
    for (size_t i = 0; i < levels; i++)
        w.last_step[i] = LEDGER_LOST;
    add_fillings(&w);
    add_events(&w);
    add_draws(&w, draws);
    add_moves(&w);
    perform(&w);
    if (!w.ledger.is_known && w.n > 0)
        report(&w, "no volume into the fermenter is written, so nothing adds up",
               (struct str){NULL, 0}, 0);
    w.ledger.plato = figure_is_exact(&batch->used_original) ? batch->used_original.value : NAN;
    w.ledger.kg_in = volumes_extract_kg(w.all_in, w.ledger.plato);
    return w.ledger;
}

void ledger_add_draws(struct ledger_draws *draws, struct arena *arena, const struct batch *batch)
{
    struct ledger_draw draw = {.by = str_copy(arena, text_of(batch->number))};
    for (size_t i = 0; i < batch->of.n + batch->happened.n; i++) {
        const struct figure *volume;
        const struct doc_node *from;
        if (i < batch->of.n) {
            from = batch->of.items[i].batch;
            volume = &batch->of.items[i].volume;
            draw.at = begin_of(batch);
        } else {
            const struct batch_event *event = batch->happened.items[i - batch->of.n];
            from = event->what == EVENT_KRAUSEN ? event->batch : NULL;
            volume = &event->volume;
            draw.at = event->at.at;
        }
        if (from == NULL || !figure_is_exact(volume))
            continue;
        if (draws->n == draws->capacity)
            draws->items = arena_grow(arena, draws->items, &draws->capacity, sizeof *draws->items);
        draw.from = str_copy(arena, from->text);
        draw.hl = volume->value;
        draws->items[draws->n++] = draw;
    }
}

double ledger_sum(const struct ledger *ledger, enum ledger_step step, int64_t from, int64_t to)
{
    double sum = 0;
    if (!ledger->is_known && (step == LEDGER_OPENING || step == LEDGER_CLOSING))
        return 0;
    for (size_t i = 0; i < ledger->n; i++) {
        const struct ledger_posting *it = &ledger->items[i];
        if (step == LEDGER_OPENING   ? it->at < from
            : step == LEDGER_CLOSING ? it->at < to
                                     : it->step == step && it->at >= from && it->at < to)
            sum += it->hl;
    }
    return step == LEDGER_CLOSING ? -sum : sum;
}

double ledger_stock(const struct ledger *ledger, struct str tank, int64_t before)
{
    double sum = 0;
    if (!ledger->is_known)
        return 0;
    for (size_t i = 0; i < ledger->n; i++)
        if (ledger->items[i].at < before && str_eq(ledger->items[i].tank, tank))
            sum += ledger->items[i].hl;
    return sum;
}

double ledger_yield_percent(const struct ledger *ledger)
{
    if (!ledger->is_known || !ledger->batch->ended)
        return NAN;
    double packaged = -ledger_sum(ledger, LEDGER_PACKAGED, INT64_MIN, INT64_MAX);
    if (!(packaged > 0))
        return NAN;
    return 100 * volumes_extract_kg(packaged, ledger->plato) / ledger->kg_in;
}
