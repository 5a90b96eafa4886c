/*
 * Adding entries to the book: each is judged against the book as it is, and those that are new go
 * to the end of their list, file by file, each file all or nothing.
 *
 * What happened to an entry stands in it: state, reason, remarks. Nothing counts as added before
 * its file is in place and synced.
 */
#ifndef GYLE_INGEST_H
#define GYLE_INGEST_H

#include "book.h"
#include "entry.h"
#include "gitlock.h"
#include "likely.h"
#include "roster.h"
#include "store.h"
#include "typed.h"

struct ingest {
    struct arena *arena;
    const struct book *book;
    int64_t now;
    bool dry_run; /* judge, write nothing: entries stay ENTRY_TAKEN */
    bool correct; /* another figure for a reading that is there becomes a correction */

    struct gitlock git; /* of the repository that keeps the book */
    struct roster *roster;
    struct likely *likely;
    LIST(const char *) written; /* paths of the files that were given new bytes */
    bool trouble;               /* a file could not be read or written */
};

/* Reads the book's batches anew, when git has left the work tree alone. To be called under the
 * book's lock, before entries are read. NULL, or why nothing can be added now. */
const char *ingest_begin(struct ingest *ingest);

/* Judges the waiting entries and writes the new ones. Those whose file was changed by another
 * program meanwhile, git among them, are tried again. */
void ingest_run(struct ingest *ingest, struct entry_list *list);

/* The bytes that another state of a file (base) would have with what was added to the file: for a
 * commit beside changes that are not to go with it. *why: it cannot be made. */
struct str ingest_bytes_on(struct ingest *ingest, struct entry_list *list, const char *path,
                           struct str base, const char **why);

#endif
