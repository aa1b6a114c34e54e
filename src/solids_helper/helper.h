/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright-solids: solids from a list of prisms and boxes, by gmsh's OpenCASCADE kernel.
 *
 * A program of its own, started by the solids room (src/solids), since the kernel takes a sixth of a second to load and
 * keeps global state. It knows nothing of formers. All numbers are millimetres.
 *
 * Question, lines of words:
 *     mesh CHORD                        how far a facet may be off a curve
 *     group NAME                        solids that go into one STEP file
 *     piece NAME                        a solid; what follows makes it: added, cut, rounded, cut again
 *     add|cut prism A B R Z0 Z1 X Y     rounded rectangle A by B, corners R, about X, Y
 *     add|cut box X0 Y0 Z0 X1 Y1 Z1
 *     fillet RADIUS A B Z ...           the edges at those heights, at most sixteen, that lie within A by B about the
 *     axis carve X0 Y0 Z0 X1 Y1 Z1 A B R     cuts that box less the prism A, B, R about the axis
 *
 * Answer, for each group and piece in the order asked, lines and bytes:
 *     group NAME LENGTH\n  and LENGTH bytes of STEP
 *     piece NAME VOLUME NODES TRIANGLES\n  3 NODES doubles, 3 TRIANGLES 32-bit indices, both as the machine has them */
#ifndef CW_SOLIDS_HELPER_H
#define CW_SOLIDS_HELPER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define NUMBERS_MOST 20

/** Ends the program with a sentence on standard error: 2 the question is wrong, 3 the kernel failed. */
_Noreturn void fail(int status, const char *format, ...) __attribute__((format(printf, 2, 3)));

/** Fails where the kernel's call did, with its own last word. */
void kernel_check(int failed, const char *doing);

void *allocate(size_t count, size_t size);

/* ---- pieces ---------------------------------------------------------------------------------------------------- */

typedef struct tag_list {
    int *tags;           /* the kernel's */
    size_t count;
} tag_list;

typedef struct piece {
    char name[64];
    int body;            /* 0 none yet */
    tag_list parts;      /* still to be joined to it */
    tag_list tools;      /* still to be cut from it */
} piece;

/** By the numbers of a line: as many as it takes, or `count` of them for a fillet. */
void piece_add_prism(piece *p, const double *n, int count);
void piece_add_box(piece *p, const double *n, int count);
void piece_cut_prism(piece *p, const double *n, int count);
void piece_cut_box(piece *p, const double *n, int count);
void piece_carve(piece *p, const double *n, int count);
void piece_fillet(piece *p, const double *n, int count);

/** Cuts what is to be cut. One solid must be left. */
void piece_finish(piece *p);

/* ---- what is made of them -------------------------------------------------------------------------------------- */

/** The group's STEP file, its header free of time and version. Length without the NUL behind it. */
char *group_step(const char *group, const piece *pieces, size_t count, size_t *length);

/** Triangles for all solids of the current model. */
void group_mesh(double chord_mm);

/** Writes a piece's line and bytes. */
void piece_write(const piece *p, FILE *out);

#endif
