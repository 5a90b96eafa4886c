/*
 * Findings as people and programs read them: one a line as compilers write them, repeated ones
 * folded, a count at the end; or as TSV, each with its row.
 */
#ifndef GYLE_REPORT_H
#define GYLE_REPORT_H

#include "arena.h"
#include "diag.h"

#include <stdbool.h>
#include <stdio.h>

struct report {
    FILE *out;
    struct arena *arena;
    bool errors_only; /* leave warnings out */
    bool colour;
    size_t width; /* of the terminal: then the line of source is shown, with a caret; else 0 */

    /* The bytes of a file that findings name, for its lines; an empty text when they are not there
     * any more. Called once for each file, in order. */
    struct str (*text_of)(void *context, struct str file);
    void *context;
};

/* Findings with one rule and message in one file become one line that names the others' lines; of
 * one rule at most 25 lines are shown for a file, and the rest counted. The last line counts all.
 * Nothing is written when there is nothing. Diags must be sorted. */
void report_text(const struct report *report, const struct diags *diags);

/* Columns: file, line, column, level, rule, message. Every finding has its row. */
void report_tsv(const struct report *report, const struct diags *diags);

/* The rules with their present levels: for people, or as TSV with the columns rule, level, meaning,
 * mend, example. */
void report_rules(const struct report *report, const struct diags *diags, bool tsv);

#endif
