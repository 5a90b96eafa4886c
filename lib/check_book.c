#include "check.h"
#include "civil.h"
#include "order.h"

#include <math.h>
#include <string.h>

/* Volumes are read off a sight glass: part of them by which they may differ. */
static const double VOLUME_TOLERANCE = 0.02;

static int compare_places(const struct check_place *a, const struct check_place *b)
{
    int order = order_then(order_of(a->line, b->line), order_of(a->column, b->column));
    return order_then(str_cmp(*a->file, *b->file), order);
}

static int compare_numbers(const void *left, const void *right)
{
    const struct check_batch *a = *(const struct check_batch *const *)left;
    const struct check_batch *b = *(const struct check_batch *const *)right;
    return order_then(str_cmp(a->number, b->number), compare_places(&a->place, &b->place));
}

/* The batches that count, by number. */
struct numbers {
    struct check_batch **items;
    size_t n;
};

static void report(const struct check *check, const struct check_place *at, enum rule rule,
                   const char *message)
{
    struct source source = {*at->file, {"", 0}};
    diag_add(check->diags, (struct place){&source, at->line, at->column}, rule, "%s", message);
}

/* "batches/2026/0417.yaml:9", escaped. */
static const char *shown_place(const struct check *check, const struct check_place *place)
{
    struct buf buf = buf_new(check->diags->arena);
    str_escape(&buf, *place->file, 0);
    buf_printf(&buf, ":%u", (unsigned)place->line);
    return buf.p;
}

static const char *shown(const struct check *check, struct str text)
{
    return str_shown(check->diags->arena, text);
}

static struct numbers sort_numbers(const struct check *check)
{
    size_t n = check->batches.n, filled = 0;
    struct numbers sorted = {arena_array(check->arena, n, sizeof *sorted.items), 0};
    struct check_batch *batch;
    for (struct chain_walk walk = chain_begin(&check->batches);
         (batch = chain_next(&walk, sizeof *batch)) != NULL;)
        sorted.items[filled++] = batch;
    order_sort(sorted.items, n, sizeof *sorted.items, compare_numbers);
    for (size_t i = 0, k; i < n; i = k) {
        bool replaced = false;
        struct str number = sorted.items[i]->number;
        for (k = i; k < n && str_eq(sorted.items[k]->number, number); k++)
            replaced = replaced || sorted.items[k]->replaces;
        for (size_t m = i; m < k; m++) {
            batch = sorted.items[m];
            batch->gone = replaced && !batch->reported;
            if (!batch->gone)
                sorted.items[sorted.n++] = batch;
        }
    }
    return sorted;
}

static void check_numbers(const struct check *check, const struct numbers *sorted)
{
    const struct check_batch *first = NULL;
    for (size_t i = 0; i < sorted->n; i++) {
        const struct check_batch *batch = sorted->items[i];
        if (first == NULL || !str_eq(first->number, batch->number)) {
            first = batch;
            continue;
        }
        const struct check_batch *here = batch->reported ? batch : first;
        const struct check_batch *there = batch->reported ? first : batch;
        if (!here->reported)
            continue;
        struct buf text = buf_new(check->diags->arena);
        buf_printf(&text, "batch %s stands also in %s: give one of them another number",
                   shown(check, batch->number), shown_place(check, &there->place));
        report(check, &here->place, RULE_NUMBER_TWICE, text.p);
    }
}

static int compare_stays(const void *left, const void *right)
{
    const struct check_stay *a = *(const struct check_stay *const *)left;
    const struct check_stay *b = *(const struct check_stay *const *)right;
    int order = order_then(order_of(a->tank, b->tank), order_of(a->from, b->from));
    return order_then(order, compare_places(&a->place, &b->place));
}

/* `a` holds the tank when `b` comes into it. */
static void report_overlap(const struct check *check, const struct check_stay *a,
                           const struct check_stay *b)
{
    const struct check_batch *first = a->batch, *second = b->batch;
    char from[CIVIL_TEXT_SIZE], to[CIVIL_TEXT_SIZE];
    const char *tank = shown(check, name_of(check->cellar->tanks.items[b->tank].node));
    civil_minute(check->cellar->zone, b->from, from);
    civil_minute(check->cellar->zone, a->to, to);
    struct buf text = buf_new(check->diags->arena);
    const struct check_stay *here = second->reported ? b : a;
    if (a->batch == b->batch)
        buf_printf(&text, "%s holds this batch already from line %u: write one entry for both",
                   tank, (unsigned)a->place.line);
    else if (second->reported && a->to == BATCH_OPEN_END)
        buf_printf(&text,
                   "%s still holds batch %s (%s), which has no end there: end it with to: or an "
                   "event with empty: yes, or check this date",
                   tank, shown(check, first->number), shown_place(check, &a->place));
    else if (second->reported)
        buf_printf(&text, "%s holds batch %s until %s (%s): check both dates", tank,
                   shown(check, first->number), to, shown_place(check, &a->place));
    else if (first->reported)
        buf_printf(&text,
                   "batch %s comes into %s at %s (%s), while this one is still there: end it with "
                   "to: or an event with empty: yes, or check the dates",
                   shown(check, second->number), tank, from, shown_place(check, &b->place));
    else
        return;
    report(check, &here->place, RULE_OCCUPATION, text.p);
}

static void check_occupation(const struct check *check)
{
    const struct check_stay *holder = NULL, *stay;
    const struct check_stay **sorted = arena_array(check->arena, check->stays.n, sizeof *sorted);
    size_t n = 0;
    for (struct chain_walk walk = chain_begin(&check->stays);
         (stay = chain_next(&walk, sizeof *stay)) != NULL;)
        if (!stay->batch->gone)
            sorted[n++] = stay;
    order_sort(sorted, n, sizeof *sorted, compare_stays);
    for (size_t i = 0; i < n; i++) {
        stay = sorted[i];
        if (holder != NULL && holder->tank == stay->tank && stay->from < holder->to)
            report_overlap(check, holder, stay);
        if (holder == NULL || holder->tank != stay->tank || stay->to > holder->to)
            holder = stay;
    }
}

static const struct check_batch *find_number(const struct numbers *sorted, struct str number)
{
    size_t low = 0, high = sorted->n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = str_cmp(sorted->items[middle]->number, number);
        if (order == 0)
            return sorted->items[middle];
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

static void report_unknown(const struct check *check, const struct check_use *use)
{
    struct buf text = buf_new(check->diags->arena);
    buf_printf(&text, "the book has no batch \"%s\": check the number", shown(check, use->number));
    report(check, &use->place, RULE_REFERENCE, text.p);
}

static int compare_uses(const void *left, const void *right)
{
    const struct check_use *a = *(const struct check_use *const *)left;
    const struct check_use *b = *(const struct check_use *const *)right;
    return order_then(str_cmp(a->number, b->number), compare_places(&a->place, &b->place));
}

/* All that was taken of one batch, uses[0..n), must have been there. */
static void check_taken(const struct check *check, const struct check_batch *source,
                        const struct check_use *const *uses, size_t n)
{
    double sum = 0;
    const struct check_place *place = source != NULL && source->reported ? &source->place : NULL;
    for (size_t i = 0; i < n; i++) {
        const struct check_use *use = uses[i];
        if (use->batch->gone || isnan(use->volume_hl))
            continue;
        sum += use->volume_hl;
        if (use->batch->reported)
            place = &use->place;
    }
    if (source == NULL || place == NULL || !(sum > source->volume_hl * (1 + VOLUME_TOLERANCE)))
        return;
    struct buf text = buf_new(check->diags->arena);
    const struct quantity_unit *unit = check->cellar->house[QUANTITY_VOLUME];
    quantity_write(&text, QUANTITY_VOLUME, sum, unit, -1);
    buf_printf(&text, " in all was taken of batch %s, which had ", shown(check, source->number));
    quantity_write(&text, QUANTITY_VOLUME, source->volume_hl, unit, -1);
    buf_printf(&text, " (%s): check the volumes", shown_place(check, &source->place));
    report(check, place, RULE_ADDS_UP, text.p);
}

static bool is_removed(const struct check *check, struct str number)
{
    for (size_t i = 0; i < check->removed.n; i++)
        if (str_eq(check->removed.items[i], number))
            return true;
    return false;
}

static void check_uses(const struct check *check, const struct numbers *sorted)
{
    const struct check_use **uses = arena_array(check->arena, check->uses.n, sizeof *uses);
    const struct check_use *use;
    size_t n = 0;
    for (struct chain_walk walk = chain_begin(&check->uses);
         (use = chain_next(&walk, sizeof *use)) != NULL;)
        uses[n++] = use;
    order_sort(uses, n, sizeof *uses, compare_uses);
    for (size_t i = 0, k; i < n; i = k) {
        struct str number = uses[i]->number;
        const struct check_batch *source = find_number(sorted, number);
        for (k = i; k < n && str_eq(uses[k]->number, number); k++) {
            use = uses[k];
            bool reported = use->batch->reported || is_removed(check, number);
            if (source == NULL && reported && !use->batch->gone)
                report_unknown(check, use);
        }
        check_taken(check, source, uses + i, k - i);
    }
}

void check_end(struct check *check)
{
    struct numbers sorted = sort_numbers(check);
    check_numbers(check, &sorted);
    check_occupation(check);
    check_uses(check, &sorted);
}
