/*
 * Where a beer should end: an interval of apparent extract, and what says so. A forced value is
 * taken first (both ends, over all flasks; one from before a dry hop or an addition only where none
 * came after it, and then as an upper end alone), else the beer's terminal, else what its earlier
 * batches reached. Around it lies a margin, since no two results agree better than their method
 * does.
 *
 * A forced value's margin follows from who read it and how: the published 95 % limits of two
 * results of one laboratory (r95, with what reading the tank adds) or of two laboratories (R95),
 * in % of the original, rounded to 0.1 P: W. Hagen and H. Schwarz for the EBC Analysis Committee,
 * Monatsschrift fuer Brauwissenschaft 52 (5/6), 94, 1999, industrial wort. The rapid method ends
 * 0.8 % of the original short of the full one there, so the beer may end lower by that.
 */
#ifndef GYLE_LIMIT_H
#define GYLE_LIMIT_H

#include "batch.h"

#include <stdbool.h>
#include <stdint.h>

enum limit_source { LIMIT_NONE, LIMIT_FORCED, LIMIT_TERMINAL, LIMIT_BASELINE };

/* "forced", "terminal", "baseline"; "" for LIMIT_NONE. */
extern const char *const LIMIT_SOURCES[];

struct limit {
    double low_plato, high_plato; /* NAN: that end is not known */
    double margin_plato;
    const char *margin_why; /* "lab: not told", "own laboratory", ...; "" without a limit */
    enum limit_source source;
    bool upper_only;     /* a forced value from before a dry hop or an addition: it may end lower */
    bool forced_high;    /* a forced value was passed over: it stopped near half of the original */
    double passed_plato; /* that value, else NAN */
};

/* Where the original is not known, margins are those of a wort of this extract, P. */
#define LIMIT_USUAL_ORIGINAL 12.0

/* What the earlier batches of the beer reached; has == false: not known. */
struct limit_baseline {
    double low_plato, high_plato;
    bool has;
};

/* A forced sample that itself stops above this share of the original says that something is wrong
 * with wort or yeast, not where the beer should end. "About half": common practice, no source. */
#define LIMIT_FORCED_HIGHEST_SHARE 0.45

/* The limit of a settled batch as of now; original_plato may be NAN. */
struct limit limit_of(const struct batch *batch, double original_plato,
                      struct limit_baseline baseline, int64_t now);

/* Is gravity at or under the upper end plus so much? False where no upper end is known. */
bool limit_reached(const struct limit *limit, double plato, double extra_plato);

/* Is it under the lower end by more than the margin? False where no lower end is known. */
bool limit_is_under(const struct limit *limit, double plato);

#endif
