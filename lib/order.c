#include "order.h"

#include <stdlib.h>

int order_of(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

int order_then(int first, int second)
{
    return first != 0 ? first : second;
}

void order_sort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *))
{
    if (n > 0)
        qsort(items, n, size, compare);
}
