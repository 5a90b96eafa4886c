/* man/gyle-readings.1 lists every column, in order. */
#include "derived.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void page_lists_the_columns(void **state)
{
    static char page[1 << 16];
    FILE *file = fopen("man/gyle-readings.1", "r");
    (void)state;
    assert_non_null(file);
    page[fread(page, 1, sizeof page - 1, file)] = '\0';
    fclose(file);
    const char *from = strstr(page, ".Ss Columns\n");
    assert_non_null(from);
    for (size_t i = 0; i < DERIVED_COLUMN_COUNT; i++) {
        char line[64];
        snprintf(line, sizeof line, "\n.It Cm %s\n", DERIVED_COLUMNS[i].name);
        from = strstr(from, ".It Cm ");
        if (from == NULL || strncmp(from - 1, line, strlen(line)) != 0)
            fail_msg("column %zu, %s, is not in its place", i, DERIVED_COLUMNS[i].name);
        from++;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(page_lists_the_columns)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
