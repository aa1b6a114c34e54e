/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rounded rectangles about the axis, and what lies between two of them. */
#include "former/former_internal.h"

#include <gsl/gsl_integration.h>
#include <math.h>

static const double pi = 3.14159265358979323846;

double cw_outline_reach(const cw_outline *outline, double y_m)
{
    const double half = 0.5 * outline->size_m[0], r = outline->corner_m;
    const double beyond = fabs(y_m) - (0.5 * outline->size_m[1] - r);

    if (beyond <= 0)
        return half;
    if (beyond > r)
        return 0;
    return half - r + sqrt(r * r - beyond * beyond);
}

double cw_outline_half_strip(const cw_outline *outline, double y_m)
{
    const double half = 0.5 * outline->size_m[0], r = outline->corner_m, flat = 0.5 * outline->size_m[1] - r;
    const double y = fmin(fabs(y_m), flat + r), beyond = y - flat;
    double area = half * y;

    if (beyond > 0)
        area = half * flat + (half - r) * beyond +
               0.5 * (beyond * sqrt(fmax(r * r - beyond * beyond, 0)) + r * r * asin(fmin(beyond / r, 1)));
    return y_m < 0 ? -area : area;
}

double cw_outline_area(const cw_outline *outline)
{
    return outline->size_m[0] * outline->size_m[1] - (4 - pi) * outline->corner_m * outline->corner_m;
}

double cw_outline_perimeter(const cw_outline *outline)
{
    return 2 * (outline->size_m[0] + outline->size_m[1]) - (8 - 2 * pi) * outline->corner_m;
}

cw_outline cw_outline_offset(const cw_outline *outline, double distance_m)
{
    return (cw_outline){ { outline->size_m[0] + 2 * distance_m, outline->size_m[1] + 2 * distance_m },
                         fmax(outline->corner_m + distance_m, 0) };
}

cw_outline cw_former__turned(const cw_outline *outline)
{
    return (cw_outline){ { outline->size_m[1], outline->size_m[0] }, outline->corner_m };
}

double cw_former__strip(const cw_outline *outline, double from_m, double to_m)
{
    return cw_outline_half_strip(outline, to_m) - cw_outline_half_strip(outline, from_m);
}

/* ---- fillets --------------------------------------------------------------------------------------------------- */

/* Height of a fillet of radius r at a distance t from the tube. */
static double fillet_height(double t, double r)
{
    return t <= 0 ? r : t >= r ? 0 : r - sqrt(fmax(r * r - (r - t) * (r - t), 0));
}

/* Distance of a point on the +x side from the outline, outside. */
static double distance(const cw_outline *o, double x, double y)
{
    const double from_x = x - (0.5 * o->size_m[0] - o->corner_m), from_y = fabs(y) - (0.5 * o->size_m[1] - o->corner_m);

    return from_y <= 0 ? from_x - o->corner_m : hypot(from_x, from_y) - o->corner_m;
}

double cw_former__fillet_volume(const cw_outline *tube, double radius_m)
{
    const double section = (1 - pi / 4) * radius_m * radius_m; /* between two legs and a quarter circle */
    const double centre = radius_m * (10 - 3 * pi) / (12 - 3 * pi); /* of its area, from a leg */

    return section * (cw_outline_perimeter(tube) + 2 * pi * centre); /* Pappus, for convex outlines */
}

/* By Gauss's rule in y and in u, x = reach + width u^2, which takes the root at the tube out of the integrand. */
double cw_former__fillet_strip(const cw_outline *tube, double radius_m, double from_m, double to_m)
{
    enum { POINTS = 20 };
    const cw_outline outer = cw_outline_offset(tube, radius_m);
    gsl_integration_glfixed_table *table;
    double sum = 0;

    if (!(radius_m > 0))
        return 0;
    table = gsl_integration_glfixed_table_alloc(POINTS);
    if (table == NULL)
        return NAN;
    for (size_t i = 0; i < POINTS; i++) {
        double y, y_weight, u, weight;

        gsl_integration_glfixed_point(from_m, to_m, i, &y, &y_weight, table);
        for (size_t j = 0; j < POINTS; j++) {
            const double reach = cw_outline_reach(tube, y), width = cw_outline_reach(&outer, y) - reach;

            gsl_integration_glfixed_point(0, 1, j, &u, &weight, table);
            sum += y_weight * weight * 2 * u * width *
                   fillet_height(distance(tube, reach + width * u * u, y), radius_m);
        }
    }
    gsl_integration_glfixed_table_free(table);
    return sum;
}
