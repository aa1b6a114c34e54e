/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values: parameters, functions and bracketed expressions [NC 1.6, 1.7].
 *
 * Precedence is the report's: ** over * / MOD over + - OR XOR AND, equal rank from left to right, ** too. The
 * descendant ranks logic below + and -; where both stand on one level the block is marked as `mixed_logic`. */
#include "nc/nc_reader.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

enum { DEEPEST = 60 }; /* brackets in brackets; 256 characters hold hardly more that mean anything */

typedef enum operation { POWER, TIMES, OVER, MODULO, PLUS, MINUS, OR, XOR, AND, CLOSE } operation;

static int rank(operation op)
{
    switch (op) {
    case POWER:
        return 3;
    case TIMES: case OVER: case MODULO:
        return 2;
    case PLUS: case MINUS: case OR: case XOR: case AND:
        return 1;
    case CLOSE:
        break;
    }
    return 0;
}

/* Takes a word of letters if it stands here; blanks between the letters are free like everywhere. */
static bool take_word(cw_nc_cursor *cursor, const char *word)
{
    size_t start = cursor->at;

    for (; *word != '\0'; word++) {
        if (cw_nc__peek(cursor) != *word) {
            cursor->at = start;
            return false;
        }
        cursor->at++;
    }
    return true;
}

static cw_status read_operation(cw_nc_cursor *cursor, operation *op)
{
    static const struct { const char *word; operation op; } table[] = {
        { "]", CLOSE }, { "+", PLUS }, { "-", MINUS }, { "**", POWER }, { "*", TIMES }, { "/", OVER },
        { "MOD", MODULO }, { "OR", OR }, { "XOR", XOR }, { "AND", AND },
    };
    static const char *const comparisons[] = { "EQ", "NE", "GT", "GE", "LT", "LE" };
    char c = cw_nc__peek(cursor);

    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (take_word(cursor, table[i].word)) {
            *op = table[i].op;
            return CW_OK;
        }
    }
    for (size_t i = 0; i < sizeof comparisons / sizeof comparisons[0]; i++)
        if (take_word(cursor, comparisons[i]))
            return cw_nc__fault(cursor, "a program without it", "The comparison %s is not in RS-274/NGC.",
                                comparisons[i]);
    if (c == '\0')
        return cw_nc__fault(cursor, "]", "A bracket is not closed.");
    return cw_nc__fault(cursor, "+ - * / ** MOD AND OR XOR or ]", "'%c' is no operation.", c);
}

static cw_status apply(cw_nc_cursor *cursor, operation op, double left, double right, double *result)
{
    switch (op) {
    case POWER:
        if (left < 0 && right != floor(right))
            return cw_nc__fault(cursor, NULL, "A negative number is raised to a power that is no integer.");
        *result = pow(left, right);
        break;
    case TIMES:
        *result = left * right;
        break;
    case OVER:
    case MODULO:
        if (right == 0)
            return cw_nc__fault(cursor, NULL, "Something is divided by zero.");
        *result = left / right;
        if (op == MODULO) { /* with the sign of the right side [NC 1.7] */
            *result = fmod(left, right);
            if (*result != 0 && (*result < 0) != (right < 0))
                *result += right;
        }
        break;
    case PLUS:
        *result = left + right;
        break;
    case MINUS:
        *result = left - right;
        break;
    case OR:
        *result = left != 0 || right != 0;
        break;
    case XOR:
        *result = (left != 0) != (right != 0);
        break;
    case AND:
        *result = left != 0 && right != 0;
        break;
    case CLOSE:
        break;
    }
    if (!isfinite(*result))
        return cw_nc__fault(cursor, NULL, "An expression has no finite value.");
    return CW_OK;
}

/* Operator precedence with a stack of at most one pending operation per rank. */
typedef struct pending {
    double value[4];
    operation op[4];
    int count;
} pending;

static cw_status reduce(cw_nc_cursor *cursor, pending *stack, int down_to, double *value)
{
    cw_status status = CW_OK;

    while (status == CW_OK && stack->count > 0 && rank(stack->op[stack->count - 1]) >= down_to) {
        stack->count--;
        status = apply(cursor, stack->op[stack->count], stack->value[stack->count], *value, value);
    }
    return status;
}

/* Behind "[". */
static cw_status read_expression(cw_nc_cursor *cursor, double *value)
{
    pending stack;
    cw_status status;
    bool whole, sum = false, logic = false;
    operation op = CLOSE;

    stack.count = 0;
    if (cursor->depth >= DEEPEST)
        return cw_nc__fault(cursor, NULL, "Brackets stand more than %d deep.", (int)DEEPEST);
    cursor->depth++;
    do {
        status = cw_nc__read_value(cursor, value, &whole);
        if (status == CW_OK)
            status = read_operation(cursor, &op);
        if (status == CW_OK)
            status = reduce(cursor, &stack, rank(op), value);
        if (status != CW_OK)
            return status;
        sum = sum || op == PLUS || op == MINUS;
        logic = logic || op == AND || op == OR || op == XOR;
        if (op != CLOSE) {
            stack.value[stack.count] = *value;
            stack.op[stack.count++] = op;
        }
    } while (op != CLOSE);
    cursor->mixed_logic = cursor->mixed_logic || (sum && logic);
    cursor->depth--;
    return CW_OK;
}

static cw_status read_bracket(cw_nc_cursor *cursor, const char *function, double *value)
{
    if (cw_nc__peek(cursor) != '[')
        return cw_nc__fault(cursor, "[", "%s is not followed by a bracket.", function);
    cursor->at++;
    return read_expression(cursor, value);
}

static const double degree = 3.14159265358979323846 / 180;

static cw_status call(cw_nc_cursor *cursor, const char *name, double x, double *value)
{
    if (strcmp(name, "SQRT") == 0 && x < 0)
        return cw_nc__fault(cursor, NULL, "SQRT of a negative number.");
    if ((strcmp(name, "ACOS") == 0 || strcmp(name, "ASIN") == 0) && fabs(x) > 1)
        return cw_nc__fault(cursor, NULL, "%s of a number beyond -1 to 1.", name);
    if (strcmp(name, "LN") == 0 && x <= 0)
        return cw_nc__fault(cursor, NULL, "LN of a number that is not above zero.");
    *value = strcmp(name, "ABS") == 0 ? fabs(x) :
             strcmp(name, "ACOS") == 0 ? acos(x) / degree :
             strcmp(name, "ASIN") == 0 ? asin(x) / degree :
             strcmp(name, "COS") == 0 ? cos(x * degree) :
             strcmp(name, "EXP") == 0 ? exp(x) :
             strcmp(name, "FIX") == 0 ? floor(x) :
             strcmp(name, "FUP") == 0 ? ceil(x) :
             strcmp(name, "LN") == 0 ? log(x) :
             strcmp(name, "ROUND") == 0 ? round(x) :
             strcmp(name, "SIN") == 0 ? sin(x * degree) :
             strcmp(name, "SQRT") == 0 ? sqrt(x) : tan(x * degree);
    if (!isfinite(*value))
        return cw_nc__fault(cursor, NULL, "%s has no finite value here.", name);
    return CW_OK;
}

static cw_status read_arc_tangent(cw_nc_cursor *cursor, double *value)
{
    double y = 0, x = 0;
    cw_status status = read_bracket(cursor, "ATAN", &y);

    if (status != CW_OK)
        return status;
    if (cw_nc__peek(cursor) != '/')
        return cw_nc__fault(cursor, "/", "ATAN takes two brackets, ATAN[y]/[x].");
    cursor->at++;
    status = read_bracket(cursor, "ATAN[y]/", &x);
    if (status == CW_OK)
        *value = atan2(y, x) / degree;
    return status;
}

static cw_status read_function(cw_nc_cursor *cursor, double *value)
{
    static const char *const names[] = { "ABS", "ACOS", "ASIN", "COS", "EXP", "FIX", "FUP", "LN", "ROUND", "SIN",
                                         "SQRT", "TAN" };
    cw_status status;

    if (take_word(cursor, "ATAN"))
        return read_arc_tangent(cursor, value);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (take_word(cursor, names[i])) {
            double x = 0;

            status = read_bracket(cursor, names[i], &x);
            return status == CW_OK ? call(cursor, names[i], x, value) : status;
        }
    }
    return cw_nc__fault(cursor, "a number, #, [ or a function", "'%c' is no value.", cw_nc__peek(cursor));
}

cw_status cw_nc__read_index(cw_nc_cursor *cursor, int *index)
{
    double value = 0;
    bool whole;
    long integer;
    cw_status status;

    if (cw_nc__peek(cursor) == '<')
        return cw_nc__fault(cursor, "a number", "Parameters with names are not in RS-274/NGC and are not read.");
    if (cursor->depth >= DEEPEST)
        return cw_nc__fault(cursor, NULL, "# stands more than %d deep.", (int)DEEPEST);
    cursor->depth++;
    status = cw_nc__read_value(cursor, &value, &whole);
    cursor->depth--;
    if (status != CW_OK)
        return status;
    if (!cw_nc__is_integer(value, &integer) || integer < 1 || integer > CW_NC_PARAMETER_MOST)
        return cw_nc__fault(cursor, "an integer from 1 to 5399", "There is no parameter #%g.", value);
    *index = (int)integer;
    return CW_OK;
}

static cw_status read_parameter(cw_nc_cursor *cursor, double *value)
{
    int index = 0;
    cw_status status;

    cursor->at++;
    status = cw_nc__read_index(cursor, &index);
    if (status == CW_OK)
        *value = cursor->reader->parameters[index];
    return status;
}

/* A sign belongs to the value right behind it, so that -2 ** 2 is 4 [NC 1.7]. */
cw_status cw_nc__read_value(cw_nc_cursor *cursor, double *value, bool *whole)
{
    size_t start;
    char c = cw_nc__peek(cursor), sign = '+';
    cw_status status;

    start = cursor->at;
    *whole = false;
    if (c == '+' || c == '-') {
        sign = c;
        cursor->at++;
        c = cw_nc__peek(cursor);
    }
    if (c == '\0')
        return cw_nc__fault(cursor, "a number", "The line ends where a number should stand.");
    if (c == '#' || c == '[' || isalpha((unsigned char)c)) {
        if (cursor->reader->vocabulary.dialect != CW_NC_NGC)
            return cw_nc__fault(cursor, "a number", "Parameters and expressions are read in RS-274/NGC only.");
        if (c == '#')
            status = read_parameter(cursor, value);
        else if (c == '[')
            status = read_bracket(cursor, "", value);
        else
            status = read_function(cursor, value);
        if (sign == '-')
            *value = -*value;
        return status;
    }
    cursor->at = start;
    return cw_nc__read_number(cursor, value, whole);
}
