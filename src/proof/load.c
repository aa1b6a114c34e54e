/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the pull hold the load: what is left of it at the work, against what the load asks for. [B30.20]
 * [EN13155] [ILO dock work] */
#include "proof/proof_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double mu0 = 1.25663706212e-6; /* H/m, CODATA 2018 */

void cw_load_clear(cw_load *load)
{
    memset(load, 0, sizeof *load);
    load->pull_n = load->carbon_share = load->winding_c = load->voltage_share = NAN;
    load->force_n = load->arm_m = load->base_m = load->friction = load->factor = NAN;
    load->drilling.wear = NAN;
}

double cw_plate_round_pole_m(double pole_diameter_m, double gap_t, double saturation_t)
{
    return 0.25 * pole_diameter_m * gap_t / saturation_t;
}

double cw_plate_bar_pole_m(double pole_width_m, double gap_t, double saturation_t, bool return_on_both_sides)
{
    return (return_on_both_sides ? 0.5 : 1.0) * pole_width_m * gap_t / saturation_t;
}

void cw_residual_hold(double coercivity_a_per_m, double iron_length_m, double gap_m, double remanence_t,
                      double *flux_density_t, double *pressure_pa)
{
    const double b = fmin(remanence_t, mu0 * coercivity_a_per_m * iron_length_m / (2 * gap_m));

    *flux_density_t = b;
    *pressure_pa = b * b / (2 * mu0);
}

double cw_hot_ampere_turns_share(double winding_c)
{
    return 1 / (1 + 0.00393 * (winding_c - 20)); /* copper, IEC 60028 */
}

/* ---- steps ------------------------------------------------------------------------------------------------- */

static void step(cw_hold *hold, double value, const char *unit, cw_basis_trust trust, const char *what,
                 const char *basis)
{
    cw_hold_step *step = &hold->steps[hold->step_count++];

    snprintf(step->what, sizeof step->what, "%s", what);
    snprintf(step->basis, sizeof step->basis, "%s", basis);
    step->value = value;
    step->unit = unit;
    step->trust = trust;
}

/* Share of the pull that steel of this carbon gives. */
static double carbon_factor(double carbon_share)
{
    return carbon_share < 0.0030 ? 1.0 : carbon_share < 0.0060 ? 0.85 : carbon_share < 0.0100 ? 0.70 : 0.50;
}

static double surface_factor(cw_surface_state surface)
{
    return surface == CW_FACE_PAINTED ? 0.7 : surface == CW_FACE_RUSTY ? 0.5 : 1.0; /* the lower end of each range */
}

static double winding_and_supply_factor(const cw_load *load)
{
    const double power = load->saturated ? 1 : 2;
    const double voltage = isnan(load->voltage_share) ? 0.9 : load->voltage_share;
    const double hot = isnan(load->winding_c) ? 1 : cw_hot_ampere_turns_share(load->winding_c);

    return pow(voltage * hot, power);
}

static void reduce(const cw_load *load, cw_hold *hold)
{
    hold->pull_n = load->pull_n;
    step(hold, load->pull_n, "N", CW_BASIS_COMPUTED, "pull straight off, cold, at rated voltage", "as handed in");
    if (load->magnet == CW_ELECTROMAGNET) {
        const double factor = winding_and_supply_factor(load);

        hold->pull_n *= factor;
        step(hold, factor, "1", CW_BASIS_STANDARD, "supply at its lowest, winding hot",
             "supply within 10 % (ILO code of practice, dock work 18.1); ampere-turns fall as copper's resistance "
             "rises");
    }
    if (load->pull_at_work)
        return;
    hold->pull_n *= carbon_factor(load->carbon_share);
    step(hold, carbon_factor(load->carbon_share), "1", CW_BASIS_WEB, "steel of the work by its carbon",
         "100, 85, 70, 50 % up to 0.29, 0.59, 0.99 % carbon and cast iron, as a trade page reports of ASME B30.20 "
         "practice");
    hold->pull_n *= surface_factor(load->surface);
    step(hold, surface_factor(load->surface), "1", CW_BASIS_WEB, "state of the face",
         "machined 1.0, painted or blasted 0.7 to 0.8, rust or thick paint 0.5 to 0.6, a maker's safety page");
}

/* ---- loads ------------------------------------------------------------------------------------------------- */

static double friction_of(const cw_load *load)
{
    return isnan(load->friction) ? 0.15 : load->friction;
}

static void judge_hang(const cw_load *load, cw_hold *hold)
{
    step(hold, load->force_n, "N", CW_BASIS_ASKED, "weight that hangs", "as handed in");
    hold->margin = hold->pull_n / load->force_n;
}

static void judge_slide(const cw_load *load, cw_hold *hold)
{
    const double capacity = friction_of(load) * hold->pull_n;

    step(hold, capacity, "N", CW_BASIS_WEB, "held by friction along the face",
         "about a fifth of the pull by a maker's note; steel on steel 0.15 to 0.2");
    step(hold, load->force_n, "N", CW_BASIS_ASKED, "force along the face", "as handed in");
    hold->margin = capacity / load->force_n;
}

/* The pull acts in the middle of the base, and the far edge is the hinge. */
static void judge_tilt(const cw_load *load, cw_hold *hold)
{
    const double capacity = hold->pull_n * load->base_m / 2, demand = load->force_n * load->arm_m;

    step(hold, capacity, "N m", CW_BASIS_COMPUTED, "moment that the pull holds about the far edge",
         "pull times half the base");
    step(hold, demand, "N m", CW_BASIS_ASKED, "moment of the load", "force times arm");
    hold->margin = capacity / demand;
}

/* All thrust tips the base about its far edge; what is left after it holds the twist by friction at a quarter of the
 * base. */
static cw_status judge_drill(const cw_load *load, cw_hold *hold, cw_error *error)
{
    cw_drilling_load drill;
    const cw_status status = cw_drilling_forces(&load->drilling, &drill, error);
    double peel, net, twist;

    if (status != CW_OK)
        return status;
    step(hold, drill.thrust_n, "N", drill.trust, "thrust of the drill", drill.basis);
    step(hold, drill.torque_n_m, "N m", drill.trust, "torque of the drill", drill.basis);
    peel = drill.thrust_n * (load->offset_m + load->base_m / 2) + load->own_weight_n * load->base_m / 2;
    step(hold, peel, "N m", CW_BASIS_COMPUTED, "moment that peels the base off",
         "all thrust about the far edge, and the machine's weight off a floor");
    net = fmax(0, hold->pull_n - drill.thrust_n - load->own_weight_n);
    twist = friction_of(load) * net * load->base_m / 4;
    step(hold, twist, "N m", CW_BASIS_COMPUTED, "twist that friction holds",
         "friction 0.15 to 0.2, at a quarter of the base, on the pull less the thrust");
    hold->margin = fmin(hold->pull_n * load->base_m / 2 / peel, twist / drill.torque_n_m);
    if (drill.trust == CW_BASIS_MEMORY)
        hold->verdict = CW_OPEN;
    return CW_OK;
}

/* ---- words ------------------------------------------------------------------------------------------------- */

static void set_factor(const cw_load *load, cw_hold *hold)
{
    hold->factor = load->factor;
    if (!isnan(hold->factor)) {
        step(hold, hold->factor, "1", CW_BASIS_ASKED, "factor to be kept", "as handed in");
        return;
    }
    hold->factor = load->magnet == CW_PERMANENT_MAGNET ? 3 : 2;
    step(hold, hold->factor, "1", CW_BASIS_WEB, "factor to be kept",
         "rated load at most 50 % of breakaway, 33 % for permanent magnets: a summary of ASME B30.20; EN 13155 "
         "likewise (from memory)");
}

static void conclude(const cw_load *load, bool memory_only, cw_hold *hold)
{
    hold->holds = hold->margin >= hold->factor;
    hold->verdict = !hold->holds ? CW_FAIL : memory_only || load->kind == CW_LOAD_HANG ? CW_OPEN : CW_PASS;
    CW_PROOF__SAY(hold->text,
                  "What is left of the pull is %.3g times what the load asks for, and %.3g times is wanted: it %s.",
                  hold->margin, hold->factor, hold->holds ? "holds" : "does not hold");
    if (hold->holds && memory_only)
        CW_PROOF__SAY(hold->text,
                      "The load's size stands on a value from memory, so look it up before relying on this.");
    if (load->kind == CW_LOAD_HANG)
        CW_PROOF__SAY(hold->text,
                      "A number lifts nothing: before use a competent person breaks it away from the very load, with a "
                      "second sling, a battery behind the supply, and nobody near.");
    if (load->kind == CW_LOAD_DRILL)
        CW_PROOF__SAY(hold->text, "Chain the stand all the same.");
    CW_PROOF__SAY(
        hold->text,
        "Lifting over people, rated lifting gear and safety functions belong to licensed practice (ASME B30.20, "
        "EN 13155): this judgement is none and replaces none.");
}

static cw_status check_load(const cw_load *load, cw_error *error)
{
    if (!(load->pull_n > 0))
        return cw_refuse(error, NULL, "the pull in newton, measured or computed",
                         "Whether it holds needs the magnet's pull.");
    if (load->voltage_share <= 0 || load->voltage_share > 1.2 || load->factor < 1 || load->friction <= 0 ||
        load->friction > 1)
        return cw_refuse(error, NULL, NULL,
                         "Lowest voltage (0 to 1.2), factor (1 and more) or friction (0 to 1) is out of range.");
    if (load->winding_c < -50 || load->winding_c > 300)
        return cw_refuse(error, NULL, NULL, "A winding at %g °C is none that holds anything.", load->winding_c);
    if (!load->pull_at_work && !(load->carbon_share >= 0 && load->carbon_share <= 0.1))
        return cw_refuse(error, NULL, "0.2 % for mild steel, 4 % for cast iron",
                         "The pull is that on a good test plate, so the carbon of the work's steel is needed.");
    if (load->kind != CW_LOAD_DRILL && !(load->force_n > 0))
        return cw_refuse(error, NULL, "the load in newton", "Whether it holds needs the load.");
    if ((load->kind == CW_LOAD_TILT || load->kind == CW_LOAD_DRILL) && !(load->base_m > 0))
        return cw_refuse(error, NULL, "the length of the base, as in 180 mm", "Tipping needs the magnet's base.");
    if (load->kind == CW_LOAD_TILT && !(load->arm_m > 0))
        return cw_refuse(error, NULL, "the arm, as in 120 mm", "Tipping needs the arm of the force.");
    if (load->kind == CW_LOAD_DRILL && !(load->offset_m >= 0 && load->own_weight_n >= 0))
        return cw_refuse(error, NULL, NULL, "Offset of the spindle and weight of the machine cannot be negative.");
    return CW_OK;
}

cw_status cw_hold_judge(const cw_load *load, cw_hold *hold, cw_error *error)
{
    cw_status status = check_load(load, error);
    cw_hold found = { .margin = NAN };

    if (status != CW_OK)
        return status;
    found.verdict = CW_PASS;
    reduce(load, &found);
    step(&found, found.pull_n, "N", CW_BASIS_COMPUTED, "pull left at the work", "the product of the above");
    if (load->kind == CW_LOAD_HANG)
        judge_hang(load, &found);
    else if (load->kind == CW_LOAD_SLIDE)
        judge_slide(load, &found);
    else if (load->kind == CW_LOAD_TILT)
        judge_tilt(load, &found);
    else
        status = judge_drill(load, &found, error);
    if (status != CW_OK)
        return status;
    set_factor(load, &found);
    conclude(load, found.verdict == CW_OPEN, &found);
    *hold = found;
    return CW_OK;
}
