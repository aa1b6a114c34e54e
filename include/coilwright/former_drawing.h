/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Workshop drawings of the former and its arbor, from their sizes.
 *
 * Knows: which views and dimensions settle a former, each size once. Needs: former, drafting. Refuses to know: the job,
 * the solid kernel. */
#ifndef COILWRIGHT_FORMER_DRAWING_H
#define COILWRIGHT_FORMER_DRAWING_H

#include "coilwright/drafting.h"
#include "coilwright/former.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One sheet, or two where that leaves everything larger: section along the axis, the start, sections across, notes.
 *
 *  former   the finished one (asserted): what is asked of a printer stands in the files for it, not on the drawing
 *  drawing  receives it; give it to cw_drafting_write and cw_drafting_write_dxf
 *  Every size of cw_former that is not made up of others is settled by one dimension (cw_drafting_settles).
 *  Test: tests/drafting/test_former_drawing.c */
CW_API cw_status cw_former_drawing_create(const cw_former *former, const cw_drafting_setting *setting,
                                          cw_drafting **drawing, cw_error *error);

/** Five sheets: assembly with its list of parts, then spindle, start cheek, plug and far cheek.
 *
 *  former  the finished one that it carries */
CW_API cw_status cw_arbor_drawing_create(const cw_arbor *arbor, const cw_former *former,
                                         const cw_drafting_setting *setting, cw_drafting **drawing, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
