/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a target over every file of a folder, in the order of their names; one TAP line each. */
#include "fuzz/target.h"

#include "coilwright/files.h"

#include <dirent.h>
#include <string.h>

static int is_file(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static bool run_file(const char *folder, const char *name)
{
    char *path = cw_path_join(folder, name), *content = NULL;
    size_t length;
    bool read = path != NULL && cw_file_read(path, 16 << 20, &content, &length, NULL) == CW_OK;

    if (read)
        LLVMFuzzerTestOneInput((const uint8_t *)content, length);
    cw_free(content);
    cw_free(path);
    return read;
}

int main(int count, char **words)
{
    struct dirent **entries = NULL;
    int files = count == 2 ? scandir(words[1], &entries, is_file, alphasort) : -1, failed = files <= 0;

    if (failed)
        fprintf(stderr, "usage: %s FOLDER, with inputs in it\n", words[0]);
    printf("1..%d\n", failed ? 1 : files);
    for (int i = 0; i < files; i++) {
        const bool well = run_file(words[1], entries[i]->d_name);

        printf("%s %d - %s\n", well ? "ok" : "not ok", i + 1, entries[i]->d_name);
        fflush(stdout);
        failed |= !well;
        free(entries[i]);
    }
    free(entries);
    return failed;
}
