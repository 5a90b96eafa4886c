#include "doc.h"

#include <string.h>
#include <yaml.h>

/* A place in the source that only moves forward: libyaml's character index turned into bytes. */
struct cursor {
    size_t index; /* characters, as libyaml counts them */
    size_t byte;
    uint32_t line, column;
};

struct reader {
    struct arena *arena;
    const struct source *source;
    struct diags *diags;
    yaml_parser_t parser;
    struct cursor cursor;
    size_t mark_bytes; /* of the byte order mark */
    bool ascii;        /* then characters are bytes, and libyaml's lines are an editor's */
    bool broken, ended, in_document;
    struct doc_stream stream;
    struct doc **last_doc;
    size_t nodes;             /* of the document */
    struct doc_node document; /* it is a list of one: what hangs in it is the root */
    struct open {
        struct doc_node *node;  /* what is open: a list or mapping, first of all the document */
        struct doc_node **link; /* where its next entry hangs */
        struct doc_node *last;
        struct doc_node *key; /* of a mapping: of the entry to come, NULL while it is awaited */
    } open[DOC_MOST_DEPTH + 1], *top;
};

static bool is_continuation(char c)
{
    return ((unsigned char)c & 0xc0) == 0x80;
}

/* Moves a cursor over the character it stands at. */
static void step(struct cursor *cursor, struct str text)
{
    char c = text.p[cursor->byte++];
    while (cursor->byte < text.n && is_continuation(text.p[cursor->byte]))
        cursor->byte++;
    cursor->index++;
    bool line_end =
        c == '\n' || (c == '\r' && !(cursor->byte < text.n && text.p[cursor->byte] == '\n'));
    if (line_end) {
        cursor->line++;
        cursor->column = 1;
    } else {
        cursor->column++;
    }
}

/* Where characters are more than one byte each, the cursor walks to the mark. */
static struct cursor walk_to(struct reader *r, const yaml_mark_t *mark)
{
    struct str text = r->source->text;
    struct cursor *cursor = &r->cursor;
    if (mark->index < cursor->index)
        *cursor = (struct cursor){0, r->mark_bytes, 1, 1};
    while (cursor->index < mark->index && cursor->byte < text.n)
        step(cursor, text);
    return *cursor;
}

static inline struct cursor locate(struct reader *r, const yaml_mark_t *mark)
{
    if (r->ascii)
        return (struct cursor){mark->index, mark->index + r->mark_bytes, (uint32_t)mark->line + 1,
                               (uint32_t)mark->column + 1};
    return walk_to(r, mark);
}

struct place doc_place_at(const struct source *source, size_t offset)
{
    struct cursor cursor = {0, str_mark_length(source->text), 1, 1};
    if (offset > source->text.n)
        offset = source->text.n;
    while (cursor.byte < offset)
        step(&cursor, source->text);
    /* The end of a file that ends in a newline is shown at the end of its last line. */
    if (offset == source->text.n && cursor.line > 1 && cursor.column == 1) {
        const char *text = source->text.p;
        size_t first = str_mark_length(source->text), end = offset - 1;
        if (end > first && text[end] == '\n' && text[end - 1] == '\r')
            end--;
        size_t start = end;
        while (start > first && text[start - 1] != '\n' && text[start - 1] != '\r')
            start--;
        cursor.line--;
        for (size_t i = start; i < end; i++)
            cursor.column += !is_continuation(text[i]);
    }
    return (struct place){source, cursor.line, cursor.column};
}

struct place doc_place(const struct source *source, const struct doc_node *node)
{
    return (struct place){source, node->line, node->column};
}

const struct doc_node *doc_get(const struct doc_node *map, const char *key)
{
    if (map == NULL || map->kind != DOC_MAP)
        return NULL;
    for (const struct doc_node *n = map->first; n != NULL; n = n->next)
        if (str_is(n->key->text, key))
            return n;
    return NULL;
}

bool doc_is_null(const struct doc_node *node)
{
    if (node->kind != DOC_SCALAR || node->style != DOC_PLAIN)
        return false;
    if (node->text.n == 0)
        return true;
    char c = node->text.p[0];
    if (c != '~' && c != 'n' && c != 'N')
        return false;
    return str_is(node->text, "~") || str_is(node->text, "null") || str_is(node->text, "Null") ||
           str_is(node->text, "NULL");
}

static struct place place_of(struct reader *r, yaml_mark_t mark)
{
    struct cursor at = locate(r, &mark);
    if (at.byte >= r->source->text.n)
        return doc_place_at(r->source, r->source->text.n);
    return (struct place){r->source, at.line, at.column};
}

static void refuse(struct reader *r, yaml_mark_t mark, enum rule rule, const char *message)
{
    diag_add(r->diags, place_of(r, mark), rule, "%s", message);
    r->broken = true;
}

/* libyaml's words for what it expected, and ours for what to do; at_context: the cause is where the
 * context began. NULL: a value cannot begin with the character that stands there. */
static const struct {
    const char *problem;
    bool at_context;
    const char *help;
} SYNTAX_HELP[] = {
    {"mapping values are not allowed in this context", false,
     "a ': ' is not allowed here: put a value that holds one in double quotes, or align the key"},
    {"mapping keys are not allowed in this context", false,
     "put a value that begins with ? in double quotes"},
    {"block sequence entries are not allowed in this context", false,
     "a '- ' is not allowed here: put a value that begins so in double quotes"},
    {"could not find expected ':'", true, "a ':' is missing behind the key of this line"},
    {"did not find expected ',' or '}'", false, "a ',' or '}' is missing"},
    {"did not find expected ',' or ']'", false, "a ',' or ']' is missing"},
    {"did not find expected key", false,
     "the indentation fits no key above it, or text follows behind a quoted value"},
    {"did not find expected '-' indicator", false,
     "an entry of this list must begin with '- ' in the column of the others"},
    {"did not find expected node content", false, "a value is missing here"},
    {"found unexpected ':'", false,
     "a ':' without a value: write the value, write ~ for not taken, or leave the key out"},
    {"found character that cannot start any token", false, NULL},
    {"found unexpected end of stream", true, "a quote is opened here and never closed"},
    {"found unexpected document indicator", true,
     "a quote is opened here and not closed before the next ---"},
    {"did not find expected <document start>", false,
     "this belongs to no key above it; a new document begins with a line ---"},
    {"did not find expected alphabetic or numeric character", true, NULL},
    {"did not find expected comment or line break", true, NULL},
    {"found a tab character that violates indentation", false, "indent with blanks, not tabs"},
    {"found a tab character where an indentation space is expected", false,
     "indent with blanks, not tabs"},
    {"found unknown escape character", false,
     "an unknown escape behind \\ in double quotes: write \\\\ for one \\"},
    {"did not find expected hexdecimal number", false,
     "an unknown escape behind \\ in double quotes: write \\\\ for one \\"},
    {"found invalid Unicode character escape code", false,
     "an unknown escape behind \\ in double quotes: write \\\\ for one \\"},
    {"found incompatible YAML document", false, "leave the %YAML line out"},
    {"found duplicate %YAML directive", false, "leave the %YAML line out"},
    {"found unknown directive name", false, "leave the line that begins with % out"},
    {"could not find expected directive name", false, "leave the line that begins with % out"},
};

enum { SYNTAX_HELPS = sizeof SYNTAX_HELP / sizeof SYNTAX_HELP[0] };

static size_t find_help(const char *problem)
{
    size_t i = 0;
    while (i < SYNTAX_HELPS && strcmp(SYNTAX_HELP[i].problem, problem) != 0)
        i++;
    return i;
}

/* Marks of errors may lie before the cursor. */
static struct cursor locate_anew(struct reader *r, yaml_mark_t mark)
{
    r->cursor = (struct cursor){0, r->mark_bytes, 1, 1};
    return locate(r, &mark);
}

static struct str char_at(const struct reader *r, struct cursor at)
{
    struct str text = str_cut(r->source->text, at.byte, r->source->text.n);
    size_t used = 0;
    if (text.n > 0)
        str_char(text.p, text.n, &used);
    return str_cut(text, 0, used);
}

/* A bracket that is opened in one line and found missing in a later one. */
static bool report_unclosed(struct reader *r)
{
    const yaml_parser_t *p = &r->parser;
    bool flow = p->context != NULL && (strcmp(p->context, "while parsing a flow mapping") == 0 ||
                                       strcmp(p->context, "while parsing a flow sequence") == 0);
    if (!flow || p->context_mark.line == p->problem_mark.line)
        return false;
    struct cursor missing = locate_anew(r, p->problem_mark);
    unsigned line = (unsigned)missing.line;
    bool at_end = missing.byte >= r->source->text.n;
    const char *opened = char_at(r, locate_anew(r, p->context_mark)).p[0] == '[' ? "[" : "{";
    const char *closing = opened[0] == '[' ? "]" : "}";
    struct place place = place_of(r, p->context_mark);
    if (at_end)
        diag_add(r->diags, place, RULE_SYNTAX, "this %s is never closed: a ',' or %s is missing",
                 opened, closing);
    else
        diag_add(r->diags, place, RULE_SYNTAX,
                 "this %s is not closed before line %u: a ',' or %s is missing", opened, line,
                 closing);
    return true;
}

static void report_syntax(struct reader *r)
{
    const yaml_parser_t *p = &r->parser;
    const char *problem = p->problem == NULL ? "not YAML" : p->problem;
    const char *context = p->context == NULL ? "" : p->context;
    if (report_unclosed(r))
        return;
    size_t i = find_help(problem);
    bool tag =
        strcmp(context, "while scanning a tag") == 0 || strcmp(context, "while parsing a tag") == 0;
    bool at_context =
        p->context != NULL && (tag || (i < SYNTAX_HELPS && SYNTAX_HELP[i].at_context));
    yaml_mark_t mark = at_context ? p->context_mark : p->problem_mark;
    struct str c = char_at(r, locate_anew(r, mark));
    struct place place = place_of(r, mark);
    if (tag)
        diag_add(r->diags, place, RULE_SYNTAX,
                 "a value cannot begin with !: put it in double quotes");
    else if (str_is(c, "\t"))
        diag_add(r->diags, place, RULE_SYNTAX, "indent with blanks, not tabs");
    else if (i == SYNTAX_HELPS)
        diag_add(r->diags, place, RULE_SYNTAX, "not YAML: %s", problem);
    else if (SYNTAX_HELP[i].help == NULL)
        diag_add(r->diags, place, RULE_SYNTAX,
                 "a value cannot begin with %s: put it in double quotes",
                 str_shown(r->diags->arena, c));
    else
        diag_add(r->diags, place, RULE_SYNTAX, "%s", SYNTAX_HELP[i].help);
}

static void report_parser_error(struct reader *r)
{
    const yaml_parser_t *p = &r->parser;
    r->broken = true;
    if (p->error == YAML_READER_ERROR) {
        struct place place = doc_place_at(r->source, p->problem_offset);
        struct str text = r->source->text;
        if (text.n > 1 && (text.p[0] == '\0' || text.p[1] == '\0'))
            diag_add(r->diags, place, RULE_ENCODING, "the file is UTF-16: save it as UTF-8");
        else if (strcmp(p->problem, "control characters are not allowed") == 0)
            diag_add(r->diags, place, RULE_ENCODING, "a control character: remove it");
        else
            diag_add(r->diags, place, RULE_ENCODING, "not UTF-8 text: save the file as UTF-8");
    } else if (p->error == YAML_MEMORY_ERROR) {
        if (r->arena->exhausted != NULL)
            r->arena->exhausted(r->arena->context);
    } else {
        report_syntax(r);
    }
}

static void report_many(struct reader *r, struct cursor at)
{
    diag_add(r->diags, (struct place){r->source, at.line, at.column}, RULE_NESTING,
             "over 3 million values in one document: no gyle book needs that");
    r->broken = true;
}

static inline bool awaits_key(const struct reader *r)
{
    return r->top->key == NULL && r->top->node->kind == DOC_MAP;
}

/* Hangs a new node into the list, mapping or document that is open. */
static inline struct doc_node *add_node(struct reader *r, enum doc_kind kind, struct cursor at,
                                        bool is_key)
{
    struct open *top = r->top;
    struct doc_node *node = arena_raw(r->arena, sizeof *node);
    if (r->nodes++ == DOC_MOST_NODES)
        report_many(r, at);
    *node = (struct doc_node){
        .kind = kind & 3u, .start = (uint32_t)at.byte, .line = at.line, .column = at.column};
    if (is_key) {
        top->key = node;
        return node;
    }
    node->key = top->key;
    top->key = NULL;
    *top->link = node;
    top->link = &node->next;
    top->last = node;
    top->node->count++;
    return node;
}

static bool refuse_properties(struct reader *r, const yaml_char_t *anchor, yaml_mark_t mark)
{
    if (anchor != NULL)
        refuse(
            r, mark, RULE_PLAIN_YAML,
            "to YAML, & begins an anchor, which is not used here: put the value in double quotes");
    else
        refuse(r, mark, RULE_PLAIN_YAML,
               "to YAML, ! begins a tag, which is not used here: put the value in double quotes");
    return true;
}

static inline bool has_properties(struct reader *r, const yaml_char_t *anchor,
                                  const yaml_char_t *tag, const yaml_mark_t *mark)
{
    return (anchor != NULL || tag != NULL) && refuse_properties(r, anchor, *mark);
}

/* A quoted value that says what its bytes say needs no copy. */
static struct str scalar_text(struct reader *r, const yaml_event_t *event, size_t start, size_t end)
{
    struct str value = {(const char *)event->data.scalar.value, event->data.scalar.length};
    struct str bytes = str_cut(r->source->text, start, end);
    bool plain = event->data.scalar.style == YAML_PLAIN_SCALAR_STYLE;
    if (plain && event->start_mark.line == event->end_mark.line && value.n == bytes.n)
        return bytes;
    if (event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE && bytes.n >= 2)
        bytes = str_cut(bytes, 1, bytes.n - 1);
    return str_eq(value, bytes) ? bytes : str_copy(r->arena, value);
}

/* A block text's end mark lies at the next token: its end is the end of its last line with text. */
static size_t block_text_end(struct str text, size_t start, size_t end)
{
    while (end > start && (text.p[end - 1] == '\n' || text.p[end - 1] == '\r' ||
                           text.p[end - 1] == ' ' || text.p[end - 1] == '\t'))
        end--;
    return end;
}

static void add_scalar(struct reader *r, const yaml_event_t *event)
{
    if (has_properties(r, event->data.scalar.anchor, event->data.scalar.tag, &event->start_mark))
        return;
    bool is_key = awaits_key(r);
    struct cursor start = locate(r, &event->start_mark);
    struct doc_node *node = add_node(r, DOC_SCALAR, start, is_key);
    struct cursor end = locate(r, &event->end_mark);
    yaml_scalar_style_t style = event->data.scalar.style;
    node->end = (uint32_t)end.byte;
    if (style == YAML_PLAIN_SCALAR_STYLE) {
        node->style = DOC_PLAIN;
        node->many_lines = end.line != start.line;
        node->omitted = event->data.scalar.length == 0;
    } else if (style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE) {
        node->style = DOC_BLOCK_TEXT;
        node->end = (uint32_t)block_text_end(r->source->text, start.byte, end.byte);
    } else {
        node->style = DOC_QUOTED;
    }
    node->text = scalar_text(r, event, start.byte, node->end);
    if (is_key && node->style == DOC_PLAIN && node->text.n == 2 && node->text.p[0] == '<' &&
        node->text.p[1] == '<')
        refuse(r, event->start_mark, RULE_PLAIN_YAML,
               "merge keys (<<) are not used: write the keys out");
}

static void open_node(struct reader *r, enum doc_kind kind, bool flow, yaml_mark_t mark)
{
    if (awaits_key(r)) {
        refuse(r, mark, RULE_SHAPE, "a key must be plain text, not a list or a mapping");
        return;
    }
    if (r->top == &r->open[DOC_MOST_DEPTH]) {
        refuse(r, mark, RULE_NESTING, "lists and mappings are nested over 64 deep");
        return;
    }
    struct doc_node *node = add_node(r, kind, locate(r, &mark), false);
    node->flow = flow;
    *++r->top = (struct open){.node = node, .link = &node->first};
}

/* What is open ends: in brackets at the bracket, else at the end of the last thing in it. */
static void close_node(struct reader *r, yaml_mark_t end_mark)
{
    const struct open *open = r->top--;
    if (open->node->flow)
        open->node->end = (uint32_t)locate(r, &end_mark).byte;
    else
        open->node->end = open->last != NULL ? open->last->end : open->node->start;
}

static void start_document(struct reader *r, const yaml_event_t *event)
{
    struct doc *doc = arena_alloc(r->arena, sizeof *doc);
    struct cursor at = locate(r, &event->start_mark);
    doc->start = (uint32_t)at.byte;
    doc->line = at.line;
    doc->marked = !event->data.document_start.implicit;
    if (*r->last_doc != NULL)
        r->last_doc = &(*r->last_doc)->next;
    *r->last_doc = doc;
    r->stream.count++;
    r->nodes = 0;
    r->document = (struct doc_node){.kind = DOC_LIST};
    r->open[0] = (struct open){.node = &r->document, .link = &doc->root};
    r->top = r->open;
}

static void check_encoding(struct reader *r, const yaml_event_t *event)
{
    if (event->data.stream_start.encoding != YAML_UTF8_ENCODING)
        refuse(r, event->start_mark, RULE_ENCODING, "the file is UTF-16: save it as UTF-8");
}

static void take(struct reader *r, const yaml_event_t *event)
{
    switch (event->type) {
    case YAML_STREAM_START_EVENT:
        check_encoding(r, event);
        break;
    case YAML_STREAM_END_EVENT:
        r->ended = true;
        break;
    case YAML_DOCUMENT_START_EVENT:
        start_document(r, event);
        r->in_document = true;
        break;
    case YAML_DOCUMENT_END_EVENT:
        r->in_document = false;
        break;
    case YAML_ALIAS_EVENT:
        refuse(
            r, event->start_mark, RULE_PLAIN_YAML,
            "to YAML, * begins an alias, which is not used here: put the value in double quotes");
        break;
    case YAML_SCALAR_EVENT:
        add_scalar(r, event);
        break;
    case YAML_SEQUENCE_START_EVENT:
        if (!has_properties(r, event->data.sequence_start.anchor, event->data.sequence_start.tag,
                            &event->start_mark))
            open_node(r, DOC_LIST, event->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE,
                      event->start_mark);
        break;
    case YAML_MAPPING_START_EVENT:
        if (!has_properties(r, event->data.mapping_start.anchor, event->data.mapping_start.tag,
                            &event->start_mark))
            open_node(r, DOC_MAP, event->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE,
                      event->start_mark);
        break;
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        close_node(r, event->end_mark);
        break;
    default:
        break;
    }
}

/* The ends of lists and mappings have nothing to give back: a tenth of all events need no call. */
static inline bool holds_memory(const yaml_event_t *event)
{
    return event->type != YAML_SEQUENCE_END_EVENT && event->type != YAML_MAPPING_END_EVENT;
}

static bool is_ascii(struct str text)
{
    const char *p = text.p, *end = text.p + text.n;
    for (; end - p >= 8; p += 8) {
        uint64_t word;
        memcpy(&word, p, 8);
        if (word & 0x8080808080808080u)
            return false;
    }
    for (; p < end; p++)
        if ((unsigned char)*p >= 0x80)
            return false;
    return true;
}

/* Where needle stands in text from an offset on, or text.n. */
static size_t find_bytes(struct str text, size_t from, const char *needle)
{
    size_t n = strlen(needle);
    while (from + n <= text.n) {
        const char *hit = memchr(text.p + from, needle[0], text.n - n - from + 1);
        if (hit == NULL)
            break;
        from = (size_t)(hit - text.p);
        if (memcmp(hit, needle, n) == 0)
            return from;
        from++;
    }
    return text.n;
}

/* libyaml takes time by the square of these. */
static bool has_many_tag_lines(struct str text)
{
    size_t n = 0;
    for (size_t at = find_bytes(text, 0, "%TAG"); at < text.n;
         at = find_bytes(text, at + 1, "%TAG"))
        n += at == 0 || text.p[at - 1] == '\n' || text.p[at - 1] == '\r';
    return n > DOC_MOST_TAG_LINES;
}

static bool is_acceptable(struct reader *r)
{
    struct str text = r->source->text;
    if (text.n > SOURCE_MOST_BYTES) {
        diag_add(r->diags, (struct place){r->source, 0, 0}, RULE_NESTING,
                 "the file is over 512 MiB: no gyle book needs that");
        return false;
    }
    if (has_many_tag_lines(text)) {
        diag_add(r->diags, (struct place){r->source, 0, 0}, RULE_NESTING,
                 "the file has over 100 %%TAG lines: a gyle book needs none");
        return false;
    }
    size_t mark = r->ascii ? text.n : find_bytes(text, r->mark_bytes, STR_BYTE_ORDER_MARK);
    if (mark < text.n)
        diag_add(r->diags, doc_place_at(r->source, mark), RULE_ENCODING,
                 "a byte order mark inside of the file, as when files are joined: remove it");
    return mark >= text.n;
}

/* An unfinished document is not handed out. */
static void drop_unfinished(struct reader *r)
{
    struct doc **link = &r->stream.first;
    if (r->stream.count == 0)
        return;
    while ((*link)->next != NULL)
        link = &(*link)->next;
    *link = NULL;
    r->stream.count--;
}

struct doc_stream doc_read(struct arena *arena, const struct source *source, struct diags *diags)
{
    struct reader r = {.arena = arena, .source = source, .diags = diags};
    r.last_doc = &r.stream.first;
    r.mark_bytes = str_mark_length(source->text);
    r.cursor = (struct cursor){0, r.mark_bytes, 1, 1};
    r.ascii = is_ascii(str_cut(source->text, r.mark_bytes, source->text.n));
    r.broken = !is_acceptable(&r);
    if (r.broken) {
        r.stream.broken = true;
        return r.stream;
    }
    if (!yaml_parser_initialize(&r.parser)) {
        if (arena->exhausted != NULL)
            arena->exhausted(arena->context);
        r.stream.broken = true;
        return r.stream;
    }
    yaml_parser_set_input_string(&r.parser, (const unsigned char *)source->text.p, source->text.n);
    while (!r.ended && !r.broken) {
        yaml_event_t event;
        if (!yaml_parser_parse(&r.parser, &event)) {
            report_parser_error(&r);
            break;
        }
        take(&r, &event);
        if (holds_memory(&event))
            yaml_event_delete(&event);
    }
    yaml_parser_delete(&r.parser);
    if (r.in_document)
        drop_unfinished(&r);
    r.stream.broken = r.broken;
    return r.stream;
}
