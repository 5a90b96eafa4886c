/*
 * The inside of anomaly: one tank's beer at one reading, as the rules see it, and what they share.
 * Rules see nothing that comes after their reading, so that judging a whole course at once finds
 * what judging it every morning would have found.
 */
#ifndef GYLE_ANOMALY_CASE_H
#define GYLE_ANOMALY_CASE_H

#include "anomaly.h"
#include "baseline.h"
#include "finish.h"
#include "practice.h"

/* What is worked out once for a course or a reading, when a rule asks for it. */
struct anomaly_cache {
    struct arena scratch;           /* of one reading's verdict */
    struct sound sound;             /* every gravity of the course, corrected */
    struct finish finish;           /* as of the reading */
    struct limit_baseline baseline; /* where the beer's earlier batches ended */
    const struct baseline *earlier; /* what they did on their way; NULL: too few to tell */
    bool has_sound, has_finish;
};

/* The last reading at which the beer was called finished. */
struct anomaly_over {
    bool was;
    int64_t at;
    double plato;
};

struct anomaly_case {
    const struct anomaly_book *book;
    const struct meters *meters;
    const struct batch *batch;
    const struct batch_course *course;
    const struct cellar_beer *beer; /* NULL: the cellar does not know it */
    const struct practice *practice;
    size_t index; /* of the reading; of the last one for a rule as of now */
    const struct reading *reading;
    int64_t at;                     /* its time; now for a rule as of now */
    double hours;                   /* since day zero; NAN without one */
    const struct cellar_tank *tank; /* where it was read; NULL: not known */
    struct anomaly_over over;       /* before this reading */
    struct anomaly_cache *cache;
};

/* Every rule's function. The finding comes with rule, level, times and tank set; a rule that fires
 * fills reading, expected, source, and changes level where it must. */
#define ANOMALY(id, name, level, alone, scope, reads, judge, meaning, normal, causes, first,       \
                caution)                                                                           \
    bool judge(const struct anomaly_case *, struct anomaly_finding *);
#define ANOMALY_PASS(id, name, level, scope, meaning, normal, causes, first, caution)
#include "anomaly.def"

/* The figure at the case's reading, or NULL when it is not there or off the end of a scale. A rule
 * of one figure is only asked where that one is there; VDK may be a smell alone. */
const struct figure *anomaly_figure(const struct anomaly_case *c, enum batch_reads reads);

/* The same, or what another entry of the same minute and tank says, as of another meter; or NULL.
 * For what goes with the figure that is judged. */
const struct figure *anomaly_beside(const struct anomaly_case *c, enum batch_reads reads);

/* The last reading before the case's that has an exact figure, at most `hours` older; NULL when
 * there is none. here: in the same tank only. */
const struct reading *anomaly_before(const struct anomaly_case *c, enum batch_reads reads,
                                     double hours, bool here);

/* The verdict as of the case's moment. */
const struct finish *anomaly_finish(const struct anomaly_case *c);

/* Whether that is an end: nothing more is expected to ferment. */
bool anomaly_is_over(const struct anomaly_case *c);

/* A reading's gravity, corrected as its meter asks; NAN when there is none to judge by. */
double anomaly_plato(const struct anomaly_case *c, const struct reading *reading);

/* Percent of the extract that is gone, by the limit, which the earlier batches give where nothing
 * else does; NAN where there is none. */
double anomaly_progress(const struct anomaly_case *c);

/* The last event of a kind at or before the case's moment in the course's tank; NULL. */
const struct batch_event *anomaly_event(const struct anomaly_case *c, enum event_what what);

/* Whether any event of a kind (bits 1 << what) lies between two moments. */
bool anomaly_event_between(const struct anomaly_case *c, unsigned kinds, int64_t from, int64_t to);

/* Where the beer is on its way, as far as events, tanks and temperature tell. */
enum anomaly_stage { ANOMALY_FERMENTING, ANOMALY_CHILLED, ANOMALY_BRIGHT };
enum anomaly_stage anomaly_stage(const struct anomaly_case *c);

/* Hours between two moments. */
double anomaly_hours(int64_t from, int64_t to);

/* a < b as they were written: in doubles 2.5 - 2.4 > 0.1, but nobody writes a millionth. False for
 * a NAN. */
bool anomaly_less(double a, double b);

/* Appends words to one of a finding's texts. */
void anomaly_say(const struct anomaly_case *c, struct str *text, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* A value or a limit with its unit, in the units of the output; memory of the book's arena. */
const char *anomaly_value(const struct anomaly_case *c, enum quantity quantity, double library);
const char *anomaly_limits(const struct anomaly_case *c, enum quantity quantity, double low,
                           double high);

/* How far a value of a quantity with units lies from another: of 20 and 22 C "2.0 C" or "4 F". */
const char *anomaly_difference(const struct anomaly_case *c, enum quantity quantity, double from,
                               double to);

/* "24 Nov 08:12", in the cellar's zone. */
const char *anomaly_when(const struct anomaly_case *c, int64_t at);

/* Limits of the beer with where they come from; the trade's where the cellar declares none. A
 * missing end is -INFINITY or INFINITY; source "" when nothing at all is known. */
struct anomaly_limit {
    double low, high;
    const char *source;
    bool own; /* from the cellar file */
};
struct anomaly_limit anomaly_limit_ph(const struct anomaly_case *c);
struct anomaly_limit anomaly_limit_ferment(const struct anomaly_case *c);
struct anomaly_limit anomaly_limit_cold(const struct anomaly_case *c);
struct anomaly_limit anomaly_limit_of(const struct range *range);

#endif
