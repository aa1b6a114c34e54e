/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet's field in words: at its gap, along sweeps, what remains of the pull, original against new. */
#include "work/work_internal.h"

#include <math.h>
#include <string.h>

/* ---- words ----------------------------------------------------------------------------------------------------- */

static void say_parts(const cw_field_result *result, cw_text *text)
{
    const cw_part_result *first;

    if (result->saturates_first < 0)
        return;
    first = &result->part[result->saturates_first];
    cw_text_print(text, "  saturates first  %s, at %.2f T (%.0f %% of its saturation), %.0f %% of the ampere-turns\n",
                  first->name, first->density_t, 100 * first->saturation, 100 * first->share);
    for (size_t i = 0; i < result->part_count; i++)
        if ((int)i != result->saturates_first)
            cw_text_print(text, "                   %s %.2f T (%.0f %%)\n", result->part[i].name,
                          result->part[i].density_t, 100 * result->part[i].saturation);
}

static void say_pull(const cw_work_field_study *study, cw_unit_system units, cw_text *text)
{
    const cw_field_result *hot = &study->hot;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "  pull             %s, computed to %.1f %%; by the stress round what moves %s, %.2f %% apart\n",
                  cw_work__quantity(&notes, CW_FORCE, hot->force_n, units, 4), 100 * hot->error_estimate,
                  cw_work__quantity(&notes, CW_FORCE, hot->force_stress_n, units, 4), 100 * fabs(hot->force_difference));
    if (!hot->reached)
        cw_text_add(text, "                   the mesh could not be made as fine as wished: take the figure as rough\n");
    cw_text_print(text, "  pull, cold       %s at %s\n", cw_work__quantity(&notes, CW_FORCE, study->cold.force_n, units, 4),
                  cw_work__quantity(&notes, CW_CURRENT, study->cold_current_a, units, 3));
    if (isfinite(study->pull_needed_n))
        cw_text_print(text, "  asked for        %s: %s\n",
                      cw_work__quantity(&notes, CW_FORCE, study->pull_needed_n, units, 3),
                      hot->force_n >= study->pull_needed_n
                          ? cw_work__note(&notes, "it pulls %.2f times that", hot->force_n / study->pull_needed_n)
                          : "it does not pull so hard");
    if (isfinite(study->hand.force_n))
        cw_text_print(text, "  by hand          %s, without leakage and fringing\n",
                      cw_work__quantity(&notes, CW_FORCE, study->hand.force_n, units, 3));
    cw_work__notes_clear(&notes);
}

/* ---- sweeps ----------------------------------------------------------------------------------------------------- */

static const char *place_of(const cw_work_sweep *sweep, size_t i, cw_work__notes *notes, cw_unit_system units)
{
    if (sweep->kind == CW_SWEEP_IRON)
        return cw_work__note(notes, "%s", sweep->iron[i]);
    return cw_work__quantity(notes, sweep->kind == CW_SWEEP_CURRENT ? CW_CURRENT : CW_LENGTH, sweep->at[i], units, 3);
}

static const char *fullest(const cw_field_result *result, cw_work__notes *notes)
{
    const cw_part_result *first;

    if (result->saturates_first < 0)
        return "";
    first = &result->part[result->saturates_first];
    return cw_work__note(notes, "%s %.2f T, %.0f %%", first->name, first->density_t, 100 * first->saturation);
}

static void say_sweep(const cw_work_sweep *sweep, cw_unit_system units, cw_text *text)
{
    static const char *const names[] = { "gap", "current", "plate", "iron of the plate" };
    const int width = sweep->kind == CW_SWEEP_IRON ? 28 : 12;
    cw_work__notes notes = { 0 };

    if (sweep->count == 0)
        return;
    cw_text_print(text, "\n  %-*s  %-11s  %-11s  %-12s  %-10s  %-7s  %s\n", width, names[sweep->kind], "pull", "by hand",
                  "flux linkage", "inductance", "leakage", "nearest to saturation");
    for (size_t i = 0; i < sweep->count; i++) {
        const cw_field_result *field = &sweep->field[i];

        cw_text_print(text, "  %-*s  %-11s  %-11s  %-12s  %-10s  %-7s  %s\n", width, place_of(sweep, i, &notes, units),
                      cw_work__quantity(&notes, CW_FORCE, field->force_n, units, 4),
                      isfinite(sweep->hand[i].force_n)
                          ? cw_work__quantity(&notes, CW_FORCE, sweep->hand[i].force_n, units, 3) : "-",
                      cw_work__note(&notes, "%.4g Wb", cw_work__linkage(field)),
                      cw_work__quantity(&notes, CW_INDUCTANCE, field->inductance_h, units, 4),
                      cw_work__note(&notes, "%.2f", field->leakage_factor), fullest(field, &notes));
    }
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}

/* ---- holding ---------------------------------------------------------------------------------------------------- */

/* Blanks up to a width in characters, not bytes. */
static void pad(cw_text *text, const char *word, int width)
{
    int characters = 0;

    for (const char *c = word; *c != '\0'; c++)
        characters += ((unsigned char)*c & 0xc0) != 0x80;
    cw_text_print(text, "%s%*s", word, width > characters ? width - characters : 0, "");
}

const char *cw_work__usual_share(const cw_holding_step *step, cw_work__notes *notes)
{
    if (isnan(step->usual_low))
        return "";
    if (step->usual_high - step->usual_low < 0.005)
        return cw_work__note(notes, "%.0f %% by %s; %s", 100 * step->usual_low, step->basis,
                             cw_basis_trust_name(step->trust));
    return cw_work__note(notes, "%.0f to %.0f %% by %s; %s", 100 * step->usual_low, 100 * step->usual_high, step->basis,
                         cw_basis_trust_name(step->trust));
}

static void say_steps(const cw_work_holding *holding, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    for (size_t i = 0; i < holding->step_count; i++) {
        const cw_holding_step *step = &holding->step[i];

        cw_text_add(text, "    ");
        pad(text, step->what, 37);
        cw_text_print(text, "%-11s", cw_work__quantity(&notes, CW_FORCE, step->force_n, units, 4));
        if (i > 0)
            cw_text_print(text, " %3.0f %%", 100 * step->share);
        if (isfinite(step->usual_low))
            cw_text_print(text, "  (%s)", cw_work__usual_share(step, &notes));
        cw_text_add(text, "\n");
    }
    cw_work__notes_clear(&notes);
}

static void say_plate(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                      const char *indent, cw_text *text)
{
    const double own = study->magnet.plate_thickness_m, least = holding->plate_least_m;
    cw_work__notes notes = { 0 };

    if (!isfinite(least))
        return;
    if (own < least)
        cw_text_print(text, "%sThe plate is too thin: it is %s thick, and the pole's flux asks for %s at the least. What "
                      "does not find its way through it does not pull.\n", indent,
                      cw_work__quantity(&notes, CW_LENGTH, own, units, 3), cw_work__quantity(&notes, CW_LENGTH, least, units, 3));
    else
        cw_text_print(text, "%sThe plate is thick enough: %s, where the pole's flux asks for %s at the least.\n", indent,
                      cw_work__quantity(&notes, CW_LENGTH, own, units, 3),
                      cw_work__quantity(&notes, CW_LENGTH, least, units, 3));
    if (fmin(holding->covered[0], holding->covered[1]) < 0.995)
        cw_text_print(text, "%sIt covers %.0f %% of the %s and %.0f %% of the %s.%s\n", indent, 100 * holding->covered[0],
                      study->magnet.shape == CW_MAGNET_U ? "left pole" : "pole", 100 * holding->covered[1],
                      study->magnet.shape == CW_MAGNET_U ? "right pole" : "rim",
                      study->cover < 1 ? " The share that cover: names is taken off every pull; what crowds into the rest "
                      "is not counted on." : "");
    cw_work__notes_clear(&notes);
}

static void say_faces(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                      const char *indent, cw_text *text)
{
    const bool layer = study->layer_m > 0;
    cw_work__notes notes = { 0 };

    if (study->face[0] != '\0')
        cw_text_print(text, "%sFaces that are %s%s, pulled together, amount to a gap of %s to %s (a lifting magnet maker's "
                      "page; %s): %s to %s.%s%s\n", indent, study->face, layer ? " with that layer between" : "",
                      cw_work__quantity(&notes, CW_LENGTH, study->face_gap_m[0], units, 2),
                      cw_work__quantity(&notes, CW_LENGTH, study->face_gap_m[1], units, 2),
                      cw_basis_trust_name(CW_BASIS_WEB),
                      cw_work__quantity(&notes, CW_FORCE, holding->face_force_n[0], units, 3),
                      cw_work__quantity(&notes, CW_FORCE, holding->face_force_n[1], units, 3),
                      study->face[0] == 'g' ? " Ground faces have no figure of their own and are taken as machined." : "",
                      study->gap_from_face ? " The middle of it is the gap here." : "");
    if (isfinite(holding->residual_n[1]))
        cw_text_print(text, "%sSwitched off, %s to %s stay, by the coercivity of the irons%s%s (%s); a reversed pulse or a "
                      "layer of brass takes it.\n", indent,
                      cw_work__quantity(&notes, CW_FORCE, holding->residual_n[0], units, 2),
                      cw_work__quantity(&notes, CW_FORCE, holding->residual_n[1], units, 2),
                      holding->residual_without[0] != '\0' ? "; nothing is known of that of " : "",
                      holding->residual_without,
                      cw_basis_trust_name(holding->residual_trust == 'S' ? CW_BASIS_WEB : CW_BASIS_MEMORY));
    if (study->magnet.shape != CW_MAGNET_PLUNGER)
        cw_text_print(text, "%sAlong the faces friction holds %s to %s, 15 to 20 %% of the pull (a magnet maker's note; "
                      "%s).\n", indent, cw_work__quantity(&notes, CW_FORCE, holding->slide_n[0], units, 2),
                      cw_work__quantity(&notes, CW_FORCE, holding->slide_n[1], units, 2),
                      cw_basis_trust_name(CW_BASIS_WEB));
    cw_work__notes_clear(&notes);
}

void cw_work__holding_remarks(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                              const char *indent, cw_text *text)
{
    say_plate(study, holding, units, indent, text);
    say_faces(study, holding, units, indent, text);
    cw_text_print(text, "%sA computed pull is no rating: lifting gear and brakes that hold a load are the work of those who "
                        "are licensed for it.\n", indent);
}

void cw_work_holding_text(const cw_work_field_study *study, const cw_work_holding *holding, cw_unit_system units,
                          cw_text *text)
{
    const cw_holding_step *best = &holding->step[0], *last = &holding->step[holding->step_count - 1];
    const bool plate = cw_work__has_plate(&study->magnet);
    cw_work__notes notes = { 0 };

    cw_text_print(text, "What remains of the pull: %s of %s, %.0f %%. At its best the winding is cold and machined faces "
                  "lie together%s.\n", cw_work__quantity(&notes, CW_FORCE, last->force_n, units, 4),
                  cw_work__quantity(&notes, CW_FORCE, best->force_n, units, 4), 100 * last->force_n / best->force_n,
                  plate ? ", a thick plate of the magnet's own iron over all of the poles" : "");
    say_steps(holding, units, text);
    cw_work__holding_remarks(study, holding, units, "  ", text);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}

/* ---- original and new -------------------------------------------------------------------------------------------- */

static void say_ratio(const char *what, const char *original, const char *rewound, double ratio, cw_text *text)
{
    cw_text_add(text, "    ");
    pad(text, what, 23);
    pad(text, original, 13);
    cw_text_add(text, rewound);
    if (isfinite(ratio)) {
        pad(text, "", 11 - (int)strlen(rewound));
        cw_text_print(text, "%4.0f %%", 100 * ratio);
    }
    cw_text_add(text, "\n");
}

static void say_row(const char *what, cw_kind kind, double original, double rewound, int digits, cw_unit_system units,
                    cw_text *text)
{
    cw_work__notes notes = { 0 };

    if (isfinite(original) && isfinite(rewound))
        say_ratio(what, cw_work__quantity(&notes, kind, original, units, digits),
                  cw_work__quantity(&notes, kind, rewound, units, digits),
                  kind == CW_TEMPERATURE ? NAN : rewound / original, text);
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}

static void say_rewind(const cw_work_rewind *rewind, cw_unit_system units, cw_text *text)
{
    const cw_rewind_side *a = &rewind->original, *b = &rewind->rewound;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "\nOriginal and new winding in this magnet at the same supply, hot; the original at the medians of "
                  "%.0f to %.0f turns and %s to %s:\n%27s%-13s%s\n", rewind->turns_low, rewind->turns_high,
                  cw_work__quantity(&notes, CW_RESISTANCE, rewind->ohm_low, units, 4),
                  cw_work__quantity(&notes, CW_RESISTANCE, rewind->ohm_high, units, 4), "", "original", "new");
    say_ratio("turns", cw_work__note(&notes, "%.0f", a->turns), cw_work__note(&notes, "%.0f", b->turns), b->turns / a->turns,
              text);
    say_row("resistance at 20 °C", CW_RESISTANCE, a->resistance_20c_ohm, b->resistance_20c_ohm, 4, units, text);
    say_row("winding", CW_TEMPERATURE, a->winding_c, b->winding_c, 3, units, text);
    say_row("current", CW_CURRENT, a->current_a, b->current_a, 3, units, text);
    say_row("power while on", CW_POWER, a->power_w, b->power_w, 3, units, text);
    say_ratio("ampere-turns", cw_work__note(&notes, "%.0f", a->ampere_turns), cw_work__note(&notes, "%.0f", b->ampere_turns),
              b->ampere_turns / a->ampere_turns, text);
    say_row("pull", CW_FORCE, a->force_n, b->force_n, 4, units, text);
    say_row("pull at the open gap", CW_FORCE, a->open_force_n, b->open_force_n, 3, units, text);
    say_row("inductance, closed", CW_INDUCTANCE, a->inductance_h, b->inductance_h, 3, units, text);
    say_row("time constant, closed", CW_TIME, a->time_constant_s, b->time_constant_s, 3, units, text);
    cw_work__notes_clear(&notes);
}

/* ---- all of it --------------------------------------------------------------------------------------------------- */

void cw_work_field_text(const cw_work_field_study *study, const cw_work_sweep *sweeps, size_t sweep_count,
                        const cw_work_holding *holding, const cw_work_rewind *rewind, cw_unit_system units,
                        cw_text *text)
{
    const cw_field_result *hot = &study->hot;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "At a gap of %s, %s in %.0f turns%s: %.0f ampere-turns, the winding at about %s.\n",
                  cw_work__quantity(&notes, CW_LENGTH, study->magnet.gap_m, units, 3),
                  cw_work__quantity(&notes, CW_CURRENT, study->magnet.current_a, units, 3), study->magnet.coil.turns,
                  study->coil_count > 1 ? " on each leg" : "", hot->ampere_turns,
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->winding_c, units, 3));
    say_pull(study, units, text);
    cw_text_print(text, "  flux linkage     %.4g Wb%s\n", cw_work__linkage(hot),
                  isfinite(study->hand.flux_linkage_wb)
                      ? cw_work__note(&notes, "; by hand %.3g Wb", study->hand.flux_linkage_wb) : "");
    cw_text_print(text, "  inductance       %s, for small changes %s\n",
                  cw_work__quantity(&notes, CW_INDUCTANCE, hot->inductance_h, units, 4),
                  cw_work__quantity(&notes, CW_INDUCTANCE, hot->incremental_inductance_h, units, 4));
    cw_text_print(text, "  stored energy    %s\n", cw_work__quantity(&notes, CW_ENERGY, hot->energy_j, units, 3));
    if (isfinite(hot->leakage_factor))
        cw_text_print(text, "  leakage factor   %.2f, the flux of the fullest iron over that of what moves\n",
                      hot->leakage_factor);
    say_parts(hot, text);
    for (size_t i = 0; i < sweep_count; i++)
        say_sweep(&sweeps[i], units, text);
    if (holding != NULL) {
        cw_text_add(text, "\n");
        cw_work_holding_text(study, holding, units, text);
    }
    if (rewind != NULL)
        say_rewind(rewind, units, text);
    cw_text_add(text, "\nSteel of one name differs from bar to bar, and faces are rougher than drawn: where iron saturates or "
                      "the gap is small, take the pull as a guide.\n");
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
