/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The example jobs against the windings that their first lines state: the readings must be what that winding would
 * give, within their own doubts, and the answer must be that winding. */
#include "coilwright/evidence.h"
#include "coilwright/files.h"
#include "coilwright/job.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* As the comments of the files have it, worked out by hand there. */
typedef struct stated {
    const char *file, *size;
    cw_build build;
    long turns;
    double turns_per_layer, layers, resistance_20c_ohm, mass_kg, depth_m;
} stated;

static const stated press_brake = { "press-brake.yaml", "28 AWG", CW_SINGLE, 2200, 88, 25, 124.3, 0.951 * 0.45359237,
                                    0.325 * 0.0254 };
static const stated chuck_plate = { "chuck-plate.yaml", "0.400 mm", CW_SINGLE, 2492, 89, 28, 114.4, 0.960, 0.0131 };

static cw_wire_catalogue *catalogue;

static int open_catalogue(void **state)
{
    (void)state;
    return cw_wire_catalogue_create(&catalogue, NULL) == CW_OK ? 0 : -1;
}

static int close_catalogue(void **state)
{
    (void)state;
    cw_wire_catalogue_destroy(&catalogue);
    return 0;
}

static cw_job *read_example(const char *name)
{
    char path[1000];
    char *text;
    size_t length;
    cw_errors errors = { 0 };
    cw_error error;
    cw_job *job;

    snprintf(path, sizeof path, "%s/examples/%s", getenv("CW_SOURCE_ROOT"), name);
    if (cw_file_read(path, CW_JOB_LARGEST, &text, &length, &error) != CW_OK)
        fail_msg("%s", error.text);
    if (cw_job_read(text, length, name, catalogue, &job, &errors) != CW_OK)
        fail_msg("%s:%d:%d %s", name, errors.items[0].line, errors.items[0].column, errors.items[0].text);
    assert_memory_equal(text, "# An invented job", 17);
    cw_free(text);
    return job;
}

static cw_wire stated_wire(const stated *truth)
{
    const cw_wire_size *size;
    cw_wire wire;

    assert_int_equal(cw_wire_size_parse(catalogue, truth->size, strlen(truth->size), NULL, &size, NULL), CW_OK);
    assert_int_equal(cw_wire_make(catalogue, size, truth->build, CW_COPPER, &wire, NULL), CW_OK);
    return wire;
}

/* What a reading of the stated winding would be, by the laws of IEC 60028 and the hand calculation. */
static double would_read(const cw_reading *reading, const stated *truth, const cw_wire *wire)
{
    double warm = 1 + 0.00393 * (reading->at_c - 20);

    switch (reading->kind) {
    case CW_COIL_RESISTANCE: return truth->resistance_20c_ohm * warm;
    case CW_SAMPLE_RESISTANCE: return reading->length_m * wire->resistance_ohm_per_m.nominal * warm;
    case CW_WIRE_MASS: return truth->mass_kg;
    case CW_SAMPLE_MASS: return reading->length_m * wire->mass_kg_per_m;
    case CW_OVERALL_DIAMETER: return wire->overall_diameter_m.nominal;
    case CW_BARE_DIAMETER: return wire->size.diameter_m.nominal;
    case CW_TURNS: return (double)truth->turns;
    case CW_TURNS_PER_LAYER: return truth->turns_per_layer;
    case CW_LAYERS: return truth->layers;
    case CW_WINDING_DEPTH: return truth->depth_m;
    case CW_RATED_POWER:
    case CW_RATED_CURRENT:
    case CW_COIL_INDUCTANCE:
    case CW_CENTRE_FIELD:
    case CW_CORE_SECTION:
    case CW_INSULATION_RESISTANCE:
    case CW_READING_KIND_COUNT: break;
    }
    return NAN;
}

static void check_readings(const cw_job *job, const stated *truth)
{
    cw_wire wire = stated_wire(truth);
    int compared = 0;

    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_reading *reading = &job->readings[i];
        double right = would_read(reading, truth, &wire);

        if (isinf(reading->value) || isnan(right))
            continue;
        compared++;
        if (!(fabs(reading->value - right) <= reading->doubt))
            fail_msg("%s: reading %zu is %g, and the winding would give %g within %g", truth->file, i, reading->value,
                     right, reading->doubt);
    }
    assert_true(compared >= 4);
}

/* The hand calculation against the laying, which counts the helix and the rise layer by layer. */
static void check_laid(const cw_job *job, const stated *truth)
{
    cw_lay_plan plan = { .window = job->window, .wire = stated_wire(truth), .in_hand = 1, .turns = truth->turns,
                         .lay = CW_LEVEL };
    cw_winding *winding;

    cw_winding_defaults(&plan);
    assert_int_equal(cw_winding_lay(&plan, &winding, NULL), CW_OK);
    assert_true(winding->fits);
    assert_true(fabs(winding->resistance_20c_ohm / truth->resistance_20c_ohm - 1) < 0.003);
    assert_true(fabs(winding->mass_kg / truth->mass_kg - 1) < 0.003);
    assert_true(fabs(winding->depth_m - truth->depth_m) < 0.0002);
    cw_winding_destroy(&winding);
}

static void check_answer(const cw_job *job, const stated *truth)
{
    cw_evidence evidence = { .window = &job->window, .readings = job->readings, .reading_count = job->reading_count,
                             .seen = job->seen, .coil_voltage_v = NAN, .supply_frequency_hz = NAN };
    cw_identification *found;

    assert_int_equal(cw_identify(&evidence, catalogue, &found, NULL), CW_OK);
    assert_string_equal(found->candidates[0].wire.size.name, truth->size);
    assert_int_equal(found->candidates[0].wire.build, truth->build);
    assert_int_equal(found->candidates[0].in_hand, 1);
    assert_true(fabs(found->turns.p50 / (double)truth->turns - 1) < 0.04);
    assert_true(fabs(found->resistance_20c_ohm.p50 / truth->resistance_20c_ohm - 1) < 0.01);
    cw_identification_destroy(&found);
}

static void check_example(const stated *truth)
{
    cw_job *job = read_example(truth->file);

    check_readings(job, truth);
    check_laid(job, truth);
    check_answer(job, truth);
    assert_true(job->supply.given && job->wanted.given && job->former.given && job->potting.given);
    assert_true(job->stock_count >= 2 && job->magnet_given);
    assert_int_equal(job->machine.kind, CW_LATHE_THREAD);
    assert_int_equal(job->machine.code, CW_G33_K);
    cw_job_destroy(&job);
}

static void the_press_brake_is_the_winding_that_its_head_states(void **state)
{
    cw_job *job = read_example("press-brake.yaml");

    (void)state;
    assert_int_equal(job->units, CW_INCH_UNITS);
    cw_job_destroy(&job);
    check_example(&press_brake);
}

static void the_chuck_plate_is_the_winding_that_its_head_states(void **state)
{
    cw_job *job = read_example("chuck-plate.yaml");

    (void)state;
    assert_int_equal(job->units, CW_METRIC_UNITS);
    cw_job_destroy(&job);
    check_example(&chuck_plate);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_press_brake_is_the_winding_that_its_head_states),
        cmocka_unit_test(the_chuck_plate_is_the_winding_that_its_head_states),
    };

    return cmocka_run_group_tests(tests, open_catalogue, close_catalogue);
}
