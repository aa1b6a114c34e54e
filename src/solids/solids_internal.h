/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: the question to the helper, the reading of its answer, the plate. */
#ifndef CW_SOLIDS_INTERNAL_H
#define CW_SOLIDS_INTERNAL_H

#include "coilwright/solids.h"

/** The lines that src/solids_helper/helper.h describes. */
void cw_solids__question(const cw_solids_plan *plan, cw_text *text);

/** Name of a piece of the former or of the arbor, as in files. */
void cw_solids__former_piece_name(const cw_former *former, int piece, char name[64]);
void cw_solids__arbor_piece_name(cw_arbor_piece piece, char name[64]);

/** Reads the helper's answer. Its order is that of the question. */
cw_status cw_solids__answer(const char *answer, size_t length, cw_solids *solids, cw_error *error);

/** By how much each piece is moved to stand beside the one before it. shift_mm: shape [piece_count][3] */
void cw_solids__plate(const cw_solid_group *group, double (*shift_mm)[3]);

void cw_solids__group_clear(cw_solid_group *group);

#endif
