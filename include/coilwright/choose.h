/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From what the coil was, its window, the supply, the wishes and the shelf to what to wind.
 *
 * Needs: base, wire, winding, evidence. Refuses to know: where the wishes were written. */
#ifndef COILWRIGHT_CHOOSE_H
#define COILWRIGHT_CHOOSE_H

#include "coilwright/base.h"
#include "coilwright/evidence.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_supply_kind { CW_DC, CW_FULL_WAVE, CW_HALF_WAVE, CW_AC } cw_supply_kind;
typedef enum cw_connection { CW_SINGLE_COIL, CW_SERIES, CW_PARALLEL } cw_connection;

typedef struct cw_circuit {
    bool given;
    int coils;
    cw_connection connection;
} cw_circuit;

typedef struct cw_supply {
    bool given;
    cw_supply_kind kind;
    double voltage_v;      /* as a meter shows it at the supply's terminals: dc mean, ac rms */
    double frequency_hz;
    double duty_share;     /* 1 continuous, 0.4 for "40 % of 5 min" */
    double duty_period_s;  /* NAN for continuous */
    double ambient_c;
} cw_supply;

typedef enum cw_rule { CW_SAME, CW_EXACTLY, CW_AT_LEAST } cw_rule;

typedef struct cw_wanted {
    bool given;
    cw_rule resistance_rule;       /* CW_SAME or CW_EXACTLY */
    double resistance_ohm, resistance_doubt_ohm; /* at 20 °C; CW_SAME: value NAN, and the doubt as a share in
                                                    resistance_tolerance */
    double resistance_tolerance;   /* share, half-width; NAN: the default of choose */
    cw_rule ampere_turns_rule;     /* CW_SAME or CW_AT_LEAST */
    double ampere_turns;
    double thermal_class_c;
    bool lay_given;
    cw_lay lay;
} cw_wanted;

/** A spool on the shelf. */
typedef struct cw_spool {
    char size[24];                 /* name of the size, as cw_wire_size.name */
    cw_build build;
    cw_material material;
    double thermal_class_c;
    double mass_kg;                /* left on it; NAN where a length was given */
    double length_m;
    double price;                  /* in the shop's own money, NAN unknown */
    cw_place at;
} cw_spool;

#ifdef __cplusplus
}
#endif
#endif
