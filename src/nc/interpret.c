/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a block and the modal state to one action of the machine. */
#include "nc/nc_interpreter.h"

#include <math.h>
#include <string.h>

static const char axis_letters[] = "XYZABC";

static bool means(const cw_nc_block *block, cw_nc_group group, cw_nc_meaning meaning)
{
    return block->code[group] != NULL && block->code[group]->meaning == meaning;
}

static bool rotary(int axis)
{
    return axis >= CW_NC_A;
}

/* Metres or degrees for one unit of an axis word. */
static double axis_scale(const cw_nc_state *state, int axis)
{
    if (rotary(axis))
        return 1;
    return (state->inches ? 0.0254 : 0.001) * (axis == CW_NC_X && state->diameter ? 0.5 : 1);
}

static double origin(const cw_nc_state *state, int axis)
{
    return state->offsets[state->offset][axis] + (state->shift_on ? state->shift[axis] : 0);
}

static void warn_once(cw_nc_interpreter *interpreter, unsigned which, int line, const char *text)
{
    if (interpreter->warned & which)
        return;
    interpreter->warned |= which;
    cw_nc__remark(interpreter->warnings, interpreter->reader.name, line, "%s", text);
}

/* ---- where a block goes -------------------------------------------------------------------------------------- */

static bool dwells(const cw_nc_block *block)
{
    return means(block, CW_NC_NON_MODAL, CW_NC_DWELL);
}

static bool is_lathe(const cw_nc_interpreter *interpreter)
{
    return interpreter->reader.vocabulary.dialect != CW_NC_NGC;
}

/* On lathes X and U of a dwell are times. */
static bool axis_given(const cw_nc_interpreter *interpreter, const cw_nc_block *block, int axis)
{
    if (axis == CW_NC_X && dwells(block) && is_lathe(interpreter))
        return false;
    return cw_nc__has(block, axis_letters[axis]);
}

static bool step_given(const cw_nc_interpreter *interpreter, const cw_nc_block *block, int axis)
{
    if (axis == CW_NC_X)
        return cw_nc__has(block, 'U') && !dwells(block);
    return axis == CW_NC_Z && is_lathe(interpreter) && cw_nc__has(block, 'W');
}

/* The point that the axis words of a block name, in machine coordinates. Axes that are not named stay. */
static cw_status named_point(const cw_nc_interpreter *interpreter, const cw_nc_block *block, const cw_nc_state *state,
                             double point[CW_NC_AXES], bool *any, cw_error *error)
{
    bool machine = means(block, CW_NC_NON_MODAL, CW_NC_MACHINE_COORDINATES);

    *any = false;
    for (int axis = 0; axis < CW_NC_AXES; axis++) {
        bool given = axis_given(interpreter, block, axis), step = step_given(interpreter, block, axis);
        double scale = axis_scale(state, axis);

        point[axis] = state->at[axis];
        if (given && step)
            return cw_nc__refuse_block(&interpreter->reader, block, error,
                                       "%c and its step %c stand on one line.", axis_letters[axis],
                                       axis == CW_NC_X ? 'U' : 'W');
        if (given) {
            double value = cw_nc__value(block, axis_letters[axis]) * scale;

            point[axis] = machine ? value : state->absolute ? value + origin(state, axis) : state->at[axis] + value;
        } else if (step) {
            point[axis] += cw_nc__value(block, axis == CW_NC_X ? 'U' : 'W') * scale;
        }
        *any = *any || given || step;
    }
    return CW_OK;
}

/* ---- how it goes there --------------------------------------------------------------------------------------- */

static cw_status want_spindle(const cw_nc_interpreter *interpreter, const cw_nc_block *block, const cw_nc_state *state,
                              const char *what, cw_error *error)
{
    if (state->spindle == CW_NC_SPINDLE_OFF)
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "%s needs the spindle, and it does not turn; M3 or M4 must come first.", what);
    if (!(state->speed > 0))
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "%s needs the spindle, and its speed S is zero.", what);
    return CW_OK;
}

static bool moves_rotary(const cw_nc_move *move)
{
    return move->to[CW_NC_A] != move->from[CW_NC_A] || move->to[CW_NC_B] != move->from[CW_NC_B] ||
           move->to[CW_NC_C] != move->from[CW_NC_C];
}

static bool moves_linear(const cw_nc_move *move)
{
    return move->to[CW_NC_X] != move->from[CW_NC_X] || move->to[CW_NC_Y] != move->from[CW_NC_Y] ||
           move->to[CW_NC_Z] != move->from[CW_NC_Z];
}

static cw_status thread_drive(const cw_nc_interpreter *interpreter, const cw_nc_block *block, const cw_nc_state *state,
                              cw_nc_move *move, cw_error *error)
{
    cw_nc_dialect dialect = interpreter->reader.vocabulary.dialect;
    const char *code = dialect == CW_NC_F32 ? "G32" : "G33";
    cw_status status = want_spindle(interpreter, block, state, code, error);

    if (status != CW_OK)
        return status;
    if (state->surface)
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "%s under G96, whose spindle speed follows X; winding wants G97.", code);
    if (moves_rotary(move))
        return cw_nc__refuse_block(&interpreter->reader, block, error, "%s moves a rotary axis.", code);
    if (dialect == CW_NC_NGC) {
        if (!cw_nc__has(block, 'K'))
            return cw_nc__refuse_block(&interpreter->reader, block, error,
                                       "%s stands without its pitch K, which every such block needs.", code);
        move->rate = cw_nc__value(block, 'K') * (state->inches ? 0.0254 : 0.001);
    } else {
        if (!state->feed_given)
            return cw_nc__refuse_block(&interpreter->reader, block, error, "%s stands without its lead F.", code);
        move->rate = state->feed * state->feed_scale;
        move->long_axis = true;
    }
    if (!(move->rate > 0))
        return cw_nc__refuse_block(&interpreter->reader, block, error, "The pitch of %s is not above zero.", code);
    move->drive = CW_NC_BY_INDEX;
    return CW_OK;
}

static cw_status feed_drive(const cw_nc_interpreter *interpreter, const cw_nc_block *block, const cw_nc_state *state,
                            cw_nc_move *move, cw_error *error)
{
    if (!state->feed_mode_known)
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "G1 moves before the program has said whether F counts per minute or per turn.");
    if (state->feed_mode == CW_NC_INVERSE_TIME && !cw_nc__has(block, 'F'))
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "Under G93 every G1 block needs its own F, and this one has none.");
    if (!state->feed_given)
        return cw_nc__refuse_block(&interpreter->reader, block, error, "G1 moves without a feed F.");
    if (!(state->feed > 0))
        return cw_nc__refuse_block(&interpreter->reader, block, error, "G1 moves with a feed F of zero.");
    move->rate = state->feed;
    move->drive = CW_NC_BY_DURATION;
    if (state->feed_mode == CW_NC_PER_TURN) {
        move->rate *= state->feed_scale;
        move->drive = CW_NC_BY_TURN;
        if (moves_rotary(move))
            return cw_nc__refuse_block(&interpreter->reader, block, error,
                                       "A rotary axis moves at a feed per turn of the spindle.");
        return want_spindle(interpreter, block, state, "A feed per turn", error);
    }
    if (state->feed_mode == CW_NC_PER_MINUTE) {
        bool length = moves_linear(move);

        move->rate *= length ? state->feed_scale : 1;
        move->drive = length ? CW_NC_BY_SPEED : CW_NC_BY_ANGLE;
    }
    return CW_OK;
}

static cw_status straight_move(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                               cw_nc_action *action, cw_error *error)
{
    cw_nc_move *move = &action->moves[0];
    bool machine = means(block, CW_NC_NON_MODAL, CW_NC_MACHINE_COORDINATES), any;
    cw_status status;

    memcpy(move->from, state->at, sizeof move->from);
    status = named_point(interpreter, block, state, move->to, &any, error);
    if (status != CW_OK || (!any && !machine))
        return status;
    if (machine && (!any || !state->absolute || (state->motion != CW_NC_RAPID && state->motion != CW_NC_FEED)))
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "G53 wants G90, G0 or G1, and an axis word to move to.");
    if (state->motion == CW_NC_NO_MOTION)
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "Axis words stand without a motion code in force, as G0, G1 or a thread.");
    move->exact = state->exact;
    move->long_axis = false;
    move->drive = CW_NC_BY_RAPID;
    move->rate = 0;
    if (state->motion == CW_NC_THREAD)
        status = thread_drive(interpreter, block, state, move, error);
    else if (state->motion == CW_NC_FEED)
        status = feed_drive(interpreter, block, state, move, error);
    if (status != CW_OK)
        return status;
    action->move_count = 1;
    memcpy(state->at, move->to, sizeof state->at);
    return CW_OK;
}

/* Over the named point to the place in parameters 5161... or 5181...: all axes in the report, the named ones on
 * lathes. */
static cw_status go_home(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state, int first,
                         cw_nc_action *action, cw_error *error)
{
    bool any;
    cw_nc_move *over = &action->moves[0], *home = &action->moves[1];
    cw_status status;

    memset(action->moves, 0, sizeof action->moves);
    over->drive = home->drive = CW_NC_BY_RAPID;
    over->exact = home->exact = true;
    memcpy(over->from, state->at, sizeof over->from);
    status = named_point(interpreter, block, state, over->to, &any, error);
    if (status != CW_OK)
        return status;
    if (!any)
        return cw_nc__refuse_block(&interpreter->reader, block, error, "G28 and G30 want an axis word.");
    memcpy(home->from, over->to, sizeof home->from);
    for (int axis = 0; axis < CW_NC_AXES; axis++) {
        bool goes = !is_lathe(interpreter) || axis_given(interpreter, block, axis) ||
                    step_given(interpreter, block, axis);

        home->to[axis] = goes ? interpreter->reader.parameters[first + axis] *
                                (rotary(axis) ? 1 : state->inches ? 0.0254 : 0.001) : home->from[axis];
    }
    action->move_count = 2;
    memcpy(state->at, home->to, sizeof state->at);
    return CW_OK;
}

/* ---- offsets ------------------------------------------------------------------------------------------------- */

static cw_status set_offset(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                            cw_error *error)
{
    long which = 1;

    (void)error;
    cw_nc__is_integer(cw_nc__value(block, 'P'), &which);
    for (int axis = 0; axis < CW_NC_AXES; axis++)
        if (axis_given(interpreter, block, axis))
            state->offsets[which - 1][axis] = cw_nc__value(block, axis_letters[axis]) * axis_scale(state, axis);
    return CW_OK;
}

static cw_status set_shift(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                           cw_error *error)
{
    bool any = false;

    for (int axis = 0; axis < CW_NC_AXES; axis++) {
        if (!axis_given(interpreter, block, axis))
            continue;
        any = true;
        state->shift[axis] = state->at[axis] - state->offsets[state->offset][axis] -
                             cw_nc__value(block, axis_letters[axis]) * axis_scale(state, axis);
    }
    state->shift_on = true;
    if (!any)
        return cw_nc__refuse_block(&interpreter->reader, block, error, "G92 wants an axis word.");
    return CW_OK;
}

static cw_status non_modal(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                           cw_nc_action *action, bool *took_axes, cw_error *error)
{
    const cw_nc_word *word = block->code[CW_NC_NON_MODAL];

    *took_axes = true;
    switch ((int)(word == NULL ? CW_NC_NO_EFFECT : word->meaning)) {
    case CW_NC_SET_OFFSET:
        return set_offset(interpreter, block, state, error);
    case CW_NC_SHIFT:
        return set_shift(interpreter, block, state, error);
    case CW_NC_HOME:
        return go_home(interpreter, block, state, 5161, action, error);
    case CW_NC_SECOND_HOME:
        return go_home(interpreter, block, state, 5181, action, error);
    case CW_NC_SPEED_LIMIT:
        if (!cw_nc__has(block, 'S'))
            return set_shift(interpreter, block, state, error);
        return CW_OK;
    case CW_NC_SHIFT_ZERO:
        memset(state->shift, 0, sizeof state->shift);
        break;
    case CW_NC_SHIFT_SUSPEND:
        state->shift_on = false;
        break;
    case CW_NC_SHIFT_RESTORE:
        state->shift_on = true;
        break;
    default:
        break;
    }
    *took_axes = false;
    return CW_OK;
}

/* ---- the block ----------------------------------------------------------------------------------------------- */

/* Seconds; P on the lathes counts milliseconds, X and U seconds [NC 11]. */
static double dwell_seconds(const cw_nc_interpreter *interpreter, const cw_nc_block *block)
{
    if (!is_lathe(interpreter))
        return cw_nc__value(block, 'P');
    if (cw_nc__has(block, 'X'))
        return cw_nc__value(block, 'X');
    if (cw_nc__has(block, 'U'))
        return cw_nc__value(block, 'U');
    return cw_nc__value(block, 'P') / 1000;
}

static bool moves_at_pitch(const cw_nc_action *action)
{
    return action->move_count == 1 && action->moves[0].drive == CW_NC_BY_INDEX;
}

static cw_status check_leftovers(const cw_nc_interpreter *interpreter, const cw_nc_block *block,
                                 const cw_nc_action *action, cw_error *error)
{
    if (interpreter->reader.vocabulary.dialect == CW_NC_NGC && cw_nc__has(block, 'K') && !moves_at_pitch(action))
        return cw_nc__refuse_block(&interpreter->reader, block, error,
                                   "The word K stands without a code that uses it.");
    return CW_OK;
}

/* Words that mean something else on the next machine [NC 3, 11]. */
static void warn_of_traps(cw_nc_interpreter *interpreter, const cw_nc_block *block, const cw_nc_action *action)
{
    if (action->move_count > 0 && !interpreter->state.units_known)
        warn_once(interpreter, CW_NC_WARNED_UNITS, block->line,
                  interpreter->machine_inches ? "The program moves before G20 or G21; read as inches, as the machine "
                                                "is set up." :
                                                "The program moves before G20 or G21; read as millimetres, as the "
                                                "machine is set up.");
    if (interpreter->state.surface && action->move_count > 0)
        warn_once(interpreter, CW_NC_WARNED_SURFACE, block->line,
                  "Under G96 the spindle's speed follows X; winding wants G97.");
    if (block->code[CW_NC_UNITS] != NULL && cw_nc__has(block, 'F'))
        warn_once(interpreter, CW_NC_WARNED_FEED_UNITS, block->line,
                  "F is taken before G20 or G21 on its line changes the units; put the units on a line before.");
    if (block->mixed_logic)
        warn_once(interpreter, CW_NC_WARNED_LOGIC, block->line,
                  "AND, OR or XOR beside + or - without brackets: controls differ in what comes first.");
    for (const char *letter = "XYZUW"; is_lathe(interpreter) && *letter != '\0'; letter++)
        if (cw_nc__has(block, *letter) && (block->whole & 1u << (*letter - 'A')) && cw_nc__value(block, *letter) != 0)
            warn_once(interpreter, CW_NC_WARNED_POINT, block->line,
                      "A position without a decimal point: some lathes read it as thousandths.");
    if (!is_lathe(interpreter) && block->code[CW_NC_RETURN] != NULL)
        warn_once(interpreter, CW_NC_WARNED_RETURN, block->line,
                  "G98 and G99 are no feed modes in RS-274/NGC; feed per turn is G95.");
}

static void take_settings(cw_nc_interpreter *interpreter, const cw_nc_block *block)
{
    for (size_t i = 0; i < block->setting_count; i++)
        interpreter->reader.parameters[block->settings[i].index] = block->settings[i].value;
}

/* Offsets as a program may read them back, in the units in force. */
static void show_offsets(cw_nc_interpreter *interpreter)
{
    const cw_nc_state *state = &interpreter->state;
    double *parameters = interpreter->reader.parameters;

    parameters[5220] = state->offset + 1;
    for (int axis = 0; axis < CW_NC_AXES; axis++) {
        double scale = axis_scale(state, axis);

        parameters[5211 + axis] = state->shift[axis] / scale;
        for (int which = 0; which < 9; which++) /* 5221, 5241, ... [NC 1.6] */
            parameters[5221 + 20 * which + axis] = state->offsets[which][axis] / scale;
    }
}

static bool changes_offsets(const cw_nc_block *block)
{
    const cw_nc_word *word = block->code[CW_NC_NON_MODAL];

    if (block->code[CW_NC_OFFSET] != NULL || block->code[CW_NC_UNITS] != NULL || block->code[CW_NC_LATHE_X] != NULL)
        return true;
    return word != NULL && (word->meaning == CW_NC_SET_OFFSET || word->meaning == CW_NC_SHIFT ||
                            word->meaning == CW_NC_SHIFT_ZERO || word->meaning == CW_NC_SPEED_LIMIT);
}

static cw_status act(const cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_state *state,
                     cw_nc_action *action, cw_error *error)
{
    bool took_axes = false;
    double rpm = cw_nc__target_rpm(state);
    cw_status status = cw_nc__apply_modes(interpreter, block, state, error);

    if (status != CW_OK)
        return status;
    action->target_rpm = cw_nc__target_rpm(state);
    action->spindle = action->target_rpm != rpm;
    if (dwells(block)) {
        action->dwell = true;
        action->dwell_s = dwell_seconds(interpreter, block);
    }
    status = non_modal(interpreter, block, state, action, &took_axes, error);
    if (status == CW_OK && !took_axes)
        status = straight_move(interpreter, block, state, action, error);
    if (status == CW_OK)
        status = check_leftovers(interpreter, block, action, error);
    if (block->code[CW_NC_STOPPING] != NULL) {
        action->stops = true;
        action->stop = block->code[CW_NC_STOPPING]->meaning;
    }
    return status;
}

cw_status cw_nc__interpret(cw_nc_interpreter *interpreter, const cw_nc_block *block, cw_nc_action *action,
                           cw_error *error)
{
    cw_nc_state state = interpreter->state;
    cw_status status = cw_nc__check_block(&interpreter->reader, block, error);

    action->line = block->line;
    action->any = block->codes > 0 || block->present != 0;
    action->breaks = block->m_count > 0 || cw_nc__has(block, 'S') || cw_nc__has(block, 'T') ||
                     block->code[CW_NC_NON_MODAL] != NULL || block->code[CW_NC_SPINDLE_MODE] != NULL;
    action->spindle = action->dwell = action->stops = false;
    action->move_count = 0;
    if (status != CW_OK)
        return status;
    if (!action->any) {
        take_settings(interpreter, block);
        return CW_OK;
    }
    status = act(interpreter, block, &state, action, error);
    if (status != CW_OK)
        return status;
    interpreter->state = state;
    warn_of_traps(interpreter, block, action);
    take_settings(interpreter, block);
    if (changes_offsets(block))
        show_offsets(interpreter);
    return CW_OK;
}
