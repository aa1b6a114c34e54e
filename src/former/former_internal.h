/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shared by the files of this room: strips of outlines, the tables of makings and materials, sentences. */
#ifndef CW_FORMER_INTERNAL_H
#define CW_FORMER_INTERNAL_H

#include "coilwright/former.h"

/** x and y exchanged. */
cw_outline cw_former__turned(const cw_outline *outline);

/** Integral of reach from one height to another. */
double cw_former__strip(const cw_outline *outline, double from_m, double to_m);

/** Volume of a fillet all round a tube, and of the part of it on the +x side between two heights. */
double cw_former__fillet_volume(const cw_outline *tube, double radius_m);
double cw_former__fillet_strip(const cw_outline *tube, double radius_m, double from_m, double to_m);

/** A row of data/former_making.csv. */
typedef struct cw_former__process {
    double least_wall_m, usual_wall_m, least_flange_m, usual_flange_m, hole_growth_m, tolerance_m, tolerance_share;
} cw_former__process;

void cw_former__find_process(cw_making making, cw_former__process *process);

/** A row of data/former_materials.csv, with what data/thermal_materials.csv knows of it. */
typedef struct cw_former__material {
    char name[72];
    int making;                      /* cw_making, or -1: cut */
    double shrink;                   /* middle of its range; NAN: whoever prints it compensates */
    bool metal;
    double softens_c, lasts_c, density_kg_m3;
} cw_former__material;

cw_status cw_former__find_material(const char *name, const cw_place *at, cw_former__material *material,
                                   cw_error *error);

/** The coarse threads, small to large. Returns how many. */
typedef struct cw_former__screw { int size; double pitch_m, hole_m; } cw_former__screw;
size_t cw_former__screws(cw_former__screw *screws, size_t room);

/** Stock that a box can be cut from. */
void cw_former__stock_of(const cw_extent *box, bool round, cw_stock_size *stock);

/** Adds a sentence behind those that stand there. */
void cw_former__say(char *remark, size_t size, const char *format, ...) CW_PRINTF(3, 4);

#endif
