/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sheets for machines that read no programs: a manual lathe with a feed, a hand winder with a counter. Plain text. */
#include "nc/nc_writer.h"

#include <math.h>
#include <stdio.h>

enum { SETS = 4 };

static void write_top(const cw_program_request *request, const cw_machine *machine, const char *title, cw_text *text)
{
    const cw_winding *winding = request->winding;
    const cw_wire *wire = &winding->plan.wire;
    char length[40];
    cw_handling handling;

    cw_text_print(text, "%s\n", title);
    if (request->job != NULL && request->job[0] != '\0')
        cw_text_print(text, "Job: %s\n", request->job);
    if (request->note != NULL && request->note[0] != '\0')
        cw_text_print(text, "Note: %s\n", request->note);
    cw_nc__show_length(machine, wire->overall_diameter_m.nominal, 1, length, sizeof length);
    cw_text_print(text, "Wire: %s %s %s, %s over all, %d in hand\n", wire->size.name,
                  cw_build_trade_name(wire->size.system, wire->build), cw_material_name(wire->material), length,
                  winding->plan.in_hand);
    if (winding->second_layer > 0)
        cw_text_print(text, "From layer %zu on: %s %s\n", winding->second_layer + 1, winding->second_wire.size.name,
                      cw_build_trade_name(winding->second_wire.size.system, winding->second_wire.build));
    cw_nc__show_length(machine, winding->plan.window.length_m, 0, length, sizeof length);
    cw_text_print(text, "%ld turns in %zu layers between flanges %s apart\n", winding->turns, winding->layer_count,
                  length);
    cw_handling_of(winding, &handling);
    if (isfinite(handling.tension_low_n))
        cw_text_print(text, "Tension: %.2g to %.2g N (%.0f to %.0f gf) each wire, measured behind the guide\n",
                      handling.tension_low_n, handling.tension_high_n, handling.tension_low_n * 1000 / 9.80665,
                      handling.tension_high_n * 1000 / 9.80665);
    cw_nc__show_length(machine, handling.guide_radius_m, -1, length, sizeof length);
    cw_text_print(text, "Guide: polished, no edge sharper than a radius of %s%s\n", length,
                  handling.splice_allowed ? "" : "; no splice in wire as fine as this");
    cw_text_print(text, "Speed: %g rpm, %g rpm for the first and last three turns of a layer\n", machine->speed_rpm,
                  machine->slow_speed_rpm);
    cw_text_add(text, "No gloves, no loop of wire round a finger or hand; sleeves tight, hair tied, eye protection.\n"
                      "Spool behind a guard, free end taped; never reach over the turning coil.\n\n");
}

static void write_layer(const cw_program_request *request, const cw_machine *machine, size_t index, cw_text *text)
{
    const cw_layer *layer = &request->winding->layers[index];
    char from[40], to[40];

    cw_nc__show_length(machine, layer->start_m, 0, from, sizeof from);
    cw_nc__show_length(machine, layer->end_m, 0, to, sizeof to);
    cw_text_print(text, "[ ] %4zu  %6ld  %s  %12s %12s  %8ld%s\n", index + 1, layer->turns,
                  layer->direction > 0 ? "out " : "back", from, to, layer->turns_total,
                  cw_winding_section_behind(request->winding, index) > 0 ? "  then the next section"
                  : index + 1 == request->winding->second_layer ? "  insulation, then the other wire"
                  : layer->insulation_after                   ? "  insulation" : "");
}

/* Totals by ourselves: a winding made by hand may not have them filled in. */
static void write_layers(const cw_program_request *request, const cw_machine *machine, cw_text *text)
{
    long total = 0;
    size_t stop = 0;

    cw_text_add(text, "done layer turns   way    from           to         counter\n");
    for (size_t i = 0; i < request->winding->layer_count; i++) {
        total += request->winding->layers[i].turns;
        while (stop < request->stop_count && request->stops[stop].turn <= total) {
            cw_text_print(text, "      stop at turn %ld: %s\n", request->stops[stop].turn,
                          request->stops[stop].reason != NULL ? request->stops[stop].reason : "");
            stop++;
        }
        write_layer(request, machine, i, text);
    }
    cw_text_print(text, "\nCounter zero with the start lead on top; %ld turns at the end. Tape the end before it is "
                        "cut.\n",
                  total);
}

/* ---- manual lathe -------------------------------------------------------------------------------------------- */

/* The nearest feed that is not finer; the nearest at all where none is. */
static double choose_feed(const cw_machine *machine, double pitch_m)
{
    double best = NAN;

    for (size_t i = 0; i < machine->feed_count; i++) {
        double feed = machine->feeds_m[i];
        bool fits = feed >= pitch_m * (1 - 1e-6), held = best >= pitch_m * (1 - 1e-6);

        if (isnan(best) || (fits && !held) || (fits == held && fabs(feed - pitch_m) < fabs(best - pitch_m)))
            best = feed;
    }
    return best;
}

static void write_pitch(const cw_machine *machine, const char *what, double is_m, double wanted_m, double bundle_m,
                        cw_text *text)
{
    double error = (is_m / wanted_m - 1) * 100;
    char is[40];

    cw_nc__show_length(machine, is_m, machine->pitch_decimals - machine->decimals, is, sizeof is);
    cw_text_print(text, "  %-24s %s a turn, %+.2f %%%s\n", what, is, error,
                  is_m < bundle_m * (1 - 1e-3) ? ": finer than the wire, turns climb" :
                  is_m > bundle_m * 1.15 ? ": gaps" : "");
}

static void write_feeds(const cw_machine *machine, double pitch_m, double bundle_m, cw_text *text)
{
    cw_gearing sets[SETS];
    size_t count = cw_gearing_search(machine, pitch_m, sets, SETS);
    double feed = choose_feed(machine, pitch_m);
    char what[60];

    if (isfinite(feed))
        write_pitch(machine, "feed on the plate", feed, pitch_m, bundle_m, text);
    for (size_t i = 0; i < count; i++) {
        if (sets[i].c > 0)
            snprintf(what, sizeof what, "%d/%d * %d/%d%s", sets[i].a, sets[i].b, sets[i].c, sets[i].d,
                     sets[i].meshes ? "" : " (try)");
        else
            snprintf(what, sizeof what, "%d/%d", sets[i].a, sets[i].b);
        write_pitch(machine, what, sets[i].pitch_m, pitch_m, bundle_m, text);
    }
    if (count > 0)
        cw_text_add(text, "  drivers over driven, from the spindle; (try): may not mesh on the banjo\n");
}

cw_status cw_nc__write_manual_sheet(const cw_program_request *request, const cw_machine *machine, cw_text *text,
                                    cw_error *error)
{
    const size_t second = request->winding->second_layer;
    double pitch_m = request->winding->layer_count > 0 ? request->winding->layers[0].pitch_m : 0;
    char wanted[40];

    if (!(pitch_m > 0))
        return cw_refuse(error, NULL, NULL, "The winding has no layers, so there is nothing to wind.");
    if (machine->feed_count == 0 && !(machine->gear_count >= 2 && machine->leadscrew_m > 0))
        return cw_refuse(error, NULL, "the feeds on the lathe's plate, or its leadscrew's pitch and its gears",
                         "The manual lathe has neither feeds nor change gears to choose from.");
    write_top(request, machine, "Winding sheet for a manual lathe", text);
    cw_nc__show_length(machine, pitch_m, machine->pitch_decimals - machine->decimals, wanted, sizeof wanted);
    cw_text_print(text, "Pitch wanted: %s a turn. To choose from:\n", wanted);
    write_feeds(machine, pitch_m, cw_nc__bundle(request->winding, 0), text);
    if (second > 0) {
        cw_nc__show_length(machine, request->winding->layers[second].pitch_m, machine->pitch_decimals - machine->decimals,
                           wanted, sizeof wanted);
        cw_text_print(text, "From layer %zu on, %s: %s a turn.\n", second + 1, request->winding->second_wire.size.name,
                      wanted);
        write_feeds(machine, request->winding->layers[second].pitch_m, cw_nc__bundle(request->winding, second), text);
    }
    cw_text_add(text, "  Feeds on plates are rounded: measure over 100 turns with a dial indicator.\n"
                      "  Reverse the feed at standstill or a crawl; the half-nut stays closed.\n");
    if (machine->backlash_m > 0)
        cw_text_print(text, "  Lost motion lays %.1f turns at each reversal: take it up by hand first.\n",
                      machine->backlash_m / pitch_m);
    cw_text_add(text, "\n");
    write_layers(request, machine, text);
    return text->failed ? cw_no_memory(error) : CW_OK;
}

cw_status cw_nc__write_hand_sheet(const cw_program_request *request, const cw_machine *machine, cw_text *text,
                                  cw_error *error)
{
    if (request->winding->layer_count == 0)
        return cw_refuse(error, NULL, NULL, "The winding has no layers, so there is nothing to wind.");
    write_top(request, machine, "Winding sheet for a hand winder", text);
    write_layers(request, machine, text);
    return text->failed ? cw_no_memory(error) : CW_OK;
}
