/* Pieces of SVG: any bytes become text that XML allows, and numbers are plain. */
#include "svg.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static struct arena arena;

static const struct {
    const char *title;
    struct str text;
    const char *shown;
} TEXTS[] = {
    {"plain", STR_ROW("Chalkline Pale"), "Chalkline Pale"},
    {"markup", STR_ROW("<script>\"a\" & 'b'</script>]]>"),
     "&lt;script&gt;\"a\" &amp; 'b'&lt;/script&gt;]]&gt;"},
    {"already escaped", STR_ROW("&amp;"), "&amp;amp;"},
    {"controls", STR_ROW("a\x1b[31m\tb\0c\x7f"), "a\\x1B[31m\\tb\\x00c\\x7F"},
    {"broken bytes", STR_ROW("\xff\xc3"), "\\xFF\\xC3"},
    {"a surrogate", STR_ROW("\xed\xa0\x80"), "\\xED\\xA0\\x80"},
    {"no character", STR_ROW("\xef\xbf\xbe\xef\xbf\xbf"), "\\uFFFE\\uFFFF"},
    {"text turned round", STR_ROW("\u202e"), "\\u202E"},
    {"umlauts", STR_ROW("Gär°"), "Gär°"},
};

/* What a call writes, in memory to be freed. */
static struct svg open_svg(char **text, size_t *size)
{
    return (struct svg){open_memstream(text, size), &arena};
}

static void test_text(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof TEXTS / sizeof *TEXTS; i++) {
        char *text = NULL;
        size_t size = 0;
        struct svg svg = open_svg(&text, &size);
        svg_characters(&svg, TEXTS[i].text);
        fclose(svg.out);
        if (strcmp(text, TEXTS[i].shown) != 0)
            fail_msg("%s: %s", TEXTS[i].title, text);
        free(text);
    }
}

static void test_path(void **state)
{
    (void)state;
    char *text = NULL;
    size_t size = 0;
    struct svg svg = open_svg(&text, &size);
    struct svg_path path = svg_path_begin(&svg);
    svg_path_end(&path, true, "none", NULL); /* no points, no path */
    svg_path_to(&path, 1, 2);
    svg_path_to(&path, 1.0 / 3, -2);
    svg_path_end(&path, true, "a", "2 4");
    svg_path_to(&path, 0, 0);
    svg_path_end(&path, false, "b", "");
    svg_mark(&svg, SVG_CROSS, 1, 1, "full", STR("5 < 6"));
    fclose(svg.out);
    assert_string_equal(
        text, "<path d=\"M1.00 2.00L0.33 -2.00Z\" class=\"a\" stroke-dasharray=\"2 4\"/>\n"
              "<path d=\"M0.00 0.00\" class=\"b\"/>\n"
              "<path transform=\"translate(1.00 1.00)\" "
              "d=\"M-4.5 -4.5L4.5 4.5M-4.5 4.5L4.5 -4.5\" class=\"thin\">"
              "<title>5 &lt; 6</title></path>\n");
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_text),
        cmocka_unit_test(test_path),
    };
    arena_init(&arena, NULL, NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    arena_free(&arena);
    return failed;
}
