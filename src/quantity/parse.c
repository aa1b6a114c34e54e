/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grammar of quantity.h: terms, doubt, condition, and a sentence for whatever stands in their way. */
#include "quantity/quantity_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What the terms of a quantity came to. */
typedef struct terms {
    double value;
    int count;
    cw_unit last; /* unit of the last term */
} terms;

static bool ends_word(uint32_t code)
{
    return !((code >= 'a' && code <= 'z') || (code >= 'A' && code <= 'Z'));
}

static bool word_at(const cw_source *source, int from)
{
    return (source->code[from] == 'a' || source->code[from] == 'A') &&
           (source->code[from + 1] == 't' || source->code[from + 1] == 'T') && ends_word(source->code[from + 2]);
}

/* Behind "±", "+/-", "+-"; -1 where none stands. */
static int doubt_sign_end(const cw_source *source, int from)
{
    const uint32_t *code = source->code + from;

    if (code[0] == 0x00B1)
        return from + 1;
    if (code[0] == '+' && code[1] == '-')
        return from + 2;
    if (code[0] == '+' && code[1] == '/' && code[2] == '-')
        return from + 3;
    return -1;
}

static bool condition_begins(const cw_source *source, int from)
{
    return source->code[from] == '@' || word_at(source, from);
}

static bool terms_end(const cw_source *source, int from)
{
    return source->code[from] == 0 || doubt_sign_end(source, from) >= 0 || condition_begins(source, from);
}

static bool number_begins(const cw_source *source, int from)
{
    return cw_quantity__digit(source->code[from]) ||
           (source->code[from] == '.' && cw_quantity__digit(source->code[from + 1]));
}

static const char *without_article(const char *name)
{
    return strchr(name, ' ') + 1;
}

/* The end of what was meant as a unit: up to a blank, a figure or a doubt. */
static int unit_text_end(const cw_source *source, int from)
{
    int to = from;

    while (source->code[to] != 0 && source->code[to] != ' ' && source->code[to] != '@' &&
           doubt_sign_end(source, to) < 0 && (to == from || !cw_quantity__digit(source->code[to])))
        to++;
    return to;
}

/* The longest reading of the unit as another kind; CW_KIND_COUNT where there is none. */
static cw_kind other_kind(const cw_source *source, int from, int *end)
{
    cw_kind found = CW_KIND_COUNT;

    *end = -1;
    for (int kind = 0; kind < CW_KIND_COUNT; kind++) {
        cw_unit unit;
        int to = kind == (int)source->kind ? -1 : cw_quantity__unit_at(source, from, (cw_kind)kind, &unit);

        if (to > *end) {
            *end = to;
            found = (cw_kind)kind;
        }
    }
    return found;
}

/* The nearest spelling, or NULL where the word is nothing like any. Changing every letter of it is no likeness. */
static const char *nearest_unit(const cw_kind_row *row, const char *word)
{
    int length = (int)strlen(word), best = length < 4 ? 2 : 3;
    const char *nearest = NULL;

    for (int i = 0; i < row->unit_count; i++) {
        int distance = cw_word_distance(word, row->units[i].name, best);

        if (distance < best && distance < length) {
            best = distance;
            nearest = row->units[i].name;
        }
    }
    return nearest;
}

static bool same_word(const char *word, const char *other)
{
    return cw_word_distance(word, other, 0) == 0;
}

static cw_status refuse_unit(const cw_source *source, int number_from, int from)
{
    const cw_kind_row *row = cw_quantity__kind(source->kind);
    char quoted[80], number[80];
    const char *nearest, *name = without_article(row->name);
    int end, to = unit_text_end(source, from);
    cw_kind other = other_kind(source, from, &end);

    cw_quantity__quote(source, from, to, quoted);
    if (same_word(quoted, "AWG") || same_word(quoted, "SWG"))
        return cw_quantity__refuse(source, from, "\"%s\" is the size of a wire, not %s.",
                                   cw_quantity__quote(source, number_from, to, number), row->name);
    if (same_word(quoted, "°") || same_word(quoted, "deg") || same_word(quoted, "degrees"))
        return cw_quantity__refuse(source, from, "\"%s\" does not say of which scale. Write °C or °F.", quoted);
    if (other != CW_KIND_COUNT && end >= to)
        return cw_quantity__refuse(source, from, "\"%s\" is %s, and %s is expected here.",
                                   cw_quantity__quote(source, number_from, end, number), cw_kind_name(other),
                                   row->name);
    nearest = nearest_unit(row->quotient ? cw_quantity__kind(row->over) : row, quoted);
    if (nearest != NULL && !row->quotient)
        return cw_quantity__refuse(source, from, "\"%s\" is no unit of %s. Is \"%s\" meant?", quoted, name, nearest);
    return cw_quantity__refuse(source, from, "\"%s\" is no unit of %s.", quoted, name);
}

/* A blank between thousands looks like two numbers. */
static cw_status refuse_missing_unit(const cw_source *source, int number_from, int number_to)
{
    const cw_kind_row *row = cw_quantity__kind(source->kind);
    int next = cw_quantity__skip_blanks(source, number_to), to = next, digits = 0;
    char number[80], more[80];

    while (cw_quantity__digit(source->code[to]))
        to++;
    digits = to - next;
    cw_quantity__quote(source, number_from, number_to, number);
    if (digits == 3 && number_to - number_from <= 3)
        return cw_quantity__refuse(source, number_to, "A blank stands inside a number. Write %s%s.", number,
                                   cw_quantity__quote(source, next, to, more));
    if (digits > 0)
        return cw_quantity__refuse(source, number_to, "The number %s has no unit, and another number follows.", number);
    return cw_quantity__refuse(source, number_to, "The number %s has no unit. Write for instance %s.", number,
                               row->example);
}

static cw_status read_unit(const cw_source *source, int number_from, int *position, cw_unit *unit)
{
    const cw_kind_row *row = cw_quantity__kind(source->kind);
    int at = cw_quantity__skip_blanks(source, *position);
    int end = cw_quantity__unit_at(source, at, source->kind, unit);

    if (end >= 0) {
        *position = end;
        return CW_OK;
    }
    if (!terms_end(source, at) && !number_begins(source, at))
        return refuse_unit(source, number_from, at);
    if (!row->bare)
        return refuse_missing_unit(source, number_from, *position);
    *unit = row->units[0];
    return CW_OK;
}

static cw_status add_term(const cw_source *source, int from, const cw_number *number, const cw_unit *unit, terms *sum)
{
    char quoted[80];

    if (sum->count > 0 && !(unit->factor < sum->last.factor))
        return cw_quantity__refuse(source, from, "\"%s\" has a unit that is no smaller than the one before it. "
                                   "Several parts go from large to small, as in 1 ft 3 in.",
                                   cw_quantity__quote(source, from, source->count, quoted));
    sum->value += cw_quantity__to_si(unit, number);
    sum->last = *unit;
    sum->count++;
    return CW_OK;
}

/* After a term: another one, the end, or something that is neither. */
static cw_status another_term(const cw_source *source, int at, bool *more)
{
    const cw_kind_row *row = cw_quantity__kind(source->kind);
    bool dash = source->code[at] == '-' && number_begins(source, at + 1);

    *more = number_begins(source, at);
    if (dash && row->several_terms)
        return cw_quantity__refuse(source, at, "A dash stands between two parts. Leave it out, as in 1 ft 3 in.");
    if (*more && !row->several_terms)
        return cw_quantity__refuse(source, at, "A second number follows, and %s takes only one.", row->name);
    return CW_OK;
}

static cw_status read_terms(const cw_source *source, int *position, terms *sum)
{
    double sign = 1;
    bool more = true;

    *sum = (terms){ 0 };
    while (more) {
        int from = cw_quantity__skip_blanks(source, *position);
        cw_number number;
        cw_unit unit;
        cw_status status = cw_quantity__number(source, position, sum->count == 0, &number);

        if (status == CW_OK)
            status = read_unit(source, from, position, &unit);
        if (status == CW_OK && sum->count == 0 && source->code[from] == '-' && unit.zero == 0) {
            sign = -1;
            number.value = -number.value;
        }
        if (status == CW_OK)
            status = add_term(source, from, &number, &unit, sum);
        *position = cw_quantity__skip_blanks(source, *position);
        if (status == CW_OK)
            status = another_term(source, *position, &more);
        if (status != CW_OK)
            return status;
    }
    sum->value *= sign;
    return CW_OK;
}

static cw_status check_temperature(const cw_source *source, int from, double value)
{
    if (source->kind == CW_TEMPERATURE && value < -273.15 - 1e-9) /* -459.67 °F is not exact in binary */
        return cw_quantity__refuse(source, from, "This is below absolute zero, -273.15 °C.");
    return CW_OK;
}

/* The unit of the doubt, its zero taken away; moves *position behind it. */
static cw_status doubt_unit(cw_source *source, const terms *sum, int number_from, int *position, cw_unit *unit)
{
    int at = cw_quantity__skip_blanks(source, *position), end;

    if (source->code[at] == '%' && source->kind != CW_RATIO) {
        if (source->kind == CW_TEMPERATURE)
            return cw_quantity__refuse(source, at, "A share of a temperature depends on where its scale begins. "
                                       "Write the doubt in degrees.");
        *position = at + 1;
        *unit = (cw_unit){ "%", fabs(sum->value) / 100, 0, false };
        return CW_OK;
    }
    if (terms_end(source, at)) {
        if (sum->count > 1)
            return cw_quantity__refuse(source, *position, "The doubt needs a unit of its own, since the quantity has "
                                       "several.");
        *unit = sum->last;
        unit->zero = 0;
        return CW_OK;
    }
    if (source->kind == CW_TEMPERATURE)
        source->kind = CW_TEMPERATURE_DIFFERENCE;
    end = cw_quantity__unit_at(source, at, source->kind, unit);
    if (end < 0)
        return refuse_unit(source, number_from, at);
    *position = end;
    return CW_OK;
}

static cw_status read_doubt(cw_source *source, const terms *sum, int *position, cw_quantity *quantity)
{
    cw_kind kind = source->kind;
    int behind_sign = doubt_sign_end(source, *position), from;
    cw_number number;
    cw_unit unit = { 0 };
    cw_status status;

    if (behind_sign < 0)
        return CW_OK;
    *position = behind_sign;
    from = cw_quantity__skip_blanks(source, behind_sign);
    status = cw_quantity__number(source, position, false, &number);
    if (status == CW_OK)
        status = doubt_unit(source, sum, from, position, &unit);
    source->kind = kind;
    if (status != CW_OK)
        return status;
    quantity->doubt = cw_quantity__to_si(&unit, &number);
    quantity->doubt_given = true;
    *position = cw_quantity__skip_blanks(source, *position);
    return CW_OK;
}

static cw_status read_condition(cw_source *source, bool allowed, int *position, double *at_c)
{
    cw_kind kind = source->kind;
    terms temperature;
    cw_status status;
    int from;

    if (!condition_begins(source, *position))
        return CW_OK;
    if (!allowed)
        return cw_quantity__refuse(source, *position, "No temperature can be given behind this quantity.");
    *position += source->code[*position] == '@' ? 1 : 2;
    from = cw_quantity__skip_blanks(source, *position);
    source->kind = CW_TEMPERATURE;
    status = read_terms(source, position, &temperature);
    if (status == CW_OK)
        status = check_temperature(source, from, temperature.value);
    source->kind = kind;
    if (status == CW_OK && doubt_sign_end(source, *position) >= 0)
        status = cw_quantity__refuse(source, *position, "The doubt stands behind the temperature. Write it before.");
    if (status == CW_OK)
        *at_c = temperature.value;
    return status;
}

/* "5 N m" where a force is expected is not 5 N with something behind. */
static cw_status refuse_leftover(const cw_source *source, int from)
{
    char quoted[80];
    int unit_from = 0, end;

    while (source->code[unit_from] != 0 && (source->code[unit_from] == ' ' || source->code[unit_from] == '-' ||
                                            source->code[unit_from] == '+' || source->code[unit_from] == '.' ||
                                            cw_quantity__digit(source->code[unit_from])))
        unit_from++;
    if (unit_from < from) {
        cw_kind other = other_kind(source, unit_from, &end);

        if (other != CW_KIND_COUNT && end > from)
            return cw_quantity__refuse(source, unit_from, "\"%s\" is %s, and %s is expected here.",
                                       cw_quantity__quote(source, 0, end, quoted), cw_kind_name(other),
                                       cw_kind_name(source->kind));
    }
    return cw_quantity__refuse(source, from, "\"%s\" is left over behind the quantity. Leave it out.",
                               cw_quantity__quote(source, from, source->count, quoted));
}

static cw_status parse(cw_kind kind, const char *text, size_t length, const cw_place *at, cw_quantity *quantity,
                       double *at_c, cw_error *error)
{
    cw_source source;
    cw_quantity result = { 0 };
    double condition = NAN;
    terms sum;
    int position = 0;
    cw_status status = cw_quantity__source(kind, text, length, at, &source, error);

    if (status == CW_OK)
        status = read_terms(&source, &position, &sum);
    if (status == CW_OK)
        status = check_temperature(&source, cw_quantity__skip_blanks(&source, 0), sum.value);
    if (status == CW_OK)
        status = read_doubt(&source, &sum, &position, &result);
    if (status == CW_OK)
        status = read_condition(&source, at_c != NULL, &position, &condition);
    if (status == CW_OK && position < source.count)
        status = refuse_leftover(&source, position);
    if (status != CW_OK)
        return status;
    result.value = sum.value;
    *quantity = result;
    if (at_c != NULL)
        *at_c = condition;
    return CW_OK;
}

cw_status cw_quantity_parse(cw_kind kind, const char *text, size_t length, const cw_place *at, cw_quantity *quantity,
                            cw_error *error)
{
    return parse(kind, text, length, at, quantity, NULL, error);
}

cw_status cw_quantity_parse_at(cw_kind kind, const char *text, size_t length, const cw_place *at,
                               cw_quantity *quantity, double *at_c, cw_error *error)
{
    return parse(kind, text, length, at, quantity, at_c, error);
}
