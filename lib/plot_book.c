#include "plot_book.h"

struct plot plot_book(const struct finish_context *context, const struct history *history,
                      const struct baselines *baselines, const struct batch_courses *courses,
                      const bool shown[PLOT_QUANTITIES])
{
    struct plot plot = {.cellar = context->cellar, .arena = context->arena, .baselines = baselines};
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        plot.shown[reads] = shown[reads];
    for (size_t i = 0; i < courses->n; i++)
        plot_add(&plot, context, &courses->items[i], history);
    return plot;
}
