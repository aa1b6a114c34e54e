/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One line into words, settings and comments [NC 1], and what may stand together in it [NC 1.4, 2, 12]. */
#include "nc/nc_reader.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

static unsigned letter_bit(char letter)
{
    return 1u << (letter - 'A');
}

bool cw_nc__has(const cw_nc_block *block, char letter)
{
    return (block->present & letter_bit(letter)) != 0;
}

double cw_nc__value(const cw_nc_block *block, char letter)
{
    return block->value[letter - 'A'];
}

/* ---- comments and line numbers ------------------------------------------------------------------------------- */

static bool printable(unsigned char c)
{
    return c == '\t' || (c >= ' ' && c != 127);
}

static cw_status skip_round_comment(cw_nc_cursor *cursor)
{
    for (cursor->at++; cursor->at < cursor->length; cursor->at++) {
        char c = cursor->text[cursor->at];

        if (c == ')') {
            cursor->at++;
            return CW_OK;
        }
        if (c == '(')
            return cw_nc__fault(cursor, ")", "A comment opens inside a comment.");
        if (!printable((unsigned char)c))
            return cw_nc__fault(cursor, NULL, "A comment holds a control character.");
    }
    return cw_nc__fault(cursor, ")", "A comment is not closed on its line.");
}

static cw_status skip_semicolon(cw_nc_cursor *cursor)
{
    bool comment = cursor->reader->vocabulary.dialect == CW_NC_NGC;

    cursor->at++;
    if (!comment && cw_nc__peek(cursor) != '\0')
        return cw_nc__fault(cursor, "( )", "In %s a semicolon ends the block and is no comment.",
                            cw_nc__dialect_name(cursor->reader->vocabulary.dialect));
    cursor->at = cursor->length;
    return CW_OK;
}

static cw_status skip_line_number(cw_nc_cursor *cursor)
{
    int digits = 0;

    cursor->at++;
    while (isdigit((unsigned char)cw_nc__peek(cursor))) {
        cursor->at++;
        digits++;
    }
    if (digits == 0)
        return cw_nc__fault(cursor, "1 to 5 digits", "N is not followed by a line number.");
    if (digits > 5)
        return cw_nc__fault(cursor, "1 to 5 digits", "A line number has %d digits.", digits);
    if (cw_nc__peek(cursor) == '.')
        return cw_nc__fault(cursor, "1 to 5 digits", "A line number has a decimal point.");
    return CW_OK;
}

/* ---- words --------------------------------------------------------------------------------------------------- */

static cw_status put_code(cw_nc_cursor *cursor, cw_nc_block *block, const cw_nc_word *word, char letter, double number)
{
    char name[16], other[16];

    if (word == NULL)
        return cw_nc__fault(cursor, NULL, "%c%g is not a code of %s.", letter, number,
                            cw_nc__dialect_name(cursor->reader->vocabulary.dialect));
    cw_nc__word_name(letter, word->tenths, name, sizeof name);
    if (word->meaning == CW_NC_NOT_FOLLOWED)
        return cw_nc__fault(cursor, NULL, "%s is %s; a replay that skipped it would count wrong turns.", name,
                            word->why);
    if (block->code[word->group] != NULL) {
        cw_nc__word_name(letter, block->code[word->group]->tenths, other, sizeof other);
        return cw_nc__fault(cursor, "one of them", "%s and %s on one line belong to the same modal group.", other,
                            name);
    }
    block->code[word->group] = word;
    block->codes++;
    return CW_OK;
}

static cw_status put_g(cw_nc_cursor *cursor, cw_nc_block *block, double number)
{
    long tenths;

    if (number < 0)
        return cw_nc__fault(cursor, NULL, "G%g is negative.", number);
    if (!cw_nc__is_integer(number * 10, &tenths) || tenths >= CW_NC_G_TENTHS)
        return put_code(cursor, block, NULL, 'G', number);
    return put_code(cursor, block, cursor->reader->vocabulary.g[tenths], 'G', number);
}

static cw_status put_m(cw_nc_cursor *cursor, cw_nc_block *block, double number)
{
    long integer;

    if (number < 0)
        return cw_nc__fault(cursor, NULL, "M%g is negative.", number);
    if (!cw_nc__is_integer(number, &integer))
        return cw_nc__fault(cursor, "an integer", "M%g is no integer.", number);
    if (++block->m_count > CW_NC_M_MOST)
        return cw_nc__fault(cursor, "at most 4", "More than four M words stand on one line.");
    if (integer >= CW_NC_M_COUNT)
        return put_code(cursor, block, NULL, 'M', number);
    return put_code(cursor, block, cursor->reader->vocabulary.m[integer], 'M', number);
}

static cw_status read_word(cw_nc_cursor *cursor, cw_nc_block *block)
{
    cw_nc_dialect dialect = cursor->reader->vocabulary.dialect;
    char letter = cw_nc__peek(cursor);
    double value = 0;
    bool whole = false;
    cw_status status;

    if (letter == 'N')
        return cw_nc__fault(cursor, NULL, "A line number stands first in its line, once.");
    if (letter == 'O')
        return cw_nc__fault(cursor, NULL, "O words (subroutines, loops, branches) are not read; a replay that skipped "
                                          "them would count wrong turns.");
    if (letter != 'G' && letter != 'M' && !cw_nc__letter_allowed(dialect, letter))
        return cw_nc__fault(cursor, NULL, "%c is not a word of %s.", letter, cw_nc__dialect_name(dialect));
    cursor->at++;
    status = cw_nc__read_value(cursor, &value, &whole);
    if (status != CW_OK)
        return status;
    if (letter == 'G')
        return put_g(cursor, block, value);
    if (letter == 'M')
        return put_m(cursor, block, value);
    if (cw_nc__has(block, letter))
        return cw_nc__fault(cursor, "one", "The letter %c stands twice on one line.", letter);
    if (!(fabs(value) <= CW_NC_NUMBER_MOST))
        return cw_nc__fault(cursor, NULL, "%c%g is beyond what any control takes.", letter, value);
    block->present |= letter_bit(letter);
    block->whole |= whole ? letter_bit(letter) : 0;
    block->value[letter - 'A'] = value;
    return CW_OK;
}

static cw_status read_setting(cw_nc_cursor *cursor, cw_nc_block *block)
{
    cw_nc_setting setting = { 0, 0 };
    bool whole;
    cw_status status;

    if (cursor->reader->vocabulary.dialect != CW_NC_NGC)
        return cw_nc__fault(cursor, "a number", "Parameters and expressions are read in RS-274/NGC only.");
    cursor->at++;
    status = cw_nc__read_index(cursor, &setting.index);
    if (status != CW_OK)
        return status;
    if (cw_nc__peek(cursor) != '=')
        return cw_nc__fault(cursor, "=", "A parameter at this place must be set, #%d=...", setting.index);
    if (setting.index >= 5211)
        return cw_nc__fault(cursor, "G10 L2, G54 to G59.3 or G92",
                            "Parameter #%d holds an offset of the control; set it by its code.", setting.index);
    cursor->at++;
    status = cw_nc__read_value(cursor, &setting.value, &whole);
    if (status != CW_OK)
        return status;
    if (block->setting_count == CW_NC_SETTINGS_MOST)
        return cw_nc__fault(cursor, NULL, "More parameters are set on one line than a line can hold.");
    block->settings[block->setting_count++] = setting;
    return CW_OK;
}

static cw_status read_item(cw_nc_cursor *cursor, cw_nc_block *block)
{
    char c = cw_nc__peek(cursor);

    if (c == '(')
        return skip_round_comment(cursor);
    if (c == ';')
        return skip_semicolon(cursor);
    if (c == '#')
        return read_setting(cursor, block);
    if (isalpha((unsigned char)c))
        return read_word(cursor, block);
    if (c == ')')
        return cw_nc__fault(cursor, "(", "A comment closes that was not opened.");
    if (c == '/')
        return cw_nc__fault(cursor, NULL, "The / of block delete stands first in its line, once.");
    if (c == '%')
        return cw_nc__fault(cursor, NULL, "The %% of a program's start and end stands alone on its line.");
    if (isdigit((unsigned char)c) || c == '+' || c == '-' || c == '.' || c == '[')
        return cw_nc__fault(cursor, "a letter", "A number stands without a letter before it.");
    if ((unsigned char)c == 0xEF)
        return cw_nc__fault(cursor, "plain text", "A byte-order mark stands here; save the program as plain ASCII.");
    if ((unsigned char)c < ' ' || (unsigned char)c >= 127)
        return cw_nc__fault(cursor, "plain ASCII", "The character with code %d has no meaning here.",
                            (int)(unsigned char)c);
    return cw_nc__fault(cursor, NULL, "The character '%c' has no meaning here.", c);
}

static void clear_block(cw_nc_block *block, int line)
{
    block->line = line;
    block->present = block->whole = 0;
    block->codes = block->m_count = 0;
    block->setting_count = 0;
    block->mixed_logic = false;
    memset(block->code, 0, sizeof block->code);
}

cw_status cw_nc__read_block(const cw_nc_reader *reader, const char *text, size_t length, int line, cw_nc_block *block,
                            cw_error *error)
{
    cw_nc_cursor cursor = { reader, text, length, 0, line, 0, false, error };
    cw_status status = CW_OK;

    clear_block(block, line);
    if (length > CW_NC_LINE_MOST)
        return cw_nc__fault(&cursor, "at most 256 characters", "The line is too long.");
    if (cw_nc__peek(&cursor) == '/')
        cursor.at++;
    if (cw_nc__peek(&cursor) == 'N')
        status = skip_line_number(&cursor);
    while (status == CW_OK && cw_nc__peek(&cursor) != '\0')
        status = read_item(&cursor, block);
    if (status == CW_OK && cursor.at < length) /* a NUL looked like the end */
        status = cw_nc__fault(&cursor, "plain ASCII", "The character with code 0 has no meaning here.");
    block->mixed_logic = cursor.mixed_logic;
    return status;
}

/* ---- what may stand together --------------------------------------------------------------------------------- */

enum { AXES_LETTERS = 1 << 0 | 1 << 1 | 1 << 2 | 1 << ('U' - 'A') | 1 << ('W' - 'A') | 1 << ('X' - 'A') |
                      1 << ('Y' - 'A') | 1 << ('Z' - 'A') };

static bool means(const cw_nc_block *block, cw_nc_group group, cw_nc_meaning meaning)
{
    return block->code[group] != NULL && block->code[group]->meaning == meaning;
}

/* Group 0 codes that take the axis words of their block for themselves [NC 2]. */
static const cw_nc_word *axis_taker(const cw_nc_block *block)
{
    const cw_nc_word *word = block->code[CW_NC_NON_MODAL];

    if (word == NULL)
        return NULL;
    switch ((int)word->meaning) {
    case CW_NC_SET_OFFSET:
    case CW_NC_HOME:
    case CW_NC_SECOND_HOME:
    case CW_NC_SHIFT:
    case CW_NC_SPEED_LIMIT: /* with X or Z it presets the position */
        return word;
    default:
        return NULL;
    }
}

static cw_status refuse(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error, const char *format,
                        const char *detail)
{
    cw_place at = { reader->name, block->line, 0 };
    char text[300] = "";
    const char *gap = strstr(format, "%s");

    if (gap == NULL)
        return cw_refuse(error, &at, NULL, "%s", format);
    memcpy(text, format, (size_t)(gap - format));
    return cw_refuse(error, &at, NULL, "%s%s%s", text, detail, gap + 2);
}

static cw_status check_motion(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    const cw_nc_word *motion = block->code[CW_NC_MOTION], *taker = axis_taker(block);
    bool axes = (block->present & AXES_LETTERS) != 0;
    char name[16], other[16], both[40] = "";

    if (motion == NULL || motion->meaning == CW_NC_NO_MOTION)
        return CW_OK;
    cw_nc__word_name('G', motion->tenths, name, sizeof name);
    if (taker != NULL) {
        cw_nc__word_name('G', taker->tenths, other, sizeof other);
        strcat(strcat(strcpy(both, other), " and "), name);
        return refuse(reader, block, error, "%s on one line both want the axis words.", both);
    }
    if (!axes && reader->vocabulary.dialect == CW_NC_NGC)
        return refuse(reader, block, error, "%s stands without an axis word.", name);
    return CW_OK;
}

/* A letter that no code of the block uses [NC 4]. K, F and S belong to states and are looked at where those are. */
static cw_status check_users(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    bool dwell = means(block, CW_NC_NON_MODAL, CW_NC_DWELL);
    bool offset = means(block, CW_NC_NON_MODAL, CW_NC_SET_OFFSET);
    bool blend = means(block, CW_NC_PATH, CW_NC_BLEND);
    bool surface = means(block, CW_NC_SPINDLE_MODE, CW_NC_SURFACE_SPEED);
    static const char never[] = "HIJQR";

    for (const char *letter = never; *letter != '\0'; letter++) {
        char name[2] = { *letter, '\0' };

        if (cw_nc__has(block, *letter))
            return refuse(reader, block, error, "The word %s stands without a code that uses it.", name);
    }
    if (cw_nc__has(block, 'P') && !dwell && !offset && !blend)
        return refuse(reader, block, error, "The word %s stands without a code that uses it.", "P");
    if (cw_nc__has(block, 'L') && !offset)
        return refuse(reader, block, error, "The word %s stands without a code that uses it.", "L");
    if (cw_nc__has(block, 'D') && !surface)
        return refuse(reader, block, error, "The word %s stands without a code that uses it.", "D");
    return CW_OK;
}

static cw_status check_offset(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    long which, kind;

    if (!means(block, CW_NC_NON_MODAL, CW_NC_SET_OFFSET))
        return CW_OK;
    if (!cw_nc__has(block, 'L') || !cw_nc__is_integer(cw_nc__value(block, 'L'), &kind) || kind != 2)
        return refuse(reader, block, error, "G10 is read with L2 only, which sets a work offset.", NULL);
    if (!cw_nc__has(block, 'P') || !cw_nc__is_integer(cw_nc__value(block, 'P'), &which) || which < 1 || which > 9)
        return refuse(reader, block, error, "G10 L2 wants the number of a work offset, P1 to P9.", NULL);
    if (cw_nc__has(block, 'U') || cw_nc__has(block, 'W'))
        return refuse(reader, block, error, "G10 takes no steps.", NULL);
    return CW_OK;
}

static cw_status check_dwell(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    bool lathe = reader->vocabulary.dialect != CW_NC_NGC, given = cw_nc__has(block, 'P');
    const char *letters = lathe ? "PXU" : "P";

    if (!means(block, CW_NC_NON_MODAL, CW_NC_DWELL))
        return CW_OK;
    for (const char *letter = letters; *letter != '\0'; letter++) {
        if (!cw_nc__has(block, *letter))
            continue;
        given = true;
        if (cw_nc__value(block, *letter) < 0)
            return refuse(reader, block, error, "G4 wants a time that is not negative.", NULL);
        if (cw_nc__value(block, *letter) > 99999999)
            return refuse(reader, block, error, "G4 dwells longer than any control does.", NULL);
    }
    if (!given)
        return refuse(reader, block, error, "G4 stands without the time it dwells, P.", NULL);
    return CW_OK;
}

static cw_status check_signs(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    long tool;

    for (const char *letter = "FST"; *letter != '\0'; letter++) {
        char name[2] = { *letter, '\0' };

        if (cw_nc__has(block, *letter) && cw_nc__value(block, *letter) < 0)
            return refuse(reader, block, error, "The word %s is negative.", name);
    }
    if (cw_nc__has(block, 'T') && !cw_nc__is_integer(cw_nc__value(block, 'T'), &tool))
        return refuse(reader, block, error, "A tool number is an integer.", NULL);
    return CW_OK;
}

cw_status cw_nc__check_block(const cw_nc_reader *reader, const cw_nc_block *block, cw_error *error)
{
    cw_status status;

    if (block->codes == 0 && block->present == 0)
        return CW_OK;
    status = check_motion(reader, block, error);
    if (status == CW_OK)
        status = check_users(reader, block, error);
    if (status == CW_OK)
        status = check_offset(reader, block, error);
    if (status == CW_OK)
        status = check_dwell(reader, block, error);
    if (status == CW_OK)
        status = check_signs(reader, block, error);
    return status;
}
