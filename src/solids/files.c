/* SPDX-License-Identifier: GPL-3.0-or-later */
/* STL and 3MF by [STL] and [3MF] of docs/references.md. */
#include "solids/solids_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <zip.h>

void cw_solids__plate(const cw_solid_group *group, double (*shift_mm)[3])
{
    const double gap_mm = 5;
    double x = 0;

    for (size_t i = 0; i < group->piece_count; i++) {
        double low[3], high[3];

        cw_shell_box(&group->pieces[i].shell, low, high);
        shift_mm[i][0] = x - low[0];
        shift_mm[i][1] = -low[1];
        shift_mm[i][2] = -low[2];
        x += high[0] - low[0] + gap_mm;
    }
}

/* ---- STL ------------------------------------------------------------------------------------------------------- */

/* Little-endian whatever the machine. */
static void put_32(uint32_t value, unsigned char *to)
{
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> 8 * i);
}

static void put_float(double value, unsigned char *to)
{
    const float single = (float)value;
    uint32_t bits;

    memcpy(&bits, &single, sizeof bits);
    put_32(bits, to);
}

/* 50 bytes: normal, three corners, two bytes of nothing. */
static void put_facet(double corner[3][3], cw_text *out)
{
    unsigned char facet[50] = { 0 };
    double u[3], v[3], n[3], length;

    for (int i = 0; i < 3; i++) {
        u[i] = corner[1][i] - corner[0][i];
        v[i] = corner[2][i] - corner[0][i];
    }
    for (int i = 0; i < 3; i++)
        n[i] = u[(i + 1) % 3] * v[(i + 2) % 3] - u[(i + 2) % 3] * v[(i + 1) % 3];
    length = sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
    for (int i = 0; i < 3; i++)
        put_float(length > 0 ? n[i] / length : 0, facet + 4 * i);
    for (int c = 0; c < 3; c++)
        for (int i = 0; i < 3; i++)
            put_float(corner[c][i], facet + 12 + 12 * c + 4 * i);
    cw_text_add_bytes(out, (const char *)facet, sizeof facet);
}

cw_status cw_solid_group_stl(const cw_solid_group *group, cw_text *out, cw_error *error)
{
    unsigned char head[84] = { 0 }; /* must not begin with "solid" [STL] */
    double shift[CW_SOLIDS_MOST][3];
    size_t count = 0;

    for (size_t i = 0; i < group->piece_count; i++)
        count += group->pieces[i].shell.triangle_count;
    snprintf((char *)head, 80, "Coilwright %s, millimetres", group->name);
    put_32((uint32_t)count, head + 80);
    cw_text_add_bytes(out, (const char *)head, sizeof head);
    cw_solids__plate(group, shift);
    for (size_t p = 0; p < group->piece_count; p++) {
        const cw_shell *shell = &group->pieces[p].shell;

        for (size_t t = 0; t < shell->triangle_count; t++) {
            double corner[3][3];

            for (int c = 0; c < 3; c++)
                for (int i = 0; i < 3; i++)
                    corner[c][i] = shell->node_mm[shell->triangle[t][c]][i] + shift[p][i];
            put_facet(corner, out);
        }
    }
    return out->failed ? cw_no_memory(error) : CW_OK;
}

/* ---- 3MF ------------------------------------------------------------------------------------------------------- */

static void add_escaped(const char *text, cw_text *out)
{
    for (; *text != '\0'; text++) {
        if (*text == '&' || *text == '<' || *text == '>' || *text == '"')
            cw_text_print(out, "&#%d;", *text);
        else if ((unsigned char)*text >= ' ')
            cw_text_add_bytes(out, text, 1);
    }
}

/* Six decimals, a millionth of a millimetre, and no exponent. */
static void add_object(const cw_solid *solid, size_t id, const double shift[3], cw_text *out)
{
    cw_text_print(out, "  <object id=\"%zu\" type=\"model\" name=\"%s\">\n   <mesh>\n    <vertices>\n", id, solid->name);
    for (size_t i = 0; i < solid->shell.node_count; i++) {
        const double *n = solid->shell.node_mm[i];

        cw_text_print(out, "     <vertex x=\"%.6f\" y=\"%.6f\" z=\"%.6f\"/>\n", n[0] + shift[0], n[1] + shift[1],
                      n[2] + shift[2]);
    }
    cw_text_add(out, "    </vertices>\n    <triangles>\n");
    for (size_t i = 0; i < solid->shell.triangle_count; i++) {
        const uint32_t *t = solid->shell.triangle[i];

        cw_text_print(out, "     <triangle v1=\"%u\" v2=\"%u\" v3=\"%u\"/>\n", t[0], t[1], t[2]);
    }
    cw_text_add(out, "    </triangles>\n   </mesh>\n  </object>\n");
}

static void write_model(const cw_solid_group *group, const char *title, cw_text *out)
{
    double shift[CW_SOLIDS_MOST][3];

    cw_solids__plate(group, shift);
    cw_text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" "
                     "xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n");
    cw_text_add(out, " <metadata name=\"Title\">");
    add_escaped(title != NULL ? title : group->name, out);
    cw_text_add(out, "</metadata>\n <metadata name=\"Application\">Coilwright</metadata>\n <resources>\n");
    for (size_t i = 0; i < group->piece_count; i++)
        add_object(&group->pieces[i], i + 1, shift[i], out);
    cw_text_add(out, " </resources>\n <build>\n");
    for (size_t i = 0; i < group->piece_count; i++)
        cw_text_print(out, "  <item objectid=\"%zu\"/>\n", i + 1);
    cw_text_add(out, " </build>\n</model>\n");
}

static const char content_types[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\n"
    " <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\n"
    " <Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>\n"
    "</Types>\n";
static const char relations[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\n"
    " <Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" "
    "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\n"
    "</Relationships>\n";

/* Stored, so that the bytes hang on no version of a packer; DOS dates begin in 1980. */
static bool add_entry(zip_t *zip, const char *name, const char *content, size_t length)
{
    zip_source_t *source = zip_source_buffer(zip, content, length, 0);
    const zip_int64_t index = source != NULL ? zip_file_add(zip, name, source, ZIP_FL_ENC_UTF_8) : -1;

    if (index < 0) {
        zip_source_free(source);
        return false;
    }
    return zip_set_file_compression(zip, (zip_uint64_t)index, ZIP_CM_STORE, 0) == 0 &&
           zip_file_set_dostime(zip, (zip_uint64_t)index, 0, 0x0021, 0) == 0;
}

/* Appends what the archive was written to. */
static bool take_archive(zip_source_t *archive, cw_text *out)
{
    char buffer[65536];
    zip_int64_t count;

    if (zip_source_open(archive) != 0)
        return false;
    while ((count = zip_source_read(archive, buffer, sizeof buffer)) > 0)
        cw_text_add_bytes(out, buffer, (size_t)count);
    zip_source_close(archive);
    return count == 0 && !out->failed;
}

static bool pack(const cw_text *model, cw_text *out)
{
    zip_source_t *archive = zip_source_buffer_create(NULL, 0, 0, NULL);
    zip_t *zip = archive != NULL ? zip_open_from_source(archive, ZIP_TRUNCATE, NULL) : NULL;
    bool good = zip != NULL;

    if (zip != NULL) {
        zip_source_keep(archive);
        good = add_entry(zip, "[Content_Types].xml", content_types, sizeof content_types - 1) &&
               add_entry(zip, "_rels/.rels", relations, sizeof relations - 1) &&
               add_entry(zip, "3D/3dmodel.model", model->data, model->length) && zip_close(zip) == 0;
        if (!good)
            zip_discard(zip);
    }
    good = good && take_archive(archive, out);
    if (archive != NULL)
        zip_source_free(archive);
    return good;
}

cw_status cw_solid_group_3mf(const cw_solid_group *group, const char *title, cw_text *out, cw_error *error)
{
    cw_text model = { 0 };
    cw_status status = CW_OK;

    write_model(group, title, &model);
    if (model.failed || !pack(&model, out))
        status = cw_no_memory(error);
    cw_text_clear(&model);
    return status;
}
