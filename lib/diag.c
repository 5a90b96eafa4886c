#include "diag.h"

#include "order.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

const struct rule_info RULES[RULE_COUNT] = {
#define RULE(id, name, level, meaning, mend, example) [id] = {name, level, meaning, mend, example},
#include "rules.def"
#undef RULE
};

static const char *const LEVEL_NAMES[] = {
    [DIAG_OFF] = "off", [DIAG_NOTE] = "note", [DIAG_WARNING] = "warning", [DIAG_ERROR] = "error"};

enum rule rule_find(struct str name)
{
    for (size_t i = 0; i < RULE_COUNT; i++)
        if (str_is(name, RULES[i].name))
            return (enum rule)i;
    return RULE_COUNT;
}

const char *diag_level_name(enum diag_level level)
{
    return LEVEL_NAMES[level];
}

void diag_init(struct diags *diags, struct arena *arena)
{
    *diags = (struct diags){.arena = arena};
    for (size_t i = 0; i < RULE_COUNT; i++)
        diags->level[i] = (unsigned char)RULES[i].level;
}

void diag_init_silent(struct diags *diags, struct arena *arena)
{
    diag_init(diags, arena);
    diags->silent = true;
}

void diag_init_like(struct diags *diags, struct arena *arena, const struct diags *other)
{
    *diags = (struct diags){.arena = arena, .silent = other->silent};
    memcpy(diags->level, other->level, sizeof diags->level);
    memcpy(diags->chosen, other->chosen, sizeof diags->chosen);
}

int diag_level_find(struct str name)
{
    for (int level = DIAG_OFF; level <= DIAG_ERROR; level++)
        if (level != DIAG_NOTE && str_is(name, LEVEL_NAMES[level]))
            return level;
    return -1;
}

static void count(struct diags *diags)
{
    diags->errors = diags->warnings = 0;
    for (size_t i = 0; i < diags->n; i++) {
        diags->errors += diags->items[i].level == DIAG_ERROR;
        diags->warnings += diags->items[i].level == DIAG_WARNING;
    }
}

void diag_set_level(struct diags *diags, enum rule rule, enum diag_level level)
{
    if (rule <= RULE_LAST_FIXED)
        return;
    diags->level[rule] = (unsigned char)level;
    diags->chosen[rule] = true;
    size_t n = 0;
    for (size_t i = 0; i < diags->n; i++) {
        diags->items[n] = diags->items[i];
        if (diags->items[n].rule == rule)
            diags->items[n].level = level;
        n += diags->items[n].level != DIAG_OFF;
    }
    diags->n = n;
    count(diags);
}

/* Findings about one file mostly follow each other: share the copy of its name. */
static struct str kept_name(struct diags *diags, struct str name)
{
    if (diags->n > 0 && str_eq(diags->items[diags->n - 1].file, name))
        return diags->items[diags->n - 1].file;
    return str_copy(diags->arena, name);
}

__attribute__((format(printf, 2, 0))) static const char *
format_message(struct arena *arena, const char *format, va_list args)
{
    char usual[240];
    va_list again;
    va_copy(again, args);
    int length = vsnprintf(usual, sizeof usual, format, again);
    va_end(again);
    if (length < 0)
        return format;
    if ((size_t)length < sizeof usual)
        return arena_copy(arena, usual, (size_t)length);
    char *message = arena_raw(arena, (size_t)length + 1);
    vsnprintf(message, (size_t)length + 1, format, args);
    return message;
}

static void add(struct diags *diags, struct place place, enum rule rule, enum diag_level level,
                const char *format, va_list args) __attribute__((format(printf, 5, 0)));

static void add(struct diags *diags, struct place place, enum rule rule, enum diag_level level,
                const char *format, va_list args)
{
    if (level == DIAG_OFF)
        return;
    diags->errors += level == DIAG_ERROR;
    diags->warnings += level == DIAG_WARNING;
    if (diags->silent)
        return;
    if (diags->n == diags->capacity)
        diags->items =
            arena_grow(diags->arena, diags->items, &diags->capacity, sizeof *diags->items);
    const char *message = format_message(diags->arena, format, args);

    diags->items[diags->n] = (struct diag){.file = kept_name(diags, place.source->name),
                                           .line = place.line,
                                           .column = place.column,
                                           .level = level,
                                           .rule = rule,
                                           .message = message,
                                           .order = diags->n};
    diags->n++;
}

void diag_add(struct diags *diags, struct place place, enum rule rule, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add(diags, place, rule, (enum diag_level)diags->level[rule], format, args);
    va_end(args);
}

void diag_add_level(struct diags *diags, struct place place, enum rule rule, enum diag_level level,
                    const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add(diags, place, rule, diags->chosen[rule] ? (enum diag_level)diags->level[rule] : level,
        format, args);
    va_end(args);
}

void diag_append(struct diags *diags, const struct diags *more)
{
    for (size_t i = 0; i < more->n; i++) {
        if (diags->n == diags->capacity)
            diags->items =
                arena_grow(diags->arena, diags->items, &diags->capacity, sizeof *diags->items);
        diags->items[diags->n] = more->items[i];
        diags->items[diags->n].order = diags->n;
        diags->n++;
    }
    count(diags);
}

static int compare(const void *left, const void *right)
{
    const struct diag *a = left, *b = right;
    int by_line = order_then(str_cmp(a->file, b->file), order_of(a->line, b->line));
    int by_column = order_then(by_line, order_of(a->column, b->column));
    return order_then(by_column, order_of((int64_t)a->order, (int64_t)b->order));
}

static bool is_said_again(const struct diag *a, const struct diag *b)
{
    return a->line == b->line && a->column == b->column && a->level == b->level &&
           a->rule == b->rule && str_eq(a->file, b->file) && strcmp(a->message, b->message) == 0;
}

void diag_sort(struct diags *diags)
{
    if (diags->n < 2)
        return;
    qsort(diags->items, diags->n, sizeof *diags->items, compare);
    size_t n = 1;
    for (size_t i = 1; i < diags->n; i++) {
        const struct diag *d = &diags->items[i];
        bool again = false;
        for (size_t k = n; k-- > 0 && !again && diags->items[k].line == d->line &&
                           diags->items[k].column == d->column &&
                           str_eq(diags->items[k].file, d->file);)
            again = is_said_again(&diags->items[k], d);
        if (!again)
            diags->items[n++] = *d;
        else if (d->level == DIAG_ERROR)
            diags->errors--;
        else if (d->level == DIAG_WARNING)
            diags->warnings--;
    }
    diags->n = n;
}

void diag_write(FILE *out, const struct diags *diags)
{
    for (size_t i = 0; i < diags->n; i++) {
        const struct diag *d = &diags->items[i];
        str_write_escaped(out, d->file);
        if (d->line > 0)
            fprintf(out, ":%u:%u", (unsigned)d->line, (unsigned)d->column);
        fprintf(out, ": %s: %s [%s]\n", diag_level_name(d->level), d->message, RULES[d->rule].name);
    }
}
