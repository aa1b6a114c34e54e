/* SPDX-License-Identifier: GPL-3.0-or-later */
/* SQL in one line, and what SQLite says as a sentence. */
#include "book/book_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

cw_status cw_book__trouble(const cw_book *book, int code, const char *doing, cw_error *error)
{
    const char *said = book->db != NULL ? sqlite3_errmsg(book->db) : sqlite3_errstr(code);
    cw_status status;

    switch (code & 0xFF) {
    case SQLITE_NOMEM:
        return cw_no_memory(error);
    case SQLITE_FULL:
        status =
            cw_fail(error, "%s: the disk is full. Make room and do it again; what was saved before is safe.", doing);
        break;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        status = cw_fail(error, "%s: another program is writing in the book and has not finished within 5 s.", doing);
        break;
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
        status =
            cw_refuse(error, NULL, NULL, "%s: the file or its folder cannot be written or opened (%s).", doing, said);
        break;
    case SQLITE_NOTADB:
        status = cw_refuse(error, NULL, "a book", "%s: the file is no book, and no database at all.", doing);
        break;
    case SQLITE_CORRUPT:
        status =
            cw_fail(error, "%s: the book is damaged (%s). Keep the file, and go on with the last backup.", doing, said);
        break;
    case SQLITE_TOOBIG:
        status = cw_refuse(error, NULL, NULL, "%s: the text is too long.", doing);
        break;
    default:
        status = cw_fail(error, "%s: %s.", doing, said);
        break;
    }
    if (error != NULL)
        snprintf(error->file, sizeof error->file, "%s", book->path != NULL ? book->path : "");
    return status;
}

static int bind_one(sqlite3_stmt *statement, int at, char kind, va_list *arguments)
{
    long long integer;
    const char *text;
    double real;

    switch (kind) {
    case 'i':
        return sqlite3_bind_int64(statement, at, va_arg(*arguments, long long));
    case 'z':
        integer = va_arg(*arguments, long long);
        return integer == 0 ? sqlite3_bind_null(statement, at) : sqlite3_bind_int64(statement, at, integer);
    case 'd':
        real = va_arg(*arguments, double);
        return isnan(real) ? sqlite3_bind_null(statement, at) : sqlite3_bind_double(statement, at, real);
    default:
        text = va_arg(*arguments, const char *);
        return text == NULL ? sqlite3_bind_null(statement, at)
                            : sqlite3_bind_text(statement, at, text, -1, SQLITE_STATIC);
    }
}

static sqlite3_stmt *prepare(cw_book *book, const char *doing, cw_error *error, const char *sql, const char *kinds,
                             va_list *arguments)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(book->db, sql, -1, &statement, NULL);

    for (int at = 1; code == SQLITE_OK && kinds[at - 1] != '\0'; at++)
        code = bind_one(statement, at, kinds[at - 1], arguments);
    if (code == SQLITE_OK)
        return statement;
    cw_book__trouble(book, code, doing, error);
    sqlite3_finalize(statement);
    return NULL;
}

static const char *const reading_doing = "The book cannot be read";

sqlite3_stmt *cw_book__ask(cw_book *book, cw_error *error, const char *sql, const char *kinds, ...)
{
    sqlite3_stmt *statement;
    va_list arguments;

    va_start(arguments, kinds);
    statement = prepare(book, reading_doing, error, sql, kinds, &arguments);
    va_end(arguments);
    return statement;
}

/* Which failure it was that left no statement. */
static cw_status why(const cw_book *book)
{
    const int code = sqlite3_errcode(book->db) & 0xFF;

    return code == SQLITE_NOMEM ? CW_NO_MEMORY
         : code == SQLITE_READONLY || code == SQLITE_CANTOPEN || code == SQLITE_NOTADB || code == SQLITE_TOOBIG
             ? CW_BAD_INPUT : CW_FAILED;
}

cw_status cw_book__step(cw_book *book, sqlite3_stmt *statement, bool *row, cw_error *error)
{
    int code;

    *row = false;
    if (statement == NULL)
        return why(book);
    code = sqlite3_step(statement);
    if (code == SQLITE_ROW) {
        *row = true;
        return CW_OK;
    }
    return code == SQLITE_DONE ? CW_OK : cw_book__trouble(book, code, reading_doing, error);
}

cw_status cw_book__run(cw_book *book, const char *doing, cw_error *error, const char *sql, const char *kinds, ...)
{
    sqlite3_stmt *statement;
    va_list arguments;
    cw_status status = CW_OK;
    int code;

    va_start(arguments, kinds);
    statement = prepare(book, doing, error, sql, kinds, &arguments);
    va_end(arguments);
    if (statement == NULL)
        return why(book);
    do
        code = sqlite3_step(statement);
    while (code == SQLITE_ROW);
    if (code != SQLITE_DONE)
        status = cw_book__trouble(book, code, doing, error);
    sqlite3_finalize(statement);
    return status;
}

cw_status cw_book__number(cw_book *book, long long otherwise, long long *number, cw_error *error, const char *sql,
                          const char *kinds, ...)
{
    sqlite3_stmt *statement;
    va_list arguments;
    cw_status status;
    bool row;

    va_start(arguments, kinds);
    statement = prepare(book, reading_doing, error, sql, kinds, &arguments);
    va_end(arguments);
    status = cw_book__step(book, statement, &row, error);
    if (status == CW_OK)
        *number = row ? sqlite3_column_int64(statement, 0) : otherwise;
    sqlite3_finalize(statement);
    return status;
}

double cw_book__real(sqlite3_stmt *row, int column)
{
    return sqlite3_column_type(row, column) == SQLITE_NULL ? NAN : sqlite3_column_double(row, column);
}

char *cw_book__text(sqlite3_stmt *row, int column, bool *no_memory)
{
    const char *text = (const char *)sqlite3_column_text(row, column);
    char *copy;

    if (text == NULL)
        return NULL;
    copy = cw_copy_text(text, (size_t)sqlite3_column_bytes(row, column));
    if (copy == NULL)
        *no_memory = true;
    return copy;
}

void cw_book__copy(sqlite3_stmt *row, int column, char *to, size_t size)
{
    const char *text = (const char *)sqlite3_column_text(row, column);

    snprintf(to, size, "%s", text != NULL ? text : "");
}

/* The array's pointer may be of any type: it is copied byte by byte, so that no alias is read. */
void *cw_book__grow(void *array, size_t *count, size_t size)
{
    void *items;

    memcpy(&items, array, sizeof items);
    if (*count == 0 || (*count & (*count - 1)) == 0) { /* at every power of two twice the room */
        items = cw_reallocate(items, *count == 0 ? 1 : 2 * *count, size);
        if (items == NULL)
            return NULL;
        memcpy(array, &items, sizeof items);
    }
    memset((char *)items + *count * size, 0, size);
    return (char *)items + (*count)++ * size;
}
