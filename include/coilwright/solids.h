/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Former and arbor as solids, and the files that carry them.
 *
 * Knows: how a description becomes prisms, boxes and fillets; STEP, STL and 3MF; what makes a shell of triangles
 * closed. Needs: base, process, former. Refuses to know: the kernel, which lives in a helper program, coilwright-solids.
 *
 * A solid is believed only where the kernel's volume is the sum by hand (cw_former_volume) within 1e-6, its triangles
 * close (every edge twice, once in each direction), they hold the same volume within 0.1 %, and its box is that of the
 * description within 0.001 mm. */
#ifndef COILWRIGHT_SOLIDS_H
#define COILWRIGHT_SOLIDS_H

#include "coilwright/base.h"
#include "coilwright/former.h"
#include "coilwright/process.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Triangles, counter-clockwise seen from outside. Millimetres, as in all files of solids. */
typedef struct cw_shell {
    double (*node_mm)[3];       /* [node_count]; owned */
    uint32_t (*triangle)[3];    /* [triangle_count]; owned */
    size_t node_count, triangle_count;
} cw_shell;

/** Turns the triangles so that neighbours agree and the inside is inside.
 *  CW_FAILED where they do not close: an edge that has not two triangles, or more than one body. Sizes to 2^28.
 *  Test: tests/solids/test_shell.c */
CW_API cw_status cw_shell_orient(cw_shell *shell, cw_error *error);

/** Every edge twice, once in each direction; no triangle with a node twice. */
CW_API bool cw_shell_closed(const cw_shell *shell);
CW_API double cw_shell_volume_mm3(const cw_shell *shell);
CW_API void cw_shell_box(const cw_shell *shell, double low_mm[3], double high_mm[3]);

typedef struct cw_solid {
    char name[64];              /* "former", "start-cheek" */
    double volume_m3;           /* by the kernel */
    cw_shell shell;
} cw_solid;

enum { CW_SOLIDS_MOST = 8 };

/** Solids that belong into one file, each where it stands in the whole. */
typedef struct cw_solid_group {
    char name[64];              /* "former", "former-to-print", "arbor" */
    cw_solid pieces[CW_SOLIDS_MOST];
    size_t piece_count;
    char *step;                 /* AP214; owned */
    size_t step_length;
} cw_solid_group;

typedef struct cw_solids {
    cw_solid_group former, print, arbor; /* piece_count 0 where it was not asked for */
} cw_solids;

/** What to make; each may be NULL. */
typedef struct cw_solids_plan {
    const cw_former *former;    /* finished */
    const cw_former *print;     /* compensated, where that is another */
    const cw_arbor *arbor;
    double chord_mm;            /* greatest distance of a facet from its curve; 0: 0.01 mm */
} cw_solids_plan;

/** Starts the helper on it; the plan must stay until cw_solids_finish. CW_FAILED where the helper is not there. */
CW_API cw_status cw_solids_start(const cw_solids_plan *plan, cw_process **process, cw_error *error);

/** Waits for it, and judges what came. solids: cw_solids_destroy; NULL on failure. */
CW_API cw_status cw_solids_finish(const cw_solids_plan *plan, cw_process **process, cw_solids **solids, cw_error *error);

/** Both in one. Test: tests/solids/test_solids.c */
CW_API cw_status cw_solids_make(const cw_solids_plan *plan, cw_solids **solids, cw_error *error);
CW_API void cw_solids_destroy(cw_solids **solids);

/** Binary STL, and 3MF with an object a piece: the pieces beside each other on a plate, each standing on z = 0, in the
 *  positive octant. Appended to `out`. */
CW_API cw_status cw_solid_group_stl(const cw_solid_group *group, cw_text *out, cw_error *error);
CW_API cw_status cw_solid_group_3mf(const cw_solid_group *group, const char *title, cw_text *out, cw_error *error);

#ifdef __cplusplus
}
#endif
#endif
