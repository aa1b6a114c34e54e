/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold of every wire in the catalogue, whatever its figures. The figures: tests/outside. */
#include "coilwright/wire.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/near.h"
#include "tests/wire_fixture.h"

static const double pi = 3.14159265358979323846;

/* Calls check for each wire that can be made, and returns how many there were. */
static int each_wire(void **state, void (*check)(void **state, const cw_wire *wire))
{
    int made = 0;

    for (size_t i = 0; i < cw_wire_size_count(*state); i++)
        for (int build = 0; build < CW_BUILD_COUNT; build++)
            for (int material = 0; material < CW_MATERIAL_COUNT; material++) {
                cw_wire wire;

                if (cw_wire_make(*state, cw_wire_size_at(*state, i), (cw_build)build, (cw_material)material, &wire,
                                 NULL) != CW_OK)
                    continue;
                check(state, &wire);
                made++;
            }
    return made;
}

static bool rising(const cw_band *band)
{
    return 0 < band->min && band->min < band->nominal && band->nominal < band->max && band->max < 1e6;
}

static void check_bands(void **state, const cw_wire *wire)
{
    const cw_band *bare = &wire->size.diameter_m, *overall = &wire->overall_diameter_m;

    (void)state;
    if (!rising(bare) || !rising(overall) || !rising(&wire->resistance_ohm_per_m))
        fail_msg("%s %s: a band does not rise", wire->size.name, cw_build_name(wire->build));
    if (wire->build == CW_BARE)
        assert_memory_equal(bare, overall, sizeof *bare);
    else if (!(overall->min > bare->min && overall->nominal > bare->nominal && overall->max > bare->max))
        fail_msg("%s %s: thinner with its covering on", wire->size.name, cw_build_name(wire->build));
}

static void bands_rise_and_coverings_add(void **state)
{
    assert_true(each_wire(state, check_bands) > 1500);
}

/* A wire's ohms times its section is its resistivity: between 1/59 and 1/58 ohm mm2/m for copper by all standards
 * here, whatever the size. Fine metric wire below 0.063 mm has its band on the resistance instead. */
static void check_resistivity(void **state, const cw_wire *wire)
{
    const double section = 0.25 * pi * wire->size.diameter_m.nominal * wire->size.diameter_m.nominal;
    const double rho = wire->resistance_ohm_per_m.nominal * section;
    const cw_conductor *copper = cw_wire_conductor(*state, CW_COPPER);
    const cw_conductor *metal = cw_wire_conductor(*state, wire->material);
    const double in_copper = rho * copper->resistivity_20c_ohm_m / metal->resistivity_20c_ohm_m;

    if (wire->size.system == CW_METRIC)
        assert_near(in_copper, 1e-6 / 58.5, 1e-14);
    else
        assert_near(in_copper, 1e-6 / 58.0, 1e-14);
    assert_near(wire->bare_mass_kg_per_m, metal->density_kg_m3 * section, 1e-12);
}

static void resistance_and_mass_follow_from_diameter_and_material(void **state)
{
    assert_true(each_wire(state, check_resistivity) > 1500);
}

static void check_mass(void **state, const cw_wire *wire)
{
    const double d = wire->size.diameter_m.nominal, overall = wire->overall_diameter_m.nominal;
    const double sleeve = 0.25 * pi * (overall * overall - d * d);

    (void)state;
    assert_near(wire->mass_kg_per_m - wire->bare_mass_kg_per_m, sleeve * wire->covering_density_kg_m3, 1e-14);
    assert_true(wire->build == CW_BARE || wire->mass_kg_per_m > wire->bare_mass_kg_per_m);
}

static void covering_adds_the_mass_of_its_sleeve(void **state)
{
    assert_true(each_wire(state, check_mass) > 1500);
}

static void thicker_builds_are_thicker_on_every_size(void **state)
{
    for (size_t i = 0; i < cw_wire_size_count(*state); i++) {
        const cw_wire_size *size = cw_wire_size_at(*state, i);
        cw_wire thin, thick;

        for (int build = CW_SINGLE; build < CW_TRIPLE; build++)
            if (cw_wire_make(*state, size, (cw_build)build, CW_COPPER, &thin, NULL) == CW_OK &&
                cw_wire_make(*state, size, (cw_build)(build + 1), CW_COPPER, &thick, NULL) == CW_OK &&
                !(thick.overall_diameter_m.max > thin.overall_diameter_m.max &&
                  thick.overall_diameter_m.min > thin.overall_diameter_m.min))
                fail_msg("%s: %s is no thicker than %s", size->name, cw_build_name(thick.build),
                         cw_build_name(thin.build));
    }
}

static void sizes_fall_within_each_system(void **state)
{
    for (size_t i = 1; i < cw_wire_size_count(*state); i++) {
        const cw_wire_size *before = cw_wire_size_at(*state, i - 1), *size = cw_wire_size_at(*state, i);

        if (size->system == before->system && !(size->diameter_m.nominal < before->diameter_m.nominal))
            fail_msg("%s follows %s and is no thinner", size->name, before->name);
        assert_true(size->system >= before->system);
    }
}

static bool makes(void **state, size_t index, int build, cw_wire *wire)
{
    return cw_wire_make(*state, cw_wire_size_at(*state, index), (cw_build)build, CW_COPPER, wire, NULL) == CW_OK;
}

/* Between two gauges a half size has every figure between theirs. */
static void intermediates_lie_between_their_neighbours(void **state)
{
    int halves = 0;

    for (size_t i = 1; i + 1 < cw_wire_size_count(*state); i++) {
        const cw_wire_size *size = cw_wire_size_at(*state, i);
        cw_wire above, half, below;

        if (size->system != CW_AWG || !size->intermediate)
            continue;
        halves++;
        assert_near(size->number - floor(size->number), 0.5, 0);
        for (int build = 0; build < CW_BUILD_COUNT; build++) {
            if (!makes(state, i - 1, build, &above) || !makes(state, i, build, &half) ||
                !makes(state, i + 1, build, &below))
                continue;
            if (!(above.overall_diameter_m.max > half.overall_diameter_m.max &&
                  half.overall_diameter_m.max > below.overall_diameter_m.max &&
                  above.overall_diameter_m.min > half.overall_diameter_m.min &&
                  half.overall_diameter_m.min > below.overall_diameter_m.min &&
                  above.resistance_ohm_per_m.max < half.resistance_ohm_per_m.max &&
                  half.resistance_ohm_per_m.max < below.resistance_ohm_per_m.max))
                fail_msg("%s %s does not lie between its neighbours", size->name, cw_build_name((cw_build)build));
        }
    }
    assert_true(halves > 30);
}

/* What the tables do not hold is not invented: the words of the refusal name size and build. */
static void builds_that_no_table_gives_are_refused(void **state)
{
    static const struct { const char *size; cw_build build; const char *words; } cases[] = {
        { "10 AWG", CW_SINGLE, "single wire of 10 AWG" },
        { "2/0 AWG", CW_HEAVY, "heavy wire of 2/0 AWG" },
        { "46 AWG", CW_HEAVY, "heavy wire of 46 AWG" },
        { "0.050 mm", CW_TRIPLE, "grade 3 wire of 0.050 mm" },
        { "2.000 mm", CW_DOUBLE_SILK, "double silk wire of 2.000 mm" },
        { "48 SWG", CW_TRIPLE, "triple wire of 48 SWG" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_wire wire, before;
        cw_error error;

        memset(&wire, 0x5A, sizeof wire);
        before = wire;
        assert_int_equal(cw_wire_make(*state, size_of(state, cases[i].size), cases[i].build, CW_COPPER, &wire, &error),
                         CW_BAD_INPUT);
        assert_non_null(strstr(error.text, cases[i].words));
        assert_memory_equal(&wire, &before, sizeof wire);
    }
}

/* The trust mark is the weakest of what went in. By the columns dim_src of the metric table and *_src of the American
 * one: D derived by rule, memory recalled and not seen. */
static void trust_marks_say_where_a_diameter_comes_from(void **state)
{
    assert_int_equal(wire_of(state, "29 AWG", CW_SINGLE).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "29 AWG", CW_HEAVY).overall_trust, CW_FROM_MEMORY);
    assert_int_equal(wire_of(state, "28.5 AWG", CW_SINGLE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "28.5 AWG", CW_HEAVY).overall_trust, CW_FROM_MEMORY);
    assert_int_equal(wire_of(state, "40.5 AWG", CW_SINGLE).overall_trust, CW_FROM_MEMORY);
    assert_int_equal(wire_of(state, "29 AWG", CW_TRIPLE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "8 AWG", CW_HEAVY).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "0.250 mm", CW_HEAVY).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "0.170 mm", CW_HEAVY).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "0.265 mm", CW_HEAVY).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "0.048 mm", CW_SINGLE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "12 SWG", CW_SINGLE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "31 SWG", CW_SINGLE).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "29 AWG", CW_BARE).overall_trust, CW_PRINTED);
    assert_int_equal(wire_of(state, "28.5 AWG", CW_BARE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "42 AWG", CW_BARE).overall_trust, CW_FROM_MEMORY);
    assert_int_equal(wire_of(state, "2 AWG", CW_BARE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "50 SWG", CW_BARE).overall_trust, CW_DERIVED);
    assert_int_equal(wire_of(state, "48 SWG", CW_BARE).overall_trust, CW_PRINTED);
}

static void aluminium_is_lighter_and_more_resistive_by_the_same_share_in_every_size(void **state)
{
    const cw_conductor *copper = cw_wire_conductor(*state, CW_COPPER);
    const cw_conductor *aluminium = cw_wire_conductor(*state, CW_ALUMINIUM);
    const double ohms = aluminium->resistivity_20c_ohm_m / copper->resistivity_20c_ohm_m;

    for (size_t i = 0; i < cw_wire_size_count(*state); i++) {
        cw_wire one, other;

        cw_wire_make(*state, cw_wire_size_at(*state, i), CW_BARE, CW_COPPER, &one, NULL);
        cw_wire_make(*state, cw_wire_size_at(*state, i), CW_BARE, CW_ALUMINIUM, &other, NULL);
        assert_near(other.resistance_ohm_per_m.min / one.resistance_ohm_per_m.min, ohms, 1e-12);
        assert_near(other.resistance_ohm_per_m.max / one.resistance_ohm_per_m.max, ohms, 1e-12);
        assert_near(other.mass_kg_per_m / one.mass_kg_per_m, aluminium->density_kg_m3 / copper->density_kg_m3, 1e-12);
    }
    assert_string_equal(copper->name, "copper");
    assert_string_equal(aluminium->name, "aluminium");
}

static void every_failed_allocation_leaves_no_catalogue_behind(void **state)
{
    cw_status status = CW_NO_MEMORY;
    long granted = 0;

    (void)state;
    for (; status == CW_NO_MEMORY; granted++) {
        cw_wire_catalogue *catalogue = (cw_wire_catalogue *)&granted;
        cw_error error;

        cw_memory_fail_after(granted);
        status = cw_wire_catalogue_create(&catalogue, &error);
        cw_memory_fail_after(-1);
        assert_true(status == CW_OK ? catalogue != NULL : catalogue == NULL && strstr(error.text, "memory") != NULL);
        cw_wire_catalogue_destroy(&catalogue);
        assert_null(catalogue);
    }
    assert_int_equal(status, CW_OK);
    assert_true(granted >= 3); /* the catalogue itself and its list: at least two failures were walked */
    cw_wire_catalogue_destroy(&(cw_wire_catalogue *){ NULL });
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bands_rise_and_coverings_add),
        cmocka_unit_test(resistance_and_mass_follow_from_diameter_and_material),
        cmocka_unit_test(covering_adds_the_mass_of_its_sleeve),
        cmocka_unit_test(thicker_builds_are_thicker_on_every_size),
        cmocka_unit_test(sizes_fall_within_each_system),
        cmocka_unit_test(intermediates_lie_between_their_neighbours),
        cmocka_unit_test(builds_that_no_table_gives_are_refused),
        cmocka_unit_test(trust_marks_say_where_a_diameter_comes_from),
        cmocka_unit_test(aluminium_is_lighter_and_more_resistive_by_the_same_share_in_every_size),
        cmocka_unit_test(every_failed_allocation_leaves_no_catalogue_behind),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
