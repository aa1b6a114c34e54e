/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wrong with the dead coil. That resistance falls by the share of turns that are shorted, and that a low
 * inductance with a right resistance means shorted turns: [tests_and_safety 8.1], common practice. Aluminium over copper:
 * 0.028264 / 0.017241 ohm mm2/m [IEC60889, IEC60028]. */
#include "coilwright/evidence.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const cw_window window = { .shape = CW_ROUND, .inner_m = { 0.042, 0.042 }, .length_m = 0.058, .depth_m = 0.013 };

static cw_reading of(cw_reading_kind kind, cw_subject subject, double value)
{
    return (cw_reading){ .kind = kind, .subject = subject, .value = value, .at_c = 20, .length_m = NAN, .current_a = NAN,
                         .frequency_hz = NAN };
}

/* A sibling of 71.0 ohm in 29 AWG, and one reading of the dead coil. The fault of that kind, or probability 0. */
static cw_fault fault_of(cw_reading dead, cw_fault_kind kind)
{
    const cw_reading readings[] = { of(CW_COIL_RESISTANCE, CW_OF_SIBLING, 71.0),
                                    of(CW_BARE_DIAMETER, CW_OF_SAMPLE, 0.286e-3),
                                    of(CW_OVERALL_DIAMETER, CW_OF_SAMPLE, 0.331e-3), of(CW_TURNS, CW_OF_SIBLING, 1850), dead };
    const cw_evidence evidence = { .window = &window, .readings = readings, .reading_count = 5, .seen = { .lean = -1 },
                                   .coil_voltage_v = NAN, .supply_frequency_hz = NAN };
    cw_fault found = { .kind = kind, .probability = 0, .share = NAN };
    cw_wire_catalogue *catalogue;
    cw_identification *id;

    assert_int_equal(cw_wire_catalogue_create(&catalogue, NULL), CW_OK);
    assert_int_equal(cw_identify(&evidence, catalogue, &id, NULL), CW_OK);
    for (size_t i = 0; i < id->fault_count; i++)
        if (id->faults[i].kind == kind)
            found = id->faults[i];
    cw_identification_destroy(&id);
    cw_wire_catalogue_destroy(&catalogue);
    return found;
}

static void a_sound_coil_has_no_fault(void **state)
{
    (void)state;
    for (int kind = 0; kind < CW_FAULT_KIND_COUNT; kind++)
        assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0), (cw_fault_kind)kind).probability < 0.2);
}

static void missing_resistance_is_missing_turns(void **state)
{
    (void)state;
    for (double share = 0.2; share < 0.9; share += 0.15) {
        const cw_fault fault = fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0 * (1 - share)), CW_FAULT_SHORTED_TURNS);

        assert_true(fault.probability > 0.5);
        assert_true(fabs(fault.share - share) < 0.03);
        assert_non_null(strstr(fault.text, "ring"));
    }
}

static void more_resistance_is_a_joint_and_at_the_ratio_of_the_metals_aluminium(void **state)
{
    (void)state;
    assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0 * 2.6), CW_FAULT_BAD_JOINT).probability > 0.8);
    assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0 * 2.8264 / 1.7241), CW_FAULT_ALUMINIUM).probability > 0.3);
    assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0 * 2.6), CW_FAULT_ALUMINIUM).probability < 0.05);
}

static void a_warm_coil_may_be_only_warm(void **state)
{
    (void)state; /* 30 K: +11.8 %, by 0.00393 a kelvin [IEC60028] */
    assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, 71.0 * 1.118), CW_FAULT_WRONG_TEMPERATURE).probability > 0.25);
}

static void open_and_earthed_coils_are_told(void **state)
{
    (void)state;
    assert_true(fault_of(of(CW_COIL_RESISTANCE, CW_OF_THIS, INFINITY), CW_FAULT_OPEN).probability == 1);
    assert_true(fault_of(of(CW_INSULATION_RESISTANCE, CW_OF_THIS, 2e4), CW_FAULT_EARTH).probability > 0.9);
    assert_true(fault_of(of(CW_INSULATION_RESISTANCE, CW_OF_THIS, 2e8), CW_FAULT_EARTH).probability == 0);
}

static void low_inductance_at_the_right_resistance_is_shorted_turns(void **state)
{
    (void)state;
    assert_true(fault_of(of(CW_COIL_INDUCTANCE, CW_OF_THIS, 0.030), CW_FAULT_SHORTED_TURNS).probability > 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_coil_has_no_fault),
        cmocka_unit_test(missing_resistance_is_missing_turns),
        cmocka_unit_test(more_resistance_is_a_joint_and_at_the_ratio_of_the_metals_aluminium),
        cmocka_unit_test(a_warm_coil_may_be_only_warm),
        cmocka_unit_test(open_and_earthed_coils_are_told),
        cmocka_unit_test(low_inductance_at_the_right_resistance_is_shorted_turns),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
