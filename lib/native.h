/*
 * What the system can do beyond POSIX, for files that several programs write; where it cannot, the
 * functions say so and the caller does it in the plain way.
 */
#ifndef GYLE_NATIVE_H
#define GYLE_NATIVE_H

#include <stdbool.h>

/* Exchanges two files' names at one stroke, so that what stood under either is kept under the
 * other. False with errno; ENOSYS where this system or this file system cannot. */
bool native_exchange(const char *a, const char *b);

/* Has another program the file of this read-only descriptor open to write? False, too, where that
 * cannot be told. */
bool native_is_being_written(int fd);

/* Begins to bring the bytes of a file to the disk, without waiting: an fsync() of it waits less
 * then. */
void native_begin_sync(int fd);

#endif
