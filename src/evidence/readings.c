/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The readings: what they are called, where their error comes from, what a strange one often means.
 *
 * Every "usual doubt" is the half-width that holds 95 % with shop instruments. They are common practice, gathered from
 * [tests_and_safety 9]; a doubt that the user writes replaces them. */
#include "evidence/evidence_internal.h"

#include <math.h>
#include <stdio.h>

static const struct {
    const char *name, *words;
} kinds[CW_READING_KIND_COUNT] = {
    [CW_COIL_RESISTANCE] = { "coil-resistance", "coil resistance" },
    [CW_SAMPLE_RESISTANCE] = { "sample-resistance", "sample resistance" },
    [CW_WIRE_MASS] = { "wire-mass", "mass of the wire" },
    [CW_SAMPLE_MASS] = { "sample-mass", "mass of the sample" },
    [CW_OVERALL_DIAMETER] = { "overall-diameter", "overall diameter" },
    [CW_BARE_DIAMETER] = { "bare-diameter", "bare diameter" },
    [CW_TURNS] = { "turns", "number of turns" },
    [CW_TURNS_PER_LAYER] = { "turns-per-layer", "turns per layer" },
    [CW_LAYERS] = { "layers", "number of layers" },
    [CW_WINDING_DEPTH] = { "winding-depth", "winding depth" },
    [CW_RATED_POWER] = { "rated-power", "rated power" },
    [CW_RATED_CURRENT] = { "rated-current", "rated current" },
    [CW_COIL_INDUCTANCE] = { "inductance", "inductance" },
    [CW_CENTRE_FIELD] = { "centre-field", "field at the centre" },
    [CW_CORE_SECTION] = { "core-section", "section of the core" },
    [CW_INSULATION_RESISTANCE] = { "insulation-resistance", "insulation resistance" },
};

const char *cw_reading_kind_name(cw_reading_kind kind)
{
    return kinds[kind].name;
}

const char *cw_reading_kind_words(cw_reading_kind kind)
{
    return kinds[kind].words;
}

double cw_reading_usual_doubt(const cw_reading *reading)
{
    const double v = fabs(reading->value);

    switch (reading->kind) {
    case CW_COIL_RESISTANCE:   /* a hand meter's 1 % and the last 0.1 ohm of its leads */
        return hypot(0.01 * v, 0.1);
    case CW_SAMPLE_RESISTANCE: /* leads zeroed; 10 milliohm of contact, half a per cent of length */
        return hypot(0.0112 * v, 0.01);
    case CW_WIRE_MASS:         /* ends lost, resin or tape left on */
        return 0.03 * v;
    case CW_SAMPLE_MASS:       /* a 0.01 g scale, half a per cent of length */
        return hypot(0.0112 * v, 1e-5);
    case CW_OVERALL_DIAMETER:  /* a micrometer, three places */
        return hypot(0.005 * v, 4e-6);
    case CW_BARE_DIAMETER:     /* likewise, and a trace of enamel */
        return hypot(0.005 * v, 4e-6);
    case CW_TURNS:             /* unwound on a counter */
        return fmax(1.0, 0.01 * v);
    case CW_TURNS_PER_LAYER:
        return 1.5;
    case CW_LAYERS:            /* the last one is a part: uniform over one layer */
        return 0.58;
    case CW_WINDING_DEPTH:     /* a coil is not even */
        return hypot(0.03 * v, 2e-4);
    case CW_RATED_POWER:       /* a plate rounds, and allows itself 10 % */
    case CW_RATED_CURRENT:
        return 0.10 * v;
    case CW_COIL_INDUCTANCE:
        return 0.04 * v;
    case CW_CENTRE_FIELD:
        return 0.05 * v;
    case CW_CORE_SECTION:
        return 0.05 * v;
    case CW_INSULATION_RESISTANCE:
    case CW_READING_KIND_COUNT:
        break;
    }
    return 0.1 * v;
}

/* What the reading's nature adds to the meter's doubt, as a variance of the logarithm (standard deviations here). */
static double nature(const cw_reading *reading)
{
    const double kelvin = 0.00393 / 1.96; /* per kelvin of 95 % doubt in the wire's temperature */
    double sd = 0;

    switch (reading->kind) {
    case CW_COIL_RESISTANCE:
        sd = kelvin * (isnan(reading->at_c) ? 6 : 2); /* a coil inside is seldom at the room's temperature */
        if (reading->subject == CW_OF_SIBLING)
            sd = hypot(sd, 0.0075); /* another spool, the same winding */
        break;
    case CW_SAMPLE_RESISTANCE:
        sd = kelvin * (isnan(reading->at_c) ? 4 : 1);
        break;
    case CW_RATED_POWER:
    case CW_RATED_CURRENT:
        sd = isnan(reading->at_c) ? 25 * kelvin : 0.02; /* hot: 75 °C give or take 25 K */
        break;
    case CW_COIL_INDUCTANCE:
        sd = 0.01; /* iron nearby, the formula's uniform section */
        break;
    case CW_CENTRE_FIELD:
        sd = 0.01;
        break;
    case CW_CORE_SECTION:
        sd = 0.15; /* makers chose 1.0 to 1.4 T */
        break;
    case CW_WIRE_MASS:
    case CW_SAMPLE_MASS:
    case CW_OVERALL_DIAMETER:
    case CW_BARE_DIAMETER:
    case CW_TURNS:
    case CW_TURNS_PER_LAYER:
    case CW_LAYERS:
    case CW_WINDING_DEPTH:
    case CW_INSULATION_RESISTANCE:
    case CW_READING_KIND_COUNT:
        break;
    }
    return sd * sd;
}

double cw_evidence__variance(const cw_reading *reading)
{
    const double doubt = reading->doubt > 0 ? reading->doubt : cw_reading_usual_doubt(reading);
    double relative = doubt / (1.96 * fabs(reading->value));

    /* the grid over the filling needs a reading of the depth no sharper than its spacing, and no real coil is */
    if (reading->kind == CW_WINDING_DEPTH || reading->kind == CW_LAYERS)
        relative = fmax(relative, 0.015);
    return relative * relative + nature(reading);
}

bool cw_evidence__usable(const cw_evidence *evidence, const cw_reading *reading, char *why, size_t size)
{
    const char *reason = NULL;

    switch (reading->kind) {
    case CW_COIL_RESISTANCE:
        if (isinf(reading->value))
            reason = "An open coil says nothing of its winding; measure a sibling or a sample of the wire.";
        break;
    case CW_TURNS_PER_LAYER:
    case CW_LAYERS:
    case CW_WINDING_DEPTH:
        if (evidence->window == NULL)
            reason = "This tells of the winding only together with the window; measure the window's inner size, length "
                     "and depth.";
        break;
    case CW_COIL_INDUCTANCE:
    case CW_CENTRE_FIELD:
        if (evidence->window == NULL)
            reason = "This tells the turns only together with the window; measure the window's inner size, length and "
                     "depth.";
        else if (reading->kind == CW_CENTRE_FIELD && !(reading->current_a > 0))
            reason = "A field means nothing without the current that made it; note the current.";
        break;
    case CW_RATED_POWER:
    case CW_RATED_CURRENT:
        if (!(evidence->coil_voltage_v > 0))
            reason = "A rating tells the resistance only together with the supply's voltage; add the supply.";
        break;
    case CW_CORE_SECTION:
        if (!(evidence->coil_voltage_v > 0) || !(evidence->supply_frequency_hz > 0))
            reason = "The core's section tells the turns of a coil on ac only; add the supply's voltage and frequency.";
        break;
    case CW_INSULATION_RESISTANCE:
        reason = ""; /* used for faults, not for the winding: nothing to say */
        break;
    case CW_SAMPLE_RESISTANCE:
    case CW_SAMPLE_MASS:
        if (!(reading->length_m > 0))
            reason = "A sample means nothing without its length; add the length.";
        break;
    case CW_WIRE_MASS:
    case CW_OVERALL_DIAMETER:
    case CW_BARE_DIAMETER:
    case CW_TURNS:
    case CW_READING_KIND_COUNT:
        break;
    }
    if (reason == NULL && !(reading->value > 0))
        reason = "A reading of zero or less says nothing; measure it again.";
    if (reason == NULL)
        return true;
    snprintf(why, size, "%s", reason);
    return false;
}

const char *cw_evidence__hint(cw_reading_kind kind, int sign)
{
    static const struct { const char *high, *low; } hints[CW_READING_KIND_COUNT] = {
        [CW_COIL_RESISTANCE] = { "was the coil warm, or is there a bad joint?",
                                 "are turns shorted, or was the coil read cold or together with another in parallel?" },
        [CW_SAMPLE_RESISTANCE] = { "were the leads zeroed, and is the length right?",
                                   "is the length right, and is it one strand?" },
        [CW_WIRE_MASS] = { "was resin, tape or the former still on it?", "was some of the wire lost?" },
        [CW_SAMPLE_MASS] = { "was resin still on it, and is the length right?", "is the length right?" },
        [CW_OVERALL_DIAMETER] = { "was there resin or a kink under the micrometer?",
                                  "was some of the covering gone, or the wire squeezed?" },
        [CW_BARE_DIAMETER] = { "was some enamel left on?", "was copper filed or etched away, or the wire stretched?" },
        [CW_TURNS] = { "was the counter set to zero, and does it count once a turn?", "was a part unwound uncounted?" },
        [CW_TURNS_PER_LAYER] = { "is it a full layer, and were strands in hand counted singly?",
                                 "was it a part layer?" },
        [CW_LAYERS] = { "were insulation sheets counted as layers?", "were two layers taken for one?" },
        [CW_WINDING_DEPTH] = { "was wrapping or bulge measured with it?", "is it the depth of the wire alone?" },
        [CW_RATED_POWER] = { "is the plate's figure for both coils, or for the pull-in?",
                             "is the plate's figure with a saving resistor or at part duty?" },
        [CW_RATED_CURRENT] = { "is the plate's figure for both coils, or for the pull-in?",
                               "is the plate's figure with a saving resistor or at part duty?" },
        [CW_COIL_INDUCTANCE] = { "was iron near the coil?", "are turns shorted?" },
        [CW_CENTRE_FIELD] = { "was iron near the coil?", "was the probe in the middle, and the current as noted?" },
        [CW_CORE_SECTION] = { "is it the section of the middle limb?", "is it the section of the middle limb?" },
        [CW_INSULATION_RESISTANCE] = { "", "" },
    };

    return sign > 0 ? hints[kind].high : hints[kind].low;
}
