/* One arena for the tests of a file: set_up() and tear_down() for each of them, or for the group.
 */
#ifndef GYLE_TEST_ONE_ARENA_H
#define GYLE_TEST_ONE_ARENA_H

#include "arena.h"

#include <stddef.h>

static struct arena arena;

static int set_up(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

#endif
