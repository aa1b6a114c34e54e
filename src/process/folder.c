/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where helpers are found, and where they work. */
#define _XOPEN_SOURCE 700 /* mkdtemp */
#include "process/process_internal.h"

#include "coilwright/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The folder of the program that runs, with its last stroke; false where the system does not tell. */
static bool own_folder(char path[PATH_MAX])
{
    const ssize_t length = readlink("/proc/self/exe", path, PATH_MAX - 1);
    char *stroke;

    if (length <= 0)
        return false;
    path[length] = '\0';
    stroke = strrchr(path, '/');
    if (stroke == NULL)
        return false;
    stroke[1] = '\0';
    return true;
}

static char *helper_in(const char *folder, const char *between, const char *helper)
{
    char *below = cw_path_join(folder, between), *path = below != NULL ? cw_path_join(below, helper) : NULL;

    cw_free(below);
    if (path != NULL && access(path, X_OK) != 0) {
        cw_free(path);
        path = NULL;
    }
    return path;
}

cw_status cw_process_find(const char *helper, char **path, cw_error *error)
{
    const char *named = getenv(CW_HELPERS_VARIABLE);
    char folder[PATH_MAX] = "";

    *path = NULL;
    if (named != NULL && named[0] != '\0')
        *path = helper_in(named, "", helper);
    else if (own_folder(folder) && (*path = helper_in(folder, "", helper)) == NULL)
        *path = helper_in(folder, "../libexec/coilwright", helper);
    if (*path != NULL)
        return CW_OK;
    return cw_fail(error, "The helper program %s is not there; it belongs into %s. Build or install Coilwright again, "
                          "with the packages that it needs.", helper,
                   named != NULL && named[0] != '\0' ? named : folder[0] != '\0' ? folder : "the folder of coilwright");
}

cw_status cw_process__folder(char **path, cw_error *error)
{
    const char *base = getenv("TMPDIR");

    *path = cw_path_join(base != NULL && base[0] != '\0' ? base : "/tmp", "coilwright-XXXXXX");
    if (*path == NULL)
        return cw_no_memory(error);
    if (mkdtemp(*path) == NULL) {
        cw_fail(error, "There is no room for a helper's files at %s: %s.", *path, strerror(errno));
        cw_free(*path);
        *path = NULL;
        return CW_FAILED;
    }
    return CW_OK;
}

void cw_process__folder_remove(char **path)
{
    DIR *folder = *path != NULL ? opendir(*path) : NULL;
    const struct dirent *entry;

    while (folder != NULL && (entry = readdir(folder)) != NULL)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            unlinkat(dirfd(folder), entry->d_name, 0);
    if (folder != NULL)
        closedir(folder);
    if (*path != NULL)
        rmdir(*path);
    cw_free(*path);
    *path = NULL;
}
