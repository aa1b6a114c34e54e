/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole study: on, cold and hot, armature open and closed; off with every suppressor.
 *
 * Switch-off is judged cold, when the current is greatest, and with the armature closed, as a magnet is let go. */
#include "circuit/circuit_internal.h"

#include <math.h>
#include <string.h>

static double greatest_drive_v(const cw_source *source)
{
    return source->kind == CW_SOURCE_DC ? source->voltage_v : sqrt(2) * source->voltage_v;
}

static double wanted_current(const cw_circuit_coil *coil, double current_a, double force_n)
{
    return isnan(current_a) ? cw_circuit_current_of_force_a(coil, force_n) : current_a;
}

/* A pull of zero is there at once, which is no question to ask. */
static double asked(double current_a)
{
    return current_a > 0 ? current_a : NAN;
}

static cw_status study_on(const cw_switch_plan *plan, const cw_circuit_coil *open, const cw_circuit_coil *closed,
                          cw_switch_study *study, cw_error *error)
{
    double needed = asked(wanted_current(open, plan->pull_current_a, plan->pull_force_n));
    cw_status status = cw_circuit_on(open, plan->cold_ohm, &plan->source, needed, &study->cold, error);

    if (status == CW_OK)
        status = cw_circuit_on(open, plan->hot_ohm, &plan->source, needed, &study->hot, error);
    if (status == CW_OK)
        status = cw_circuit_on(closed, plan->cold_ohm, &plan->source, NAN, &study->closed, error);
    if (status == CW_OK)
        study->inrush_ratio = plan->source.kind == CW_SOURCE_AC
                                  ? study->cold.current_rms_a / study->closed.current_rms_a : 1;
    return status;
}

static cw_status study_off(const cw_switch_plan *plan, const cw_circuit_coil *closed, cw_switch_study *study,
                           cw_error *error)
{
    cw_off_plan off = { plan->cold_ohm, study->closed.current_max_a, greatest_drive_v(&plan->source),
                        plan->source.kind == CW_SOURCE_AC,
                        asked(wanted_current(closed, plan->release_current_a, plan->release_force_n)),
                        plan->insulation_test_v, plan->operations_per_hour, plan->source.voltage_v };
    cw_status status;

    if (isinf(off.release_current_a)) /* the closed armature never pulls that much: nothing to ask */
        off.release_current_a = NAN;
    status = cw_circuit_off(closed, &off, &plan->suppressor, &study->off, error);
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT && status == CW_OK; kind++) {
        cw_suppressor part = { .kind = (cw_suppressor_kind)kind };

        study->applies[kind] = !off.alternating || (kind != CW_SUPPRESS_DIODE && kind != CW_SUPPRESS_DIODE_RESISTOR &&
                                                    kind != CW_SUPPRESS_ZENER);
        if (!study->applies[kind])
            continue;
        status = cw_circuit_off(closed, &off, kind == (int)plan->suppressor.kind ? &plan->suppressor : &part,
                                &study->each[kind], error);
    }
    return status;
}

cw_status cw_circuit_study(const cw_switch_plan *plan, cw_switch_study *study, cw_error *error)
{
    cw_circuit_coil *open = NULL, *closed = NULL;
    cw_status status;

    memset(study, 0, sizeof *study);
    status = cw_circuit_coil_create(plan->table, plan->open_gap_m, &open, error);
    if (status == CW_OK)
        status = cw_circuit_coil_create(plan->table, plan->closed_gap_m, &closed, error);
    if (status == CW_OK)
        status = study_on(plan, open, closed, study, error);
    if (status == CW_OK)
        status = study_off(plan, closed, study, error);
    cw_circuit_coil_destroy(&open);
    cw_circuit_coil_destroy(&closed);
    if (status != CW_OK)
        cw_switch_study_clear(study);
    return status;
}

void cw_switch_study_clear(cw_switch_study *study)
{
    cw_switch_on_clear(&study->cold);
    cw_switch_on_clear(&study->hot);
    cw_switch_on_clear(&study->closed);
    cw_switch_off_clear(&study->off);
    for (int kind = 0; kind < CW_SUPPRESSOR_COUNT; kind++)
        cw_switch_off_clear(&study->each[kind]);
    memset(study, 0, sizeof *study);
}
