/* SPDX-License-Identifier: GPL-3.0-or-later */
/* "Have we ever had 84 ohm on a 42 mm core?" The query is put together from what is asked, so that SQLite takes the
 * index that fits. Costs: a range of resistance or size reads only its hits; a part of a name reads all names, a few ms
 * for 100,000 (benchmarks/book__find). */
#include "book/book_internal.h"

#include <math.h>
#include <string.h>

enum { VALUES_MOST = 24 };

void cw_book_query_clear(cw_book_query *query)
{
    memset(query, 0, sizeof *query);
    query->inner_m[0] = query->inner_m[1] = query->length_m[0] = query->length_m[1] = NAN;
    query->depth_m[0] = query->depth_m[1] = query->resistance_20c_ohm[0] = query->resistance_20c_ohm[1] = NAN;
    query->turns[0] = query->turns[1] = NAN;
    query->state = -1;
}

/* Conditions with their values, in step. */
typedef struct conditions {
    cw_text sql, phrase;
    struct { bool real; double number; const char *text; } values[VALUES_MOST];
    int count;
} conditions;

static void add_range(conditions *all, const char *column, const double range[2])
{
    static const char *const signs[] = { ">=", "<=" };

    for (int i = 0; i < 2; i++) {
        if (isnan(range[i]))
            continue;
        cw_text_print(&all->sql, " AND %s %s ?", column, signs[i]);
        all->values[all->count].real = true;
        all->values[all->count++].number = range[i];
    }
}

static void add_text(conditions *all, const char *sql, int times, const char *text)
{
    if (text == NULL || text[0] == '\0')
        return;
    cw_text_add(&all->sql, sql);
    for (int i = 0; i < times; i++)
        all->values[all->count++].text = text;
}

/* A part of three letters and more is a phrase of the text index, in quotes so that nothing in it means anything; a
 * shorter one is looked for in every text. */
static void add_words(conditions *all, const char *part)
{
    size_t letters = 0;

    for (const char *c = part; c != NULL && *c != '\0'; c++)
        letters += ((unsigned char)*c & 0xC0) != 0x80;
    if (letters < 3) {
        add_text(all, " AND j.id IN (SELECT rowid FROM job_text WHERE instr(lower(words), lower(?)) > 0)", 1, part);
        return;
    }
    cw_text_add(&all->phrase, "\"");
    for (const char *c = part; *c != '\0'; c++)
        cw_text_add_bytes(&all->phrase, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    cw_text_add(&all->phrase, "\"");
    add_text(all, " AND j.id IN (SELECT rowid FROM job_text WHERE words MATCH ?)", 1, all->phrase.data);
}

/* instr over lower case is a plain search for a part: a per cent sign in a machine's name means itself. The inner query
 * looks at no more than it must to know which jobs come first; the rest is fetched for those alone. */
static void put_together(const cw_book_query *query, conditions *all)
{
    const bool by_machine = query->machine != NULL && query->machine[0] != '\0';

    cw_text_print(&all->sql,
                  "SELECT j.id, j.name, m.name, c.name, j.state, j.changed_s, (SELECT max(number) FROM version"
                  " WHERE job = j.id), " CW_BOOK__KEY_COLUMNS " FROM (SELECT j.id AS found FROM job j%s"
                  " LEFT JOIN job_key k ON k.job = j.id WHERE 1", by_machine ? " JOIN coil c ON c.id = j.coil" : "");
    add_range(all, "k.resistance_20c_ohm", query->resistance_20c_ohm);
    add_range(all, "k.inner_m", query->inner_m);
    add_range(all, "k.length_m", query->length_m);
    add_range(all, "k.depth_m", query->depth_m);
    add_range(all, "k.turns", query->turns);
    add_text(all, " AND k.wire = ?", 1, query->wire);
    add_text(all, " AND c.machine IN (SELECT id FROM machine WHERE instr(lower(name), lower(?)) > 0)", 1, query->machine);
    add_words(all, query->text);
    if (query->state >= 0) {
        cw_text_add(&all->sql, " AND j.state = ?");
        all->values[all->count].real = true;
        all->values[all->count++].number = query->state;
    }
    cw_text_print(&all->sql,
                  " ORDER BY j.changed_s DESC, j.id DESC LIMIT %zu) JOIN job j ON j.id = found JOIN coil c"
                  " ON c.id = j.coil JOIN machine m ON m.id = c.machine LEFT JOIN job_key k ON k.job = j.id"
                  " ORDER BY j.changed_s DESC, j.id DESC", (query->most == 0 ? (size_t)100 : query->most) + 1);
}

static sqlite3_stmt *prepare(cw_book *book, const conditions *all, cw_error *error)
{
    sqlite3_stmt *statement = cw_book__ask(book, error, all->sql.data, "");

    for (int i = 0; statement != NULL && i < all->count; i++)
        if (all->values[i].real)
            sqlite3_bind_double(statement, i + 1, all->values[i].number);
        else
            sqlite3_bind_text(statement, i + 1, all->values[i].text, -1, SQLITE_STATIC);
    return statement;
}

static bool read_hit(sqlite3_stmt *row, cw_book_hit *hit)
{
    bool no_memory = false;

    hit->job = sqlite3_column_int64(row, 0);
    hit->name = cw_book__text(row, 1, &no_memory);
    hit->machine = cw_book__text(row, 2, &no_memory);
    hit->coil = cw_book__text(row, 3, &no_memory);
    hit->state = (cw_book_state)sqlite3_column_int(row, 4);
    hit->changed_s = sqlite3_column_int64(row, 5);
    hit->versions = sqlite3_column_int(row, 6);
    cw_book__read_keys(row, 7, &hit->keys);
    return !no_memory;
}

static cw_status read_hits(cw_book *book, sqlite3_stmt *statement, size_t most, cw_book_hits *list, cw_error *error)
{
    bool row = true;
    cw_status status = CW_OK;

    while (status == CW_OK && (status = cw_book__step(book, statement, &row, error)) == CW_OK && row) {
        cw_book_hit *hit;

        if (list->count == most) {
            list->more = true;
            break;
        }
        hit = cw_book__grow(&list->items, &list->count, sizeof *hit);
        if (hit == NULL || !read_hit(statement, hit))
            status = cw_no_memory(error);
    }
    return status;
}

cw_status cw_book_find(cw_book *book, const cw_book_query *query, cw_book_hits **hits, cw_error *error)
{
    cw_book_hits *list = cw_allocate(1, sizeof *list);
    conditions all = { .count = 0 };
    cw_status status = list == NULL ? cw_no_memory(error) : CW_OK;

    *hits = NULL;
    put_together(query, &all);
    if (all.sql.failed || all.phrase.failed)
        status = cw_no_memory(error);
    if (status == CW_OK) {
        sqlite3_stmt *statement = prepare(book, &all, error);

        status = read_hits(book, statement, query->most == 0 ? 100 : query->most, list, error);
        sqlite3_finalize(statement);
    }
    cw_text_clear(&all.sql);
    cw_text_clear(&all.phrase);
    if (status == CW_OK)
        *hits = list;
    else
        cw_book_hits_destroy(&list);
    return status;
}

void cw_book_hits_destroy(cw_book_hits **hits)
{
    for (size_t i = 0; *hits != NULL && i < (*hits)->count; i++) {
        cw_free((*hits)->items[i].name);
        cw_free((*hits)->items[i].machine);
        cw_free((*hits)->items[i].coil);
    }
    if (*hits != NULL)
        cw_free((*hits)->items);
    cw_free(*hits);
    *hits = NULL;
}
