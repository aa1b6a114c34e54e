/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What remains of a magnet's pull: from the best it can do down to the job as it is, one change after the other.
 *
 * Each step is a field of its own. Beside it stands, where there is one, the share that trade figures or a hand rule give
 * for the same change; those from web pages are marked so and limit nothing.
 *
 * Plate: a pole's flux turns through the plate's section, pi d t under a round pole of diameter d, w t on each side that
 * leads it back under a bar of width w, so that the least thickness is the flux over that length and the saturation. */
#include "work/work_internal.h"

#include "coilwright/iron.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PI 3.14159265358979323846

/* ---- steps ----------------------------------------------------------------------------------------------------- */

static void usual(cw_holding_step *step, double low, double high, cw_basis_trust trust, const char *basis)
{
    step->usual_low = low;
    step->usual_high = high;
    step->trust = trust;
    snprintf(step->basis, sizeof step->basis, "%s", basis);
}

static cw_holding_step *add_step(cw_work_holding *holding, double force_n)
{
    cw_holding_step *step = &holding->step[holding->step_count];

    *step = (cw_holding_step){ .force_n = force_n, .share = 1, .usual_low = NAN, .usual_high = NAN };
    if (holding->step_count++ > 0)
        step->share = step->force_n / step[-1].force_n;
    return step;
}

static const char *length_words(double length_m, cw_unit_system units, char *buffer, size_t size)
{
    cw_quantity_format(CW_LENGTH, length_m, units, 3, buffer, size);
    return buffer;
}

double cw_work__thick_plate_m(const cw_magnet *magnet)
{
    switch (magnet->shape) {
    case CW_MAGNET_POT: return 2 * cw_plate_round_pole_m(magnet->pole_diameter_m, 1, 1);
    case CW_MAGNET_U: return 2 * cw_plate_bar_pole_m(magnet->pole_width_m, 1, 1, false);
    case CW_MAGNET_E: return 2 * cw_plate_bar_pole_m(magnet->pole_width_m, 1, 1, true);
    case CW_MAGNET_PLUNGER:
    case CW_MAGNET_SECTION: break;
    }
    return 0;
}

static double flux_of_pole(const cw_field_result *result)
{
    for (size_t i = 0; i < result->part_count; i++)
        if (strstr(result->part[i].name, "pole") != NULL)
            return result->part[i].flux_wb;
    return NAN;
}

static double least_plate_m(const cw_magnet *magnet, double flux_wb, double saturation_t)
{
    const double d = magnet->pole_diameter_m, w = magnet->pole_width_m;

    if (magnet->shape == CW_MAGNET_POT)
        return cw_plate_round_pole_m(d, flux_wb / (0.25 * PI * d * d), saturation_t);
    return cw_plate_bar_pole_m(w, flux_wb / (w * magnet->depth_m), saturation_t, magnet->shape == CW_MAGNET_E);
}

/* ---- cover ------------------------------------------------------------------------------------------------------ */

static double overlap(double a0, double a1, double b0, double b1)
{
    return fmax(0, fmin(a1, b1) - fmax(a0, b0)) / (a1 - a0);
}

/* Of a ring that a disc lies on. */
static double ring_share(double inner, double outer, double disc)
{
    const double reach = fmin(fmax(disc, inner), outer);

    return (reach * reach - inner * inner) / (outer * outer - inner * inner);
}

static void cover_of(const cw_magnet *m, double covered[2])
{
    const double outer = 0.5 * m->outer_diameter_m, width = 0.5 * m->plate_width_m;
    const double inner = 0.5 * m->window_width_m, pole = 0.5 * m->pole_width_m, rim = pole + m->window_width_m;
    const double whole = m->shape == CW_MAGNET_U ? inner + m->pole_width_m : rim + m->rim_thickness_m;
    const double half = width > 0 ? width : whole, left = m->plate_shift_m - half, right = m->plate_shift_m + half;

    if (m->shape == CW_MAGNET_POT) {
        covered[0] = ring_share(0.5 * m->bore_diameter_m, 0.5 * m->pole_diameter_m, width > 0 ? width : outer);
        covered[1] = ring_share(outer - m->rim_thickness_m, outer, width > 0 ? width : outer);
    } else if (m->shape == CW_MAGNET_U) {
        covered[0] = overlap(-whole, -inner, left, right);
        covered[1] = overlap(inner, whole, left, right);
    } else {
        covered[0] = overlap(0, pole, 0, half);
        covered[1] = overlap(rim, whole, 0, half);
    }
}

/* ---- one change after the other ---------------------------------------------------------------------------------- */

static bool covers_all(const double covered[2])
{
    return fmin(covered[0], covered[1]) > 1 - 1e-9;
}

/* A whole plate, thick and of the magnet's own iron, on machined faces pulled together; the winding cold. */
static cw_magnet best_of(const cw_work_field_study *study, double covered[2])
{
    cw_magnet magnet = study->magnet;
    double high;

    covered[0] = covered[1] = NAN;
    magnet.current_a = study->cold_current_a;
    cw_surface_gap(CW_SURFACE_MACHINED, 0, &magnet.gap_m, &high);
    if (!cw_work__has_plate(&magnet))
        return magnet;
    cover_of(&study->magnet, covered);
    magnet.plate_thickness_m = fmax(magnet.plate_thickness_m, cw_work__thick_plate_m(&magnet));
    magnet.plate_iron[0] = '\0';
    if (!covers_all(covered))
        magnet.plate_width_m = magnet.plate_shift_m = 0;
    return magnet;
}

/* Shares of the pull on machined faces, by the state where it is said, else by the gap. */
static void usual_of_gap(const cw_work_field_study *study, cw_holding_step *step)
{
    static const char states[] = "a lifting magnet maker's page, against machined faces";
    const double gap = study->magnet.gap_m;

    if (study->gap_from_face && study->layer_m == 0 && (study->face[0] == 'b' || study->face[0] == 'p'))
        usual(step, 0.7, 0.8, CW_BASIS_WEB, states);
    else if (study->gap_from_face && study->layer_m == 0 && study->face[0] == 's')
        usual(step, 0.5, 0.6, CW_BASIS_WEB, states);
    else if (fabs(gap - 0.2e-3) < 0.05e-3)
        usual(step, 0.7, 0.8, CW_BASIS_WEB, "a lifting magnet maker's page, at 0.2 mm");
    else if (fabs(gap - 1e-3) < 0.2e-3)
        usual(step, 0.3, 0.5, CW_BASIS_WEB, "a lifting magnet maker's page, at 1 mm");
}

static void usual_of_iron(const char *iron, cw_holding_step *step)
{
    if (strcmp(iron, "structural-steel") == 0)
        usual(step, 0.95, 0.95, CW_BASIS_WEB, "a retailer's page, structural steel for soft iron");
    else if (strcmp(iron, "grey-cast-iron") == 0)
        usual(step, 0.5, 0.5, CW_BASIS_WEB, "a trade page on lifting magnets, cast iron");
}

/* The first two: at its best, and at the gap. */
static cw_status step_gap(const cw_work_field_study *study, cw_unit_system units, const cw_magnet *best,
                          cw_work_holding *holding, double *flux_wb, cw_error *error)
{
    const double gaps[] = { best->gap_m, study->magnet.gap_m }, currents[] = { best->current_a, best->current_a };
    const bool same = fabs(gaps[1] - gaps[0]) < 1e-9;
    cw_field_result *results = cw_allocate(2, sizeof *results);
    cw_status status = results != NULL ? CW_OK : cw_no_memory(error);
    cw_holding_step *step;
    char length[40];

    if (status == CW_OK)
        status = cw_magnet_curve(best, &cw_work__rough, gaps, currents, same ? 1 : 2, results, error);
    if (status == CW_OK) {
        step = add_step(holding, results[0].force_n);
        snprintf(step->what, sizeof step->what, "at its best");
        *flux_wb = flux_of_pole(&results[same ? 0 : 1]);
    }
    if (status == CW_OK && !same) {
        step = add_step(holding, results[1].force_n);
        snprintf(step->what, sizeof step->what, "at the gap of %s", length_words(gaps[1], units, length, sizeof length));
        usual_of_gap(study, step);
    }
    cw_free(results);
    return status;
}

/* What the plate takes away, in the order in which it is taken. The last change leads to the job's own magnet, cold, which
 * is solved already. */
typedef enum change { THICKNESS, IRON, PLACE, CHANGES } change;

static bool changes(const cw_work_field_study *study, const cw_magnet *best, const double covered[2], change what)
{
    const cw_magnet *own = &study->magnet;

    switch (what) {
    case THICKNESS: return own->plate_thickness_m < best->plate_thickness_m * (1 - 1e-9);
    case IRON: return own->plate_iron[0] != '\0' && strcmp(own->plate_iron, own->iron) != 0;
    case PLACE: return !covers_all(covered);
    case CHANGES: break;
    }
    return false;
}

static void make_change(const cw_magnet *own, change what, cw_magnet *magnet)
{
    if (what == THICKNESS) {
        magnet->plate_thickness_m = own->plate_thickness_m;
    } else if (what == IRON) {
        memcpy(magnet->plate_iron, own->plate_iron, sizeof magnet->plate_iron);
    } else {
        magnet->plate_width_m = own->plate_width_m;
        magnet->plate_shift_m = own->plate_shift_m;
    }
}

static void name_change(const cw_magnet *own, const cw_work_holding *holding, change what, cw_unit_system units,
                        cw_holding_step *step)
{
    const double thin = own->plate_thickness_m / holding->plate_least_m;
    char length[40];

    if (what == THICKNESS)
        snprintf(step->what, sizeof step->what, "a plate %s thick",
                 length_words(own->plate_thickness_m, units, length, sizeof length));
    else if (what == IRON)
        snprintf(step->what, sizeof step->what, "the plate of %s", own->plate_iron);
    else
        snprintf(step->what, sizeof step->what, "the plate where it lies");
    if (what == IRON)
        usual_of_iron(own->plate_iron, step);
    if (what == THICKNESS && thin < 1)
        usual(step, thin * thin, thin * thin, CW_BASIS_COMPUTED,
              "the square of its thickness over the least that carries the flux");
}

static cw_status steps_of_plate(const cw_work_field_study *study, cw_unit_system units, const cw_magnet *best,
                                cw_work_holding *holding, cw_error *error)
{
    const double cold = study->cold.force_n / study->cover;
    cw_magnet magnet = *best;
    change last = CHANGES;
    cw_status status = CW_OK;

    magnet.gap_m = study->magnet.gap_m;
    for (int what = 0; what < CHANGES; what++)
        last = changes(study, best, holding->covered, (change)what) ? (change)what : last;
    for (int what = 0; what < CHANGES && status == CW_OK; what++) {
        cw_field_result result = { .force_n = cold };

        if (!changes(study, best, holding->covered, (change)what))
            continue;
        make_change(&study->magnet, (change)what, &magnet);
        if ((change)what != last)
            status = cw_magnet_solve(&magnet, &cw_work__rough, &result, error);
        if (status == CW_OK)
            name_change(&study->magnet, holding, (change)what, units, add_step(holding, result.force_n));
    }
    return status;
}

/* The share that no section shows. Flux is not counted on to crowd together. */
static void step_cover(const cw_work_field_study *study, cw_work_holding *holding)
{
    cw_holding_step *step;

    if (!(study->cover < 1))
        return;
    step = add_step(holding, study->cover * holding->step[holding->step_count - 1].force_n);
    snprintf(step->what, sizeof step->what, "only %.0f %% of the pole faces covered", 100 * study->cover);
    holding->covered[0] *= study->cover;
    holding->covered[1] *= study->cover;
}

static void step_warm(const cw_work_field_study *study, cw_unit_system units, cw_work_holding *holding)
{
    const double ampere_turns = study->magnet.current_a / study->cold_current_a;
    cw_holding_step *step = add_step(holding, study->hot.force_n);
    char warm[40];

    cw_quantity_format(CW_TEMPERATURE, study->winding_c, units, 3, warm, sizeof warm);
    snprintf(step->what, sizeof step->what, "the winding at %s", warm);
    usual(step, ampere_turns * ampere_turns, ampere_turns * ampere_turns, CW_BASIS_COMPUTED,
          "the square of the ampere-turns, where no iron saturates");
}

static cw_status faces(const cw_work_field_study *study, cw_work_holding *holding, cw_error *error)
{
    const double gaps[] = { study->face_gap_m[1], study->face_gap_m[0] };
    const double currents[] = { study->magnet.current_a, study->magnet.current_a };
    cw_field_result *results;
    cw_status status;

    holding->face_force_n[0] = holding->face_force_n[1] = NAN;
    if (!isfinite(gaps[0]))
        return CW_OK;
    results = cw_allocate(2, sizeof *results);
    status = results != NULL ? cw_work__pulls_at(study, &study->magnet, gaps, currents, 2, results, error)
                             : cw_no_memory(error);
    for (int i = 0; i < 2 && status == CW_OK; i++)
        holding->face_force_n[i] = results[i].force_n;
    cw_free(results);
    return status;
}

static cw_status take_least_plate(const cw_work_field_study *study, double flux_wb, cw_work_holding *holding,
                                  cw_error *error)
{
    const cw_magnet *m = &study->magnet;
    cw_iron *iron = NULL;
    cw_status status;

    holding->plate_least_m = NAN;
    if (!cw_work__has_plate(m))
        return CW_OK;
    status = cw_iron_find(m->plate_iron[0] != '\0' ? m->plate_iron : m->iron, &iron, error);
    if (status == CW_OK)
        holding->plate_least_m = least_plate_m(m, flux_wb, cw_iron_saturation_t(iron));
    cw_iron_destroy(&iron);
    return status;
}

/* What the irons' coercivities keep of the pull. */
static cw_status take_residual(const cw_work_field_study *study, cw_work_holding *holding, cw_error *error)
{
    cw_residual residual;
    cw_status status = cw_field_residual(study->field, NULL, &residual, error);

    holding->residual_n[0] = holding->residual_n[1] = NAN;
    if (status == CW_BAD_INPUT)
        return CW_OK;
    if (status != CW_OK)
        return status;
    for (int end = 0; end < 2; end++)
        holding->residual_n[end] = study->cover * residual.force_n[end];
    holding->residual_trust = residual.trust;
    memcpy(holding->residual_without, residual.unknown, sizeof holding->residual_without);
    return CW_OK;
}

static cw_status hold(cw_work *work, cw_work_holding *holding, cw_error *error)
{
    const cw_unit_system units = work->job->units;
    const cw_work_field_study *study;
    double flux_wb = 0;
    cw_magnet best;
    cw_status status = cw_work_field(work, &study, error);

    memset(holding, 0, sizeof *holding);
    if (status != CW_OK)
        return status;
    best = best_of(study, holding->covered);
    status = step_gap(study, units, &best, holding, &flux_wb, error);
    if (status == CW_OK)
        status = take_least_plate(study, flux_wb, holding, error);
    if (status == CW_OK && cw_work__has_plate(&study->magnet))
        status = steps_of_plate(study, units, &best, holding, error);
    if (status != CW_OK)
        return status;
    step_cover(study, holding);
    step_warm(study, units, holding);
    status = take_residual(study, holding, error);
    if (status != CW_OK)
        return status;
    holding->slide_n[0] = 0.15 * study->hot.force_n;
    holding->slide_n[1] = 0.2 * study->hot.force_n;
    return faces(study, holding, error);
}

cw_status cw_work_pull_left(cw_work *work, const cw_work_holding **holding, cw_error *error)
{
    cw_work__stage *stage = &work->holding_stage;

    *holding = NULL;
    if (!stage->tried)
        stage->status = hold(work, &work->holding, &stage->error);
    if (stage->status == CW_OK)
        *holding = &work->holding;
    return cw_work__end(stage, stage->status, error);
}
