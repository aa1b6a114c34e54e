/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A zip to be taken into a book.
 *
 * Promises: a refusal has a sentence; the book is sound before and after, and nothing appears outside its folder. */
#include "fuzz/target.h"

#include "coilwright/book.h"
#include "coilwright/files.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* One folder for all inputs, made at the first and removed at the end. */
static char folder[64], book_path[96], zip_path[96];

static void remove_folder(void)
{
    char command[160];

    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    if (system(command) != 0)
        fprintf(stderr, "%s is left over\n", folder);
}

static void make_folder(void)
{
    snprintf(folder, sizeof folder, "%s/coilwright-fuzz-XXXXXX", getenv("TMPDIR") != NULL ? getenv("TMPDIR") : "/tmp");
    if (strlen(folder) + 1 >= sizeof folder || mkdtemp(folder) == NULL)
        abort();
    snprintf(book_path, sizeof book_path, "%s/book.db", folder);
    snprintf(zip_path, sizeof zip_path, "%s/in.zip", folder);
    atexit(remove_folder);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    cw_book_imported imported = { 0 };
    cw_errors errors = { 0 };
    cw_book *book = NULL;
    cw_error error;

    if (folder[0] == '\0')
        make_folder();
    PROMISE(cw_file_write(zip_path, data, size, NULL) == CW_OK);
    PROMISE(cw_book_open(book_path, CW_BOOK_WRITE, &book, &error) == CW_OK);
    error.text[0] = '\0';
    if (cw_book_import(book, zip_path, &imported, &error) != CW_OK)
        PROMISE(error.text[0] != '\0');
    else
        PROMISE(cw_book_check(book, &errors) == CW_OK);
    cw_errors_clear(&errors);
    cw_book_close(&book);
    return 0;
}
