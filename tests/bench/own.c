/* Loaded before gyle-validate by tests/bench/staged: at its end writes "own", the milliseconds that
 * it took by itself without the programs it ran, and its memory in KiB. */
#define _GNU_SOURCE /* program_invocation_short_name */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>

static double milliseconds(struct timeval time)
{
    return (double)time.tv_sec * 1e3 + (double)time.tv_usec / 1e3;
}

__attribute__((destructor)) static void tell(void)
{
    struct rusage used;
    if (strcmp(program_invocation_short_name, "gyle-validate") != 0 ||
        getrusage(RUSAGE_SELF, &used) != 0)
        return;
    fprintf(stderr, "own %.3f %ld\n", milliseconds(used.ru_utime) + milliseconds(used.ru_stime),
            used.ru_maxrss);
}
