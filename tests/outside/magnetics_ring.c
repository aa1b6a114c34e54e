/* SPDX-License-Identifier: GPL-3.0-or-later */
/* S. Bidwell, Proc. Roy. Soc. 40 (1886) 486-496: a ring of soft iron cut in two, the halves held by the current alone.
 * Measured pulls, with the field in the winding and the flux density that he gives for each. The ring is solved with iron
 * of the permeability of each row, B/(mu0 H); two faces pull, each of the ring's section. */
#include "coilwright/field.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define MU0 (4e-7 * 3.14159265358979323846)
#define PI 3.14159265358979323846

enum { TURNS = 2000 };

static const double mean = 0.04, half = 0.002, depth = 0.01, cut = 2e-6; /* contact: the wider, the more flux goes round it */

/* Half a ring between two radii, its ends on y = 0. */
static void half_ring(double inner, double outer, double up, cw_contour_point points[6])
{
    points[0] = (cw_contour_point){ inner, 0, false };
    points[1] = (cw_contour_point){ outer, 0, false };
    points[2] = (cw_contour_point){ 0, up * outer, true };
    points[3] = (cw_contour_point){ -outer, 0, false };
    points[4] = (cw_contour_point){ -inner, 0, false };
    points[5] = (cw_contour_point){ 0, up * inner, true };
}

static void add(cw_section *section, const char *name, const char *iron, double turns, const cw_contour_point *points)
{
    cw_part *part = &section->part[section->part_count++];

    *part = (cw_part){ .coil = iron[0] == '\0' ? 0 : -1, .turns = turns, .contour = points, .contour_count = 6 };
    snprintf(part->name, sizeof part->name, "%s", name);
    snprintf(part->iron, sizeof part->iron, "%s", iron);
}

/* The winding inside the ring and outside, into the page and out of it, each as two halves. */
static double pull_of(double permeability, double current)
{
    static cw_contour_point points[6][6];
    cw_section section = { .planar = true, .depth_m = depth, .coil_count = 1 };
    cw_field_wish wish = { .error = 0.01, .coarse = 3 };
    cw_field_result result;
    cw_field *field;
    cw_error error;
    char iron[40];

    snprintf(iron, sizeof iron, "linear %.10g", permeability);
    for (int up = 0; up < 2; up++) {
        half_ring(mean - half, mean + half, up ? 1 : -1, points[3 * up]);
        half_ring(mean - half - 0.001, mean - half - 0.0002, up ? 1 : -1, points[3 * up + 1]);
        half_ring(mean + half + 0.0002, mean + half + 0.001, up ? 1 : -1, points[3 * up + 2]);
        add(&section, up ? "upper half" : "lower half", iron, 0, points[3 * up]);
        section.part[section.part_count - 1].moves = up;
        add(&section, "inner turns", "", 0.5 * TURNS, points[3 * up + 1]);
        add(&section, "outer turns", "", -0.5 * TURNS, points[3 * up + 2]);
    }
    if (cw_field_create(&section, &wish, &field, &error) != CW_OK ||
        cw_field_solve(field, cut, &current, &result, &error) != CW_OK)
        fail_msg("%s", error.text);
    cw_field_destroy(&field);
    return result.force_n;
}

static void halves_of_a_ring_pull_as_bidwell_measured(void **state)
{
    static const double rows[][3] = { /* A/m, kPa, T */
        { 310, 216.7, 0.739 }, { 820, 529.6, 1.155 }, { 1767, 827.7, 1.445 }, { 3183, 949.3, 1.546 },
    };

    (void)state;
    for (int i = 0; i < 4; i++) {
        const double h = rows[i][0], b = rows[i][2];
        const double current = (h * 2 * PI * mean + 2 * cut * b / MU0) / TURNS; /* what the cuts take too */
        const double pressure = pull_of(b / (MU0 * h), current) / (2 * 2 * half * depth);

        if (!(fabs(pressure / (1e3 * rows[i][1]) - 1) < 0.01))
            fail_msg("%g A/m: %.4g kPa, measured %.4g", h, 1e-3 * pressure, rows[i][1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(halves_of_a_ring_pull_as_bidwell_measured) };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
