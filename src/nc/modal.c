/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The modal state and how the words of a block change it. Order: [NC 3], the report's table 8. */
#include "nc/nc_interpreter.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

cw_status cw_nc__refuse_block(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error, const char *format,
                              ...)
{
    cw_place at = { reader->name, block->line, 0 };
    char text[600];
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    return cw_refuse(error, &at, NULL, "%s", text);
}

void cw_nc__remark(cw_errors *errors, const char *name, int line, const char *format, ...)
{
    cw_place at = { name, line, 0 };
    cw_error remark;
    char text[600];
    va_list arguments;

    if (errors == NULL)
        return;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    cw_refuse(&remark, &at, NULL, "%s", text);
    cw_errors_add(errors, &remark);
}

void cw_nc__interpreter_start(cw_nc_interpreter *interpreter, cw_nc_dialect dialect, const cw_machine *machine,
                              const char *name, cw_errors *warnings)
{
    cw_nc_state *state = &interpreter->state;

    memset(interpreter, 0, sizeof *interpreter);
    cw_nc__vocabulary(dialect, &interpreter->reader.vocabulary);
    interpreter->reader.name = name;
    interpreter->machine_inches = machine->inches;
    interpreter->warnings = warnings;
    interpreter->reader.parameters[5220] = 1;
    state->motion = CW_NC_NO_MOTION;
    state->absolute = true;
    state->feed_mode_known = dialect == CW_NC_NGC; /* the lathe families differ in what they start with */
    state->feed_mode = CW_NC_PER_MINUTE;
    state->inches = machine->inches;
    state->diameter = machine->diameter && machine->code != CW_ROTARY_A; /* X runs along the coil there */
    state->spindle = CW_NC_SPINDLE_OFF;
    state->shift_on = true;
}

static double length_scale(const cw_nc_state *state)
{
    return state->inches ? 0.0254 : 0.001;
}

/* Step 2 and 3. A feed mode, even the one in force, clears F in the descendant [NC 5]; F keeps the units in force
 * before the block, since units come later. */
static void apply_feed(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state)
{
    const cw_nc_word *mode = block->code[CW_NC_FEED_MODE];

    if (mode != NULL) {
        if (interpreter->reader.vocabulary.dialect == CW_NC_NGC || mode->meaning != state->feed_mode)
            state->feed_given = false;
        state->feed_mode = mode->meaning;
        state->feed_mode_known = true;
    }
    if (cw_nc__has(block, 'F')) {
        state->feed = cw_nc__value(block, 'F');
        state->feed_scale = length_scale(state);
        state->feed_given = true;
    }
}

/* Steps 4 and 7, with the spindle modes. */
static cw_status apply_spindle(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                               cw_error *error)
{
    const cw_nc_word *mode = block->code[CW_NC_SPINDLE_MODE], *turn = block->code[CW_NC_SPINDLE];
    const cw_nc_word *other = block->code[CW_NC_NON_MODAL];

    if (other != NULL && other->meaning == CW_NC_SPEED_LIMIT && cw_nc__has(block, 'S')) {
        state->speed_limit_rpm = cw_nc__value(block, 'S');
        return CW_OK;
    }
    if (mode != NULL) {
        bool surface = mode->meaning == CW_NC_SURFACE_SPEED;

        if (!cw_nc__has(block, 'S') && surface != state->surface)
            return cw_nc__refuse_block(&interpreter->reader, block, error,
                                       "G96 and G97 want the speed they are for, S, on their line.");
        state->surface = surface;
        if (surface)
            state->speed_limit_rpm = cw_nc__has(block, 'D') ? cw_nc__value(block, 'D') : state->speed_limit_rpm;
    }
    if (cw_nc__has(block, 'S'))
        state->speed = cw_nc__value(block, 'S');
    if (turn != NULL)
        state->spindle = turn->meaning;
    return CW_OK;
}

/* Steps 12 to 17. */
static void apply_coordinates(const cw_nc_block *block, cw_nc_state *state)
{
    const cw_nc_word *units = block->code[CW_NC_UNITS], *offset = block->code[CW_NC_OFFSET];
    const cw_nc_word *path = block->code[CW_NC_PATH], *distance = block->code[CW_NC_DISTANCE];
    const cw_nc_word *lathe_x = block->code[CW_NC_LATHE_X];

    if (units != NULL) {
        state->inches = units->meaning == CW_NC_INCH;
        state->units_known = true;
    }
    if (lathe_x != NULL)
        state->diameter = lathe_x->meaning == CW_NC_DIAMETER;
    if (offset != NULL)
        state->offset = offset->argument - 1;
    if (path != NULL)
        state->exact = path->meaning == CW_NC_EXACT;
    if (distance != NULL)
        state->absolute = distance->meaning == CW_NC_ABSOLUTE;
}

cw_status cw_nc__apply_modes(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                             cw_error *error)
{
    const cw_nc_word *motion = block->code[CW_NC_MOTION];
    cw_status status;

    apply_feed(interpreter, block, state);
    status = apply_spindle(interpreter, block, state, error);
    if (status != CW_OK)
        return status;
    apply_coordinates(block, state);
    if (motion != NULL)
        state->motion = motion->meaning;
    return CW_OK;
}

double cw_nc__target_rpm(const cw_nc_state *state)
{
    double rpm = state->speed;

    if (state->spindle == CW_NC_SPINDLE_OFF)
        return 0;
    if (state->surface) { /* metres or feet a minute over the circumference at X */
        double metres = state->inches ? state->speed * 0.3048 : state->speed;

        rpm = metres / (2 * 3.14159265358979323846 * fmax(fabs(state->at[CW_NC_X]), 1e-4));
        if (state->speed_limit_rpm > 0)
            rpm = fmin(rpm, state->speed_limit_rpm);
    }
    return state->spindle == CW_NC_CLOCKWISE ? rpm : -rpm;
}
