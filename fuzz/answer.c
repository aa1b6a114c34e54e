/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A meter's answer to a question. Promises: a number is finite or over-range; nothing is written where there is none. */
#include "fuzz/target.h"

#include "coilwright/instrument.h"

#include <math.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double value = 7;
    bool over_range = false;

    if (cw_instrument_number((const char *)data, size, &value, &over_range))
        PROMISE(over_range || isfinite(value));
    else
        PROMISE(value == 7);
    return 0;
}
