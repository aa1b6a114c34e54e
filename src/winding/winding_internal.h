/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_WINDING_INTERNAL_H
#define CW_WINDING_INTERNAL_H

#include "coilwright/winding.h"

#define CW_WINDING__MOST_LAYERS 100000
#define CW_WINDING__MOST_TURNS 10000000

/* Length of a turn whose flats belly out by `bulge` times the height they lie at. */
double cw_winding__bulged_turn_length(const cw_window *window, double height_m, double bulge);

/* By how much the longest flat bellies out at that height; 0 for a round window. */
double cw_winding__greatest_bulge(const cw_window *window, double height_m, double bulge);

#endif
