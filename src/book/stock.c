/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wire on the shelf: spools bought, wire booked off, what is left. Lengths are what is kept; mass follows by the wire's
 * own mass per metre. */
#include "book/book_internal.h"

#include <math.h>
#include <string.h>

static const char *const saving = "The spool cannot be saved";

static bool positive(double x)
{
    return isfinite(x) && x > 0;
}

static cw_status check_words(const cw_book_spool_entry *entry, cw_error *error)
{
    const char *const words[] = { entry->size, entry->build, entry->material, entry->supplier, entry->note };
    cw_status status = CW_OK;

    for (size_t i = 0; i < sizeof words / sizeof words[0] && status == CW_OK; i++)
        status = cw_book__check_text(words[i], i == 0 ? 23 : 2000, "A word about the spool", false, error);
    return status;
}

cw_status cw_book_spool_add(cw_book *book, const cw_book_spool_entry *entry, cw_book_id *spool, cw_error *error)
{
    const double length_m = isnan(entry->length_m) ? entry->mass_kg / entry->mass_kg_per_m : entry->length_m;
    cw_status status;

    if (entry->size == NULL || entry->size[0] == '\0')
        return cw_refuse(error, NULL, "29 AWG, 0.250 mm, 31 SWG", "A spool needs the size of its wire.");
    if (!positive(entry->mass_kg_per_m) || !positive(length_m))
        return cw_refuse(error, NULL, "1 lb, 0.5 kg or 740 ft", "A spool of %s needs how much wire is on it.",
                         entry->size);
    status = check_words(entry, error);
    if (status == CW_OK)
        status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    status = cw_book__run(
        book, saving, error,
        "INSERT INTO spool (uid, size, build, material, thermal_class_c, mass_kg_per_m, bought_m, price, supplier,"
        " note, bought_s) VALUES (lower(hex(randomblob(16))), ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        "sssddddssi", entry->size, entry->build, entry->material, entry->thermal_class_c, entry->mass_kg_per_m,
        length_m, entry->price, entry->supplier, entry->note, cw_book__time(entry->time_s));
    if (status == CW_OK)
        *spool = sqlite3_last_insert_rowid(book->db);
    return cw_book__end(book, status, saving, error);
}

typedef struct balance {
    double left_m, mass_kg_per_m;
    char size[32];
} balance;

static cw_status get_balance(cw_book *book, cw_book_id spool, balance *balance, cw_error *error)
{
    sqlite3_stmt *statement =
        cw_book__ask(book, error,
                     "SELECT bought_m + coalesce((SELECT sum(length_m) FROM stock_use WHERE spool = s.id), 0),"
                     " mass_kg_per_m, size FROM spool s WHERE id = ?",
                     "i", (long long)spool);
    bool row;
    cw_status status = cw_book__step(book, statement, &row, error);

    if (status == CW_OK && !row)
        status =
            cw_refuse(error, &(cw_place) { .file = book->path }, NULL, "There is no spool %lld in the book.", spool);
    if (status == CW_OK) {
        balance->left_m = sqlite3_column_double(statement, 0);
        balance->mass_kg_per_m = sqlite3_column_double(statement, 1);
        cw_book__copy(statement, 2, balance->size, sizeof balance->size);
    }
    sqlite3_finalize(statement);
    return status;
}

static cw_status book_length(cw_book *book, cw_book_id spool, cw_book_id job, double length_m, const char *note,
                             long long time_s, cw_error *error)
{
    return cw_book__run(book, saving, error,
                        "INSERT INTO stock_use (spool, job, length_m, note, made_s) VALUES (?, ?, ?, ?, ?)", "izdsi",
                        (long long)spool, (long long)job, length_m, note, cw_book__time(time_s));
}

static cw_status take_off(cw_book *book, cw_book_id spool, cw_book_id job, double length_m, double mass_kg,
                          const char *note, long long time_s, cw_error *error)
{
    balance balance;
    cw_status status = get_balance(book, spool, &balance, error);
    double wanted_m;

    if (status == CW_OK && job != 0)
        status = cw_book__need_job(book, job, error);
    if (status != CW_OK)
        return status;
    wanted_m = isnan(length_m) ? mass_kg / balance.mass_kg_per_m : length_m;
    if (wanted_m > balance.left_m * (1 + 1e-9))
        return cw_refuse(error, &(cw_place) { .file = book->path }, NULL,
                         "Spool %lld (%s) has %.4g m left (%.4g kg), and %.4g m are to "
                         "come off. If more is on it, weigh it and book that first.",
                         spool, balance.size, balance.left_m, balance.left_m * balance.mass_kg_per_m, wanted_m);
    return book_length(book, spool, job, -wanted_m, note, time_s, error);
}

cw_status cw_book_spool_use(cw_book *book, cw_book_id spool, cw_book_id job, double length_m, double mass_kg,
                            const char *note, long long time_s, cw_error *error)
{
    cw_status status;

    if (!positive(isnan(length_m) ? mass_kg : length_m) || (!isnan(length_m) && !isnan(mass_kg)))
        return cw_refuse(error, NULL, "740 ft or 186 g",
                         "What comes off a spool is one length or one mass above zero.");
    status = cw_book__check_text(note, 2000, "The note", false, error);
    if (status == CW_OK)
        status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    status = take_off(book, spool, job, length_m, mass_kg, note, time_s, error);
    return cw_book__end(book, status, saving, error);
}

cw_status cw_book_spool_weighed(cw_book *book, cw_book_id spool, double mass_kg, long long time_s, cw_error *error)
{
    balance balance;
    cw_status status;

    if (!(isfinite(mass_kg) && mass_kg >= 0))
        return cw_refuse(error, NULL, "312 g", "A spool cannot weigh %g kg.", mass_kg);
    status = cw_book__begin(book, error);
    if (status != CW_OK)
        return status;
    status = get_balance(book, spool, &balance, error);
    if (status == CW_OK)
        status =
            book_length(book, spool, 0, mass_kg / balance.mass_kg_per_m - balance.left_m, "weighed", time_s, error);
    return cw_book__end(book, status, saving, error);
}

/* ---- the shelf --------------------------------------------------------------------------------------------- */

static bool read_spool(sqlite3_stmt *row, cw_book_spool *spool)
{
    bool no_memory = false;

    spool->id = sqlite3_column_int64(row, 0);
    spool->size = cw_book__text(row, 1, &no_memory);
    spool->build = cw_book__text(row, 2, &no_memory);
    spool->material = cw_book__text(row, 3, &no_memory);
    spool->thermal_class_c = cw_book__real(row, 4);
    spool->mass_kg_per_m = cw_book__real(row, 5);
    spool->bought_m = cw_book__real(row, 6);
    spool->left_m = cw_book__real(row, 7);
    spool->price = cw_book__real(row, 8);
    spool->supplier = cw_book__text(row, 9, &no_memory);
    spool->note = cw_book__text(row, 10, &no_memory);
    spool->time_s = sqlite3_column_int64(row, 11);
    spool->bought_kg = spool->bought_m * spool->mass_kg_per_m;
    spool->left_kg = spool->left_m * spool->mass_kg_per_m;
    return !no_memory;
}

cw_status cw_book_spools_list(cw_book *book, const char *size, cw_book_spools **spools, cw_error *error)
{
    cw_book_spools *list = cw_allocate(1, sizeof *list);
    sqlite3_stmt *statement =
        cw_book__ask(book, error,
                     "SELECT id, size, build, material, thermal_class_c, mass_kg_per_m, bought_m,"
                     " bought_m + coalesce((SELECT sum(length_m) FROM stock_use WHERE spool = s.id), 0) AS left_m, "
                     "price, supplier, note,"
                     " bought_s FROM spool s WHERE ?1 IS NULL OR size = ?1 ORDER BY left_m <= 0, size, id",
                     "s", size);
    bool row = true;
    cw_status status = list == NULL ? cw_no_memory(error) : CW_OK;

    *spools = NULL;
    while (status == CW_OK && (status = cw_book__step(book, statement, &row, error)) == CW_OK && row) {
        cw_book_spool *spool = cw_book__grow(&list->items, &list->count, sizeof *spool);

        if (spool == NULL || !read_spool(statement, spool))
            status = cw_no_memory(error);
    }
    sqlite3_finalize(statement);
    if (status == CW_OK)
        *spools = list;
    else
        cw_book_spools_destroy(&list);
    return status;
}

void cw_book_spools_destroy(cw_book_spools **spools)
{
    for (size_t i = 0; *spools != NULL && i < (*spools)->count; i++) {
        cw_book_spool *spool = &(*spools)->items[i];

        cw_free(spool->size);
        cw_free(spool->build);
        cw_free(spool->material);
        cw_free(spool->supplier);
        cw_free(spool->note);
    }
    if (*spools != NULL)
        cw_free((*spools)->items);
    cw_free(*spools);
    *spools = NULL;
}
