/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers as a machinist writes them: 84.2, .250, 1.2e-3, 5/8, 3 1/2, 3-1/2. */
#include "quantity/quantity_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WHOLE_DIGITS_MOST = 9 };

static int skip_digits(const cw_source *source, int from)
{
    while (cw_quantity__digit(source->code[from]))
        from++;
    return from;
}

static long whole_number(const cw_source *source, int from, int to)
{
    long value = 0;

    for (int i = from; i < to; i++)
        value = 10 * value + (long)(source->code[i] - '0');
    return value;
}

/* "0,331" can only be a decimal comma; "1,200" may be either; "1,234.5" and "1.234,5" say it themselves. */
static cw_status refuse_comma(const cw_source *source, int from, int comma)
{
    char quoted[80], joined[64] = "", point[64] = "";
    int to = from, commas = 0, points = 0, last = from;

    for (; cw_quantity__digit(source->code[to]) || source->code[to] == ',' || source->code[to] == '.'; to++) {
        commas += source->code[to] == ',';
        points += source->code[to] == '.';
        last = cw_quantity__digit(source->code[to]) ? last : to;
    }
    cw_quantity__quote(source, from, to, quoted);
    if (to - from > CW_QUANTITY_FIGURES || last + 1 == to || (commas > 1 && points > 1))
        return cw_quantity__refuse(source, comma, "\"%s\" has a comma in it. Write the number with a point, "
                                   "and no sign between thousands.", quoted);
    for (int i = from, j = 0, p = 0; i < to; i++) {
        char c = (char)source->code[i];

        if (c != ',' && c != '.')
            joined[j++] = point[p++] = c;
        else if (i == last)
            point[p++] = '.';
    }
    if (commas > 1 && points == 0)
        return cw_quantity__refuse(source, comma, "\"%s\" has commas between its thousands. Write %s.", quoted, joined);
    if (points == 0 && to - last == 4 && last - from <= 3 && source->code[from] != '0')
        return cw_quantity__refuse(source, comma, "\"%s\" may mean %s or %s. Write the one that is meant, without a "
                                   "comma.", quoted, joined, point);
    return cw_quantity__refuse(source, comma, "\"%s\" is written with a comma. Write %s.", quoted, point);
}

/* "1/2" for the single character of a vulgar fraction, else NULL. */
static const char *vulgar_fraction(uint32_t code)
{
    static const struct { uint32_t code; const char *plain; } fractions[] = {
        { 0xBD, "1/2" }, { 0xBC, "1/4" }, { 0xBE, "3/4" }, { 0x215B, "1/8" }, { 0x215C, "3/8" }, { 0x215D, "5/8" },
        { 0x215E, "7/8" },
    };

    for (size_t i = 0; i < sizeof fractions / sizeof fractions[0]; i++)
        if (fractions[i].code == code)
            return fractions[i].plain;
    return NULL;
}

static cw_status refuse_vulgar_fraction(const cw_source *source, int at)
{
    char quoted[80];

    return cw_quantity__refuse(source, at, "Write %s for \"%s\", with a blank before it.",
                               vulgar_fraction(source->code[at]), cw_quantity__quote(source, at, at + 1, quoted));
}

static cw_status refuse_no_number(const cw_source *source, int at)
{
    char quoted[80];
    int to = at;

    if (vulgar_fraction(source->code[at]) != NULL)
        return refuse_vulgar_fraction(source, at);
    if (at == source->count)
        return cw_quantity__refuse(source, at, at == 0 ? "Nothing is written here."
                                                       : "A number should follow here, and nothing does.");
    while (source->code[to] != 0 && source->code[to] != ' ')
        to++;
    return cw_quantity__refuse(source, at, "\"%s\" is not a number.", cw_quantity__quote(source, at, to, quoted));
}

/* integer "/" integer with the numerator at *position; the caller has seen the stroke and the digit behind it. */
static cw_status read_fraction(const cw_source *source, int *position, double *value)
{
    int from = *position, stroke = skip_digits(source, from), to = skip_digits(source, stroke + 1);
    long below;

    if (stroke - from > WHOLE_DIGITS_MOST || to - stroke - 1 > WHOLE_DIGITS_MOST)
        return cw_quantity__refuse(source, from, "This fraction has more figures than any rule does.");
    below = whole_number(source, stroke + 1, to);
    if (below == 0)
        return cw_quantity__refuse(source, stroke + 1, "Nothing can be divided by 0.");
    *value = (double)whole_number(source, from, stroke) / (double)below;
    *position = to;
    return CW_OK;
}

static bool fraction_at(const cw_source *source, int from)
{
    int stroke = skip_digits(source, from);

    return stroke > from && source->code[stroke] == '/' && cw_quantity__digit(source->code[stroke + 1]);
}

/* Where the fraction of 3 1/2 or 3-1/2 begins, or -1. */
static int mixed_part(const cw_source *source, int whole_end)
{
    int from = source->code[whole_end] == '-' ? whole_end + 1 : cw_quantity__skip_blanks(source, whole_end);

    return from > whole_end && fraction_at(source, from) ? from : -1;
}

static cw_status read_mixed(const cw_source *source, int whole_end, int *position, double *value)
{
    int from = *position, part_from = mixed_part(source, whole_end), at = part_from;
    double part;
    cw_status status;

    if (whole_end - from > WHOLE_DIGITS_MOST)
        return cw_quantity__refuse(source, from, "This number has more figures than any reading has.");
    status = read_fraction(source, &at, &part);
    if (status != CW_OK)
        return status;
    if (part >= 1)
        return cw_quantity__refuse(source, part_from, "The fraction behind a whole number should be less than one.");
    *value = (double)whole_number(source, from, whole_end) + part;
    *position = at;
    return CW_OK;
}

static int exponent_end(const cw_source *source, int from)
{
    int at = from;

    if (source->code[at] != 'e' && source->code[at] != 'E')
        return from;
    at++;
    if (source->code[at] == '+' || source->code[at] == '-')
        at++;
    return cw_quantity__digit(source->code[at]) ? skip_digits(source, at) : from;
}

/* Without a decimal point ("842e-1"), whose sign depends on the program's locale. */
double cw_quantity__decimal(const char *figures, long exponent)
{
    char text[CW_QUANTITY_FIGURES + 32];

    snprintf(text, sizeof text, "%se%ld", figures, exponent);
    return strtod(text, NULL);
}

static long exponent_of(const cw_source *source, int from, int end)
{
    long exponent = 0;

    for (int i = from; i < end; i++)
        if (cw_quantity__digit(source->code[i]) && exponent < 100000)
            exponent = 10 * exponent + (long)(source->code[i] - '0');
    return end > from && source->code[from + 1] == '-' ? -exponent : exponent;
}

static void decimal_value(const cw_source *source, int from, int point, int to, int end, cw_number *number)
{
    int count = 0;

    for (int i = from; i < to; i++)
        if (i != point)
            number->figures[count++] = (char)source->code[i];
    number->figures[count] = '\0';
    number->exponent = exponent_of(source, to, end) - (point < to ? to - point - 1 : 0);
    number->value = cw_quantity__decimal(number->figures, number->exponent);
}

static bool only_zeros(const cw_source *source, int from, int to)
{
    for (int i = from; i < to; i++)
        if (source->code[i] != '0' && source->code[i] != '.')
            return false;
    return true;
}

static cw_status read_decimal(const cw_source *source, int *position, cw_number *number)
{
    int from = *position, point = skip_digits(source, from);
    int to = source->code[point] == '.' ? skip_digits(source, point + 1) : point;
    int end = exponent_end(source, to);
    char quoted[80];

    if ((source->code[to] == ',' || source->code[to] == '.') && cw_quantity__digit(source->code[to + 1]))
        return source->code[to] == ','
                   ? refuse_comma(source, from, to)
                   : cw_quantity__refuse(source, to, "The number has a second point.");
    if (to - from > CW_QUANTITY_FIGURES)
        return cw_quantity__refuse(source, from, "\"%s\" has more figures than any reading has.",
                                   cw_quantity__quote(source, from, to, quoted));
    decimal_value(source, from, point, to, end, number);
    if (!(number->value <= 1e30) || (number->value < 1e-30 && !only_zeros(source, from, to)))
        return cw_quantity__refuse(source, from, "\"%s\" is beyond anything that can be measured.",
                                   cw_quantity__quote(source, from, end, quoted));
    *position = end;
    return CW_OK;
}

/* Behind the sign: a fraction, a whole number with one, or a decimal. */
static cw_status read_plain(const cw_source *source, int *position, cw_number *number)
{
    int from = *position, whole_end = skip_digits(source, from);

    if (whole_end == from && !(source->code[from] == '.' && cw_quantity__digit(source->code[from + 1])))
        return refuse_no_number(source, from);
    if (fraction_at(source, from))
        return read_fraction(source, position, &number->value);
    if (whole_end > from && mixed_part(source, whole_end) > 0)
        return read_mixed(source, whole_end, position, &number->value);
    return read_decimal(source, position, number);
}

cw_status cw_quantity__number(const cw_source *source, int *position, bool sign_allowed, cw_number *number)
{
    int at = cw_quantity__skip_blanks(source, *position), behind;
    bool minus = source->code[at] == '-', sign = minus || source->code[at] == '+';
    cw_status status;

    *number = (cw_number){ 0 };
    if (sign && !sign_allowed)
        return cw_quantity__refuse(source, at, "A sign stands where a plain number should.");
    at += sign;
    status = read_plain(source, &at, number);
    if (status != CW_OK)
        return status;
    behind = cw_quantity__skip_blanks(source, at);
    if (vulgar_fraction(source->code[behind]) != NULL)
        return refuse_vulgar_fraction(source, behind);
    if (minus)
        number->value = -number->value;
    *position = at;
    return CW_OK;
}
