/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text: Pango with hinting and rounding off, so that it sets alike at every resolution and in every format. */
#include "draw/draw_internal.h"

#include <math.h>
#include <string.h>

/* Open Sans is the house's; the others are what Debian is likely to have, in falling likeness. */
#define FAMILIES "Open Sans, Noto Sans, DejaVu Sans, Liberation Sans, sans-serif"

/* Leading of paragraphs: Open Sans asks for 1.36 em, which is airy on a shop's sheet; about 1.25 em reads well. */
#define LEADING 0.92f

static PangoFontDescription *face_description(cw_face face)
{
    static const PangoWeight weights[CW_FACE_COUNT] = {
        [CW_REGULAR] = PANGO_WEIGHT_NORMAL,
        [CW_ITALIC] = PANGO_WEIGHT_NORMAL,
        [CW_SEMIBOLD] = PANGO_WEIGHT_SEMIBOLD,
        [CW_BOLD] = PANGO_WEIGHT_BOLD,
    };
    PangoFontDescription *description = pango_font_description_new();

    pango_font_description_set_family_static(description, FAMILIES);
    pango_font_description_set_weight(description, weights[face]);
    pango_font_description_set_style(description, face == CW_ITALIC ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
    return description;
}

void cw_draw__type_begin(cw_canvas *canvas)
{
    cairo_font_options_t *options = cairo_font_options_create();
    PangoAttrList *attributes = pango_attr_list_new();
    PangoContext *context;

    canvas->layout = pango_cairo_create_layout(canvas->cairo);
    context = pango_layout_get_context(canvas->layout);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    pango_layout_context_changed(canvas->layout);
    /* figures of one width, so that columns of numbers align */
    pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1"));
    pango_layout_set_attributes(canvas->layout, attributes);
    pango_attr_list_unref(attributes);
    cairo_font_options_destroy(options);
    for (int face = 0; face < CW_FACE_COUNT; face++)
        canvas->faces[face] = face_description((cw_face)face);
}

void cw_draw__type_end(cw_canvas *canvas)
{
    for (int face = 0; face < CW_FACE_COUNT; face++)
        if (canvas->faces[face] != NULL)
            pango_font_description_free(canvas->faces[face]);
    if (canvas->layout != NULL)
        g_object_unref(canvas->layout);
}

static bool is_clean(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)text[i] < 0x20 || text[i] == 0x7F)
            return false;
    return g_utf8_validate(text, (gssize)length, NULL);
}

char *cw_draw__clean_copy(const char *text, bool lines)
{
    size_t length = strlen(text);
    char *copy = cw_allocate(3 * length + 1, 1), *to = copy;
    const char *from = text, *end = text + length;

    while (copy != NULL && from < end) {
        gunichar c = g_utf8_get_char_validated(from, end - from);
        size_t bytes = (gint32)c < 0 ? 1 : (size_t)(g_utf8_next_char(from) - from);

        if ((gint32)c < 0)
            memcpy(to, "\xEF\xBF\xBD", 3), to += 3;
        else if (c == '\n' && lines)
            *to++ = '\n';
        else if (c < 0x20 || c == 0x7F)
            *to++ = ' ';
        else
            memcpy(to, from, bytes), to += bytes;
        from += bytes;
    }
    return copy;
}

/* Puts text and type into the layout, one line wide. */
static void set_text(cw_canvas *canvas, cw_type type, const char *text, bool lines)
{
    PangoFontDescription *face = canvas->faces[type.face];
    size_t length = strlen(text);

    pango_font_description_set_absolute_size(face, type.size_pt * DRAW_MM_PER_PT * PANGO_SCALE);
    pango_layout_set_font_description(canvas->layout, face);
    pango_layout_set_width(canvas->layout, -1);
    pango_layout_set_ellipsize(canvas->layout, PANGO_ELLIPSIZE_NONE);
    pango_layout_set_alignment(canvas->layout, PANGO_ALIGN_LEFT);
    pango_layout_set_line_spacing(canvas->layout, LEADING);
    if (is_clean(text, length)) {
        pango_layout_set_text(canvas->layout, text, (int)length);
    } else {
        char *copy = cw_draw__clean_copy(text, lines);

        canvas->no_memory = canvas->no_memory || copy == NULL;
        pango_layout_set_text(canvas->layout, copy != NULL ? copy : "", -1);
        cw_free(copy);
    }
}

static double layout_width(cw_canvas *canvas)
{
    PangoRectangle logical;

    pango_layout_get_extents(canvas->layout, NULL, &logical);
    return (double)logical.width / PANGO_SCALE;
}

static double before(cw_align align, double width)
{
    switch (align) {
    case CW_ALIGN_LEFT: return 0;
    case CW_ALIGN_CENTRE: return width / 2;
    case CW_ALIGN_RIGHT: return width;
    }
    return 0;
}

static void show_line(cw_canvas *canvas, double x, double y)
{
    cairo_move_to(canvas->cairo, x, y);
    pango_cairo_show_layout_line(canvas->cairo, pango_layout_get_line_readonly(canvas->layout, 0));
    cairo_new_path(canvas->cairo);
}

double cw_canvas_write(cw_canvas *canvas, cw_type type, double x, double y, const char *text)
{
    double width;

    set_text(canvas, type, text, false);
    width = layout_width(canvas);
    if (cw_draw__ink(canvas, type.ink))
        show_line(canvas, x - before(type.align, width), y);
    return width;
}

double cw_canvas_write_within(cw_canvas *canvas, cw_type type, double x, double y, double width_mm, const char *text)
{
    double width;

    set_text(canvas, type, text, false);
    pango_layout_set_width(canvas->layout, (int)(width_mm * PANGO_SCALE));
    pango_layout_set_ellipsize(canvas->layout, PANGO_ELLIPSIZE_END);
    width = layout_width(canvas);
    if (cw_draw__ink(canvas, type.ink))
        show_line(canvas, x - before(type.align, width), y);
    return width;
}

double cw_canvas_write_up(cw_canvas *canvas, cw_type type, double x, double y, const char *text)
{
    double width;

    set_text(canvas, type, text, false);
    width = layout_width(canvas);
    if (!cw_draw__ink(canvas, type.ink))
        return width;
    cairo_save(canvas->cairo);
    cairo_translate(canvas->cairo, x, y + before(type.align, width));
    cairo_rotate(canvas->cairo, -1.57079632679489661923);
    show_line(canvas, 0, 0);
    cairo_restore(canvas->cairo);
    return width;
}

double cw_canvas_text_width(cw_canvas *canvas, cw_type type, const char *text)
{
    set_text(canvas, type, text, false);
    return layout_width(canvas);
}

static double set_paragraph(cw_canvas *canvas, cw_type type, double width_mm, const char *text)
{
    static const PangoAlignment alignments[] = { PANGO_ALIGN_LEFT, PANGO_ALIGN_CENTER, PANGO_ALIGN_RIGHT };
    PangoRectangle logical;

    set_text(canvas, type, text, true);
    pango_layout_set_width(canvas->layout, (int)(width_mm * PANGO_SCALE));
    pango_layout_set_wrap(canvas->layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(canvas->layout, alignments[type.align]);
    pango_layout_get_extents(canvas->layout, NULL, &logical);
    return (double)logical.height / PANGO_SCALE;
}

double cw_canvas_paragraph(cw_canvas *canvas, cw_type type, double x, double y, double width_mm, const char *text)
{
    double height;

    if (text == NULL || text[0] == '\0')
        return 0;
    height = set_paragraph(canvas, type, width_mm, text);
    if (cw_draw__ink(canvas, type.ink)) {
        cairo_move_to(canvas->cairo, x, y);
        pango_cairo_show_layout(canvas->cairo, canvas->layout);
        cairo_new_path(canvas->cairo);
    }
    return height;
}

double cw_canvas_paragraph_height(cw_canvas *canvas, cw_type type, double width_mm, const char *text)
{
    return text == NULL || text[0] == '\0' ? 0 : set_paragraph(canvas, type, width_mm, text);
}
