/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Independent readers for what was drawn: poppler's tools for PDF, Python's parser for XML. Only for tests. */
#ifndef CW_TESTS_READER_H
#define CW_TESTS_READER_H

#include "coilwright/base.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Runs `command` with %s replaced by the name of a file that holds the bytes; appends what it says on both its
 * channels to `said`. Returns its exit status, or -1 where it could not be run. */
static inline int reader_run(const char *command, const cw_text *bytes, cw_text *said)
{
    char name[] = "cw_test_XXXXXX", line[512], piece[1024];
    int file = mkstemp(name), status = -1;
    FILE *out = file >= 0 ? fdopen(file, "wb") : NULL, *pipe = NULL;
    size_t got;

    if (out != NULL && fwrite(bytes->data, 1, bytes->length, out) == bytes->length && fclose(out) == 0) {
        const char *place = strstr(command, "%s");

        snprintf(line, sizeof line, "%.*s%s%s", (int)(place - command), command, name, place + 2);
        pipe = popen(line, "r");
    }
    while (pipe != NULL && (got = fread(piece, 1, sizeof piece, pipe)) > 0)
        cw_text_add_bytes(said, piece, got);
    if (pipe != NULL)
        status = pclose(pipe);
    if (file >= 0)
        unlink(name);
    return status;
}

static inline bool reader_says(const char *command, const cw_text *bytes, const char *wanted)
{
    cw_text said = { 0 };
    bool found = reader_run(command, bytes, &said) == 0 && said.data != NULL && strstr(said.data, wanted) != NULL;

    if (!found)
        fprintf(stderr, "'%s' was looked for in:\n%s\n", wanted, said.data != NULL ? said.data : "(nothing)");
    cw_text_clear(&said);
    return found;
}

#define READ_PDF_INFO "pdfinfo %s 2>&1"
#define READ_PDF_FONTS "pdffonts %s 2>&1"
#define READ_PDF_TEXT "pdftotext -layout %s - 2>&1"
#define READ_XML \
    "python3 -c \"import sys, xml.etree.ElementTree as t; print(t.parse(sys.argv[1]).getroot().tag)\" %s 2>&1"

#endif
