/* The table of equations is whole; that its errors are true is shown in tests/reference. */
#include "equations.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void every_row_is_whole(void **state)
{
    (void)state;
    for (size_t i = 0; i < equations_count; i++) {
        const struct equation *e = &equations[i];
        const char *const texts[] = {e->name, e->gives, e->form, e->source, e->range};
        for (size_t k = 0; k < sizeof texts / sizeof *texts; k++)
            if (!texts[k] || !*texts[k])
                fail_msg("%s: text %zu is empty", e->name, k);
        /* its own name leads back to it: no two are the same */
        assert_ptr_equal(equations_named(e->name), e);
        for (size_t k = 0; k < EQUATION_CHECKS && e->checks[k].against; k++)
            if (!(e->checks[k].worst > 0) || !e->checks[k].unit)
                fail_msg("%s: check %zu", e->name, k);
    }
    assert_null(equations_named("nothing"));
}

static void memory_is_owned_to(void **state)
{
    (void)state;
    for (size_t i = 0; i < equations_count; i++)
        if (strstr(equations[i].source, "from memory") && equations[i].status == EQUATION_DERIVED)
            fail_msg("%s: from memory, and called derived", equations[i].name);
    assert_string_equal(equations_status(EQUATION_CONFIRMED), "confirmed");
    assert_string_equal(equations_status(EQUATION_FROM_MEMORY), "from memory");
    assert_string_equal(equations_status(EQUATION_DERIVED), "derived");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_whole),
        cmocka_unit_test(memory_is_owned_to),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
