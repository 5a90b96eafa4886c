/*
 * A plot of courses of the book, with what the rest of the book says of them.
 */
#ifndef GYLE_PLOT_BOOK_H
#define GYLE_PLOT_BOOK_H

#include "plot.h"

/* The courses as they come, judged by baselines where they are not NULL, else by the history. The
 * plot and its lists live in context->arena. */
struct plot plot_book(const struct finish_context *context, const struct history *history,
                      const struct baselines *baselines, const struct batch_courses *courses,
                      const bool shown[PLOT_QUANTITIES]);

#endif
