/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures: files beside the book, named by their SHA-256. The file is on the disk before the row is, so that a row
 * never points at nothing; a file without a row harms nobody. */
#include "book/book_internal.h"

#include "coilwright/files.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

char *cw_book_photo_path(const cw_book *book, const char *sha256, const char *type)
{
    char name[80];

    snprintf(name, sizeof name, "%.64s.%.3s", sha256, type);
    return cw_path_join(book->photos, name);
}

/* By the first bytes: a name's ending proves nothing. [ITU-T T.81 B.1.1.3: SOI then a marker; PNG 5.2] */
const char *cw_book__picture_type(const void *bytes, size_t length)
{
    if (length > 4 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0)
        return "jpg";
    return length > 8 && memcmp(bytes, "\x89PNG\r\n\x1A\n", 8) == 0 ? "png" : NULL;
}

/* A picture that lies there already, whole, is left alone. */
static cw_status put_file(cw_book *book, const char *sha256, const char *type, const void *bytes, size_t length,
                          cw_error *error)
{
    cw_status status = cw_folder_make(book->photos, error);
    char *path = status == CW_OK ? cw_book_photo_path(book, sha256, type) : NULL;
    struct stat about;

    if (status == CW_OK && path == NULL)
        status = cw_no_memory(error);
    if (status == CW_OK && !(stat(path, &about) == 0 && (size_t)about.st_size == length))
        status = cw_file_write(path, bytes, length, error);
    cw_free(path);
    return status;
}

cw_status cw_book__photo_put(cw_book *book, cw_book_id job, const void *bytes, size_t length, const char *caption,
                             long long time_s, cw_error *error)
{
    const char *type = cw_book__picture_type(bytes, length);
    char sha256[65];
    cw_status status;

    cw_book_sha256(bytes, length, sha256);
    status = put_file(book, sha256, type, bytes, length, error);
    if (status != CW_OK)
        return status;
    return cw_book__run(book, "The photo cannot be saved", error,
                        "INSERT INTO photo (job, sha256, type, bytes, caption, added_s) VALUES (?, ?, ?, ?, ?, ?)"
                        " ON CONFLICT (job, sha256) DO UPDATE SET caption = coalesce(excluded.caption, caption)",
                        "issisi", (long long)job, sha256, type, (long long)length, caption, time_s);
}

cw_status cw_book_photo_add(cw_book *book, cw_book_id job, const char *path, const char *caption, long long time_s,
                            cw_error *error)
{
    char *bytes = NULL;
    size_t length = 0;
    cw_status status = cw_file_read(path, CW_BOOK_PHOTO_LARGEST, &bytes, &length, error);

    if (status != CW_OK)
        return status;
    status = cw_book__check_text(caption, 2000, "The caption", false, error);
    if (status == CW_OK && cw_book__picture_type(bytes, length) == NULL)
        status = cw_refuse(error, &(cw_place) { .file = path }, "a JPEG or PNG",
                           "The file is no picture that the book keeps.");
    if (status == CW_OK && (status = cw_book__begin(book, error)) == CW_OK) {
        status = cw_book__need_job(book, job, error);
        if (status == CW_OK)
            status = cw_book__photo_put(book, job, bytes, length, caption, cw_book__time(time_s), error);
        status = cw_book__end(book, status, "The photo cannot be saved", error);
    }
    cw_free(bytes);
    return status;
}
