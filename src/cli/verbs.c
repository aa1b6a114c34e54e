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
    { "former", "JOB.yaml", 1, 1, "the former and the arbor to wind it on: solids and workshop drawings",
      "Needs window: and former: in the job; core and cavity come from the magnet's dimensions.", cli_former,
      { SET_OPTION, { "o", "DIR", "the folder to write into; it is made where it is missing" },
        { "paper", "P", "of the drawings: a4, a3, letter or tabloid; without it by the job's units" },
        { "projection", "A", "first or third angle; without it by the job's units" },
        { "date", "YYYY-MM-DD", "the date on the drawings; without it there is room to write it" },
        NO_OPTION } },
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
      "Also what remains of the pull at the faces, plate and heat of the job, and the original winding against the\n"
      "new one. With a LIST the magnet is swept along that alone, one thing at a time; without any along all of them.\n"
      "Example: coilwright field job.yaml --gap \"0.05 mm, 0.1 mm, 0.3 mm\" --plate \"6 mm, 12 mm\"",
      cli_field,
      { SET_OPTION,
        { "gap", "LIST", "air gaps" },
        { "current", "LIST", "currents in one coil" },
        { "plate", "LIST", "thicknesses of the plate" },
        { "plate-iron", "LIST", "irons of the plate, as in structural-steel, grey-cast-iron" },
        { "map", "FILE", "also draw flux lines and flux density; FILE ends in .svg, .png or .pdf" },
        { "curve", "FILE", "also draw the pull over the air gap" },
        { "plate-curve", "FILE", "also draw the pull over the plate's thickness" },
        NO_OPTION } },
    { "heat", "JOB.yaml", 1, 1, "temperatures, steady and over the duty cycle, by finite elements",
      "Exit status 1 where the hot spot passes the thermal class that the job wants, or a part its own limit.",
      cli_heat,
      { SET_OPTION,
        { "map", "FILE", "also draw the section's temperatures; FILE ends in .svg, .png or .pdf" },
        { "curve", "FILE", "also draw the temperatures over the duty" },
        NO_OPTION } },
    { "switch", "JOB.yaml", 1, 1, "current and pull over time at switch-on and switch-off, with the suppressor", NULL,
      cli_switch,
      { SET_OPTION,
        { "suppressor", "S", "none, resistor, diode, diode-and-resistor, zener, varistor or rc; diode, on ac varistor" },
        { "on", "FILE", "also draw current and pull after switch-on; FILE ends in .svg, .png or .pdf" },
        { "off", "FILE", "also draw current and voltage after switch-off, with each suppressor" },
        { "table", "FILE", "also draw the suppressors as a table" },
        NO_OPTION } },
    { "read", "[JOB.yaml]", 0, 1, "a resistance from a bench meter into the job, the book or the terminal",
      "The meter speaks SCPI, over TCP (tcp:HOST:PORT, port 5025 without it) or a serial line\n"
      "(serial:/dev/ttyUSB0:9600:8N1). It is asked until three readings agree within 0.1 %. The reading goes behind the\n"
      "job's others, with the day and the meter as a remark; everything else in the file stays as you wrote it, and\n"
      "--undo takes the last one out again.\n"
      "Short the coil before you take the clips off: a meter's current in a large coil bites.\n"
      "Example: coilwright read job.yaml --from tcp:192.0.2.7 --of sibling --at \"21 °C\" --range \"200 ohm\"\n"
      "Example: coilwright read job.yaml --from tcp:192.0.2.7 --test heat-run --every \"15 s\" --for \"5 min\" "
      "--ambient \"24 °C\"",
      cli_read,
      { { "from", "ADDRESS", "of the meter" },
        { "as", "KIND", "coil-resistance (without it), sample-resistance ...: what a job's readings are called" },
        { "test", "TEST", "for the proof: winding-resistance, coils-match, earth-bond or heat-run" },
        { "of", "WHAT", "this, sibling or sample" },
        { "coil", "N", "which of several coils" },
        { "length", "L", "of the sample" },
        { "at", "T", "temperature of the winding; \"unknown\" if nobody can know" },
        { "thermometer", "ADDRESS", "of a meter that tells it; it may be the same meter" },
        { "two-wire", NULL, "with two leads; without it four" },
        { "leads", "R", "of two leads shorted together; the reading is taken less by it" },
        { "range", "R", "of the meter; without it it seeks one, which takes long on a large coil" },
        { "doubt", "D", "of the meter, as in \"0.1 %\"" },
        { "within", "T", "gives up after it; 60 s without it" },
        { "current", "I", "earth bond: through it" },
        { "ambient", "T", "heat run: of the room" },
        { "every", "T", "heat run: a series while it cools" },
        { "for", "T", "how long the series lasts; 5 min without it" },
        { "time", "T", "heat run: from switch-off to this call" },
        { "job", "N", "into the book, with that job" },
        { "book", "FILE", "the book; without it the one in your folder for data" },
        { "undo", NULL, "takes the last reading out of the job file again" },
        NO_OPTION } },
    { "prove", "JOB.yaml", 1, 1, "the acceptance tests: limits, readings taken, verdict",
      "Readings stand under proof: in the job. Where it has a load: section, also whether the magnet holds that load.\n"
      "Exit status 1 where a test has failed or the load is not held; 0 also while some are open.",
      cli_prove, { SET_OPTION, NO_OPTION } },
    { "sheet", "JOB.yaml", 1, 1, "the job sheet, to print",
      "Its parts are cover, evidence, answer, former, winding, program, magnet, heat, switching, tests,\n"
      "cautions and label; what the job does not give enough for is left out.\n"
      "Example: coilwright sheet job.yaml --only tests,label -o tests.pdf", cli_sheet,
      { SET_OPTION,
        { "o", "FILE", "where to: FILE.pdf, or FILE.html for one page that any browser shows and prints" },
        { "only", "PARTS", "those parts alone" },
        { "paper", "P", "a4 or letter; without it by the job's units" },
        { "date", "YYYY-MM-DD", "the date on the sheet; without it there is room to write it" },
        NO_OPTION } },
    { "run", "JOB.yaml", 1, 1, "the whole job: everything above that the job file gives enough for", NULL, cli_run,
      { SET_OPTION, { "o", "DIR", "the folder to write into; it is made where it is missing" },
        { "paper", "P", "a4 or letter; without it by the job's units" },
        { "date", "YYYY-MM-DD", "the date on the sheet; without it there is room to write it" },
        NO_OPTION } },
    { "book", "ACTION", 0, 0, "the shop's memory: jobs with every version, readings, pictures, wire on the shelf",
      "The book lies in your folder for data, $XDG_DATA_HOME/coilwright/shop.book or\n"
      "~/.local/share/coilwright/shop.book; --book FILE names another.",
      NULL, { NO_OPTION }, cli_book_actions },
    { "serve", "", 0, 0, "the page: the whole job in a browser on this machine",
      "Jobs are kept in the book as they are typed, every version; where it lies: \"coilwright book --help\".\n"
      "With --lan the program shows a code; a tablet in the same network that scans it is let in, nobody else. What goes\n"
      "between them is not encrypted: use it in a network you trust.",
      cli_serve,
      { { "port", "N", "to listen on; 0 takes any that is free, without it 8474" },
        { "book", "FILE", "keep jobs in that book instead; made where it is not there" },
        { "no-book", NULL, "keep none: jobs then stay in the browser" },
        { "lan", NULL, "let devices of the same network in that were shown the code" },
        NO_OPTION } },
    { "schema", "VERB", 1, 1, "the JSON Schema of what a verb answers with --json; of the job file: schema job",
      "\"coilwright schema error\" gives that of the answer where something is wrong.", cli_schema, { NO_OPTION } },
    { NULL, NULL, 0, 0, NULL, NULL, NULL, { NO_OPTION } },
};
