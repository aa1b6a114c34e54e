/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A coil to be proved: 29 AWG heavy on 42 mm, 58 mm long, 1850 turns, 96 V dc, class 155. Include after cmocka.h. */
#ifndef TESTS_PROOF_FIXTURE_H
#define TESTS_PROOF_FIXTURE_H

#include "coilwright/proof.h"
#include "tests/wire_fixture.h"

#include <math.h>
#include <string.h>

typedef struct proof_fixture {
    cw_wire_catalogue *catalogue;
    cw_winding *winding;
    cw_proof_request request;
    cw_proof_reading readings[64];
    cw_proof *proof;
} proof_fixture;

static inline int open_proof(void **state)
{
    proof_fixture *fixture = cw_allocate(1, sizeof *fixture);
    cw_lay_plan plan = { .in_hand = 1, .turns = 1850 };

    assert_int_equal(cw_wire_catalogue_create(&fixture->catalogue, NULL), CW_OK);
    plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 0.042, 0.042 }, .length_m = 0.058, .depth_m = 0.013 };
    plan.wire = wire_of((void **)&fixture->catalogue, "29 AWG", CW_HEAVY);
    cw_winding_defaults(&plan);
    assert_int_equal(cw_winding_lay(&plan, &fixture->winding, NULL), CW_OK);
    cw_proof_request_clear(&fixture->request);
    fixture->request.winding = fixture->winding;
    fixture->request.conductor = cw_wire_conductor(fixture->catalogue, CW_COPPER);
    fixture->request.supply =
        (cw_supply) { .given = true, .kind = CW_DC, .voltage_v = 96, .duty_share = 1, .ambient_c = 30 };
    fixture->request.circuit = (cw_circuit){ .given = true, .coils = 1 };
    fixture->request.thermal_class_c = 155;
    fixture->request.readings = fixture->readings;
    *state = fixture;
    return 0;
}

static inline int close_proof(void **state)
{
    proof_fixture *fixture = *state;

    cw_proof_destroy(&fixture->proof);
    cw_winding_destroy(&fixture->winding);
    cw_wire_catalogue_destroy(&fixture->catalogue);
    cw_free(fixture);
    return 0;
}

/* One more reading, to be filled further. */
static inline cw_proof_reading *add_reading(proof_fixture *fixture, cw_proof_kind test, cw_proof_method method,
                                            double value)
{
    cw_proof_reading *reading = &fixture->readings[fixture->request.reading_count++];

    cw_proof_reading_clear(reading);
    reading->test = test;
    reading->method = method;
    reading->value = value;
    return reading;
}

static inline const cw_proof_test *prove_test(proof_fixture *fixture, cw_proof_kind test)
{
    cw_error error;

    cw_proof_destroy(&fixture->proof);
    if (cw_prove(&fixture->request, &fixture->proof, &error) != CW_OK)
        fail_msg("%s", error.text);
    for (size_t i = 0; i < fixture->proof->test_count; i++)
        if (fixture->proof->tests[i].test == test)
            return &fixture->proof->tests[i];
    return NULL;
}

#endif
