/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A replay as the document of the contract. */
#ifndef CW_NC_JSON_H
#define CW_NC_JSON_H

#include "coilwright/nc.h"

#include <jansson.h>

/** {ok, code, turns, layers[]{turns, direction, pitch_m, start_m, end_m, parked_turns, first_line, last_line}, time_s,
 *  speed_most_rpm, lines, blocks, errors[]{line, text}, warnings[]{line, text}}, and with a winding
 *  wire_speed_most_m_s and position_error_most_m. A new reference; NULL without memory. */
json_t *cw_replay_json(const cw_replay *replay);

#endif
