#include "lint.h"

static const char *rule_name(const void *table, size_t i)
{
    (void)table;
    return RULES[i].name;
}

/* Sets one level. NULL, or what is wrong. */
static const char *set(struct diags *diags, struct str name, struct str level_name)
{
    struct buf why = buf_new(diags->arena);
    const char *shown = str_shown(diags->arena, name);
    enum rule rule = rule_find(name);
    int level = diag_level_find(level_name);
    if (rule == RULE_COUNT) {
        const char *nearest = str_nearest(name, rule_name, NULL, RULE_COUNT);
        buf_printf(&why, "no rule is called \"%s\"%s", shown,
                   str_meant(diags->arena, nearest, "; gyle-validate --rules lists them"));
    } else if (level < 0) {
        buf_printf(&why, "%s: write off, warning or error, not \"%s\"", shown,
                   str_shown(diags->arena, level_name));
    } else if (rule <= RULE_LAST_FIXED && level != DIAG_ERROR) {
        buf_printf(&why, "%s is always an error: the file cannot be read then", shown);
    } else {
        diag_set_level(diags, rule, (enum diag_level)level);
        return NULL;
    }
    return why.p;
}

void lint_apply(struct diags *diags, const struct source *source, const struct doc_node *lint)
{
    if (lint == NULL || doc_is_null(lint))
        return;
    if (lint->kind != DOC_MAP) {
        diag_add(diags, doc_place(source, lint), RULE_SHAPE,
                 "lint must be a mapping such as {gap: off, step: warning}");
        return;
    }
    for (const struct doc_node *n = lint->first; n != NULL; n = n->next) {
        const char *why = n->kind == DOC_SCALAR ? set(diags, n->key->text, n->text)
                                                : "write off, warning or error";
        if (why != NULL)
            diag_add(diags, doc_place(source, n->key), RULE_LINT, "%s", why);
    }
}

const char *lint_set(struct diags *diags, struct str text)
{
    struct str rest = text, name = str_split(&rest, '=');
    if (rest.p == NULL)
        rest = (struct str){"", 0};
    return set(diags, name, rest);
}
