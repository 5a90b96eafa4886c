/*
 * Where new entries go among the bytes of a file. Entries are put in at the end of a list, each as
 * one line; every byte that was there stays, in its order. A plan collects insertions, and one call
 * makes the new bytes.
 *
 * The place is the end of the line on which the last entry's last byte stands, never the end of
 * the list as a YAML reader reports it, which lies behind comments and blank lines.
 */
#ifndef GYLE_INSERT_H
#define GYLE_INSERT_H

#include "doc.h"
#include "keys.h"

struct insert_piece {
    size_t offset;
    size_t rank; /* among those of one offset: 0 goes on with what is there, then the new keys */
    struct str bytes;
};

struct insert {
    struct arena *arena;
    struct str text; /* the bytes as they are */
    struct insert_piece *pieces;
    size_t n, capacity;
};

struct insert insert_new(struct arena *arena, struct str text);

/* Plans to add entries (`{at: ...}`, one line each) to the list called key of a document. The list
 * may be in block or flow form, empty, null or absent; a new one is put where table, that of the
 * document, has it. Returns NULL, or why it cannot be done. */
const char *insert_entries(struct insert *insert, const struct doc_node *root,
                           const struct key_table *table, const char *key,
                           const struct str *entries, size_t count);

/* The new bytes; a missing line end at the end of the file is added. */
struct str insert_apply(struct insert *insert);

/* True when every byte that was there is there still, in its order. */
bool insert_keeps_bytes(struct str before, struct str after);

/* True when what was read before is still read, in the same order: lists may have more entries at
 * their end, and mappings new keys whose value is a list. */
bool insert_keeps(const struct doc_stream *before, const struct doc_stream *after);

#endif
