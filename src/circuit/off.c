/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Switching off: the coil's current finds its way through what is across the coil.
 *
 * Voltages are counted as the part sees them, against the voltage that drove the coil: a part at v makes the current
 * fall with d(linkage)/dt = -R i - v, and the opening contact then stands supply + v. */
#include "circuit/circuit_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_STEPS = 200000, STEPS_PER_SWING = 400 };

#define STEP_TOLERANCE 1e-9
#define LAST_CURRENT 1e-3 /* of the first: what dies by halves for ever is called ended here */
#define OHMIC_A 1e-6      /* a varistor is a plain resistor below this current */

enum { COPPER, PART, SUPPLY };

typedef struct off_problem {
    const cw_circuit_coil *coil;
    const cw_off_plan *plan;
    const cw_suppressor *part;
    double level;    /* flux linkage of an event */
    double arc_ohm;  /* of the broken-down gap: only keeps the model smooth */
} off_problem;

static const char *const names[CW_SUPPRESSOR_COUNT] = { "none",  "resistor", "diode", "diode and resistor",
                                                        "Zener", "varistor", "RC" };

const char *cw_suppressor_name(cw_suppressor_kind kind)
{
    return names[kind];
}

const char *cw_suppressor_drawback(cw_suppressor_kind kind)
{
    static const char *const texts[CW_SUPPRESSOR_COUNT] = {
        [CW_SUPPRESS_NONE] = "The contact burns and the insulation takes the peak, whose height is a guess.",
        [CW_SUPPRESS_RESISTOR] = "Warm and drawing current all the time the coil is on.",
        [CW_SUPPRESS_DIODE] = "The slowest release. The wrong way round it is a short circuit.",
        [CW_SUPPRESS_DIODE_RESISTOR] = "The peak grows with the resistor. The wrong way round it loads the supply.",
        [CW_SUPPRESS_ZENER] = "Two parts, and the Zener takes the energy as one pulse. Polarity counts.",
        [CW_SUPPRESS_VARISTOR] = "A loose clamp: the peak lies well above the supply. It ages with every pulse.",
        [CW_SUPPRESS_RC] = "It rings with the coil; a large coil needs a large capacitor. Its charge meets the contact "
                           "when that closes.",
    };

    return texts[kind];
}

/* ---- parts that answer at once --------------------------------------------------------------------------------- */

/* Voltage and its slope over the current. */
static double part_voltage(const cw_suppressor *part, double current, double *slope)
{
    double size = fabs(current), at_ohmic;

    *slope = 0;
    switch (part->kind) {
    case CW_SUPPRESS_RESISTOR:
        *slope = part->resistance_ohm;
        return part->resistance_ohm * current;
    case CW_SUPPRESS_DIODE_RESISTOR:
        *slope = part->resistance_ohm;
        return part->diode_drop_v + part->resistance_ohm * current;
    case CW_SUPPRESS_ZENER:
        return part->diode_drop_v + part->zener_v;
    case CW_SUPPRESS_VARISTOR:
        at_ohmic = part->varistor_v * pow(OHMIC_A / part->varistor_a, part->varistor_exponent);
        if (size < OHMIC_A) {
            *slope = at_ohmic / OHMIC_A;
            return *slope * current;
        }
        at_ohmic = part->varistor_v * pow(size / part->varistor_a, part->varistor_exponent);
        *slope = part->varistor_exponent * at_ohmic / size;
        return copysign(at_ohmic, current);
    case CW_SUPPRESS_NONE:
    case CW_SUPPRESS_DIODE:
    case CW_SUPPRESS_RC:
    case CW_SUPPRESSOR_COUNT:
        break;
    }
    return part->diode_drop_v;
}

static void rates_static(const cw_ode *ode, double t, const double *y, double *rate,
                         double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    const off_problem *p = ode->problem;
    double current, slope, steepness, voltage;

    (void)t;
    cw_circuit__current(p->coil, y[0], &current, &slope);
    voltage = part_voltage(p->part, current, &steepness);
    rate[0] = -p->plan->resistance_ohm * current - voltage;
    jacobian[0][0] = -(p->plan->resistance_ohm + steepness) * slope;
    sum_rate[COPPER] = p->plan->resistance_ohm * current * current;
    sum_rate[PART] = voltage * current;
    sum_rate[SUPPLY] = 0;
}

/* ---- parts with a capacitance: the second state is its voltage ------------------------------------------------- */

static void rates_rc(const cw_ode *ode, double t, const double *y, double *rate,
                     double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    const off_problem *p = ode->problem;
    double current, slope, loop = p->plan->resistance_ohm + p->part->resistance_ohm;

    (void)t;
    cw_circuit__current(p->coil, y[0], &current, &slope);
    rate[0] = -loop * current - y[1];
    rate[1] = current / p->part->capacitance_f;
    jacobian[0][0] = -loop * slope;
    jacobian[0][1] = -1;
    jacobian[1][0] = slope / p->part->capacitance_f;
    jacobian[1][1] = 0;
    sum_rate[COPPER] = p->plan->resistance_ohm * current * current;
    sum_rate[PART] = p->part->resistance_ohm * current * current;
    sum_rate[SUPPLY] = 0;
}

/* What the contact's gap withstands grows with its opening; what exceeds that, it carries as an arc. */
static double arc_current(const off_problem *p, double t, double voltage, double *slope)
{
    double excess = p->plan->supply_v + voltage - p->part->breakdown_v - p->part->breakdown_v_per_s * t;

    *slope = excess > 0 ? 1 / p->arc_ohm : 0;
    return excess > 0 ? excess / p->arc_ohm : 0;
}

static void rates_bare(const cw_ode *ode, double t, const double *y, double *rate,
                       double jacobian[CW_ODE_STATES][CW_ODE_STATES], double *sum_rate)
{
    const off_problem *p = ode->problem;
    double current, slope, arc_slope, arc = arc_current(p, t, y[1], &arc_slope);

    cw_circuit__current(p->coil, y[0], &current, &slope);
    rate[0] = -p->plan->resistance_ohm * current - y[1];
    rate[1] = (current - arc) / p->part->stray_f;
    jacobian[0][0] = -p->plan->resistance_ohm * slope;
    jacobian[0][1] = -1;
    jacobian[1][0] = slope / p->part->stray_f;
    jacobian[1][1] = -arc_slope / p->part->stray_f;
    sum_rate[COPPER] = p->plan->resistance_ohm * current * current;
    sum_rate[PART] = (p->plan->supply_v + y[1]) * arc;
    sum_rate[SUPPLY] = p->plan->supply_v * arc;
}

/* ---- following it ---------------------------------------------------------------------------------------------- */

typedef struct off_run {
    off_problem problem;
    cw_ode ode;
    cw_recorder recorder;
    cw_switch_off *off;
    double release_flux;  /* NAN: not asked */
    double end_flux;      /* where the current counts as ended; RC has none */
    double capacitance;   /* 0: none */
    double energy_before; /* coil's and capacitance's */
    double longest;       /* step */
} off_run;

static double level_event(const cw_ode *ode)
{
    return fabs(ode->y[0]) - ((const off_problem *)ode->problem)->level;
}

static double zero_event(const cw_ode *ode)
{
    return ode->y[0] - ((const off_problem *)ode->problem)->level;
}

static double stored(const off_run *run)
{
    return cw_circuit_stored_j(run->problem.coil, run->ode.y[0]) +
           0.5 * run->capacitance * run->ode.y[1] * run->ode.y[1];
}

/* Voltage of the part and the power that it turns to heat. */
static void part_now(const off_run *run, double current, double *voltage, double *power)
{
    const off_problem *p = &run->problem;
    double slope;

    if (p->part->kind == CW_SUPPRESS_NONE) {
        *voltage = run->ode.y[1];
        *power = (p->plan->supply_v + *voltage) * arc_current(p, run->ode.t, *voltage, &slope);
    } else if (p->part->kind == CW_SUPPRESS_RC) {
        *voltage = run->ode.y[1] + p->part->resistance_ohm * current;
        *power = p->part->resistance_ohm * current * current;
    } else {
        *voltage = part_voltage(p->part, current, &slope);
        *power = *voltage * current;
    }
}

static void note(off_run *run, bool always)
{
    double current = cw_circuit_current_a(run->problem.coil, run->ode.y[0]), voltage, power;
    cw_switch_point point = { run->ode.t, current, 0, cw_circuit_force_n(run->problem.coil, current) };

    part_now(run, current, &voltage, &power);
    point.voltage_v = -voltage;
    run->off->peak_voltage_v = fmax(run->off->peak_voltage_v, fabs(voltage));
    run->off->contact_voltage_v = fmax(run->off->contact_voltage_v, fabs(run->problem.plan->supply_v + voltage));
    run->off->peak_power_w = fmax(run->off->peak_power_w, power);
    cw_recorder__add(&run->recorder, &point, always);
}

/* Release is the last time that the current falls below what holds. */
static void note_release(off_run *run, const cw_ode *before)
{
    cw_ode landed = run->ode, start = *before;
    off_problem problem = run->problem;
    double was, is;

    problem.level = run->release_flux;
    start.problem = landed.problem = &problem;
    was = level_event(&start);
    is = level_event(&landed);
    if (was <= 0 && is > 0) {
        run->off->closes_again = true;
        run->off->time_to_release_s = INFINITY;
    } else if (was > 0 && is <= 0 && cw_ode__locate(&landed, &start, level_event)) {
        run->off->time_to_release_s = landed.t;
    }
}

static cw_status follow(off_run *run, bool *ended, cw_error *error)
{
    cw_ode before = run->ode;
    cw_status status;

    run->ode.step = fmin(run->ode.step, run->longest);
    status = cw_ode__step(&run->ode, INFINITY, error);
    if (status != CW_OK)
        return status;
    if (run->problem.part->kind == CW_SUPPRESS_RC) {
        *ended = stored(run) <= LAST_CURRENT * LAST_CURRENT * run->energy_before;
    } else if (run->ode.y[0] <= run->end_flux) {
        off_problem problem = run->problem;

        problem.level = run->end_flux;
        run->ode.problem = before.problem = &problem;
        cw_ode__locate(&run->ode, &before, zero_event);
        run->ode.problem = before.problem = &run->problem;
        *ended = true;
    }
    if (!isnan(run->release_flux))
        note_release(run, &before);
    note(run, *ended);
    return CW_OK;
}

static void set_out(off_run *run)
{
    const off_problem *p = &run->problem;
    const cw_off_plan *plan = p->plan;
    cw_suppressor_kind kind = p->part->kind;
    double flux = cw_circuit_flux_linkage_wb(p->coil, plan->start_current_a), inductance = flux / plan->start_current_a;
    double voltage = plan->resistance_ohm * plan->start_current_a, slope, swing;

    run->capacitance = kind == CW_SUPPRESS_RC ? p->part->capacitance_f
                       : kind == CW_SUPPRESS_NONE ? p->part->stray_f : 0;
    run->ode.rates = kind == CW_SUPPRESS_RC ? rates_rc : kind == CW_SUPPRESS_NONE ? rates_bare : rates_static;
    run->ode.problem = p;
    run->ode.states = run->capacitance > 0 ? 2 : 1;
    run->ode.sums = 3;
    run->ode.y[0] = run->ode.scale[0] = flux;
    run->ode.tolerance = STEP_TOLERANCE;
    if (run->capacitance > 0) {
        swing = sqrt(inductance * run->capacitance);
        run->ode.y[1] = -plan->supply_v;
        run->ode.scale[1] = fmax(plan->supply_v, plan->start_current_a * swing / run->capacitance);
        run->longest = 2 * 3.14159 * swing / STEPS_PER_SWING;
    } else {
        run->longest = 0.1 * flux / (voltage + part_voltage(p->part, plan->start_current_a, &slope));
    }
    run->ode.step = 0.01 * run->longest;
    run->energy_before = stored(run);
    run->ode.sum_scale[COPPER] = run->ode.sum_scale[PART] = run->ode.sum_scale[SUPPLY] = run->energy_before;
    if (kind == CW_SUPPRESS_RESISTOR || kind == CW_SUPPRESS_VARISTOR ||
        (kind == CW_SUPPRESS_DIODE && p->part->diode_drop_v == 0) ||
        (kind == CW_SUPPRESS_DIODE_RESISTOR && p->part->diode_drop_v == 0))
        run->end_flux = cw_circuit_flux_linkage_wb(p->coil, LAST_CURRENT * plan->start_current_a);
}

static void conclude(off_run *run)
{
    cw_switch_off *off = run->off;

    off->time_to_end_s = run->ode.t;
    off->copper_energy_j = run->ode.sum[COPPER];
    off->clamp_energy_j = run->ode.sum[PART];
    off->energy_error = fabs(run->energy_before + run->ode.sum[SUPPLY] - run->ode.sum[COPPER] - run->ode.sum[PART] -
                             stored(run)) / off->stored_j;
    off->within_insulation = isnan(off->insulation_test_v) || off->peak_voltage_v <= off->insulation_test_v;
    off->steps = run->ode.steps;
    off->curve = run->recorder.points;
    off->count = run->recorder.count;
    cw_circuit__rate_part(run->problem.plan, off);
}

static cw_status check_plan(const cw_off_plan *plan, const cw_suppressor *part, cw_error *error)
{
    if (!(plan->resistance_ohm > 0) || !isfinite(plan->resistance_ohm))
        return cw_refuse(error, NULL, "a resistance above zero", "The coil's resistance is %g ohm.",
                         plan->resistance_ohm);
    if (!(plan->start_current_a > 0) || !isfinite(plan->start_current_a))
        return cw_refuse(error, NULL, "a current above zero", "The coil is switched off at %g A.",
                         plan->start_current_a);
    if (!(plan->supply_v >= 0) || !isfinite(plan->supply_v))
        return cw_refuse(error, NULL, "a voltage", "The supply is %g V at switch-off.", plan->supply_v);
    if (!isnan(plan->release_current_a) && !(plan->release_current_a > 0))
        return cw_refuse(error, NULL, "a current above zero", "The coil lets go below %g A.", plan->release_current_a);
    if (!(plan->operations_per_hour >= 0))
        return cw_refuse(error, NULL, "a number of operations an hour", "There are %g operations an hour.",
                         plan->operations_per_hour);
    if (part->kind < 0 || part->kind >= CW_SUPPRESSOR_COUNT)
        return cw_refuse(error, NULL, NULL, "There is no suppressor number %d.", (int)part->kind);
    if (plan->alternating && (part->kind == CW_SUPPRESS_DIODE || part->kind == CW_SUPPRESS_DIODE_RESISTOR ||
                              part->kind == CW_SUPPRESS_ZENER))
        return cw_refuse(error, NULL, "a varistor or an RC", "A %s across a coil on alternating current shorts every "
                         "other half-wave.", names[part->kind]);
    return CW_OK;
}

static cw_status check_part(const cw_suppressor *part, cw_error *error)
{
    const double values[] = { part->diode_drop_v, part->resistance_ohm, part->zener_v, part->varistor_v,
                              part->varistor_a, part->varistor_exponent, part->capacitance_f, part->stray_f,
                              part->breakdown_v, part->breakdown_v_per_s };
    static const char *const what[] = { "diode's drop", "resistor", "Zener voltage", "varistor's voltage",
                                        "varistor's test current", "varistor's exponent", "capacitor",
                                        "stray capacitance", "breakdown voltage", "rise of the breakdown voltage" };

    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        if (!(values[i] >= 0) || !isfinite(values[i]))
            return cw_refuse(error, NULL, "a number of zero or more", "The suppressor's %s is %g.", what[i], values[i]);
    if (part->varistor_exponent > 1)
        return cw_refuse(error, NULL, "an exponent of 0.02 to 1", "The varistor's exponent is %g.",
                         part->varistor_exponent);
    return CW_OK;
}

cw_status cw_circuit_off(const cw_circuit_coil *coil, const cw_off_plan *plan, const cw_suppressor *suppressor,
                         cw_switch_off *off, cw_error *error)
{
    off_run run = { .problem = { coil, plan, &off->suppressor, NAN, NAN }, .off = off, .release_flux = NAN };
    cw_suppressor part = *suppressor;
    cw_status status = check_plan(plan, suppressor, error);
    bool ended = false;

    memset(off, 0, sizeof *off);
    if (status == CW_OK)
        status = check_part(suppressor, error);
    if (status == CW_OK)
        status = cw_recorder__begin(&run.recorder, error);
    if (status != CW_OK)
        return status;
    cw_suppressor_defaults(&part, plan->start_current_a, plan->resistance_ohm, plan->supply_v, plan->alternating);
    off->suppressor = part;
    off->insulation_test_v = plan->insulation_test_v;
    off->release_current_a = plan->release_current_a;
    off->time_to_release_s = NAN;
    if (!isnan(plan->release_current_a)) {
        run.release_flux = cw_circuit_flux_linkage_wb(coil, plan->release_current_a);
        off->time_to_release_s = plan->release_current_a >= plan->start_current_a ? 0 : INFINITY;
    }
    run.problem.arc_ohm = 1e-3 * part.breakdown_v / plan->start_current_a;
    off->stored_j = cw_circuit_stored_j(coil, cw_circuit_flux_linkage_wb(coil, plan->start_current_a));
    set_out(&run);
    note(&run, true);
    while (status == CW_OK && !ended && run.ode.steps < MOST_STEPS)
        status = follow(&run, &ended, error);
    conclude(&run);
    if (status != CW_OK)
        cw_switch_off_clear(off);
    return status;
}

void cw_switch_off_clear(cw_switch_off *off)
{
    cw_free(off->curve);
    memset(off, 0, sizeof *off);
}
