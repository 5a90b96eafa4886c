/*
 * The lists in man/gyle-convert.1 are those of the tables that the program works by. They stand
 * between comments; with --write this test puts them there.
 */
#include "acidity.h"
#include "arena.h"
#include "equations.h"
#include "figures.h"
#include "str.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define PAGE "man/gyle-convert.1"

static struct arena arena;

/* Text as lines of mdoc: none is over 78 columns, none is taken for a request. */
static void add_text(struct buf *page, const char *text)
{
    size_t column = 0;
    struct str rest = str_of(text);
    while (rest.n > 0) {
        struct str word = str_split(&rest, ' ');
        if (word.n == 0)
            continue;
        if (column > 0 && column + 1 + word.n > 74) {
            buf_char(page, '\n');
            column = 0;
        }
        if (column > 0)
            buf_char(page, ' ');
        else if (word.p[0] == '.' || word.p[0] == '\'')
            buf_add(page, STR("\\&"));
        buf_add(page, word);
        if (rest.n > 0 && word.p[word.n - 1] == '.')
            buf_add(page, STR("\\&")); /* no sentence ends here */
        column += word.n + (column > 0);
    }
    buf_char(page, '\n');
}

static void add_sentence(struct buf *page, const char *label, const char *what)
{
    struct buf text = buf_new(&arena);
    buf_printf(&text, "%s: %s.", label, what);
    add_text(page, text.p);
}

static void add_figure(struct buf *page, const struct figures_info *info)
{
    buf_printf(page, ".It Cm %s", info->name);
    for (size_t i = 0; info->also[i] != NULL; i++)
        buf_printf(page, " , %s", info->also[i]);
    buf_char(page, '\n');
    add_text(page, info->help);
}

static void write_figures(struct buf *page, bool given)
{
    buf_add(page, STR(".Bl -tag -width priming-sucrose -compact\n"));
    for (int id = 1; id < FIGURES_COUNT; id++)
        if (FIGURES[id].given == given && id != FIGURES_HYDROMETER_SG)
            add_figure(page, &FIGURES[id]);
    buf_add(page, STR(".El\n"));
}

static void write_keys(struct buf *page)
{
    write_figures(page, true);
}

static void write_followers(struct buf *page)
{
    write_figures(page, false);
}

static void write_equation(struct buf *page, const struct equation *e)
{
    buf_printf(page, ".It Cm %s\n", e->name);
    add_text(page, e->gives);
    buf_add(page, STR(".br\n"));
    add_text(page, e->form);
    buf_add(page, STR(".br\n"));
    add_sentence(page, "Source", e->source);
    add_sentence(page, "Status", equations_status(e->status));
    add_sentence(page, "Range", e->range);
    for (size_t i = 0; i < EQUATION_CHECKS && e->checks[i].against != NULL; i++) {
        struct buf text = buf_new(&arena);
        buf_printf(&text, "Error: up to %g %s against %s.", e->checks[i].worst, e->checks[i].unit,
                   e->checks[i].against);
        add_text(page, text.p);
    }
}

static void write_equations(struct buf *page)
{
    buf_add(page, STR(".Bl -tag -width Ds\n"));
    for (size_t i = 0; i < equations_count; i++)
        write_equation(page, &equations[i]);
    buf_add(page, STR(".El\n"));
}

static void write_buffers(struct buf *page)
{
    buf_add(page, STR("Each is known by its name; a number stands for the first that has it.\n"
                      ".Bl -tag -width priming-sucrose -compact\n"));
    for (size_t i = 0; i < acidity_buffers_count; i++) {
        const struct acidity_buffer *it = &acidity_buffers[i];
        struct buf text = buf_new(&arena);
        buf_printf(&text, "%.2f at 25 C, for 0..%g C: %s%s", it->nominal, it->warmest, it->source,
                   it->from_memory ? ", from memory" : "");
        buf_printf(page, ".It Cm %s\n", it->name);
        add_text(page, text.p);
    }
    buf_add(page, STR(".El\n"));
}

static const struct {
    const char *name;
    void (*write)(struct buf *page);
} PARTS[] = {
    {"keys", write_keys},
    {"figures", write_followers},
    {"equations", write_equations},
    {"buffers", write_buffers},
};

static struct str read_file(const char *path)
{
    static char bytes[1 << 18];
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    size_t n = fread(bytes, 1, sizeof bytes - 1, file);
    fclose(file);
    bytes[n] = '\0';
    return (struct str){bytes, n};
}

/* Copies the page with the part between its comments written anew. */
static struct str renewed(struct str page, size_t part)
{
    struct buf buf = buf_new(&arena), begin = buf_new(&arena), end = buf_new(&arena);
    buf_printf(&begin, ".\\\" begin %s:", PARTS[part].name);
    buf_printf(&end, ".\\\" end %s\n", PARTS[part].name);
    const char *from = strstr(page.p, begin.p), *to = strstr(page.p, end.p);
    if (from == NULL || to == NULL)
        fail_msg("%s has no part %s", PAGE, PARTS[part].name);
    from = strchr(from, '\n') + 1;
    buf_add(&buf, (struct str){page.p, (size_t)(from - page.p)});
    PARTS[part].write(&buf);
    buf_add(&buf, str_of(to));
    return buf_str(&buf);
}

static void page_is_up_to_date(void **state)
{
    (void)state;
    struct str page = read_file(PAGE);
    for (size_t i = 0; i < sizeof PARTS / sizeof PARTS[0]; i++)
        if (!str_eq(page, renewed(page, i)))
            fail_msg("%s: the part \"%s\" is not what the tables say: run this test with --write",
                     PAGE, PARTS[i].name);
}

/* "Figures you can trust" of gyle(7) names the errors that the table of equations does. */
static void trust_is_the_tables(void **state)
{
    static const struct {
        const char *equation, *against;
    } rows[] = {{"sg", "Plato's normal table"},
                {"alcohol-by-mass", "USDA Bulletin 493"},
                {"alcohol-by-mass", "Cutaia"},
                {"co2-beer", "a trade magazine's chart"},
                {"phthalate", "NIST buffers"}};
    (void)state;
    struct str page = read_file("man/gyle.7");
    const char *from = strstr(page.p, ".Sh FIGURES YOU CAN TRUST");
    assert_non_null(from);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct equation *e = equations_named(rows[i].equation);
        const struct equation_check *check = e->checks;
        while (strncmp(check->against, rows[i].against, strlen(rows[i].against)) != 0)
            check++;
        struct buf figure = buf_new(&arena);
        buf_printf(&figure, "%g %s", check->worst, check->unit);
        if (strstr(from, figure.p) == NULL)
            fail_msg("gyle(7) does not say %s of %s", figure.p, e->name);
    }
}

static int write_page(void)
{
    struct str page = read_file(PAGE);
    for (size_t i = 0; i < sizeof PARTS / sizeof PARTS[0]; i++)
        page = renewed(page, i);
    FILE *file = fopen(PAGE, "w");
    if (file == NULL)
        return 1;
    fwrite(page.p, 1, page.n, file);
    return fclose(file) != 0;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(page_is_up_to_date),
                                       cmocka_unit_test(trust_is_the_tables)};
    arena_init(&arena, NULL, NULL);
    int result = argc > 1 && strcmp(argv[1], "--write") == 0
                     ? write_page()
                     : cmocka_run_group_tests(tests, NULL, NULL);
    arena_free(&arena);
    return result;
}
