/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Winding programs: written for a machine, read back, and replayed turn by turn.
 *
 * Knows: RS-274 and the words of the lathe families, spindles, traverses. Needs: base, winding. Refuses to know: jobs. */
#ifndef COILWRIGHT_NC_H
#define COILWRIGHT_NC_H

#include "coilwright/base.h"
#include "coilwright/winding.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum cw_machine_kind { CW_LATHE_THREAD, CW_LATHE_FEED, CW_ROTARY_WINDER, CW_MANUAL_LATHE, CW_HAND } cw_machine_kind;
typedef enum cw_code { CW_G33_K, CW_G32_F, CW_G33_F, CW_G95, CW_G99, CW_ROTARY_A, CW_NO_CODE } cw_code;

/** The winding machine; the fields beyond kind, code, units and speed have defaults in nc.h. */
typedef struct cw_machine {
    bool given;
    cw_machine_kind kind;
    cw_code code;
    bool inches;                   /* units: inch */
    double speed_rpm;
    double slow_speed_rpm;         /* for starts, stops and flanges */
    int decimals;                  /* of position words; -1: default */
    int pitch_decimals;            /* of pitch words; -1: default */
    bool diameter;                 /* X words are diameters */
    bool line_numbers;
    bool semicolon_comments;       /* else round brackets */
    double spin_up_s, spin_down_s; /* from standstill to `speed` and back */
    double acceleration_m_s2;      /* of the traverse */
    double block_time_s;           /* between two blocks */
    double backlash_m;
    double clearance_m;            /* how far beyond the flange the guide may go */
    double guide_distance_m;       /* free wire from guide to coil */
    char *start_block, *end_block; /* extra lines, or NULL */
} cw_machine;

#ifdef __cplusplus
}
#endif
#endif
