#define _GNU_SOURCE /* leases, sync_file_range */

#include "native.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>

#ifdef __linux__

#include <sys/syscall.h>
#include <unistd.h>

bool native_exchange(const char *a, const char *b)
{
#ifdef SYS_renameat2
    const unsigned exchange = 2; /* RENAME_EXCHANGE of <linux/fs.h> */
    if (syscall(SYS_renameat2, AT_FDCWD, a, AT_FDCWD, b, exchange) == 0)
        return true;
    if (errno == EINVAL || errno == EPERM) /* older kernels, some file systems, some containers */
        errno = ENOSYS;
#else
    (void)a;
    (void)b;
    errno = ENOSYS;
#endif
    return false;
}

/* A read lease is given only on a file that nobody has open to write. Should somebody open it while
 * it is held, the signal that tells so must be one that nothing follows from. */
bool native_is_being_written(int fd)
{
    fcntl(fd, F_SETSIG, SIGURG);
    if (fcntl(fd, F_SETLEASE, F_RDLCK) == 0) {
        fcntl(fd, F_SETLEASE, F_UNLCK);
        return false;
    }
    return errno == EAGAIN;
}

void native_begin_sync(int fd)
{
    (void)sync_file_range(fd, 0, 0, SYNC_FILE_RANGE_WRITE);
}

#else

bool native_exchange(const char *a, const char *b)
{
    (void)a;
    (void)b;
    errno = ENOSYS;
    return false;
}

bool native_is_being_written(int fd)
{
    (void)fd;
    return false;
}

void native_begin_sync(int fd)
{
    (void)fd;
}

#endif
