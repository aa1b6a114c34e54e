/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file held while it is read, changed and written back. By flock: the locks of POSIX end as soon as any descriptor of
 * the file is closed, and reading it closes one. */
#include "files/files_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { WAIT_MS = 5000, STEP_MS = 20 };

/* Whether the file that is open is still the one of that name: a writer puts a new one in its place. */
static bool is_current(const char *path, int file)
{
    struct stat opened, named;

    return fstat(file, &opened) == 0 && stat(path, &named) == 0 && opened.st_ino == named.st_ino &&
           opened.st_dev == named.st_dev;
}

/* One try: the file, or -1 with errno. */
static int try_hold(const char *path)
{
    const int file = open(path, O_RDWR | O_CLOEXEC);
    int number;

    if (file < 0)
        return -1;
    number = flock(file, LOCK_EX | LOCK_NB) != 0 ? errno : is_current(path, file) ? 0 : EWOULDBLOCK;
    if (number == 0 || number == ENOLCK || number == EOPNOTSUPP) /* a disk without locks: the writing itself is still whole or not at all */
        return file;
    close(file);
    errno = number;
    return -1;
}

cw_status cw_file_hold(const char *path, int *held, cw_error *error)
{
    const struct timespec pause = { .tv_nsec = STEP_MS * 1000 * 1000 };

    *held = -1;
    for (int tries = 0; tries < WAIT_MS / STEP_MS; tries++) {
        *held = try_hold(path);
        if (*held >= 0)
            return CW_OK;
        if (errno != EWOULDBLOCK)
            return cw_files__trouble(path, errno, "written", error);
        nanosleep(&pause, NULL);
    }
    return cw_fail(error, "%s is being changed by another program, which has not finished within 5 s.", path);
}

void cw_file_let_go(int *held)
{
    if (*held >= 0)
        close(*held);
    *held = -1;
}
