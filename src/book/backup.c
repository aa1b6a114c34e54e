/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole copy while others read and write: SQLite's own copy of one moment of the book, and the pictures. */
#include "book/book_internal.h"

#include "coilwright/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { PAGES_AT_ONCE = 2000, TRIES_MOST = 500 };

/* All pages. A writer in between makes SQLite begin again by itself; the log's readers are never in its way. */
static int copy_pages(sqlite3 *from, sqlite3 *to)
{
    const struct timespec pause = { .tv_nsec = 10 * 1000 * 1000 };
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", from, "main");
    int code = SQLITE_OK, tries = 0;

    if (copy == NULL)
        return sqlite3_errcode(to);
    while (code == SQLITE_OK || ((code == SQLITE_BUSY || code == SQLITE_LOCKED) && tries++ < TRIES_MOST)) {
        code = sqlite3_backup_step(copy, PAGES_AT_ONCE);
        if (code == SQLITE_BUSY || code == SQLITE_LOCKED)
            nanosleep(&pause, NULL);
    }
    sqlite3_backup_finish(copy);
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

/* The copy as one file without a log, on the disk when it is closed. */
static cw_status copy_book(cw_book *book, char *path, cw_error *error)
{
    sqlite3 *to = NULL;
    int code = sqlite3_open_v2(path, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, NULL);
    cw_status status = CW_OK;

    if (code == SQLITE_OK)
        code = sqlite3_exec(to, "PRAGMA synchronous = FULL", NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = copy_pages(book->db, to);
    if (code == SQLITE_OK)
        code = sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
    if (code != SQLITE_OK) {
        const cw_book shown = { .db = to, .path = path };

        status = cw_book__trouble(&shown, code, "The backup cannot be written", error);
    }
    sqlite3_close_v2(to);
    return status;
}

static cw_status copy_picture(const char *from, const char *to, cw_error *error)
{
    char *content = NULL;
    struct stat a, b;
    size_t length;
    cw_status status;

    if (stat(from, &a) == 0 && stat(to, &b) == 0 && a.st_size == b.st_size)
        return CW_OK; /* its name is its sum: the same name and length is the same picture */
    status = cw_file_read(from, CW_BOOK_PHOTO_LARGEST, &content, &length, error);
    if (status == CW_OK)
        status = cw_file_write(to, content, length, error);
    cw_free(content);
    return status;
}

static cw_status copy_one(const cw_book *book, const char *folder, const char *name, cw_error *error)
{
    char *from = cw_path_join(book->photos, name), *to = cw_path_join(folder, name);
    const cw_status status = from == NULL || to == NULL ? cw_no_memory(error) : copy_picture(from, to, error);

    cw_free(from);
    cw_free(to);
    return status;
}

/* The pictures that the copy names. They are there before any row that names them, so all are there now. */
static cw_status copy_photos(cw_book *book, const char *path, cw_error *error)
{
    sqlite3_stmt *statement =
        cw_book__ask(book, error, "SELECT DISTINCT sha256 || '.' || type FROM photo ORDER BY 1", "");
    char folder[4200];
    bool row = true;
    cw_status status = CW_OK;

    snprintf(folder, sizeof folder, "%s.photos", path);
    while (status == CW_OK && (status = cw_book__step(book, statement, &row, error)) == CW_OK && row) {
        status = cw_folder_make(folder, error);
        if (status == CW_OK)
            status = copy_one(book, folder, (const char *)sqlite3_column_text(statement, 0), error);
    }
    sqlite3_finalize(statement);
    return status;
}

/* A log beside the place would be played into the copy: somebody has that file open as a book. */
static bool has_log(const char *path)
{
    char name[4200];
    struct stat about;

    snprintf(name, sizeof name, "%s-wal", path);
    return stat(name, &about) == 0 && about.st_size > 0;
}

static void sync_folder_of(const char *path)
{
    char folder[4200];
    char *stroke;
    int file;

    snprintf(folder, sizeof folder, "%s", path);
    stroke = strrchr(folder, '/');
    if (stroke != NULL)
        stroke[stroke == folder] = '\0';
    file = open(stroke != NULL ? folder : ".", O_RDONLY | O_CLOEXEC);
    if (file >= 0) {
        (void)fsync(file);
        close(file);
    }
}

cw_status cw_book_backup(cw_book *book, const char *path, cw_error *error)
{
    char part[4200];
    cw_status status;

    if (path[0] == '\0' || strlen(path) > 4000 || strcmp(path, book->path) == 0)
        return cw_refuse(error, &(cw_place) { .file = path }, "another path than the book's own",
                         "The backup has no place of its own.");
    if (has_log(path))
        return cw_refuse(error, &(cw_place) { .file = path }, "a place of its own",
                         "The place of the backup is a book in use.");
    snprintf(part, sizeof part, "%s.part-%ld", path, (long)getpid());
    unlink(part);
    status = copy_book(book, part, error);
    if (status == CW_OK)
        status = copy_photos(book, path, error);
    if (status == CW_OK && rename(part, path) != 0)
        status = cw_fail(error, "The backup cannot be put in its place '%s': %s.", path, strerror(errno));
    if (status != CW_OK) {
        unlink(part);
        return status;
    }
    sync_folder_of(path);
    return CW_OK;
}
