#include "roff.h"

/* Latin Extended-A begins at U+0100. Each letter stands as its base and the mark on it. */
#define LATIN_A 0x100
static const char LETTERS[] = "A-a-AbabAoaoC'c'C^c^C.c.CvcvDvdvD d E-e-EbebE.e.EoeoEvev"
                              "G^g^GbgbG.g.G,g,H^h^H h I~i~I-i-IbibIoioI.i I J J^j^K,k,"
                              "k L'l'L,l,LvlvL.l.L l N'n'N,n,Nvnvn N n O-o-ObobO\"o\"O o "
                              "R'r'R,r,RvrvS's'S^s^S,s,SvsvT,t,TvtvT t U~u~U-u-UbubUrur"
                              "U\"u\"UouoW^w^Y^y^Y:Z'z'Z.z.Zvzvs ";

static const struct {
    char mark;
    const char *glyph; /* of groff */
} MARKS[] = {
    {'-', "a-"}, {'b', "ab"}, {'o', "ho"}, {'\'', "aa"}, {'^', "a^"}, {'.', "a."}, {'v', "ah"},
    {',', "ac"}, {'~', "a~"}, {'r', "ao"}, {'"', "a\""}, {':', "ad"}, {' ', NULL},
};

static const char *glyph_of(char mark)
{
    size_t i = 0;
    while (MARKS[i].mark != mark && MARKS[i].glyph != NULL)
        i++;
    return MARKS[i].glyph;
}

static void note(struct roff *roff, uint32_t code)
{
    for (size_t i = 0; i < roff->n; i++)
        if (roff->codes[i] == code)
            return;
    if (roff->n == roff->capacity)
        roff->codes = arena_grow(roff->arena, roff->codes, &roff->capacity, sizeof *roff->codes);
    roff->codes[roff->n++] = code;
}

static bool is_mark(uint32_t code)
{
    return code >= 0x300 && code < 0x370;
}

/* A letter and the mark behind it are one glyph: \[u0061_0308]. Before a digit a hyphen is a minus.
 */
static void add_code(struct roff *roff, struct buf *buf, uint32_t code, uint32_t next)
{
    bool is_minus = code == '-' && next >= '0' && next <= '9';
    if (code == '\\')
        buf_add(buf, STR("\\e"));
    else if (is_minus)
        buf_add(buf, STR("\\-"));
    else if (is_mark(next) && code != ' ')
        buf_printf(buf, "\\[u%04X_%04X]", (unsigned)code, (unsigned)next);
    else if (code < 128)
        buf_char(buf, (char)code);
    else if (!is_mark(code))
        buf_printf(buf, "\\[u%04X]", (unsigned)code);
    if (code >= LATIN_A && !is_mark(code))
        note(roff, code);
}

void roff_add(struct roff *roff, struct buf *buf, struct str text, size_t limit)
{
    struct buf plain = buf_new(roff->arena);
    str_escape(&plain, text, limit);
    buf_add(buf, STR("\\&"));
    uint32_t code = 0;
    for (size_t i = 0; i < plain.n;) {
        size_t used;
        uint32_t next = str_char(plain.p + i, plain.n - i, &used);
        if (i > 0)
            add_code(roff, buf, code, next);
        code = next;
        i += used;
    }
    if (plain.n > 0)
        add_code(roff, buf, code, 0);
}

void roff_write_fallbacks(FILE *out, const struct roff *roff)
{
    for (size_t i = 0; i < roff->n; i++) {
        uint32_t code = roff->codes[i];
        const char *letter = LETTERS + 2 * (size_t)(code - LATIN_A);
        fprintf(out, ".fchar \\[u%04X] ", (unsigned)code);
        if (code - LATIN_A >= (sizeof LETTERS - 1) / 2)
            fputs("?\n", out);
        else if (glyph_of(letter[1]) == NULL)
            fprintf(out, "%c\n", letter[0]);
        else
            fprintf(out, "\\o'%c\\[%s]'\n", letter[0], glyph_of(letter[1]));
    }
}
