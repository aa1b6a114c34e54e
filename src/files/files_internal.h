/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: the system's error numbers as sentences. */
#ifndef CW_FILES_INTERNAL_H
#define CW_FILES_INTERNAL_H

#include "coilwright/files.h"

/** Refuses or fails by an error number.
 *  doing  "read", "written", "made": as in "This file cannot be written." */
cw_status cw_files__trouble(const char *path, int number, const char *doing, cw_error *error);

/** Refuses with the path in `file`. */
cw_status cw_files__refuse(const char *path, const char *sentence, cw_error *error);

#endif
