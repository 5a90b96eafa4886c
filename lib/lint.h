/*
 * Levels of rules that a cellar chooses: `lint: {gap: off, high-pressure: error}`.
 */
#ifndef GYLE_LINT_H
#define GYLE_LINT_H

#include "diag.h"
#include "doc.h"
#include "str.h"

#include <stddef.h>

/* Sets the levels that the mapping lint names; NULL: nothing. What it names wrongly is a finding.
 */
void lint_apply(struct diags *diags, const struct source *source, const struct doc_node *lint);

/* Sets one from "NAME=LEVEL". NULL when that went well, else what is wrong, in the diags' arena. */
const char *lint_set(struct diags *diags, struct str text);

#endif
