/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thrust and torque of a drill. [magnetics 8; Machinery's Handbook 31 pp. 1151-1153; a tool maker's reference] */
#include "proof/proof_internal.h"

#include "base/csv.h"
#include "base/embedded.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Chisel edge over diameter, and the handbook's factors of it. */
typedef struct chisel {
    double torque_a, thrust_b, thrust_j;
} chisel;

static const chisel standard_edge = { 1.085, 1.355, 0.030 }; /* c/d 0.18 */
static const chisel split_point = { 1.000, 1.100, 0.001 };   /* c/d 0.03 */

static bool find_metal(const char *metal, double *handbook_k, double *catalogue_k)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("proof_drilling.csv")->text);
    while (cw_csv_step(&csv))
        if (cw_csv_is(&csv, "metal", metal)) {
            *handbook_k = cw_csv_number(&csv, "handbook_k");
            *catalogue_k = cw_csv_number(&csv, "catalogue_k");
            return true;
        }
    return false;
}

const char *cw_drilling_metal(size_t index, char *buffer, size_t size)
{
    cw_csv csv;

    cw_csv_begin(&csv, cw_embedded_find("proof_drilling.csv")->text);
    while (cw_csv_step(&csv)) {
        size_t length;
        const char *name = cw_csv_field(&csv, "metal", &length);

        if (index-- > 0)
            continue;
        snprintf(buffer, size, "%.*s", (int)length, name);
        return buffer;
    }
    return NULL;
}

static cw_status refuse_metal(const char *metal, cw_error *error)
{
    char list[256] = "", name[48];
    size_t used = 0;

    for (size_t i = 0; cw_drilling_metal(i, name, sizeof name) != NULL && used < sizeof list; i++)
        used += (size_t)snprintf(list + used, sizeof list - used, "%s%s", i > 0 ? ", " : "", name);
    return cw_refuse(error, NULL, list, "There are no cutting forces for '%s'.", metal != NULL ? metal : "");
}

static cw_status check_drilling(const cw_drilling *drilling, cw_error *error)
{
    const double d = 1e3 * drilling->diameter_m, f = 1e3 * drilling->feed_m;

    if (!(d >= 1 && d <= 150))
        return cw_refuse(error, NULL, "1 mm to 150 mm", "A drill of %g mm is none that these formulae know.", d);
    if (!(f >= 0.01 && f <= 1.5))
        return cw_refuse(error, NULL, "0.01 mm to 1.5 mm",
                         "A feed of %g mm for each turn is none that these formulae know.", f);
    if (drilling->annular && !(drilling->core_diameter_m > 0 && drilling->core_diameter_m < drilling->diameter_m))
        return cw_refuse(error, NULL, NULL, "The core of an annular cutter of %g mm is given as %g mm.", d,
                         1e3 * drilling->core_diameter_m);
    if (drilling->wear < 1 || drilling->wear > 3)
        return cw_refuse(error, NULL, "1 (sharp) to 1.3 (to be reground)", "A wear factor of %g is out of range.",
                         drilling->wear);
    return CW_OK;
}

/* Millimetres in, newton and newton metre out. */
static void by_handbook(const cw_drilling *drilling, double k, double d, double f, cw_drilling_load *load)
{
    const chisel *edge = drilling->split_point ? &split_point : &standard_edge;
    const double wear = isnan(drilling->wear) ? 1.3 : drilling->wear;
    const double of_feed = pow(f, 0.8), thrust_of_d = pow(d, 0.8), torque_of_d = pow(d, 1.8);

    load->handbook_thrust_n = 0.05 * k * of_feed * thrust_of_d * edge->thrust_b * wear +
                              0.007 * k * d * d * edge->thrust_j * wear;
    load->handbook_torque_n_m = 0.000025 * k * of_feed * torque_of_d * edge->torque_a * wear;
}

static void by_catalogue(double k, double d, double f, cw_drilling_load *load)
{
    load->catalogue_thrust_n = 570 * k * d * pow(f, 0.85);
    load->catalogue_torque_n_m = k * d * d * (0.630 + 16.84 * f) / 100;
}

/* Kerf model with k_c of plain carbon steel, 2240 N/mm2 (specific energy at 180 to 200 HB), and half of it as thrust:
 * derived, so that half is added on top. */
static void by_kerf(const cw_drilling *drilling, double d, double f, cw_drilling_load *load)
{
    static const double k_c = 2240, spare = 1.5;
    const double core = 1e3 * drilling->core_diameter_m;

    load->thrust_n = spare * 0.5 * k_c * f * (d - core) / 2;
    load->torque_n_m = spare * 1e-3 * k_c * f * (d * d - core * core) / 8;
    load->trust = CW_BASIS_PRACTICE;
    snprintf(load->basis, sizeof load->basis,
             "kerf model of plain carbon steel (2240 N/mm2), an estimate, with half of it on top");
}

static void choose(cw_drilling_load *load)
{
    load->thrust_n = fmax(load->handbook_thrust_n, load->catalogue_thrust_n); /* fmax drops NAN */
    load->torque_n_m = fmax(load->handbook_torque_n_m, load->catalogue_torque_n_m);
    load->trust = isnan(load->catalogue_thrust_n) ? CW_BASIS_MEMORY : CW_BASIS_WEB;
    snprintf(load->basis, sizeof load->basis, "%s",
             isnan(load->catalogue_thrust_n) ? "handbook formula with its constant from memory"
             : isnan(load->handbook_thrust_n)
                 ? "a tool maker's catalogue"
                 : "the greater of handbook (constant from memory) and a tool maker's catalogue");
}

cw_status cw_drilling_forces(const cw_drilling *drilling, cw_drilling_load *load, cw_error *error)
{
    const double d = 1e3 * drilling->diameter_m, f = 1e3 * drilling->feed_m;
    cw_drilling_load found = { .handbook_thrust_n = NAN, .handbook_torque_n_m = NAN, .catalogue_thrust_n = NAN,
                               .catalogue_torque_n_m = NAN };
    const cw_status status = check_drilling(drilling, error);
    double handbook_k, catalogue_k;

    if (status != CW_OK)
        return status;
    if (drilling->metal == NULL || !find_metal(drilling->metal, &handbook_k, &catalogue_k))
        return refuse_metal(drilling->metal, error);
    if (drilling->annular) {
        by_kerf(drilling, d, f, &found);
        *load = found;
        return CW_OK;
    }
    if (!isnan(handbook_k))
        by_handbook(drilling, handbook_k, d, f, &found);
    if (!isnan(catalogue_k))
        by_catalogue(catalogue_k, d, f, &found);
    choose(&found);
    *load = found;
    return CW_OK;
}
