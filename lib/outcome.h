/*
 * What became of each entry, told to the one who typed it: text of one line an entry and one for
 * each remark, or TSV.
 */
#ifndef GYLE_OUTCOME_H
#define GYLE_OUTCOME_H

#include "typed.h"

#include <stdio.h>

/* What an entry says, in one line. */
struct str outcome_line(struct arena *arena, const struct entry *entry,
                        const struct civil_zone *zone);

/* What became of one entry, and the remarks on it. */
void outcome_entry(FILE *out, struct arena *arena, const struct entry *entry,
                   const struct civil_zone *zone, size_t width);

/* Text, lines of at most width columns where words allow it; with a count at the end. */
void outcome_text(FILE *out, struct arena *arena, const struct entry_list *list,
                  const struct civil_zone *zone, size_t width);

/* True when a line was refused. */
bool outcome_has_refused(const struct entry_list *list);

void outcome_tsv(FILE *out, struct arena *arena, const struct entry_list *list,
                 const struct civil_zone *zone);

/* The lines that were refused or could not be written, in the form they came in, each behind a
 * remark that tells why, so that they can be mended and read again. */
struct str outcome_rejects(struct arena *arena, const struct entry_list *list);

#endif
