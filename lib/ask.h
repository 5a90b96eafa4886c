/*
 * Asking the one who typed it, before anything is written, about each entry that is unlikely.
 */
#ifndef GYLE_ASK_H
#define GYLE_ASK_H

#include "typed.h"

#include <stdio.h>

/* Shows on `out` each entry of the list that is to be added though it is unlikely, and reads yes or
 * no from `in`. Those that are declined become ENTRY_LEFT; so do all that are left when `in` ends.
 */
void ask_unlikely(FILE *in, FILE *out, struct arena *arena, const struct entry_list *list,
                  const struct civil_zone *zone);

/* Marks as ENTRY_LEFT what was left out of another reading of the same sources. */
void ask_apply(const struct entry_list *asked, struct entry_list *list);

#endif
