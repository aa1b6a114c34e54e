/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The label for the coil: its data to read, and as a QR code for whoever opens the machine next.
 *
 * The code (ISO/IEC 18004) is at medium error correction, which reads on with 15 % of it gone, and has the four modules
 * of white around it that readers ask for. */
#include "sheet/sheet_internal.h"

#include <errno.h>
#include <math.h>
#include <qrencode.h>

#define QUIET 4        /* modules */
#define PAD_MM 3.0
#define LINE_MM 4.7
#define CODE_MM 33.0   /* at most */

/* What the code says: the data, or the label's lines one below the other. */
static void take_data(const cw_sheet_content *content, cw_text *data)
{
    if (content->label_data != NULL) {
        cw_text_add(data, content->label_data);
        return;
    }
    for (size_t i = 0; i < content->label_count; i++)
        cw_text_print(data, "%s%s: %s", i > 0 ? "\n" : "", content->label[i].label, content->label[i].value);
}

#define UTF_8 26 /* among the interpretations that a code may announce (AIM ITS/04-023) */

static bool is_plain(const cw_text *data)
{
    for (size_t i = 0; i < data->length; i++)
        if ((unsigned char)data->data[i] >= 0x80)
            return false;
    return true;
}

/* NULL without memory or where the data are too long, which errno tells. Readers guess at letters beyond ASCII unless they
 * are told. */
static QRcode *encode(const cw_sheet_content *content)
{
    QRinput *input = QRinput_new2(0, QR_ECLEVEL_M);
    cw_text data = { 0 };
    QRcode *code = NULL;

    take_data(content, &data);
    errno = ENOMEM;
    if (input != NULL && !data.failed && data.length > 0 &&
        (is_plain(&data) || QRinput_appendECIheader(input, UTF_8) == 0) &&
        QRinput_append(input, QR_MODE_8, (int)data.length, (const unsigned char *)data.data) == 0)
        code = QRcode_encodeInput(input);
    QRinput_free(input);
    cw_text_clear(&data);
    return code;
}

cw_status cw_sheet__label_check(const cw_sheet_content *content, cw_error *error)
{
    QRcode *code;

    if (!cw_sheet__has(content, CW_SHEET_LABEL))
        return CW_OK;
    code = encode(content);
    if (code == NULL)
        return errno == ERANGE ? cw_refuse(error, NULL, "shorter names and notes",
                                           "What is to stand on the label is more than a QR code holds.")
                               : cw_no_memory(error);
    QRcode_free(code);
    return CW_OK;
}

/* Runs of dark modules as rectangles. */
static void draw_code(cw_canvas *canvas, const QRcode *code, double x, double y, double side_mm)
{
    const double module = side_mm / (code->width + 2 * QUIET);

    for (int row = 0; row < code->width; row++)
        for (int from = 0, to; from < code->width; from = to + 1) {
            const unsigned char *modules = code->data + row * code->width;

            for (to = from; to < code->width && (modules[to] & 1) != 0; to++)
                ;
            if (to > from)
                cw_canvas_rectangle(canvas, (cw_pen){ 0 }, CW_BLACK,
                                    (cw_box){ x + (QUIET + from) * module, y + (QUIET + row) * module,
                                              (to - from) * module, module }, 0);
        }
}

static void draw_lines(cw_canvas *canvas, cw_box box, const cw_sheet_content *content)
{
    const cw_type label = { 8, CW_REGULAR, CW_GREY, CW_ALIGN_LEFT };
    double y = box.y + 6.4;

    cw_canvas_write_within(canvas, (cw_type){ 10, CW_BOLD, CW_BLACK, CW_ALIGN_LEFT }, box.x, box.y + 2, box.width,
                           content->title);
    for (size_t i = 0; i < content->label_count && y < box.y + box.height; i++, y += LINE_MM) {
        const double used = cw_canvas_write_within(canvas, label, box.x, y, 0.4 * box.width, content->label[i].label);

        cw_canvas_write_within(canvas, (cw_type){ 8.5, CW_SEMIBOLD, CW_BLACK, CW_ALIGN_LEFT }, box.x + used + 1.5, y,
                               box.width - used - 1.5, content->label[i].value);
    }
}

void cw_sheet__label_draw(cw_canvas *canvas, cw_box box, const cw_sheet_content *content, bool *no_memory)
{
    const double side = fmin(CODE_MM, box.height - 2 * PAD_MM);
    QRcode *code = encode(content);

    if (code == NULL) {
        *no_memory = true;
        return;
    }
    cw_canvas_rectangle(canvas, (cw_pen){ CW_BLACK, 0.18, CW_DASHED }, CW_WHITE, box, 2);
    draw_code(canvas, code, box.x + 1, box.y + 0.5 * (box.height - side), side);
    draw_lines(canvas, (cw_box){ box.x + side + 1, box.y + PAD_MM + 2, box.width - side - PAD_MM, box.height - 2 * PAD_MM },
               content);
    QRcode_free(code);
}

/* Twice, where the measure has room: one for the coil, one for the door. */
void cw_sheet__label(cw_sheet__setter *s)
{
    const cw_type type = { 9, CW_REGULAR, CW_BLACK, CW_ALIGN_LEFT };
    const double second = s->left + SHEET_LABEL_WIDTH_MM + 4;

    cw_sheet__heading(s, cw_sheet__part_title(CW_SHEET_LABEL), SHEET_LABEL_HEIGHT_MM + 8);
    cw_sheet__begin(s, CW_SHEET_LABEL);
    s->y += cw_canvas_paragraph(s->canvas, type, s->left, s->y, s->measure,
                                "Cut along the dashes: one to stick on the coil under varnish or clear tape, one for the "
                                "door of the machine. Any telephone reads the code.") + 2;
    if (!cw_canvas_is_muted(s->canvas)) {
        cw_sheet__label_draw(s->canvas, (cw_box){ s->left, s->y, SHEET_LABEL_WIDTH_MM, SHEET_LABEL_HEIGHT_MM }, s->content,
                             &s->no_memory);
        if (second + SHEET_LABEL_WIDTH_MM <= s->left + s->measure + 0.01)
            cw_sheet__label_draw(s->canvas, (cw_box){ second, s->y, SHEET_LABEL_WIDTH_MM, SHEET_LABEL_HEIGHT_MM },
                                 s->content, &s->no_memory);
    }
    s->y += SHEET_LABEL_HEIGHT_MM + SHEET_GAP_MM;
}
