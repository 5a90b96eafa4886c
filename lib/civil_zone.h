/*
 * What a zone is made of, for civil.c and civil_zone.c alone: a list of spans, each with one
 * offset. A file's footer rule is written out as spans when the file is read, so that every later
 * question is one binary search.
 */
#ifndef GYLE_CIVIL_ZONE_H
#define GYLE_CIVIL_ZONE_H

#include <stddef.h>
#include <stdint.h>

/* One kind of local time. */
struct civil_kind {
    int offset;               /* seconds east of UTC */
    const char *abbreviation; /* printable ASCII */
};

struct civil_span {
    int64_t from; /* its first second, INT64_MIN for the first; it ends where the next begins */
    const struct civil_kind *kind;
};

struct civil_zone {
    const struct civil_span *spans; /* by from */
    size_t count;                   /* at least 1 */
    int lowest, highest;            /* offsets that occur */
};

#endif
