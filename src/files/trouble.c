/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The system's error numbers as sentences that say what to do. */
#include "files/files_internal.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

typedef struct trouble_row {
    int number;
    bool user; /* the name or its rights are at fault, not the machine */
    const char *why;
} trouble_row;

static const trouble_row troubles[] = {
    { ENOENT, true, "there is no such file or folder. Check the name and the folder." },
    { ENOTDIR, true, "a part of its path is a file and not a folder. Check the path." },
    { EISDIR, true, "it is a folder. Name a file." },
    { EACCES, true, "you have no right to it. Change its rights or choose another place." },
    { EPERM, true, "you have no right to it. Change its rights or choose another place." },
    { EROFS, true, "its disk can only be read. Choose another place." },
    { ENAMETOOLONG, true, "its name is too long. Choose a shorter one." },
    { ELOOP, true, "its links point at each other in a circle. Name the file itself." },
    { EEXIST, true, "a file stands under that name. Choose another name." },
    { ENOSPC, false, "the disk is full. Make room on it or choose another disk, and try again." },
    { EDQUOT, false, "your share of the disk is used up. Make room and try again." },
    { EFBIG, false, "it would be larger than the system allows here. Choose another disk or raise the limit." },
    { EIO, false, "the disk reports an error. Choose another disk, and look after this one." },
    { EMFILE, false, "too many files are open. Close other programs and try again." },
    { ENFILE, false, "too many files are open. Close other programs and try again." },
};

cw_status cw_files__refuse(const char *path, const char *sentence, cw_error *error)
{
    cw_place at = { path, 0, 0 };

    return cw_refuse(error, &at, NULL, "%s", sentence);
}

cw_status cw_files__trouble(const char *path, int number, const char *doing, cw_error *error)
{
    char why[200] = "the system gives no reason", sentence[400];
    bool user = false;
    size_t i;

    for (i = 0; i < sizeof troubles / sizeof troubles[0] && troubles[i].number != number; i++)
        continue;
    if (i < sizeof troubles / sizeof troubles[0]) {
        user = troubles[i].user;
        snprintf(sentence, sizeof sentence, "This cannot be %s: %s", doing, troubles[i].why);
    } else {
        strerror_r(number, why, sizeof why);
        snprintf(sentence, sizeof sentence, "This cannot be %s: %s.", doing, why);
    }
    cw_files__refuse(path, sentence, error);
    return user ? CW_BAD_INPUT : CW_FAILED;
}
