/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A magnet's field in words and as a document. */
#include "work/magnet_json.h"
#include "work/work_internal.h"

#include "field/field_json.h"

#include <math.h>

static double linkage(const cw_field_result *result)
{
    double sum = 0;

    for (int c = 0; c < CW_MOST_MAGNET_COILS; c++)
        sum += result->flux_linkage_wb[c];
    return sum;
}

/* ---- document -------------------------------------------------------------------------------------------------- */

json_t *cw_work_field_json(const cw_work_field_study *study, const cw_field_result *curve, size_t count)
{
    json_t *document = cw_field_json(&study->hot, curve, count, &study->hand), *more;

    more = json_pack("{s:f, s:f, s:f, s:o, s:{s:f, s:f, s:f, s:f, s:f}}", "current_a", study->magnet.current_a,
                     "winding_c", study->winding_c, "turns", study->magnet.coil.turns, "pull_needed_n",
                     isnan(study->pull_needed_n) ? json_null() : json_real(study->pull_needed_n), "cold", "current_a",
                     study->cold_current_a, "ampere_turns", study->cold.ampere_turns, "force_n", study->cold.force_n,
                     "flux_linkage_wb", linkage(&study->cold), "inductance_h", study->cold.inductance_h);
    if (document == NULL || more == NULL || json_object_update(document, more) != 0) {
        json_decref(document);
        document = NULL;
    }
    json_decref(more);
    return document;
}

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
    cw_text_print(text, "  by hand          %s, without leakage and fringing\n",
                  cw_work__quantity(&notes, CW_FORCE, study->hand.force_n, units, 3));
    cw_work__notes_clear(&notes);
}

static void say_curve(const cw_field_result *curve, size_t count, cw_unit_system units, cw_text *text)
{
    cw_work__notes notes = { 0 };

    if (count > 0)
        cw_text_print(text, "\n  %-12s  %-12s  %-13s  %s\n", "gap", "pull", "flux linkage", "inductance");
    for (size_t i = 0; i < count; i++)
        cw_text_print(text, "  %-12s  %-12s  %-13s  %s\n",
                      cw_work__quantity(&notes, CW_LENGTH, curve[i].gap_m, units, 3),
                      cw_work__quantity(&notes, CW_FORCE, curve[i].force_n, units, 4),
                      cw_work__note(&notes, "%.4g Wb", linkage(&curve[i])),
                      cw_work__quantity(&notes, CW_INDUCTANCE, curve[i].inductance_h, units, 4));
    cw_work__notes_clear(&notes);
}

void cw_work_field_text(const cw_work_field_study *study, const cw_field_result *curve, size_t count,
                        cw_unit_system units, cw_text *text)
{
    const cw_field_result *hot = &study->hot;
    cw_work__notes notes = { 0 };

    cw_text_print(text, "At a gap of %s, %s in %.0f turns%s: %.0f ampere-turns, the winding at about %s.\n",
                  cw_work__quantity(&notes, CW_LENGTH, study->magnet.gap_m, units, 3),
                  cw_work__quantity(&notes, CW_CURRENT, study->magnet.current_a, units, 3), study->magnet.coil.turns,
                  study->coil_count > 1 ? " on each leg" : "", hot->ampere_turns,
                  cw_work__quantity(&notes, CW_TEMPERATURE, study->winding_c, units, 3));
    say_pull(study, units, text);
    cw_text_print(text, "  flux linkage     %.4g Wb; by hand %.3g Wb\n", linkage(hot), study->hand.flux_linkage_wb);
    cw_text_print(text, "  inductance       %s, for small changes %s\n",
                  cw_work__quantity(&notes, CW_INDUCTANCE, hot->inductance_h, units, 4),
                  cw_work__quantity(&notes, CW_INDUCTANCE, hot->incremental_inductance_h, units, 4));
    cw_text_print(text, "  stored energy    %s\n", cw_work__quantity(&notes, CW_ENERGY, hot->energy_j, units, 3));
    say_parts(hot, text);
    say_curve(curve, count, units, text);
    cw_text_add(text, "\nSteel of one name differs from bar to bar, and faces are rougher than drawn: where iron saturates or "
                      "the gap is small, take the pull as a guide.\n");
    text->failed = text->failed || notes.failed;
    cw_work__notes_clear(&notes);
}
