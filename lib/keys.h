/*
 * Tables of keys: what a mapping of the book may hold, of which type, and where in a struct it
 * goes. The same tables read a file, find its mistakes, and describe the format (schema, manual).
 *
 * A struct that is filled begins with `const struct doc_node *node`, the mapping it came from; its
 * name, where it is an entry of a named mapping (tanks:, beers:), is node->key->text.
 */
#ifndef GYLE_KEYS_H
#define GYLE_KEYS_H

#include "arena.h"
#include "civil.h"
#include "diag.h"
#include "doc.h"
#include "quantity.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum key_type {
    KEY_TEXT,    /* const struct doc_node *: any scalar */
    KEY_WORD,    /* int: place in words, from 1; 0 when absent or refused */
    KEY_TIME,    /* struct moment */
    KEY_FIGURE,  /* struct figure of `quantity`; with words, a word may stand beside or instead */
    KEY_RANGE,   /* struct range of `quantity` */
    KEY_WHOLE,   /* struct whole: a whole number from 0 */
    KEY_FLAG,    /* struct flag: yes or no */
    KEY_OBJECT,  /* a struct, filled by `table` */
    KEY_LIST,    /* LIST(struct), each filled by `table` */
    KEY_NAMED,   /* LIST(struct) from a mapping of names, each filled by `table` */
    KEY_TEXTS,   /* LIST(const struct doc_node *) from a list of scalars */
    KEY_FIGURES, /* LIST(struct figure) from a list of scalars */
    KEY_TREE     /* const struct doc_node *: anything; read elsewhere */
};

enum key_flag {
    KEY_REQUIRED = 1, /* such keys stand first in their table */
    KEY_OR_ONE = 2 /* of a KEY_LIST: a single mapping may stand for a list of one */
};

/* An array in an arena. */
#define LIST(type)                                                                                 \
    struct {                                                                                       \
        type *items;                                                                               \
        size_t n;                                                                                  \
    }

struct moment {
    int64_t at; /* seconds since the epoch, UTC */
    const struct doc_node *node;
    bool set;
};

struct whole {
    long n;
    const struct doc_node *node;
    bool set;
};

struct flag {
    const struct doc_node *node;
    bool yes, set;
};

struct key_table;

struct key {
    const char *name;
    enum key_type type;
    size_t offset;
    unsigned flags; /* enum key_flag */
    enum quantity quantity;
    const char *const *words; /* NULL-ended */
    const struct key_table *table;
    size_t most;      /* entries of a KEY_LIST; 0: as many as there are */
    const char *help; /* one line for the manual */
};

struct key_table {
    const char *name; /* "reading", for messages: "a reading has no key ..." */
    const struct key *keys;
    size_t count;
    size_t size;   /* of the struct */
    bool is_entry; /* an entry of a list: an unknown key is an error, elsewhere a warning */
};

/* What reading a document needs to know. */
struct keys_context {
    struct arena *arena;
    struct diags *diags;
    const struct source *source;
    const struct civil_zone *zone;                     /* of local times */
    const struct quantity_unit *house[QUANTITY_COUNT]; /* units of bare numbers, NULL: none */
};

/* Fills object, which must be zeroed, from a mapping. Everything wrong goes to diags; what can be
 * read is read all the same. */
void keys_fill(const struct keys_context *context, const struct key_table *table,
               const struct doc_node *map, void *object);

/* Reads a figure or limit whose quantity is known only to the caller (KEY_TREE). */
void keys_read_figure(const struct keys_context *context, const struct doc_node *value,
                      enum quantity quantity, struct figure *figure);
void keys_read_width(const struct keys_context *context, const struct doc_node *value,
                     enum quantity quantity, struct figure *figure);
void keys_read_range(const struct keys_context *context, const struct doc_node *value,
                     enum quantity quantity, struct range *range);

/* The place of word in words, from 1, or 0. */
int keys_word(struct str word, const char *const *words);

/* node->text, or an empty slice for NULL. */
static inline struct str text_of(const struct doc_node *node)
{
    return node == NULL ? (struct str){"", 0} : node->text;
}

/* The name of an entry of a named mapping. */
static inline struct str name_of(const struct doc_node *node)
{
    return text_of(node == NULL ? NULL : node->key);
}

#endif
