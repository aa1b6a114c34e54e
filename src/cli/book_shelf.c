/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coilwright book: wire in, wire off, wire left. */
#include "cli/book.h"

#include "book/book_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The name of a size as the book has it: "29awg" is "29 AWG". 0 or the exit status. */
static int size_name(const cli_call *call, const char *text, char *name, size_t size)
{
    cw_wire_catalogue *catalogue = NULL;
    const cw_wire_size *found;
    cw_error error;
    cw_status status = cw_wire_catalogue_create(&catalogue, &error);

    if (status == CW_OK)
        status = cw_wire_size_parse(catalogue, text, strlen(text), NULL, &found, &error);
    if (status == CW_OK)
        snprintf(name, size, "%s", found->name);
    cw_wire_catalogue_destroy(&catalogue);
    return status == CW_OK ? 0 : cli_report(call, status, &error);
}

/* A line of a job's stock for each spool with wire on it. */
static void write_stock(const cw_book_spools *spools, cw_text *text)
{
    cw_text_add(text, "stock:\n");
    for (size_t i = 0; i < spools->count && spools->items[i].left_m > 0; i++) {
        const cw_book_spool *spool = &spools->items[i];

        cw_text_print(text, "  - {wire: %s", spool->size);
        if (spool->build != NULL)
            cw_text_print(text, ", build: %s", spool->build);
        if (spool->material != NULL)
            cw_text_print(text, ", material: %s", spool->material);
        if (!isnan(spool->thermal_class_c))
            cw_text_print(text, ", thermal_class: %.0f", spool->thermal_class_c);
        cw_text_print(text, ", on_spool: %.1f m", spool->left_m);
        if (!isnan(spool->price))
            cw_text_print(text, ", price: %.2f", spool->price * spool->left_m / spool->bought_m);
        cw_text_print(text, "}  # spool %lld\n", spool->id);
    }
}

int cli_book_shelf(const cli_call *call)
{
    const char *wire = cli_value(call, "wire");
    char name[32];
    cw_unit_system units;
    cw_book *book = NULL;
    cw_book_spools *spools = NULL;
    cw_text text = { 0 };
    cw_error error;
    int exit = cli_book_units(call, &units);

    if (exit == 0 && wire != NULL)
        exit = size_name(call, wire, name, sizeof name);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_READ, &book);
    if (exit == 0) {
        const cw_status status = cw_book_spools_list(book, wire != NULL ? name : NULL, &spools, &error);

        if (status != CW_OK)
            exit = cli_report(call, status, &error);
        else if (call->json)
            exit = cli_write_json(call, cw_book_spools_json(spools), CLI_YES);
        else {
            if (cli_given(call, "as-stock"))
                write_stock(spools, &text);
            else
                cw_book_write_spools(spools, units, &text);
            exit = cli_write_text(call, &text, CLI_YES);
        }
    }
    cw_text_clear(&text);
    cw_book_spools_destroy(&spools);
    cw_book_close(&book);
    return exit;
}

/* How much, by --mass or --length; NAN the one that was not given. 0 or the exit status. */
static int amount(const cli_call *call, bool needed, double *mass_kg, double *length_m)
{
    const bool mass = cli_given(call, "mass"), length = cli_given(call, "length");
    cw_quantity quantity;
    int exit = 0;

    *mass_kg = *length_m = NAN;
    if (mass && length)
        return cli_refuse(call, "Give --mass or --length; the other follows from it.");
    if (!mass && !length)
        return needed ? cli_refuse(call, "%s wants how much: --mass or --length.", call->verb->name) : 0;
    exit = cli_quantity(call, mass ? "mass" : "length", mass ? CW_MASS : CW_LENGTH, &quantity, NULL);
    if (exit == 0)
        *(mass ? mass_kg : length_m) = quantity.value;
    return exit;
}

/* ---- a spool comes in ------------------------------------------------------------------------------------------ */

/* What the call says of it beside the amount. The wire is kept as long as the entry: its names are lent. */
static int read_spool(const cli_call *call, const cw_wire_catalogue *catalogue, cw_wire *wire,
                      cw_book_spool_entry *entry)
{
    const char *build_word = cli_value(call, "build"), *material_word = cli_value(call, "material");
    const char *class_word = cli_value(call, "class"), *price = cli_value(call, "price");
    const cw_wire_size *size;
    cw_build build = CW_HEAVY;
    cw_material material = CW_COPPER;
    cw_error error;
    cw_status status = cw_wire_size_parse(catalogue, call->argument[0], strlen(call->argument[0]), NULL, &size, &error);
    int exit = 0;

    if (status == CW_OK && build_word == NULL)
        return cli_refuse(call, "A spool wants --build: single, heavy, triple, grade 1 to 3 ... as its label says.");
    if (status == CW_OK)
        status = cw_build_parse(build_word, strlen(build_word), NULL, &build, &error);
    if (status == CW_OK && material_word != NULL)
        status = cw_material_parse(material_word, strlen(material_word), NULL, &material, &error);
    if (status == CW_OK)
        status = cw_wire_make(catalogue, size, build, material, wire, &error);
    if (status != CW_OK)
        return cli_report(call, status, &error);
    entry->size = wire->size.name;
    entry->build = cw_build_trade_name(wire->size.system, wire->build);
    entry->material = cw_material_name(wire->material);
    entry->mass_kg_per_m = wire->mass_kg_per_m;
    entry->supplier = cli_value(call, "supplier");
    entry->note = cli_value(call, "note");
    if (class_word != NULL)
        exit = cli_book_amount(call, class_word, "a thermal class, as in 180", &entry->thermal_class_c);
    if (exit == 0 && price != NULL)
        exit = cli_book_amount(call, price, "a price, as in 21.50", &entry->price);
    return exit;
}

int cli_book_spool(const cli_call *call)
{
    cw_book_spool_entry entry = { .thermal_class_c = NAN, .price = NAN };
    cw_wire_catalogue *catalogue = NULL;
    cw_book *book = NULL;
    cw_book_id spool = 0;
    cw_wire wire;
    cw_error error;
    cw_status status = cw_wire_catalogue_create(&catalogue, &error);
    int exit = status == CW_OK ? read_spool(call, catalogue, &wire, &entry) : cli_report(call, status, &error);

    if (exit == 0)
        exit = amount(call, true, &entry.mass_kg, &entry.length_m);
    if (exit == 0)
        exit = cli_book_date(call, &entry.time_s);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0) {
        status = cw_book_spool_add(book, &entry, &spool, &error);
        exit = cli_book_say(call, status, &error, json_pack("{s:I}", "spool", (json_int_t)spool),
                            "Spool %lld is on the shelf: %s %s. Write the number on it.", spool, entry.size, entry.build);
    }
    cw_book_close(&book);
    cw_wire_catalogue_destroy(&catalogue);
    return exit;
}

/* ---- wire goes off --------------------------------------------------------------------------------------------- */

/* Length of wire in the winding that was laid for the job; 0 or the exit status. */
static int laid_length(const cli_call *call, cw_book *book, cw_book_id job, double *length_m)
{
    cw_text text = { 0 };
    json_t *document = NULL;
    cw_error error;
    const cw_status status = cw_book_result_text(book, job, 0, "lay", &text, &error);
    int exit = 0;

    if (status == CW_OK)
        document = json_loadb(text.data, text.length, 0, NULL);
    *length_m = json_number_value(json_object_get(document, "wire_length_m"));
    if (!(*length_m > 0))
        exit = cli_refuse(call, "For job %lld no winding was laid that could say how much wire it takes. Say it: "
                          "--length or --mass.", job);
    json_decref(document);
    cw_text_clear(&text);
    return exit;
}

static int say_left(const cli_call *call, cw_book *book, cw_book_id spool, cw_status status, const cw_error *error)
{
    cw_book_spools *spools = NULL;
    cw_error listing;
    char length[48] = "?", mass[48] = "?";
    double left_m = NAN, left_kg = NAN;
    cw_unit_system units;
    int exit = status == CW_OK ? cli_book_units(call, &units) : cli_report(call, status, error);

    if (exit != 0)
        return exit;
    status = cw_book_spools_list(book, NULL, &spools, &listing);
    for (size_t i = 0; status == CW_OK && i < spools->count; i++)
        if (spools->items[i].id == spool) {
            left_m = spools->items[i].left_m;
            left_kg = spools->items[i].left_kg;
            cw_quantity_format(CW_LENGTH, left_m, units, 4, length, sizeof length);
            cw_quantity_format(CW_MASS, left_kg, units, 4, mass, sizeof mass);
        }
    cw_book_spools_destroy(&spools);
    return cli_book_say(call, status, &listing,
                        json_pack("{s:I, s:f, s:f}", "spool", (json_int_t)spool, "left_m", left_m, "left_kg", left_kg),
                        "Spool %lld has %s left, %s.", spool, length, mass);
}

int cli_book_off(const cli_call *call)
{
    const char *job_word = cli_value(call, "job");
    cw_book *book = NULL;
    cw_book_id spool, job = 0;
    double mass_kg, length_m;
    long long time_s;
    cw_error error;
    int exit = cli_book_number(call, call->argument[0], "a spool", &spool);

    if (exit == 0 && job_word != NULL)
        exit = cli_book_number(call, job_word, "a job", &job);
    if (exit == 0)
        exit = amount(call, job_word == NULL, &mass_kg, &length_m);
    if (exit == 0)
        exit = cli_book_date(call, &time_s);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0 && isnan(mass_kg) && isnan(length_m))
        exit = laid_length(call, book, job, &length_m);
    if (exit == 0) {
        const cw_status status =
            cw_book_spool_use(book, spool, job, length_m, mass_kg, cli_value(call, "note"), time_s, &error);

        exit = say_left(call, book, spool, status, &error);
    }
    cw_book_close(&book);
    return exit;
}

int cli_book_weigh(const cli_call *call)
{
    cw_book *book = NULL;
    cw_book_id spool;
    cw_quantity mass;
    long long time_s;
    cw_error error;
    int exit = cli_book_number(call, call->argument[0], "a spool", &spool);

    if (exit == 0) {
        const cw_status status =
            cw_quantity_parse(CW_MASS, call->argument[1], strlen(call->argument[1]), NULL, &mass, &error);

        exit = status == CW_OK ? 0 : cli_report(call, status, &error);
    }
    if (exit == 0)
        exit = cli_book_date(call, &time_s);
    if (exit == 0)
        exit = cli_book_open(call, CW_BOOK_WRITE, &book);
    if (exit == 0)
        exit = say_left(call, book, spool, cw_book_spool_weighed(book, spool, mass.value, time_s, &error), &error);
    cw_book_close(&book);
    return exit;
}
