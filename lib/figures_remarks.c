/* What there is to say about a set of figures: refusals, notes, cautions. See figures.h. */
#include "acidity.h"
#include "alcohol.h"
#include "equations.h"
#include "figures.h"
#include "figures_follow.h"

#include <math.h>

static void say(struct figures_remarks *remarks, struct arena *arena,
                enum figures_remark_level level, const char *text)
{
    if (remarks->n == remarks->capacity)
        remarks->items =
            arena_grow(arena, remarks->items, &remarks->capacity, sizeof *remarks->items);
    remarks->items[remarks->n++] = (struct figures_remark){level, text};
}

static void say_refused(struct figures_remarks *remarks, struct arena *arena, enum figures_id id,
                        const struct figures_derivation *by)
{
    struct buf text = buf_new(arena);
    buf_printf(&text, "%s: ", FIGURES[id].name);
    if (by->none != NULL)
        buf_add(&text, str_of(by->none));
    else
        buf_printf(&text, "out of range: the equation %s holds for %s", by->equation,
                   equations_named(by->equation)->range);
    say(remarks, arena, by->rules & FIGURES_MAY_FAIL ? FIGURES_NOTE : FIGURES_ERROR, text.p);
}

static bool is_known(const struct figures *set, enum figures_id id)
{
    return set->state[id] == FIGURES_GIVEN || set->state[id] == FIGURES_DERIVED;
}

static bool is_derived(const struct figures *set, enum figures_id id)
{
    return set->state[id] == FIGURES_DERIVED;
}

static bool gravity_is_above(const struct figures *set)
{
    return is_known(set, FIGURES_GRAVITY) && is_known(set, FIGURES_ORIGINAL) &&
           set->value[FIGURES_GRAVITY] > set->value[FIGURES_ORIGINAL];
}

static bool is_over_rated(const struct figures *set)
{
    double rated = set->value[FIGURES_RATED];
    return set->value[FIGURES_CLOSED_PRESSURE] > rated ||
           set->value[FIGURES_PRESSURE_TO_SET] > rated || set->value[FIGURES_PRESSURE] > rated;
}

static bool is_pressure_set(const struct figures *set)
{
    return is_derived(set, FIGURES_CLOSED_PRESSURE) || is_derived(set, FIGURES_PRESSURE_TO_SET) ||
           is_derived(set, FIGURES_CLOSING_GRAVITY);
}

static bool is_primed(const struct figures *set)
{
    return is_derived(set, FIGURES_PRIMING_SUCROSE);
}

static bool is_low_acid(const struct figures *set)
{
    return is_known(set, FIGURES_PH) && set->value[FIGURES_PH] >= ACIDITY_LOW_ACID_ABOVE;
}

static bool is_low_alcohol(const struct figures *set)
{
    return is_known(set, FIGURES_ABV) && set->value[FIGURES_ABV] < ALCOHOL_NONE_BELOW_ABV;
}

static const struct {
    bool (*holds)(const struct figures *set);
    enum figures_remark_level level;
    const char *text;
} REMARKS[] = {
    {gravity_is_above, FIGURES_NOTE,
     "the gravity is above the original: check both; no alcohol follows"},
    {is_over_rated, FIGURES_CAUTION, "that is above the rated pressure: do not close it so"},
    {is_pressure_set, FIGURES_CAUTION,
     "pressure: the tank's rated pressure and its relief valve decide, and local codes apply"},
    {is_primed, FIGURES_CAUTION,
     "packages burst with too much gas: be sure first that nothing is left to ferment"},
    {is_low_acid, FIGURES_CAUTION,
     "pH at or above 4.6: as a finished beer hold it, and ask someone qualified"},
    {is_low_alcohol, FIGURES_CAUTION,
     "alcohol below 0.5 %: as a finished beer hold it, and ask someone qualified"},
};

struct figures_remarks figures_remarks(const struct figures *set, struct arena *arena)
{
    struct figures_remarks remarks = {NULL, 0, 0};
    for (int id = 1; id < FIGURES_COUNT; id++) {
        const struct figures_derivation *by = set->by[id];
        if (set->state[id] == FIGURES_REFUSED && by != NULL && !(by->rules & FIGURES_QUIET))
            say_refused(&remarks, arena, (enum figures_id)id, by);
    }
    for (size_t i = 0; i < sizeof REMARKS / sizeof REMARKS[0]; i++)
        if (REMARKS[i].holds(set))
            say(&remarks, arena, REMARKS[i].level, REMARKS[i].text);
    return remarks;
}

static bool is_given(const struct figures *set, int id)
{
    return set->state[id] == FIGURES_GIVEN;
}

/* How many needs of a row were given, and how many are missing. */
static void count_needs(const struct figures *set, const struct figures_derivation *by,
                        size_t *given, size_t *missing)
{
    *given = *missing = 0;
    for (size_t i = 0; i < FIGURES_MOST_NEEDS && by->needs[i] != FIGURES_NONE; i++) {
        int id = by->needs[i] & ~FIGURES_AS_GIVEN;
        if (is_given(set, id))
            (*given)++;
        else if (!FIGURES[id].has_assumed)
            (*missing)++;
    }
}

static void write_missing(const struct figures *set, const struct figures_derivation *by,
                          struct buf *text)
{
    const char *before = "with ";
    for (size_t i = 0; i < FIGURES_MOST_NEEDS && by->needs[i] != FIGURES_NONE; i++) {
        int id = by->needs[i] & ~FIGURES_AS_GIVEN;
        if (is_given(set, id) || FIGURES[id].has_assumed)
            continue;
        buf_printf(text, "%s%s", before, FIGURES[id].name);
        before = " and ";
    }
    buf_printf(text, " %s would", FIGURES[by->gives].name);
}

const char *figures_missing(const struct figures *set, struct arena *arena)
{
    enum { MOST_LISTED = 3 };
    struct buf text = buf_new(arena);
    size_t listed = 0;
    buf_printf(&text, "nothing follows from that");
    for (size_t most = 1; most <= 2 && listed == 0; most++) {
        for (size_t i = 0; i < FIGURES_FOLLOW_COUNT && listed < MOST_LISTED; i++) {
            const struct figures_derivation *by = &FIGURES_FOLLOW[i];
            size_t given, missing;
            count_needs(set, by, &given, &missing);
            if (given == 0 || missing == 0 || missing > most)
                continue;
            buf_printf(&text, listed++ == 0 ? "; " : ", ");
            write_missing(set, by, &text);
        }
    }
    return text.p;
}
