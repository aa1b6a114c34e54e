/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Replay: lines are read, blocks interpreted, the machine follows. A program's frame: [NC 1.9]. */
#include "nc/nc_replay.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

typedef enum frame { BEFORE, FRAMED, UNFRAMED, ENDED } frame;

typedef struct player {
    cw_nc_lines lines;
    cw_nc_interpreter interpreter;
    cw_nc_simulation simulation;
    cw_nc_block block;
    cw_nc_action action;
    cw_machine machine;
    cw_replay *replay;
    const cw_replay_request *request;
    frame frame;
    bool fresh;          /* right behind the frame's start: a program number may stand here */
    bool broken;         /* something was wrong: from here on lines are read for their faults only */
} player;

/* ---- the frame ----------------------------------------------------------------------------------------------- */

static size_t skip_blanks(const char *text, size_t length, size_t at)
{
    while (at < length && (text[at] == ' ' || text[at] == '\t'))
        at++;
    return at;
}

/* % alone; on the lathes a title may follow. */
static bool is_percent(const player *play, const char *text, size_t length)
{
    size_t at = skip_blanks(text, length, 0);

    if (at == length || text[at] != '%')
        return false;
    return skip_blanks(text, length, at + 1) == length ||
           (play->frame == BEFORE && play->interpreter.reader.vocabulary.dialect != CW_NC_NGC);
}

/* O and digits, and at most a comment: the program's number. */
static bool is_program_number(const char *text, size_t length)
{
    size_t at = skip_blanks(text, length, 0), digits = 0;

    if (at == length || toupper((unsigned char)text[at]) != 'O')
        return false;
    for (at++; at < length && isdigit((unsigned char)text[at]); at++)
        digits++;
    at = skip_blanks(text, length, at);
    return digits > 0 && (at == length || text[at] == '(' || text[at] == ';');
}

/* Whether a line belongs to the frame and not to the program. */
static bool take_frame(player *play, const char *text, size_t length)
{
    if (skip_blanks(text, length, 0) == length)
        return true;
    if (is_percent(play, text, length) && (play->frame == BEFORE || play->frame == FRAMED)) {
        play->fresh = play->frame == BEFORE;
        play->frame = play->frame == BEFORE ? FRAMED : ENDED;
        return true;
    }
    if (play->frame == BEFORE) {
        play->frame = UNFRAMED;
        play->fresh = true;
    }
    if (play->fresh && is_program_number(text, length)) {
        play->fresh = false;
        return true;
    }
    play->fresh = false;
    return false;
}

/* ---- blocks -------------------------------------------------------------------------------------------------- */

static bool is_deleted(const player *play, const char *text, size_t length)
{
    size_t at = skip_blanks(text, length, 0);

    return play->request->block_delete && at < length && text[at] == '/';
}

static bool ends_program(const cw_nc_block *block)
{
    const cw_nc_word *word = block->code[CW_NC_STOPPING];

    return word != NULL && (word->meaning == CW_NC_END || word->meaning == CW_NC_END_AND_REWIND);
}

static void take_block(player *play, const char *text, size_t length)
{
    cw_error error;
    cw_status status = cw_nc__read_block(&play->interpreter.reader, text, length, play->lines.line, &play->block,
                                         &error);

    if (status == CW_OK && play->broken)
        status = cw_nc__check_block(&play->interpreter.reader, &play->block, &error);
    else if (status == CW_OK)
        status = cw_nc__interpret(&play->interpreter, &play->block, &play->action, &error);
    if (status != CW_OK) {
        cw_errors_add(&play->replay->errors, &error);
        play->broken = true;
        return;
    }
    if (ends_program(&play->block))
        play->frame = ENDED;
    if (play->broken || !play->action.any)
        return;
    play->replay->blocks++;
    if (!cw_nc__simulation_act(&play->simulation, &play->action, !play->request->ignore_optional_stop))
        play->broken = true;
}

static void play_lines(player *play)
{
    const char *text;
    size_t length;

    while (play->frame != ENDED && cw_nc__next_line(&play->lines, &text, &length))
        if (length > CW_NC_LINE_MOST || (!take_frame(play, text, length) && !is_deleted(play, text, length)))
            take_block(play, text, length);
    play->replay->lines = play->lines.line;
    if (play->frame != ENDED)
        cw_nc__remark(&play->replay->errors, play->request->name, play->lines.line,
                      play->frame == FRAMED ? "The program began with %% and ends without a second one, M2 or M30." :
                                              "The program ends without M2 or M30.");
    cw_nc__simulation_end(&play->simulation, play->lines.line);
}

/* ---- setting up ---------------------------------------------------------------------------------------------- */

static cw_machine_kind kind_for(cw_code code)
{
    if (code == CW_ROTARY_A)
        return CW_ROTARY_WINDER;
    return code == CW_G95 || code == CW_G99 ? CW_LATHE_FEED : CW_LATHE_THREAD;
}

/* The machine as asked for, or an ordinary one for the code that the program shows. */
static cw_status set_machine(player *play, int *traverse, cw_error *error)
{
    const cw_machine *given = play->request->machine;
    cw_code shown = cw_nc__detect(play->lines.bytes, play->lines.filled, traverse);
    bool programmable = given != NULL && given->kind <= CW_ROTARY_WINDER && given->code != CW_NO_CODE;

    cw_machine_init(&play->machine);
    if (given != NULL)
        play->machine = *given;
    if (!programmable) {
        play->machine.code = shown;
        play->machine.kind = kind_for(shown);
        if (given == NULL)
            play->machine.diameter = cw_nc__dialect_of(shown) != CW_NC_NGC;
    }
    if (play->machine.code == CW_ROTARY_A && shown != CW_ROTARY_A)
        *traverse = CW_NC_X;
    if (play->machine.code != CW_ROTARY_A)
        *traverse = CW_NC_Z;
    cw_machine_defaults(&play->machine);
    return cw_machine_check(&play->machine, error);
}

static void connect(player *play, int traverse)
{
    cw_nc_simulation *simulation = &play->simulation;
    cw_nc_lay *lay = &simulation->lay;
    const cw_winding *winding = play->request->winding;
    const char *name = play->request->name;

    cw_nc__interpreter_start(&play->interpreter, cw_nc__dialect_of(play->machine.code), &play->machine, name,
                             &play->replay->warnings);
    cw_nc__simulation_start(simulation, &play->machine);
    simulation->traverse = traverse;
    simulation->name = name;
    simulation->errors = &play->replay->errors;
    simulation->warnings = &play->replay->warnings;
    lay->replay = play->replay;
    lay->listener = play->request->listener;
    lay->context = play->request->context;
    lay->free_wire_m = play->machine.guide_distance_m;
    lay->judge.machine = &play->machine;
    lay->judge.winding = winding;
    lay->judge.bundle_m = winding != NULL ? cw_nc__bundle(winding, 0) : play->request->bundle_m;
    lay->judge.name = name;
    lay->judge.replay = play->replay;
}

static cw_status prepare(player *play, cw_error *error)
{
    int traverse;
    cw_status status;

    cw_nc__fill_lines(&play->lines);
    status = set_machine(play, &traverse, error);
    if (status != CW_OK)
        return status;
    play->replay->code = play->machine.code;
    play->replay->wire_speed_most_m_s = NAN;
    play->replay->position_error_most_m = play->request->winding != NULL ? 0 : NAN;
    connect(play, traverse);
    if (play->request->winding != NULL)
        status = cw_nc__path_make(play->request->winding, &play->machine, &play->simulation.lay.judge.path, error);
    return status;
}

cw_status cw_replay_stream(const cw_replay_request *request, cw_program_source source, void *source_context,
                           cw_replay **replay, cw_error *error)
{
    player *play = cw_allocate(1, sizeof *play);
    cw_replay *result = cw_allocate(1, sizeof *result);
    cw_status status = play != NULL && result != NULL ? CW_OK : cw_no_memory(error);

    *replay = NULL;
    if (status == CW_OK) {
        play->request = request;
        play->replay = result;
        play->lines.source = source;
        play->lines.context = source_context;
        status = prepare(play, error);
    }
    if (status == CW_OK) {
        play_lines(play);
        if (play->simulation.lay.failed)
            status = cw_no_memory(error);
    }
    if (status == CW_OK) {
        result->time_s = play->simulation.time_s;
        result->ok = result->errors.count == 0;
        *replay = result;
        result = NULL;
    }
    if (play != NULL)
        cw_nc__path_clear(&play->simulation.lay.judge.path);
    cw_free(play);
    cw_replay_destroy(&result);
    return status;
}

/* ---- from memory --------------------------------------------------------------------------------------------- */

typedef struct span {
    const char *text;
    size_t length;
} span;

static size_t read_span(void *context, char *buffer, size_t size)
{
    span *left = context;
    size_t count = left->length < size ? left->length : size;

    if (count > 0)
        memcpy(buffer, left->text, count);
    left->text += count;
    left->length -= count;
    return count;
}

cw_status cw_replay_text(const cw_replay_request *request, const char *text, size_t length, cw_replay **replay,
                         cw_error *error)
{
    span left = { text, length };

    return cw_replay_stream(request, read_span, &left, replay, error);
}

void cw_replay_destroy(cw_replay **replay)
{
    if (*replay == NULL)
        return;
    cw_free((*replay)->layers);
    cw_errors_clear(&(*replay)->errors);
    cw_errors_clear(&(*replay)->warnings);
    cw_free(*replay);
    *replay = NULL;
}
