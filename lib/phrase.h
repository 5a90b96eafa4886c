/*
 * The words that people type for what the book knows by one name: units, quantities, events. And
 * the cutting of a typed line into words.
 */
#ifndef GYLE_PHRASE_H
#define GYLE_PHRASE_H

#include "batch.h"
#include "quantity.h"
#include "str.h"

struct phrase_label {
    const char *name;
    int reads;        /* enum batch_reads */
    const char *unit; /* which a number behind it has, or NULL: the house's */
};

struct phrase_event {
    const char *name;
    int what;        /* enum event_what */
    bool certain;    /* it means the event whatever follows; else it may begin a note */
    const char *key; /* of the free words that follow it, or NULL: a note */
};

/* The next word, taken off *rest; empty at the end. Blanks end it, and commas and semicolons that
 * are no decimal comma; those are dropped. */
struct str phrase_next(struct str *rest);

/* The unit of a name, as YAML files write it or as people do: any case, "plato", "psig". Units of
 * the same name for two quantities: the first of the table; look with quantity_unit_of(). */
const struct quantity_unit *phrase_unit(struct str name);

/* A unit of the trade that the book does not have: a figure before it is no figure in another. */
bool phrase_is_other_unit(struct str name);

/* The quantity that a word names: "temp", "co2". *used is the length of the name: behind it may
 * stand "=", ":" or a number at once ("pH4.42"). NULL when it names none. */
const struct phrase_label *phrase_label(struct str word, size_t *used);

/* What a word says of the smell test, in the book's words or in others ("ok", "negative"): an index
 * into BATCH_VDK_WORDS and 1; 0 when it is none. */
unsigned char phrase_smell(struct str word);

/* The event that text begins with, the longest one. *used is how many bytes it takes. */
const struct phrase_event *phrase_event(struct str text, size_t *used);

/* How much of text is this name, blanks, dashes and case ignored: 0 when it does not begin with it
 * as a whole word. *joined is true when blanks were passed over where the name has none. */
size_t phrase_name(struct str text, struct str name, bool *joined);

/* A line as phones write it: no-break blanks, curly quotes and long minus signs made plain. */
struct str phrase_plain(struct arena *arena, struct str line);

/* A time of day: 8:10, 08:10:30, 8:10am, 8h10, 8.10h, 8am. False when it is none. */
bool phrase_clock(struct str word, int *seconds);

/* What may stand behind a time and belongs to it: am, pm, uhr, h. */
bool phrase_is_clock_end(struct str word);

/* What may have been meant as a time of day, but may be a figure as well: 0810, 8.10. */
bool phrase_like_clock(struct str word, int *seconds);

/* True for what looks like a date, whether it is written as it should be or not: a word; or the
 * first words of a line, "Wed 25 Nov", "Monday". */
bool phrase_is_datelike(struct str word);
bool phrase_says_day(struct str line);

#endif
