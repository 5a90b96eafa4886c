/*
 * One entry into the book, from what was typed to what stands there: the input is read and judged,
 * doubtful entries are asked about, and under the book's lock the files are written and committed,
 * and what was refused goes to a file of its own. Nothing is printed but questions to the terminal;
 * what became of it all is told in the struct.
 */
#ifndef GYLE_ENTER_H
#define GYLE_ENTER_H

#include "ingest.h"

struct enter {
    struct arena *arena;
    const struct book *book;
    int64_t now;
    const struct source *sources;
    size_t source_count;
    struct str from; /* "" when a source itself tells what it is; see intake.h */
    bool dry_run, correct, ask, commit;
    const char *reject_path; /* NULL: what is refused is kept nowhere */

    /* What came of it. */
    struct entry_list list;
    bool judged;        /* the list says what became of each entry */
    struct diags diags; /* what is wrong in the book's own files */
    LIST(const char *) says;
    size_t say_capacity;
};

/* True when all was done that was asked for; refused lines are no trouble. Else says tells why. */
bool enter_book(struct enter *enter);

#endif
