/*
 * What the parts of store.h share. Used by store*.c only.
 */
#ifndef GYLE_STORE_PART_H
#define GYLE_STORE_PART_H

#include "store.h"

/* "cannot read batches/0417.yaml: ...". */
const char *store_explain(struct arena *arena, const char *what, const char *path, int error);

/* open(), again while it is interrupted. */
int store_open(const char *path, int flags);

#endif
