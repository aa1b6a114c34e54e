/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writes the drawings of odd and random formers and of their arbors as DXF into a folder, for dxf.py to read. One line
 * each on standard output: file, bore's size along x in the file's unit, round or not. */
#include "coilwright/files.h"
#include "tests/drafting/formers.h"

#include <stdio.h>

#define RANDOM_DRAWINGS 20

static cw_status write_one(const char *folder, const char *name, cw_drafting *drawing, const drawn_former *drawn)
{
    const double unit_m = drawn->setting.units == CW_INCH_UNITS ? 0.0254 : 0.001;
    char path[512];
    cw_text out = { 0 };
    cw_status status = cw_drafting_write_dxf(drawing, name, &out, NULL);

    snprintf(path, sizeof path, "%s/%s.dxf", folder, name);
    if (status == CW_OK)
        status = cw_file_write(path, out.data, out.length, NULL);
    printf("%s %.6f %s\n", path, drawn->former.bore.size_m[0] / unit_m,
           drawn->former.shape == CW_ROUND ? "round" : "other");
    cw_text_clear(&out);
    return status;
}

static cw_status write_former(const char *folder, int number, const drawn_former *drawn)
{
    cw_drafting *drawing = NULL;
    cw_arbor_plan plan;
    cw_arbor arbor;
    char name[64];
    cw_status status = cw_former_drawing_create(&drawn->former, &drawn->setting, &drawing, NULL);

    snprintf(name, sizeof name, "former%d", number);
    if (status == CW_OK)
        status = write_one(folder, name, drawing, drawn);
    cw_drafting_destroy(&drawing);
    cw_arbor_plan_init(&plan);
    if (status != CW_OK || cw_arbor_design(&drawn->former, &plan, NULL, &arbor, NULL) != CW_OK)
        return status;
    snprintf(name, sizeof name, "arbor%d", number);
    status = cw_arbor_drawing_create(&arbor, &drawn->former, &drawn->setting, &drawing, NULL);
    if (status == CW_OK)
        status = write_one(folder, name, drawing, drawn);
    cw_drafting_destroy(&drawing);
    return status;
}

int main(int count, char **arguments)
{
    drawn_former drawn;
    cw_status status = CW_OK;

    if (count != 2)
        return 2;
    for (int i = 0; status == CW_OK && i < ODD_FORMERS; i++)
        if (odd_former(i, &drawn))
            status = write_former(arguments[1], i, &drawn);
    for (int i = 0; status == CW_OK && i < RANDOM_DRAWINGS; i++)
        if (random_former(1000 + (unsigned long)i, &drawn))
            status = write_former(arguments[1], 100 + i, &drawn);
    return status == CW_OK ? 0 : 1;
}
