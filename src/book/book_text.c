/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The book to read at a terminal. */
#include "book/book_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/* "2024-05-31" in UTC, whatever the computer's own zone, so that the same book reads the same everywhere. */
static const char *date(long long time_s, char *buffer, size_t size)
{
    const time_t time = (time_t)time_s;
    struct tm parts;

    if (gmtime_r(&time, &parts) == NULL || strftime(buffer, size, "%Y-%m-%d", &parts) == 0)
        snprintf(buffer, size, "?");
    return buffer;
}

static const char *amount(cw_kind kind, double value, cw_unit_system units, char *buffer, size_t size)
{
    if (isnan(value))
        snprintf(buffer, size, "-");
    else if (isinf(value))
        snprintf(buffer, size, "over-range");
    else
        cw_quantity_format(kind, value, units, 4, buffer, size);
    return buffer;
}

/* Characters, not bytes: columns stand in line in every language. */
static int width(const char *text)
{
    int count = 0;

    for (; *text != '\0'; text++)
        count += ((unsigned char)*text & 0xC0) != 0x80;
    return count;
}

static void column(cw_text *text, const char *cell, int wide)
{
    cw_text_print(text, "%s%*s", cell, width(cell) < wide ? wide - width(cell) : 1, "");
}

static void write_keys(const cw_book_keys *keys, cw_unit_system units, cw_text *text)
{
    char cell[64];

    column(text, keys->wire[0] != '\0' ? keys->wire : "-", 11);
    column(text, amount(CW_RESISTANCE, keys->resistance_20c_ohm, units, cell, sizeof cell), 12);
    column(text, amount(CW_LENGTH, keys->inner_m[0], units, cell, sizeof cell), 11);
    column(text, amount(CW_LENGTH, keys->length_m, units, cell, sizeof cell), 11);
}

void cw_book_write_hits(const cw_book_hits *hits, cw_unit_system units, cw_text *text)
{
    char when[32], number[24];

    if (hits->count == 0) {
        cw_text_add(text, "No such job.\n");
        return;
    }
    cw_text_add(text, "job   changed     state   wire       ohm 20 °C   inner      length     machine, coil, name\n");
    for (size_t i = 0; i < hits->count; i++) {
        const cw_book_hit *hit = &hits->items[i];

        snprintf(number, sizeof number, "%lld", hit->job);
        column(text, number, 6);
        column(text, date(hit->changed_s, when, sizeof when), 12);
        column(text, cw_book_state_name(hit->state), 8);
        write_keys(&hit->keys, units, text);
        cw_text_print(text, "%s, %s, %s\n", hit->machine, hit->coil, hit->name);
    }
    if (hits->more)
        cw_text_add(text, "... and more; ask more closely.\n");
}

static void write_readings(const cw_book_job *job, cw_text *text)
{
    char when[32];

    for (size_t i = 0; i < job->reading_count; i++) {
        const cw_book_taken *reading = &job->readings[i];

        cw_text_print(text, "  %s  %s: ", date(reading->time_s, when, sizeof when), reading->kind);
        if (isinf(reading->value))
            cw_text_add(text, "over-range");
        else
            cw_text_print(text, "%.6g %s", reading->value, reading->unit != NULL ? reading->unit : "");
        if (!isnan(reading->at_c))
            cw_text_print(text, " at %.4g °C", reading->at_c);
        cw_text_print(text, "%s%s%s%s\n", reading->source != NULL ? ", " : "",
                      reading->source != NULL ? reading->source : "", reading->note != NULL ? ", " : "",
                      reading->note != NULL ? reading->note : "");
    }
}

/* By the beginning of its sum, which is the beginning of its name in the folder of pictures. */
static void write_photos(const cw_book_job *job, cw_text *text)
{
    for (size_t i = 0; i < job->photo_count; i++)
        cw_text_print(text, "  photo %.12s.%s, %lld kB%s%s\n", job->photos[i].sha256, job->photos[i].type,
                      (job->photos[i].bytes + 1023) / 1024, job->photos[i].caption != NULL ? ": " : "",
                      job->photos[i].caption != NULL ? job->photos[i].caption : "");
}

static void write_signatures(const cw_book_job *job, cw_text *text)
{
    char when[32];

    for (size_t i = 0; i < job->signature_count; i++) {
        const cw_book_signature *signature = &job->signatures[i];

        cw_text_print(text, "  %s  version %d, proof %s, signed by %s", date(signature->time_s, when, sizeof when),
                      signature->version, signature->verdict, signature->who);
        if (signature->note != NULL)
            cw_text_print(text, ": %s", signature->note);
        cw_text_print(text, " (%.12s)%s\n", signature->sha256,
                      signature->sound ? "" : "; what lies here is NOT what was signed");
    }
}

static void write_money(const cw_book_job *job, cw_unit_system units, cw_text *text)
{
    char length[48], mass[48];

    for (size_t i = 0; i < job->use_count; i++) {
        amount(CW_LENGTH, job->uses[i].length_m, units, length, sizeof length);
        amount(CW_MASS, job->uses[i].mass_kg, units, mass, sizeof mass);
        cw_text_print(text, "  spool %lld: %s of %s, %s\n", job->uses[i].spool, length, job->uses[i].size, mass);
    }
    for (size_t i = 0; i < job->cost_count; i++)
        cw_text_print(text, "  %s %.2f%s%s\n", job->costs[i].kind, job->costs[i].amount,
                      job->costs[i].note != NULL ? ", " : "", job->costs[i].note != NULL ? job->costs[i].note : "");
    if (!isnan(job->spent))
        cw_text_print(text, "  spent %.2f\n", job->spent);
    if (!isnan(job->hours_total))
        cw_text_print(text, "  hours %.2f\n", job->hours_total);
    if (!isnan(job->instead))
        cw_text_print(text, "  a bought one would have cost %.2f\n", job->instead);
}

/* What it is found by, in a line. */
static void write_what(const cw_book_keys *keys, cw_unit_system units, cw_text *text)
{
    char first[48], second[48];

    if (keys->wire[0] != '\0')
        cw_text_print(text, "  %s %s, %.0f turns\n", keys->wire, keys->build, keys->turns);
    if (!isnan(keys->resistance_20c_ohm))
        cw_text_print(text, "  %s at 20 °C\n",
                      amount(CW_RESISTANCE, keys->resistance_20c_ohm, units, first, sizeof first));
    if (isnan(keys->inner_m[0]))
        return;
    cw_text_print(text, "  window %s, on %s", keys->shape,
                  amount(CW_LENGTH, keys->inner_m[0], units, first, sizeof first));
    if (keys->inner_m[1] > 0 && keys->inner_m[1] != keys->inner_m[0])
        cw_text_print(text, " by %s", amount(CW_LENGTH, keys->inner_m[1], units, first, sizeof first));
    cw_text_print(text, ", %s long, %s deep\n", amount(CW_LENGTH, keys->length_m, units, first, sizeof first),
                  amount(CW_LENGTH, keys->depth_m, units, second, sizeof second));
}

void cw_book_write_job(const cw_book_job *job, cw_unit_system units, cw_text *text)
{
    char when[32];

    cw_text_print(text, "Job %lld: %s (%s, %s), %s\n", job->id, job->name, job->machine, job->coil,
                  cw_book_state_name(job->state));
    cw_text_print(text, "made %s, ", date(job->made_s, when, sizeof when));
    cw_text_print(text, "changed %s, %zu version%s, %zu result%s, %zu photo%s\n",
                  date(job->changed_s, when, sizeof when), job->version_count, job->version_count == 1 ? "" : "s",
                  job->result_count, job->result_count == 1 ? "" : "s", job->photo_count,
                  job->photo_count == 1 ? "" : "s");
    if (job->based_on != 0)
        cw_text_print(text, "started from job %lld\n", job->based_on);
    if (job->note != NULL)
        cw_text_print(text, "%s\n", job->note);
    write_what(&job->keys, units, text);
    write_readings(job, text);
    write_photos(job, text);
    write_signatures(job, text);
    write_money(job, units, text);
}

void cw_book_write_spools(const cw_book_spools *spools, cw_unit_system units, cw_text *text)
{
    char cell[64];

    if (spools->count == 0) {
        cw_text_add(text, "No such wire on the shelf.\n");
        return;
    }
    cw_text_add(text, "spool wire       build      material   left        left        bought      note\n");
    for (size_t i = 0; i < spools->count; i++) {
        const cw_book_spool *spool = &spools->items[i];

        snprintf(cell, sizeof cell, "%lld", spool->id);
        column(text, cell, 6);
        column(text, spool->size, 11);
        column(text, spool->build != NULL ? spool->build : "-", 11);
        column(text, spool->material != NULL ? spool->material : "-", 11);
        column(text, amount(CW_LENGTH, spool->left_m, units, cell, sizeof cell), 12);
        column(text, amount(CW_MASS, spool->left_kg, units, cell, sizeof cell), 12);
        column(text, amount(CW_LENGTH, spool->bought_m, units, cell, sizeof cell), 12);
        cw_text_print(text, "%s\n", spool->note != NULL ? spool->note : "");
    }
}
