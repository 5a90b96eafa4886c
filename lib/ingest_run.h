/*
 * The parts of ingest.h: what one run holds, and what its parts do for each other. Used by
 * ingest*.c only.
 */
#ifndef GYLE_INGEST_RUN_H
#define GYLE_INGEST_RUN_H

#include "ingest.h"
#include "known.h"

enum { INGEST_WAIT_SECONDS = 10 }; /* for git */

/* A document of a target file, and what it holds. */
struct part {
    struct part *next;
    struct str name; /* the batch's number or the month */
    const struct doc_node *root;
    struct known *known;
    const struct batch *batch; /* settled; NULL: a plant log */
};

/* A file that entries go to, as it was read. */
struct target {
    struct target *next;
    struct store_file file;
    struct book_file *parsed;
    struct part *parts;
    const char *why;  /* it cannot be used; NULL: it can */
    struct str bytes; /* that it is to have */
};

struct run {
    struct ingest *ingest;
    struct arena *arena;
    struct book quiet; /* the book, with findings that are not shown */
    struct diags diags;
    struct entry_list *list;
    struct target *targets;
    enum entry_state taken; /* of the entries that are to be written: ENTRY_TAKEN */
};

/* Reads the documents of a target whose bytes are there. */
void ingest_read_parts(struct run *run, struct target *target);

/* The new bytes of a target; *why is set when they cannot be made. */
struct str ingest_make_bytes(struct run *run, struct target *target, const char **why);

/* Finds the document that an entry goes to, reads its file where that has not been done, and notes
 * its path in the entry. False: the entry is refused. */
bool ingest_find_part(struct run *run, struct entry *entry, struct part **part);

/* The month of an entry, as a plant log names it. */
struct str ingest_month(const struct run *run, const struct entry *entry);

/* The part of a target that has this name, or NULL. */
struct part *ingest_part(const struct target *target, struct str name, bool plant);

/* Judges one entry: ENTRY_TAKEN, ENTRY_THERE or ENTRY_REFUSED. */
void ingest_judge(struct run *run, struct entry *entry);

/* Makes the new bytes of a file and looks at them as gyle-validate does. True when that refused an
 * entry: then all must be judged again. */
bool ingest_check(struct run *run, struct target *target);

/* Writes what was taken, and marks it ENTRY_ADDED once it lasts. True when another program changed
 * a file meanwhile: then its entries wait again. */
bool ingest_write(struct run *run);

/* Findings of the run's own, at the levels that the cellar chose. */
void ingest_diags(const struct run *run, struct diags *diags);

#endif
