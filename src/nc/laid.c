/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keeps what a replay tells of its turns. */
#include "coilwright/nc.h"

void cw_laid_turns_keep(void *context, const cw_laid_turn *turn)
{
    cw_laid_turns *laid = context;

    if (laid->count == CW_LAID_TURNS_MOST) {
        laid->more = true;
        return;
    }
    if (laid->count == laid->room) {
        const size_t room = laid->room == 0 ? 1024 : 2 * laid->room;
        cw_laid_turn *turns = laid->failed ? NULL : cw_reallocate(laid->turns, room, sizeof *turns);

        if (turns == NULL) {
            laid->failed = true;
            return;
        }
        laid->turns = turns;
        laid->room = room;
    }
    laid->turns[laid->count++] = *turn;
}

void cw_laid_turns_clear(cw_laid_turns *laid)
{
    cw_free(laid->turns);
    *laid = (cw_laid_turns){ 0 };
}

double cw_laid_turn_place(const cw_layer *layer, double turns)
{
    const double travel = (layer->end_m - layer->start_m) * layer->direction;
    const double way = (turns - 0.5) * layer->pitch_m;

    if (way <= 0)
        return layer->start_m;
    return way >= travel ? layer->end_m : layer->start_m + layer->direction * way;
}
