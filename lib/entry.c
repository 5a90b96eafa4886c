#include "entry.h"

#include <stdarg.h>
#include <string.h>

const struct entry_form ENTRY_FORMS[ENTRY_KINDS] = {
    [ENTRY_READING] = {"readings", false, "reading"},
    [ENTRY_EVENT] = {"events", false, "event"},
    [ENTRY_STAY] = {"tanks", false, "stay"},
    [ENTRY_FORCED] = {"forced", false, "forced value"},
    [ENTRY_CHECK] = {"readings", true, "check"},
    [ENTRY_CALIBRATION] = {"calibrations", true, "calibration"},
    [ENTRY_CLEANED] = {"cleaned", true, "cleaning"},
    [ENTRY_NOTHING] = {"", false, "line"},
};

const struct key_table *entry_table(enum entry_kind kind)
{
    const struct key_table *document = ENTRY_FORMS[kind].plant ? &PLANT_KEYS : &BATCH_KEYS;
    for (size_t i = 0; i < document->count; i++)
        if (strcmp(document->keys[i].name, ENTRY_FORMS[kind].list) == 0)
            return document->keys[i].table;
    return NULL;
}

struct entry *entry_new(struct arena *arena, enum entry_kind kind, const struct source *source,
                        size_t line, struct str text)
{
    struct entry *entry = arena_alloc(arena, sizeof *entry);
    entry->kind = kind;
    entry->source = source;
    entry->line = line;
    entry->text = text;
    entry->tank = entry->batch = entry->beer = entry->context = entry->written = STR("");
    entry->path = "";
    return entry;
}

static void set(struct entry *entry, const char *key, struct str value, bool yaml)
{
    size_t i = 0;
    while (i < entry->n && strcmp(entry->pairs[i].key, key) != 0)
        i++;
    if (i == ENTRY_MOST_PAIRS)
        return;
    entry->pairs[i] = (struct entry_pair){key, value, yaml};
    entry->n += i == entry->n;
}

void entry_set(struct entry *entry, const char *key, struct str value)
{
    set(entry, key, value, false);
}

void entry_set_yaml(struct entry *entry, const char *key, struct str value)
{
    set(entry, key, value, true);
}

struct str entry_get(const struct entry *entry, const char *key)
{
    for (size_t i = 0; i < entry->n; i++)
        if (strcmp(entry->pairs[i].key, key) == 0)
            return entry->pairs[i].value;
    return (struct str){NULL, 0};
}

void entry_remove(struct entry *entry, const char *key)
{
    size_t kept = 0;
    for (size_t i = 0; i < entry->n; i++)
        if (strcmp(entry->pairs[i].key, key) != 0)
            entry->pairs[kept++] = entry->pairs[i];
    entry->n = kept;
}

static __attribute__((format(printf, 2, 0))) const char *vformat(struct arena *arena,
                                                                 const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    size_t size = length < 0 ? 1 : (size_t)length + 1;
    char *text = arena_alloc(arena, size);
    vsnprintf(text, size, format, args);
    return text;
}

void entry_refuse(struct entry *entry, struct arena *arena, const char *format, ...)
{
    if (entry->state == ENTRY_REFUSED)
        return;
    va_list args;
    va_start(args, format);
    entry->reason = vformat(arena, format, args);
    va_end(args);
    entry->state = ENTRY_REFUSED;
}

void entry_remark(struct entry *entry, struct arena *arena, bool unlikely, const char *format, ...)
{
    struct entry_remark *remark = arena_alloc(arena, sizeof *remark), **end = &entry->remarks;
    va_list args;
    va_start(args, format);
    remark->text = vformat(arena, format, args);
    va_end(args);
    remark->unlikely = unlikely;
    while (*end != NULL)
        end = &(*end)->next;
    *end = remark;
}

struct str entry_figure_text(struct arena *arena, const struct figure *figure)
{
    struct buf out = buf_new(arena);
    if (figure->state == FIGURE_WITHDRAWN)
        return STR("~");
    if (figure->word != 0)
        buf_printf(&out, "%s", BATCH_VDK_WORDS[figure->word - 1]);
    if (figure->state != FIGURE_SET)
        return buf_str(&out);
    if (figure->word != 0)
        buf_char(&out, ' ');
    if (figure->censor != 0)
        buf_char(&out, figure->censor < 0 ? '<' : '>');
    quantity_write_number(&out, figure->written, figure->decimals);
    if (figure->unit != NULL)
        buf_printf(&out, " %s", figure->unit->name);
    return buf_str(&out);
}

static size_t position(const char *const *names, size_t n, struct str name)
{
    size_t i = 0;
    while (i < n && !str_is(name, names[i]))
        i++;
    return i;
}

/* The table's own copy of a name, or NULL. */
static const char *own_name(const struct key_table *table, struct str name)
{
    for (size_t i = 0; i < table->count; i++)
        if (str_is(name, table->keys[i].name))
            return table->keys[i].name;
    return NULL;
}

static const struct doc_node *fullest_of_last(const struct doc_node *list)
{
    enum { LAST = 8 };
    const struct doc_node *best = NULL;
    size_t i = 0;
    for (const struct doc_node *item = list == NULL ? NULL : list->first; item != NULL;
         item = item->next, i++)
        if (item->kind == DOC_MAP && i + LAST >= list->count &&
            (best == NULL || item->count > best->count))
            best = item;
    return best;
}

void entry_order(const struct key_table *table, const struct doc_node *list, const char **order)
{
    size_t n = 0;
    const struct doc_node *model = fullest_of_last(list);
    for (const struct doc_node *v = model == NULL ? NULL : model->first; v != NULL; v = v->next) {
        const char *name = own_name(table, v->key->text);
        if (name != NULL && position(order, n, v->key->text) == n)
            order[n++] = name;
    }
    size_t after = 0; /* the place behind the key before this one in the table */
    for (size_t i = 0; i < table->count; i++) {
        const char *name = table->keys[i].name;
        size_t at = position(order, n, str_of(name));
        if (at == n) {
            memmove(order + after + 1, order + after, (n - after) * sizeof *order);
            order[after] = name;
            at = after;
            n++;
        }
        after = at + 1;
    }
}

/* Texts that YAML readers elsewhere take for something else, and marks that mean something inside
 * of {}. */
static bool is_safe_plain(struct str text)
{
    static const char *const WORDS[] = {"null", "true", "false", "~", NULL};
    if (text.n == 0 || text.p[0] == ' ' || text.p[text.n - 1] == ' ')
        return false;
    for (size_t i = 0; WORDS[i] != NULL; i++)
        if (str_is_nocase(text, WORDS[i]))
            return false;
    for (size_t i = 0; i < text.n; i++) {
        unsigned char c = (unsigned char)text.p[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        bool digit = c >= '0' && c <= '9';
        bool inner = i > 0 && strchr(" ._/%+-", c) != NULL && c != '\0';
        bool minus = c == '-' && i + 1 < text.n && text.p[1] >= '0' && text.p[1] <= '9';
        if (!letter && !digit && !inner && !minus)
            return false;
    }
    return true;
}

static bool is_time(struct str text)
{
    int64_t ignored;
    return civil_parse(text.p, text.n, civil_utc(), &ignored) != CIVIL_SYNTAX;
}

void entry_write_text(struct buf *out, struct str text, bool quoted)
{
    if (!quoted && (is_safe_plain(text) || is_time(text))) {
        buf_add(out, text);
        return;
    }
    buf_char(out, '"');
    for (size_t i = 0, used = 0; i < text.n; i += used) {
        uint32_t code = str_char(text.p + i, text.n - i, &used);
        if (code == '"' || code == '\\')
            buf_printf(out, "\\%c", (int)code);
        else if (code == '\n' || code == '\t')
            buf_printf(out, "\\%c", code == '\n' ? 'n' : 't');
        else if (code == UINT32_MAX || code < 0x80 ? str_is_hidden(code) : false)
            buf_printf(out, "\\x%02X", (unsigned)(unsigned char)text.p[i]);
        else if (str_is_hidden(code) || code == 0xFEFF)
            buf_printf(out, "\\u%04X", (unsigned)code);
        else
            buf_add(out, str_cut(text, i, i + used));
    }
    buf_char(out, '"');
}

static void write_pair(struct buf *out, const struct entry_pair *pair)
{
    bool note = strcmp(pair->key, "note") == 0 || strcmp(pair->key, "why") == 0;
    buf_printf(out, ", %s: ", pair->key);
    if (pair->yaml || (str_is(pair->value, "~") && !note))
        buf_add(out, pair->value);
    else
        entry_write_text(out, pair->value, note);
}

void entry_write(struct buf *out, const struct entry *entry, const struct civil_zone *zone,
                 const char *const *order, size_t order_count)
{
    char at[CIVIL_TEXT_SIZE];
    const char *first = entry->kind == ENTRY_STAY ? NULL : "at";
    buf_char(out, '{');
    size_t start = out->n;
    for (size_t i = 0; i < order_count; i++) {
        if (first != NULL && strcmp(order[i], first) == 0) {
            buf_printf(out, ", at: %s", civil_exact(zone, entry->at, at));
            continue;
        }
        for (size_t k = 0; k < entry->n; k++)
            if (strcmp(entry->pairs[k].key, order[i]) == 0)
                write_pair(out, &entry->pairs[k]);
    }
    if (out->n >= start + 2) { /* without the first comma */
        memmove(out->p + start, out->p + start + 2, out->n - start - 2 + 1);
        out->n -= 2;
    }
    buf_char(out, '}');
}

bool entry_read(struct entry *entry, const struct cellar *cellar, struct arena *arena, void *object,
                const struct doc_node **map)
{
    const struct key_table *table = entry_table(entry->kind);
    const char **order = arena_array(arena, table->count, sizeof *order);
    struct source *source = arena_alloc(arena, sizeof *source);
    struct buf line = buf_new(arena);
    entry_order(table, NULL, order);
    entry_write(&line, entry, cellar->zone, order, table->count);
    *source = (struct source){str_of("entry"), buf_str(&line)};
    struct diags diags;
    diag_init(&diags, arena);
    struct doc_stream stream = doc_read(arena, source, &diags);
    if (stream.first != NULL && stream.first->root != NULL && stream.first->root->kind == DOC_MAP) {
        struct keys_context context = cellar_context(cellar, arena, source, &diags);
        *map = stream.first->root;
        keys_fill(&context, table, *map, object);
    }
    for (size_t i = 0; i < diags.n; i++) {
        if (diags.items[i].level == DIAG_ERROR)
            entry_refuse(entry, arena, "%s", diags.items[i].message);
        else if (diags.items[i].rule != RULE_TIME_TWICE) /* said where the time was read */
            entry_remark(entry, arena, false, "%s", diags.items[i].message);
    }
    return entry->state != ENTRY_REFUSED;
}

/* Keys that are not shown: the head says them, or they matter to the file only. */
static bool is_aside(struct str key)
{
    static const char *const ASIDE[] = {"check", "meter", "tank", "by", NULL};
    return keys_word(key, ASIDE) != 0 || str_ends(key, "-meter");
}

static struct str piece_of_pair(struct arena *arena, const struct entry_pair *pair)
{
    static const char *const BARE[] = {"gravity", "temp", "pressure", "value", "what", NULL};
    struct buf out = buf_new(arena);
    struct str key = str_of(pair->key);
    if (str_is(key, "note")) {
        buf_char(&out, '"');
        str_escape(&out, pair->value, 0);
        buf_char(&out, '"');
        return buf_str(&out);
    }
    if (str_is(key, "ph"))
        key = STR("pH");
    if (keys_word(key, BARE) == 0 || str_is(pair->value, "~"))
        buf_printf(&out, STR_FMT " ", STR_ARG(key));
    str_escape(&out, pair->value, 0);
    return buf_str(&out);
}

struct str entry_name(const struct entry *entry)
{
    if (entry->kind == ENTRY_CHECK)
        return entry_get(entry, "check");
    if (entry->kind == ENTRY_CALIBRATION)
        return entry_get(entry, "meter");
    return entry->tank.n > 0 ? entry->tank : entry->batch;
}

static struct str piece_of_name(struct arena *arena, const struct entry *entry)
{
    struct buf out = buf_new(arena);
    struct str name = entry_name(entry);
    str_escape(&out, name, 0);
    if (!str_eq(name, entry->batch) && entry->batch.n > 0) {
        buf_char(&out, ' ');
        str_escape(&out, entry->batch, 0);
    }
    return buf_str(&out);
}

static struct str piece_of_time(struct arena *arena, const struct entry *entry,
                                const struct civil_zone *zone)
{
    char day[CIVIL_SHORT_SIZE], clock[CIVIL_CLOCK_SIZE];
    struct buf out = buf_new(arena);
    civil_short_date(civil_day(zone, entry->at), day);
    buf_printf(&out, "%s %s ", day + strlen("Wed "), civil_clock(zone, entry->at, clock));
    return buf_str(&out);
}

size_t entry_pieces(struct arena *arena, const struct entry *entry, const struct civil_zone *zone,
                    struct str *pieces)
{
    size_t n = 0;
    const struct key_table *table = entry_table(entry->kind);
    pieces[n++] = piece_of_name(arena, entry);
    if (entry->timed)
        pieces[n++] = piece_of_time(arena, entry, zone);
    if (entry->kind == ENTRY_CLEANED)
        pieces[n++] = STR("cleaned");
    if (entry->kind == ENTRY_FORCED)
        pieces[n++] = STR("forced sample");
    for (int notes = 0; table != NULL && notes < 2; notes++)
        for (size_t i = 0; i < table->count; i++)
            for (size_t k = 0; k < entry->n; k++) {
                const struct entry_pair *pair = &entry->pairs[k];
                bool note = strcmp(pair->key, "note") == 0;
                if (strcmp(pair->key, table->keys[i].name) == 0 && note == (notes == 1) &&
                    !is_aside(str_of(pair->key)))
                    pieces[n++] = piece_of_pair(arena, pair);
            }
    return n;
}
