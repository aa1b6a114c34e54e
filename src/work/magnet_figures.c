/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The magnet's figures: its flux, its pull over the gap, its pull over the plate's thickness.
 *
 * Between the points that were solved a curve runs by the cubic of M. Steffen (Astron. Astrophys. 239, 443, 1990), which
 * never leaves the range of its two neighbours. */
#include "work/work_internal.h"

#include "coilwright/flux_figure.h"

#include <math.h>

enum { STEPS = 8, SOLVED_MOST = CW_PULL_POINTS / STEPS };

static void choose_units(const cw_work *work, const cw_work_sweep *sweep, cw_work__plot *p)
{
    const bool inch = work->job->units == CW_INCH_UNITS;

    p->length_unit = inch ? "in" : "mm";
    p->force_unit = inch ? "lbf" : sweep->count > 0 && sweep->field[0].force_n > 20e3 ? "kN" : "N";
}

/* Slope at a point of the curve: that of the parabola through its neighbours, held back where it would overshoot. */
static double slope_at(const double *x, const double *y, size_t count, size_t i)
{
    double before, after, step_before, step_after, parabola;

    if (i == 0)
        return (y[1] - y[0]) / (x[1] - x[0]);
    if (i + 1 == count)
        return (y[i] - y[i - 1]) / (x[i] - x[i - 1]);
    step_before = x[i] - x[i - 1];
    step_after = x[i + 1] - x[i];
    before = (y[i] - y[i - 1]) / step_before;
    after = (y[i + 1] - y[i]) / step_after;
    parabola = (before * step_after + after * step_before) / (step_before + step_after);
    if (before * after <= 0)
        return 0;
    return copysign(fmin(fabs(parabola), 2 * fmin(fabs(before), fabs(after))), parabola);
}

static double between(const double *x, const double *y, size_t count, size_t i, double share)
{
    const double step = x[i + 1] - x[i], a = slope_at(x, y, count, i), b = slope_at(x, y, count, i + 1);
    const double t = share, rise = y[i + 1] - y[i];

    return y[i] + t * (step * a + t * (3 * rise - step * (2 * a + b) + t * (step * (a + b) - 2 * rise)));
}

static void add_curve(cw_work__plot *p, const char *name, const cw_work_sweep *sweep, cw_pen pen)
{
    const size_t c = p->count++;
    double x[SOLVED_MOST], y[SOLVED_MOST];
    size_t points = 0, count = 0;

    for (size_t i = 0; i < sweep->count && count < SOLVED_MOST; i++) {
        x[count] = cw_quantity_in(CW_LENGTH, sweep->at[i], p->length_unit);
        y[count] = cw_quantity_in(CW_FORCE, sweep->field[i].force_n, p->force_unit);
        if (count > 0 && !(x[count] > x[count - 1] * (1 + 1e-9)))
            continue; /* a place that was asked for twice */
        p->most_x = fmax(p->most_x, x[count++]);
    }
    for (size_t i = 0; i + 1 < count; i++)
        for (int k = 0; k < STEPS; k++, points++) {
            p->x[c][points] = x[i] + (x[i + 1] - x[i]) * k / STEPS;
            p->y[c][points] = between(x, y, count, i, (double)k / STEPS);
        }
    p->x[c][points] = x[count - 1];
    p->y[c][points] = y[count - 1];
    p->curve[c] = (cw_curve){ name, p->x[c], p->y[c], points + 1, pen, false };
}

/* Where the magnet stands: a ring on its curve. */
static void add_point(cw_work__plot *p, const char *name, double at_m, double force_n)
{
    const size_t c = p->count++;

    p->x[c][0] = cw_quantity_in(CW_LENGTH, at_m, p->length_unit);
    p->y[c][0] = cw_quantity_in(CW_FORCE, force_n, p->force_unit);
    p->curve[c] = (cw_curve){ name, p->x[c], p->y[c], 1, { CW_BLACK, 0.5, CW_SOLID }, true };
}

/* Across the whole frame; from nothing, so that the axis begins there. */
static void add_level(cw_work__plot *p, const char *name, double force_n)
{
    const size_t c = p->count++;

    p->x[c][0] = 0;
    p->x[c][1] = p->most_x;
    p->y[c][0] = p->y[c][1] = cw_quantity_in(CW_FORCE, force_n, p->force_unit);
    p->curve[c] = (cw_curve){ name, p->x[c], p->y[c], 2, { CW_RED, 0.35, CW_CHAIN }, false };
}

/* A pen that never touches the paper: the axes must reach down to nothing. */
static void add_origin(cw_work__plot *p)
{
    const size_t c = p->count++;

    p->x[c][0] = p->y[c][0] = 0;
    p->curve[c] = (cw_curve){ NULL, p->x[c], p->y[c], 1, { CW_NO_INK, 0, CW_SOLID }, false };
}

static void finish(cw_work__plot *p, cw_work__notes *notes, const char *x_title)
{
    p->plot = (cw_plot){ .x_title = cw_work__note(notes, "%s, %s", x_title, p->length_unit),
                         .y_title = cw_work__note(notes, "pull, %s", p->force_unit), .curves = p->curve,
                         .curve_count = p->count };
}

static void pull_over_gap(const cw_work *work, const cw_work_field_study *study, const cw_work__pulls *pulls,
                          cw_work__notes *notes, cw_work__plot *p)
{
    choose_units(work, &pulls->cold, p);
    add_curve(p, "cold", &pulls->cold, (cw_pen){ CW_ORANGE, 0.5, CW_SOLID });
    add_curve(p, "hot", &pulls->warm, (cw_pen){ CW_BLUE, 0.5, CW_SOLID });
    if (pulls->original.count > 0)
        add_curve(p, "original, hot", &pulls->original, (cw_pen){ CW_BLACK, 0.35, CW_DASHED });
    if (isfinite(study->pull_needed_n))
        add_level(p, "asked for", study->pull_needed_n);
    add_origin(p);
    add_point(p, "at its gap", study->magnet.gap_m, study->hot.force_n);
    finish(p, notes, "air gap");
}

static void pull_over_plate(const cw_work *work, const cw_work_field_study *study, const cw_work__pulls *pulls,
                            cw_work__notes *notes, cw_work__plot *p)
{
    choose_units(work, &pulls->plate, p);
    add_curve(p, "hot", &pulls->plate, (cw_pen){ CW_BLUE, 0.5, CW_SOLID });
    if (isfinite(study->pull_needed_n))
        add_level(p, "asked for", study->pull_needed_n);
    add_origin(p);
    add_point(p, "the plate as it is", study->magnet.plate_thickness_m, study->hot.force_n);
    finish(p, notes, "thickness of the plate");
}

cw_status cw_work__pull_plot(cw_work *work, cw_figure which, cw_work__notes *notes, cw_work__plot *plot, cw_error *error)
{
    const cw_work_field_study *study;
    const cw_work__pulls *pulls;
    cw_status status = cw_work_field(work, &study, error);

    *plot = (cw_work__plot){ 0 };
    if (status == CW_OK && which == CW_FIGURE_PLATE && !cw_work__has_plate(&study->magnet))
        return cw_refuse(error, NULL, NULL, "A %s magnet has no plate.",
                         study->magnet.shape == CW_MAGNET_PLUNGER ? "plunger" : "freely drawn");
    if (status == CW_OK)
        status = cw_work__pulls_of(work, &pulls, error);
    if (status != CW_OK)
        return status;
    if (which == CW_FIGURE_PULL)
        pull_over_gap(work, study, pulls, notes, plot);
    else
        pull_over_plate(work, study, pulls, notes, plot);
    return notes->failed ? cw_no_memory(error) : CW_OK;
}

cw_status cw_work__magnet_figure(cw_work *work, cw_figure figure, const cw_paper *paper, cw_text *out, cw_error *error)
{
    const cw_work_field_study *study;
    cw_work__notes notes = { 0 };
    cw_work__plot plot;
    cw_status status = cw_work_field(work, &study, error);

    if (status == CW_OK && figure == CW_FIGURE_FLUX)
        return cw_flux_write(&(cw_flux_figure){ .field = study->field, .units = work->job->units }, paper, out, error);
    if (status == CW_OK)
        status = cw_work__pull_plot(work, figure, &notes, &plot, error);
    if (status == CW_OK)
        status = cw_plot_write(&plot.plot, paper, out, error);
    cw_work__notes_clear(&notes);
    return status;
}
