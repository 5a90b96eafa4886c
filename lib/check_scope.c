#include "check_scope.h"

struct place check_at(const struct scope *s, const struct doc_node *node)
{
    return doc_place(s->batch->source, node);
}

const char *check_shown(const struct scope *s, struct str text)
{
    return str_shown(s->diags->arena, text);
}

const char *check_minute_text(const struct scope *s, int64_t moment, char text[CIVIL_TEXT_SIZE])
{
    return civil_minute(s->check->cellar->zone, moment, text);
}

const char *check_written(const struct scope *s, const struct figure *figure)
{
    return figure->node == NULL ? "" : check_shown(s, figure->node->text);
}

const char *check_in_unit_of(const struct scope *s, enum quantity quantity, double value,
                             const struct figure *figure)
{
    struct buf buf = buf_new(s->diags->arena);
    quantity_write(&buf, quantity, value, figure->unit, -1);
    return buf.p;
}

const char *check_tank_list(const struct scope *s, int64_t moment)
{
    struct buf buf = buf_new(s->diags->arena);
    for (size_t i = 0; i < s->batch->stays.n && i < CHECK_MOST_STAYS; i++) {
        const struct batch_stay *stay = &s->batch->stays.items[i];
        if (moment >= stay->from && moment < stay->to)
            buf_printf(&buf, "%s%s", buf.n == 0 ? "" : " and ", check_shown(s, stay->tank));
    }
    return buf.n == 0 ? "none" : buf.p;
}

bool check_is_seen(const struct scope *s, enum rule rule, const struct reading *reading)
{
    enum { SEEN_WITHIN = 2 * CIVIL_DAY };
    for (size_t i = 0; i < s->batch->seen.n; i++) {
        const struct batch_seen *seen = &s->batch->seen.items[i];
        if (seen->rule == NULL || !str_is(seen->rule->text, RULES[rule].name) || !seen->at.set ||
            (seen->tank != NULL && !str_eq(seen->tank->text, reading->where)))
            continue;
        int64_t later = seen->at.at - reading->at.at;
        if (later >= 0 && later <= SEEN_WITHIN)
            return true;
    }
    return false;
}
