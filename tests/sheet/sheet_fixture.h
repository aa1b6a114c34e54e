/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sheet with every part filled, made up by hand. Only for tests. */
#ifndef CW_TESTS_SHEET_FIXTURE_H
#define CW_TESTS_SHEET_FIXTURE_H

#include "coilwright/sheet.h"

static cw_layer fixture_layers[12];
static const cw_reading_mark fixture_readings[] = {
    { "resistance, sibling", "84.2 ohm at 24 \xC2\xB0""C", "84.6 ohm", -0.4, false },
    { "mass of stripped wire", "211 g", "186 g", 6.3, true },
};
static const cw_sheet_candidate fixture_candidates[] = {
    { "29 AWG heavy, copper", "1790 to 1905", "272 m", "82.9 ohm", 0.87 },
};
static const cw_sheet_limit fixture_limits[] = { { "at 20 \xC2\xB0""C", "84.0 ohm", "79.8 ohm", "88.2 ohm" } };
static const char *const fixture_reasons[] = { "Its class is <higher> & \"better\" than that of the former." };
static const cw_sheet_line fixture_order[] = { { "length", "290 m with 5 % to spare" } };
static const cw_sheet_line fixture_program[] = { { "machine", "lathe" }, { "speed", "60 rpm" } };
static const cw_sheet_line fixture_glance[] = { { "hot spot", "93 \xC2\xB0""C" }, { "pull", "4488 N" } };
static const cw_sheet_line fixture_label[] = { { "wire", "29 AWG heavy copper" }, { "turns", "1850" },
                                               { "at 20 \xC2\xB0""C", "84.0 ohm \xC2\xB1 5 %" } };
static const cw_sheet_check fixture_checks[] = {
    { "Winding resistance", "four-wire", "81.1 to 89.6 ohm", NULL, NULL },
    { "Earth bond", "from 12 V", "not above 0.1 ohm", "0.04 ohm", "pass" },
    { "Pull", "with a load cell", "not below 400 N", "310 N", "fail" },
};
static const cw_column fixture_columns[] = { { "step", CW_COLUMN_STRONG, 0.5 }, { "force", CW_COLUMN_RIGHT, 0.3 } };
static const char *const fixture_cells[] = { "at its best", "5000 N", "with a thin plate", "3100 N" };

static inline double fixture_height(cw_canvas *canvas, const void *figure, double width_mm)
{
    (void)canvas;
    (void)width_mm;
    return *(const double *)figure;
}

static inline void fixture_draw(cw_canvas *canvas, cw_box box, const void *figure)
{
    (void)figure;
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.5, CW_SOLID }, CW_SAND, box, 2);
    cw_canvas_write(canvas, (cw_type){ 12, CW_BOLD, CW_BLACK, CW_ALIGN_CENTRE }, box.x + box.width / 2,
                    box.y + box.height / 2, "a picture");
}

static const double fixture_tall = 70, fixture_endless = 900;
static const cw_sheet_block fixture_blocks[] = {
    { .part = CW_SHEET_FORMER, .heading = "The former's drawing",
      .picture = { fixture_draw, fixture_height, &fixture_tall, "The former in three views.", true } },
    { .part = CW_SHEET_MAGNET, .heading = "The magnet, hot", .text = "It pulls.", .lines = fixture_glance, .line_count = 2,
      .grid = { fixture_columns, 2, fixture_cells, 2 },
      .picture = { fixture_draw, fixture_height, &fixture_tall, "Its flux." } },
    { .part = CW_SHEET_HEAT, .heading = "Temperatures",
      .picture = { fixture_draw, fixture_height, &fixture_endless, "Its temperatures." } },
    { .part = CW_SHEET_SWITCHING, .heading = "Switching", .text = "Fit a diode." },
};

/* Twelve layers of 100 turns. */
static inline cw_winding fixture_winding(void)
{
    cw_winding w = { .layers = fixture_layers, .layer_count = 12, .turns_per_layer = 100, .pitch_m = 3.36e-4, .fits = true,
                     .turns = 1200 };

    w.plan.window = (cw_window){ .shape = CW_ROUND, .inner_m = { 0.03, 0.03 }, .length_m = 0.034, .depth_m = 0.006 };
    w.plan.in_hand = 1;
    w.plan.wire.overall_diameter_m = (cw_band){ 3.2e-4, 3.3e-4, 3.4e-4 };
    w.plan.wire.size.diameter_m = (cw_band){ 2.85e-4, 2.87e-4, 2.89e-4 };
    for (int i = 0; i < 12; i++) {
        const bool back = i % 2 == 1;

        fixture_layers[i] = (cw_layer){ .turns = 100, .direction = back ? -1 : 1, .pitch_m = 3.36e-4,
                                        .turns_total = 100 * (i + 1), .start_m = back ? 0.0336 : 0.0002, .end_m = back ? 0.0002 : 0.0336,
                                        .height_m = 1.65e-4 + 3.1e-4 * i, .diameter_m = 0.03 + 6.2e-4 * i };
    }
    w.depth_m = 0.0038;
    w.spare_m = 0.0022;
    return w;
}

static inline cw_sheet_content fixture_content(const cw_winding *winding)
{
    return (cw_sheet_content){
        .title = "Saw brake <left>", .machine = "Band saw & co", .note = "invented", .date = "2031-05-17",
        .readings = fixture_readings, .reading_count = 2, .candidates = fixture_candidates, .candidate_count = 1,
        .answer = "One candidate stands out.", .wire = "29 AWG", .covering = "heavy enamel, copper",
        .limits = fixture_limits, .limit_count = 1, .reasons = fixture_reasons, .reason_count = 1, .winding = winding,
        .order = fixture_order, .order_count = 1, .program = fixture_program, .program_count = 2, .checks = fixture_checks,
        .check_count = 3, .verdict = CW_SHEET_FAIL, .verdict_text = "of 3 tests 1 passed, 1 failed, 1 open",
        .glance = fixture_glance, .glance_count = 2, .blocks = fixture_blocks, .block_count = 4, .label = fixture_label,
        .label_count = 3,
    };
}

#endif
