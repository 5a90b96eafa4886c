/*
 * measure RUNS COMMAND [ARGUMENT...] [-- COMMAND [ARGUMENT...]]...
 *
 * Runs the commands in turn, all of them so many times, their output thrown away: a machine that is
 * busy for a while is so for all of them. Writes one line for each: the least user and system time
 * of a run in seconds, the largest memory of a run in KiB, the exit status, and the least time from
 * start to end in seconds.
 */
#define _DEFAULT_SOURCE /* wait4 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static void run(char **command)
{
    int nowhere = open("/dev/null", O_RDWR);
    if (nowhere < 0 || dup2(nowhere, 0) < 0 || dup2(nowhere, 1) < 0 || dup2(nowhere, 2) < 0)
        _exit(127);
    execvp(command[0], command);
    _exit(127);
}

static double seconds(struct timeval time)
{
    return (double)time.tv_sec + (double)time.tv_usec / 1e6;
}

static double clock_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

struct result {
    char **command;
    double best, least_elapsed;
    long most_kib;
    int status;
};

static int measure(struct result *result)
{
    struct rusage usage;
    double begun = clock_seconds();
    pid_t child = fork();
    if (child == 0)
        run(result->command);
    if (child < 0 || wait4(child, &result->status, 0, &usage) != child)
        return 0;
    double elapsed = clock_seconds() - begun;
    if (result->least_elapsed < 0 || elapsed < result->least_elapsed)
        result->least_elapsed = elapsed;
    double taken = seconds(usage.ru_utime) + seconds(usage.ru_stime);
    if (result->best < 0 || taken < result->best)
        result->best = taken;
    if (usage.ru_maxrss > result->most_kib)
        result->most_kib = usage.ru_maxrss;
    return 1;
}

/* Cuts the arguments at each `--`; how many commands there are, 0 when they are too many. */
static size_t find_commands(char **arguments, struct result *results, size_t most)
{
    size_t n = 0;
    int begins = 1;
    for (char **at = arguments; *at != NULL; at++) {
        if (strcmp(*at, "--") == 0) {
            *at = NULL;
            begins = 1;
        } else if (begins) {
            if (n == most)
                return 0;
            results[n++] = (struct result){.command = at, .best = -1, .least_elapsed = -1};
            begins = 0;
        }
    }
    return n;
}

int main(int argc, char **argv)
{
    struct result results[8];
    int runs = argc > 2 ? atoi(argv[1]) : 0;
    size_t n = runs < 1 ? 0 : find_commands(argv + 2, results, sizeof results / sizeof results[0]);
    if (n == 0) {
        fputs("usage: measure RUNS COMMAND [ARGUMENT...] [-- COMMAND [ARGUMENT...]]...\n", stderr);
        return 2;
    }
    for (int i = 0; i < runs; i++) {
        for (size_t c = 0; c < n; c++) {
            if (!measure(&results[c])) {
                perror("measure");
                return 2;
            }
        }
    }
    for (size_t c = 0; c < n; c++) {
        int status = results[c].status;
        printf("%.4f %ld %d %.4f\n", results[c].best, results[c].most_kib,
               WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status),
               results[c].least_elapsed);
    }
    return 0;
}
