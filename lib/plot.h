/*
 * What a chart of fermentations shows, before anyone draws it: for each batch its readings of
 * gravity, pH, temperature and pressure by days since day zero, the curve fitted to its gravity,
 * the limits, what the beer's earlier batches read, events, and when it should end. Values are in
 * the library's units; plot_shown() turns them into those of the house. Nothing is made up: where
 * there is no curve, the reason is there instead.
 */
#ifndef GYLE_PLOT_H
#define GYLE_PLOT_H

#include "axis.h"
#include "baseline.h"
#include "finish.h"
#include "forecast.h"
#include "history.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The quantities: READS_GRAVITY to READS_PRESSURE, in that order. */
enum { PLOT_QUANTITIES = READS_PRESSURE + 1 };

/* The confidence of the band about the fitted curve: so many more readings would lie in it. */
#define PLOT_FIT_CONFIDENCE 0.95

/* At most so many batches on one chart. */
enum { PLOT_MOST_BATCHES = 8 };

struct plot_reading {
    int64_t at;
    double day, value;
    signed char censor;   /* as of struct figure */
    const char *left_out; /* why it is not judged by; NULL: it is */
};

/* Of a curve: its value and band; of earlier batches: their median and the band of baseline.h. */
struct plot_point {
    double day, value, low, high;
};

/* A limit in force for some days. */
struct plot_limit {
    const char *name;    /* "forced", "ferment", "rated" */
    double from, to;     /* days; to: INFINITY for as long as the chart goes */
    double low, high;    /* NAN: that end is not known */
    bool only_if_neared; /* the axis need not reach it */
};

struct plot_trace {
    LIST(struct plot_reading) readings;
    LIST(struct plot_point) fit; /* of gravity alone; empty: no_fit says why */
    const char *no_fit;
    LIST(struct plot_point) earlier;
    double earlier_step; /* days from one of them to the next, where none is missing */
    LIST(struct plot_limit) limits;
    size_t withdrawn; /* readings taken back later, which are not shown */
};

struct plot_flag {
    int64_t at;
    double day;
    int what; /* enum event_what */
};

/* The letter that stands for a kind of event, each another. */
char plot_flag_letter(int event_what);

struct plot_batch {
    struct str number, beer, tank; /* tank: "" when the beer has left all tanks */
    int64_t zero;                  /* the moment of day 0 */
    bool zero_is_guessed;          /* neither pitch nor brewing is told: it is the first reading, or
                                    * the beginning of the stay */
    struct finish finish;
    struct forecast forecast;
    bool has_forecast; /* a time with its interval: the days below are set */
    double end_day, early_day, late_day;
    struct plot_trace traces[PLOT_QUANTITIES];
    LIST(struct plot_flag) flags;
    size_t earlier_batches; /* behind the bands; of fewer than HISTORY_FEWEST there are none */
    double last_day;        /* of readings and events; 0 when there are none */
};

struct plot {
    const struct cellar *cellar;
    struct arena *arena;
    bool shown[PLOT_QUANTITIES];       /* what was asked for */
    const struct baselines *baselines; /* to judge by instead of the history, or NULL */
    LIST(struct plot_batch) batches;
    size_t capacity;
};

/* Judges a course, with what earlier batches of the beer say, and adds it. context->baseline is
 * not looked at. */
void plot_add(struct plot *plot, const struct finish_context *context,
              const struct batch_course *course, const struct history *history);

/* A plot of courses as they come, judged by baselines where they are not NULL, else by the history.
 * It lives in context->arena. */
struct plot plot_make(const struct finish_context *context, const struct history *history,
                      const struct baselines *baselines, const struct batch_courses *courses,
                      const bool shown[PLOT_QUANTITIES]);

/* The plot with one of its batches alone, which it shares. */
struct plot plot_one(const struct plot *plot, size_t batch);

/* Shows the quantities of these names, "gravity", "ph", "temp" or "temperature", "pressure"; all of
 * them where none is named. The first name that is none's, or NULL. */
const char *plot_choose(bool shown[PLOT_QUANTITIES], const char *const *names, size_t n);

/* Is there a reading of it to draw, in any batch? */
bool plot_has(const struct plot *plot, int reads);
bool plot_has_any(const struct plot *plot);

/* Is one of those to draw off the end of a scale? Is one not judged by? */
bool plot_has_censored(const struct plot *plot);
bool plot_has_left_out(const struct plot *plot);

/* Does point i + 1 of the earlier batches follow on point i, without days in between of which
 * nothing is told? */
bool plot_goes_on(const struct plot_trace *trace, size_t i);

/* The kinds of event that batches have flags of, each once, in the order in which they come. How
 * many there are. */
size_t plot_event_kinds(const struct plot *plot, int kinds[EVENT_DISCARD + 1]);

/* One batch has its chart for itself, several share one. */
bool plot_is_alone(const struct plot *plot);

/* The unit in which people see a quantity; NULL: it has none. */
const struct quantity_unit *plot_unit(const struct plot *plot, int reads);

/* A value in that unit; NAN stays. */
double plot_shown(const struct plot *plot, int reads, double value);

/* The axis of a quantity in that unit, of at most `most` steps, about all that is shown of it. */
struct axis plot_axis(const struct plot *plot, int reads, long most);

/* The axis of days. */
struct axis plot_days(const struct plot *plot, long most);

/* Do all batches have the same gravity limit, so that one line will do? */
bool plot_one_limit(const struct plot *plot);

#endif
