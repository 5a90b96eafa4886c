/*
 * Which batch is in which tank when, over the whole book: what a reading typed with a tank's name
 * belongs to. Small enough to keep for thousands of batches, so that their files need not stay in
 * memory.
 */
#ifndef GYLE_ROSTER_H
#define GYLE_ROSTER_H

#include "book.h"

struct roster_row {
    struct str batch, beer, tank; /* tank: "" for a batch whose file names none */
    const char *path;
    int64_t from, to;      /* [from, to) */
    double original_plato; /* NAN when not known */
    /* hL: what was in it, and what of that is not told to have gone on into other tanks; NAN when
     * not known. */
    double filled_hl, left_hl;
    bool shared; /* the batch is in another tank, too, at some of that time */
};

/* A file of which it is not known which tanks it speaks of. */
struct roster_doubt {
    const char *path;
    struct str text; /* its bytes; none: it may speak of any */
};

struct roster {
    const struct cellar *cellar;
    LIST(struct roster_row) rows;
    size_t row_capacity;
    LIST(struct roster_doubt) doubts;
    struct diags diags; /* what is wrong in the doubtful files */
};

/* Reads the book's batches. Everything lives in arena. */
struct roster *roster_read(const struct book *book, struct arena *arena, int64_t now);

/* The row of a tank at a moment; NULL when it is empty. *second is another batch that is said to be
 * in it as well, or NULL. */
const struct roster_row *roster_at(const struct roster *roster, struct str tank, int64_t at,
                                   const struct roster_row **second);

/* The row of a batch at a moment, in `tank` unless that is empty. The number may lack zeros at its
 * start. *second is another tank it is in as well. */
const struct roster_row *roster_batch(const struct roster *roster, struct str number,
                                      struct str tank, int64_t at,
                                      const struct roster_row **second);

/* Any row of a batch of that number, or NULL. */
const struct roster_row *roster_find(const struct roster *roster, struct str number);

/* The row that a line of an empty tank speaks of all the same, or NULL: of beer that left in just
 * that minute, or, within a day, of one more part of it, hl, that goes into the tank `to` ("": the
 * line tells of no move). */
const struct roster_row *roster_left(const struct roster *roster, struct str tank, int64_t at,
                                     struct str to, double hl);

/* The last row of a tank before a moment, and the first one after it; NULL where there is none. */
const struct roster_row *roster_before(const struct roster *roster, struct str tank, int64_t at);
const struct roster_row *roster_after(const struct roster *roster, struct str tank, int64_t at);

/* Notes that a batch, or hl of it (NAN: all), went from one tank into another, or left it (to
 * empty), at a moment. The tank counts as empty from the first part on. Returns the row as it is
 * then. */
const struct roster_row *roster_move(struct roster *roster, struct arena *arena,
                                     const struct roster_row *row, struct str to, int64_t at,
                                     double hl);

/* The path of a broken file that names the tank, or NULL: then it is not known what is in it. */
const char *roster_doubt(const struct roster *roster, struct str tank);

/* True when both are the same number, zeros at the start left out. */
bool roster_same_number(struct str a, struct str b);

/* The digits that a name ends with: "6" of "FV6"; empty where there are none. */
struct str roster_number(struct str name);

#endif
