/*
 * Calls of the system that fail on purpose, preloaded before a program under test.
 *
 *   GYLE_FAULT=CALL:N:MODE   what happens at the N-th call of CALL (from 1)
 *     fail    it fails as it may in earnest (a full disk, no memory, an error of the device)
 *     always  it fails from then on
 *     short   write and read do only half of what was asked
 *     intr    it is interrupted once
 *     often   it is interrupted, and every second one from then on
 *     before  the process is killed before it
 *     after   the process is killed behind it
 *     run     the command in GYLE_FAULT_RUN is run before it, once
 *     each    the same, before every one from then on
 *   GYLE_FAULT_COUNT=FILE    the number of calls of each name is written there at the end
 *   GYLE_FAULT_PLAIN=1       names cannot be exchanged, as where the system is not Linux
 *   GYLE_FAULT_TORN=1        the same, and rename is done by copying, as a careless program would:
 * the test of the tests
 *
 * Calls made inside of the C library are not seen.
 */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

enum call {
    CALL_OPEN,
    CALL_READ,
    CALL_WRITE,
    CALL_FSYNC,
    CALL_CLOSE,
    CALL_RENAME,
    CALL_EXCHANGE,
    CALL_LINK,
    CALL_UNLINK,
    CALL_MKDIR,
    CALL_MKSTEMP,
    CALL_FCHMOD,
    CALL_FSTAT,
    CALL_STAT,
    CALL_FLOCK,
    CALL_REALPATH,
    CALL_ACCESS,
    CALL_MALLOC,
    CALL_OPENDIR,
    CALL_READDIR,
    CALL_GETCWD,
    CALLS
};

static const struct {
    const char *name;
    int error;
} INFO[CALLS] = {
    [CALL_OPEN] = {"open", EACCES},       [CALL_READ] = {"read", EIO},
    [CALL_WRITE] = {"write", ENOSPC},     [CALL_FSYNC] = {"fsync", EIO},
    [CALL_CLOSE] = {"close", EDQUOT},     [CALL_RENAME] = {"rename", EIO},
    [CALL_EXCHANGE] = {"exchange", EIO},  [CALL_LINK] = {"link", EDQUOT},
    [CALL_UNLINK] = {"unlink", EIO},      [CALL_MKDIR] = {"mkdir", ENOSPC},
    [CALL_MKSTEMP] = {"mkstemp", EROFS},  [CALL_FCHMOD] = {"fchmod", EPERM},
    [CALL_FSTAT] = {"fstat", EIO},        [CALL_STAT] = {"stat", EACCES},
    [CALL_FLOCK] = {"flock", ENOLCK},     [CALL_REALPATH] = {"realpath", EACCES},
    [CALL_ACCESS] = {"access", EACCES},   [CALL_MALLOC] = {"malloc", ENOMEM},
    [CALL_OPENDIR] = {"opendir", EMFILE}, [CALL_READDIR] = {"readdir", EIO},
    [CALL_GETCWD] = {"getcwd", EACCES},
};

enum mode {
    MODE_NONE,
    MODE_FAIL,
    MODE_ALWAYS,
    MODE_SHORT,
    MODE_INTR,
    MODE_OFTEN,
    MODE_BEFORE,
    MODE_AFTER,
    MODE_RUN,
    MODE_EACH
};
static const char *const MODES[] = {"none",  "fail",   "always", "short", "intr",
                                    "often", "before", "after",  "run",   "each"};

static unsigned long counts[CALLS];
static enum call chosen = CALLS;
static unsigned long chosen_number;
static enum mode chosen_mode;
static bool ready, running, plain, torn;

static void read_choice(const char *text)
{
    char call[16], mode[16];
    if (sscanf(text, "%15[a-z]:%lu:%15[a-z]", call, &chosen_number, mode) != 3)
        _exit(99);
    for (int i = 0; i < CALLS; i++)
        if (strcmp(INFO[i].name, call) == 0)
            chosen = (enum call)i;
    for (size_t i = 0; i < sizeof MODES / sizeof MODES[0]; i++)
        if (strcmp(MODES[i], mode) == 0)
            chosen_mode = (enum mode)i;
    if (chosen == CALLS || chosen_mode == MODE_NONE)
        _exit(99);
}

__attribute__((constructor)) static void begin(void)
{
    const char *fault = getenv("GYLE_FAULT");
    torn = getenv("GYLE_FAULT_TORN") != NULL;
    plain = torn || getenv("GYLE_FAULT_PLAIN") != NULL;
    if (fault != NULL)
        read_choice(fault);
    ready = true;
}

__attribute__((destructor)) static void end(void)
{
    const char *path = getenv("GYLE_FAULT_COUNT");
    ready = false;
    FILE *out = path == NULL ? NULL : fopen(path, "w");
    if (out == NULL)
        return;
    for (int i = 0; i < CALLS; i++)
        fprintf(out, "%s %lu\n", INFO[i].name, counts[i]);
    fclose(out);
}

static void run_command(void)
{
    const char *command = getenv("GYLE_FAULT_RUN");
    running = true;
    unsetenv("LD_PRELOAD");
    if (command != NULL && system(command) != 0)
        _exit(98);
    running = false;
}

/* Counts a call; tells what is to happen to it. */
static enum mode meet(enum call call)
{
    if (!ready || running)
        return MODE_NONE;
    unsigned long n = ++counts[call];
    bool later = chosen_mode == MODE_ALWAYS || chosen_mode == MODE_EACH ||
                 (chosen_mode == MODE_OFTEN && (n - chosen_number) % 2 == 0);
    if (call != chosen || n < chosen_number || (n > chosen_number && !later))
        return MODE_NONE;
    if (chosen_mode == MODE_BEFORE)
        kill(getpid(), SIGKILL);
    if (chosen_mode == MODE_RUN || chosen_mode == MODE_EACH)
        run_command();
    if (chosen_mode == MODE_FAIL || chosen_mode == MODE_ALWAYS)
        errno = INFO[call].error;
    if (chosen_mode == MODE_INTR || chosen_mode == MODE_OFTEN)
        errno = EINTR;
    return chosen_mode;
}

static bool fails(enum mode mode)
{
    return mode == MODE_FAIL || mode == MODE_ALWAYS || mode == MODE_INTR || mode == MODE_OFTEN;
}

static void leave(enum mode mode)
{
    if (mode == MODE_AFTER)
        kill(getpid(), SIGKILL);
}

#define REAL(type, name, ...)                                                                      \
    static type (*real)(__VA_ARGS__);                                                              \
    if (real == NULL)                                                                              \
    *(void **)&real = dlsym(RTLD_NEXT, #name)

static int open_any(const char *path, int flags, mode_t mode)
{
    REAL(int, open, const char *, int, ...);
    enum mode fault = meet(CALL_OPEN);
    if (fails(fault))
        return -1;
    int result = real(path, flags, mode);
    leave(fault);
    return result;
}

int open(const char *path, int flags, ...)
{
    va_list args;
    va_start(args, flags);
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(args, mode_t) : 0;
    va_end(args);
    return open_any(path, flags, mode);
}

int open64(const char *path, int flags, ...);
int open64(const char *path, int flags, ...)
{
    va_list args;
    va_start(args, flags);
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(args, mode_t) : 0;
    va_end(args);
    return open_any(path, flags, mode);
}

int __open_2(const char *path, int flags);
int __open_2(const char *path, int flags)
{
    return open_any(path, flags, 0);
}

ssize_t read(int fd, void *bytes, size_t n)
{
    REAL(ssize_t, read, int, void *, size_t);
    enum mode fault = meet(CALL_READ);
    if (fails(fault))
        return -1;
    ssize_t result = real(fd, bytes, fault == MODE_SHORT && n > 1 ? n / 2 : n);
    leave(fault);
    return result;
}

ssize_t __read_chk(int fd, void *bytes, size_t n, size_t room);
ssize_t __read_chk(int fd, void *bytes, size_t n, size_t room)
{
    return n > room ? -1 : read(fd, bytes, n);
}

ssize_t write(int fd, const void *bytes, size_t n)
{
    REAL(ssize_t, write, int, const void *, size_t);
    enum mode fault = meet(CALL_WRITE);
    if (fails(fault))
        return -1;
    ssize_t result = real(fd, bytes, fault == MODE_SHORT && n > 1 ? n / 2 : n);
    leave(fault);
    return result;
}

#define SIMPLE(type, name, call, parameters, arguments)                                            \
    type name parameters                                                                           \
    {                                                                                              \
        REAL(type, name, parameters_of_##name);                                                    \
        enum mode fault = meet(call);                                                              \
        if (fails(fault))                                                                          \
            return (type)-1;                                                                       \
        type result = real arguments;                                                              \
        leave(fault);                                                                              \
        return result;                                                                             \
    }

#define parameters_of_fsync   int
#define parameters_of_link    const char *, const char *
#define parameters_of_unlink  const char *
#define parameters_of_mkdir   const char *, mode_t
#define parameters_of_mkstemp char *
#define parameters_of_fchmod  int, mode_t
#define parameters_of_fstat   int, struct stat *
#define parameters_of_stat    const char *, struct stat *
#define parameters_of_flock   int, int
#define parameters_of_access  const char *, int

SIMPLE(int, fsync, CALL_FSYNC, (int fd), (fd))
SIMPLE(int, link, CALL_LINK, (const char *from, const char *to), (from, to))
SIMPLE(int, unlink, CALL_UNLINK, (const char *path), (path))
SIMPLE(int, mkdir, CALL_MKDIR, (const char *path, mode_t mode), (path, mode))
SIMPLE(int, mkstemp, CALL_MKSTEMP, (char *path), (path))
SIMPLE(int, fchmod, CALL_FCHMOD, (int fd, mode_t mode), (fd, mode))
SIMPLE(int, fstat, CALL_FSTAT, (int fd, struct stat *info), (fd, info))
SIMPLE(int, stat, CALL_STAT, (const char *path, struct stat *info), (path, info))
SIMPLE(int, flock, CALL_FLOCK, (int fd, int operation), (fd, operation))
SIMPLE(int, access, CALL_ACCESS, (const char *path, int mode), (path, mode))

/* A close that fails has closed all the same. */
int close(int fd)
{
    REAL(int, close, int);
    enum mode fault = meet(CALL_CLOSE);
    int result = real(fd);
    leave(fault);
    if (!fails(fault))
        return result;
    errno = fault == MODE_INTR || fault == MODE_OFTEN ? EINTR : INFO[CALL_CLOSE].error;
    return -1;
}

char *realpath(const char *path, char *resolved)
{
    REAL(char *, realpath, const char *, char *);
    enum mode fault = meet(CALL_REALPATH);
    if (fails(fault))
        return NULL;
    char *result = real(path, resolved);
    leave(fault);
    return result;
}

DIR *opendir(const char *path)
{
    REAL(DIR *, opendir, const char *);
    return fails(meet(CALL_OPENDIR)) ? NULL : real(path);
}

/* As a program with 64-bit offsets calls it, and one without. */
struct dirent *readdir(DIR *dir)
{
    REAL(struct dirent *, readdir, DIR *);
    return fails(meet(CALL_READDIR)) ? NULL : real(dir);
}

#ifdef __GLIBC__
struct dirent64 *readdir64(DIR *dir)
{
    REAL(struct dirent64 *, readdir64, DIR *);
    return fails(meet(CALL_READDIR)) ? NULL : real(dir);
}
#endif

char *getcwd(char *path, size_t n)
{
    REAL(char *, getcwd, char *, size_t);
    return fails(meet(CALL_GETCWD)) ? NULL : real(path, n);
}

char *__getcwd_chk(char *path, size_t n, size_t room);
char *__getcwd_chk(char *path, size_t n, size_t room)
{
    return n > room ? NULL : getcwd(path, n);
}

/* What a careless program does instead of a rename: two writes into the file itself. */
static int copy_over(const char *from, const char *to)
{
    static char bytes[1 << 16];
    int in = open(from, O_RDONLY);
    ssize_t n = in < 0 ? -1 : read(in, bytes, sizeof bytes);
    int out = open(to, O_WRONLY | O_TRUNC);
    bool done = n >= 0 && out >= 0 && write(out, bytes, (size_t)n / 2) == n / 2 &&
                write(out, bytes + n / 2, (size_t)(n - n / 2)) == n - n / 2;
    if (in >= 0)
        close(in);
    if (out >= 0)
        close(out);
    return done ? unlink(from) : -1;
}

int rename(const char *from, const char *to)
{
    REAL(int, rename, const char *, const char *);
    enum mode fault = meet(CALL_RENAME);
    if (fails(fault))
        return -1;
    int result = torn ? copy_over(from, to) : real(from, to);
    leave(fault);
    return result;
}

/* The only call by number is the exchange of two names. */
long syscall(long number, ...)
{
    REAL(long, syscall, long, ...);
    va_list args;
    long values[6];
    va_start(args, number);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        values[i] = va_arg(args, long);
    va_end(args);
    if (number == SYS_renameat2 && plain) {
        errno = ENOSYS;
        return -1;
    }
    enum mode fault = number == SYS_renameat2 ? meet(CALL_EXCHANGE) : MODE_NONE;
    if (fails(fault))
        return -1;
    long result = real(number, values[0], values[1], values[2], values[3], values[4], values[5]);
    leave(fault);
    return result;
}

/* dlsym() itself may ask for memory, which comes from here. */
static char early[4096];
static size_t early_used;

static void *allocate(size_t n, bool zeroed)
{
    static void *(*real)(size_t, size_t);
    static bool looking;
    if (real == NULL && !looking) {
        looking = true;
        *(void **)&real = dlsym(RTLD_NEXT, "calloc");
        looking = false;
    }
    if (real == NULL) {
        char *p = early + early_used;
        early_used += (n + 15) & ~(size_t)15;
        return early_used <= sizeof early ? p : NULL;
    }
    enum mode fault = meet(CALL_MALLOC);
    if (fails(fault)) {
        errno = ENOMEM;
        return NULL;
    }
    (void)zeroed;
    void *result = real(1, n);
    leave(fault);
    return result;
}

void *malloc(size_t n)
{
    return allocate(n, false);
}

void *calloc(size_t count, size_t size)
{
    if (size > 0 && count > (size_t)-1 / size)
        return NULL;
    return allocate(count * size, true);
}

void *realloc(void *old, size_t n)
{
    static void *(*real)(void *, size_t);
    if (real == NULL)
        *(void **)&real = dlsym(RTLD_NEXT, "realloc");
    enum mode fault = meet(CALL_MALLOC);
    if (fails(fault)) {
        errno = ENOMEM;
        return NULL;
    }
    void *result = real(old, n);
    leave(fault);
    return result;
}

void free(void *p)
{
    static void (*real)(void *);
    if (real == NULL)
        *(void **)&real = dlsym(RTLD_NEXT, "free");
    if (p == NULL || ((char *)p >= early && (char *)p < early + sizeof early))
        return;
    real(p);
}
