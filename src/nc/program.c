/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Programs as a whole: written, and taken only where their replay is the winding. */
#include "nc/nc_writer.h"

#include <string.h>

static bool is_sheet(const cw_machine *machine)
{
    return machine->kind == CW_MANUAL_LATHE || machine->kind == CW_HAND;
}

static cw_status write_sheet(const cw_program_request *request, cw_text *text, cw_error *error)
{
    cw_machine machine = *request->machine;
    cw_status status;

    cw_machine_defaults(&machine);
    status = cw_machine_check(&machine, error);
    if (status != CW_OK)
        return status;
    if (machine.kind == CW_MANUAL_LATHE)
        return cw_nc__write_manual_sheet(request, &machine, text, error);
    return cw_nc__write_hand_sheet(request, &machine, text, error);
}

/* % frames the program; the lathe families want a number behind it [NC 1.9]. */
static void write_program(const cw_nc_plan *plan, cw_text *text)
{
    cw_nc_emitter emitter;

    cw_nc__emit_start(&emitter, text, &plan->machine);
    cw_text_add(text, "%\n");
    if (emitter.dialect != CW_NC_NGC)
        cw_text_add(text, "O1000 (WINDING)\n");
    cw_nc__write_header(&emitter, plan);
    if (plan->machine.code == CW_ROTARY_A)
        cw_nc__write_rotary(&emitter, plan);
    else
        cw_nc__write_lathe(&emitter, plan);
    cw_text_add(text, "%\n");
}

cw_status cw_program_write(const cw_program_request *request, cw_text *text, cw_error *error)
{
    cw_nc_plan plan;
    cw_text written = { 0 };
    cw_status status;

    if (is_sheet(request->machine))
        return write_sheet(request, text, error);
    status = cw_nc__plan_make(request, &plan, error);
    if (status != CW_OK)
        return status;
    write_program(&plan, &written);
    cw_nc__plan_clear(&plan);
    if (!written.failed)
        cw_text_add_bytes(text, written.data, written.length);
    if (written.failed || text->failed)
        status = cw_no_memory(error);
    cw_text_clear(&written);
    return status;
}

/* Lines that the user added are the user's to mend; the rest is ours. */
static cw_status refuse_replay(const cw_program_request *request, const cw_replay *replay, cw_error *error)
{
    const cw_error *first = &replay->errors.items[0];

    if (request->machine->start_block != NULL || request->machine->end_block != NULL)
        return cw_refuse(error, NULL, "start and end blocks that leave units, offsets and modes alone",
                         "With the machine's own start and end blocks the program does not wind the winding; line %d: "
                         "%s",
                         first->line, first->text);
    return cw_fail(error, "The program written does not wind the winding, which is a mistake in Coilwright; it was not "
                          "kept. Line %d: %s",
                   first->line, first->text);
}

cw_status cw_program_accept(const cw_program_request *request, cw_text *text, cw_replay **replay, cw_error *error)
{
    cw_replay_request judged = { 0 };
    cw_replay *result = NULL;
    cw_text written = { 0 };
    cw_status status = cw_program_write(request, &written, error);

    if (replay != NULL)
        *replay = NULL;
    judged.machine = request->machine;
    judged.winding = request->winding;
    if (status == CW_OK && !is_sheet(request->machine)) {
        status = cw_replay_text(&judged, written.data, written.length, &result, error);
        if (status == CW_OK && !result->ok)
            status = refuse_replay(request, result, error);
    }
    if (status == CW_OK) {
        cw_text_add_bytes(text, written.data, written.length);
        if (text->failed)
            status = cw_no_memory(error);
    }
    if (status == CW_OK && replay != NULL) {
        *replay = result;
        result = NULL;
    }
    cw_text_clear(&written);
    cw_replay_destroy(&result);
    return status;
}
