/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Change gears for a pitch [NC 13.3]: pitch = leadscrew * a/b * c/d. A shop's forty gears give two million sets of four
 * at most, so all are tried. */
#include "coilwright/nc.h"

#include <math.h>
#include <string.h>

static const double climb = 1e-6;  /* finer by more than this share makes turns climb */

typedef struct search {
    const cw_machine *machine;
    double pitch_m;
    cw_gearing *found;
    size_t count, room;
} search;

static bool is_finer(const search *at, const cw_gearing *gearing)
{
    return gearing->pitch_m < at->pitch_m * (1 - climb);
}

/* Coarser before finer, then nearer, then those that mesh, then fewer gears. */
static bool better(const search *at, const cw_gearing *one, const cw_gearing *other)
{
    double off = fabs(one->pitch_m - at->pitch_m), than = fabs(other->pitch_m - at->pitch_m);

    if (is_finer(at, one) != is_finer(at, other))
        return !is_finer(at, one);
    if (fabs(off - than) > 1e-9 * at->pitch_m)
        return off < than;
    if (one->meshes != other->meshes)
        return one->meshes;
    return (one->c == 0) > (other->c == 0);
}

static bool same_pitch(const search *at, const cw_gearing *one, const cw_gearing *other)
{
    return fabs(one->pitch_m - other->pitch_m) <= 1e-9 * at->pitch_m;
}

/* Keeps the list sorted, with one set for each pitch: the best of those that give it. */
static void offer(search *at, const cw_gearing *gearing)
{
    size_t place = at->count;

    if (at->count == at->room && !better(at, gearing, &at->found[at->count - 1]))
        return;
    for (size_t i = 0; i < at->count; i++) {
        if (!same_pitch(at, gearing, &at->found[i]))
            continue;
        if (better(at, gearing, &at->found[i]))
            at->found[i] = *gearing;
        return;
    }
    if (at->count < at->room)
        at->count++;
    else
        place--;
    for (; place > 0 && better(at, gearing, &at->found[place - 1]); place--)
        at->found[place] = at->found[place - 1];
    at->found[place] = *gearing;
}

static void try_set(search *at, int a, int b, int c, int d)
{
    cw_gearing gearing = { a, b, c, d, at->machine->leadscrew_m * a / b, true };

    if (c > 0) {
        gearing.pitch_m *= (double)c / d;
        gearing.meshes = a + b >= c + 15 && c + d >= b + 15;
    }
    if (fabs(gearing.pitch_m - at->pitch_m) <= 0.2 * at->pitch_m)
        offer(at, &gearing);
}

size_t cw_gearing_search(const cw_machine *machine, double pitch_m, cw_gearing *found, size_t room)
{
    search at = { machine, pitch_m, found, 0, room };
    const int *gears = machine->gears;
    size_t count = machine->gear_count;

    if (!(machine->leadscrew_m > 0) || !(pitch_m > 0) || room == 0)
        return 0;
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++) {
            if (i == j || gears[i] <= 0 || gears[j] <= 0)
                continue;
            try_set(&at, gears[i], gears[j], 0, 0);
            for (size_t k = i + 1; k < count; k++) /* swapped drivers give the same pitch, but may mesh: below */
                for (size_t l = 0; l < count; l++) {
                    if (k == j || l == i || l == j || l == k || gears[k] <= 0 || gears[l] <= 0)
                        continue;
                    try_set(&at, gears[i], gears[j], gears[k], gears[l]);
                    try_set(&at, gears[k], gears[j], gears[i], gears[l]);
                }
        }
    return at.count;
}
