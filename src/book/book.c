/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening, closing, transactions, and the check of everything. */
#include "book/book_internal.h"

#include "coilwright/files.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { WAIT_MS = 5000, POLL_MS = 1, GAP_MS = 2 };

static void pause_ms(long ms)
{
    const struct timespec pause = { .tv_nsec = ms * 1000 * 1000 };

    nanosleep(&pause, NULL);
}

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* SQLite's own waiting looks every tenth of a second, and never finds the moment between two writes of a program that
 * does nothing else: who came third starved. So this looks every millisecond, and each write leaves two behind it. */
static int wait_for_another(void *context, int times)
{
    cw_book *book = context;

    if (times == 0)
        book->waiting_since_s = now_s();
    if (now_s() - book->waiting_since_s > 1e-3 * WAIT_MS)
        return 0;
    pause_ms(POLL_MS);
    return 1;
}

long long cw_book__time(long long time_s)
{
    return time_s != 0 ? time_s : (long long)time(NULL);
}

/* ---- transactions ------------------------------------------------------------------------------------------ */

cw_status cw_book__begin(cw_book *book, cw_error *error)
{
    cw_status status = CW_OK;

    if (!book->may_write)
        return cw_refuse(error, &(cw_place){ .file = book->path }, NULL,
                         "The book is open for reading only, or its disk cannot be written.");
    if (book->depth == 0)
        status = cw_book__run(book, "The book cannot be written", error, "BEGIN IMMEDIATE", "");
    if (status == CW_OK)
        book->depth++;
    return status;
}

cw_status cw_book__end(cw_book *book, cw_status status, const char *doing, cw_error *error)
{
    if (--book->depth > 0)
        return status;
    if (status == CW_OK)
        status = cw_book__run(book, doing, error, "COMMIT", "");
    if (status == CW_OK)
        pause_ms(GAP_MS);
    if (status != CW_OK && sqlite3_get_autocommit(book->db) == 0)
        sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return status;
}

cw_status cw_book_together(cw_book *book, cw_book_writes *writes, void *context, cw_error *error)
{
    cw_status status = cw_book__begin(book, error);

    if (status != CW_OK)
        return status;
    status = writes(book, context, error);
    return cw_book__end(book, status, "The book cannot be written", error);
}

/* ---- opening ----------------------------------------------------------------------------------------------- */

/* "file:" address with what means something in it escaped. NULL without memory. */
static char *address_of(const char *path, const char *query)
{
    cw_text text = { 0 };

    cw_text_add(&text, path[0] == '/' ? "file://" : "file:");
    for (const char *c = path; *c != '\0'; c++)
        if (*c == '%' || *c == '?' || *c == '#')
            cw_text_print(&text, "%%%02X", (unsigned char)*c);
        else
            cw_text_add_bytes(&text, c, 1);
    cw_text_add(&text, query);
    if (text.failed)
        cw_text_clear(&text);
    return text.data;
}

static int open_as(cw_book *book, int flags, const char *query)
{
    char *address = address_of(book->path, query);
    int code = SQLITE_NOMEM;

    if (address != NULL)
        code = sqlite3_open_v2(address, &book->db, flags | SQLITE_OPEN_URI | SQLITE_OPEN_EXRESCODE, NULL);
    cw_free(address);
    if (code == SQLITE_OK)
        sqlite3_busy_handler(book->db, wait_for_another, book);
    return code;
}

static void shut(cw_book *book)
{
    sqlite3_close_v2(book->db);
    book->db = NULL;
}

/* Whether the log beside the book holds anything. */
static bool has_log(const cw_book *book)
{
    char name[4096];
    struct stat about;

    snprintf(name, sizeof name, "%s-wal", book->path);
    return stat(name, &about) == 0 && about.st_size > 0;
}

static bool answers(cw_book *book)
{
    return sqlite3_exec(book->db, "SELECT count(*) FROM sqlite_schema", NULL, NULL, NULL) == SQLITE_OK;
}

/* A book on a disk that cannot be written has no place for the log's index; where no log holds anything the file alone
 * is the whole book, and can be read as one that never changes. */
static cw_status open_to_read(cw_book *book, cw_error *error)
{
    static const char *const doing = "The book cannot be opened";
    int code = open_as(book, SQLITE_OPEN_READONLY, "");

    if (code == SQLITE_OK && answers(book))
        return CW_OK;
    if (code == SQLITE_OK)
        code = sqlite3_errcode(book->db);
    if ((code & 0xFF) != SQLITE_CANTOPEN && (code & 0xFF) != SQLITE_READONLY)
        return cw_book__trouble(book, code, doing, error);
    if (access(book->path, R_OK) != 0 || has_log(book))
        return cw_book__trouble(book, code, doing, error);
    shut(book);
    code = open_as(book, SQLITE_OPEN_READONLY, "?immutable=1");
    return code == SQLITE_OK ? CW_OK : cw_book__trouble(book, code, doing, error);
}

/* Whose file it is. An empty one is a book that has not been written in yet. */
static cw_status check_owner(cw_book *book, long long layout, cw_error *error)
{
    long long owner = 0, tables = 0;
    cw_status status = cw_book__number(book, 0, &owner, error, "PRAGMA application_id", "");

    if (status == CW_OK)
        status = cw_book__number(book, 0, &tables, error, "SELECT count(*) FROM sqlite_schema", "");
    if (status == CW_OK && owner != CW_BOOK__APPLICATION_ID && (tables > 0 || layout > 0))
        return cw_refuse(error, &(cw_place){ .file = book->path }, "a book", "The file is a database, but no book.");
    return status;
}

/* Two programs that make the log at the same moment: SQLite tells one of them to try again, without waiting itself. */
static cw_status set_up(cw_book *book, const char *sql, cw_error *error)
{
    cw_status status = CW_FAILED;

    for (int tries = 0; tries < WAIT_MS / 20; tries++) {
        status = cw_book__run(book, "The book cannot be opened", error, sql, "");
        if (status == CW_OK || (sqlite3_errcode(book->db) & 0xFF) != SQLITE_BUSY)
            break;
        pause_ms(20);
    }
    return status;
}

/* Nothing is changed in a file before it has said that it is a book. */
static cw_status open_to_write(cw_book *book, cw_error *error)
{
    static const char *const settings[] = { "PRAGMA journal_mode = WAL", "PRAGMA synchronous = FULL",
                                            "PRAGMA foreign_keys = ON", "PRAGMA trusted_schema = OFF" };
    const int code = open_as(book, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, "");
    cw_status status = code == SQLITE_OK ? CW_OK : cw_book__trouble(book, code, "The book cannot be opened", error);
    long long layout = 0;

    if (status == CW_OK)
        status = cw_book__number(book, 0, &layout, error, "PRAGMA user_version", "");
    if (status == CW_OK)
        status = check_owner(book, layout, error);
    for (size_t i = 0; i < sizeof settings / sizeof settings[0] && status == CW_OK; i++)
        status = set_up(book, settings[i], error);
    book->may_write = true;
    return status;
}

static cw_status refuse_layout(const cw_book *book, long long layout, cw_error *error)
{
    const cw_place at = { .file = book->path };

    if (layout > CW_BOOK_LAYOUT)
        return cw_refuse(error, &at, NULL,
                         "The book was written by a later program (layout %lld, this one knows %d). Use that "
                         "program; nothing was changed.",
                         layout, CW_BOOK_LAYOUT);
    return cw_refuse(error, &at, NULL,
                     "The book has an earlier layout (%lld of %d). Open it once for writing, and it is brought "
                     "up to date.",
                     layout, CW_BOOK_LAYOUT);
}

/* Looked at again inside the transaction: another program may have been first. */
static cw_status bring_up_to_date(cw_book *book, cw_error *error)
{
    long long layout = 0;
    cw_status status = cw_book__begin(book, error);

    if (status != CW_OK)
        return status;
    status = cw_book__number(book, 0, &layout, error, "PRAGMA user_version", "");
    if (status == CW_OK)
        status = check_owner(book, layout, error);
    if (status == CW_OK && layout > CW_BOOK_LAYOUT)
        status = refuse_layout(book, layout, error);
    if (status == CW_OK && layout < CW_BOOK_LAYOUT)
        status = cw_book__migrate(book, (int)layout, error);
    return cw_book__end(book, status, "The book cannot be brought up to date", error);
}

static cw_status check_layout(cw_book *book, cw_error *error)
{
    long long layout = 0;
    cw_status status = cw_book__number(book, 0, &layout, error, "PRAGMA user_version", "");

    if (status != CW_OK || layout == CW_BOOK_LAYOUT)
        return status != CW_OK ? status : check_owner(book, layout, error);
    if (book->may_write && layout < CW_BOOK_LAYOUT)
        return bring_up_to_date(book, error);
    status = check_owner(book, layout, error);
    return status != CW_OK ? status : refuse_layout(book, layout, error);
}

/* SQLite takes a file shorter than its first page for an empty one, and would write over it. */
static bool is_database(const char *path, long long length)
{
    static const char mark[] = "SQLite format 3"; /* with its NUL, sixteen bytes [SQLite file format 1.3] */
    char begin[sizeof mark] = "";
    FILE *file;

    if (length == 0)
        return true;
    file = fopen(path, "rb");
    if (file == NULL)
        return true; /* SQLite will say why */
    (void)!fread(begin, sizeof begin, 1, file);
    fclose(file);
    return memcmp(begin, mark, sizeof mark) == 0;
}

static cw_status check_path(const char *path, cw_book_mode mode, cw_error *error)
{
    const cw_place at = { .file = path };
    struct stat about;

    if (path[0] == '\0' || strlen(path) > 4000)
        return cw_refuse(error, &at, "the path of a file", "The book has no name, or too long a one.");
    if (stat(path, &about) != 0)
        return mode == CW_BOOK_READ && errno == ENOENT ? cw_refuse(error, &at, NULL, "There is no such book.") : CW_OK;
    if (!S_ISREG(about.st_mode))
        return cw_refuse(error, &at, "the path of a file", "A folder or device is no book.");
    return is_database(path, (long long)about.st_size) ? CW_OK
                                                       : cw_refuse(error, &at, "a book", "The file is no book.");
}

cw_status cw_book_open(const char *path, cw_book_mode mode, cw_book **book, cw_error *error)
{
    cw_status status = check_path(path, mode, error);
    cw_book *made;
    cw_text photos = { 0 };

    *book = NULL;
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->path = cw_copy_text(path, strlen(path));
    cw_text_print(&photos, "%s.photos", path);
    made->photos = photos.data;
    if (made->path == NULL || photos.failed)
        status = cw_no_memory(error);
    else
        status = mode == CW_BOOK_WRITE ? open_to_write(made, error) : open_to_read(made, error);
    if (status == CW_OK)
        status = check_layout(made, error);
    if (status != CW_OK)
        cw_book_close(&made);
    *book = made;
    return status;
}

void cw_book_close(cw_book **book)
{
    if (*book == NULL)
        return;
    shut(*book);
    cw_free((*book)->path);
    cw_free((*book)->photos);
    cw_free(*book);
    *book = NULL;
}

cw_status cw_book__need_job(cw_book *book, cw_book_id job, cw_error *error)
{
    long long found = 0;
    const cw_status status = cw_book__number(book, 0, &found, error, "SELECT id FROM job WHERE id = ?", "i", job);

    if (status == CW_OK && found == 0)
        return cw_refuse(error, &(cw_place){ .file = book->path }, NULL, "There is no job %lld in the book.", job);
    return status;
}

/* ---- checking ---------------------------------------------------------------------------------------------- */

static void add(cw_errors *errors, const cw_book *book, const char *trouble, const char *what)
{
    cw_error error;

    cw_refuse(&error, &(cw_place){ .file = book->path }, NULL, "%s %s.", trouble, what);
    cw_errors_add(errors, &error);
}

/* Runs a pragma whose rows are complaints; `sound` is the row that is none. */
static cw_status complaints(cw_book *book, const char *sql, const char *sound, const char *trouble, size_t *wrong,
                            cw_errors *errors)
{
    cw_error error;
    sqlite3_stmt *statement = cw_book__ask(book, &error, sql, "");
    bool row = true;
    cw_status status = CW_OK;

    while (row && (status = cw_book__step(book, statement, &row, &error)) == CW_OK && row) {
        const char *said = (const char *)sqlite3_column_text(statement, 0);

        if (said == NULL || strcmp(said, sound) == 0)
            continue;
        ++*wrong;
        add(errors, book, trouble, said);
    }
    if (status != CW_OK)
        cw_errors_add(errors, &error);
    sqlite3_finalize(statement);
    return status;
}

static void check_photo(cw_book *book, const char *sha256, const char *type, size_t *wrong, cw_errors *errors)
{
    char *path = cw_book_photo_path(book, sha256, type), *content = NULL, found[65];
    cw_error error;
    size_t length;

    if (path == NULL)
        return;
    if (cw_file_read(path, CW_BOOK_PHOTO_LARGEST, &content, &length, &error) != CW_OK) {
        ++*wrong;
        cw_errors_add(errors, &error);
    } else {
        cw_book_sha256(content, length, found);
        if (strcmp(found, sha256) != 0) {
            ++*wrong;
            add(errors, book, "This is not the photo that was put there:", path);
        }
    }
    cw_free(content);
    cw_free(path);
}

static cw_status check_photos(cw_book *book, size_t *wrong, cw_errors *errors)
{
    cw_error error;
    sqlite3_stmt *statement = cw_book__ask(book, &error, "SELECT DISTINCT sha256, type FROM photo", "");
    bool row = true;
    cw_status status = CW_OK;

    while (row && (status = cw_book__step(book, statement, &row, &error)) == CW_OK && row)
        check_photo(book, (const char *)sqlite3_column_text(statement, 0),
                    (const char *)sqlite3_column_text(statement, 1), wrong, errors);
    if (status != CW_OK)
        cw_errors_add(errors, &error);
    sqlite3_finalize(statement);
    return status;
}

cw_status cw_book_check(cw_book *book, cw_errors *errors)
{
    size_t wrong = 0;
    cw_status status = complaints(book, "PRAGMA integrity_check", "ok", "The book is damaged:", &wrong, errors);

    if (status == CW_OK)
        status = complaints(book, "PRAGMA foreign_key_check", "", "A row belongs to nothing, in the table", &wrong,
                            errors);
    if (status == CW_OK)
        status = check_photos(book, &wrong, errors);
    if (status == CW_OK)
        status = cw_book__check_signatures(book, &wrong, errors);
    return status != CW_OK ? status : wrong > 0 ? CW_FAILED : CW_OK;
}
