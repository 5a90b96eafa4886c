/*
 * Plots of the small batches of finish_book.h, with earlier batches of the same beer where that is
 * asked for. For tests only.
 */
#ifndef GYLE_TESTS_PLOT_BOOK_H
#define GYLE_TESTS_PLOT_BOOK_H

#include "finish_book.h"
#include "plot.h"

#include <math.h>

#define PLOT_BOOK_BEERS                                                                            \
    "  Pale: {yeast: ale, terminal: 2.2..2.8 P, ph: 4.0..4.5, ferment: 18..20 C, cold: -1..2 C}\n" \
    "  Plain: {yeast: ale}\n"

/* The keys of an ordinary batch. */
#define PLOT_BOOK_PITCHED "original: 12 P\nevents: [{at: 2026-11-01 15:00, what: pitch}]\n"

static const bool PLOT_BOOK_ALL[PLOT_QUANTITIES] = {true, true, true, true};

/* So many earlier batches of a beer, each a little unlike the one before. */
static inline void plot_book_history(struct history *history, const char *beer, size_t n)
{
    static const double PLATO[] = {11.3, 7.9, 4.3, 2.9, 2.5, 2.4, 2.4};
    enum { DAYS = sizeof PLATO / sizeof PLATO[0] };
    struct arena *arena = history->arena;
    history->batches.items = arena_array(arena, n + 1, sizeof *history->batches.items);
    history->batches.n = n;
    for (size_t i = 0; i < n; i++) {
        double shift = 0.1 * (double)(i % 3) - 0.1;
        struct history_batch *batch = &history->batches.items[i];
        double *hours = arena_array(arena, DAYS + 1, sizeof *hours);
        double *left = arena_array(arena, DAYS + 1, sizeof *left);
        struct buf number = buf_new(arena);
        buf_printf(&number, "0%zu", i);
        *batch =
            (struct history_batch){.number = buf_str(&number),
                                   .beer = str_of(beer),
                                   .yeast = YEAST_ALE,
                                   .zero = FINISH_BOOK_PITCH - (int64_t)(n - i) * 20 * CIVIL_DAY,
                                   .original_plato = 12 + shift,
                                   .end_plato = 2.4,
                                   .end_hours = 17 + 24 * 4,
                                   .steady_hours = 17 + 24 * 6,
                                   .abv_percent = NAN};
        batch->points.items = arena_array(arena, DAYS, sizeof *batch->points.items);
        left[0] = 1;
        for (size_t k = 0; k < DAYS; k++) {
            double plato = PLATO[k] + (k < 4 ? shift : 0);
            hours[k + 1] = 17 + 24 * (double)k;
            left[k + 1] = (plato - 2.4) / (9.6 + shift);
            batch->points.items[batch->points.n++] = (struct history_point){
                .hours = hours[k + 1], .plato = plato, .ph = 4.4 + shift / 10, .celsius = 19};
        }
        batch->course = (struct remain_course){hours, left, DAYS + 1, batch->end_hours};
    }
}

/* The plot of a batch, with so many earlier ones. */
static inline struct plot plot_book_plot(struct finish_book *book, const char *beer,
                                         const char *keys, const char *days, const char *more,
                                         int now_day, size_t earlier)
{
    struct history history = {.arena = &book->arena};
    struct plot plot = {.cellar = book->book.cellar, .arena = &book->arena};
    finish_book_batch(book, beer, keys, days, more, now_day);
    plot_book_history(&history, beer, earlier);
    memcpy(plot.shown, PLOT_BOOK_ALL, sizeof plot.shown);
    for (size_t i = 0; i < book->courses.n; i++)
        plot_add(&plot, &book->context, &book->courses.items[i], &history);
    return plot;
}

#endif
