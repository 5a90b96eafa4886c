/*
 * measure RUNS COMMAND [ARGUMENT...]
 *
 * Runs the command so many times, its output thrown away, and writes one line: the least user and
 * system time of a run in seconds, the largest memory of a run in KiB, and the exit status.
 */
#define _DEFAULT_SOURCE /* wait4 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>
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

int main(int argc, char **argv)
{
    int runs = argc > 2 ? atoi(argv[1]) : 0;
    if (runs < 1) {
        fputs("usage: measure RUNS COMMAND [ARGUMENT...]\n", stderr);
        return 2;
    }
    double best = -1;
    long most_kib = 0;
    int status = 0;
    for (int i = 0; i < runs; i++) {
        struct rusage usage;
        pid_t child = fork();
        if (child == 0)
            run(argv + 2);
        if (child < 0 || wait4(child, &status, 0, &usage) != child) {
            perror("measure");
            return 2;
        }
        double taken = seconds(usage.ru_utime) + seconds(usage.ru_stime);
        if (best < 0 || taken < best)
            best = taken;
        if (usage.ru_maxrss > most_kib)
            most_kib = usage.ru_maxrss;
    }
    printf("%.4f %ld %d\n", best, most_kib,
           WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status));
    return 0;
}
