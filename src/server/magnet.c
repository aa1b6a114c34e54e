/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the page asks of a magnet: its field, maps of flux and heat to read values from, and the table from which the
 * sliders for gap and plate answer at once.
 *
 * A map is a lattice of values, row by row from the top, as whole steps above the lowest: a tenth of the bytes of
 * numbers in full, and finer than a screen shows. -1 stands where there is nothing to read. */
#include "server/server_internal.h"

#include "coilwright/iron.h"
#include "work/magnet_json.h"

#include <math.h>

enum { COLUMNS = 280, ROWS_MOST = 500, STEPS = 9999 };

typedef struct map {
    double x0, x1, y0, y1; /* m, y up */
    bool mirrored;         /* only the half with x >= 0 is there */
    int columns, rows;
    double *value;         /* shape [rows][columns] */
} map;

/* ---- maps ---------------------------------------------------------------------------------------------------- */

/* Room for a map of that rectangle with a margin; cw_free its values. */
static cw_status map_create(map *m, cw_error *error)
{
    const double width = m->x1 - m->x0, height = m->y1 - m->y0, margin = 0.08 * fmax(width, height);

    m->mirrored = m->x0 >= 0;
    m->x0 = m->mirrored ? 0 : m->x0 - margin;
    m->x1 += margin;
    m->y0 -= margin;
    m->y1 += margin;
    m->columns = m->mirrored ? COLUMNS / 2 : COLUMNS;
    m->rows = (int)fmin(ROWS_MOST, 2 + m->columns * (m->y1 - m->y0) / (m->x1 - m->x0));
    m->value = cw_allocate((size_t)m->columns * (size_t)m->rows, sizeof *m->value);
    return m->value != NULL ? CW_OK : cw_no_memory(error);
}

static double map_x(const map *m, int column)
{
    return m->x0 + (m->x1 - m->x0) * column / (m->columns - 1);
}

static double map_y(const map *m, int row)
{
    return m->y1 - (m->y1 - m->y0) * row / (m->rows - 1);
}

static void map_range(const map *m, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int i = 0; i < m->columns * m->rows; i++)
        if (isfinite(m->value[i])) {
            *low = fmin(*low, m->value[i]);
            *high = fmax(*high, m->value[i]);
        }
    if (!(*high >= *low))
        *low = *high = 0;
}

static json_t *map_json(const map *m)
{
    json_t *values = json_array();
    double low, high, step;

    map_range(m, &low, &high);
    step = high > low ? (high - low) / STEPS : 1;
    for (int i = 0; i < m->columns * m->rows; i++)
        json_array_append_new(values, json_integer(isfinite(m->value[i]) ? lround((m->value[i] - low) / step) : -1));
    return json_pack("{s:f, s:f, s:f, s:f, s:i, s:i, s:b, s:f, s:f, s:o}", "x0_m", m->x0, "x1_m", m->x1, "y0_m", m->y0,
                     "y1_m", m->y1, "columns", m->columns, "rows", m->rows, "mirrored", m->mirrored, "low", low, "step",
                     step, "values", values);
}

static json_t *outline(const char *name, const char *kind, const double x[2], const double y[2], double drop_m,
                       bool moves)
{
    return json_pack("{s:s, s:s, s:[f, f], s:[f, f], s:f, s:b}", "name", name, "kind", kind, "x_m", x[0], x[1], "y_m",
                     y[0], y[1], "drop_m", drop_m, "moves", moves);
}

/* ---- flux ---------------------------------------------------------------------------------------------------- */

static void frame_field(const cw_field_view *view, map *m)
{
    *m = (map){ .x0 = INFINITY, .x1 = -INFINITY, .y0 = INFINITY, .y1 = -INFINITY };
    for (size_t i = 0; i < view->part_count; i++) {
        m->x0 = fmin(m->x0, view->part[i].x[0]);
        m->x1 = fmax(m->x1, view->part[i].x[1]);
        m->y0 = fmin(m->y0, view->part[i].y[0]);
        m->y1 = fmax(m->y1, view->part[i].y[1]);
    }
    if (view->mesh->inside[CW_LEFT] == 0)
        m->x0 = 0;
}

static json_t *parts_of_field(const cw_field_view *view)
{
    json_t *list = json_array();

    for (size_t i = 0; i < view->part_count; i++) {
        const cw_part *p = &view->part[i];

        json_array_append_new(list, outline(p->name, p->coil >= 0 ? "coil" : p->iron[0] != '\0' ? "iron" : "air", p->x,
                                            p->y, p->drop_m, p->moves));
    }
    return list;
}

static json_t *flux_json(const cw_field *field, map *m, bool density)
{
    for (int row = 0; row < m->rows; row++)
        for (int column = 0; column < m->columns; column++) {
            const double x = map_x(m, column), y = map_y(m, row);
            double b[2] = { 0, 0 };

            if (density)
                cw_field_density_t(field, x, y, b);
            m->value[row * m->columns + column] = density ? hypot(b[0], b[1]) : cw_field_flux_wb(field, x, y);
        }
    return map_json(m);
}

static cw_status field_map(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_field_study *study;
    cw_field_view view;
    map m = { 0 };
    cw_status status = cw_work_field(work, &study, error);

    (void)question;
    if (status == CW_OK)
        status = cw_field_view_of(study->field, &view, error);
    if (status != CW_OK)
        return status;
    frame_field(&view, &m);
    status = map_create(&m, error);
    if (status == CW_OK) {
        json_t *density = flux_json(study->field, &m, true), *flux = flux_json(study->field, &m, false);

        *document = json_pack("{s:f, s:o, s:o, s:o}", "gap_m", study->magnet.gap_m, "density_t", density, "flux_wb", flux,
                              "parts", parts_of_field(&view));
    }
    cw_free(m.value);
    return status;
}

/* ---- temperatures -------------------------------------------------------------------------------------------- */

/* Weights of a triangle's six nodes at a place inside it, or false outside. */
static bool shape_at(const cw_mesh *mesh, size_t triangle, double x, double y, double weight[6])
{
    const int *corner = mesh->corner[triangle];
    const double *a = mesh->node[corner[0]], *b = mesh->node[corner[1]], *c = mesh->node[corner[2]];
    const double area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    const double l1 = ((x - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (y - a[1])) / area;
    const double l2 = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / area, l0 = 1 - l1 - l2;

    weight[0] = l0 * (2 * l0 - 1);
    weight[1] = l1 * (2 * l1 - 1);
    weight[2] = l2 * (2 * l2 - 1);
    weight[3] = 4 * l0 * l1;
    weight[4] = 4 * l1 * l2;
    weight[5] = 4 * l2 * l0;
    return l0 > -1e-9 && l1 > -1e-9 && l2 > -1e-9;
}

static int clamp(double value, int most)
{
    return value < 0 ? 0 : value > most ? most : (int)value;
}

/* Fills the places that lie in a triangle. */
static void fill_triangle(map *m, const cw_mesh *mesh, size_t triangle, const double *temperature_c)
{
    const int *corner = mesh->corner[triangle];
    const double *a = mesh->node[corner[0]], *b = mesh->node[corner[1]], *c = mesh->node[corner[2]];
    const double per_x = (m->columns - 1) / (m->x1 - m->x0), per_y = (m->rows - 1) / (m->y1 - m->y0);
    const int first = clamp(floor((fmin(a[0], fmin(b[0], c[0])) - m->x0) * per_x), m->columns - 1);
    const int last = clamp(ceil((fmax(a[0], fmax(b[0], c[0])) - m->x0) * per_x), m->columns - 1);
    const int top = clamp(floor((m->y1 - fmax(a[1], fmax(b[1], c[1]))) * per_y), m->rows - 1);
    const int bottom = clamp(ceil((m->y1 - fmin(a[1], fmin(b[1], c[1]))) * per_y), m->rows - 1);

    for (int row = top; row <= bottom; row++)
        for (int column = first; column <= last; column++) {
            double weight[6], sum = 0;

            if (!shape_at(mesh, triangle, map_x(m, column), map_y(m, row), weight))
                continue;
            for (int n = 0; n < 6; n++)
                sum += weight[n] * temperature_c[corner[n]];
            if (isfinite(sum))
                m->value[row * m->columns + column] = sum;
        }
}

static void frame_heat(const cw_heat_section *section, map *m)
{
    *m = (map){ .x0 = INFINITY, .x1 = -INFINITY, .y0 = INFINITY, .y1 = -INFINITY };
    for (int i = 0; i < section->part_count; i++) {
        const cw_heat_part *p = &section->part[i];

        if (p->kind != CW_PART_SOLID)
            continue;
        m->x0 = fmin(m->x0, p->x[0]);
        m->x1 = fmax(m->x1, p->x[1]);
        m->y0 = fmin(m->y0, p->y[0]);
        m->y1 = fmax(m->y1, p->y[1]);
    }
    if (!section->planar || section->mirrored)
        m->x0 = 0;
}

static json_t *parts_of_heat(const cw_heat_section *section)
{
    json_t *list = json_array();

    for (int i = 0; i < section->part_count; i++) {
        const cw_heat_part *p = &section->part[i];

        if (p->kind == CW_PART_SOLID)
            json_array_append_new(list, outline(p->name, p->winding ? "coil" : "iron", p->x, p->y, 0, false));
    }
    return list;
}

static cw_status temperatures(const cw_heat_section *section, map *m, cw_error *error)
{
    double *temperature_c = NULL;
    cw_heat *heat = NULL;
    cw_heat_result result;
    cw_status status = cw_heat_create(section, NULL, &heat, error);

    if (status == CW_OK)
        status = cw_heat_steady(heat, &result, error);
    if (status == CW_OK) {
        temperature_c = cw_allocate(cw_heat_mesh(heat)->node_count, sizeof *temperature_c);
        status = temperature_c != NULL ? CW_OK : cw_no_memory(error);
    }
    if (status == CW_OK) {
        const cw_mesh *mesh = cw_heat_mesh(heat);

        cw_heat_node_temperatures(heat, temperature_c);
        for (int i = 0; i < m->columns * m->rows; i++)
            m->value[i] = NAN;
        for (size_t t = 0; t < mesh->triangle_count; t++)
            fill_triangle(m, mesh, t, temperature_c);
    }
    cw_free(temperature_c);
    cw_heat_destroy(&heat);
    return status;
}

static cw_status heat_map(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    const cw_work_heat_study *study;
    map m = { 0 };
    cw_status status = cw_work_heat(work, &study, error);

    (void)question;
    if (status != CW_OK)
        return status;
    if (study->steady.runs_away)
        return cw_refuse(error, NULL, NULL, "Always on, the coil would never settle: it burns. There is no picture of that.");
    frame_heat(&study->section, &m);
    status = map_create(&m, error);
    if (status == CW_OK)
        status = temperatures(&study->section, &m, error);
    if (status == CW_OK) {
        json_t *temperature = map_json(&m);

        *document = json_pack("{s:o, s:o}", "temperature_c", temperature, "parts", parts_of_heat(&study->section));
    }
    cw_free(m.value);
    return status;
}

/* ---- answers ------------------------------------------------------------------------------------------------- */

/* Without a curve: that is the table's. */
static cw_status field(const cw_server__question *question, cw_work *work, json_t **document, cw_error *error)
{
    (void)question;
    return cw_work_field_document(work, document, error);
}

void cw_server__field(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, field);
}

void cw_server__field_map(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, field_map);
}

void cw_server__heat_map(const cw_server__question *question, cw_server__answer *answer)
{
    cw_server__answer_stage(question, answer, heat_map);
}

/* ---- what a magnet is described by --------------------------------------------------------------------------- */

static json_t *shapes_of(const cw_job_magnet_key *key)
{
    static const char *const shapes[] = { "pot", "plunger", "u", "e" };
    json_t *list = json_array();

    for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++)
        if (key->shapes & cw_job_magnet_shape(shapes[i]))
            json_array_append_new(list, json_string(shapes[i]));
    return list;
}

static const char *type_of(const cw_job_magnet_key *key)
{
    switch (key->type) {
    case CW_KEY_LENGTH: return "length";
    case CW_KEY_FORCE: return "force";
    case CW_KEY_IRON: return "iron";
    case CW_KEY_YES_NO: return "yes or no";
    case CW_KEY_SHARE: return "share";
    case CW_KEY_FACE: return "face";
    case CW_KEY_WORD: break;
    }
    return "word";
}

void cw_server__magnet_keys(const cw_server__question *question, cw_server__answer *answer)
{
    size_t count;
    const cw_job_magnet_key *key = cw_job_magnet_keys(&count);
    json_t *keys = json_array(), *irons = json_array();
    char name[64];

    (void)question;
    for (size_t i = 0; i < count; i++)
        json_array_append_new(keys, json_pack("{s:s, s:o, s:s, s:b, s:s, s:s?, s:s}", "name", key[i].name, "shapes",
                                              shapes_of(&key[i]), "type", type_of(&key[i]), "needed", key[i].needed,
                                              "metric", key[i].metric, "inch", key[i].inch, "about", key[i].about));
    for (size_t i = 0; cw_iron_name(i, name, sizeof name); i++)
        json_array_append_new(irons, json_string(name));
    cw_server__answer_json(answer, json_pack("{s:o, s:o}", "keys", keys, "irons", irons));
}

/* ---- the table behind the sliders ---------------------------------------------------------------------------- */

/* In parts of the job's own gap and plate; the own ones first among the plates, so that their curve comes at once. */
static const double gap_shares[] = { 0.125, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8 };
static const double plate_shares[] = { 1, 0.25, 0.4, 0.6, 0.8, 1.25, 1.6, 2 };

enum { GAPS = sizeof gap_shares / sizeof gap_shares[0], PLATES = sizeof plate_shares / sizeof plate_shares[0] };

static json_t *row_json(double plate_m, int number, int of, const cw_field_result *curve)
{
    json_t *forces = json_array(), *inductances = json_array();

    for (int g = 0; g < GAPS; g++) {
        json_array_append_new(forces, json_real(curve[g].force_n));
        json_array_append_new(inductances, json_real(curve[g].inductance_h));
    }
    return json_pack("{s:f, s:i, s:i, s:o, s:o}", "plate_m", plate_m, "row", number, "rows", of, "force_n", forces,
                     "inductance_h", inductances);
}

static json_t *head_json(const cw_work_field_study *study, const double *gaps, int rows)
{
    json_t *list = json_array();

    for (int g = 0; g < GAPS; g++)
        json_array_append_new(list, json_real(gaps[g]));
    return json_pack("{s:o, s:f, s:f, s:f, s:i}", "gaps_m", list, "gap_m", study->magnet.gap_m, "plate_m",
                     study->magnet.plate_thickness_m, "current_a", study->magnet.current_a, "rows", rows);
}

/* Row after row, each told as soon as it is there; stops where nobody listens. A plate that the magnet cannot have is
 * left out. */
static void tell_table(const cw_server__question *question, const cw_work_field_study *study)
{
    const cw_field_wish wish = { .error = 0.01 }; /* a slider moves further than that */
    const int rows = study->magnet.plate_thickness_m > 0 ? PLATES : 1;
    cw_field_result *curve = cw_allocate(GAPS, sizeof *curve);
    double gaps[GAPS], currents[GAPS];
    bool heard;

    if (curve == NULL)
        return;
    for (int g = 0; g < GAPS; g++) {
        gaps[g] = gap_shares[g] * study->magnet.gap_m;
        currents[g] = study->magnet.current_a;
    }
    heard = cw_server__tell(question, "begun", head_json(study, gaps, rows));
    for (int p = 0; p < rows && heard; p++) {
        cw_magnet magnet = study->magnet;

        magnet.plate_thickness_m *= plate_shares[p];
        if (cw_magnet_curve(&magnet, &wish, gaps, currents, GAPS, curve, NULL) == CW_OK)
            heard = cw_server__tell(question, "row", row_json(magnet.plate_thickness_m, p + 1, rows, curve));
    }
    cw_free(curve);
}

/* ---- everything about a magnet, as it is computed ------------------------------------------------------------- */

/* A stage's document as an event, or why there is none. */
static bool tell_stage(const cw_server__question *question, cw_work *work, const char *event, cw_server__stage compute)
{
    json_t *document = NULL;
    cw_error error;

    if (compute(question, work, &document, &error) != CW_OK)
        document = json_pack("{s:o}", "error", cw_server__error_json(&error));
    return cw_server__tell(question, event, document);
}

/* One after the other in one worker: each stage needs the one before, and a page shows what there is. */
void cw_server__magnet_study(const cw_server__question *question, cw_server__answer *answer)
{
    cw_work *work = cw_server__open_job(question->body, question->length, answer);
    const cw_work_field_study *study;

    if (work == NULL)
        return;
    if (tell_stage(question, work, "heat", cw_server__heat_stage) && tell_stage(question, work, "field", field) &&
        tell_stage(question, work, "flux", field_map) && tell_stage(question, work, "warm", heat_map) &&
        cw_work_field(work, &study, NULL) == CW_OK)
        tell_table(question, study);
    cw_server__tell(question, "done", json_object());
    cw_work_close(&work);
}
