/*
 * A batch: one brew from the kettle to the package, as its file tells it, and what follows from
 * that: readings in order with their corrections applied, stays in tanks, day zero, the original
 * used.
 */
#ifndef GYLE_BATCH_H
#define GYLE_BATCH_H

#include "cellar.h"
#include "keys.h"

/* The quantities of a reading. */
enum batch_reads {
    READS_GRAVITY,
    READS_PH,
    READS_TEMP,
    READS_PRESSURE,
    READS_VDK,
    READS_CARBONATION,
    READS_OXYGEN,
    READS_ALCOHOL,
    READS_CELLS,
    READS_VIABILITY,
    READS_COUNT
};

struct batch_column {
    const char *key; /* "temp"; its meter's key is "temp-meter" */
    enum quantity quantity;
};
extern const struct batch_column BATCH_COLUMNS[READS_COUNT];

enum vdk_smell { VDK_NOT_SMELT, VDK_PASS, VDK_TRACE, VDK_FAIL }; /* figure[READS_VDK].word */
extern const char *const BATCH_VDK_WORDS[];

struct reading {
    const struct doc_node *node;
    struct moment at, corrects;
    const struct doc_node *tank, *by, *note;
    struct figure figure[READS_COUNT];
    const struct doc_node *meter[READS_COUNT]; /* NULL: not told */
    struct str where; /* the tank it was read in, "" when none was occupied; by batch_settle() */
};

enum event_what {
    EVENT_NONE,
    EVENT_PITCH,
    EVENT_DRY_HOP,
    EVENT_ADDITION,
    EVENT_KRAUSEN,
    EVENT_ROUSE,
    EVENT_CLOSE,
    EVENT_VENT,
    EVENT_CHILL,
    EVENT_DUMP,
    EVENT_MOVE,
    EVENT_CARBONATE,
    EVENT_SAMPLE,
    EVENT_PACKAGE,
    EVENT_CLEAN,
    EVENT_HOLD,
    EVENT_RELEASE,
    EVENT_DISCARD
};
extern const char *const BATCH_EVENTS[]; /* names, from EVENT_PITCH */

/* Sets of kinds of events, bits 1 << enum event_what: those that bring extract, and those that can
 * rouse the yeast, so that steady days count only after them. */
#define EVENTS_WITH_EXTRACT (1U << EVENT_ADDITION | 1U << EVENT_KRAUSEN)
#define EVENTS_THAT_ROUSE                                                                          \
    (1U << EVENT_PITCH | 1U << EVENT_DRY_HOP | 1U << EVENT_ROUSE | EVENTS_WITH_EXTRACT)

struct batch_container {
    const struct doc_node *node;
    struct figure size;
    struct whole count;
};

struct batch_event {
    const struct doc_node *node;
    struct moment at;
    int what; /* enum event_what */
    const struct doc_node *tank, *by, *note, *strain, *source, *lot, *batch, *to;
    struct whole generation;
    struct figure cells, viability, amount, extract, volume, temp, pressure;
    LIST(struct batch_container) containers;
    struct flag empty;
};

static inline bool batch_event_is(const struct batch_event *event, unsigned kinds)
{
    return (kinds >> event->what & 1U) != 0;
}

struct batch_brew {
    const struct doc_node *node;
    struct moment at;
    struct figure volume, original;
};

struct batch_tank {
    const struct doc_node *node;
    const struct doc_node *tank;
    struct moment from, to;
    struct figure volume;
};

struct batch_part { /* of a blend */
    const struct doc_node *node;
    const struct doc_node *batch;
    struct figure volume;
};

struct batch_forced {
    const struct doc_node *node;
    struct figure gravity;
    struct moment at;
    int lab, method; /* enum batch_lab, batch_method; 0: not told */
    const struct doc_node *by, *note;
};
enum batch_lab { LAB_UNKNOWN, LAB_OWN, LAB_OTHER };
enum batch_method { METHOD_UNKNOWN, METHOD_FULL, METHOD_RAPID };

struct batch_seen {
    const struct doc_node *node;
    const struct doc_node *rule, *by, *note, *tank;
    struct moment at;
};

#define BATCH_OPEN_END INT64_MAX

/* One occupation of one tank: [from, to). */
struct batch_stay {
    struct str tank;
    int64_t from, to; /* to: BATCH_OPEN_END while the beer is still there */
    const struct batch_tank *entry;
};

struct batch {
    const struct doc_node *node;
    const struct source *source;
    const struct doc_node *number, *beer, *note;
    struct moment brewed;
    struct figure volume, original, wort_ph, ibu;
    LIST(struct batch_forced) forced;
    LIST(struct batch_brew) brews;
    LIST(struct batch_part) of;
    LIST(struct batch_tank) tanks;
    LIST(struct batch_event) events;
    LIST(struct batch_seen) seen;
    LIST(struct reading) readings; /* as written, in the file's order */
    size_t errors;                 /* found while reading it: then it is not judged */

    /* By batch_settle(). */
    const struct cellar_beer *type; /* NULL when the cellar does not know the beer */
    int yeast;                      /* enum yeast_kind, YEAST_UNKNOWN without type */
    LIST(struct batch_stay) stays;  /* in order of from */
    LIST(struct reading *) course; /* by time, corrections applied, up to now; with wort readings */
    LIST(struct batch_event *) happened; /* events by time, up to now */
    size_t first; /* of course: the first reading that is not a wort reading */
    bool has_zero;
    int64_t zero;                /* day zero: the first pitch, else brewed */
    struct figure used_original; /* original:, else of brews, else a wort reading; with additions */
    struct figure used_wort_ph;  /* wort-ph:, else a wort reading */
    size_t later;                /* readings and events after now, left out */
    bool ended;                  /* every stay has ended by now */
};

extern const struct key_table BATCH_KEYS;

/* Fills a batch from the root of its document. */
struct batch *batch_read(const struct keys_context *context, const struct doc_node *root);

/* Works out what follows, as of now. A correction of a reading that is not there, or a time in the
 * wrong order, is reported to context->diags. */
void batch_settle(struct batch *batch, const struct cellar *cellar, int64_t now,
                  const struct keys_context *context);

/* The stay at a moment in a tank ("": any; the first one that fits), or NULL. */
const struct batch_stay *batch_stay_at(const struct batch *batch, struct str tank, int64_t at);

/* The readings of one tank's beer: those of the stay's tank, and before it those of the stays it
 * came from. Wort readings are left out. Pointers in time's order; the caller's arena. */
struct batch_course {
    const struct batch *batch;
    const struct batch_stay *stay; /* the last one of this course; NULL when no tank is told */
    LIST(const struct reading *) readings;
};

struct batch_courses {
    struct batch_course *items;
    size_t n;
};

/* One course for each tank the beer is in at now; for beer that has left, for its last tanks; for a
 * batch without tanks, one of all its readings. */
struct batch_courses batch_courses(const struct batch *batch, struct arena *arena, int64_t now);

/* Adds a batch's courses to a list in the arena, which begins empty, with a capacity of 0. */
void batch_courses_add(struct batch_courses *all, size_t *capacity, const struct batch *batch,
                       struct arena *arena, int64_t now);

/* Whether a course before the one at index, of the same batch, has this reading of it too: beer
 * that was split shares what was read before. */
bool batch_courses_share(const struct batch_course *courses, size_t index,
                         const struct reading *reading);

/* How much beer is in the tank of a course's stay, by what is written: what went in, and the
 * krausen since, less what was packaged, dumped or discarded, and less taken_hl, which other
 * batches took. */
struct figure batch_course_volume(const struct batch_course *course, double taken_hl);

/* Two volumes of the same beer, read by two eyes, differ by no more than this share. */
#define BATCH_VOLUMES_AGREE 0.02

/* What there is of the batch, hL: as written, else by its turns or its parts; 0 when not told. */
double batch_whole_volume(const struct batch *batch);

/* Two entries of tanks: are the parts of a split where both say how much, and it is no more than
 * there is. */
bool batch_are_parts(const struct batch *batch, const struct batch_tank *a,
                     const struct batch_tank *b);

/* Did an event happen to a course's beer? One that names a tank, while the course is in another,
 * did not. */
bool batch_course_had(const struct batch_course *course, const struct batch_event *event);

/* The last event of some kinds (bits 1 << EVENT_...) that a course's beer had at a moment or
 * before, or NULL. */
const struct batch_event *batch_course_last(const struct batch_course *course, unsigned kinds,
                                            int64_t until);

/* The last event of a kind before a moment, or NULL. */
const struct batch_event *batch_last_event(const struct batch *batch, int what, int64_t before);

#endif
