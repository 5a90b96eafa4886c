/* Counters of the round that run backwards within one log. The first reading of a month is not held
 * against the log before: each file is checked by itself. */
#include "check_rules.h"
#include "order.h"

/* By counter, then by time; of one minute as they stand. */
static int compare(const void *left, const void *right)
{
    const struct plant_reading *a = *(const struct plant_reading *const *)left;
    const struct plant_reading *b = *(const struct plant_reading *const *)right;
    int order = order_then(order_of(a->at.at, b->at.at), order_of(a->node->start, b->node->start));
    return order_then(str_cmp(a->check->text, b->check->text), order);
}

static bool is_of_counter(const struct check *check, const struct plant_reading *reading)
{
    const struct cellar_check *found =
        reading->check == NULL ? NULL : cellar_check(check->cellar, reading->check->text);
    return found != NULL && found->counter.yes && reading->at.set &&
           figure_is_exact(&reading->value);
}

static bool is_below(const struct plant_reading *a, const struct plant_reading *b)
{
    return a->value.value < b->value.value && figure_steps_between(&a->value, &b->value, 0) < 0;
}

static bool is_next(const struct plant_reading *a, const struct plant_reading *b)
{
    return str_eq(a->check->text, b->check->text) && !b->reset.yes;
}

static void report(const struct check *check, const struct plant *plant,
                   const struct plant_reading *wrong, const char *stands,
                   const struct plant_reading *other)
{
    struct arena *arena = check->diags->arena;
    diag_add(check->diags, doc_place(plant->source, wrong->value_node), RULE_COUNTER,
             "%s \"%s\" %s \"%s\", and a counter only counts up: check the digits, or write reset: "
             "yes where it was changed or set to zero",
             str_shown(arena, wrong->check->text), str_shown(arena, wrong->value_node->text),
             stands, str_shown(arena, other->value_node->text));
}

/* `here` is below the one before it. Where it is not below the one before that, the one between is
 * the odd one. */
static void tell(const struct check *check, const struct plant *plant,
                 const struct plant_reading *const *here, bool has_two_before)
{
    bool between = has_two_before && is_next(here[-2], here[-1]) && !is_below(here[0], here[-2]);
    if (between)
        report(check, plant, here[-1], "stands before", here[0]);
    else
        report(check, plant, here[0], "follows", here[-1]);
}

void check_counters(const struct check *check, const struct plant *plant)
{
    const struct plant_reading **sorted =
        arena_array(check->scratch, plant->readings.n + 1, sizeof *sorted);
    size_t n = 0;
    for (size_t i = 0; i < plant->readings.n; i++)
        if (is_of_counter(check, &plant->readings.items[i]))
            sorted[n++] = &plant->readings.items[i];
    order_sort(sorted, n, sizeof *sorted, compare);
    for (size_t i = 1; i < n; i++)
        if (is_next(sorted[i - 1], sorted[i]) && is_below(sorted[i], sorted[i - 1]))
            tell(check, plant, &sorted[i], i >= 2);
}
