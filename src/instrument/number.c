/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The number in an answer. Not strtod: its decimal point is that of the locale. */
#include "instrument/instrument_internal.h"

#include <math.h>
#include <string.h>

enum { EXPONENT_MOST = 400, DIGITS_MOST = 40 };

static const double sentinel = 9.9e37; /* over-range; 9.91e37 is not-a-number [SCPI] */

typedef struct scan {
    const char *next, *end;
} scan;

static bool at_digit(const scan *scan)
{
    return scan->next < scan->end && *scan->next >= '0' && *scan->next <= '9';
}

static bool take(scan *scan, const char *any)
{
    if (scan->next == scan->end || *scan->next == '\0' || strchr(any, *scan->next) == NULL)
        return false;
    scan->next++;
    return true;
}

/* Digits into the mantissa; beyond what a double can tell they only move the point. Counts the digits. */
static int take_digits(scan *scan, long double *mantissa, int *shift, int per_digit)
{
    int count = 0;

    for (; at_digit(scan); scan->next++, count++) {
        if (*mantissa < 1e18L) {
            *mantissa = *mantissa * 10 + (*scan->next - '0');
            *shift -= per_digit;
        } else
            *shift += 1 - per_digit;
    }
    return count;
}

/* False where an exponent begins and does not go on. Without one, the scan stays. */
static bool take_exponent(scan *scan, int *exponent)
{
    struct scan ahead = *scan;
    bool minus;
    int value = 0;

    *exponent = 0;
    if (!take(&ahead, "eE"))
        return true;
    minus = ahead.next < ahead.end && *ahead.next == '-';
    (void)take(&ahead, "+-");
    if (!at_digit(&ahead))
        return false;
    for (; at_digit(&ahead); ahead.next++)
        if (value < EXPONENT_MOST)
            value = value * 10 + (*ahead.next - '0');
    *exponent = minus ? -value : value;
    *scan = ahead;
    return true;
}

static bool take_number(scan *scan, double *value)
{
    const bool minus = scan->next < scan->end && *scan->next == '-';
    long double mantissa = 0;
    int shift = 0, exponent, digits;

    (void)take(scan, "+-");
    digits = take_digits(scan, &mantissa, &shift, 0);
    if (take(scan, "."))
        digits += take_digits(scan, &mantissa, &shift, 1);
    if (digits == 0 || digits > DIGITS_MOST || !take_exponent(scan, &exponent))
        return false;
    exponent += shift;
    *value = (double)(exponent >= 0 ? mantissa * powl(10, exponent) : mantissa / powl(10, -exponent));
    *value = minus ? -*value : *value;
    return true;
}

static bool same_word(const scan *scan, const char *word)
{
    const size_t length = strlen(word);

    if ((size_t)(scan->end - scan->next) != length)
        return false;
    for (size_t i = 0; i < length; i++) {
        const char c = scan->next[i];

        if ((c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c) != word[i])
            return false;
    }
    return true;
}

/* A unit behind the number, from meters that write one. SCPI's MOHM is the megohm. */
static bool unit_factor(const scan *scan, double *factor)
{
    static const struct { const char *word; double factor;
    } units[] = {
        { "", 1 },       { "ohm", 1 }, { "ohms", 1 }, { "kohm", 1e3 },
        { "mohm", 1e6 }, { "c", 1 },   { "degc", 1 }, { "cel", 1 },
    };

    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (same_word(scan, units[i].word)) {
            *factor = units[i].factor;
            return true;
        }
    return false;
}

static bool says_over_range(const scan *scan)
{
    return same_word(scan, "ol") || same_word(scan, "o.l") || same_word(scan, "inf") || same_word(scan, "+inf") ||
           same_word(scan, "ovld");
}

bool cw_instrument_number(const char *answer, size_t length, double *value, bool *over_range)
{
    const char *comma = memchr(answer, ',', length);
    scan scan = { answer, comma != NULL ? comma : answer + length };
    double factor, found;

    while (take(&scan, " \t"))
        ;
    while (scan.end > scan.next && strchr(" \t\r\n", scan.end[-1]) != NULL)
        scan.end--;
    if (says_over_range(&scan)) {
        *value = INFINITY;
        *over_range = true;
        return true;
    }
    if (!take_number(&scan, &found))
        return false;
    while (take(&scan, " \t"))
        ;
    if (!unit_factor(&scan, &factor))
        return false;
    *over_range = !(fabs(found) < sentinel * (1 - 1e-9));
    *value = found * factor;
    return true;
}
