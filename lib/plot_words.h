/*
 * The words of a chart, alike for text and picture: titles, what each sign stands for, what a
 * quantity reads now. Each appends to the buffer; names that come from files are appended as they
 * are, and must be escaped by whoever writes them out.
 */
#ifndef GYLE_PLOT_WORDS_H
#define GYLE_PLOT_WORDS_H

#include "plot.h"

/* "0420 Chalkline Pale, FV5, day 4: fermenting, 3.1 P in the last day"; the short one with the
 * short name. */
void plot_words_title(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);
void plot_words_short_title(struct buf *buf, const struct plot *plot,
                            const struct plot_batch *batch);

/* The number of a batch, the beer, the tank: "0420 Chalkline Pale, FV5". Short names have cut what
 * is longer than names are, so that there is room for what is said of the batch. */
void plot_words_name(struct buf *buf, const struct plot_batch *batch);

/* The name of a quantity: "gravity", "pH", "temp", "pressure". */
const char *plot_words_quantity(int reads);

/* The last reading in its unit and with that unit's usual digits, "5.3 P" or "<4.7"; nothing when
 * there is none. */
void plot_words_last(struct buf *buf, const struct plot *plot, const struct plot_batch *batch,
                     int reads);

/* One of several batches: the short name, the verdict, the last reading of each quantity. */
void plot_words_one(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

/* "limits, gravity 2.2..2.8 P terminal". */
void plot_words_limit(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

/* "end about 27 Nov 09:10 (26 Nov 21:00 to 28 Nov 02:30)". */
void plot_words_forecast(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

/* A kind of event; of a batch alone with its days, "dry hop 19 Nov, 21 Nov". */
void plot_words_event(struct buf *buf, const struct plot *plot, int event_what);

/* A reading in its unit and when it was taken, "5.3 P, 24 Nov 07:57", with the reason where it is
 * not judged by. */
void plot_words_reading(struct buf *buf, const struct plot *plot, int reads,
                        const struct plot_reading *reading);

/* All of a chart's batch in sentences, for those who cannot see it. */
void plot_words_describe(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

/* What is not shown, and why: no curve, no forecast, no band, readings taken back. A clause each,
 * on lines of their own. */
void plot_words_missing(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

/* The first of those clauses, which goes from *rest. */
struct str plot_words_clause(struct str *rest);

/* "0423 Chalkline Pale, FV5: nothing to draw, no reading of gravity yet.": which quantities were
 * asked for and not read. */
void plot_words_nothing(struct buf *buf, const struct plot *plot, const struct plot_batch *batch);

#endif
