/*
 * The parts of check.h, one for each kind of thing checked. Used by check.c only.
 */
#ifndef GYLE_CHECK_RULES_H
#define GYLE_CHECK_RULES_H

#include "check.h"

/* How the bytes of a file begin and end. */
void check_text(struct diags *diags, const struct book_file *file);

/* A batch that is settled with all of its entries, later ones too. */
void check_batch(const struct check *check, const struct book_file *file,
                 const struct batch *batch);

/* What seen: entries name. */
void check_seen(const struct check *check, const struct batch *batch);

/* A pressure of a tank, and one that is rated for one: magnitude is what no tank can have, though a
 * bottle of gas can. True when nothing was found. */
bool check_tank_pressure(const struct check *check, const struct source *source, const char *key,
                         const struct figure *figure);

/* Counters that run backwards within one log. */
void check_counters(const struct check *check, const struct plant *plant);

/* Keeps what other files may need to know of a file's batches. */
void check_sum_up(struct check *check, const struct book_file *file, bool reported);

/* True when the name of a file is a plain number, or a month, and another one than text. */
bool check_name_differs(const struct source *source, struct str text);

/* What the checks of entries share: a moment that may not lie in the future, and a name that must
 * be declared. Nothing happens for a node that is NULL. */
void check_not_future(const struct check *check, const struct source *source,
                      const struct moment *moment);
void check_tank_name(const struct check *check, const struct source *source,
                     const struct doc_node *tank);
const struct cellar_meter *check_meter_name(const struct check *check, const struct source *source,
                                            const struct doc_node *meter);

#endif
