/*
 * What comes in, told apart: the filled sheet, an instrument's CSV, typed lines.
 */
#ifndef GYLE_INTAKE_H
#define GYLE_INTAKE_H

#include "ingest.h"
#include "typed.h"

/* NULL when `from` names a kind of input: "sheet", "lines" or one of the cellar's imports; else
 * what is wrong with it. */
const char *intake_check_kind(const struct cellar *cellar, struct arena *arena, struct str from);

/* Reads a source into the list. from: "" when the source itself tells what it is. Remarks on the
 * whole of it go to *notes. NULL, or why it cannot be read at all. */
const char *intake_read(const struct ingest *ingest, struct str from, const struct source *source,
                        struct entry_list *list, struct buf *notes);

#endif
