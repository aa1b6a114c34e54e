/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Suppressors: what is usual, and what to buy.
 *
 * The rules are the trade's own, as the project's collection on tests and safety gathers them (block 10.2 and 10.3)
 * and docs/switching.md lists them: resistor 1 to 3 times the coil's own; Zener about equal to the supply; RC 0.5 to
 * 1 uF for an ampere and 0.5 to 1 ohm for a volt; diode 10 times the circuit's voltage; varistor's continuous rating
 * 1.1 to 1.2 times the highest supply. The varistor's curve is that of the common 250 V type, 390 V at 1 mA and 650 V
 * at 100 A; the gap's first breakdown the least of Paschen's curve in air. */
#include "circuit/circuit_internal.h"
#include "coilwright/quantity.h"

#include <math.h>
#include <stdio.h>

#define HEADROOM 1.15          /* of a varistor over the highest supply */
#define VARISTOR_OVER_DC 1.22  /* voltage at 1 mA over the continuous direct voltage it stands */
#define VARISTOR_OVER_RMS 1.56 /* the same over the continuous rms: 390 V / 250 V */

static void fill(double *member, double value)
{
    if (*member == 0)
        *member = value;
}

static void common_resistance(cw_suppressor *s, double resistance_ohm, double voltage_v)
{
    if (s->kind == CW_SUPPRESS_RESISTOR)
        fill(&s->resistance_ohm, 3 * resistance_ohm);
    else if (s->kind == CW_SUPPRESS_RC)
        fill(&s->resistance_ohm, fmax(voltage_v, 1));
    else
        fill(&s->resistance_ohm, resistance_ohm);
}

void cw_suppressor_defaults(cw_suppressor *suppressor, double current_a, double resistance_ohm, double voltage_v,
                            bool alternating)
{
    double varistor = alternating ? voltage_v / sqrt(2) * VARISTOR_OVER_RMS : voltage_v * VARISTOR_OVER_DC;

    fill(&suppressor->diode_drop_v, 0.7);
    common_resistance(suppressor, resistance_ohm, voltage_v);
    fill(&suppressor->zener_v, fmax(voltage_v, 1));
    fill(&suppressor->varistor_v, HEADROOM * fmax(varistor, 1));
    fill(&suppressor->varistor_a, 1e-3);
    fill(&suppressor->varistor_exponent, 0.045);
    fill(&suppressor->capacitance_f, fmax(1e-6 * current_a, 1e-8));
    fill(&suppressor->stray_f, 200e-12);
    fill(&suppressor->breakdown_v, 330);
    fill(&suppressor->breakdown_v_per_s, 1e6);
}

static double mean_power(const cw_off_plan *plan, const cw_switch_off *off)
{
    return off->clamp_energy_j * (plan->operations_per_hour > 0 ? plan->operations_per_hour : 1) / 3600;
}

typedef struct shown { char text[40]; } shown;

static shown show(cw_kind kind, double value)
{
    shown s;

    cw_quantity_format(kind, value, CW_METRIC_UNITS, 3, s.text, sizeof s.text);
    return s;
}

/* ", 0.6 W on average at 900 an hour"; nothing where the rate of operations is not known. */
static shown show_average(const cw_off_plan *plan, const cw_part_rating *r)
{
    shown s = { "" };

    if (plan->operations_per_hour > 0)
        snprintf(s.text, sizeof s.text, ", %s on average", show(CW_POWER, r->power_w).text);
    return s;
}

static void rate_resistor(const cw_off_plan *plan, const cw_switch_off *off, cw_part_rating *r)
{
    double across = plan->supply_rms_v > 0 ? plan->supply_rms_v
                                           : plan->alternating ? plan->supply_v / sqrt(2) : plan->supply_v;

    r->resistance_ohm = off->suppressor.resistance_ohm;
    r->power_w += across * across / r->resistance_ohm;
    snprintf(r->text, sizeof r->text, "Resistor %s for %s all the time the coil is on, and for pulses of %s and %s; "
             "its body must stand %s.", show(CW_RESISTANCE, r->resistance_ohm).text, show(CW_POWER, r->power_w).text,
             show(CW_POWER, off->peak_power_w).text, show(CW_ENERGY, r->energy_j).text,
             show(CW_VOLTAGE, off->peak_voltage_v).text);
}

static void rate_diodes(const cw_off_plan *plan, const cw_switch_off *off, cw_part_rating *r)
{
    const cw_suppressor *s = &off->suppressor;
    int used;

    r->voltage_v = s->kind == CW_SUPPRESS_ZENER ? s->zener_v : 10 * plan->supply_v;
    used = snprintf(r->text, sizeof r->text, "Diode for %s or more and %s reverse or more, its ring to the plus side",
                    show(CW_CURRENT, r->current_a).text, show(CW_VOLTAGE, 10 * plan->supply_v).text);
    if (s->kind == CW_SUPPRESS_DIODE_RESISTOR) {
        r->resistance_ohm = s->resistance_ohm;
        snprintf(r->text + used, sizeof r->text - (size_t)used, "; in series a resistor of %s for pulses of %s%s.",
                 show(CW_RESISTANCE, s->resistance_ohm).text, show(CW_ENERGY, r->energy_j).text,
                 show_average(plan, r).text);
    } else if (s->kind == CW_SUPPRESS_ZENER) {
        snprintf(r->text + used, sizeof r->text - (size_t)used, "; in series against it a Zener of %s for pulses of "
                 "%s and %s%s.", show(CW_VOLTAGE, s->zener_v).text, show(CW_POWER, off->peak_power_w).text,
                 show(CW_ENERGY, r->energy_j).text, show_average(plan, r).text);
    } else {
        snprintf(r->text + used, sizeof r->text - (size_t)used, ".");
    }
}

static void rate_varistor(const cw_off_plan *plan, const cw_switch_off *off, cw_part_rating *r)
{
    r->voltage_v = off->suppressor.varistor_v / (plan->alternating ? VARISTOR_OVER_RMS : VARISTOR_OVER_DC);
    snprintf(r->text, sizeof r->text, "Varistor of %s at 1 mA (continuous %s %s or more) for pulses of %s and %s or "
             "more%s.", show(CW_VOLTAGE, off->suppressor.varistor_v).text,
             show(CW_VOLTAGE, r->voltage_v).text, plan->alternating ? "rms" : "dc",
             show(CW_CURRENT, r->current_a).text, show(CW_ENERGY, r->energy_j).text, show_average(plan, r).text);
}

static void rate_rc(const cw_off_plan *plan, const cw_switch_off *off, cw_part_rating *r)
{
    r->resistance_ohm = off->suppressor.resistance_ohm;
    r->capacitance_f = off->suppressor.capacitance_f;
    r->voltage_v = off->peak_voltage_v;
    snprintf(r->text, sizeof r->text, "Capacitor %s for %s dc or more%s, in series with %s for pulses of %s and %s.",
             show(CW_CAPACITANCE, r->capacitance_f).text, show(CW_VOLTAGE, r->voltage_v).text,
             plan->alternating ? ", of the kind made to lie across the mains" : "",
             show(CW_RESISTANCE, r->resistance_ohm).text, show(CW_CURRENT, r->current_a).text,
             show(CW_ENERGY, r->energy_j).text);
}

void cw_circuit__rate_part(const cw_off_plan *plan, cw_switch_off *off)
{
    cw_part_rating *r = &off->rating;

    r->voltage_v = r->resistance_ohm = r->capacitance_f = NAN;
    r->current_a = plan->start_current_a;
    r->energy_j = off->clamp_energy_j;
    r->power_w = mean_power(plan, off);
    switch (off->suppressor.kind) {
    case CW_SUPPRESS_RESISTOR:
        rate_resistor(plan, off, r);
        return;
    case CW_SUPPRESS_DIODE:
    case CW_SUPPRESS_DIODE_RESISTOR:
    case CW_SUPPRESS_ZENER:
        rate_diodes(plan, off, r);
        return;
    case CW_SUPPRESS_VARISTOR:
        rate_varistor(plan, off, r);
        return;
    case CW_SUPPRESS_RC:
        rate_rc(plan, off, r);
        return;
    case CW_SUPPRESS_NONE:
    case CW_SUPPRESSOR_COUNT:
        break;
    }
    snprintf(r->text, sizeof r->text, "Nothing is fitted. Fit one of the others.");
}
