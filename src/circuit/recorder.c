/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A curve of bounded length: when full, every other point goes, and from then on every other step is kept. */
#include "circuit/circuit_internal.h"

cw_status cw_recorder__begin(cw_recorder *recorder, cw_error *error)
{
    recorder->points = cw_allocate(CW_MOST_SWITCH_POINTS, sizeof *recorder->points);
    recorder->count = 0;
    recorder->stride = 1;
    recorder->skipped = 0;
    return recorder->points != NULL ? CW_OK : cw_no_memory(error);
}

static void thin_out(cw_recorder *recorder)
{
    size_t kept = 0;

    for (size_t i = 0; i < recorder->count; i += 2)
        recorder->points[kept++] = recorder->points[i];
    recorder->count = kept;
    recorder->stride *= 2;
}

void cw_recorder__add(cw_recorder *recorder, const cw_switch_point *point, bool always)
{
    if (!always && ++recorder->skipped < recorder->stride)
        return;
    recorder->skipped = 0;
    if (recorder->count == CW_MOST_SWITCH_POINTS)
        thin_out(recorder);
    recorder->points[recorder->count++] = *point;
}
