/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of verbs. One row drives dispatch, help and completion. */
#include "cli/cli.h"

#define NO_OPTION { NULL, NULL, NULL }

const cli_verb cli_verbs[] = {
    { "wire", "SIZE", 1, 1, "what a wire is; with one of resistance, mass or length, the other two",
      "SIZE is 29 AWG (half sizes too), 0.250 mm or 31 SWG.\n"
      "Example: coilwright wire \"24 AWG\" --resistance \"12 ohm @ 21 °C\"",
      cli_wire,
      { { "build", "B", "single, heavy, triple, grade 1 to 3, single cotton, double silk ..., bare" },
        { "material", "M", "copper or aluminium" },
        { "resistance", "R", "of a piece; \"12 ohm @ 21 °C\", without a temperature at 20 °C" },
        { "mass", "M", "of a piece, covering on" },
        { "length", "L", "of a piece" },
        NO_OPTION } },
    { NULL, NULL, 0, 0, NULL, NULL, NULL, { NO_OPTION } },
};
