/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Winding programs in any dialect: the first byte says which machine, the second which switches.
 *
 * Promises: a program is judged, never a failure; errors carry a line of the program; the turns of the layers are not more
 * than all turns; turns are told in order. */
#include "fuzz/target.h"

#include "coilwright/nc.h"

#include <math.h>

typedef struct listener {
    long count;
} listener;

static void hear(void *context, const cw_laid_turn *turn)
{
    listener *heard = context;

    PROMISE(turn->number == heard->count + 1);
    PROMISE(isfinite(turn->guide_m) && isfinite(turn->wire_m));
    heard->count++;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const cw_machine_kind kinds[] = { CW_LATHE_THREAD, CW_LATHE_THREAD, CW_LATHE_THREAD, CW_LATHE_FEED,
                                             CW_LATHE_FEED, CW_ROTARY_WINDER };
    cw_replay_request request = { .name = "fuzz.ngc" };
    cw_replay *replay = NULL;
    listener heard = { 0 };
    cw_machine machine;
    cw_error error;

    if (size < 2)
        return 0;
    cw_machine_init(&machine);
    machine.code = (cw_code)(data[0] % CW_NO_CODE);
    machine.kind = kinds[machine.code];
    machine.inches = (data[1] & 1) != 0;
    machine.diameter = (data[1] & 2) != 0;
    machine.chained = (data[1] & 16) != 0;
    cw_machine_defaults(&machine);
    request.machine = (data[1] & 32) != 0 ? NULL : &machine;
    request.block_delete = (data[1] & 4) != 0;
    request.ignore_optional_stop = (data[1] & 8) != 0;
    request.bundle_m = (data[1] & 64) != 0 ? 0.3e-3 : 0;
    request.listener = hear;
    request.context = &heard;
    PROMISE(cw_replay_text(&request, (const char *)data + 2, size - 2, &replay, &error) == CW_OK);
    PROMISE(replay->ok == (replay->errors.count == 0));
    for (size_t i = 0; i < replay->errors.count; i++)
        PROMISE(replay->errors.items[i].line >= 0 && replay->errors.items[i].line <= replay->lines + 1);
    PROMISE(isfinite(replay->turns) && isfinite(replay->time_s) && replay->time_s >= 0);
    cw_replay_destroy(&replay);
    return 0;
}
