/*
 * Is it finished? One verdict for one course (a batch in one tank) as of a moment, with what it
 * stands on: the run of days of the same gravity, the limit and where that comes from, what is left
 * to go. Flat is not finished: a beer is called so only at its limit.
 *
 * The verdict is the first row of a table of conditions that holds (finish.c). "Steady" is
 * steady.h's rule over the last sound reading of each civil day (sound.h), counted only after the
 * last event that can rouse the yeast. Once finished, cold or carbonated readings that are higher,
 * or lower by no more than 0.3 P, do not undo it; a warm fall of more than a step on two days, or
 * an event that rouses, does.
 */
#ifndef GYLE_FINISH_H
#define GYLE_FINISH_H

#include "arena.h"
#include "batch.h"
#include "cellar.h"
#include "chill.h"
#include "limit.h"
#include "sound.h"
#include "steady.h"
#include "trickle.h"

#include <stdbool.h>
#include <stdint.h>

enum finish_verdict {
    FINISH_NOT_STARTED,
    FINISH_FERMENTING,
    FINISH_SLOWING,
    FINISH_FINISHED,
    FINISH_UNCONFIRMED, /* "finished, unconfirmed": steady, no limit known, well attenuated */
    FINISH_STUCK,
    FINISH_BELOW_LIMIT,
    FINISH_CHILLED_EARLY,
    FINISH_NO_JUDGEMENT,
    FINISH_VERDICTS
};

struct finish_verdict_info {
    const char *name;
    bool is_over;  /* nothing more is expected to ferment */
    bool is_found; /* something is wrong: exit status 1 */
};
extern const struct finish_verdict_info FINISH_VERDICT[FINISH_VERDICTS];

/* Steady without a known limit, at this apparent attenuation in % or more, may be the end. */
#define FINISH_LEAST_ADF 60.0

/* A beer has started when it has lost this much, P: less is within one laboratory's doubt. */
#define FINISH_STARTED_PLATO 0.3

/*
 * How near its end a beer was when its tank was chilled. "Nearly at rest": the last warm reading
 * lay within the margin of the limit, and the last warm day lost less than a quarter of
 * (original - limit); with no limit known, 0.3 P or less. A tank takes a day to cool, and may reach
 * its limit on the way down: then the last warm reading, or at least the first cold one, lay
 * within the margin.
 */
enum finish_chill {
    FINISH_WARM,               /* it is not chilled */
    FINISH_CHILLED_AT_END,     /* nearly at rest: cold days count */
    FINISH_CHILLED_IN_FALL,    /* on the way down: only those at or under its upper end count */
    FINISH_CHILLED_BEFORE_END, /* cold days prove nothing, but for three times as many as are needed
                                * at a forced value or at the low end of a range */
};

/* What judging needs besides the course. */
struct finish_context {
    const struct cellar *cellar;
    struct arena *arena; /* of the words and lists of the result */
    int64_t now;
    struct limit_baseline baseline; /* of the beer; zero where none is known */
};

struct finish {
    const struct batch_course *course;
    enum finish_verdict verdict;
    const char *reason; /* one clause: why this verdict; never NULL */

    bool has_day;
    long day; /* civil days since day zero */

    struct sound sound;             /* all gravity readings, with those left out */
    struct sound_days days;         /* the last sound one of each day */
    const struct sound_point *last; /* the gravity now; NULL: none */
    double gravity_plato;           /* of that point; NAN without one */
    int64_t gravity_at;
    double original_plato; /* NAN: not known */

    int days_steady, days_needed;
    struct steady run; /* the run behind days_steady; meaningless when days_steady is 0 */
    size_t run_from;   /* of days: the first one that may count */
    const struct batch_event *roused; /* the last event that can rouse the yeast, or NULL */
    struct trickle trickle;
    double fall_per_day; /* P a day between the last two days read; NAN with fewer than two */

    struct limit limit;
    double to_go_plato;     /* above the limit's upper end, 0 at or under it; NAN without one */
    double adf_percent;     /* NAN without an original */
    double abv_percent;     /* NAN where alcohol.h has none */
    bool needs_confirm;     /* finished, but over the upper end by more than a step */
    bool fall_unconfirmed;  /* finished, but the last reading alone has moved since */
    bool below_unconfirmed; /* the last reading alone is below the limit */

    struct chill chill;
    enum finish_chill chilled;

    bool has_end;
    int64_t end_at;    /* verdict is over: the first reading at the final figure */
    int64_t called_at; /* the reading with which it could first be called so */
    double rest_plato; /* the final figure */
};

/* Judges a course of a settled batch. The result lives as long as the arena and the batch. */
struct finish finish_judge(const struct finish_context *context, const struct batch_course *course);

/* A paragraph that a person can check by hand: readings, rule, limit, what was left out. */
void finish_explain(const struct finish_context *context, const struct finish *finish,
                    struct buf *text);

#endif
