#include "sheet_wish.h"

bool sheet_wish_tanks(struct sheet_wish *wish, struct arena *arena, const struct cellar *cellar,
                      const char *list, struct str *unknown)
{
    struct str rest = str_of(list);
    wish->tanks.items = arena_array(arena, rest.n + 1, sizeof *wish->tanks.items);
    while (rest.p != NULL) {
        *unknown = str_trim(str_split(&rest, ','));
        if (unknown->n == 0)
            continue;
        if (cellar_tank(cellar, *unknown) == NULL)
            return false;
        wish->tanks.items[wish->tanks.n++] = *unknown;
    }
    return true;
}

bool sheet_wish_columns(struct sheet_wish *wish, const char *list, struct str *unknown)
{
    struct str rest = str_of(list);
    while (rest.p != NULL) {
        *unknown = str_trim(str_split(&rest, ','));
        if (unknown->n == 0)
            continue;
        int reads = 0;
        while (reads < SHEET_CELLS && !str_is_nocase(*unknown, BATCH_COLUMNS[reads].key))
            reads++;
        if (reads == SHEET_CELLS)
            return false;
        wish->columns |= 1U << reads;
    }
    return true;
}
