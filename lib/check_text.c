#include "check_rules.h"

#include <string.h>

/* With a mark or without. */
static bool is_utf16(struct str text)
{
    return str_starts(text, "\xff\xfe") || str_starts(text, "\xfe\xff") ||
           (text.n > 1 && (text.p[0] == '\0' || text.p[1] == '\0'));
}

/* The offset of the first byte that is neither in a comment, a blank line nor a directive. */
static size_t first_content(struct str text)
{
    size_t at = str_mark_length(text);
    while (at < text.n) {
        size_t line = at;
        while (at < text.n && (text.p[at] == ' ' || text.p[at] == '\t'))
            at++;
        bool blank = at == text.n || text.p[at] == '\n' || text.p[at] == '\r';
        if (!blank && text.p[at] != '#' && !(text.p[at] == '%' && at == line))
            return at;
        while (at < text.n && text.p[at] != '\n' && text.p[at] != '\r')
            at++;
        while (at < text.n && (text.p[at] == '\n' || text.p[at] == '\r'))
            at++;
    }
    return text.n;
}

static bool is_document_mark(struct str text, size_t at)
{
    return at + 3 <= text.n && memcmp(text.p + at, "---", 3) == 0 &&
           (at + 3 == text.n || strchr(" \t\r\n", text.p[at + 3]) != NULL) &&
           (at == 0 || text.p[at - 1] == '\n' || text.p[at - 1] == '\r' ||
            at == str_mark_length(text));
}

void check_text(struct diags *diags, const struct book_file *file)
{
    const struct source *source = &file->source;
    struct str text = source->text;
    if (is_utf16(text))
        return;
    if (str_mark_length(text) > 0)
        diag_add(diags, (struct place){source, 1, 1}, RULE_BOM,
                 "a byte order mark: save the file as UTF-8 without one, it breaks joined files");
    size_t content = first_content(text);
    if (content == text.n) {
        if (file->stream.count == 0 && !file->stream.broken)
            diag_add(diags, (struct place){source, 1, 1}, RULE_EMPTY, "the file holds nothing");
        return;
    }
    if (!is_document_mark(text, content))
        diag_add(diags, doc_place_at(source, content), RULE_DOCUMENT_START,
                 "the file must begin with a line ---: without it, joined files run together");
    if (text.p[text.n - 1] != '\n' && text.p[text.n - 1] != '\r')
        diag_add(diags, doc_place_at(source, text.n), RULE_LAST_NEWLINE,
                 "the last line has no end: press Enter behind it, so that files can be joined");
}
