#include "check_rules.h"

#include <string.h>

enum { MOST_NEEDLES = 64 };

static void add_str(struct arena *arena, struct str_list *list, struct str s)
{
    for (size_t i = 0; i < list->n && i <= MOST_NEEDLES; i++)
        if (str_eq(list->items[i], s))
            return;
    if (list->n == list->capacity)
        list->items = arena_grow(arena, list->items, &list->capacity, sizeof *list->items);
    list->items[list->n++] = s;
}

void check_remove(struct check *check, struct str number)
{
    add_str(check->arena, &check->removed, str_copy(check->arena, number));
}

/* The longest part of a name that stands in a file as it is: YAML may fold a blank into a line end
 * and writes ' in '...' twice. */
static struct str plain_part(struct str name)
{
    struct str longest = {"", 0};
    for (size_t i = 0, k; i < name.n; i = k + 1) {
        for (k = i; k < name.n && strchr(" '\t\r\n", name.p[k]) == NULL; k++)
            ;
        if (k - i > longest.n)
            longest = str_cut(name, i, k);
    }
    return longest;
}

/* What a file must hold to matter: a number or a tank's name of what is reported. */
static void find_needles(struct check *check)
{
    struct str_list *list = &check->needles;
    check->has_needles = true;
    const struct check_batch *batch;
    const struct check_use *use;
    const struct check_stay *stay;
    for (struct chain_walk walk = chain_begin(&check->batches);
         list->n <= MOST_NEEDLES && (batch = chain_next(&walk, sizeof *batch)) != NULL;)
        add_str(check->arena, list, plain_part(batch->number));
    for (struct chain_walk walk = chain_begin(&check->uses);
         list->n <= MOST_NEEDLES && (use = chain_next(&walk, sizeof *use)) != NULL;)
        add_str(check->arena, list, plain_part(use->number));
    for (size_t i = 0; i < check->removed.n && list->n <= MOST_NEEDLES; i++)
        add_str(check->arena, list, plain_part(check->removed.items[i]));
    for (struct chain_walk walk = chain_begin(&check->stays);
         list->n <= MOST_NEEDLES && (stay = chain_next(&walk, sizeof *stay)) != NULL;)
        add_str(check->arena, list,
                plain_part(name_of(check->cellar->tanks.items[stay->tank].node)));
}

/* A backslash may hide anything. */
static bool may_matter(const struct check *check, struct str text)
{
    if (check->needles.n > MOST_NEEDLES || memchr(text.p, '\\', text.n) != NULL)
        return true;
    for (size_t i = 0; i < check->needles.n; i++)
        if (str_contains(text, check->needles.items[i]))
            return true;
    return false;
}

/* The text without the readings at its end, when nothing but their entries and comments stands
 * there: no other file needs them. */
static struct str without_readings(struct str text)
{
    static const char KEY[] = "\nreadings:";
    for (size_t at = 0; at + sizeof KEY <= text.n; at++) {
        const char *hit = memchr(text.p + at, '\n', text.n - at);
        if (hit == NULL)
            return text;
        at = (size_t)(hit - text.p);
        if (!str_starts(str_cut(text, at, text.n), KEY))
            continue;
        for (size_t i = at + sizeof KEY - 1; i + 1 < text.n; i++) {
            const char *end = memchr(text.p + i, '\n', text.n - i - 1);
            if (end == NULL)
                break;
            i = (size_t)(end - text.p);
            bool entry = strchr(" #\n", end[1]) != NULL ||
                         (end[1] == '-' && i + 2 < text.n && end[2] == ' ');
            if (!entry)
                return text;
        }
        return str_cut(text, 0, at + 1);
    }
    return text;
}

void check_other(struct check *check, const struct book *book, struct arena *arena,
                 struct source source)
{
    if (!check->has_needles)
        find_needles(check);
    if (!str_contains(source.text, STR("batch")) || !may_matter(check, source.text))
        return;
    struct diags silent;
    struct book quiet = *book;
    diag_init_silent(&silent, arena);
    quiet.diags = &silent;
    struct source part = source;
    part.text = without_readings(source.text);
    struct book_file *file = book_parse(&quiet, arena, part);
    if (file->stream.broken && part.text.n != source.text.n)
        file = book_parse(&quiet, arena, source);
    for (size_t i = 0; i < file->batches.n; i++)
        book_settle(&quiet, arena, file->batches.items[i], INT64_MAX);
    check_sum_up(check, file, false);
}
