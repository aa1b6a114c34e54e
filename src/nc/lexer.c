/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Characters and numbers of a line [NC 1.1, 1.5]. */
#include "nc/nc_reader.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

char cw_nc__peek(cw_nc_cursor *cursor)
{
    while (cursor->at < cursor->length && (cursor->text[cursor->at] == ' ' || cursor->text[cursor->at] == '\t'))
        cursor->at++;
    if (cursor->at >= cursor->length)
        return '\0';
    return (char)toupper((unsigned char)cursor->text[cursor->at]);
}

cw_status cw_nc__fault(const cw_nc_cursor *cursor, const char *expected, const char *format, ...)
{
    cw_place at = { cursor->reader->name, cursor->line, (int)cursor->at + 1 };
    char text[600];
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    return cw_refuse(cursor->error, &at, expected, "%s", text);
}

bool cw_nc__is_integer(double value, long *integer)
{
    double nearest = round(value);

    if (!(fabs(value) <= CW_NC_NUMBER_MOST) || fabs(value - nearest) > 1e-4)
        return false;
    *integer = (long)nearest;
    return true;
}

/* Digits of a number as they come; blanks between them are passed over. */
typedef struct digits {
    char text[CW_NC_LINE_MOST + 2]; /* for the rare number that the short way cannot round correctly */
    size_t length;
    uint64_t mantissa;              /* exact while `significant` <= 18 */
    int significant, decimals, count;
} digits;

static void take_digits(cw_nc_cursor *cursor, digits *number, bool behind_point)
{
    char c;

    while (isdigit((unsigned char)(c = cw_nc__peek(cursor)))) {
        if (number->significant > 0 || c != '0')
            number->significant++;
        if (number->significant <= 18)
            number->mantissa = number->mantissa * 10 + (uint64_t)(c - '0');
        if (number->length < CW_NC_LINE_MOST)
            number->text[number->length++] = c;
        number->decimals += behind_point;
        number->count++;
        cursor->at++;
    }
}

/* A mantissa below 2^53 over a power of ten up to 10^22 are both exact doubles, so that one division rounds correctly;
 * anything longer goes the library's long way. */
static double digits_value(digits *number)
{
    static const double powers[] = { 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
                                     1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22 };

    if (number->significant <= 15 && number->decimals <= 22)
        return (double)number->mantissa / powers[number->decimals];
    number->text[number->length] = '\0';
    return strtod(number->text, NULL);
}

cw_status cw_nc__read_number(cw_nc_cursor *cursor, double *value, bool *whole)
{
    digits number;
    char c = cw_nc__peek(cursor);
    bool negative = c == '-', point = false;

    number.length = 0;
    number.mantissa = 0;
    number.significant = number.decimals = number.count = 0;
    if (c == '+' || c == '-') {
        cursor->at++;
        c = cw_nc__peek(cursor);
        if (c == '+' || c == '-')
            return cw_nc__fault(cursor, "one sign at most", "A second sign stands behind the first.");
    }
    take_digits(cursor, &number, false);
    if (cw_nc__peek(cursor) == '.') {
        point = true;
        if (number.length < CW_NC_LINE_MOST)
            number.text[number.length++] = '.';
        cursor->at++;
        take_digits(cursor, &number, true);
    }
    if (number.count == 0)
        return cw_nc__fault(cursor, "a number", "A number has no digits.");
    if (cw_nc__peek(cursor) == ',')
        return cw_nc__fault(cursor, "a decimal point", "A comma stands in a number; programs take a decimal point.");
    *value = digits_value(&number);
    if (negative)
        *value = -*value;
    if (!(fabs(*value) <= CW_NC_NUMBER_MOST))
        return cw_nc__fault(cursor, NULL, "The number is beyond what any control takes.");
    *whole = !point;
    return CW_OK;
}
