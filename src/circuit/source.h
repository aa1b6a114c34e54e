/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CIRCUIT_SOURCE_H
#define CW_CIRCUIT_SOURCE_H

#include "coilwright/circuit.h"

/* Voltage across the coil while current flows: continuous, smooth between kinks, of one sign between them. */
double cw_source__drive_v(const cw_source *source, double t);

/* First moment after t at which the drive has a kink or passes through zero; INFINITY for dc. */
double cw_source__next_kink_s(const cw_source *source, double t);

/* Whether the current can only flow one way. */
bool cw_source__rectified(const cw_source *source);

cw_status cw_source__check(const cw_source *source, cw_error *error);

#endif
