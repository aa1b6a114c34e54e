/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of verbs. One row drives dispatch, help and completion. */
#include "cli/cli.h"

#define NO_OPTION { NULL, NULL, NULL }

/* Of every verb that goes beyond the choice; may stand several times. */
#define SET_OPTION { "set", "KEY=VALUE", "overrules the job, as turns=2100 or supply.voltage=24 V; as often as needed" }

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
    { "new", "", 0, 0, "writes a commented job file to fill in", NULL, cli_new,
      { { "kind", "K", "pot, plunger, u, e or bobbin (a coil without a magnet, the default)" },
        { "units", "U", "metric or inch: the units of its examples" },
        { "o", "FILE", "where to; without it to standard output. A file that is there is never overwritten" },
        NO_OPTION } },
    { "check", "JOB.yaml", 1, 1, "says everything that is wrong with a job file, with line and column", NULL, cli_check,
      { NO_OPTION } },
    { "identify", "JOB.yaml", 1, 1, "what the winding was, how sure that is, which reading disagrees, what to measure",
      NULL, cli_identify, { SET_OPTION, NO_OPTION } },
    { "choose", "JOB.yaml", 1, 1, "what to wind instead, ranked, with the reasons",
      "What is set is kept, and what it changes stands beside the best choice without it.\n"
      "Example: coilwright choose job.yaml --set turns=2100 --set \"wire=30 AWG\"\n"
      "A key of another section stands behind its name: --set \"window.depth=14 mm\".",
      cli_choose, { SET_OPTION, { "svg", "FILE", "also draw the options beside each other" }, NO_OPTION } },
    { "lay", "JOB.yaml", 1, 1, "the chosen winding layer by layer", NULL, cli_lay,
      { SET_OPTION, { "svg", "FILE", "also draw the section, every turn where it lies" }, NO_OPTION } },
    { "program", "JOB.yaml", 1, 1, "the winding program for the machine named in the job", NULL, cli_program,
      { SET_OPTION, { "o", "FILE", "where to; without it to standard output" },
        { "dry-run", NULL, "the same path without wire, to prove it in air" },
        NO_OPTION } },
    { "replay", "PROGRAM", 1, 1, "reads any winding program and lays its wire turn by turn",
      "With --job it is judged against that job's winding: exit status 1 where it is wrong.", cli_replay,
      { { "job", "JOB.yaml", "the winding it must give, and the machine it runs on" },
        { "o", "DIR", "also draw what it winds: laid.svg, every turn where it comes to lie, and traverse.svg" },
        { "block-delete", NULL, "leave out the lines that begin with /, as the switch on the control does" },
        NO_OPTION } },
    { "field", "JOB.yaml", 1, 1, "flux, pull, flux linkage and inductance of the magnet, by finite elements",
      "Needs the magnet's dimensions in the job; \"coilwright new --kind pot\" shows which.\n"
      "Example: coilwright field job.yaml --gap \"0.05 mm, 0.1 mm, 0.3 mm\"",
      cli_field,
      { SET_OPTION, { "gap", "LIST", "the gaps of the curve; without it halves and doubles of the job's own" },
        NO_OPTION } },
    { "heat", "JOB.yaml", 1, 1, "temperatures, steady and over the duty cycle, by finite elements",
      "Exit status 1 where the hot spot passes the thermal class that the job wants.", cli_heat,
      { SET_OPTION, NO_OPTION } },
    { "switch", "JOB.yaml", 1, 1, "current and pull over time at switch-on and switch-off, with the suppressor", NULL,
      cli_switch,
      { SET_OPTION,
        { "suppressor", "S", "none, resistor, diode, diode-and-resistor, zener, varistor or rc; diode, on ac varistor" },
        NO_OPTION } },
    { "prove", "JOB.yaml", 1, 1, "the acceptance tests: limits, readings taken, verdict",
      "Readings stand under proof: in the job. Exit status 1 where a test has failed; 0 also while some are open.",
      cli_prove, { SET_OPTION, NO_OPTION } },
    { "sheet", "JOB.yaml", 1, 1, "the job sheet, to print", NULL, cli_sheet,
      { SET_OPTION, { "o", "FILE.pdf", "where to" },
        { "paper", "P", "a4 or letter; without it by the job's units" },
        { "date", "YYYY-MM-DD", "the date on the sheet; without it there is room to write it" },
        NO_OPTION } },
    { "run", "JOB.yaml", 1, 1, "the whole job: everything above that the job file gives enough for", NULL, cli_run,
      { SET_OPTION, { "o", "DIR", "the folder to write into; it is made where it is missing" },
        { "paper", "P", "a4 or letter; without it by the job's units" },
        { "date", "YYYY-MM-DD", "the date on the sheet; without it there is room to write it" },
        NO_OPTION } },
    { "serve", "", 0, 0, "the page: the whole job in a browser on this machine", NULL, cli_serve,
      { { "port", "N", "to listen on; 0 takes any that is free, without it 8474" }, NO_OPTION } },
    { NULL, NULL, 0, 0, NULL, NULL, NULL, { NO_OPTION } },
};
