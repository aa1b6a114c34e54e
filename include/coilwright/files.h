/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files in, whole files out.
 *
 * Knows: paths, folders, disks that are full. Needs: base, POSIX. Refuses to know: what is in a file.
 *
 * What the caller named wrongly (no such file, a folder where a file is meant, no right to it, too large) is
 * CW_BAD_INPUT; what the machine did (disk full, read error) is CW_FAILED. Every error carries the path in `file`. */
#ifndef COILWRIGHT_FILES_H
#define COILWRIGHT_FILES_H

#include "coilwright/base.h"

#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Reads a file to its end.
 *
 *  path     a file, or a pipe or device that comes to an end
 *  most     greatest length in bytes; anything longer is CW_BAD_INPUT and is not read further
 *  content  receives the bytes and a NUL behind them; cw_free. NULL on failure
 *  length   receives the number of bytes without that NUL; left alone on failure
 *
 *  Test: tests/files/test_files.c */
CW_API cw_status cw_file_read(const char *path, size_t most, char **content, size_t *length, cw_error *error);

/** Opens a file to be read in pieces, however long it is; the caller closes it. */
CW_API cw_status cw_file_open(const char *path, FILE **stream, cw_error *error);

/** Writes a file that appears whole under its name or not at all: into a new file of the same folder, to the disk,
 *  then renamed. What stood under that name stays as it was until then, and for good where anything fails. Its rights are
 *  kept, and a symbolic link stays one. A device or pipe (a terminal, standard output by its path) is written to
 *  directly.
 *
 *  A limit on file size kills a program that does not ignore SIGXFSZ; ignoring it is the program's business.
 *
 *  Test: tests/files/test_files.c, with a device that is always full and with a limit on file size */
CW_API cw_status cw_file_write(const char *path, const void *content, size_t length, cw_error *error);

/** Holds a file that is there against other programs that hold it too, for as long as it is read, changed and written back;
 *  waits for them, up to 5 s. cw_file_write goes on as ever meanwhile.
 *  held  receives what cw_file_let_go takes; -1 on failure
 *  Test: tests/files/test_files.c */
CW_API cw_status cw_file_hold(const char *path, int *held, cw_error *error);
CW_API void cw_file_let_go(int *held);

/** Makes a folder and those above it; welcomes one that is there. */
CW_API cw_status cw_folder_make(const char *path, cw_error *error);

/** "FOLDER/NAME" as a new text, with one stroke between; cw_free. NULL without memory. */
CW_API char *cw_path_join(const char *folder, const char *name);

#ifdef __cplusplus
}
#endif
#endif
