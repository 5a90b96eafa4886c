#include "anomaly_text.h"

#include "civil.h"
#include "table.h"

#include <string.h>

/* TSV. */

static const struct anomaly_book *book_of(const struct table *table)
{
    return table->context;
}

static void get_at(struct buf *cell, const void *row, const struct table *table)
{
    char text[CIVIL_TEXT_SIZE];
    const struct anomaly_finding *f = row;
    buf_printf(cell, "%s", civil_rfc3339(book_of(table)->cellar->zone, f->at, text));
}

static void get_since(struct buf *cell, const void *row, const struct table *table)
{
    char text[CIVIL_TEXT_SIZE];
    const struct anomaly_finding *f = row;
    buf_printf(cell, "%s", civil_rfc3339(book_of(table)->cellar->zone, f->since, text));
}

static void get_batch(struct buf *cell, const void *row, const struct table *table)
{
    const struct anomaly_finding *f = row;
    (void)table;
    if (f->batch != NULL)
        buf_add(cell, text_of(f->batch->number));
}

static void get_beer(struct buf *cell, const void *row, const struct table *table)
{
    const struct anomaly_finding *f = row;
    (void)table;
    if (f->batch != NULL)
        buf_add(cell, text_of(f->batch->beer));
}

static void get_level(struct buf *cell, const void *row, const struct table *table)
{
    const struct anomaly_finding *f = row;
    (void)table;
    buf_printf(cell, "%s", ANOMALY_LEVELS[f->level]);
}

#define GET_RULE(name, field)                                                                      \
    static void get_##name(struct buf *cell, const void *row, const struct table *table)           \
    {                                                                                              \
        const struct anomaly_finding *f = row;                                                     \
        (void)table;                                                                               \
        buf_printf(cell, "%s", ANOMALY_RULES[f->rule].field);                                      \
    }
#define GET_STR(name)                                                                              \
    static void get_##name(struct buf *cell, const void *row, const struct table *table)           \
    {                                                                                              \
        const struct anomaly_finding *f = row;                                                     \
        (void)table;                                                                               \
        buf_add(cell, f->name);                                                                    \
    }
GET_RULE(rule, name)
GET_RULE(causes, causes)
GET_RULE(first, first)
GET_RULE(caution, caution)
GET_STR(tank)
GET_STR(subject)
GET_STR(reading)
GET_STR(expected)
GET_STR(source)
GET_STR(more)
GET_STR(doubt)

static void get_state(struct buf *cell, const void *row, const struct table *table)
{
    const struct anomaly_finding *f = row;
    (void)table;
    buf_printf(cell, "%s",
               f->seen != NULL  ? "seen"
               : f->ended       ? "ended"
               : f->unconfirmed ? "unconfirmed"
                                : "");
}

static const struct table_column COLUMNS[] = {
    {"at", NULL, 0, get_at, NULL},           {"batch", NULL, 0, get_batch, NULL},
    {"beer", NULL, 0, get_beer, NULL},       {"tank", NULL, 0, get_tank, NULL},
    {"rule", NULL, 0, get_rule, NULL},       {"level", NULL, 0, get_level, NULL},
    {"reading", NULL, 0, get_reading, NULL}, {"expected", NULL, 0, get_expected, NULL},
    {"source", NULL, 0, get_source, NULL},   {"causes", NULL, 0, get_causes, NULL},
    {"first", NULL, 0, get_first, NULL},     {"subject", NULL, 0, get_subject, NULL},
    {"since", NULL, 0, get_since, NULL},     {"state", NULL, 0, get_state, NULL},
    {"meter", NULL, 0, get_doubt, NULL},     {"more", NULL, 0, get_more, NULL},
    {"caution", NULL, 0, get_caution, NULL},
};

void anomaly_write_tsv(FILE *out, const struct anomaly_book *book,
                       const struct anomaly_findings *findings)
{
    struct table table = {.out = out,
                          .arena = book->arena,
                          .columns = COLUMNS,
                          .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
                          .tsv = true,
                          .context = book};
    table_begin(&table);
    for (size_t i = 0; i < findings->n; i++)
        table_row(&table, &findings->items[i]);
    table_end(&table);
}

/* Text. */

enum { INDENT = 9 }; /* of what is said below a finding's level */

/* "expected: pH 4.05..4.45", under the level; nothing for an empty text. */
static void write_part(FILE *out, struct arena *arena, const char *label, struct str text)
{
    if (text.n == 0)
        return;
    struct buf buf = buf_new(arena);
    buf_printf(&buf, "%s", label);
    str_escape(&buf, text, 0);
    table_wrap(out, 0, INDENT, ANOMALY_WIDTH, buf_str(&buf));
}

static void write_when(struct buf *buf, const struct anomaly_book *book, int64_t at)
{
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    buf_printf(buf, "%s %s", civil_short_date(civil_day(book->cellar->zone, at), day) + 4,
               civil_clock(book->cellar->zone, at, clock));
}

static struct str head_of(const struct anomaly_book *book, const struct anomaly_finding *f)
{
    struct buf buf = buf_new(book->arena);
    str_escape(&buf, f->reading, 0);
    buf_printf(&buf, ", ");
    write_when(&buf, book, f->at);
    if (f->times > 1) {
        buf_printf(&buf, " (%zu readings since ", f->times);
        write_when(&buf, book, f->since);
        buf_printf(&buf, ")");
    }
    if (f->unconfirmed)
        buf_printf(&buf, " (unconfirmed)");
    if (f->ended)
        buf_printf(&buf, " (not so since)");
    buf_printf(&buf, " [%s]", ANOMALY_RULES[f->rule].name);
    return buf_str(&buf);
}

static void write_seen(FILE *out, const struct anomaly_book *book, const struct anomaly_finding *f)
{
    struct buf buf = buf_new(book->arena);
    buf_add(&buf, head_of(book, f));
    buf_printf(&buf, ", seen ");
    write_when(&buf, book, f->seen->at.at);
    if (f->seen->by != NULL) {
        buf_printf(&buf, " by ");
        str_escape(&buf, f->seen->by->text, 0);
    }
    if (f->seen->note != NULL) {
        buf_printf(&buf, ": ");
        str_escape(&buf, f->seen->note->text, 0);
    }
    size_t at = (size_t)fprintf(out, "  %-5s  ", "seen");
    table_wrap(out, at, INDENT, ANOMALY_WIDTH, buf_str(&buf));
}

static void write_finding(FILE *out, const struct anomaly_book *book,
                          const struct anomaly_finding *f)
{
    const struct anomaly_info *info = &ANOMALY_RULES[f->rule];
    if (f->seen != NULL) {
        write_seen(out, book, f);
        return;
    }
    size_t at = (size_t)fprintf(out, "  %-5s  ",
                                f->level == ANOMALY_ALARM ? "ALARM" : ANOMALY_LEVELS[f->level]);
    table_wrap(out, at, INDENT, ANOMALY_WIDTH, head_of(book, f));
    struct buf expected = buf_new(book->arena);
    str_escape(&expected, f->expected, 0);
    if (f->source.n > 0) {
        buf_printf(&expected, " (");
        str_escape(&expected, f->source, 0);
        buf_printf(&expected, ")");
    }
    write_part(out, book->arena, "expected ", buf_str(&expected));
    write_part(out, book->arena, "perhaps the meter: ", f->doubt);
    write_part(out, book->arena, "", f->more);
    write_part(out, book->arena, "causes: ", str_of(info->causes));
    write_part(out, book->arena, "first: ", str_of(info->first));
    write_part(out, book->arena, "CAUTION: ", str_of(info->caution));
}

/* Whether two findings stand under one title. */
static bool is_same_group(const struct anomaly_finding *a, const struct anomaly_finding *b)
{
    bool meters_a = ANOMALY_RULES[a->rule].scope == ANOMALY_OF_METERS;
    bool meters_b = ANOMALY_RULES[b->rule].scope == ANOMALY_OF_METERS;
    if (meters_a || meters_b)
        return meters_a && meters_b;
    if ((ANOMALY_RULES[a->rule].scope == ANOMALY_OF_BATCHES) !=
        (ANOMALY_RULES[b->rule].scope == ANOMALY_OF_BATCHES))
        return false;
    return a->batch == b->batch && str_eq(a->tank, b->tank);
}

static void write_title(FILE *out, const struct anomaly_book *book, const struct anomaly_finding *f)
{
    struct buf buf = buf_new(book->arena);
    if (ANOMALY_RULES[f->rule].scope == ANOMALY_OF_METERS) {
        buf_printf(&buf, "Meters first");
    } else if (ANOMALY_RULES[f->rule].scope == ANOMALY_OF_BATCHES) {
        buf_printf(&buf, "Batch by batch");
    } else if (f->batch == NULL && f->tank.n == 0) {
        buf_printf(&buf, "Plant and round");
    } else {
        str_escape(&buf, f->tank, 0);
        if (f->batch != NULL) {
            buf_printf(&buf, "%s", f->tank.n > 0 ? "  " : "");
            str_escape(&buf, text_of(f->batch->number), 0);
            buf_printf(&buf, " ");
            str_escape(&buf, text_of(f->batch->beer), 0);
        }
    }
    table_wrap(out, 0, 0, ANOMALY_WIDTH, buf_str(&buf));
}

static void write_count(struct buf *buf, size_t n, const char *name, const char *many)
{
    if (n > 0)
        buf_printf(buf, "%s%zu %s", buf->n > 0 ? ", " : "", n, n == 1 ? name : many);
}

static void write_summary(FILE *out, const struct anomaly_book *book,
                          const struct anomaly_findings *findings)
{
    size_t counts[ANOMALY_ALARM + 1] = {0}, seen = 0;
    for (size_t i = 0; i < findings->n; i++)
        if (findings->items[i].seen != NULL)
            seen++;
        else
            counts[findings->items[i].level]++;
    struct buf buf = buf_new(book->arena);
    write_count(&buf, counts[ANOMALY_ALARM], "alarm", "alarms");
    write_count(&buf, counts[ANOMALY_WARN], "warning", "warnings");
    write_count(&buf, counts[ANOMALY_NOTE], "note", "notes");
    write_count(&buf, seen, "seen", "seen");
    fprintf(out, STR_FMT "\n", STR_ARG(buf_str(&buf)));
}

/* The groups in their order: those with an alarm, then the others; meters before both. */
void anomaly_write_text(FILE *out, const struct anomaly_book *book,
                        const struct anomaly_findings *findings)
{
    if (findings->n == 0)
        return;
    write_summary(out, book, findings);
    for (int pass = 0; pass < 2; pass++)
        for (size_t from = 0, to; from < findings->n; from = to) {
            bool loud = ANOMALY_RULES[findings->items[from].rule].scope == ANOMALY_OF_METERS;
            for (to = from;
                 to < findings->n && is_same_group(&findings->items[from], &findings->items[to]);
                 to++)
                loud |= anomaly_is_alarm(&findings->items[to]);
            if (loud != (pass == 0))
                continue;
            fputc('\n', out);
            write_title(out, book, &findings->items[from]);
            for (size_t i = from; i < to; i++)
                write_finding(out, book, &findings->items[i]);
        }
}

/* One line each. */

static void short_level(struct buf *cell, const void *row, const struct table *table)
{
    const struct anomaly_finding *f = row;
    (void)table;
    buf_printf(cell, "%s",
               f->seen != NULL             ? "seen"
               : f->level == ANOMALY_ALARM ? "ALARM"
                                           : ANOMALY_LEVELS[f->level]);
}

static void short_when(struct buf *cell, const void *row, const struct table *table)
{
    char text[CIVIL_SHORT_SIZE];
    const struct anomaly_finding *f = row;
    int64_t day = civil_day(book_of(table)->cellar->zone, f->at);
    buf_printf(cell, "%s", civil_short_date(day, text) + 4);
}

static const struct table_column SHORT_COLUMNS[] = {
    {NULL, "LEVEL", 0, short_level, NULL},
    {NULL, "TANK", TABLE_OPTIONAL, get_tank, NULL},
    {NULL, "BATCH", TABLE_OPTIONAL, get_batch, NULL},
    {NULL, "DAY", 0, short_when, NULL},
    {NULL, "RULE", 0, get_rule, NULL},
    {NULL, "READING", TABLE_SHRINK, get_reading, NULL},
};

static int rank_of(const struct anomaly_finding *f)
{
    return f->seen != NULL ? 0 : (int)f->level;
}

void anomaly_write_short(FILE *out, const struct anomaly_book *book,
                         const struct anomaly_findings *findings)
{
    struct table table = {.out = out,
                          .arena = book->arena,
                          .columns = SHORT_COLUMNS,
                          .column_count = sizeof SHORT_COLUMNS / sizeof SHORT_COLUMNS[0],
                          .width = 80,
                          .context = book};
    table_begin(&table);
    for (int rank = ANOMALY_ALARM; rank >= 0; rank--)
        for (size_t i = 0; i < findings->n; i++)
            if (rank_of(&findings->items[i]) == rank)
                table_row(&table, &findings->items[i]);
    table_end(&table);
}

/* Rules. */

void anomaly_write_rule(FILE *out, struct arena *arena, enum anomaly_rule rule)
{
    const struct anomaly_info *info = &ANOMALY_RULES[rule];
    struct buf buf = buf_new(arena);
    buf_printf(&buf, "%s (%s", info->name, ANOMALY_LEVELS[info->level]);
    if (info->alone != ANOMALY_NONE)
        buf_printf(&buf, "; %s while one reading alone says so", ANOMALY_LEVELS[info->alone]);
    buf_printf(&buf, ")");
    table_wrap(out, 0, 0, ANOMALY_WIDTH, buf_str(&buf));
    const struct {
        const char *label, *text;
    } parts[] = {{"finds: ", info->meaning},
                 {"normal: ", info->normal},
                 {"causes: ", info->causes},
                 {"first: ", info->first},
                 {"CAUTION: ", info->caution}};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i].text[0] == '\0')
            continue;
        buf = buf_new(arena);
        buf_printf(&buf, "%s%s", parts[i].label, parts[i].text);
        table_wrap(out, 0, 2, ANOMALY_WIDTH, buf_str(&buf));
    }
}

#define GET_INFO(field)                                                                            \
    static void rule_##field(struct buf *cell, const void *row, const struct table *table)         \
    {                                                                                              \
        (void)table;                                                                               \
        buf_printf(cell, "%s", ((const struct anomaly_info *)row)->field);                         \
    }
#define GET_LEVEL(field)                                                                           \
    static void rule_##field(struct buf *cell, const void *row, const struct table *table)         \
    {                                                                                              \
        (void)table;                                                                               \
        buf_printf(cell, "%s", ANOMALY_LEVELS[((const struct anomaly_info *)row)->field]);         \
    }
GET_INFO(name)
GET_INFO(meaning)
GET_INFO(normal)
GET_INFO(causes)
GET_INFO(first)
GET_INFO(caution)
GET_LEVEL(level)
GET_LEVEL(alone)

static void rule_figures(struct buf *cell, const void *row, const struct table *table)
{
    (void)table;
    for (int i = 0; i < READS_COUNT; i++)
        if ((((const struct anomaly_info *)row)->reads >> i & 1U) != 0)
            buf_printf(cell, "%s%s", cell->n > 0 ? ", " : "", BATCH_COLUMNS[i].key);
}

static const struct table_column RULE_COLUMNS[] = {
    {"rule", "rule", 0, rule_name, NULL},
    {"level", "level", 0, rule_level, NULL},
    {"alone", NULL, 0, rule_alone, NULL},
    {"figures", NULL, 0, rule_figures, NULL},
    {"finds", "finds", TABLE_WRAP, rule_meaning, NULL},
    {"normal", NULL, 0, rule_normal, NULL},
    {"causes", NULL, 0, rule_causes, NULL},
    {"first", NULL, 0, rule_first, NULL},
    {"caution", NULL, 0, rule_caution, NULL},
};

void anomaly_write_rules(FILE *out, struct arena *arena, bool tsv)
{
    struct table table = {.out = out,
                          .arena = arena,
                          .columns = RULE_COLUMNS,
                          .column_count = sizeof RULE_COLUMNS / sizeof RULE_COLUMNS[0],
                          .tsv = tsv,
                          .width = ANOMALY_WIDTH};
    table_begin(&table);
    for (int i = 0; i < ANOMALY_COUNT; i++)
        table_row(&table, &ANOMALY_RULES[i]);
    table_end(&table);
}
