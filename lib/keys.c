#include "keys.h"

#include "order.h"

#include <string.h>

int keys_word(struct str word, const char *const *words)
{
    for (int i = 0; words[i] != NULL; i++)
        if (str_is(word, words[i]))
            return i + 1;
    return 0;
}

static struct place at(const struct keys_context *c, const struct doc_node *node)
{
    return doc_place(c->source, node);
}

static const char *shown(const struct keys_context *c, struct str text)
{
    return str_shown(c->diags->arena, text);
}

static const char *key_name(const void *table, size_t i)
{
    return ((const struct key_table *)table)->keys[i].name;
}

/* "an event", "a reading" */
static const char *article(const char *noun)
{
    return strchr("aeiou", noun[0]) != NULL ? "an" : "a";
}

static const char *word_name(const void *words, size_t i)
{
    return ((const char *const *)words)[i];
}

static size_t word_count(const char *const *words)
{
    size_t n = 0;
    while (words[n] != NULL)
        n++;
    return n;
}

/* How YAML came to see a key without a value where a person saw something else. */
static void report_stray_key(const struct keys_context *c, const struct key_table *table,
                             const struct doc_node *value, const struct doc_node *before)
{
    struct str key = value->key->text;
    const char *colon = key.n == 0 ? NULL : memchr(key.p, ':', key.n);
    bool digit = key.n > 0 && key.p[0] >= '0' && key.p[0] <= '9';
    struct figure ignored;
    struct str rest;
    if (digit && before != NULL && before->kind == DOC_SCALAR &&
        quantity_read_number(before->text, &ignored, &rest) == QUANTITY_OK && rest.n == 0) {
        diag_add(c->diags, at(c, before), RULE_DECIMAL_COMMA,
                 "the comma ends the value: YAML reads %s: %s and a key \"%s\"; write %s.%s",
                 shown(c, before->key->text), shown(c, before->text), shown(c, key),
                 shown(c, before->text), shown(c, key));
    } else if (colon != NULL) {
        diag_add(c->diags, at(c, value->key), RULE_MISSING_VALUE,
                 "a blank is missing behind the colon: YAML reads \"%s\" as one key",
                 shown(c, key));
    } else if (before != NULL && before->kind == DOC_SCALAR && before->style == DOC_PLAIN) {
        diag_add(
            c->diags, at(c, value->key), RULE_UNKNOWN_KEY,
            "the comma before \"%s\" starts a new key, and %s %s has no such key: put the text of "
            "%s: in double quotes",
            shown(c, key), article(table->name), table->name, shown(c, before->key->text));
    } else {
        diag_add(c->diags, at(c, value->key), RULE_MISSING_VALUE, "the key \"%s\" has no value",
                 shown(c, key));
    }
}

static void report_unknown(const struct keys_context *c, const struct key_table *table,
                           const struct doc_node *map, const struct doc_node *value,
                           const struct doc_node *before)
{
    struct str key = value->key->text;
    if (str_starts(key, "x-"))
        return;
    if (map->flow && value->omitted) {
        report_stray_key(c, table, value, before);
        return;
    }
    const char *nearest = str_nearest(key, key_name, table, table->count);
    enum diag_level level = table->is_entry ? DIAG_ERROR : DIAG_WARNING;
    diag_add_level(c->diags, at(c, value->key), RULE_UNKNOWN_KEY, level,
                   "%s %s has no key \"%s\"%s", article(table->name), table->name, shown(c, key),
                   str_meant(c->diags->arena, nearest, "; your own keys begin with x-"));
}

static void report_shape(const struct keys_context *c, const struct doc_node *value,
                         const char *expected)
{
    static const char *const KINDS[] = {
        [DOC_SCALAR] = "a plain value", [DOC_LIST] = "a list", [DOC_MAP] = "a mapping"};
    struct str name = value->key != NULL ? value->key->text : STR("this entry");
    diag_add(c->diags, at(c, value), RULE_SHAPE, "%s must be %s, not %s", shown(c, name), expected,
             KINDS[value->kind]);
}

/* "ph: ", for what is said of a value; nothing for an entry of a list. */
static const char *lead(const struct keys_context *c, const struct doc_node *value)
{
    struct buf buf = buf_new(c->diags->arena);
    if (value->key == NULL)
        return "";
    buf_printf(&buf, "%s: ", shown(c, value->key->text));
    return buf.p;
}

/* A NUL can only come by an escape in double quotes. */
static bool is_text(const struct keys_context *c, const struct doc_node *value)
{
    if (value->style == DOC_PLAIN || memchr(value->text.p, '\0', value->text.n) == NULL)
        return true;
    diag_add(c->diags, at(c, value), RULE_VALUE, "%sa NUL character (\\0) cannot stand in a value",
             lead(c, value));
    return false;
}

static bool is_scalar(const struct keys_context *c, const struct doc_node *value)
{
    if (value->kind != DOC_SCALAR)
        report_shape(c, value, "a plain value");
    else if (value->many_lines)
        diag_add(c->diags, at(c, value), RULE_SHAPE,
                 "the value goes on in the next line: \"%s\"; is a colon or a quote missing?",
                 shown(c, value->text));
    else
        return is_text(c, value);
    return false;
}

static const enum rule RULE_OF_STATUS[] = {
    [QUANTITY_OK] = RULE_VALUE,
    [QUANTITY_NOT_A_NUMBER] = RULE_VALUE,
    [QUANTITY_COMMA] = RULE_DECIMAL_COMMA,
    [QUANTITY_NOT_PLAIN] = RULE_VALUE,
    [QUANTITY_TOO_LONG] = RULE_VALUE,
    [QUANTITY_UNIT_MISSING] = RULE_UNIT,
    [QUANTITY_UNIT_UNKNOWN] = RULE_UNIT,
    [QUANTITY_UNIT_OTHER] = RULE_UNIT,
    [QUANTITY_TWO_UNITS] = RULE_UNIT,
    [QUANTITY_OUT_OF_RANGE] = RULE_MAGNITUDE,
    [QUANTITY_NOT_A_WIDTH] = RULE_VALUE,
    [QUANTITY_NOT_A_RANGE] = RULE_VALUE,
    [QUANTITY_RANGE_REVERSED] = RULE_VALUE,
};

/* What a gravity may be meant as when it cannot be as it stands: the point of an SG left out, SG
 * and P taken for each other. NULL: nothing that suggests itself. */
static const char *gravity_hint(struct arena *arena, const struct figure *figure)
{
    struct buf buf = buf_new(arena);
    bool is_sg = figure->unit != NULL && strcmp(figure->unit->name, "SG") == 0;
    double written = figure->written;
    if (written >= 980 && written <= 1200)
        buf_printf(&buf, "%.3f SG", written / 1000);
    else if (is_sg && written > 1.2 && written <= 40)
        buf_printf(&buf, "%g P", written);
    else
        return NULL;
    return buf.p;
}

static void report_quantity(const struct keys_context *c, const struct doc_node *value,
                            enum quantity quantity, enum quantity_status status,
                            const struct figure *figure)
{
    const char *hint = NULL;
    if (status == QUANTITY_OK)
        return;
    if (quantity == QUANTITY_GRAVITY && status == QUANTITY_OUT_OF_RANGE && figure != NULL)
        hint = gravity_hint(c->diags->arena, figure);
    if (hint != NULL)
        diag_add(c->diags, at(c, value), RULE_MAGNITUDE, "%s\"%s\" cannot be; did you mean %s?",
                 lead(c, value), shown(c, value->text), hint);
    else
        diag_add(c->diags, at(c, value), RULE_OF_STATUS[status], "%s%s", lead(c, value),
                 quantity_explain(c->diags->arena, value->text, quantity, status));
}

/* Nobody reads Plato to three places, and every SG is written so: `1.048 P` is an SG. */
static void check_gravity(const struct keys_context *c, const struct doc_node *value,
                          struct figure *figure)
{
    enum { SG_DECIMALS = 3 };
    bool is_plato = figure->state == FIGURE_SET && figure->unit != NULL && figure->unit->to == NULL;
    if (!is_plato || figure->decimals < SG_DECIMALS || figure->written < 0.98 ||
        figure->written > 1.2 || c->diags->level[RULE_MAGNITUDE] == DIAG_OFF)
        return;
    figure->state = FIGURE_REFUSED;
    diag_add(c->diags, at(c, value), RULE_MAGNITUDE,
             "%s\"%s\" is nearly water in %s; if it is an SG, write %.*f SG, else two decimals",
             lead(c, value), shown(c, value->text), figure->unit->name, figure->decimals,
             figure->written);
}

void keys_read_figure(const struct keys_context *c, const struct doc_node *value,
                      enum quantity quantity, struct figure *figure)
{
    figure->node = value;
    figure->state = FIGURE_REFUSED;
    if (!is_scalar(c, value))
        return;
    report_quantity(c, value, quantity,
                    quantity_read(value->text, quantity, c->house[quantity], figure), figure);
    if (quantity == QUANTITY_GRAVITY)
        check_gravity(c, value, figure);
}

void keys_read_width(const struct keys_context *c, const struct doc_node *value,
                     enum quantity quantity, struct figure *figure)
{
    figure->node = value;
    figure->state = FIGURE_REFUSED;
    if (!is_scalar(c, value))
        return;
    report_quantity(c, value, quantity,
                    quantity_read_width(value->text, quantity, c->house[quantity], figure), NULL);
}

void keys_read_range(const struct keys_context *c, const struct doc_node *value,
                     enum quantity quantity, struct range *range)
{
    range->node = value;
    range->state = FIGURE_REFUSED;
    if (!is_scalar(c, value))
        return;
    report_quantity(c, value, quantity,
                    quantity_read_range(value->text, quantity, c->house[quantity], range), NULL);
}

/* `0.08 mg/L`, `pass`, `0.08 mg/L pass` or `pass 0.08 mg/L`. */
static void read_figure_or_word(const struct keys_context *c, const struct key *key,
                                const struct doc_node *value, struct figure *figure)
{
    figure->node = value;
    figure->state = FIGURE_REFUSED;
    if (!is_scalar(c, value))
        return;
    struct str text = value->text;
    for (int i = 0; key->words[i] != NULL && figure->word == 0; i++) {
        size_t n = strlen(key->words[i]);
        if (str_is(text, key->words[i])) {
            figure->word = (unsigned char)(i + 1);
            figure->state = FIGURE_ABSENT;
            return;
        }
        bool leads = text.n > n && str_starts(text, key->words[i]) && text.p[n] == ' ';
        bool ends = text.n > n && str_ends(text, key->words[i]) && text.p[text.n - n - 1] == ' ';
        if (leads || ends)
            figure->word = (unsigned char)(i + 1);
        if (leads)
            text = str_trim(str_cut(text, n, text.n));
        else if (ends)
            text = str_trim(str_cut(text, 0, text.n - n));
    }
    report_quantity(c, value, key->quantity,
                    quantity_read(text, key->quantity, c->house[key->quantity], figure), figure);
}

static void read_time(const struct keys_context *c, const struct doc_node *value,
                      struct moment *moment)
{
    moment->node = value;
    if (!is_scalar(c, value))
        return;
    enum civil_status status = civil_parse(value->text.p, value->text.n, c->zone, &moment->at);
    moment->set = status == CIVIL_OK || status == CIVIL_FOLD;
    if (status != CIVIL_OK)
        diag_add(c->diags, at(c, value), status == CIVIL_FOLD ? RULE_TIME_TWICE : RULE_TIME,
                 "%s\"%s\": %s", lead(c, value), shown(c, value->text), civil_status_text(status));
}

static void read_word(const struct keys_context *c, const struct key *key,
                      const struct doc_node *value, int *word)
{
    if (!is_scalar(c, value))
        return;
    *word = keys_word(value->text, key->words);
    if (*word != 0)
        return;
    const char *nearest = str_nearest(value->text, word_name, key->words, word_count(key->words));
    struct buf list = buf_new(c->diags->arena);
    for (size_t i = 0; key->words[i] != NULL; i++)
        buf_printf(&list, "%s%s", i == 0 ? "" : ", ", key->words[i]);
    if (nearest != NULL)
        diag_add(c->diags, at(c, value), RULE_VALUE, "%s: \"%s\" is not known; did you mean %s?",
                 key->name, shown(c, value->text), nearest);
    else
        diag_add(c->diags, at(c, value), RULE_VALUE, "%s: \"%s\" is not one of: %s", key->name,
                 shown(c, value->text), list.p);
}

static void read_whole(const struct keys_context *c, const struct key *key,
                       const struct doc_node *value, struct whole *whole)
{
    enum { MOST_DIGITS = 9 };
    whole->node = value;
    if (!is_scalar(c, value))
        return;
    long n = 0;
    bool digits = value->text.n > 0 && value->text.n <= MOST_DIGITS;
    for (size_t i = 0; digits && i < value->text.n; i++) {
        digits = value->text.p[i] >= '0' && value->text.p[i] <= '9';
        n = n * 10 + (value->text.p[i] - '0');
    }
    if (digits)
        *whole = (struct whole){n, value, true};
    else
        diag_add(c->diags, at(c, value), RULE_VALUE, "%s: \"%s\" is not a whole number", key->name,
                 shown(c, value->text));
}

static void read_flag(const struct keys_context *c, const struct key *key,
                      const struct doc_node *value, struct flag *flag)
{
    flag->node = value;
    if (!is_scalar(c, value))
        return;
    flag->yes = str_is(value->text, "yes") || str_is(value->text, "true");
    flag->set = flag->yes || str_is(value->text, "no") || str_is(value->text, "false");
    if (!flag->set)
        diag_add(c->diags, at(c, value), RULE_VALUE, "%s: write yes or no, not \"%s\"", key->name,
                 shown(c, value->text));
}

/* Every LIST is laid out alike; it is written through memcpy, since its item type is not known
 * here. */
static void *new_list(const struct keys_context *c, void *list, size_t n, size_t size)
{
    LIST(void) result = {arena_array(c->arena, n, size), n};
    memcpy(list, &result, sizeof result);
    return result.items;
}

static void fill_item(const struct keys_context *c, const struct key *key,
                      const struct doc_node *item, char *object)
{
    if (item->kind == DOC_MAP || (doc_is_null(item) && item->key != NULL))
        keys_fill(c, key->table, item, object);
    else
        report_shape(c, item, "a mapping");
}

static int compare_keys(const void *left, const void *right)
{
    const struct doc_node *a = *(const struct doc_node *const *)left;
    const struct doc_node *b = *(const struct doc_node *const *)right;
    return order_then(str_cmp(a->key->text, b->key->text), order_of(a->start, b->start));
}

/* Names that stand twice in a mapping of names. */
static void check_names(const struct keys_context *c, const struct doc_node *map)
{
    const struct doc_node **sorted = arena_array(c->arena, map->count, sizeof *sorted);
    size_t n = 0;
    for (const struct doc_node *v = map->first; v != NULL; v = v->next)
        sorted[n++] = v;
    order_sort(sorted, n, sizeof *sorted, compare_keys);
    for (size_t i = 1; i < n; i++)
        if (str_eq(sorted[i]->key->text, sorted[i - 1]->key->text))
            diag_add(c->diags, at(c, sorted[i]->key), RULE_DUPLICATE_KEY,
                     "\"%s\" stands here twice, first in line %u", shown(c, sorted[i]->key->text),
                     (unsigned)sorted[i - 1]->key->line);
}

static void read_list(const struct keys_context *c, const struct key *key,
                      const struct doc_node *value, void *list)
{
    bool one = value->kind == DOC_MAP && (key->flags & KEY_OR_ONE);
    bool named = key->type == KEY_NAMED;
    if (!one && value->kind != (named ? DOC_MAP : DOC_LIST)) {
        report_shape(c, value, named ? "a mapping of names" : "a list");
        return;
    }
    if (named)
        check_names(c, value);
    size_t n = one ? 1 : value->count;
    if (key->most > 0 && n > key->most)
        n = key->most;
    char *items = new_list(c, list, n, key->table->size);
    if (one) {
        keys_fill(c, key->table, value, items);
        return;
    }
    for (const struct doc_node *item = value->first; item != NULL; item = item->next) {
        if (n-- == 0) {
            diag_add(c->diags, at(c, item), RULE_NESTING, "%s: over %zu entries are not read",
                     key->name, key->most);
            return;
        }
        fill_item(c, key, item, items);
        items += key->table->size;
    }
}

static void read_texts(const struct keys_context *c, const struct doc_node *value, void *list)
{
    if (value->kind != DOC_LIST) {
        report_shape(c, value, "a list");
        return;
    }
    const struct doc_node **items = new_list(c, list, value->count, sizeof *items);
    for (const struct doc_node *item = value->first; item != NULL; item = item->next)
        *items++ = item;
    for (const struct doc_node *item = value->first; item != NULL; item = item->next)
        is_scalar(c, item);
}

static void read_figures(const struct keys_context *c, const struct key *key,
                         const struct doc_node *value, void *list)
{
    if (value->kind != DOC_LIST) {
        report_shape(c, value, "a list");
        return;
    }
    struct figure *items = new_list(c, list, value->count, sizeof *items);
    for (const struct doc_node *item = value->first; item != NULL; item = item->next)
        keys_read_figure(c, item, key->quantity, items++);
}

static void read_object(const struct keys_context *c, const struct key *key,
                        const struct doc_node *value, void *field)
{
    if (value->kind == DOC_MAP)
        keys_fill(c, key->table, value, field);
    else
        report_shape(c, value, "a mapping");
}

static void read_value(const struct keys_context *c, const struct key *key,
                       const struct doc_node *value, void *field)
{
    switch (key->type) {
    case KEY_TEXT:
        if (value->kind != DOC_SCALAR)
            report_shape(c, value, "text");
        else if (is_text(c, value))
            *(const struct doc_node **)field = value;
        break;
    case KEY_TREE:
        *(const struct doc_node **)field = value;
        break;
    case KEY_WORD:
        read_word(c, key, value, field);
        break;
    case KEY_TIME:
        read_time(c, value, field);
        break;
    case KEY_FIGURE:
        if (key->words != NULL)
            read_figure_or_word(c, key, value, field);
        else
            keys_read_figure(c, value, key->quantity, field);
        break;
    case KEY_RANGE:
        keys_read_range(c, value, key->quantity, field);
        break;
    case KEY_WHOLE:
        read_whole(c, key, value, field);
        break;
    case KEY_FLAG:
        read_flag(c, key, value, field);
        break;
    case KEY_OBJECT:
        read_object(c, key, value, field);
        break;
    case KEY_LIST:
    case KEY_NAMED:
        read_list(c, key, value, field);
        break;
    case KEY_TEXTS:
        read_texts(c, value, field);
        break;
    case KEY_FIGURES:
        read_figures(c, key, value, field);
        break;
    }
}

/* A key with ~ or nothing: not taken. Only a figure remembers it, since a correction may withdraw
 * one. */
static void read_null(const struct keys_context *c, const struct key *key,
                      const struct doc_node *map, const struct doc_node *value, void *field)
{
    if (key->type == KEY_FIGURE) {
        struct figure *figure = field;
        figure->node = value;
        figure->state = FIGURE_WITHDRAWN;
    }
    if (map->flow && value->omitted)
        diag_add(c->diags, at(c, value->key), RULE_MISSING_VALUE,
                 "%s has no value: write one, write ~ for not taken, or leave the key out",
                 key->name);
    else if (key->flags & KEY_REQUIRED)
        diag_add(c->diags, at(c, value->key), RULE_MISSING_KEY, "%s must have a value", key->name);
}

/* The table's row for a name, which is not empty. Keys mostly stand in the table's order, so the
 * search starts at hint.
 */
static const struct key *find_key(const struct key_table *table, struct str name, size_t hint)
{
    size_t at = hint < table->count ? hint : 0;
    for (size_t i = 0; i < table->count; i++) {
        const struct key *key = &table->keys[at];
        if (name.p[0] == key->name[0] && str_is(name, key->name))
            return key;
        if (++at == table->count)
            at = 0;
    }
    return NULL;
}

static void report_missing(const struct keys_context *c, const struct key_table *table,
                           const struct doc_node *map, uint64_t seen)
{
    for (size_t i = 0; i < table->count && (table->keys[i].flags & KEY_REQUIRED); i++)
        if (!(seen & UINT64_C(1) << i))
            diag_add(c->diags, at(c, map), RULE_MISSING_KEY,
                     "%s %s must have %s:", article(table->name), table->name, table->keys[i].name);
}

void keys_fill(const struct keys_context *c, const struct key_table *table,
               const struct doc_node *map, void *object)
{
    uint64_t seen = 0;
    size_t hint = 0;
    const struct doc_node *before = NULL;
    memcpy(object, &map, sizeof map);
    for (const struct doc_node *value = map->first; value != NULL;
         before = value, value = value->next) {
        const struct key *key =
            value->key->text.n == 0 ? NULL : find_key(table, value->key->text, hint);
        if (key == NULL) {
            report_unknown(c, table, map, value, before);
            continue;
        }
        hint = (size_t)(key - table->keys) + 1;
        uint64_t bit = UINT64_C(1) << (key - table->keys);
        if (seen & bit) {
            diag_add(c->diags, at(c, value->key), RULE_DUPLICATE_KEY,
                     "the key %s stands twice here: keep one", key->name);
            continue;
        }
        seen |= bit;
        void *field = (char *)object + key->offset;
        bool is_empty =
            key->flags & KEY_REQUIRED && value->kind == DOC_SCALAR && value->text.n == 0;
        if (is_empty || doc_is_null(value))
            read_null(c, key, map, value, field);
        else
            read_value(c, key, value, field);
    }
    report_missing(c, table, map, seen);
}
