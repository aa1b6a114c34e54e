/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The original winding against the new one: the same magnet, the same supply, both hot. */
#include "work/work_internal.h"

#include <math.h>

static const double reference_c = 20;

/* Its resistance and watts where they settle: the rise over the ambient goes with the watts, by the new winding's. */
static void settle(const cw_conductor *metal, double voltage_v, double ambient_c, double kelvin_per_watt,
                   cw_rewind_side *side)
{
    side->winding_c = reference_c;
    for (int i = 0; i < 60; i++) {
        side->resistance_hot_ohm = side->resistance_20c_ohm * cw_wire_temperature_factor(metal, side->winding_c);
        side->power_w = voltage_v * voltage_v / side->resistance_hot_ohm;
        side->winding_c = ambient_c + kelvin_per_watt * side->power_w;
    }
    side->current_a = voltage_v / side->resistance_hot_ohm;
}

/* From a result of the new winding's turns at the same ampere-turns. */
static void take_side(const cw_work_field_study *study, const cw_field_result *closed, const cw_field_result *open,
                      cw_rewind_side *side)
{
    const double turns = side->turns / study->magnet.coil.turns;

    side->ampere_turns = side->turns * side->current_a;
    side->force_n = closed->force_n;
    side->open_force_n = open != NULL ? open->force_n : NAN;
    side->inductance_h = turns * turns * closed->inductance_h / study->coil_count;
    side->time_constant_s = side->inductance_h / side->resistance_hot_ohm;
}

/* The magnet cannot tell the windings apart but by their ampere-turns: the new one's turns and a current that gives the
 * original's stand for it, so that one mesh does. */
static cw_status pulls(const cw_work_field_study *study, cw_work_rewind *rewind, cw_error *error)
{
    const bool opens = isfinite(study->open_gap_m);
    const double now = study->magnet.current_a;
    const double then = rewind->original.turns * rewind->original.current_a / study->magnet.coil.turns;
    const double gaps[] = { study->magnet.gap_m, study->open_gap_m, study->open_gap_m }, currents[] = { then, then, now };
    cw_field_result *results = cw_allocate(3, sizeof *results);
    cw_status status = results != NULL ? CW_OK : cw_no_memory(error);

    if (status == CW_OK)
        status = cw_work__pulls_at(study, &study->magnet, gaps, currents, opens ? 3 : 1, results, error);
    if (status == CW_OK) {
        take_side(study, &results[0], opens ? &results[1] : NULL, &rewind->original);
        take_side(study, &study->hot, opens ? &results[2] : NULL, &rewind->rewound);
    }
    cw_free(results);
    return status;
}

static cw_status take_original(cw_work *work, cw_work_rewind *rewind, cw_error *error)
{
    const cw_identification *identification;
    cw_original original;
    cw_status status = cw_work_identify(work, &identification, error);

    if (status != CW_OK)
        return status;
    cw_original_from(identification, &original);
    if (!isfinite(original.turns.p50) || !isfinite(original.resistance_20c_ohm.p50))
        return cw_refuse(error, NULL, "a reading of the old coil", "The old coil's turns or its resistance are not known, "
                         "so that the new one cannot be held against it.");
    rewind->original.turns = original.turns.p50;
    rewind->original.resistance_20c_ohm = original.resistance_20c_ohm.p50;
    rewind->turns_low = original.turns.p05;
    rewind->turns_high = original.turns.p95;
    rewind->ohm_low = original.resistance_20c_ohm.p05;
    rewind->ohm_high = original.resistance_20c_ohm.p95;
    return CW_OK;
}

static cw_status compare(cw_work *work, cw_work_rewind *rewind, cw_error *error)
{
    const cw_work_field_study *study;
    const cw_winding *winding;
    const cw_conductor *metal;
    const double voltage = cw_work__coil_voltage(work->job), ambient = work->job->supply.ambient_c;
    const double surroundings_c = isfinite(ambient) ? ambient : 40; /* as the heat takes it */
    cw_status status = cw_work_field(work, &study, error);

    if (status == CW_OK)
        status = cw_work_lay(work, &winding, NULL, error);
    if (status == CW_OK)
        status = take_original(work, rewind, error);
    if (status != CW_OK)
        return status;
    metal = cw_wire_conductor(work->catalogue, winding->plan.wire.material);
    rewind->rewound = (cw_rewind_side){ .turns = (double)winding->turns, .winding_c = study->winding_c,
                                        .resistance_20c_ohm = winding->resistance_20c_ohm,
                                        .current_a = study->magnet.current_a };
    rewind->rewound.resistance_hot_ohm = voltage / study->magnet.current_a;
    rewind->rewound.power_w = voltage * study->magnet.current_a;
    settle(metal, voltage, surroundings_c, (study->winding_c - surroundings_c) / rewind->rewound.power_w,
           &rewind->original);
    return pulls(study, rewind, error);
}

cw_status cw_work_rewound(cw_work *work, const cw_work_rewind **rewind, cw_error *error)
{
    cw_work__stage *stage = &work->rewind_stage;

    *rewind = NULL;
    if (!stage->tried)
        stage->status = compare(work, &work->rewind, &stage->error);
    if (stage->status == CW_OK)
        *rewind = &work->rewind;
    return cw_work__end(stage, stage->status, error);
}
