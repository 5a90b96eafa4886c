/*
 * What a file of the book holds already, and what was taken for it since: whether an entry is new,
 * there, or another figure for the same reading.
 *
 * A figure's identity is its tank, minute, quantity and meter. A figure without a meter is the same
 * as one with any. A figure that was corrected is known with both values, so that the sheet it came
 * from can be read again.
 */
#ifndef GYLE_KNOWN_H
#define GYLE_KNOWN_H

#include "book.h"
#include "entry.h"

struct known_figure {
    struct str tank, meter; /* meter: "" when it is not told */
    int64_t at;
    int reads;           /* enum batch_reads */
    struct figure first; /* as it was entered */
    struct figure now;   /* with corrections; state FIGURE_WITHDRAWN when withdrawn */
};

struct known_note {
    struct str tank, text;
    int64_t at;
};

struct known_entry { /* of any other list */
    int kind;        /* enum entry_kind */
    int64_t at;
    const struct doc_node *map;
    const struct entry *taken; /* the entry that it is of; NULL: it is in the file */
};

struct known {
    struct arena *arena;
    LIST(struct known_figure) figures;
    LIST(struct known_note) notes;
    LIST(struct known_entry) entries;
    size_t figure_capacity, note_capacity, entry_capacity;
};

/* Of a batch that was read, but not yet settled; it is settled here, as of now. */
struct known *known_batch(struct arena *arena, const struct book *book, struct batch *batch,
                          int64_t now);
struct known *known_plant(struct arena *arena, const struct book *book, const struct plant *plant);

/* The figure of the same identity, or NULL. Several can be meant where no meter is told: then one
 * of the same value, if there is one. */
struct known_figure *known_find(const struct known *known, struct str tank, int64_t at, int reads,
                                struct str meter, const struct figure *figure);

/* The same figure: number, unit, censor and word. Other units agree within half a step. */
bool known_same(const struct figure *a, const struct figure *b);

/* The last figure of a quantity before a moment, in this tank ("": in any), or NULL. */
const struct known_figure *known_before(const struct known *known, struct str tank, int64_t at,
                                        int reads);

bool known_has_note(const struct known *known, struct str tank, int64_t at, struct str text);

/* True when the note is there at any moment of [from, to). */
bool known_has_note_between(const struct known *known, struct str tank, int64_t from, int64_t to,
                            struct str text);

/* An entry of another list with the same identity, or NULL. *same tells whether it says the same
 * (who wrote it and notes do not count). */
const struct known_entry *known_entry(const struct known *known, const struct entry *entry,
                                      const struct doc_node *map, bool *same);

/* One that says the same at any moment of [from, to), or NULL. */
const struct known_entry *known_entry_between(const struct known *known, const struct entry *entry,
                                              const struct doc_node *map, int64_t from, int64_t to);

void known_add_figure(struct known *known, struct known_figure figure);
void known_add_note(struct known *known, struct known_note note);
void known_add_entry(struct known *known, struct known_entry entry);

#endif
