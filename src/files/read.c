/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole file into memory, up to a limit. */
#include "files/files_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

static cw_status refuse_large(const char *path, size_t most, cw_error *error)
{
    char sentence[200];

    snprintf(sentence, sizeof sentence, "This file is larger than the %zu kB that one of its kind may have. "
             "Is it the right file?", most / 1024);
    return cw_files__refuse(path, sentence, error);
}

/* Pipes have no size and a file may grow while it is read, so the limit is counted here. */
static cw_status read_all(int file, const char *path, size_t most, cw_text *text, cw_error *error)
{
    char piece[16384];
    ssize_t count;

    while ((count = read(file, piece, sizeof piece)) != 0) {
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            return cw_files__trouble(path, errno, "read", error);
        if ((size_t)count > most - text->length)
            return refuse_large(path, most, error);
        cw_text_add_bytes(text, piece, (size_t)count);
        if (text->failed)
            return cw_no_memory(error);
    }
    cw_text_add_bytes(text, "", 0); /* so that an empty file has its NUL */
    return text->failed ? cw_no_memory(error) : CW_OK;
}

cw_status cw_file_read(const char *path, size_t most, char **content, size_t *length, cw_error *error)
{
    struct stat about;
    cw_text text = { 0 };
    cw_status status;
    int file;

    *content = NULL;
    file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return cw_files__trouble(path, errno, "read", error);
    if (fstat(file, &about) != 0)
        status = cw_files__trouble(path, errno, "read", error);
    else if (S_ISDIR(about.st_mode))
        status = cw_files__trouble(path, EISDIR, "read", error);
    else if (S_ISREG(about.st_mode) && (unsigned long long)about.st_size > most)
        status = refuse_large(path, most, error);
    else
        status = read_all(file, path, most, &text, error);
    close(file);
    if (status != CW_OK) {
        cw_text_clear(&text);
        return status;
    }
    *content = text.data;
    *length = text.length;
    return CW_OK;
}

cw_status cw_file_open(const char *path, FILE **stream, cw_error *error)
{
    struct stat about;
    FILE *opened = fopen(path, "rb");

    *stream = NULL;
    if (opened == NULL)
        return cw_files__trouble(path, errno, "read", error);
    if (fstat(fileno(opened), &about) == 0 && S_ISDIR(about.st_mode)) {
        fclose(opened);
        return cw_files__trouble(path, EISDIR, "read", error);
    }
    *stream = opened;
    return CW_OK;
}
