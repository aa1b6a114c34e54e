/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The magnet without its current. */
#ifndef CW_FIELD_RESIDUAL_H
#define CW_FIELD_RESIDUAL_H

#include "field/field_internal.h"

/* The force on what `weight` is 1 on after the current is gone; `a` as magnetized, left alone.
 *   coercivity_a_per_m  by region */
cw_status cw_model__residual_force(cw_model *model, const double *a, const double *coercivity_a_per_m,
                                   const double *weight, double *force_n, cw_error *error);

#endif
