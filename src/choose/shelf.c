/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the spools on the shelf can give. */
#include "choose/choose_internal.h"

#include <math.h>
#include <string.h>

enum { MOST_SPOOLS = 64 }; /* of one wire; a shelf with more lends its first 64 */

bool cw_choose__spool_is(const cw_spool *spool, const cw_wire *wire)
{
    return spool->build == wire->build && spool->material == wire->material &&
           strcmp(spool->size, wire->size.name) == 0;
}

double cw_choose__spool_length(const cw_spool *spool, const cw_wire *wire)
{
    if (spool->length_m > 0)
        return spool->length_m;
    return spool->mass_kg > 0 ? spool->mass_kg / wire->mass_kg_per_m : 0;
}

double cw_choose__shelf_length(const cw_choose__problem *problem, const cw_wire *wire)
{
    const cw_choice_request *request = problem->request;
    double sum = 0;

    for (size_t i = 0; i < request->stock_count; i++)
        if (cw_choose__spool_is(&request->stock[i], wire))
            sum += cw_choose__spool_length(&request->stock[i], wire);
    return sum;
}

/* Lowest class among the spools of this wire; NAN where none is stated. */
double cw_choose__shelf_class(const cw_choose__problem *problem, const cw_wire *wire)
{
    const cw_choice_request *request = problem->request;
    double lowest = NAN;

    for (size_t i = 0; i < request->stock_count; i++)
        if (cw_choose__spool_is(&request->stock[i], wire) && request->stock[i].thermal_class_c > 0)
            lowest = fmin(lowest, request->stock[i].thermal_class_c);
    return lowest;
}

double cw_choose__with_margin(double length_m, int in_hand)
{
    return length_m * (1 + CW_CHOICE_MARGIN) + in_hand * CW_CHOICE_ENDS_M;
}

double cw_choose__all_with_margin(const cw_choose__problem *problem, double length_m, int in_hand)
{
    return cw_choose__with_margin(problem->sections * length_m, in_hand);
}

/* Lengths of the spools of a wire, longest first, with their prices. */
static size_t collect(const cw_choose__problem *problem, const cw_wire *wire, double length[MOST_SPOOLS],
                      double price_per_m[MOST_SPOOLS])
{
    const cw_choice_request *request = problem->request;
    size_t count = 0;

    for (size_t i = 0; i < request->stock_count && count < MOST_SPOOLS; i++) {
        const cw_spool *spool = &request->stock[i];
        const double l = cw_choose__spool_is(spool, wire) ? cw_choose__spool_length(spool, wire) : 0;
        size_t at = count;

        if (!(l > 0))
            continue;
        for (; at > 0 && length[at - 1] < l; at--) {
            length[at] = length[at - 1];
            price_per_m[at] = price_per_m[at - 1];
        }
        length[at] = l;
        price_per_m[at] = spool->price >= 0 ? spool->price / l : NAN;
        count++;
    }
    return count;
}

/* Strands are cut from the longest spools first. A strand that no single spool can give any more is pieced together. */
void cw_choose__shelf_fill(const cw_choose__problem *problem, cw_choice_option *option)
{
    const double strand = option->wire_length_m / option->in_hand;
    double length[MOST_SPOOLS], price_per_m[MOST_SPOOLS], wanted = option->wire_length_m, cost = 0, total = 0;
    const size_t count = collect(problem, &option->wire, length, price_per_m);
    int whole = 0;

    for (size_t i = 0; i < count; i++) {
        const double taken = fmin(wanted, length[i]);

        whole += (int)fmin(8, floor(length[i] / strand * (1 + 1e-12)));
        total += length[i];
        cost += taken > 0 ? taken * price_per_m[i] : 0;
        wanted -= taken;
    }
    option->on_shelf = count > 0;
    option->from_stock = count > 0 && total >= option->wire_length_m;
    option->joints = count > 0 && whole < option->in_hand ? option->in_hand - whole : 0;
    option->cost = option->from_stock ? cost : NAN;
}
