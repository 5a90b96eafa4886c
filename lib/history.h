/*
 * What earlier batches did: the course of each that came to its end, copied small, so that their
 * files' memory can go. It tells where a beer without a limit should end, how long the rest will
 * take, and what is normal on a day.
 */
#ifndef GYLE_HISTORY_H
#define GYLE_HISTORY_H

#include "book.h"
#include "finish.h"
#include "remain.h"

#include <stdbool.h>
#include <stdint.h>

struct history_point {
    double hours;              /* since day zero */
    double plato, ph, celsius; /* NAN: not read, or not to be used */
    bool cold;                 /* read after the tank was chilled */
};

struct history_batch {
    struct str number, beer;
    int yeast; /* enum yeast_kind */
    int64_t zero;
    double original_plato;
    double end_plato;                  /* the figure it came to rest at */
    double end_hours;                  /* when it first came within HISTORY_NEAR_PLATO of that */
    double steady_hours;               /* when its days of the same gravity were enough */
    double abv_percent;                /* NAN: not known */
    LIST(struct history_point) points; /* every reading from day zero on */
    struct remain_course course;       /* its gravity until then, the pitch first */

    /* The module's own: what the course points to, and how many points and steps have room. */
    double *hours, *left;
    size_t room;
};

/* Gravity this near to its end has come to it. */
#define HISTORY_NEAR_PLATO 0.1

/* What is normal now is told by so many earlier batches of a beer, or of a yeast: the newest. */
enum { HISTORY_NEWEST = 24 };

/* So many of a beer are enough, where what is judged is among the newest itself. */
enum { HISTORY_MOST = 2 * HISTORY_NEWEST };

struct history {
    struct arena *arena; /* of all that is kept */
    LIST(struct history_batch) batches;
    size_t capacity;
    size_t most; /* so many of a beer are kept, the newest, and the others forgotten; 0: all */

    /* The module's own: where a number stands, by its hash; 0: a free slot, else index + 1. The
     * spare one is where the next batch is copied to. */
    size_t *slots, slot_count, indexed;
    struct history_batch spare;
};

/* Keeps a course whose verdict is that it is over; any other, one without original or day zero, and
 * a number that is there already are passed over. */
void history_add(struct history *history, const struct finish *finish);

/* The same for each course of a settled batch, judged as context tells; for none of one with
 * errors.
 */
void history_add_batch(struct history *history, const struct finish_context *context,
                       const struct batch *batch);

/* Copies into an empty history those that could be called over at a moment; what they point to is
 * shared. */
void history_until(struct history *history, const struct history *from, int64_t moment);

/* Judges every batch of the book as of now and keeps those that are over. Files are read one by
 * one into scratch, which is reset for each; what is wrong in them is not reported. */
void history_read(struct history *history, const struct book *book, struct arena *scratch,
                  int64_t now);

/* The same for some of its files. */
void history_read_files(struct history *history, const struct book *book, struct arena *scratch,
                        const char *const *paths, size_t n, int64_t now);

/* The batches of a beer pitched before a moment, but for one number (none where its p is NULL): the
 * newest HISTORY_NEWEST, in no order, in the arena. */
struct history_list {
    const struct history_batch **items;
    size_t n;
};
struct history_list history_of_beer(const struct history *history, struct str beer, int64_t before,
                                    struct str but, struct arena *arena);
/* Those of a batch's beer that came before it: pitched before its day zero; before now where it has
 * none, as a blend. */
struct history_list history_before(const struct history *history, const struct batch *batch,
                                   int64_t now, struct arena *arena);
/* The same of one kind of yeast. */
struct history_list history_of_yeast(const struct history *history, int yeast, int64_t before,
                                     struct str but, struct arena *arena);

/* Fewer batches than this give no band. */
enum { HISTORY_FEWEST = 4 };

/* Where those batches ended: a band that holds 9 of 10 with a confidence of 0.9, about their
 * median, as wide as Qn says and never narrower than a step; but not beyond the ends themselves by
 * more than a step's doubt. What a few batches cannot promise makes that band wide, and it must not
 * permit an end that none of them had. */
struct limit_baseline history_limit(const struct history_list *list, struct arena *arena);

/* A band that n ends promise, kept to them as history_limit() says. */
struct limit_baseline history_band(struct limit_baseline promised, size_t n, double lowest,
                                   double highest);

#endif
