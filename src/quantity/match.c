/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the unit that stands at a place in the text. The longest spelling wins, then the one in the very case. */
#include "quantity/quantity_internal.h"

#include <string.h>

static bool letter(uint32_t code)
{
    return (code >= 'a' && code <= 'z') || (code >= 'A' && code <= 'Z') || code == '_' || code == 0x03A9 ||
           code == 0x00B0;
}

static uint32_t folded(uint32_t code)
{
    return code >= 'A' && code <= 'Z' ? code + ('a' - 'A') : code;
}

static bool product_sign(uint32_t code)
{
    return code == '.' || code == '-' || code == '*' || code == 0x00B7;
}

/* Table names hold ASCII and a few two- and three-byte signs, all well formed. */
static uint32_t next_of_name(const char **name)
{
    const unsigned char *byte = (const unsigned char *)*name;
    int length = byte[0] < 0x80 ? 1 : byte[0] < 0xE0 ? 2 : 3;

    *name += length;
    if (length == 1)
        return byte[0];
    if (length == 2)
        return (byte[0] & 0x1Fu) << 6 | (byte[1] & 0x3Fu);
    return (byte[0] & 0x0Fu) << 12 | (byte[1] & 0x3Fu) << 6 | (byte[2] & 0x3Fu);
}

/* "/" or "per" with blanks around; returns the end or -1. */
static int match_stroke(const cw_source *source, int from)
{
    int at = cw_quantity__skip_blanks(source, from);

    if (source->code[at] == '/')
        return cw_quantity__skip_blanks(source, at + 1);
    if (at > from && folded(source->code[at]) == 'p' && folded(source->code[at + 1]) == 'e' &&
        folded(source->code[at + 2]) == 'r' && source->code[at + 3] == ' ')
        return cw_quantity__skip_blanks(source, at + 3);
    return -1;
}

static int match_gap(const cw_source *source, int from)
{
    int at = cw_quantity__skip_blanks(source, from);

    if (product_sign(source->code[at]))
        at = cw_quantity__skip_blanks(source, at + 1);
    return at;
}

static int match_power(const cw_source *source, int from, uint32_t power)
{
    uint32_t raised = power == '2' ? 0x00B2 : 0x00B3;

    if (source->code[from] == '^')
        from++;
    return source->code[from] == power || source->code[from] == raised ? from + 1 : -1;
}

static int match_name(const cw_source *source, int from, const char *name, bool fold)
{
    int at = from;

    while (*name != '\0' && at >= 0) {
        uint32_t code = next_of_name(&name);

        if (code == ' ')
            at = match_gap(source, at);
        else if (code == '/')
            at = match_stroke(source, at);
        else if (code == '2' || code == '3')
            at = match_power(source, at, code);
        else if (source->code[at] == code || (fold && folded(source->code[at]) == folded(code)))
            at++;
        else
            return -1;
    }
    return at;
}

/* Whether a unit that ends in a letter may end before this character: not inside a word, nor before a power, a
 * product or a stroke, which make another unit of it. A figure 2 or 3 is a power unless a number goes on behind it
 * (1ft3in). */
static bool word_ends(const cw_source *source, int at, bool stroke_allowed)
{
    uint32_t code = source->code[at], next = code != 0 ? source->code[at + 1] : 0;

    if (letter(code) || code == '^' || code == 0x00B2 || code == 0x00B3)
        return false;
    if (code == '/')
        return stroke_allowed;
    if (product_sign(code) && letter(next))
        return false;
    if (code == '2' || code == '3')
        return cw_quantity__digit(next) || next == '.' || next == '/' || (letter(next) && next != 0x00B0);
    return true;
}

static int whole_word(const cw_source *source, int from, int to, bool stroke_allowed)
{
    if (to <= from || !letter(source->code[to - 1]))
        return to;
    /* the point of an abbreviation: "6 oz." */
    if (source->code[to] == '.' && !cw_quantity__digit(source->code[to + 1]) && !letter(source->code[to + 1]))
        to++;
    return word_ends(source, to, stroke_allowed) ? to : -1;
}

static int best_row(const cw_source *source, int from, cw_kind kind, bool stroke_allowed, cw_unit *unit)
{
    const cw_kind_row *row = cw_quantity__kind(kind);
    int best_score = -1, best_end = -1;

    for (int i = 0; i < row->unit_count; i++) {
        const cw_unit *candidate = &row->units[i];
        const char *name = candidate->name;
        int exact = whole_word(source, from, match_name(source, from, name, false), stroke_allowed);
        int loose = candidate->case_matters
                        ? -1 : whole_word(source, from, match_name(source, from, name, true), stroke_allowed);
        int end = exact >= 0 ? exact : loose;
        int score = end < 0 ? -1 : 4 * end + 2 * (exact >= 0) + (next_of_name(&name) == source->code[from]);

        if (score > best_score) {
            best_score = score;
            best_end = end;
            *unit = *candidate;
        }
    }
    return best_end;
}

/* Ohms per kilometre, per 1000 ft: a unit, a stroke, perhaps a whole number, a unit. */
static int quotient_at(const cw_source *source, int from, const cw_kind_row *row, cw_unit *unit)
{
    cw_unit over, under;
    double count = 0;
    int at = best_row(source, from, row->over, true, &over), first, end;

    first = at = at < 0 ? -1 : match_stroke(source, at);
    if (at < 0)
        return -1;
    while (cw_quantity__digit(source->code[at]) && at - first < 7)
        count = 10 * count + (source->code[at++] - '0');
    if (at > first && !(count > 0))
        return -1;
    end = best_row(source, cw_quantity__skip_blanks(source, at), row->under, false, &under);
    if (end >= 0)
        *unit = (cw_unit){ over.name, over.factor / (under.factor * (at > first ? count : 1)), 0, false };
    return end;
}

int cw_quantity__unit_at(const cw_source *source, int from, cw_kind kind, cw_unit *unit)
{
    const cw_kind_row *row = cw_quantity__kind(kind);
    cw_unit quotient;
    int own = best_row(source, from, kind, false, unit);
    int end = row->quotient ? quotient_at(source, from, row, &quotient) : -1;

    if (end <= own)
        return own;
    *unit = quotient;
    return end;
}
