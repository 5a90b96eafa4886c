/*
 * One typed line at work, and what the parts of typed.h do with it. Used by typed*.c only.
 *
 * A take_ function looks at the start of line->rest: when it finds there what it is for, it takes
 * it off and returns true, also when it had to refuse the line.
 */
#ifndef GYLE_TYPED_LINE_H
#define GYLE_TYPED_LINE_H

#include "bare.h"
#include "phrase.h"
#include "typed.h"

/* What a line above said for those that follow. A value that was refused spoils them. */
struct told {
    struct civil_date date;
    int clock; /* seconds of the day */
    bool has_date, has_clock;
    size_t bad_date; /* the line of a date that was refused, or 0 */
    struct str by;
    struct str meter[READS_COUNT];
    size_t bad_meter; /* the line of a meter that was refused, or 0 */
    struct buf lines; /* of context, as they stood */
};

struct typed {
    struct arena *arena;
    const struct roster *roster;
    const struct cellar *cellar;
    const struct source *source;
    int64_t now;
    struct entry_list *list;
    struct told told;
};

/* One line at work. */
struct line {
    struct typed *typed;
    struct entry *entry;
    struct str rest; /* what is not yet read */
    bool has_date, has_clock;
    struct civil_date date;
    int clock;
    bool has_instant; /* date, clock and offset were told as one, as RFC 3339 has them */
    int64_t instant;
    struct str meter[READS_COUNT];
    struct bare_item items[BARE_MOST];
    struct str shown[BARE_MOST]; /* each figure as typed */
    size_t n;
};

/* The thing a line is about. */
enum about { ABOUT_NOTHING, ABOUT_TANK, ABOUT_CHECK, ABOUT_METER, ABOUT_BATCH };

struct subject {
    enum about about;
    struct str name;
    size_t used;
    bool joined;
};

/* Refuses the line with a message, unless it is refused already. */
#define REFUSE(line, ...) entry_refuse((line)->entry, (line)->typed->arena, __VA_ARGS__)

bool typed_is_refused(const struct line *line);

/* Text of the user, made fit for a message. */
const char *typed_shown(const struct line *line, struct str text);

/* The rest behind blanks, colons, commas and lone dashes. */
struct str typed_skip_marks(struct str rest);

/* Takes a word off *rest if it stands there, with or without a colon. */
bool typed_take_word(struct str *rest, const char *word);

/* The tank, check or meter that text begins with, the longest one; *second is another. */
struct subject typed_find_name(const struct cellar *cellar, struct str text,
                               struct subject *second);

/* The meter that a whole word names, or NULL; and the quantity of a reading that it measures, -1
 * when it is none. */
const struct cellar_meter *typed_meter_of_word(const struct line *line, struct str word);
int typed_reads_of_meter(const struct cellar_meter *meter);

/* Is there a figure at the start of a word, or of the rest? ~ counts in the rest. */
bool typed_begins_figure(struct str word);
bool typed_figure_follows(struct str rest);

/* Reads the number of a word; what is left of it goes to *attached. False: refused. */
bool typed_read_number(struct line *line, struct str word, struct figure *figure,
                       struct str *attached);

/* The unit of a number: what is attached to it, else the next word when it is a unit, be it one
 * that the book does not have. */
struct str typed_unit_word(struct str attached, struct str *rest);

/* The quantities of a reading that have a unit of this name, a bit for each. */
unsigned typed_reads_with_unit(struct str name);

/* "a gravity (2.45 P) or a pH (2.45)", for bits. */
const char *typed_list_meanings(const struct line *line, const struct figure *figure,
                                unsigned bits);

/* Gives a figure of a quantity its unit: the one named; else that of the label, else the house's.
 * Refuses a wrong or a missing one. */
void typed_set_unit(struct line *line, struct figure *figure, int reads, struct str name);
void typed_set_labelled_unit(struct line *line, struct figure *figure,
                             const struct phrase_label *label, struct str unit);

/* A note in quotes; "by MO" at the end; all that is left as the note, which may hold no figure. */
bool typed_take_quoted(struct line *line);
bool typed_take_by(struct line *line);
void typed_take_note(struct line *line);

/* Signs the entry as a line above said, where it has no name of its own. */
void typed_take_signature(struct line *line);

/* The words at the end of a line: a note, who, the signature. */
void typed_take_words(struct line *line);

/* What may stand behind a name and a time: what a forced sample came to or an event of a batch
 * (false: it is none), a reading, a figure of a check, a calibration of a meter. */
bool typed_forced(struct line *line);
bool typed_event(struct line *line);
void typed_reading(struct line *line);
void typed_check(struct line *line, struct str name);
void typed_calibration(struct line *line, struct str name);

#endif
