#include "insert.h"

#include <stdlib.h>
#include <string.h>

struct insert insert_new(struct arena *arena, struct str text)
{
    return (struct insert){.arena = arena, .text = text};
}

static bool is_behind(const struct insert_piece *piece, size_t offset, size_t rank)
{
    return piece->offset > offset || (piece->offset == offset && piece->rank > rank);
}

static void add_piece(struct insert *insert, size_t offset, size_t rank, struct str bytes)
{
    if (insert->n == insert->capacity)
        insert->pieces =
            arena_grow(insert->arena, insert->pieces, &insert->capacity, sizeof *insert->pieces);
    size_t i = insert->n++;
    for (; i > 0 && is_behind(&insert->pieces[i - 1], offset, rank); i--)
        insert->pieces[i] = insert->pieces[i - 1];
    insert->pieces[i] = (struct insert_piece){offset, rank, bytes};
}

static size_t line_end(struct str text, size_t offset)
{
    while (offset < text.n && text.p[offset] != '\n' && text.p[offset] != '\r')
        offset++;
    return offset;
}

static size_t line_start(struct str text, size_t offset)
{
    while (offset > 0 && text.p[offset - 1] != '\n' && text.p[offset - 1] != '\r')
        offset--;
    return offset;
}

/* The line end that stands at offset; empty at the end of the text. */
static struct str end_at(struct str text, size_t offset)
{
    size_t n = 0;
    if (offset < text.n)
        n = text.p[offset] == '\r' && offset + 1 < text.n && text.p[offset + 1] == '\n' ? 2 : 1;
    return str_cut(text, offset, offset + n);
}

/* The place behind the line that holds offset, and the line ends used there. */
struct spot {
    size_t offset;
    struct str end;
    bool unfinished; /* the last line of the file, without its end */
};

static struct spot behind_line(struct str text, size_t offset)
{
    size_t at = line_end(text, offset);
    struct str end = end_at(text, at);
    if (end.n > 0)
        return (struct spot){at + end.n, end, false};
    end = end_at(text, line_end(text, 0));
    return (struct spot){at, end.n > 0 ? end : STR("\n"), true};
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* How far the first thing in the line of offset is indented. */
static size_t indent_of_line(struct str text, size_t offset)
{
    size_t start = line_start(text, offset), at = start;
    while (at < text.n && is_blank(text.p[at]))
        at++;
    return at - start;
}

/* How far the dash of a block list's entry is indented. It stands before the entry, in its line or
 * in one above. */
static size_t indent_of_dash(struct str text, size_t entry_start)
{
    size_t start = line_start(text, entry_start);
    for (;;) {
        size_t indent = indent_of_line(text, start);
        if (start + indent < text.n && text.p[start + indent] == '-')
            return indent;
        if (start == 0)
            return indent;
        start = line_start(text, start - end_at(text, start - 1).n);
    }
}

static void add_indent(struct buf *out, size_t indent)
{
    buf_pad(out, ' ', indent);
}

struct work {
    struct insert *insert;
    const struct doc_node *root;
    const struct str *entries;
    size_t count;
};

/* Entries as lines of a block list. */
static void add_block_lines(struct buf *out, const struct work *work, size_t indent, struct str end)
{
    for (size_t i = 0; i < work->count; i++) {
        add_indent(out, indent);
        buf_add(out, STR("- "));
        buf_add(out, work->entries[i]);
        buf_add(out, end);
    }
}

static size_t key_indent_of(const struct work *work)
{
    const struct doc_node *first = work->root->first;
    return first == NULL ? 0 : indent_of_line(work->insert->text, first->key->start);
}

/* Where a new list's dashes stand: as in another list of the document, else two blanks in. */
static size_t usual_indent(const struct work *work)
{
    for (const struct doc_node *v = work->root->first; v != NULL; v = v->next)
        if (v->kind == DOC_LIST && !v->flow && v->first != NULL)
            return indent_of_dash(work->insert->text, v->first->start);
    return key_indent_of(work) + 2;
}

/* Behind the line of offset: more of a list, or a new one with its key. */
static void put_block(const struct work *work, size_t offset, size_t indent, const char *key,
                      size_t rank)
{
    struct spot spot = behind_line(work->insert->text, offset);
    struct buf out = buf_new(work->insert->arena);
    if (key != NULL) {
        add_indent(&out, key_indent_of(work));
        buf_printf(&out, "%s:", key);
        buf_add(&out, spot.end);
    }
    add_block_lines(&out, work, indent, spot.end);
    add_piece(work->insert, spot.offset, rank, buf_str(&out));
}

/* An empty value that is written out (~, null, []) becomes a comment, so that a block list can
 * follow: no byte goes. */
static void put_for_empty(const struct work *work, const struct doc_node *value)
{
    if (!value->omitted)
        add_piece(work->insert, value->start, 0, STR("# "));
    put_block(work, value->omitted ? value->key->end : value->start, usual_indent(work), NULL, 0);
}

static bool has_line_end(struct str text)
{
    return line_end(text, 0) < text.n;
}

/* True when a comma stands behind the last entry of a flow list; *behind is then behind it. */
static bool has_last_comma(struct str text, const struct doc_node *list, size_t *behind)
{
    bool comment = false;
    for (size_t at = *behind; at + 1 < list->end; at++) {
        char c = text.p[at];
        if (comment)
            comment = c != '\n' && c != '\r';
        else if (c == '#')
            comment = true;
        else if (c == ',') {
            *behind = at + 1;
            return true;
        }
    }
    return false;
}

/* Entries as lines of a flow list: `, {...}`, or `{...},` where the last one ends so. */
static void add_flow_lines(struct buf *out, const struct work *work, size_t indent, struct str end,
                           bool after_comma, bool first_of_list)
{
    for (size_t i = 0; i < work->count; i++) {
        add_indent(out, indent);
        if (!after_comma && !(first_of_list && i == 0))
            buf_add(out, STR(", "));
        buf_add(out, work->entries[i]);
        if (after_comma)
            buf_char(out, ',');
        buf_add(out, end);
    }
}

static void put_in_flow(const struct work *work, const struct doc_node *list)
{
    struct str text = work->insert->text;
    const struct doc_node *last = list->first;
    while (last != NULL && last->next != NULL)
        last = last->next;
    size_t behind = last == NULL ? list->start + 1 : last->end;
    bool comma = last != NULL && has_last_comma(text, list, &behind);
    size_t indent = key_indent_of(work) + 2;
    if (last != NULL && line_start(text, last->start) > list->start)
        indent = indent_of_line(text, last->start);
    struct spot spot = behind_line(text, behind);
    struct buf out = buf_new(work->insert->arena);
    bool own_line = spot.offset < list->end && !spot.unfinished;
    if (!own_line) { /* the bracket closes on this line: break it */
        spot.offset = behind;
        buf_add(&out, spot.end);
    }
    add_flow_lines(&out, work, indent, spot.end, comma, last == NULL);
    if (!own_line)
        add_indent(&out, indent);
    add_piece(work->insert, spot.offset, 0, buf_str(&out));
}

/* The node behind which a new list goes: the last key for the table's last one (number `place`),
 * else the nearest key that comes before it in the table and is there. */
static const struct doc_node *node_before(const struct work *work, const struct key_table *table,
                                          size_t place)
{
    const struct doc_node *before = NULL, *last = work->root->first;
    while (last->next != NULL)
        last = last->next;
    for (size_t i = 0; i < place; i++) {
        const struct doc_node *there = doc_get(work->root, table->keys[i].name);
        before = there != NULL ? there : before;
    }
    return place + 1 >= table->count || before == NULL ? last : before;
}

static const char *put_absent(const struct work *work, const struct key_table *table,
                              const char *key)
{
    size_t place = 0;
    while (place < table->count && strcmp(table->keys[place].name, key) != 0)
        place++;
    const struct doc_node *before = node_before(work, table, place);
    size_t offset = before->omitted ? before->key->end : before->end;
    put_block(work, offset, usual_indent(work), key, 1 + place);
    return NULL;
}

const char *insert_entries(struct insert *insert, const struct doc_node *root,
                           const struct key_table *table, const char *key,
                           const struct str *entries, size_t count)
{
    struct work work = {insert, root, entries, count};
    if (root == NULL || root->kind != DOC_MAP || root->first == NULL)
        return "the document is no mapping";
    if (root->flow)
        return "the whole document stands in {}: write its keys on lines of their own";
    const struct doc_node *value = doc_get(root, key);
    if (value == NULL)
        return put_absent(&work, table, key);
    if (doc_is_null(value)) {
        put_for_empty(&work, value);
        return NULL;
    }
    if (value->kind != DOC_LIST)
        return "the file has one already that is no list: make it a list, with \"- \" before the "
               "entry";
    const struct doc_node *last = value->first;
    while (last != NULL && last->next != NULL)
        last = last->next;
    bool one_line = !has_line_end(str_cut(insert->text, value->start, value->end));
    if (last == NULL && (one_line || !value->flow))
        put_for_empty(&work, value);
    else if (value->flow)
        put_in_flow(&work, value);
    else
        put_block(&work, last->end, indent_of_dash(insert->text, last->start), NULL, 0);
    return NULL;
}

/* The last line of a file may lack its end. */
static void end_line(struct buf *out, struct str text)
{
    if (out->n > 0 && out->p[out->n - 1] != '\n' && out->p[out->n - 1] != '\r')
        buf_add(out, behind_line(text, text.n).end);
}

struct str insert_apply(struct insert *insert)
{
    struct buf out = buf_new(insert->arena);
    struct str text = insert->text;
    size_t done = 0;
    for (size_t i = 0; i < insert->n; i++) {
        buf_add(&out, str_cut(text, done, insert->pieces[i].offset));
        if (insert->pieces[i].offset == text.n)
            end_line(&out, text);
        buf_add(&out, insert->pieces[i].bytes);
        done = insert->pieces[i].offset;
    }
    buf_add(&out, str_cut(text, done, text.n));
    end_line(&out, text);
    return buf_str(&out);
}

bool insert_keeps_bytes(struct str before, struct str after)
{
    size_t kept = 0;
    for (size_t i = 0; kept < before.n && i < after.n; i++)
        kept += before.p[kept] == after.p[i];
    return kept == before.n;
}

static bool keeps(const struct doc_node *before, const struct doc_node *after);

/* A new key may have come in before one that was there. */
static const struct doc_node *next_of_key(const struct doc_node *v, struct str key)
{
    while (v != NULL && v->key != NULL && !str_eq(v->key->text, key) && v->kind == DOC_LIST)
        v = v->next;
    return v;
}

static bool keeps_entries(const struct doc_node *before, const struct doc_node *after)
{
    const struct doc_node *now = after->first;
    for (const struct doc_node *v = before->first; v != NULL; v = v->next) {
        if (v->key != NULL)
            now = next_of_key(now, v->key->text);
        if (now == NULL || (v->key != NULL && !str_eq(v->key->text, now->key->text)) ||
            !keeps(v, now))
            return false;
        now = now->next;
    }
    return true;
}

static bool keeps(const struct doc_node *before, const struct doc_node *after)
{
    if (doc_is_null(before) && after->kind == DOC_LIST)
        return true;
    if (before->kind != after->kind)
        return false;
    if (before->kind == DOC_SCALAR)
        return before->style == after->style && str_eq(before->text, after->text);
    return keeps_entries(before, after);
}

bool insert_keeps(const struct doc_stream *before, const struct doc_stream *after)
{
    if (after->broken || before->count != after->count)
        return false;
    const struct doc *now = after->first;
    for (const struct doc *doc = before->first; doc != NULL; doc = doc->next, now = now->next) {
        if ((doc->root == NULL) != (now->root == NULL))
            return false;
        if (doc->root != NULL && !keeps(doc->root, now->root))
            return false;
    }
    return true;
}
