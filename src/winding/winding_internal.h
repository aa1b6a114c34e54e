/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_WINDING_INTERNAL_H
#define CW_WINDING_INTERNAL_H

#include "coilwright/winding.h"

#define CW_WINDING__MOST_LAYERS 100000
#define CW_WINDING__MOST_TURNS 10000000

/* Length of a turn whose flats belly out by `bulge` times the height they lie at. */
double cw_winding__bulged_turn_length(const cw_window *window, double height_m, double bulge);

/* Fills the winding's taps from its layers. */
void cw_winding__place_taps(cw_winding *winding);

/* Refuses taps beyond the winding or out of order. */
cw_status cw_winding__check_taps(const cw_lay_plan *plan, cw_error *error);

/* Whether a lead comes out of the turns first to last, counted from 1. */
bool cw_winding__has_tap(const cw_lay_plan *plan, long first, long last);

#endif
