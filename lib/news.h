/*
 * The cellar's news before the morning meeting, from one reading of the book: which meters to
 * calibrate first, alarms and warnings, what to do in which tank today, what finished since
 * yesterday, what the week brings, which plans clash, what was not read yesterday, and what is
 * wrong in the book.
 *
 * News points into the occupancy that it was made from.
 */
#ifndef GYLE_NEWS_H
#define GYLE_NEWS_H

#include "diag.h"
#include "occupancy.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum news_part {
    NEWS_METERS,
    NEWS_ALARMS,
    NEWS_WARNINGS,
    NEWS_TO_DO,
    NEWS_FINISHED,
    NEWS_WEEK,
    NEWS_PLANS,
    NEWS_MISSED,
    NEWS_BOOK,
    NEWS_PARTS
};

/* What the subject counts, the gravest first. */
enum news_count {
    NEWS_COUNT_NOTHING,
    NEWS_COUNT_ALARM,
    NEWS_COUNT_WARNING,
    NEWS_COUNT_MISTAKE,
    NEWS_COUNT_CHILL,
    NEWS_COUNT_VDK,
    NEWS_COUNT_CARBONATE,
    NEWS_COUNT_MOVE,
    NEWS_COUNT_PACKAGE,
    NEWS_COUNT_FINISHED,
    NEWS_COUNT_CALIBRATE,
    NEWS_COUNT_CLASH,
    NEWS_COUNT_NOT_READ,
    NEWS_COUNT_OTHER, /* told where nothing else is */
    NEWS_COUNTS
};

struct news_item {
    enum news_part part;
    enum news_count count;
    struct str place;       /* the tank, else the meter, the check, the person; "" */
    struct str batch, beer; /* "" where it belongs to none */
    struct str text;        /* what is the matter, or what to do */
    struct str more;        /* what else to know, or "" */
    struct str first;       /* of a finding: the first thing to do, or "" */
    struct str caution;     /* where work can hurt, or "" */
    int64_t at;             /* NEWS_WEEK: when */
    struct news_item *next;
};

struct news {
    struct arena *arena;
    const struct cellar *cellar;
    int64_t now;
    struct news_item *first, **end; /* in the order in which they came; a part's are in order */
    size_t counts[NEWS_COUNTS];
    bool found; /* something is wrong: an alarm, a beer stuck, a meter not to be used, a clash */
};

/* What an occupancy must have been read with, so that news can be made of it. */
int64_t news_since(const struct cellar *cellar, int64_t now);

/* Diags has what was told as the files were read. To it goes what gyle-validate says of each plant
 * log that is kept and of each file of beer that was there since yesterday; older files, and what
 * files say of each other, are left to it. */
struct news *news_make(struct arena *arena, const struct book *book,
                       const struct occupancy *occupancy, struct diags *diags);

/* Text: the subject, the cellar and the moment, then part by part, in lines of at most 72 columns
 * that end in no blank; a figure is not parted from its unit. TSV has the columns part, place,
 * batch, beer, at, text, more, first, caution. Errors of the output are left for ferror(). */
void news_write_text(FILE *out, const struct news *news);
void news_write_tsv(FILE *out, const struct news *news);

#endif
