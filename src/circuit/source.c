/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sources: direct, alternating, and through rectifiers.
 *
 * Diodes drop a constant voltage while they carry current and carry nothing else; the mains has no impedance. Both
 * leave the current a little too high. */
#include "circuit/source.h"

#include <math.h>

#define PI 3.14159265358979323846

static const char *const names[CW_SOURCE_COUNT] = {
    "direct current",
    "full-wave rectifier",
    "full-wave rectifier with freewheel diode",
    "half-wave rectifier",
    "half-wave rectifier with freewheel diode",
    "alternating current",
};

const char *cw_source_name(cw_source_kind kind)
{
    return names[kind];
}

bool cw_source__rectified(const cw_source *source)
{
    return source->kind != CW_SOURCE_DC && source->kind != CW_SOURCE_AC;
}

static double angle(const cw_source *source, double t)
{
    return 2 * PI * source->frequency_hz * t + source->phase_degree * PI / 180;
}

double cw_source__drive_v(const cw_source *source, double t)
{
    double drop = source->diode_drop_v;
    double wave = source->kind == CW_SOURCE_DC ? source->voltage_v
                                               : sqrt(2) * source->voltage_v * sin(angle(source, t));

    switch (source->kind) {
    case CW_SOURCE_FULL_WAVE:
        return fabs(wave) - 2 * drop;
    case CW_SOURCE_FULL_WAVE_FREEWHEEL:
        return fmax(fabs(wave) - 2 * drop, -drop);
    case CW_SOURCE_HALF_WAVE:
        return wave - drop;
    case CW_SOURCE_HALF_WAVE_FREEWHEEL:
        return fmax(wave - drop, -drop);
    case CW_SOURCE_DC:
    case CW_SOURCE_AC:
    case CW_SOURCE_COUNT:
        break;
    }
    return wave;
}

/* Next angle above `from` at which the sine is x. */
static double next_angle(double x, double from)
{
    double least = INFINITY, roots[2] = { asin(x), PI - asin(x) };

    for (int i = 0; i < 2; i++) {
        double turns = ceil((from - roots[i]) / (2 * PI));

        for (int k = 0; k < 2; k++) {
            double at = roots[i] + 2 * PI * (turns + k);

            if (at > from + 1e-9)
                least = fmin(least, at);
        }
    }
    return least;
}

double cw_source__next_kink_s(const cw_source *source, double t)
{
    double from, least = INFINITY, share;

    if (source->kind == CW_SOURCE_DC)
        return INFINITY;
    from = angle(source, t);
    share = source->diode_drop_v / (sqrt(2) * source->voltage_v);
    for (int k = -2; k <= 2; k++)
        if (fabs(k * share) < 1)
            least = fmin(least, next_angle(k * share, from));
    return (least - source->phase_degree * PI / 180) / (2 * PI * source->frequency_hz);
}

double cw_source_mean_v(const cw_source *source)
{
    double peak = sqrt(2) * source->voltage_v, drop = source->diode_drop_v, a;

    switch (source->kind) {
    case CW_SOURCE_DC:
        return source->voltage_v;
    case CW_SOURCE_FULL_WAVE:
        return 2 * peak / PI - 2 * drop;
    case CW_SOURCE_FULL_WAVE_FREEWHEEL: /* the mean of |wave| above the drop a, less the drop of one diode */
        a = asin(fmin(1, drop / peak));
        return 2 / PI * (peak * cos(a) - drop * (PI / 2 - a)) - drop;
    case CW_SOURCE_HALF_WAVE:
    case CW_SOURCE_HALF_WAVE_FREEWHEEL:
        return peak / PI - drop;
    case CW_SOURCE_AC:
    case CW_SOURCE_COUNT:
        break;
    }
    return 0;
}

double cw_source_rms_of_mean_v(const cw_source *source, double mean_v)
{
    cw_source trial = *source;

    if (source->kind == CW_SOURCE_DC || source->kind == CW_SOURCE_AC)
        return mean_v;
    trial.voltage_v = mean_v;
    for (int i = 0; i < 60; i++) { /* the mean rises with the rms by a slope near 0.45 or 0.9, so this contracts */
        double slope = source->kind == CW_SOURCE_HALF_WAVE || source->kind == CW_SOURCE_HALF_WAVE_FREEWHEEL ? 0.4502
                                                                                                           : 0.9003;
        double miss = mean_v - cw_source_mean_v(&trial);

        trial.voltage_v += miss / slope;
        if (fabs(miss) <= 1e-14 * mean_v)
            break;
    }
    return trial.voltage_v;
}

cw_status cw_source__check(const cw_source *source, cw_error *error)
{
    if (source->kind < 0 || source->kind >= CW_SOURCE_COUNT)
        return cw_refuse(error, NULL, NULL, "There is no source number %d.", (int)source->kind);
    if (!(source->voltage_v > 0) || !isfinite(source->voltage_v))
        return cw_refuse(error, NULL, "a voltage above zero, as in 96 V", "The source's voltage is %g V.",
                         source->voltage_v);
    if (source->kind == CW_SOURCE_DC)
        return CW_OK;
    if (!(source->frequency_hz > 0) || !isfinite(source->frequency_hz))
        return cw_refuse(error, NULL, "a frequency above zero, as in 50 Hz", "The source's frequency is %g Hz.",
                         source->frequency_hz);
    if (!isfinite(source->phase_degree))
        return cw_refuse(error, NULL, "an angle", "The phase at switch-on is %g degrees.", source->phase_degree);
    if (!(source->diode_drop_v >= 0 && 2 * source->diode_drop_v < sqrt(2) * source->voltage_v))
        return cw_refuse(error, NULL, "a drop well below the source's voltage",
                         "A rectifier diode's drop of %g V leaves nothing of %g V.", source->diode_drop_v,
                         source->voltage_v);
    return CW_OK;
}
