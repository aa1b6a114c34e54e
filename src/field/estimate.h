/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_FIELD_ESTIMATE_H
#define CW_FIELD_ESTIMATE_H

#include "field/field_internal.h"

typedef struct cw_estimate {
    double force_n;  /* error of the force by `weight` */
    double energy_j; /* error of the energy; relative to the source's, that of the flux linkage */
    double *column;  /* shape [columns of the lattice]: what each contributes to the pull's error; zero at the call */
    double *row;
    double *triangle; /* the same by triangle, shape [triangle_count], where there is no lattice; else NULL */
} cw_estimate;

/* Uses the factors of the last tangent. */
cw_status cw_model__estimate(cw_model *model, const double *a, const double *weight, int region_count,
                             cw_estimate *estimate, cw_error *error);

#endif
