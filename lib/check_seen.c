/* The rules that seen: entries name: those of gyle-anomaly, and the few of gyle-validate that speak
 * of a figure that may be true. */
#include "check_rules.h"

static const enum rule SEEN_RULES[] = {RULE_AFTER_END, RULE_HIGH_GRAVITY, RULE_HOT,
                                       RULE_HIGH_PRESSURE, RULE_STEP};
enum { SEEN_COUNT = sizeof SEEN_RULES / sizeof SEEN_RULES[0] };

/* By name only: what gyle-anomaly makes of them is no matter here. */
static const char *const ANOMALY_NAMES[] = {
#define ANOMALY(id, name, level, alone, scope, reads, judge, meaning, normal, causes, first,       \
                caution)                                                                           \
    name,
#include "anomaly.def"
};
enum { ANOMALY_NAME_COUNT = sizeof ANOMALY_NAMES / sizeof ANOMALY_NAMES[0] };

static const char *name_at(const void *table, size_t i)
{
    (void)table;
    return i < ANOMALY_NAME_COUNT ? ANOMALY_NAMES[i]
                                  : RULES[SEEN_RULES[i - ANOMALY_NAME_COUNT]].name;
}

static bool is_known(struct str name)
{
    for (size_t i = 0; i < ANOMALY_NAME_COUNT + SEEN_COUNT; i++)
        if (str_is(name, name_at(NULL, i)))
            return true;
    return false;
}

static void check_name(const struct check *check, const struct source *source,
                       const struct doc_node *name)
{
    const char *shown = str_shown(check->diags->arena, name->text);
    const char *nearest = str_nearest(name->text, name_at, NULL, ANOMALY_NAME_COUNT + SEEN_COUNT);
    struct place place = doc_place(source, name);
    if (rule_find(name->text) != RULE_COUNT)
        diag_add(check->diags, place, RULE_SEEN,
                 "%s cannot be acknowledged: mend what it says, or choose its level under lint: in "
                 "cellar.yaml",
                 shown);
    else
        diag_add(check->diags, place, RULE_SEEN, "no rule is called \"%s\"%s", shown,
                 str_meant(check->diags->arena, nearest, ": gyle-anomaly --rules lists them"));
}

void check_seen(const struct check *check, const struct batch *batch)
{
    for (size_t i = 0; i < batch->seen.n; i++) {
        const struct doc_node *name = batch->seen.items[i].rule;
        if (name != NULL && !is_known(name->text))
            check_name(check, batch->source, name);
    }
}
