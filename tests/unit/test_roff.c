#include "roff.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const struct {
    const char *title, *text;
    size_t limit;
    const char *roff, *fallbacks;
} ROWS[] = {
    {"plain", "FV1", 0, "\\&FV1", ""},
    {"a request is no request", ".sp 3i", 0, "\\&.sp 3i", ""},
    {"nor is the other control character", "'br", 0, "\\&'br", ""},
    {"an escape is none", "a\\fBb", 0, "\\&a\\efBb", ""},
    {"a tab would begin a column", "a\tb", 0, "\\&a\\etb", ""},
    {"a control character", "a\x1b[31m", 0, "\\&a\\ex1B[31m", ""},
    {"a minus", "-1..2", 0, "\\&\\-1..2", ""},
    {"a hyphen", "Plumb-Line", 0, "\\&Plumb-Line", ""},
    {"a letter that every font has", "K\xc3\xb6lsch", 0, "\\&K\\[u00F6]lsch", ""},
    {"a letter and its mark apart", "Ko\xcc\x88lsch", 0, "\\&K\\[u006F_0308]lsch", ""},
    {"a letter of Czech", "sv\xc4\x9btl\xc3\xbd", 0, "\\&sv\\[u011B]tl\\[u00FD]",
     ".fchar \\[u011B] \\o'e\\[ah]'\n"},
    {"a stroke falls back on the letter", "\xc5\x82", 0, "\\&\\[u0142]", ".fchar \\[u0142] l\n"},
    {"the last of the block", "\xc5\xbf", 0, "\\&\\[u017F]", ".fchar \\[u017F] s\n"},
    {"no letter of ours, told once", "\xe5\x8c\x97\xe5\x8c\x97", 0, "\\&\\[u5317]\\[u5317]",
     ".fchar \\[u5317] ?\n"},
    {"beyond sixteen bits", "\xf0\x9f\x8d\xba", 0, "\\&\\[u1F37A]", ".fchar \\[u1F37A] ?\n"},
    {"cut", "Chalkline Pale", 8, "\\&Chalk...", ""},
    {"empty", "", 0, "\\&", ""},
};

static void text_for_groff(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        struct roff roff = {.arena = &arena};
        struct buf buf = buf_new(&arena);
        char *fallbacks = NULL;
        size_t size = 0;
        roff_add(&roff, &buf, str_of(ROWS[i].text), ROWS[i].limit);
        FILE *out = open_memstream(&fallbacks, &size);
        assert_non_null(out);
        roff_write_fallbacks(out, &roff);
        fclose(out);
        if (strcmp(buf.p, ROWS[i].roff) != 0)
            fail_msg("%s: %s", ROWS[i].title, buf.p);
        if (strcmp(fallbacks, ROWS[i].fallbacks) != 0)
            fail_msg("%s: %s", ROWS[i].title, fallbacks);
        free(fallbacks);
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(text_for_groff)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
