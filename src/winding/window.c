/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The room for the wire: shapes, the length of a turn, and what makes a window unusable. */
#include "winding/winding_internal.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

const char *cw_shape_name(cw_shape shape)
{
    static const char *names[CW_SHAPE_COUNT] = { "round", "rectangle", "obround" };

    return names[shape];
}

double cw_window_turn_length(const cw_window *window, double height_m)
{
    const double a = window->inner_m[0], b = window->inner_m[1], r = window->corner_radius_m;

    switch (window->shape) {
    case CW_RECTANGLE:
        return 2 * (a - 2 * r) + 2 * (b - 2 * r) + 2 * pi * (r + height_m);
    case CW_OBROUND:
        return 2 * (a - b) + pi * (b + 2 * height_m);
    case CW_ROUND:
    case CW_SHAPE_COUNT:
        break;
    }
    return pi * (a + 2 * height_m);
}

/* How far a flat bellies out at a height. A short flat between round corners cannot follow a high build: a square
 * without corner radius becomes a circle at (sqrt(2) - 1)/2 of its side, and no flat is taken further. [geometry] */
static double sagitta_m(double flat_m, double height_m, double bulge)
{
    return fmin(bulge * height_m, 0.5 * (sqrt(2) - 1) * flat_m);
}

/* A flat of length l that bellies out by s in its middle, as a shallow arc, is longer by 8 s^2 / (3 l). [geometry] */
static double arc_extra(double flat_m, double height_m, double bulge)
{
    const double sagitta = sagitta_m(flat_m, height_m, bulge);

    return flat_m > 0 ? 8 * sagitta * sagitta / (3 * flat_m) : 0;
}

/* The lengths of the two pairs of flats; 0 where a shape has none. */
static void find_flats(const cw_window *window, double flats_m[2])
{
    const double *inner = window->inner_m;

    flats_m[0] = flats_m[1] = 0;
    if (window->shape == CW_OBROUND)
        flats_m[0] = inner[0] - inner[1];
    if (window->shape == CW_RECTANGLE)
        for (int i = 0; i < 2; i++)
            flats_m[i] = fmax(inner[i] - 2 * window->corner_radius_m, 0);
}

double cw_winding__bulged_turn_length(const cw_window *window, double height_m, double bulge)
{
    double flats_m[2];

    find_flats(window, flats_m);
    return cw_window_turn_length(window, height_m) + 2 * arc_extra(flats_m[0], height_m, bulge) +
           2 * arc_extra(flats_m[1], height_m, bulge);
}

double cw_window_bulge(const cw_window *window, double height_m, double bulge)
{
    double flats_m[2];

    find_flats(window, flats_m);
    return sagitta_m(fmax(flats_m[0], flats_m[1]), height_m, bulge);
}

static cw_status refuse_size(const char *what, double metres, const cw_place *at, cw_error *error)
{
    return cw_refuse(error, at, "a length above zero and below 10 m, as in 58 mm",
                     "The window's %s is %.4g mm, which is no room for a coil.", what, 1e3 * metres);
}

static bool sane(double metres)
{
    return metres > 0 && metres < 10; /* false for NaN too */
}

cw_status cw_window_check(const cw_window *window, const cw_place *at, cw_error *error)
{
    const double a = window->inner_m[0], b = window->inner_m[1], r = window->corner_radius_m;

    if (!sane(window->length_m))
        return refuse_size("length", window->length_m, at, error);
    if (!sane(window->depth_m))
        return refuse_size("depth", window->depth_m, at, error);
    if (!sane(a))
        return refuse_size(window->shape == CW_ROUND ? "inner diameter" : "inner width", a, at, error);
    if (window->shape == CW_ROUND)
        return CW_OK;
    if (!sane(b))
        return refuse_size("inner breadth", b, at, error);
    if (window->shape == CW_OBROUND && b > a)
        return cw_refuse(error, at, "the longer size first",
                         "The obround is %.4g mm by %.4g mm; its breadth is the diameter of the round ends and cannot "
                         "be the greater of the two.", 1e3 * a, 1e3 * b);
    if (window->shape == CW_RECTANGLE && !(r >= 0 && 2 * r <= fmin(a, b) * (1 + 1e-12)))
        return cw_refuse(error, at, "a radius from 0 to half the smaller side",
                         "The corner radius is %.4g mm on a rectangle of %.4g mm by %.4g mm.", 1e3 * r, 1e3 * a,
                         1e3 * b);
    return CW_OK;
}
