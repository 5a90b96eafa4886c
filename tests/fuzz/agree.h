/*
 * What lib/doc makes of a stream beside what a bare loop over libyaml's events makes of it: the
 * same documents, lists, mappings and scalars in the same order, up to the first thing that lib/doc
 * refuses by design or that is no YAML, and there the refusal that belongs to it, placed within the
 * bytes.
 */
#ifndef GYLE_TESTS_AGREE_H
#define GYLE_TESTS_AGREE_H

#include "doc.h"

#include <string.h>
#include <yaml.h>

/* What ends the reading: RULE_COUNT when nothing does. */
struct agree_bare {
    struct buf said;   /* the documents that are whole, in one line */
    enum rule refused; /* why the rest is refused */
    const char *why;
    bool is_placed; /* by the mark below; else anywhere within the bytes */
    yaml_mark_t mark;
    size_t scalars; /* in said */
};

/* A place in the bytes as an editor has it: lines end in LF, CR LF or CR, and a byte order mark at
 * the start does not count. */
struct agree_place {
    size_t byte;
    uint32_t line, column;
};

/* Behind the character at `at`: a byte and those 10xxxxxx that follow it. */
static inline struct agree_place agree_next(struct str text, struct agree_place at)
{
    char c = text.p[at.byte++];
    while (at.byte < text.n && ((unsigned char)text.p[at.byte] & 0xc0) == 0x80)
        at.byte++;
    if (c == '\n' || (c == '\r' && !(at.byte < text.n && text.p[at.byte] == '\n')))
        return (struct agree_place){at.byte, at.line + 1, 1};
    return (struct agree_place){at.byte, at.line, at.column + 1};
}

static inline struct agree_place agree_begin(struct str text)
{
    return (struct agree_place){str_starts(text, "\xef\xbb\xbf") ? 3 : 0, 1, 1};
}

/* A character of the bytes, or right behind the last one. */
static inline bool agree_is_within(struct str text, uint32_t line, uint32_t column)
{
    for (struct agree_place at = agree_begin(text);; at = agree_next(text, at)) {
        if (at.line == line && at.column == column)
            return true;
        if (at.byte >= text.n || at.line > line)
            return false;
    }
}

/* The place of a mark, which counts characters, is that of the finding. At the end of the bytes the
 * finding stands behind the last line instead. */
static inline bool agree_is_at(struct str text, const yaml_mark_t *mark, const struct diag *diag)
{
    struct agree_place at = agree_begin(text);
    for (size_t i = 0; i < mark->index && at.byte < text.n; i++)
        at = agree_next(text, at);
    return at.byte >= text.n || (at.line == diag->line && at.column == diag->column);
}

/* The name of the first finding that lies outside of the bytes, or NULL. Line 0 is the file as a
 * whole. */
static inline const char *agree_misplaced(const struct diags *diags, struct str text)
{
    for (size_t i = 0; i < diags->n; i++)
        if (diags->items[i].line != 0 &&
            !agree_is_within(text, diags->items[i].line, diags->items[i].column))
            return RULES[diags->items[i].rule].name;
    return NULL;
}

static inline void agree_refuse(struct agree_bare *bare, const yaml_event_t *event, enum rule rule,
                                const char *why)
{
    bare->refused = rule;
    bare->why = why;
    bare->is_placed = true;
    bare->mark = event->start_mark;
}

static inline bool agree_has_properties(struct agree_bare *bare, const yaml_event_t *event,
                                        const yaml_char_t *anchor, const yaml_char_t *tag)
{
    if (anchor != NULL)
        agree_refuse(bare, event, RULE_PLAIN_YAML, "an anchor");
    else if (tag != NULL)
        agree_refuse(bare, event, RULE_PLAIN_YAML, "a tag");
    return anchor != NULL || tag != NULL;
}

static inline char agree_style(yaml_scalar_style_t style)
{
    bool block = style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE;
    return style == YAML_PLAIN_SCALAR_STYLE ? 'p' : block ? 'b' : 'q';
}

static inline void agree_say_text(struct buf *buf, char style, struct str text)
{
    buf_printf(buf, "%c%zu'", style, text.n);
    buf_add(buf, text);
    buf_char(buf, '\'');
}

/* The state of the loop: where a mapping waits for a key. */
struct agree_open {
    bool is_map[DOC_MOST_DEPTH + 2], awaits_key[DOC_MOST_DEPTH + 2];
    size_t depth;
};

static inline bool agree_awaits_key(const struct agree_open *open)
{
    return open->depth > 0 && open->is_map[open->depth] && open->awaits_key[open->depth];
}

static inline void agree_entry_ends(struct agree_open *open)
{
    if (open->depth > 0 && open->is_map[open->depth])
        open->awaits_key[open->depth] = !open->awaits_key[open->depth];
}

static inline void agree_take(struct agree_bare *bare, struct agree_open *open,
                              struct buf *document, const yaml_event_t *event)
{
    bool is_map = event->type == YAML_MAPPING_START_EVENT;
    switch (event->type) {
    case YAML_STREAM_START_EVENT:
        if (event->data.stream_start.encoding != YAML_UTF8_ENCODING)
            agree_refuse(bare, event, RULE_ENCODING, "UTF-16");
        break;
    case YAML_ALIAS_EVENT:
        agree_refuse(bare, event, RULE_PLAIN_YAML, "an alias");
        break;
    case YAML_SCALAR_EVENT:
        if (agree_has_properties(bare, event, event->data.scalar.anchor, event->data.scalar.tag))
            break;
        struct str text = {(const char *)event->data.scalar.value, event->data.scalar.length};
        char style = agree_style(event->data.scalar.style);
        if (agree_awaits_key(open) && style == 'p' && str_is(text, "<<"))
            agree_refuse(bare, event, RULE_PLAIN_YAML, "a merge key");
        agree_say_text(document, style, text);
        agree_entry_ends(open);
        break;
    case YAML_SEQUENCE_START_EVENT:
    case YAML_MAPPING_START_EVENT:
        if (is_map ? agree_has_properties(bare, event, event->data.mapping_start.anchor,
                                          event->data.mapping_start.tag)
                   : agree_has_properties(bare, event, event->data.sequence_start.anchor,
                                          event->data.sequence_start.tag))
            break;
        if (agree_awaits_key(open)) {
            agree_refuse(bare, event, RULE_SHAPE, "a key that is no scalar");
            break;
        }
        if (open->depth == DOC_MOST_DEPTH) {
            agree_refuse(bare, event, RULE_NESTING, "too deep");
            break;
        }
        buf_char(document, is_map ? '{' : '[');
        open->depth++;
        open->is_map[open->depth] = open->awaits_key[open->depth] = is_map;
        break;
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        buf_char(document, event->type == YAML_MAPPING_END_EVENT ? '}' : ']');
        open->depth--;
        agree_entry_ends(open);
        break;
    case YAML_DOCUMENT_END_EVENT:
        buf_add(&bare->said, STR("---"));
        buf_add(&bare->said, buf_str(document));
        *document = buf_new(document->arena);
        break;
    default:
        break;
    }
}

static inline size_t agree_tag_lines(struct str text)
{
    size_t n = 0;
    for (size_t i = 0; i + 4 <= text.n; i++)
        n += memcmp(text.p + i, "%TAG", 4) == 0 &&
             (i == 0 || text.p[i - 1] == '\n' || text.p[i - 1] == '\r');
    return n;
}

/* A byte order mark that is not the first character. */
static inline bool agree_has_mark_inside(struct str text)
{
    for (size_t i = 1; i + 3 <= text.n; i++)
        if (memcmp(text.p + i, "\xef\xbb\xbf", 3) == 0)
            return true;
    return false;
}

/* False: out of memory. */
static inline bool agree_read_bare(struct arena *arena, struct str text, struct agree_bare *bare)
{
    struct agree_open open = {.depth = 0};
    struct buf document = buf_new(arena);
    yaml_parser_t parser;
    *bare = (struct agree_bare){.said = buf_new(arena), .refused = RULE_COUNT, .why = "nothing"};
    if (agree_has_mark_inside(text) || agree_tag_lines(text) > DOC_MOST_TAG_LINES) {
        bool mark = agree_has_mark_inside(text);
        bare->refused = agree_tag_lines(text) > DOC_MOST_TAG_LINES ? RULE_NESTING : RULE_ENCODING;
        bare->why = mark ? "a byte order mark inside" : "too many %TAG lines";
        return true;
    }
    if (!yaml_parser_initialize(&parser))
        return false;
    yaml_parser_set_input_string(&parser, (const unsigned char *)text.p, text.n);
    for (bool more = true; more && bare->refused == RULE_COUNT;) {
        yaml_event_t event;
        if (!yaml_parser_parse(&parser, &event)) {
            bare->refused = parser.error == YAML_READER_ERROR ? RULE_ENCODING : RULE_SYNTAX;
            bare->why = parser.problem == NULL ? "no memory" : parser.problem;
            break;
        }
        agree_take(bare, &open, &document, &event);
        more = event.type != YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    bool enough = parser.error != YAML_MEMORY_ERROR;
    yaml_parser_delete(&parser);
    return enough;
}

static inline void agree_say_node(struct buf *buf, const struct doc_node *node)
{
    static const char STYLES[] = {[DOC_PLAIN] = 'p', [DOC_QUOTED] = 'q', [DOC_BLOCK_TEXT] = 'b'};
    if (node->kind == DOC_SCALAR) {
        agree_say_text(buf, STYLES[node->style], node->text);
        return;
    }
    buf_char(buf, node->kind == DOC_MAP ? '{' : '[');
    for (const struct doc_node *n = node->first; n != NULL; n = n->next) {
        if (n->key != NULL)
            agree_say_node(buf, n->key);
        agree_say_node(buf, n);
    }
    buf_char(buf, node->kind == DOC_MAP ? '}' : ']');
}

/* The bytes between a node's ends are what it says. */
static inline bool agree_has_its_bytes(const struct doc_node *node, struct str text)
{
    struct str bytes = str_cut(text, node->start, node->end);
    if (node->end > text.n || node->start > node->end)
        return false;
    if (node->kind == DOC_SCALAR && node->style == DOC_PLAIN)
        return node->many_lines || node->omitted || str_eq(bytes, node->text);
    if (node->kind == DOC_SCALAR && node->style == DOC_QUOTED)
        return bytes.n >= 2 && (bytes.p[0] == '"' || bytes.p[0] == '\'') &&
               bytes.p[bytes.n - 1] == bytes.p[0];
    if (node->kind == DOC_SCALAR)
        return bytes.n >= 1 && (bytes.p[0] == '|' || bytes.p[0] == '>');
    /* [a: b] is a list of one mapping that has no braces. */
    bool bare_pair = node->kind == DOC_MAP && node->count == 1 &&
                     (node->start == node->first->key->start || bytes.p[0] == '?');
    if (node->flow && !bare_pair &&
        !(bytes.n >= 2 && bytes.p[0] == (node->kind == DOC_MAP ? '{' : '[') &&
          bytes.p[bytes.n - 1] == (node->kind == DOC_MAP ? '}' : ']')))
        return false;
    for (const struct doc_node *n = node->first; n != NULL; n = n->next)
        if (!agree_has_its_bytes(n, text) || (n->key != NULL && !agree_has_its_bytes(n->key, text)))
            return false;
    return true;
}

/* What differs, in one line; NULL when nothing does. *refused is the rule by which the stream was
 * refused, RULE_COUNT when it was taken. */
static inline const char *agree(struct arena *arena, struct str text, enum rule *refused)
{
    struct agree_bare bare;
    struct diags diags;
    struct source source = {STR("stream"), text};
    struct buf why = buf_new(arena), said = buf_new(arena);
    diag_init(&diags, arena);
    struct doc_stream stream = doc_read(arena, &source, &diags);
    *refused = diags.n == 0 ? RULE_COUNT : diags.items[0].rule;
    if (!agree_read_bare(arena, text, &bare))
        return NULL;
    for (const struct doc *doc = stream.first; doc != NULL; doc = doc->next) {
        buf_add(&said, STR("---"));
        if (doc->root != NULL)
            agree_say_node(&said, doc->root);
        if (doc->root != NULL && !agree_has_its_bytes(doc->root, text))
            return "the bytes of a node are not what it says";
    }
    if (!str_eq(buf_str(&said), buf_str(&bare.said)))
        buf_printf(&why, "the trees differ: libyaml has %s, doc has %s", bare.said.p, said.p);
    else if (stream.broken != (bare.refused != RULE_COUNT) || diags.n != (stream.broken ? 1 : 0))
        buf_printf(&why, "libyaml ends with %s, doc with %zu findings", bare.why, diags.n);
    else if (*refused != bare.refused)
        buf_printf(&why, "libyaml ends with %s, doc says %s: %s", bare.why, RULES[*refused].name,
                   diags.items[0].message);
    else if (agree_misplaced(&diags, text) != NULL)
        buf_printf(&why, "%u:%u lies outside of the text: %s", (unsigned)diags.items[0].line,
                   (unsigned)diags.items[0].column, diags.items[0].message);
    else if (bare.is_placed && !agree_is_at(text, &bare.mark, &diags.items[0]))
        buf_printf(&why, "%u:%u is not the place of %s", (unsigned)diags.items[0].line,
                   (unsigned)diags.items[0].column, bare.why);
    return why.n == 0 ? NULL : why.p;
}

#endif
