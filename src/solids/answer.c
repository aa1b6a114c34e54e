/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The helper's answer, piece by piece. It comes from a program of ours that may have gone wrong: nothing is believed. */
#include "solids/solids_internal.h"

#include <stdio.h>
#include <string.h>

typedef struct reader {
    const char *at, *end;
    cw_solid_group *group; /* the last begun */
    cw_error *error;
} reader;

static cw_status garbled(const reader *r)
{
    return cw_fail(r->error, "The helper for solids answered what cannot be read. Please report the job.");
}

/* The line at hand without its end, and past it. */
static bool take_line(reader *r, char line[200])
{
    const char *end = memchr(r->at, '\n', (size_t)(r->end - r->at));

    if (end == NULL || end - r->at >= 200)
        return false;
    memcpy(line, r->at, (size_t)(end - r->at));
    line[end - r->at] = '\0';
    r->at = end + 1;
    return true;
}

/* `count` times `size` bytes in memory of their own. */
static cw_status take_bytes(reader *r, size_t count, size_t size, void **bytes)
{
    *bytes = NULL;
    if (count == 0 || count > (size_t)(r->end - r->at) / size)
        return garbled(r);
    *bytes = cw_allocate(count, size);
    if (*bytes == NULL)
        return cw_no_memory(r->error);
    memcpy(*bytes, r->at, count * size);
    r->at += count * size;
    return CW_OK;
}

static cw_status take_group(reader *r, const char *name, size_t length, cw_solids *solids)
{
    void *step;
    cw_status status;

    r->group = strcmp(name, "former") == 0 ? &solids->former : strcmp(name, "arbor") == 0 ? &solids->arbor : &solids->print;
    if (r->group->step != NULL)
        return garbled(r);
    status = take_bytes(r, length, 1, &step);
    if (status != CW_OK)
        return status;
    r->group->step = step;
    r->group->step_length = length;
    snprintf(r->group->name, sizeof r->group->name, "%s", name);
    return CW_OK;
}

static cw_status take_piece(reader *r, const char *name, double volume_mm3, size_t nodes, size_t triangles)
{
    cw_solid *solid;
    void *bytes;
    cw_status status;

    if (r->group == NULL || r->group->piece_count == CW_SOLIDS_MOST || nodes > UINT32_MAX)
        return garbled(r);
    solid = &r->group->pieces[r->group->piece_count++];
    snprintf(solid->name, sizeof solid->name, "%s", name);
    solid->volume_m3 = 1e-9 * volume_mm3;
    status = take_bytes(r, nodes, sizeof *solid->shell.node_mm, &bytes);
    solid->shell.node_mm = bytes;
    solid->shell.node_count = nodes;
    if (status == CW_OK)
        status = take_bytes(r, triangles, sizeof *solid->shell.triangle, &bytes);
    if (status != CW_OK)
        return status;
    solid->shell.triangle = bytes;
    solid->shell.triangle_count = triangles;
    for (size_t t = 0; t < triangles; t++)
        for (int i = 0; i < 3; i++)
            if (solid->shell.triangle[t][i] >= nodes)
                return garbled(r);
    return cw_shell_orient(&solid->shell, r->error);
}

cw_status cw_solids__answer(const char *answer, size_t length, cw_solids *solids, cw_error *error)
{
    reader r = { answer, answer + length, NULL, error };
    cw_status status = CW_OK;

    while (status == CW_OK && r.at < r.end) {
        char line[200], name[64];
        size_t count, other;
        double volume;

        if (!take_line(&r, line))
            status = garbled(&r);
        else if (sscanf(line, "group %63s %zu", name, &count) == 2)
            status = take_group(&r, name, count, solids);
        else if (sscanf(line, "piece %63s %lf %zu %zu", name, &volume, &count, &other) == 4)
            status = take_piece(&r, name, volume, count, other);
        else
            status = garbled(&r);
    }
    return status;
}

void cw_solids__group_clear(cw_solid_group *group)
{
    for (size_t i = 0; i < group->piece_count; i++) {
        cw_free(group->pieces[i].shell.node_mm);
        cw_free(group->pieces[i].shell.triangle);
    }
    cw_free(group->step);
    memset(group, 0, sizeof *group);
}
