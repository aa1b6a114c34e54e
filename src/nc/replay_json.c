/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Turns are numbers: a layer that was disturbed need not hold whole ones. */
#include "nc/nc_json.h"

#include <math.h>

static json_t *number(double value)
{
    if (value == rint(value) && fabs(value) < 1e15)
        return json_integer((json_int_t)value);
    return json_real(value);
}

static json_t *layer_json(const cw_replay_layer *layer)
{
    return json_pack("{s:o, s:i, s:f, s:f, s:f, s:f, s:i, s:i}", "turns", number(layer->turns), "direction",
                     layer->direction, "pitch_m", layer->pitch_m, "start_m", layer->start_m, "end_m", layer->end_m,
                     "parked_turns", layer->parked_turns, "first_line", layer->first_line, "last_line",
                     layer->last_line);
}

static int append_remarks(json_t *list, const cw_errors *remarks)
{
    int failed = list == NULL;

    for (size_t i = 0; !failed && i < remarks->count; i++)
        failed = json_array_append_new(list, json_pack("{s:i, s:s}", "line", remarks->items[i].line, "text",
                                                       remarks->items[i].text));
    return failed;
}

static int fill(json_t *document, const cw_replay *replay)
{
    json_t *layers = json_array(), *errors = json_array(), *warnings = json_array();
    int failed = layers == NULL;

    for (size_t i = 0; !failed && i < replay->layer_count; i++)
        failed = json_array_append_new(layers, layer_json(&replay->layers[i]));
    failed |= append_remarks(errors, &replay->errors);
    failed |= append_remarks(warnings, &replay->warnings);
    failed |= json_object_set_new(document, "ok", json_boolean(replay->ok));
    failed |= json_object_set_new(document, "code", json_string(cw_code_name(replay->code)));
    failed |= json_object_set_new(document, "turns", number(replay->turns));
    failed |= json_object_set_new(document, "layers", layers);
    failed |= json_object_set_new(document, "time_s", json_real(replay->time_s));
    failed |= json_object_set_new(document, "speed_most_rpm", json_real(replay->speed_most_rpm));
    if (isfinite(replay->wire_speed_most_m_s))
        failed |= json_object_set_new(document, "wire_speed_most_m_s", json_real(replay->wire_speed_most_m_s));
    if (isfinite(replay->position_error_most_m))
        failed |= json_object_set_new(document, "position_error_most_m", json_real(replay->position_error_most_m));
    failed |= json_object_set_new(document, "lines", json_integer(replay->lines));
    failed |= json_object_set_new(document, "blocks", json_integer(replay->blocks));
    failed |= json_object_set_new(document, "errors", errors);
    failed |= json_object_set_new(document, "warnings", warnings);
    return failed;
}

json_t *cw_replay_json(const cw_replay *replay)
{
    json_t *document = json_object();

    if (document != NULL && fill(document, replay)) {
        json_decref(document);
        return NULL;
    }
    return document;
}
