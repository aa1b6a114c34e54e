/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright wire: what a wire is, and from one of resistance, mass and length the other two. */
#include "cli/cli.h"
#include "wire/wire_json.h"

#include <math.h>
#include <string.h>

/* A length of the wire; NAN where none was asked for. */
typedef struct piece {
    double length_m, resistance_20c_ohm, mass_kg;
} piece;

static int find_wire(const cli_call *call, const cw_wire_catalogue *catalogue, cw_wire *wire)
{
    const char *build_text = cli_value(call, "build"), *material_text = cli_value(call, "material");
    const cw_wire_size *size;
    cw_build build = CW_HEAVY;
    cw_material material = CW_COPPER;
    cw_error error;
    cw_status status = cw_wire_size_parse(catalogue, call->argument[0], strlen(call->argument[0]), NULL, &size, &error);

    if (status == CW_OK && build_text != NULL)
        status = cw_build_parse(build_text, strlen(build_text), NULL, &build, &error);
    if (status == CW_OK && material_text != NULL)
        status = cw_material_parse(material_text, strlen(material_text), NULL, &material, &error);
    if (status == CW_OK)
        status = cw_wire_make(catalogue, size, build, material, wire, &error);
    if (status != CW_OK && build_text == NULL && status == CW_BAD_INPUT &&
        cw_wire_size_parse(catalogue, call->argument[0], strlen(call->argument[0]), NULL, &size, NULL) == CW_OK)
        status = cw_wire_make(catalogue, size, CW_BARE, material, wire, &error); /* too thick or fine for enamel tables */
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

/* Reads the one of the three that was given. */
static int find_piece(const cli_call *call, const cw_wire_catalogue *catalogue, const cw_wire *wire, piece *p)
{
    const double ohm_per_m = wire->resistance_ohm_per_m.nominal;
    cw_quantity quantity;
    double at_c;
    int given = 0, status = 0;

    *p = (piece){ NAN, NAN, NAN };
    for (const char *const *o = (const char *const[]){ "resistance", "mass", "length", NULL }; *o != NULL; o++)
        given += cli_value(call, *o) != NULL;
    if (given > 1)
        return cli_refuse(call, "Give one of --resistance, --mass and --length; the other two follow from it.");
    if (given == 0)
        return 0;
    if (cli_value(call, "resistance") != NULL) {
        status = cli_quantity(call, "resistance", CW_RESISTANCE, &quantity, &at_c);
        if (status == 0)
            p->length_m = quantity.value / ohm_per_m /
                          cw_wire_temperature_factor(cw_wire_conductor(catalogue, wire->material), isnan(at_c) ? 20 : at_c);
    } else if (cli_value(call, "mass") != NULL) {
        status = cli_quantity(call, "mass", CW_MASS, &quantity, NULL);
        p->length_m = status == 0 ? quantity.value / wire->mass_kg_per_m : NAN;
    } else {
        status = cli_quantity(call, "length", CW_LENGTH, &quantity, NULL);
        p->length_m = status == 0 ? quantity.value : NAN;
    }
    if (status != 0)
        return status;
    if (!(p->length_m > 0 && isfinite(p->length_m)))
        return cli_refuse(call, "A piece of wire of %g m cannot be; give a value above zero.", p->length_m);
    p->resistance_20c_ohm = p->length_m * ohm_per_m;
    p->mass_kg = p->length_m * wire->mass_kg_per_m;
    return 0;
}

static void add_both(cw_text *text, cw_kind kind, double value, int digits)
{
    char metric[64], inch[64];

    cw_quantity_format(kind, value, CW_METRIC_UNITS, digits, metric, sizeof metric);
    cw_quantity_format(kind, value, CW_INCH_UNITS, digits, inch, sizeof inch);
    if (strcmp(metric, inch) == 0)
        cw_text_add(text, metric);
    else
        cw_text_print(text, "%s (%s)", metric, inch);
}

static void add_band(cw_text *text, const char *label, cw_kind kind, const cw_band *band, int digits)
{
    cw_text_print(text, "  %-12s ", label);
    add_both(text, kind, band->nominal, digits);
    cw_text_add(text, ", from ");
    add_both(text, kind, band->min, digits);
    cw_text_add(text, " to ");
    add_both(text, kind, band->max, digits);
    cw_text_add(text, "\n");
}

static void describe(cw_text *text, const cw_wire *wire, const piece *p)
{
    cw_text_print(text, "%s, %s, %s\n", wire->size.name, cw_build_trade_name(wire->size.system, wire->build),
                  cw_material_name(wire->material));
    add_band(text, "bare", CW_LENGTH, &wire->size.diameter_m, 4);
    if (wire->build != CW_BARE)
        add_band(text, "overall", CW_LENGTH, &wire->overall_diameter_m, 4);
    add_band(text, "at 20 °C", CW_RESISTANCE_PER_LENGTH, &wire->resistance_ohm_per_m, 4);
    cw_text_add(text, "  mass         ");
    add_both(text, CW_MASS_PER_LENGTH, wire->mass_kg_per_m, 4);
    cw_text_add(text, "\n");
    if (wire->overall_trust == CW_FROM_MEMORY && wire->build != CW_BARE)
        cw_text_add(text, "  The overall diameter of this size is known from memory only: mike the wire.\n");
    if (wire->overall_trust == CW_DERIVED && wire->build != CW_BARE)
        cw_text_add(text, "  The overall diameter of this size is derived from its neighbours: mike the wire.\n");
    if (isnan(p->length_m))
        return;
    cw_text_add(text, "  this piece   ");
    add_both(text, CW_LENGTH, p->length_m, 4);
    cw_text_add(text, ", ");
    add_both(text, CW_RESISTANCE, p->resistance_20c_ohm, 4);
    cw_text_add(text, " at 20 °C, ");
    add_both(text, CW_MASS, p->mass_kg, 4);
    cw_text_add(text, "\n");
}

int cli_wire(const cli_call *call)
{
    cw_wire_catalogue *catalogue = NULL;
    cw_text text = { 0 };
    cw_error error;
    cw_wire wire;
    piece p;
    cw_status made = cw_wire_catalogue_create(&catalogue, &error);
    int status = made == CW_OK ? 0 : cli_report(call, made, &error);

    if (status == 0)
        status = find_wire(call, catalogue, &wire);
    if (status == 0)
        status = find_piece(call, catalogue, &wire, &p);
    if (status == 0 && call->json) {
        json_t *document = cw_wire_json(&wire);

        if (document != NULL && !isnan(p.length_m)) {
            json_object_set_new(document, "length_m", json_real(p.length_m));
            json_object_set_new(document, "resistance_20c_ohm", json_real(p.resistance_20c_ohm));
            json_object_set_new(document, "mass_kg", json_real(p.mass_kg));
        }
        status = cli_write_json(call, document, 0);
    } else if (status == 0) {
        describe(&text, &wire, &p);
        status = cli_write_text(call, &text, 0);
    }
    cw_text_clear(&text);
    cw_wire_catalogue_destroy(&catalogue);
    return status;
}
