/* The paragraph behind a verdict: see finish_explain(). */
#include "finish.h"
#include "words.h"

#include <math.h>
#include <string.h>

static const char *days_word(int n)
{
    return n == 1 ? "day" : "days";
}

static void say_readings(const struct finish_context *context, const struct finish *finish,
                         struct buf *text)
{
    enum { MOST = 10 };
    const struct sound_days *days = &finish->days;
    size_t from = finish->days_steady > 0 ? finish->run.first : days->n;
    from = from > 0 ? from - 1 : 0; /* with the reading that is not in the run */
    if (days->n - from > MOST)
        from = days->n - MOST;
    buf_printf(text, "Last reading of each day: ");
    for (size_t i = from; i < days->n; i++) {
        buf_printf(text, i == from ? "" : ", ");
        words_time(text, context->cellar, days->items[i]->at);
        buf_printf(text, " ");
        words_value(text, context->cellar, QUANTITY_GRAVITY, days->items[i]->plato);
    }
    buf_printf(text, ". ");
}

static bool uses_two_meters(const struct finish *finish)
{
    const struct doc_node *first = NULL;
    for (size_t i = finish->run.first; i < finish->days.n; i++) {
        const struct doc_node *meter = finish->days.items[i]->reading->meter[READS_GRAVITY];
        if (meter == NULL)
            continue;
        if (first == NULL)
            first = meter;
        else if (!str_eq(first->text, meter->text))
            return true;
    }
    return false;
}

static void say_run(const struct finish_context *context, const struct finish *finish,
                    struct buf *text)
{
    if (finish->roused != NULL && finish->run_from > 0) {
        buf_printf(text, "Only days after the %s of ",
                   BATCH_EVENTS[finish->roused->what - EVENT_PITCH]);
        words_time(text, context->cellar, finish->roused->at.at);
        buf_printf(text, " count. ");
    }
    buf_printf(text, "That makes %d %s of the same gravity", finish->days_steady,
               days_word(finish->days_steady));
    if (finish->days_steady > 0)
        buf_printf(text, finish->run.is_equal ? " (the same figure)" : " (all within one step)");
    buf_printf(text, "; this beer needs %d. ", finish->days_needed);
    if (FINISH_VERDICT[finish->verdict].is_over && finish->days_steady < finish->days_needed &&
        !finish->below_unconfirmed) {
        buf_printf(text, "It had them on ");
        words_time(text, context->cellar, finish->called_at);
        buf_printf(text, finish->fall_unconfirmed
                             ? ". "
                             : ", and what was read since does not undo that. ");
    }
    if (finish->run.skipped > 0)
        buf_printf(text, "%d %s without a reading not counted. ", finish->run.skipped,
                   days_word(finish->run.skipped));
    if (finish->days_steady > 1 && uses_two_meters(finish))
        buf_printf(text, "These days were read with more than one gravity meter. ");
}

static void say_limit(const struct finish_context *context, const struct finish *finish,
                      struct buf *text)
{
    const struct limit *limit = &finish->limit;
    const struct cellar *cellar = context->cellar;
    if (limit->forced_high) {
        buf_printf(text, "The forced value ");
        words_value(text, cellar, QUANTITY_GRAVITY, limit->passed_plato);
        buf_printf(text, " is passed over: a sample that stops near half of the original says "
                         "that wort or yeast is wrong. ");
    }
    if (limit->source == LIMIT_NONE) {
        buf_printf(text, "No limit is known: no forced value, and no terminal: of the beer. ");
        return;
    }
    buf_printf(text, "Limit ");
    words_gravity_limit(text, cellar, limit->low_plato, limit->high_plato);
    buf_printf(text, " (%s%s), margin ", LIMIT_SOURCES[limit->source],
               limit->upper_only ? ", from before a later addition, so it may end lower" : "");
    words_gravity_difference(text, cellar,
                             isnan(limit->high_plato) ? limit->low_plato : limit->high_plato,
                             limit->margin_plato);
    buf_printf(text, " (%s). ", limit->margin_why);
    if (finish->below_unconfirmed)
        buf_printf(text, "The last reading alone is below it: unconfirmed, read again. ");
}

static const char *const CHILL_WORDS[] = {
    [FINISH_WARM] = ". ",
    [FINISH_CHILLED_AT_END] = ", nearly at rest at its end, so cold days count. ",
    [FINISH_CHILLED_IN_FALL] = ", not seen at rest before, so cold days count only at the limit. ",
    [FINISH_CHILLED_BEFORE_END] = ", before its end, so cold days prove nothing. ",
};

static void say_chill(const struct finish_context *context, const struct finish *finish,
                      struct buf *text)
{
    if (!finish->chill.is_cold)
        return;
    buf_printf(text, finish->chill.by_event ? "Chilled on " : "Cold from ");
    words_time(text, context->cellar, finish->chill.at);
    bool fell_on =
        finish->chilled == FINISH_CHILLED_BEFORE_END && FINISH_VERDICT[finish->verdict].is_over;
    buf_printf(text, "%s",
               fell_on ? ", before its end, which it came to in the cold. "
                       : CHILL_WORDS[finish->chilled]);
}

static void say_left_out(const struct finish_context *context, const struct finish *finish,
                         struct buf *text)
{
    for (size_t i = 0; i < finish->sound.points.n; i++) {
        const struct sound_point *point = &finish->sound.points.items[i];
        if (point->state == SOUND_GOOD)
            continue;
        buf_printf(text, "Left out: ");
        words_time(text, context->cellar, point->at);
        buf_printf(text, ", %s. ", SOUND_WHY[point->state]);
    }
}

void finish_explain(const struct finish_context *context, const struct finish *finish,
                    struct buf *text)
{
    bool asks = strchr(finish->reason, '?') != NULL;
    buf_printf(text, "%s: %s%s ", FINISH_VERDICT[finish->verdict].name, finish->reason,
               asks ? "" : ".");
    if (finish->days.n > 0) {
        say_readings(context, finish, text);
        say_run(context, finish, text);
        say_limit(context, finish, text);
        say_chill(context, finish, text);
    }
    say_left_out(context, finish, text);
    text->p[--text->n] = '\0'; /* the space after the last sentence */
}
