/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A check of two numbers that says all three where it fails. Include after cmocka.h. */
#ifndef TESTS_NEAR_H
#define TESTS_NEAR_H

#include <math.h>

#define assert_near(found, wanted, tolerance) near_at(#found, found, wanted, tolerance, __FILE__, __LINE__)

static inline void near_at(const char *what, double found, double wanted, double tolerance, const char *file, int line)
{
    if (fabs(found - wanted) <= tolerance) /* false for NaN */
        return;
    print_error("%s is %.9g, not %.9g +- %.3g\n", what, found, wanted, tolerance);
    _fail(file, line);
}

/* Half a unit of the last printed figure: half_unit(2) for values printed as 12.34. The last bit of the sum is spare,
 * so that a value that lies on the very edge is not judged by how a double rounds. */
static inline double half_unit(int decimals)
{
    return 0.5 * pow(10, -decimals) * (1 + 1e-9);
}

#endif
