/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The canvas: one Cairo surface for three formats, written to memory.
 *
 * Cairo keeps paths in steps of 1/256 of the surface's own unit and glyph outlines in steps of 1/64. In PDF that unit
 * is the point and fine enough. In SVG it would be the millimetre, which makes crooked letters, so the surface is laid
 * out 20 units to the millimetre and the file scaled back (svg.c). */
#include "draw/draw_internal.h"

#include <assert.h>
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define SVG_UNITS_PER_MM 20.0
#define LEAST_MM 1.0
#define GREATEST_MM 5000.0      /* PDF viewers stop at 14400 points */
#define USUAL_DOTS_PER_MM 6.0
#define MOST_DOTS 20000.0       /* along a side; Cairo itself stops at 32767 */

/* Never tells Cairo of a failure: its PDF writer (1.16) crashes at the end where a write has failed. The text remembers
 * it instead, and cw_canvas_finish asks. */
static cairo_status_t take_bytes(void *closure, const unsigned char *data, unsigned int length)
{
    cw_text *bytes = closure;

    cw_text_add_bytes(bytes, (const char *)data, length);
    return CAIRO_STATUS_SUCCESS;
}

/* "2031-05-17" and nothing else; the calendar is not checked further, as no one computes with it. */
static bool is_date(const char *text)
{
    static const char pattern[] = "dddd-dd-dd";

    for (size_t i = 0; i < sizeof pattern; i++) {
        bool digit = text[i] >= '0' && text[i] <= '9';

        if (pattern[i] == 'd' ? !digit : text[i] != pattern[i])
            return false;
    }
    return true;
}

static double dots_per_mm(const cw_paper *paper)
{
    return paper->dots_per_mm > 0 ? paper->dots_per_mm : USUAL_DOTS_PER_MM;
}

static cw_status check_paper(const cw_paper *paper, cw_error *error)
{
    double longest = fmax(paper->width_mm, paper->height_mm);

    if (!(paper->width_mm >= LEAST_MM) || !(paper->height_mm >= LEAST_MM) || !(longest <= GREATEST_MM))
        return cw_refuse(error, NULL, "1 to 5000 mm each way", "A drawing of %g by %g mm cannot be made.",
                         paper->width_mm, paper->height_mm);
    if (paper->format == CW_PNG && !(longest * dots_per_mm(paper) <= MOST_DOTS))
        return cw_refuse(error, NULL, "at most 20000 dots a side",
                         "A picture of %g by %g mm at %g dots per mm is too large.", paper->width_mm,
                         paper->height_mm, dots_per_mm(paper));
    if (paper->date != NULL && !is_date(paper->date))
        return cw_refuse(error, NULL, "a date as in 2031-05-17", "'%.40s' is not a date.", paper->date);
    return CW_OK;
}

static double units_per_mm(const cw_paper *paper)
{
    switch (paper->format) {
    case CW_SVG: return SVG_UNITS_PER_MM;
    case CW_PDF: return 1 / DRAW_MM_PER_PT;
    case CW_PNG: return dots_per_mm(paper);
    case CW_FORMAT_COUNT: break;
    }
    assert(!"no such format");
    return 1;
}

static void describe_pdf(cairo_surface_t *surface, const char *title, const char *date)
{
    char moment[32];

    /* Without a date Cairo asks the clock, and no two runs would give the same bytes. */
    snprintf(moment, sizeof moment, "%sT00:00:00Z", date != NULL ? date : "2000-01-01");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, moment);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Coilwright");
    if (title != NULL)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
}

static cairo_surface_t *make_surface(const cw_paper *paper, const char *title, cw_text *bytes)
{
    double width = paper->width_mm * units_per_mm(paper), height = paper->height_mm * units_per_mm(paper);
    cairo_surface_t *surface = NULL;

    switch (paper->format) {
    case CW_SVG:
        surface = cairo_svg_surface_create_for_stream(take_bytes, bytes, width, height);
        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_MM);
        break;
    case CW_PDF:
        surface = cairo_pdf_surface_create_for_stream(take_bytes, bytes, width, height);
        describe_pdf(surface, title, paper->date);
        break;
    case CW_PNG:
        surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)lround(width), (int)lround(height));
        break;
    case CW_FORMAT_COUNT:
        assert(!"no such format");
    }
    return surface;
}

/* Nothing of the paper's texts is kept by reference. */
static bool keep_texts(cw_canvas *canvas, const cw_paper *paper)
{
    if (paper->title != NULL)
        canvas->title = cw_draw__clean_copy(paper->title, false);
    if (paper->description != NULL)
        canvas->description = cw_draw__clean_copy(paper->description, false);
    return (paper->title == NULL) == (canvas->title == NULL) &&
           (paper->description == NULL) == (canvas->description == NULL);
}

static void begin_page(cw_canvas *canvas)
{
    double rgb[3];

    /* White is drawn where the format has no paper of its own, so that dark ink stays legible on a dark screen. */
    if (canvas->format == CW_PDF)
        return;
    cw_ink_rgb(CW_WHITE, rgb);
    cairo_set_source_rgb(canvas->cairo, rgb[0], rgb[1], rgb[2]);
    cairo_paint(canvas->cairo);
}

cw_status cw_canvas_create(const cw_paper *paper, cw_canvas **canvas, cw_error *error)
{
    cw_canvas *made;
    cw_status status;

    *canvas = NULL;
    status = check_paper(paper, error);
    if (status != CW_OK)
        return status;
    made = cw_allocate(1, sizeof *made);
    if (made == NULL)
        return cw_no_memory(error);
    made->format = paper->format;
    made->width_mm = paper->width_mm;
    made->height_mm = paper->height_mm;
    made->page = 1;
    if (!keep_texts(made, paper)) {
        cw_canvas_destroy(&made);
        return cw_no_memory(error);
    }
    made->surface = make_surface(paper, made->title, &made->bytes);
    made->cairo = cairo_create(made->surface);
    if (cairo_status(made->cairo) != CAIRO_STATUS_SUCCESS) { /* beyond memory nothing that was checked can be wrong */
        cw_canvas_destroy(&made);
        return cw_no_memory(error);
    }
    cairo_scale(made->cairo, units_per_mm(paper), units_per_mm(paper));
    cairo_set_line_join(made->cairo, CAIRO_LINE_JOIN_ROUND);
    cw_draw__type_begin(made);
    begin_page(made);
    *canvas = made;
    return CW_OK;
}

void cw_canvas_destroy(cw_canvas **canvas)
{
    cw_canvas *old = *canvas;

    *canvas = NULL;
    if (old == NULL)
        return;
    cw_draw__type_end(old);
    cairo_destroy(old->cairo);
    if (old->surface != NULL)
        cairo_surface_finish(old->surface); /* may still write to `bytes` */
    cairo_surface_destroy(old->surface);
    cw_text_clear(&old->bytes);
    cw_free(old->title);
    cw_free(old->description);
    cw_free(old);
}

void cw_canvas_next_page(cw_canvas *canvas)
{
    assert(canvas->format == CW_PDF);
    if (canvas->muted)
        return;
    cairo_show_page(canvas->cairo);
    canvas->page++;
}

void cw_canvas_mute(cw_canvas *canvas, bool muted)
{
    canvas->muted = muted;
}

bool cw_canvas_is_muted(const cw_canvas *canvas)
{
    return canvas->muted;
}

void cw_canvas_bookmark(cw_canvas *canvas, const char *text, double y)
{
    char target[64], *clean;

    if (canvas->muted || canvas->format != CW_PDF)
        return;
    clean = cw_draw__clean_copy(text, false);
    if (clean == NULL) {
        canvas->no_memory = true;
        return;
    }
    /* whole points only: the text is parsed again, and must not depend on the locale's decimal point */
    snprintf(target, sizeof target, "page=%d pos=[0 %ld]", canvas->page, lround(y / DRAW_MM_PER_PT));
    cairo_pdf_surface_add_outline(canvas->surface, CAIRO_PDF_OUTLINE_ROOT, clean, target, 0);
    cw_free(clean);
}

/* Closes the surface, so that all of it is in canvas->bytes. */
static cairo_status_t close_surface(cw_canvas *canvas)
{
    cairo_status_t status = cairo_status(canvas->cairo);

    if (status == CAIRO_STATUS_SUCCESS && canvas->format == CW_PNG) {
        cairo_surface_flush(canvas->surface);
        status = cairo_surface_write_to_png_stream(canvas->surface, take_bytes, &canvas->bytes);
    }
    cairo_surface_finish(canvas->surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(canvas->surface);
    return status;
}

cw_status cw_canvas_finish(cw_canvas *canvas, cw_text *out, cw_error *error)
{
    cairo_status_t status = close_surface(canvas);

    if (canvas->format == CW_SVG && status == CAIRO_STATUS_SUCCESS &&
        !cw_draw__svg_rewrite(canvas, SVG_UNITS_PER_MM, &canvas->bytes) && !canvas->bytes.failed)
        return cw_fail(error, "This computer's Cairo library writes SVG in a way that is not known here. "
                              "Ask for PDF or PNG instead.");
    if (canvas->no_memory || canvas->bytes.failed || status == CAIRO_STATUS_NO_MEMORY)
        return cw_no_memory(error);
    if (status != CAIRO_STATUS_SUCCESS)
        return cw_fail(error, "The drawing could not be made: %s.", cairo_status_to_string(status));
    cw_text_add_bytes(out, canvas->bytes.data, canvas->bytes.length);
    return out->failed ? cw_no_memory(error) : CW_OK;
}

cw_status cw_draw__write(cw_draw__figure *draw, const void *figure, const cw_paper *paper, double suits_width_mm,
                         double suits_height_mm, cw_text *out, cw_error *error)
{
    cw_paper sized = *paper;
    cw_canvas *canvas = NULL;
    cw_status status;

    if (sized.width_mm == 0)
        sized.width_mm = suits_width_mm;
    if (sized.height_mm == 0)
        sized.height_mm = suits_height_mm;
    status = cw_canvas_create(&sized, &canvas, error);
    if (status == CW_OK) {
        draw(canvas, (cw_box){ 2, 2, sized.width_mm - 4, sized.height_mm - 4 }, figure);
        status = cw_canvas_finish(canvas, out, error);
    }
    cw_canvas_destroy(&canvas);
    return status;
}
