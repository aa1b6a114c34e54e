/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that appear whole or not at all, and folders for them. */
#define _XOPEN_SOURCE 700 /* realpath */
#include "files/files_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAMES_TRIED = 100 };

/* Folder of a path with its last stroke, "" for a bare name; the length of that part. */
static size_t folder_length(const char *path)
{
    const char *stroke = strrchr(path, '/');

    return stroke == NULL ? 0 : (size_t)(stroke - path) + 1;
}

static int write_all(int file, const char *content, size_t length)
{
    while (length > 0) {
        ssize_t count = write(file, content, length);

        if (count < 0 && errno == EINTR)
            continue;
        if (count <= 0)
            return count == 0 ? EIO : errno;
        content += count;
        length -= (size_t)count;
    }
    return 0;
}

/* Closing may be the first to hear of a full disk. */
static int write_and_close(int file, const void *content, size_t length, bool to_disk)
{
    int number = write_all(file, content, length);

    if (number == 0 && to_disk && fsync(file) != 0)
        number = errno;
    if (close(file) != 0 && number == 0)
        number = errno;
    return number;
}

/* A new file beside the target, so that renaming stays on one disk. Its name is short whatever the target's. */
static int open_beside(const char *target, char *name, size_t size, int *number)
{
    int file = -1;

    for (int i = 0; i < NAMES_TRIED && file < 0; i++) {
        int used = snprintf(name, size, "%.*s.coilwright-%ld-%d.part", (int)folder_length(target), target,
                            (long)getpid(), i);

        if (used < 0 || (size_t)used >= size) {
            *number = ENAMETOOLONG;
            return -1;
        }
        file = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        *number = errno;
        if (file < 0 && errno != EEXIST)
            return -1;
    }
    return file;
}

/* The new name must be on the disk too; a file system that cannot promise that does not undo the writing. */
static void sync_folder(const char *target, char *name, size_t size)
{
    size_t length = folder_length(target);
    int folder;

    if (length >= size)
        return;
    memcpy(name, length > 0 ? target : ".", length > 0 ? length : 1);
    name[length > 0 ? length : 1] = '\0';
    folder = open(name, O_RDONLY | O_CLOEXEC);
    if (folder >= 0) {
        fsync(folder);
        close(folder);
    }
}

static cw_status replace(const char *path, const char *target, const mode_t *rights, const void *content,
                         size_t length, cw_error *error)
{
    char name[PATH_MAX];
    int number = 0, file = open_beside(target, name, sizeof name, &number);

    if (file < 0)
        return cw_files__trouble(path, number, "written", error);
    number = rights != NULL && fchmod(file, *rights & 07777) != 0 ? errno : 0;
    if (number == EPERM)
        number = 0; /* a disk without rights: the content matters more */
    if (number == 0)
        number = write_and_close(file, content, length, true);
    else
        close(file);
    if (number == 0 && rename(name, target) != 0)
        number = errno;
    if (number != 0) {
        unlink(name);
        return cw_files__trouble(path, number, "written", error);
    }
    sync_folder(target, name, sizeof name);
    return CW_OK;
}

static cw_status write_device(const char *path, const void *content, size_t length, cw_error *error)
{
    int file = open(path, O_WRONLY | O_CLOEXEC), number;

    if (file < 0)
        return cw_files__trouble(path, errno, "written", error);
    number = write_and_close(file, content, length, false);
    return number == 0 ? CW_OK : cw_files__trouble(path, number, "written", error);
}

cw_status cw_file_write(const char *path, const void *content, size_t length, cw_error *error)
{
    char target[PATH_MAX];
    struct stat about;
    size_t path_length = strlen(path);

    if (path_length == 0 || path_length >= sizeof target)
        return cw_files__trouble(path, path_length == 0 ? ENOENT : ENAMETOOLONG, "written", error);
    if (stat(path, &about) != 0) {
        if (errno != ENOENT)
            return cw_files__trouble(path, errno, "written", error);
        return replace(path, path, NULL, content, length, error);
    }
    if (S_ISDIR(about.st_mode))
        return cw_files__trouble(path, EISDIR, "written", error);
    if (!S_ISREG(about.st_mode))
        return write_device(path, content, length, error);
    if (access(path, W_OK) != 0 || realpath(path, target) == NULL)
        return cw_files__trouble(path, errno, "written", error);
    return replace(path, target, &about.st_mode, content, length, error);
}

static int make_one(const char *path)
{
    struct stat about;

    if (mkdir(path, 0777) == 0)
        return 0;
    if (errno == EEXIST && stat(path, &about) == 0)
        return S_ISDIR(about.st_mode) ? 0 : EEXIST;
    return errno;
}

cw_status cw_folder_make(const char *path, cw_error *error)
{
    char part[PATH_MAX];
    size_t length = strlen(path);
    int number = 0;

    if (length == 0 || length >= sizeof part)
        return cw_files__trouble(path, length == 0 ? ENOENT : ENAMETOOLONG, "made", error);
    memcpy(part, path, length + 1);
    for (size_t i = 1; i < length && number == 0; i++) {
        if (part[i] != '/' || part[i - 1] == '/')
            continue;
        part[i] = '\0';
        number = make_one(part);
        part[i] = '/';
    }
    if (number == 0)
        number = make_one(part);
    return number == 0 ? CW_OK : cw_files__trouble(path, number, "made", error);
}

char *cw_path_join(const char *folder, const char *name)
{
    size_t length = strlen(folder);
    cw_text text = { 0 };

    cw_text_add(&text, folder);
    if (length > 0 && folder[length - 1] != '/')
        cw_text_add(&text, "/");
    cw_text_add(&text, name);
    if (text.failed)
        cw_text_clear(&text);
    return text.data;
}
