#include "bare.h"

#include <math.h>

enum likeness { NO, POSSIBLE, SURE };

/* What people and their meters write for each quantity; from memory of the trade. */
#define LEAST_PLATO (-2.0)
#define LEAST_C     (-5.0)
#define MOST_C      45.0
#define MARGIN_BAR  1.25 /* of the tank's rating: more is not taken for a pressure unasked */

static bool within(double value, double low, double high)
{
    return value >= low && value <= high;
}

static enum likeness like_gravity(const struct figure *f, const struct bare_limits *limits)
{
    const struct quantity_unit *unit = limits->house[READS_GRAVITY];
    if (unit == NULL)
        return NO;
    double plato = quantity_to_library(unit, f->written);
    bool digits = unit->to == NULL ? f->decimals <= 2 : f->decimals >= 3 || f->written > 900;
    return digits && within(plato, LEAST_PLATO, limits->most_plato) ? SURE : NO;
}

static enum likeness like_ph(const struct figure *f, bool after_gravity)
{
    if (f->decimals > 2 || !within(f->written, 2, 8))
        return NO;
    bool sure = f->decimals == 2 && within(f->written, 3, 6) && f->censor == 0;
    return sure && after_gravity ? SURE : POSSIBLE;
}

static enum likeness like_temp(const struct figure *f, const struct bare_limits *limits)
{
    const struct quantity_unit *unit = limits->house[READS_TEMP];
    if (unit == NULL || f->decimals > 1)
        return NO;
    return within(quantity_to_library(unit, f->written), LEAST_C, MOST_C) ? SURE : NO;
}

static enum likeness like_pressure(const struct figure *f, const struct bare_limits *limits)
{
    const struct quantity_unit *unit = limits->house[READS_PRESSURE];
    if (unit == NULL || f->decimals > unit->decimals)
        return NO;
    double bar = quantity_to_library(unit, f->written);
    return within(bar, 0, limits->most_bar * MARGIN_BAR) ? SURE : NO;
}

static enum likeness like(int reads, const struct figure *f, const struct bare_limits *limits,
                          bool after_gravity)
{
    switch (reads) {
    case READS_GRAVITY:
        return like_gravity(f, limits);
    case READS_PH:
        return like_ph(f, after_gravity);
    case READS_TEMP:
        return like_temp(f, limits);
    default:
        return like_pressure(f, limits);
    }
}

struct search {
    const struct bare_item *items;
    size_t n;
    const struct bare_limits *limits;
    unsigned known; /* quantities that a unit or a word told */
    int reads[BARE_MOST];
    bool sure[BARE_MOST];
    struct bare_result *result;
    bool result_sure[BARE_MOST];
};

static void take_way(struct search *s)
{
    for (size_t i = 0; i < s->n; i++) {
        if (s->items[i].reads >= 0)
            continue;
        s->result->meanings[i] |= 1u << s->reads[i];
        s->result->reads[i] = s->reads[i];
        s->result_sure[i] = s->sure[i];
    }
    s->result->ways++;
}

/* Gives item i a quantity from `least` on, and those behind it theirs. */
static void search(struct search *s, size_t i, int least, bool gravity)
{
    if (i == s->n) {
        take_way(s);
        return;
    }
    if (s->items[i].reads >= 0) {
        search(s, i + 1, least, gravity || s->items[i].reads == READS_GRAVITY);
        return;
    }
    for (int reads = least; reads < BARE_SLOTS; reads++) {
        enum likeness likeness = like(reads, &s->items[i].figure, s->limits, gravity);
        if (likeness == NO || (s->known & 1u << reads))
            continue;
        s->reads[i] = reads;
        s->sure[i] = likeness == SURE;
        search(s, i + 1, reads + 1, gravity || reads == READS_GRAVITY);
    }
}

/* Without a way that fits all: what each one alone could be. */
static void each_alone(struct search *s)
{
    for (size_t i = 0; i < s->n; i++)
        for (int reads = 0; s->items[i].reads < 0 && reads < BARE_SLOTS; reads++)
            if (like(reads, &s->items[i].figure, s->limits, false) != NO)
                s->result->meanings[i] |= 1u << reads;
}

static bool is_one(unsigned bits)
{
    return bits != 0 && (bits & (bits - 1)) == 0;
}

struct bare_result bare_assign(const struct bare_item *items, size_t n,
                               const struct bare_limits *limits)
{
    struct bare_result result = {.doubtful = -1};
    struct search s = {.items = items, .n = n, .limits = limits, .result = &result};
    for (size_t i = 0; i < n; i++) {
        result.reads[i] = items[i].reads;
        if (items[i].reads >= 0)
            s.known |= 1u << items[i].reads;
    }
    search(&s, 0, 0, false);
    if (result.ways == 0)
        each_alone(&s);
    for (size_t i = 0; i < n && result.doubtful < 0; i++)
        if (items[i].reads < 0 &&
            (result.ways == 0 || !is_one(result.meanings[i]) || !s.result_sure[i]))
            result.doubtful = (int)i;
    return result;
}
