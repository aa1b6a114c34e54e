/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the book lies when nobody says otherwise. */
#include "book/book_internal.h"

#include "coilwright/files.h"

#include <stdlib.h>

/* "The folder for data": an absolute path, or the variable is to be ignored [XDG base directory specification]. */
static void add_data_folder(cw_text *path)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");

    if (data != NULL && data[0] == '/')
        cw_text_add(path, data);
    else if (home != NULL && home[0] == '/')
        cw_text_print(path, "%s/.local/share", home);
}

cw_status cw_book_usual_path(bool make, char **path, cw_error *error)
{
    cw_text text = { 0 };
    cw_status status = CW_OK;

    *path = NULL;
    add_data_folder(&text);
    if (text.length == 0 && !text.failed)
        return cw_refuse(error, NULL, NULL,
                         "Neither HOME nor XDG_DATA_HOME says where your files lie. Name the book: --book FILE.");
    cw_text_add(&text, "/coilwright");
    if (!text.failed && make)
        status = cw_folder_make(text.data, error);
    cw_text_add(&text, "/shop.book");
    if (status == CW_OK && text.failed)
        status = cw_no_memory(error);
    if (status == CW_OK)
        *path = text.data;
    else
        cw_text_clear(&text);
    return status;
}
