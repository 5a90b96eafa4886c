#include "limit.h"

#include "practice.h"

#include <math.h>

const char *const LIMIT_SOURCES[] = {"", "forced", "terminal", "baseline"};

/* Events after which the beer may end lower than a sample taken before them. */
#define EVENTS_THAT_LOWER (EVENTS_WITH_EXTRACT | 1U << EVENT_DRY_HOP)

static bool lowered_after(const struct batch *batch, int64_t at)
{
    for (size_t i = batch->happened.n; i-- > 0 && batch->happened.items[i]->at.at > at;)
        if (batch_event_is(batch->happened.items[i], EVENTS_THAT_LOWER))
            return true;
    return false;
}

/* Two results of a forced fermentation, by who read the second and how: a share of the original,
 * and P. */
static const struct margin {
    double share, more_plato;
    const char *why;
} MARGINS[][3] = {
    [LAB_OWN] = {[METHOD_UNKNOWN] = {0.004, PRACTICE_READING_PLATO, "own laboratory"},
                 [METHOD_FULL] = {0.004, PRACTICE_READING_PLATO, "own laboratory"},
                 [METHOD_RAPID] = {0.003, PRACTICE_READING_PLATO,
                                   "own laboratory; a rapid test ends short"}},
    [LAB_OTHER] = {[METHOD_UNKNOWN] = {0.024, 0, "another laboratory"},
                   [METHOD_FULL] = {0.024, 0, "another laboratory"},
                   [METHOD_RAPID] = {0.035, 0, "another laboratory; a rapid test ends short"}},
};

/* A rapid test ends so much short of a full one, as a share of the original. */
static const double RAPID_SHORT = 0.008;

/* Readings are compared by this step, and so is a margin, P. */
static const double MARGIN_STEP = 0.1;

static const char UNKNOWN_LAB[] = "lab: not told";

/* The widest margin of the values taken counts. */
static void widen_margin(struct limit *limit, const struct batch_forced *forced, double original)
{
    struct margin margin = {0, PRACTICE_MARGIN_PLATO, UNKNOWN_LAB};
    if (forced->lab != LAB_UNKNOWN)
        margin = MARGINS[forced->lab][forced->method];
    double plato = margin.share * original + margin.more_plato;
    plato = round(plato / MARGIN_STEP) * MARGIN_STEP;
    if (limit->source == LIMIT_FORCED && plato <= limit->margin_plato)
        return;
    limit->margin_plato = plato;
    limit->margin_why = margin.why;
}

static bool is_usable(const struct batch_forced *forced, int64_t now)
{
    return figure_is_exact(&forced->gravity) && (!forced->at.set || forced->at.at <= now);
}

/* Widens the limit by the forced values from after the last event that lowers the end, or by those
 * from before one. */
static void take_forced(struct limit *limit, const struct batch *batch, double original_plato,
                        int64_t now, bool lowered)
{
    double original = isnan(original_plato) ? LIMIT_USUAL_ORIGINAL : original_plato;
    for (size_t i = 0; i < batch->forced.n; i++) {
        const struct batch_forced *forced = &batch->forced.items[i];
        double plato = forced->gravity.value;
        if (!is_usable(forced, now) ||
            lowered_after(batch, forced->at.set ? forced->at.at : INT64_MIN) != lowered)
            continue;
        if (plato > LIMIT_FORCED_HIGHEST_SHARE * original_plato) {
            limit->forced_high = true;
            limit->passed_plato = plato;
            continue;
        }
        double lower = forced->method == METHOD_RAPID ? RAPID_SHORT * original : 0;
        widen_margin(limit, forced, original);
        limit->source = LIMIT_FORCED;
        limit->low_plato = fmin(limit->low_plato, plato - lower);
        limit->high_plato = fmax(limit->high_plato, plato);
    }
}

struct limit limit_of(const struct batch *batch, double original_plato,
                      struct limit_baseline baseline, int64_t now)
{
    struct limit limit = {.low_plato = NAN,
                          .high_plato = NAN,
                          .margin_plato = PRACTICE_MARGIN_PLATO,
                          .margin_why = "",
                          .passed_plato = NAN};
    take_forced(&limit, batch, original_plato, now, false);
    if (limit.source == LIMIT_NONE) {
        take_forced(&limit, batch, original_plato, now, true);
        limit.upper_only = limit.source != LIMIT_NONE;
        limit.low_plato = NAN;
    }
    if (limit.source != LIMIT_NONE)
        return limit;
    if (batch->type != NULL && batch->type->terminal.state == FIGURE_SET) {
        const struct range *terminal = &batch->type->terminal;
        limit.source = LIMIT_TERMINAL;
        limit.margin_why = "between laboratories";
        limit.low_plato = terminal->has_low ? terminal->low : NAN;
        limit.high_plato = terminal->has_high ? terminal->high : NAN;
    } else if (baseline.has) {
        limit.source = LIMIT_BASELINE;
        limit.margin_why = "between laboratories";
        limit.low_plato = baseline.low_plato;
        limit.high_plato = baseline.high_plato;
    }
    return limit;
}

/* Figures that differ by less than this are the same, whatever doubles make of them. */
static const double HAIR = 1e-6;

bool limit_reached(const struct limit *limit, double plato, double extra_plato)
{
    return plato <= limit->high_plato + extra_plato + HAIR;
}

bool limit_is_under(const struct limit *limit, double plato)
{
    return plato < limit->low_plato - limit->margin_plato - HAIR;
}
