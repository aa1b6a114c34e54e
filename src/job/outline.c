/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The form of an outline: "0 0, 20 0, through 27 7, 20 14, 0 14 mm". Places are separated by commas and the unit of all
 * stands at the end. Offsets: of the places, and, as the row's doubt, of their number. */
#include "job/job_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PLACES_MOST = 400 };

static const char *const usual = "places of an outline, as in 0 0, 20 0, through 27 7, 20 14, 0 14 mm";

static cw_contour_point *get_places(const cw_row *row, const void *record)
{
    cw_contour_point *places;

    memcpy(&places, (const char *)record + row->offset, sizeof places);
    return places;
}

static size_t get_count(const cw_row *row, const void *record)
{
    size_t count;

    memcpy(&count, (const char *)record + row->doubt, sizeof count);
    return count;
}

static void set(const cw_row *row, void *record, cw_contour_point *places, size_t count)
{
    memcpy((char *)record + row->offset, &places, sizeof places);
    memcpy((char *)record + row->doubt, &count, sizeof count);
}

static void outline_clear(const cw_row *row, void *record)
{
    set(row, record, NULL, 0);
}

static void outline_release(const cw_row *row, void *record)
{
    cw_free(get_places(row, record));
    set(row, record, NULL, 0);
}

static const char *past_blanks(const char *at)
{
    return at + strspn(at, " \t\n");
}

/* "through 27 7": leaves `at` behind the second number. */
static bool read_place(const char **at, cw_contour_point *place)
{
    const char *from = past_blanks(*at);
    char *end;

    place->through = strncmp(from, "through", 7) == 0;
    if (place->through)
        from = past_blanks(from + 7);
    place->x = strtod(from, &end);
    if (end == from)
        return false;
    from = past_blanks(end);
    place->y = strtod(from, &end);
    *at = end;
    return end != from && isfinite(place->x) && isfinite(place->y);
}

/* The unit behind the last place, as metres; 0 where there is none. */
static double read_unit(cw_reader *reader, const cw_node *node, const char *unit)
{
    char one[40];
    cw_quantity quantity;
    cw_error error;

    unit = past_blanks(unit);
    snprintf(one, sizeof one, "1 %.30s", unit);
    if (*unit == '\0' || cw_quantity_parse(CW_LENGTH, one, strlen(one), NULL, &quantity, &error) != CW_OK) {
        cw_job__wrong(reader, node, usual, "The outline ends with \"%.30s\", which is no unit of length.", unit);
        return 0;
    }
    return quantity.value;
}

static void scale(cw_contour_point *places, size_t count, double metres)
{
    for (size_t i = 0; i < count; i++) {
        places[i].x *= metres;
        places[i].y *= metres;
    }
}

static void outline_read(cw_reader *reader, const cw_row *row, const cw_node *node, const cw_node *section, void *record)
{
    cw_contour_point places[PLACES_MOST], *kept;
    size_t count = 0;
    const char *at = node->text;
    double metres;

    (void)section;
    if (!cw_job__written(reader, row, node))
        return;
    do {
        if (count == PLACES_MOST) {
            cw_job__wrong(reader, node, NULL, "The outline has more than %d places.", PLACES_MOST);
            return;
        }
        if (!read_place(&at, &places[count])) {
            cw_job__wrong(reader, node, usual, "Place %zu of the outline is not two numbers with a blank between.",
                          count + 1);
            return;
        }
        count++;
        at = past_blanks(at);
    } while (*at++ == ',');
    metres = read_unit(reader, node, at - 1);
    if (metres == 0)
        return;
    scale(places, count, metres);
    kept = cw_allocate(count, sizeof *kept);
    reader->no_memory = reader->no_memory || kept == NULL;
    if (kept == NULL)
        return;
    memcpy(kept, places, count * sizeof *kept);
    outline_release(row, record);
    set(row, record, kept, count);
}

static bool outline_write(const cw_row *row, const void *record, cw_unit_system units, cw_text *text)
{
    const cw_contour_point *places = get_places(row, record);
    const double metres = units == CW_INCH_UNITS ? 0.0254 : 0.001;
    size_t count = get_count(row, record);

    for (size_t i = 0; i < count; i++)
        cw_text_print(text, "%s%s%.10g %.10g", i == 0 ? "\"" : ", ", places[i].through ? "through " : "",
                      places[i].x / metres, places[i].y / metres);
    if (count > 0)
        cw_text_print(text, " %s\"", units == CW_INCH_UNITS ? "in" : "mm");
    return count > 0;
}

const cw_form cw_job__outline_form = { "places of an outline, as in \"0 0, 20 0, through 27 7, 20 14, 0 14 mm\"",
                                       outline_clear, outline_read, outline_write, outline_release };

/* ---- regions --------------------------------------------------------------------------------------------------- */

void cw_job__check_region(cw_reader *reader, const cw_node *section, void *record)
{
    const cw_job_region *region = record;

    if (cw_job__find(section, "material") == NULL)
        cw_job__wrong_key(reader, section, "an iron's name, coil or air", "The region '%.60s' has no material.",
                          region->name != NULL ? region->name : "");
}
