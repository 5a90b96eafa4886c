/* Any bytes as a YAML stream: every node lies within its parent and within the bytes, and the tree
 * is what a bare loop over libyaml's events gives. */
#include "agree.h"
#include "doc.h"
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>

static void check_node(const struct doc_node *node, uint32_t start, uint32_t end)
{
    if (node->start < start || node->end > end || node->start > node->end || node->line == 0 ||
        node->column == 0)
        abort();
    if (node->kind == DOC_SCALAR)
        return;
    for (const struct doc_node *n = node->first; n != NULL; n = n->next) {
        if (node->kind == DOC_MAP)
            check_node(n->key, node->start, node->end);
        check_node(n, node->start, node->end);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    struct arena arena;
    struct diags diags;
    arena_init(&arena, NULL, NULL);
    diag_init(&diags, &arena);
    struct source source = {STR("fuzz"), {arena_copy(&arena, (const char *)bytes, n), n}};
    struct doc_stream stream = doc_read(&arena, &source, &diags);
    if (stream.broken != (diags.errors > 0))
        abort();
    for (const struct doc *doc = stream.first; doc != NULL; doc = doc->next)
        if (doc->root != NULL)
            check_node(doc->root, 0, (uint32_t)n);
    enum rule refused;
    const char *why = agree(&arena, source.text, &refused);
    if (why != NULL) {
        fprintf(stderr, "%s\n", why);
        abort();
    }
    arena_free(&arena);
    return 0;
}
