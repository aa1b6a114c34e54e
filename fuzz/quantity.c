/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities as people write them. The first byte says which kind is expected.
 *
 * Promises: a refusal has a sentence and changes nothing; what is accepted is finite with a doubt that is not negative,
 * and, written out again, reads back to the digits shown. */
#include "fuzz/target.h"

#include "coilwright/quantity.h"

#include <math.h>
#include <string.h>

static void check_written(cw_kind kind, double value)
{
    cw_quantity again = { 0 };
    cw_error error;
    char text[80];

    for (int system = CW_METRIC_UNITS; system <= CW_INCH_UNITS; system++) {
        const int length = cw_quantity_format(kind, value, (cw_unit_system)system, 12, text, sizeof text);

        PROMISE(length > 0 && (size_t)length < sizeof text);
        PROMISE(cw_quantity_parse(kind, text, (size_t)length, NULL, &again, &error) == CW_OK);
        PROMISE(fabs(again.value - value) <= 1e-9 * fabs(value) + (kind == CW_TEMPERATURE ? 1e-6 : 1e-300));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    cw_quantity quantity = { 7, 7, true };
    cw_kind kind;
    cw_error error;
    double at_c = 7;

    if (size == 0)
        return 0;
    kind = (cw_kind)(data[0] % CW_KIND_COUNT);
    if (cw_quantity_parse_at(kind, (const char *)data + 1, size - 1, NULL, &quantity, &at_c, &error) != CW_OK) {
        PROMISE(strlen(error.text) > 0 && strlen(error.text) < sizeof error.text);
        PROMISE(quantity.value == 7 && quantity.doubt == 7);
        return 0;
    }
    PROMISE(isfinite(quantity.value) && isfinite(quantity.doubt) && quantity.doubt >= 0);
    if (fabs(quantity.value) > 1e-20 && fabs(quantity.value) < 1e20) /* the reader's limit is 1e30 in any unit */
        check_written(kind, quantity.value);
    return 0;
}
