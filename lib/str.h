/*
 * Slices of text and growing text. A struct str points into bytes that someone else owns (a file,
 * an arena) and need not end in NUL; it may hold NUL bytes. A struct buf grows in an arena. Text is
 * UTF-8; broken bytes count as one character each and are shown escaped.
 */
#ifndef GYLE_STR_H
#define GYLE_STR_H

#include "arena.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

struct str {
    const char *p;
    size_t n;
};

/* A literal as a slice, in code and in the rows of a const table. STR_FMT and STR_ARG print one
 * with printf, cut at INT_MAX. */
#define STR_ROW(literal)                                                                           \
    {                                                                                              \
        "" literal, sizeof(literal) - 1                                                            \
    }
#define STR(literal) ((struct str)STR_ROW(literal))
#define STR_FMT      "%.*s"
#define STR_ARG(s)   (int)(s).n, (s).p

struct str str_of(const char *text); /* NULL gives an empty slice */
static inline bool str_eq(struct str a, struct str b)
{
    return a.n == b.n && (a.n == 0 || memcmp(a.p, b.p, a.n) == 0);
}
/* Inline, since the length of a literal is then known. */
static inline bool str_is(struct str s, const char *text)
{
    size_t n = strlen(text);
    return s.n == n && (n == 0 || memcmp(s.p, text, n) == 0);
}
bool str_is_nocase(struct str s, const char *text); /* ASCII letters only */
int str_cmp(struct str a, struct str b);            /* byte order; a prefix comes first */
bool str_starts(struct str s, const char *prefix);
bool str_ends(struct str s, const char *suffix);
bool str_contains(struct str s, struct str part); /* the empty part: always */
struct str str_trim(struct str s);                /* without blanks, tabs, CR and LF at both ends */
static inline struct str str_cut(struct str s, size_t from, size_t to)
{
    if (to > s.n)
        to = s.n;
    if (from > to)
        from = to;
    return (struct str){from == 0 ? s.p : s.p + from, to - from};
}
struct str str_copy(struct arena *arena, struct str s); /* NUL follows the copy */

/* UTF-8's byte order mark, and the bytes of one at the start of a text: 3 or 0. */
#define STR_BYTE_ORDER_MARK "\xef\xbb\xbf"
size_t str_mark_length(struct str text);

/* Takes the text before the first sep off *rest and returns it; all of it when there is none.
 * *rest then starts behind the sep, or has p == NULL when nothing is left. */
struct str str_split(struct str *rest, char sep);

/* One character at p (n > 0 bytes are there): its code point, its length in *used. A broken byte
 * gives UINT32_MAX and a length of 1. */
uint32_t str_char(const char *p, size_t n, size_t *used);

/* Columns that a terminal gives to a code point: 0 combining, 2 wide east Asian and emoji, else 1.
 */
int str_char_width(uint32_t code);

/* True of characters that must not reach a terminal: controls, C1, marks that reorder text, and a
 * broken byte (UINT32_MAX). */
bool str_is_hidden(uint32_t code);

/* Columns of the whole text as str_escape() would show it. */
size_t str_width(struct str s);

/* The longest part at the start that fits into width columns. */
struct str str_fit(struct str s, size_t width);

/* Edits (insert, drop, change, swap neighbours) that make a of b, ASCII case ignored; for "did you
 * mean". Texts over 63 bytes give SIZE_MAX. */
size_t str_distance(struct str a, struct str b);

/* The one of count names that is nearest to s, or NULL when none is near enough to be meant.
 * name(i) of table may return NULL to skip. */
const char *str_nearest(struct str s, const char *(*name)(const void *table, size_t i),
                        const void *table, size_t count);

/* "; did you mean X?" for the nearest one, or, where it is NULL, what is said otherwise. */
const char *str_meant(struct arena *arena, const char *nearest, const char *otherwise);

struct buf {
    struct arena *arena;
    char *p; /* NUL follows the n bytes */
    size_t n, capacity;
};

struct buf buf_new(struct arena *arena);
void buf_add(struct buf *buf, struct str s);
void buf_char(struct buf *buf, char c);
void buf_pad(struct buf *buf, char c, size_t count);
void buf_printf(struct buf *buf, const char *format, ...) __attribute__((format(printf, 2, 3)));
struct str buf_str(const struct buf *buf);

/* Appends s with control characters, C1, bidirectional marks and broken bytes shown as \n \t \xNN
 * \uNNNN, so that no input reaches a terminal raw. What is wider than limit columns is cut and ends
 * in "...", the dots counted in; 0: no limit. */
void str_escape(struct buf *buf, struct str s, size_t limit);
void str_write_escaped(FILE *out, struct str s);

/* The same in memory of the arena, NUL-ended, cut to 60 columns, for messages. */
const char *str_shown(struct arena *arena, struct str s);

#endif
