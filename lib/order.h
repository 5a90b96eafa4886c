/*
 * Sorting: how two things compare, to build compare functions from, and a sort that may be given
 * nothing.
 */
#ifndef GYLE_ORDER_H
#define GYLE_ORDER_H

#include <stddef.h>
#include <stdint.h>

/* Below 0, 0 or above 0 as a lies before, with or after b. */
int order_of(int64_t a, int64_t b);

/* The first order that tells, else the second. */
int order_then(int first, int second);

/* qsort(), but items may be NULL when there are none. */
void order_sort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *));

#endif
