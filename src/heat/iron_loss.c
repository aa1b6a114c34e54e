/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loss of laminations at a sinusoidal flux density.
 *
 *     p = (k_h f^alpha B^beta + k_e 2 pi^2 f^2 B^2)/density,     W/kg with SI units
 *
 * Source: parameters of four electrical steels by G. M. Shane and S. D. Sudhoff, IEEE Trans. Energy Convers. 2010, as
 * the project's collection on magnetics gives them (block 6). */
#include "coilwright/heat.h"

#include <math.h>

#define PI 3.14159265358979323846

typedef struct grade { double alpha, beta, k_h, k_e, density; } grade;

static const grade m19 = { 1.3375, 1.8167, 50.691, 0.027513, 7402 };
static const grade m36 = { 1.3403, 1.7991, 64.064, 0.040473, 7018 };
static const grade m47 = { 1.2559, 1.685, 149.0, 0.261, 7585 };

static double loss_of(const grade *g, double b_t, double f_hz)
{
    return (g->k_h * pow(f_hz, g->alpha) * pow(b_t, g->beta) + g->k_e * 2 * PI * PI * f_hz * f_hz * b_t * b_t) /
           g->density;
}

cw_band cw_heat_lamination_loss(double peak_t, double frequency_hz)
{
    return (cw_band){ loss_of(&m19, peak_t, frequency_hz), loss_of(&m36, peak_t, frequency_hz),
                      loss_of(&m47, peak_t, frequency_hz) };
}
