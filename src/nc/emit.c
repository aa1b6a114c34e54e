/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines of a program: comments that any control takes, words with the machine's decimals. */
#include "nc/nc_writer.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void cw_nc__emit_start(cw_nc_emitter *emitter, cw_text *text, const cw_machine *machine)
{
    emitter->text = text;
    emitter->machine = machine;
    emitter->dialect = cw_nc__dialect_of(machine->code);
    emitter->number = 0;
    emitter->begun = false;
}

/* ---- comments ------------------------------------------------------------------------------------------------ */

/* Capitals and plain ASCII without brackets; of a character in several bytes one ? is left [NC 1.1, 1.8]. */
static void make_plain(char *text)
{
    char *to = text;

    for (const char *from = text; *from != '\0'; from++) {
        unsigned char c = (unsigned char)*from;

        if ((c & 0xC0) == 0x80)
            continue;
        *to++ = c >= 0x80 ? '?' : c == '(' || c == '[' ? '<' : c == ')' || c == ']' ? '>' : c == ';' ? ',' :
                c < ' ' ? ' ' : (char)toupper(c);
    }
    *to = '\0';
}

static void put_comment(cw_nc_emitter *emitter, const char *text, size_t length)
{
    bool semicolon = emitter->machine->semicolon_comments && emitter->dialect == CW_NC_NGC;

    cw_text_add(emitter->text, semicolon ? "; " : "(");
    cw_text_add_bytes(emitter->text, text, length);
    cw_text_add(emitter->text, semicolon ? "\n" : ")\n");
}

void cw_nc__emit_comment(cw_nc_emitter *emitter, const char *format, ...)
{
    enum { ROOM = CW_NC_COMMENT_MOST - 2 };
    char text[1200], *rest = text;
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    make_plain(text);
    while (strlen(rest) > ROOM) {
        size_t cut = ROOM;

        while (cut > ROOM / 2 && rest[cut] != ' ')
            cut--;
        put_comment(emitter, rest, cut);
        rest += cut + (rest[cut] == ' ');
    }
    put_comment(emitter, rest, strlen(rest));
}

/* ---- words --------------------------------------------------------------------------------------------------- */

/* Line numbers have five digits at most, and may begin again [NC 1.3]. */
static void begin_word(cw_nc_emitter *emitter)
{
    if (!emitter->begun && emitter->machine->line_numbers) {
        emitter->number = emitter->number >= 99990 ? 10 : emitter->number + 10;
        cw_text_print(emitter->text, "N%ld ", emitter->number);
    } else if (emitter->begun) {
        cw_text_add(emitter->text, " ");
    }
    emitter->begun = true;
}

static void emit_known(cw_nc_emitter *emitter, const cw_nc_word *word)
{
    char name[16];

    if (word == NULL)
        return; /* this dialect has no such word and needs none */
    begin_word(emitter);
    cw_nc__word_name(word->letter, word->tenths, name, sizeof name);
    cw_text_add(emitter->text, name);
}

void cw_nc__emit_code(cw_nc_emitter *emitter, cw_nc_meaning meaning)
{
    emit_known(emitter, cw_nc__word_for(emitter->dialect, meaning));
}

void cw_nc__emit_number(cw_nc_emitter *emitter, char letter, int number)
{
    emit_known(emitter, cw_nc__word_numbered(emitter->dialect, letter, 10 * number));
}

/* Always with a point: some lathes read a number without one as thousandths [NC 11]. */
void cw_nc__emit_word(cw_nc_emitter *emitter, char letter, double value, int decimals)
{
    double least = 0.5 * pow(10, -decimals);

    begin_word(emitter);
    cw_text_print(emitter->text, "%c%.*f%s", letter, decimals, fabs(value) < least ? 0.0 : value,
                  decimals == 0 ? "." : "");
}

static double unit(const cw_nc_emitter *emitter)
{
    return emitter->machine->inches ? 0.0254 : 0.001;
}

/* S takes no point on some controls. */
void cw_nc__emit_speed(cw_nc_emitter *emitter, double rpm)
{
    begin_word(emitter);
    cw_text_print(emitter->text, "S%g", rpm);
}

void cw_nc__emit_position(cw_nc_emitter *emitter, char letter, double metres)
{
    cw_nc__emit_word(emitter, letter, metres / unit(emitter), emitter->machine->decimals);
}

void cw_nc__emit_pitch(cw_nc_emitter *emitter, char letter, double metres)
{
    cw_nc__emit_word(emitter, letter, metres / unit(emitter), emitter->machine->pitch_decimals);
}

void cw_nc__emit_end(cw_nc_emitter *emitter)
{
    if (emitter->begun)
        cw_text_add(emitter->text, "\n");
    emitter->begun = false;
}

void cw_nc__emit_lines(cw_nc_emitter *emitter, const char *lines)
{
    if (lines == NULL || lines[0] == '\0')
        return;
    cw_text_add(emitter->text, lines);
    if (lines[strlen(lines) - 1] != '\n')
        cw_text_add(emitter->text, "\n");
}
