#include "plot_book.h"

static void read_history(struct history *history, const struct finish_context *context,
                         const struct shelf *shelf)
{
    for (size_t i = 0; i < shelf->batches.n; i++) {
        struct batch_courses courses =
            batch_courses(shelf->batches.items[i].batch, context->arena, context->now);
        for (size_t k = 0; k < courses.n; k++) {
            struct finish finish = finish_judge(context, &courses.items[k]);
            history_add(history, &finish);
        }
    }
}

struct plot plot_book(const struct finish_context *context, const struct shelf *shelf,
                      const struct batch_courses *courses, const bool shown[PLOT_QUANTITIES])
{
    struct plot plot = {.cellar = context->cellar, .arena = context->arena};
    struct history history = {.arena = context->arena};
    for (int reads = 0; reads < PLOT_QUANTITIES; reads++)
        plot.shown[reads] = shown[reads];
    if (courses->n > 0)
        read_history(&history, context, shelf);
    for (size_t i = 0; i < courses->n; i++)
        plot_add(&plot, context, &courses->items[i], &history);
    return plot;
}
