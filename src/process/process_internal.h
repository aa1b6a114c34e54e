/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: the helper's folder. */
#ifndef CW_PROCESS_INTERNAL_H
#define CW_PROCESS_INTERNAL_H

#include "coilwright/process.h"

/** An empty folder that only we may enter; cw_free the path. */
cw_status cw_process__folder(char **path, cw_error *error);

/** Removes it with the files in it, frees the path and clears it. Folders in it stay, and so does it then. */
void cw_process__folder_remove(char **path);

#endif
