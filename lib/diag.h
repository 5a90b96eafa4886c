/*
 * What is wrong in a file, and where: findings with place, level, rule and message, collected,
 * sorted and written one a line as `file:line:col: error: message [rule]`, the form that editors
 * jump to.
 */
#ifndef GYLE_DIAG_H
#define GYLE_DIAG_H

#include "arena.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* The bytes of one file or stream, as read; more than these are refused. */
#define SOURCE_MOST_BYTES ((size_t)512 * 1024 * 1024)
struct source {
    struct str name; /* as given by the user, "-" for standard input */
    struct str text;
};

enum diag_level { DIAG_OFF, DIAG_NOTE, DIAG_WARNING, DIAG_ERROR };

enum rule {
#define RULE(id, name, level, meaning, mend, example) id,
#include "rules.def"
#undef RULE
    RULE_COUNT,
    RULE_LAST_FIXED = RULE_NESTING /* up to here a rule's level cannot be changed */
};

struct rule_info {
    const char *name;
    enum diag_level level;
    const char *meaning, *mend, *example;
};

extern const struct rule_info RULES[RULE_COUNT];

/* The rule of that name, or RULE_COUNT. */
enum rule rule_find(struct str name);
const char *diag_level_name(enum diag_level level); /* "error", "warning", "note", "off" */

/* Where: line and column count from 1, the column in characters. line 0: the file as a whole. */
struct place {
    const struct source *source;
    uint32_t line, column;
};

struct diag {
    struct str file;
    uint32_t line, column;
    enum diag_level level;
    enum rule rule;
    const char *message; /* shown as it is: parts from the input are already escaped */
    size_t order;        /* in which they were added; the last key of the sort */
};

struct diags {
    struct arena *arena; /* messages and file names live here, longer than any file read */
    struct diag *items;
    size_t n, capacity;
    size_t errors, warnings;
    bool silent;                     /* findings are counted and not kept */
    unsigned char level[RULE_COUNT]; /* enum diag_level, from RULES unless changed */
    bool chosen[RULE_COUNT];         /* by diag_set_level(): it holds for diag_add_level() too */
};

void diag_init(struct diags *diags, struct arena *arena);

/* One that counts findings and keeps none, for files that are only looked into: what is wrong in
 * them is not told again, and they are left out all the same. */
void diag_init_silent(struct diags *diags, struct arena *arena);

/* One without findings, with the levels of another. */
void diag_init_like(struct diags *diags, struct arena *arena, const struct diags *other);

/* Chooses a rule's level, also for the findings already there; no rule up to RULE_LAST_FIXED. */
void diag_set_level(struct diags *diags, enum rule rule, enum diag_level level);

/* The level of that name: off, warning or error; -1 for any other. */
int diag_level_find(struct str name);

/* Adds the findings of another, which must stay; its levels are not looked at. */
void diag_append(struct diags *diags, const struct diags *more);

/* Adds a finding at the rule's level; nothing when that is DIAG_OFF. The text of place's source may
 * go afterwards. Message: one sentence without a full stop, saying also what would be right. */
void diag_add(struct diags *diags, struct place place, enum rule rule, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* The same at another level than the rule's own, unless a level was chosen for the rule. */
void diag_add_level(struct diags *diags, struct place place, enum rule rule, enum diag_level level,
                    const char *format, ...) __attribute__((format(printf, 5, 6)));

/* By file name, line, column, then as added; what was found again, in the same words, is dropped.
 */
void diag_sort(struct diags *diags);

/* One line each, file names escaped. Returns nothing: the caller checks ferror(out) at the end. */
void diag_write(FILE *out, const struct diags *diags);

#endif
