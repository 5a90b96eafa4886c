/* The packaging line: do its figures agree with each other and with the tank? */
#include "anomaly_run.h"
#include "civil.h"
#include "ledger.h"

#include <math.h>

#define COUNT_OFF 0.02  /* of the volume: containers are filled no better */
#define LOSS_MOST 0.06  /* of what went into the tank */
#define GAIN_MOST 0.005 /* beer meters err by 0.5 % at most (27 CFR 25.42) */

enum { STILL_MATTERS = 3 }; /* days that a packaging is told */

static double volume_of(const struct batch_event *event)
{
    double hectolitres = 0;
    for (size_t i = 0; i < event->containers.n; i++) {
        const struct batch_container *container = &event->containers.items[i];
        if (!figure_is_exact(&container->size))
            return NAN;
        hectolitres += container->size.value * (double)container->count.n;
    }
    return event->containers.n == 0 ? NAN : hectolitres;
}

/* All that was packaged of a stay, up to now; NAN where a volume is missing. */
static double packaged_of(const struct batch *batch, const struct batch_stay *stay)
{
    double hectolitres = 0;
    for (size_t i = 0; i < batch->happened.n; i++) {
        const struct batch_event *event = batch->happened.items[i];
        if (event->what != EVENT_PACKAGE || event->at.at < stay->from || event->at.at > stay->to ||
            (event->tank != NULL && !str_eq(event->tank->text, stay->tank)))
            continue;
        if (!figure_is_exact(&event->volume))
            return NAN;
        hectolitres += event->volume.value;
    }
    return hectolitres;
}

/* What other batches took of a stay, up to now. */
static double taken_of(const struct ledger_draws *draws, const struct batch *batch,
                       const struct batch_stay *stay)
{
    double hectolitres = 0;
    for (size_t i = 0; i < draws->n; i++) {
        const struct ledger_draw *draw = &draws->items[i];
        if (str_eq(draw->from, text_of(batch->number)) && draw->at >= stay->from &&
            draw->at <= stay->to)
            hectolitres += draw->hl;
    }
    return hectolitres;
}

static const char *volume_text(const struct anomaly_run *run, double hectolitres)
{
    const struct quantity_unit *house =
        run->book->house_units ? run->book->cellar->house[QUANTITY_VOLUME] : NULL;
    const struct quantity_unit *unit =
        house != NULL ? house : quantity_library_unit(QUANTITY_VOLUME);
    struct buf buf = buf_new(run->book->arena);
    quantity_write(&buf, QUANTITY_VOLUME, hectolitres, unit, unit->decimals);
    return buf.p;
}

static void report(struct anomaly_run *run, const struct batch *batch, int64_t at, struct str tank,
                   const char *what, double is, double should, const char *source)
{
    struct anomaly_finding f = anomaly_finding_of(ANOMALY_LINE_FIGURES, at);
    f.batch = batch;
    f.tank = tank;
    f.order = anomaly_walk_order(run->book, tank);
    struct buf buf = buf_new(run->book->arena);
    buf_printf(&buf, "%s %s", what, volume_text(run, is));
    f.reading = buf_str(&buf);
    buf = buf_new(run->book->arena);
    buf_printf(&buf, "about %s", volume_text(run, should));
    f.expected = buf_str(&buf);
    f.source = str_of(source);
    anomaly_add(run, f);
}

/* By more than a rounding of the last binary digit: 98 kegs of 30 L are 29.4 hL. */
static bool exceeds(double is, double most)
{
    return is > most + 1e-9;
}

static void judge_event(struct anomaly_run *run, const struct batch *batch,
                        const struct batch_event *event, const struct ledger_draws *draws)
{
    const struct batch_stay *stay = batch_stay_at(batch, text_of(event->tank), event->at.at - 1);
    struct str tank = stay == NULL ? text_of(event->tank) : stay->tank;
    double counted = volume_of(event);
    if (figure_is_exact(&event->volume) &&
        exceeds(fabs(counted - event->volume.value), COUNT_OFF * event->volume.value))
        report(run, batch, event->at.at, tank, "the containers hold", counted, event->volume.value,
               "the volume written beside them");
    if (stay == NULL || !event->empty.yes || !figure_is_exact(&stay->entry->volume))
        return;
    double filled = stay->entry->volume.value - taken_of(draws, batch, stay);
    double packaged = packaged_of(batch, stay);
    if (exceeds(filled * (1 - LOSS_MOST), packaged) || exceeds(packaged, filled * (1 + GAIN_MOST)))
        report(run, batch, event->at.at, tank, "packaged", packaged, filled,
               "what went into the tank");
}

void anomaly_of_line(struct anomaly_run *run)
{
    int64_t since = anomaly_told_since(run, STILL_MATTERS);
    struct ledger_draws draws = {NULL, 0, 0};
    for (size_t i = 0; i < run->book->batch_count; i++)
        ledger_add_draws(&draws, run->book->arena, run->book->batches[i]);
    for (size_t i = run->book->batch_count; i-- > 0;) {
        const struct batch *batch = run->book->batches[i];
        for (size_t k = 0; run->book->asked[i] && k < batch->happened.n; k++) {
            const struct batch_event *event = batch->happened.items[k];
            if (event->what == EVENT_PACKAGE && event->at.at >= since)
                judge_event(run, batch, event, &draws);
        }
    }
}
