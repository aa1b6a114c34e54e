/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sections of free outlines: the same answers as the lattice where both can, refusals by name, arcs. */
#include "coilwright/field.h"
#include "field/magnets.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

static cw_contour_point corners[CW_MOST_PARTS][4];

/* The rectangles of a template as outlines. */
static cw_section as_outlines(cw_section section)
{
    for (size_t i = 0; i < section.part_count; i++) {
        cw_part *part = &section.part[i];

        for (int k = 0; k < 4; k++)
            corners[i][k] = (cw_contour_point){ part->x[k == 1 || k == 2], part->y[k >= 2], false };
        part->contour = corners[i];
        part->contour_count = 4;
    }
    return section;
}

static void field__outlines_give_what_the_lattice_gives(void **state)
{
    static const cw_magnet_shape shapes[] = { CW_MAGNET_POT, CW_MAGNET_PLUNGER, CW_MAGNET_U, CW_MAGNET_E };

    (void)state;
    for (int i = 0; i < 4; i++) {
        cw_magnet magnet = example_magnet(shapes[i]);
        cw_field_result lattice, free;
        cw_section section, outlines;
        cw_field *field = NULL;
        cw_error error;
        double currents[CW_MOST_MAGNET_COILS];

        for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
            currents[c] = magnet.current_a;
        assert_int_equal(cw_magnet_section(&magnet, &section, NULL), CW_OK);
        outlines = as_outlines(section);
        assert_int_equal(cw_magnet_solve(&magnet, NULL, &lattice, NULL), CW_OK);
        assert_int_equal(cw_field_create(&outlines, NULL, &field, NULL), CW_OK);
        if (cw_field_solve(field, magnet.gap_m, currents, &free, &error) != CW_OK)
            fail_msg("%s", error.text);
        print_message("%g %g est %g %g tri %zu ref %d it %d/%d diff %g  L %g %g\n", lattice.force_n, free.force_n, lattice.error_estimate, free.error_estimate, free.triangles, free.refinements, free.iterations, free.all_iterations, free.force_difference, lattice.inductance_h, free.inductance_h);
        cw_field_destroy(&field);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(field__outlines_give_what_the_lattice_gives),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
