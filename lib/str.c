#include "str.h"

#include <stdarg.h>
#include <string.h>

struct str str_of(const char *text)
{
    return (struct str){text == NULL ? "" : text, text == NULL ? 0 : strlen(text)};
}

/* Mostly the first bytes differ, so this is quicker than by the text's length. */
static unsigned char lower(char c)
{
    return (unsigned char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

bool str_is_nocase(struct str s, const char *text)
{
    size_t i = 0;
    for (; i < s.n && text[i] != '\0'; i++)
        if (lower(s.p[i]) != lower(text[i]))
            return false;
    return i == s.n && text[i] == '\0';
}

int str_cmp(struct str a, struct str b)
{
    size_t n = a.n < b.n ? a.n : b.n;
    int order = n == 0 ? 0 : memcmp(a.p, b.p, n);
    return order != 0 ? order : (a.n > b.n) - (a.n < b.n);
}

bool str_starts(struct str s, const char *prefix)
{
    size_t n = strlen(prefix);
    return s.n >= n && (n == 0 || memcmp(s.p, prefix, n) == 0);
}

bool str_ends(struct str s, const char *suffix)
{
    size_t n = strlen(suffix);
    return s.n >= n && (n == 0 || memcmp(s.p + s.n - n, suffix, n) == 0);
}

bool str_contains(struct str s, struct str part)
{
    if (part.n == 0)
        return true;
    for (size_t at = 0; at + part.n <= s.n; at++) {
        const char *hit = memchr(s.p + at, part.p[0], s.n - part.n - at + 1);
        if (hit == NULL)
            return false;
        if (hit[part.n - 1] == part.p[part.n - 1] && memcmp(hit, part.p, part.n) == 0)
            return true;
        at = (size_t)(hit - s.p);
    }
    return false;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

struct str str_trim(struct str s)
{
    while (s.n > 0 && is_blank(s.p[0])) {
        s.p++;
        s.n--;
    }
    while (s.n > 0 && is_blank(s.p[s.n - 1]))
        s.n--;
    return s;
}

struct str str_copy(struct arena *arena, struct str s)
{
    return (struct str){arena_copy(arena, s.p, s.n), s.n};
}

size_t str_mark_length(struct str text)
{
    return str_starts(text, STR_BYTE_ORDER_MARK) ? strlen(STR_BYTE_ORDER_MARK) : 0;
}

struct str str_split(struct str *rest, char sep)
{
    const char *at = rest->n == 0 ? NULL : memchr(rest->p, sep, rest->n);
    struct str part = *rest;
    if (at == NULL) {
        *rest = (struct str){NULL, 0};
        return part;
    }
    part.n = (size_t)(at - rest->p);
    *rest = (struct str){at + 1, rest->n - part.n - 1};
    return part;
}

/* Lead bytes of UTF-8 by their length: the bits that count, and the least code point that needs it.
 */
static const struct {
    unsigned char mask, lead, bits;
    uint32_t least;
} UTF8[] = {{0x80, 0x00, 0x7f, 0},
            {0xe0, 0xc0, 0x1f, 0x80},
            {0xf0, 0xe0, 0x0f, 0x800},
            {0xf8, 0xf0, 0x07, 0x10000}};

uint32_t str_char(const char *p, size_t n, size_t *used)
{
    unsigned char first = (unsigned char)p[0];
    *used = 1;
    if (first < 0x80)
        return first;
    for (size_t length = 2; length <= 4; length++) {
        if ((first & UTF8[length - 1].mask) != UTF8[length - 1].lead)
            continue;
        if (n < length)
            return UINT32_MAX;
        uint32_t code = first & UTF8[length - 1].bits;
        for (size_t i = 1; i < length; i++) {
            unsigned char next = (unsigned char)p[i];
            if ((next & 0xc0) != 0x80)
                return UINT32_MAX;
            code = code << 6 | (next & 0x3f);
        }
        if (code < UTF8[length - 1].least || code > 0x10ffff || (code >= 0xd800 && code <= 0xdfff))
            return UINT32_MAX;
        *used = length;
        return code;
    }
    return UINT32_MAX;
}

/* Ranges that are not one column wide, in order: East Asian Width W and F, and the combining marks
 * of the scripts likeliest in a note (Unicode 14). */
static const struct {
    uint32_t from, to;
    int width;
} WIDTHS[] = {
    {0x0300, 0x036f, 0},   {0x0483, 0x0489, 0},   {0x0591, 0x05bd, 0},   {0x05bf, 0x05bf, 0},
    {0x05c1, 0x05c2, 0},   {0x05c4, 0x05c5, 0},   {0x05c7, 0x05c7, 0},   {0x0610, 0x061a, 0},
    {0x064b, 0x065f, 0},   {0x0670, 0x0670, 0},   {0x06d6, 0x06dc, 0},   {0x06df, 0x06e4, 0},
    {0x06e7, 0x06e8, 0},   {0x06ea, 0x06ed, 0},   {0x0900, 0x0902, 0},   {0x093a, 0x093a, 0},
    {0x093c, 0x093c, 0},   {0x0941, 0x0948, 0},   {0x094d, 0x094d, 0},   {0x0951, 0x0957, 0},
    {0x0962, 0x0963, 0},   {0x0e31, 0x0e31, 0},   {0x0e34, 0x0e3a, 0},   {0x0e47, 0x0e4e, 0},
    {0x1100, 0x115f, 2},   {0x1160, 0x11ff, 0},   {0x1ab0, 0x1aff, 0},   {0x1dc0, 0x1dff, 0},
    {0x200b, 0x200f, 0},   {0x2060, 0x2064, 0},   {0x20d0, 0x20f0, 0},   {0x231a, 0x231b, 2},
    {0x2329, 0x232a, 2},   {0x23e9, 0x23ec, 2},   {0x23f0, 0x23f0, 2},   {0x23f3, 0x23f3, 2},
    {0x25fd, 0x25fe, 2},   {0x2614, 0x2615, 2},   {0x2648, 0x2653, 2},   {0x267f, 0x267f, 2},
    {0x2693, 0x2693, 2},   {0x26a1, 0x26a1, 2},   {0x26aa, 0x26ab, 2},   {0x26bd, 0x26be, 2},
    {0x26c4, 0x26c5, 2},   {0x26ce, 0x26ce, 2},   {0x26d4, 0x26d4, 2},   {0x26ea, 0x26ea, 2},
    {0x26f2, 0x26f3, 2},   {0x26f5, 0x26f5, 2},   {0x26fa, 0x26fa, 2},   {0x26fd, 0x26fd, 2},
    {0x2705, 0x2705, 2},   {0x270a, 0x270b, 2},   {0x2728, 0x2728, 2},   {0x274c, 0x274c, 2},
    {0x274e, 0x274e, 2},   {0x2753, 0x2755, 2},   {0x2757, 0x2757, 2},   {0x2795, 0x2797, 2},
    {0x27b0, 0x27b0, 2},   {0x27bf, 0x27bf, 2},   {0x2b1b, 0x2b1c, 2},   {0x2b50, 0x2b50, 2},
    {0x2b55, 0x2b55, 2},   {0x2e80, 0x3029, 2},   {0x302a, 0x302d, 0},   {0x302e, 0x303e, 2},
    {0x3041, 0x3096, 2},   {0x3099, 0x309a, 0},   {0x309b, 0x3247, 2},   {0x3250, 0x4dbf, 2},
    {0x4e00, 0xa4c6, 2},   {0xa960, 0xa97c, 2},   {0xac00, 0xd7a3, 2},   {0xf900, 0xfad9, 2},
    {0xfe00, 0xfe0f, 0},   {0xfe10, 0xfe19, 2},   {0xfe20, 0xfe2f, 0},   {0xfe30, 0xfe6b, 2},
    {0xff01, 0xff60, 2},   {0xffe0, 0xffe6, 2},   {0x16fe0, 0x16fe3, 2}, {0x16ff0, 0x1b2fb, 2},
    {0x1f004, 0x1f004, 2}, {0x1f0cf, 0x1f0cf, 2}, {0x1f18e, 0x1f18e, 2}, {0x1f191, 0x1f19a, 2},
    {0x1f200, 0x1f320, 2}, {0x1f32d, 0x1f335, 2}, {0x1f337, 0x1f37c, 2}, {0x1f37e, 0x1f393, 2},
    {0x1f3a0, 0x1f3ca, 2}, {0x1f3cf, 0x1f3d3, 2}, {0x1f3e0, 0x1f3f0, 2}, {0x1f3f4, 0x1f3f4, 2},
    {0x1f3f8, 0x1f43e, 2}, {0x1f440, 0x1f440, 2}, {0x1f442, 0x1f4fc, 2}, {0x1f4ff, 0x1f53d, 2},
    {0x1f54b, 0x1f54e, 2}, {0x1f550, 0x1f567, 2}, {0x1f57a, 0x1f57a, 2}, {0x1f595, 0x1f596, 2},
    {0x1f5a4, 0x1f5a4, 2}, {0x1f5fb, 0x1f64f, 2}, {0x1f680, 0x1f6c5, 2}, {0x1f6cc, 0x1f6cc, 2},
    {0x1f6d0, 0x1f6d2, 2}, {0x1f6d5, 0x1f6df, 2}, {0x1f6eb, 0x1f6ec, 2}, {0x1f6f4, 0x1f6fc, 2},
    {0x1f7e0, 0x1f7f0, 2}, {0x1f90c, 0x1f93a, 2}, {0x1f93c, 0x1f945, 2}, {0x1f947, 0x1f9ff, 2},
    {0x1fa70, 0x1faff, 2}, {0x20000, 0x3fffd, 2}, {0xe0100, 0xe01ef, 0},
};

int str_char_width(uint32_t code)
{
    if (code < WIDTHS[0].from)
        return 1;
    for (size_t i = 0; i < sizeof WIDTHS / sizeof WIDTHS[0] && WIDTHS[i].from <= code; i++)
        if (code <= WIDTHS[i].to)
            return WIDTHS[i].width;
    return 1;
}

/* In order. */
static const struct {
    uint32_t from, to;
} HIDDEN[] = {
    {0x0000, 0x001f},   {0x007f, 0x009f},
    {0x061c, 0x061c},   {0x200e, 0x200f},
    {0x2028, 0x202e},   {0x2066, 0x206f},
    {0xfeff, 0xfeff},   {0xfff9, 0xfffb},
    {0xe0000, 0xe007f}, /* tags: unseen */ {UINT32_MAX, UINT32_MAX},
};

bool str_is_hidden(uint32_t code)
{
    if (code >= 0x20 && code < 0x7f)
        return false;
    for (size_t i = 0; HIDDEN[i].from <= code; i++)
        if (code <= HIDDEN[i].to)
            return true;
    return false;
}

enum { SHOWN_MAX = 12 };

/* How the character at p is shown: its bytes, in text, and the columns they take. */
static size_t show_char(const char *p, size_t n, size_t *used, char text[SHOWN_MAX], size_t *width)
{
    uint32_t code = str_char(p, n, used);
    if (!str_is_hidden(code)) {
        memcpy(text, p, *used);
        *width = (size_t)str_char_width(code);
        return *used;
    }
    int length;
    if (code == '\n' || code == '\t' || code == '\r')
        length = snprintf(text, SHOWN_MAX, "\\%c", code == '\n' ? 'n' : code == '\t' ? 't' : 'r');
    else if (code == UINT32_MAX || code < 0x100)
        length =
            snprintf(text, SHOWN_MAX, "\\x%02X", code == UINT32_MAX ? (unsigned char)p[0] : code);
    else
        length = snprintf(text, SHOWN_MAX, "\\u%04X", code);
    *width = (size_t)length;
    return (size_t)length;
}

size_t str_width(struct str s)
{
    size_t total = 0;
    for (size_t i = 0, used = 0; i < s.n; i += used) {
        char text[SHOWN_MAX];
        size_t width;
        show_char(s.p + i, s.n - i, &used, text, &width);
        total += width;
    }
    return total;
}

struct str str_fit(struct str s, size_t width)
{
    size_t i = 0, total = 0;
    for (size_t used = 0; i < s.n; i += used) {
        char text[SHOWN_MAX];
        size_t columns;
        show_char(s.p + i, s.n - i, &used, text, &columns);
        if (total + columns > width)
            break;
        total += columns;
    }
    return str_cut(s, 0, i);
}

size_t str_distance(struct str a, struct str b)
{
    enum { MOST = 64 };
    if (a.n >= MOST || b.n >= MOST)
        return SIZE_MAX;
    size_t rows[3][MOST + 1];
    for (size_t j = 0; j <= b.n; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a.n; i++) {
        size_t *row = rows[i % 3], *above = rows[(i + 2) % 3], *two_above = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= b.n; j++) {
            bool same = lower(a.p[i - 1]) == lower(b.p[j - 1]);
            size_t best = above[j - 1] + (same ? 0 : 1);
            if (above[j] + 1 < best)
                best = above[j] + 1;
            if (row[j - 1] + 1 < best)
                best = row[j - 1] + 1;
            bool swapped = i > 1 && j > 1 && lower(a.p[i - 1]) == lower(b.p[j - 2]) &&
                           lower(a.p[i - 2]) == lower(b.p[j - 1]);
            if (swapped && two_above[j - 2] + 1 < best)
                best = two_above[j - 2] + 1;
            row[j] = best;
        }
    }
    return rows[a.n % 3][b.n];
}

const char *str_nearest(struct str s, const char *(*name)(const void *table, size_t i),
                        const void *table, size_t count)
{
    const char *nearest = NULL;
    size_t least = SIZE_MAX;
    for (size_t i = 0; i < count; i++) {
        const char *candidate = name(table, i);
        if (candidate == NULL)
            continue;
        size_t distance = str_distance(s, str_of(candidate));
        size_t longest = s.n > strlen(candidate) ? s.n : strlen(candidate);
        if (distance < least && distance <= 1 + longest / 4 && distance < longest) {
            least = distance;
            nearest = candidate;
        }
    }
    return nearest;
}

struct buf buf_new(struct arena *arena)
{
    struct buf buf = {.arena = arena, .capacity = 64};
    buf.p = arena_alloc(arena, buf.capacity);
    return buf;
}

static void make_room(struct buf *buf, size_t more)
{
    while (buf->capacity - buf->n <= more)
        buf->p = arena_grow(buf->arena, buf->p, &buf->capacity, 1);
}

void buf_add(struct buf *buf, struct str s)
{
    make_room(buf, s.n);
    if (s.n > 0)
        memcpy(buf->p + buf->n, s.p, s.n);
    buf->n += s.n;
    buf->p[buf->n] = '\0';
}

void buf_char(struct buf *buf, char c)
{
    buf_add(buf, (struct str){&c, 1});
}

void buf_pad(struct buf *buf, char c, size_t count)
{
    while (count-- > 0)
        buf_char(buf, c);
}

void buf_printf(struct buf *buf, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int length = vsnprintf(buf->p + buf->n, buf->capacity - buf->n, format, args);
    if (length > 0 && (size_t)length >= buf->capacity - buf->n) {
        make_room(buf, (size_t)length);
        vsnprintf(buf->p + buf->n, buf->capacity - buf->n, format, again);
    }
    if (length > 0)
        buf->n += (size_t)length;
    va_end(again);
    va_end(args);
}

struct str buf_str(const struct buf *buf)
{
    return (struct str){buf->p, buf->n};
}

void str_escape(struct buf *buf, struct str s, size_t limit)
{
    bool cut = limit > 0 && str_width(s) > limit;
    size_t dots = limit < 3 ? limit : 3;
    struct str part = cut ? str_fit(s, limit - dots) : s;
    for (size_t i = 0, used = 0; i < part.n; i += used) {
        char text[SHOWN_MAX];
        size_t width;
        size_t length = show_char(part.p + i, part.n - i, &used, text, &width);
        buf_add(buf, (struct str){text, length});
    }
    if (cut)
        buf_pad(buf, '.', dots);
}

void str_write_escaped(FILE *out, struct str s)
{
    size_t written = 0; /* what lies before it is out; what follows up to i can go as it is */
    for (size_t i = 0, used = 0; i < s.n; i += used) {
        if (!str_is_hidden(str_char(s.p + i, s.n - i, &used)))
            continue;
        char text[SHOWN_MAX];
        size_t width;
        size_t length = show_char(s.p + i, s.n - i, &used, text, &width);
        fwrite(s.p + written, 1, i - written, out);
        fwrite(text, 1, length, out);
        written = i + used;
    }
    if (written < s.n)
        fwrite(s.p + written, 1, s.n - written, out);
}

const char *str_shown(struct arena *arena, struct str s)
{
    enum { LONGEST_SHOWN = 60 };
    struct buf buf = buf_new(arena);
    str_escape(&buf, s, LONGEST_SHOWN);
    return buf.p;
}

const char *str_meant(struct arena *arena, const char *nearest, const char *otherwise)
{
    if (nearest == NULL)
        return otherwise;
    struct buf said = buf_new(arena);
    buf_printf(&said, "; did you mean %s?", nearest);
    return said.p;
}
