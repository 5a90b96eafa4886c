/*
 * A YAML stream as a tree that remembers where everything stands.
 *
 * Scalars keep their raw text: a plain one the bytes between its marks, a quoted or literal one its
 * decoded value; nothing is ever taken for a number, a boolean or a date here. Mappings keep their
 * pairs in order, duplicates too. Anchors, aliases, tags, merge keys and keys that are no scalars
 * are errors. Slices point into the source wherever they can, so the source's bytes must outlive
 * the tree.
 *
 * libyaml's marks count characters and leave out a byte order mark; everything here is counted
 * anew: offsets in bytes, lines and columns from 1, columns in characters, lines as an editor has
 * them.
 */
#ifndef GYLE_DOC_H
#define GYLE_DOC_H

#include "arena.h"
#include "diag.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    DOC_MOST_DEPTH = 64,
    DOC_MOST_TAG_LINES = 100,
    DOC_MOST_NODES = 3000000 /* of one document: some 150,000 readings */
};

enum doc_kind { DOC_SCALAR, DOC_LIST, DOC_MAP };
enum doc_style { DOC_PLAIN, DOC_QUOTED, DOC_BLOCK_TEXT /* | and > */ };

struct doc_node {
    struct doc_node *next;  /* the next entry of the same list or mapping */
    struct doc_node *key;   /* in a mapping: the key, a scalar; in a list NULL */
    struct doc_node *first; /* of a list or mapping: the first entry */
    struct str text;        /* of a scalar */
    uint32_t start, end; /* bytes from the source's start; end is behind the last byte of the last
                          * thing in it: for a block list the end of its last entry, not of the
                          * comments that follow */
    uint32_t line, column;
    uint32_t count;          /* entries */
    unsigned kind : 2;       /* enum doc_kind */
    unsigned style : 2;      /* enum doc_style, of a scalar */
    unsigned flow : 1;       /* of a list or mapping: in [] or {} */
    unsigned many_lines : 1; /* a plain scalar that goes over lines: no figure is written so */
    unsigned omitted : 1;    /* no value at all stands there (`a:` or `{a}`), not even ~ */
};

struct doc {
    struct doc *next;
    struct doc_node *root; /* NULL: an empty document */
    uint32_t start;        /* offset of the document, at its --- if it has one */
    uint32_t line;
    bool marked; /* it begins with --- */
};

struct doc_stream {
    struct doc *first;
    size_t count;
    bool broken; /* an error ended the reading; documents before it are whole and listed */
};

/* Reads a whole stream. What is wrong goes to diags; memory comes from arena. */
struct doc_stream doc_read(struct arena *arena, const struct source *source, struct diags *diags);

/* The value of a key, the first one if it stands twice; NULL when it is not there. */
const struct doc_node *doc_get(const struct doc_node *map, const char *key);

/* True for ~, null and an omitted value. */
bool doc_is_null(const struct doc_node *node);

struct place doc_place(const struct source *source, const struct doc_node *node);

/* The place of a byte of the source. */
struct place doc_place_at(const struct source *source, size_t offset);

#endif
