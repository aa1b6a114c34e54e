/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The job's magnet along one thing at a time: gap, current, thickness and iron of the plate. */
#include "work/work_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { USUAL_MOST = 9, FIGURE_GAPS = 7, FIGURE_PLATES = 6 };

/* Pulls come out within 0.2 % of those of the finest meshes; the steel is known less well. */
const cw_field_wish cw_work__rough = { .error = 0.015, .coarse = 2 };

void cw_work_sweep_clear(cw_work_sweep *sweep)
{
    cw_free(sweep->at);
    cw_free(sweep->iron);
    cw_free(sweep->field);
    cw_free(sweep->hand);
    memset(sweep, 0, sizeof *sweep);
}

cw_status cw_work__pulls_at(const cw_work_field_study *study, const cw_magnet *magnet, const double *gap_m,
                            const double *current_a, size_t count, cw_field_result *results, cw_error *error)
{
    const cw_status status = cw_magnet_curve(magnet, &cw_work__rough, gap_m, current_a, count, results, error);

    for (size_t i = 0; i < count && status == CW_OK; i++)
        cw_work__cover(study, &results[i]);
    return status;
}

static cw_status make_room(cw_sweep_kind kind, size_t count, cw_work_sweep *sweep, cw_error *error)
{
    *sweep = (cw_work_sweep){ .kind = kind, .count = count };
    sweep->at = cw_allocate(count, sizeof *sweep->at);
    sweep->iron = cw_allocate(count, sizeof *sweep->iron);
    sweep->field = cw_allocate(count, sizeof *sweep->field);
    sweep->hand = cw_allocate(count, sizeof *sweep->hand);
    if (sweep->at != NULL && sweep->iron != NULL && sweep->field != NULL && sweep->hand != NULL)
        return CW_OK;
    cw_work_sweep_clear(sweep);
    return cw_no_memory(error);
}

static cw_magnet magnet_at(const cw_magnet *magnet, const cw_work_sweep *sweep, size_t i)
{
    cw_magnet changed = *magnet;

    switch (sweep->kind) {
    case CW_SWEEP_GAP: changed.gap_m = sweep->at[i]; break;
    case CW_SWEEP_CURRENT: changed.current_a = sweep->at[i]; break;
    case CW_SWEEP_PLATE: changed.plate_thickness_m = sweep->at[i]; break;
    case CW_SWEEP_IRON: memcpy(changed.plate_iron, sweep->iron[i], sizeof changed.plate_iron); break;
    case CW_SWEEP_COUNT: break;
    }
    return changed;
}

/* Gaps and currents on one mesh, each from the last. */
static cw_status solve_on_one_mesh(const cw_work_field_study *study, const cw_magnet *magnet, cw_work_sweep *sweep,
                                   cw_error *error)
{
    double *gaps = cw_allocate(sweep->count, sizeof *gaps), *currents = cw_allocate(sweep->count, sizeof *currents);
    cw_status status = gaps != NULL && currents != NULL ? CW_OK : cw_no_memory(error);

    for (size_t i = 0; i < sweep->count && status == CW_OK; i++) {
        gaps[i] = magnet_at(magnet, sweep, i).gap_m;
        currents[i] = magnet_at(magnet, sweep, i).current_a;
    }
    if (status == CW_OK)
        status = cw_work__pulls_at(study, magnet, gaps, currents, sweep->count, sweep->field, error);
    cw_free(gaps);
    cw_free(currents);
    return status;
}

static cw_status solve(const cw_work_field_study *study, const cw_magnet *magnet, cw_work_sweep *sweep, cw_error *error)
{
    const bool one_mesh = sweep->kind == CW_SWEEP_GAP || sweep->kind == CW_SWEEP_CURRENT;
    cw_status status = one_mesh ? solve_on_one_mesh(study, magnet, sweep, error) : CW_OK;

    for (size_t i = 0; i < sweep->count && status == CW_OK; i++) {
        const cw_magnet here = magnet_at(magnet, sweep, i);

        if (!one_mesh)
            status = cw_work__pulls_at(study, &here, &here.gap_m, &here.current_a, 1, &sweep->field[i], error);
        if (status == CW_OK)
            status = cw_magnet_hand_sum(&here, &sweep->hand[i], error);
    }
    return status;
}

cw_status cw_work_sweep_along(cw_work *work, cw_sweep_kind kind, const double *at, const char (*iron)[40], size_t count,
                              double current_a, cw_work_sweep *sweep, cw_error *error)
{
    const cw_work_field_study *study;
    cw_magnet magnet;
    cw_status status = cw_work_field(work, &study, error);

    *sweep = (cw_work_sweep){ .kind = kind };
    if (status != CW_OK)
        return status;
    magnet = study->magnet;
    if (isfinite(current_a))
        magnet.current_a = current_a;
    if (kind >= CW_SWEEP_PLATE && !cw_work__has_plate(&magnet))
        return cw_refuse(error, NULL, "gaps or currents", "A %s magnet has no plate to change.",
                         magnet.shape == CW_MAGNET_PLUNGER ? "plunger" : "freely drawn");
    status = make_room(kind, count, sweep, error);
    for (size_t i = 0; i < count && status == CW_OK; i++) {
        sweep->at[i] = kind == CW_SWEEP_IRON ? NAN : at[i];
        if (kind == CW_SWEEP_IRON)
            memcpy(sweep->iron[i], iron[i], sizeof sweep->iron[i]);
    }
    if (status == CW_OK)
        status = solve(study, &magnet, sweep, error);
    if (status != CW_OK)
        cw_work_sweep_clear(sweep);
    return status;
}

/* ---- usual values ---------------------------------------------------------------------------------------------- */

/* Halves and doubles, and up to the open gap. */
static size_t usual_gaps(const cw_work_field_study *study, double *at)
{
    const double own = study->magnet.gap_m, last = fmax(8 * own, isfinite(study->open_gap_m) ? study->open_gap_m : 0);
    size_t count = 0;

    for (double gap = 0.5 * own; gap < last * (1 - 1e-9) && count + 1 < USUAL_MOST; gap *= 2)
        at[count++] = gap;
    at[count++] = last;
    return count;
}

static size_t shares_of(double own, const double *shares, size_t count, double *at)
{
    for (size_t i = 0; i < count; i++)
        at[i] = own * shares[i];
    return count;
}

cw_status cw_work_sweep_usual(cw_work *work, cw_sweep_kind kind, cw_work_sweep *sweep, cw_error *error)
{
    static const double currents[] = { 0.25, 0.5, 0.75, 1, 1.25, 1.5 }, plates[] = { 0.25, 0.5, 0.75, 1, 1.5, 2 };
    static const char irons[][40] = { "low-carbon-steel", "structural-steel", "free-cutting-steel", "cast-steel",
                                      "430-stainless", "grey-cast-iron" };
    const cw_work_field_study *study;
    double at[USUAL_MOST];
    size_t count = 0;
    cw_status status = cw_work_field(work, &study, error);

    *sweep = (cw_work_sweep){ .kind = kind };
    if (status != CW_OK)
        return status;
    switch (kind) {
    case CW_SWEEP_GAP: count = usual_gaps(study, at); break;
    case CW_SWEEP_CURRENT: count = shares_of(study->magnet.current_a, currents, 6, at); break;
    case CW_SWEEP_PLATE: count = shares_of(study->magnet.plate_thickness_m, plates, 6, at); break;
    case CW_SWEEP_IRON: count = sizeof irons / sizeof irons[0]; break;
    case CW_SWEEP_COUNT: break;
    }
    if (kind >= CW_SWEEP_PLATE && !cw_work__has_plate(&study->magnet))
        return CW_OK;
    return cw_work_sweep_along(work, kind, at, irons, count, NAN, sweep, error);
}

/* ---- for the figures -------------------------------------------------------------------------------------------- */

/* From a third of the magnet's own gap to past the open one, denser where the pull is steep. */
static void figure_gaps(const cw_work_field_study *study, double *at)
{
    static const double shares[FIGURE_GAPS - 2] = { 0.1, 0.25, 0.45, 0.7, 1 };
    const double own = study->magnet.gap_m;
    const double last = fmax(5 * own, isfinite(study->open_gap_m) ? 1.2 * study->open_gap_m : 0);

    at[0] = own / 3;
    at[1] = own;
    for (int i = 0; i < FIGURE_GAPS - 2; i++)
        at[i + 2] = own + shares[i] * (last - own);
}

/* Up to where a thicker plate gives no more; the magnet's own among them, in its place. */
static void figure_plates(const cw_work_field_study *study, double *at)
{
    static const double shares[FIGURE_PLATES - 1] = { 0.15, 0.35, 0.55, 0.75, 1 };
    const double own = study->magnet.plate_thickness_m;
    size_t i = FIGURE_PLATES - 1;

    shares_of(fmax(1.5 * own, cw_work__thick_plate_m(&study->magnet)), shares, FIGURE_PLATES - 1, at);
    for (; i > 0 && at[i - 1] > own; i--)
        at[i] = at[i - 1];
    at[i] = own;
}

/* Warm, cold and the original's ampere-turns at each gap in turn, on one mesh: a change of current costs less than one of
 * the gap. */
static cw_status solve_gaps(const cw_work_field_study *study, const double *current_a, size_t count,
                            cw_work_sweep *const *sweeps, cw_error *error)
{
    const size_t all = count * FIGURE_GAPS;
    double gaps[3 * FIGURE_GAPS], currents[3 * FIGURE_GAPS];
    cw_field_result *results = cw_allocate(all, sizeof *results);
    cw_status status = results != NULL ? CW_OK : cw_no_memory(error);

    for (size_t i = 0; i < all; i++) { /* from wide to narrow, so that the mesh is no finer than it must be */
        gaps[i] = sweeps[0]->at[FIGURE_GAPS - 1 - i / count];
        currents[i] = current_a[i % count];
    }
    if (status == CW_OK)
        status = cw_work__pulls_at(study, &study->magnet, gaps, currents, all, results, error);
    for (size_t i = 0; i < all && status == CW_OK; i++)
        sweeps[i % count]->field[FIGURE_GAPS - 1 - i / count] = results[i];
    cw_free(results);
    return status;
}

static cw_status pulls_over_gap(cw_work *work, const cw_work_field_study *study, cw_work__pulls *pulls, cw_error *error)
{
    cw_work_sweep *const sweeps[] = { &pulls->warm, &pulls->cold, &pulls->original };
    double current_a[] = { study->magnet.current_a, study->cold_current_a, 0 };
    const cw_work_rewind *rewind;
    const size_t count = cw_work_rewound(work, &rewind, NULL) == CW_OK ? 3 : 2;
    cw_status status = CW_OK;

    if (count == 3)
        current_a[2] = study->magnet.current_a * rewind->original.ampere_turns / rewind->rewound.ampere_turns;
    for (size_t s = 0; s < count && status == CW_OK; s++) {
        status = make_room(CW_SWEEP_GAP, FIGURE_GAPS, sweeps[s], error);
        if (status == CW_OK)
            figure_gaps(study, sweeps[s]->at);
    }
    return status == CW_OK ? solve_gaps(study, current_a, count, sweeps, error) : status;
}

static cw_status make_pulls(cw_work *work, cw_work__pulls *pulls, cw_error *error)
{
    const cw_work_field_study *study;
    double plates[FIGURE_PLATES];
    cw_status status = cw_work_field(work, &study, error);

    if (status == CW_OK)
        status = pulls_over_gap(work, study, pulls, error);
    if (status != CW_OK || !cw_work__has_plate(&study->magnet))
        return status;
    figure_plates(study, plates);
    return cw_work_sweep_along(work, CW_SWEEP_PLATE, plates, NULL, FIGURE_PLATES, NAN, &pulls->plate, error);
}

cw_status cw_work__pulls_of(cw_work *work, const cw_work__pulls **pulls, cw_error *error)
{
    cw_work__stage *stage = &work->pull_stage;

    *pulls = NULL;
    if (!stage->tried)
        stage->status = make_pulls(work, &work->pulls, &stage->error);
    if (stage->status == CW_OK)
        *pulls = &work->pulls;
    return cw_work__end(stage, stage->status, error);
}
