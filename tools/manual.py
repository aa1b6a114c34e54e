# SPDX-License-Identifier: GPL-3.0-or-later
"""Manual pages and completions out of the program's own table of verbs: manual.py PROGRAM FOLDER

Writes coilwright.1, coilwright-VERB.1 for every verb, coilwright.bash and _coilwright (zsh)."""
import json
import os
import subprocess
import sys

program, folder = sys.argv[1:3]
table = json.loads(subprocess.run([program, "--help", "--json"], check=True, capture_output=True).stdout)
VERBS, COMMON = table["verbs"], table["common"]
STATUS = [("0", "done"), ("1", "done, and the answer is no: nothing fits, a test failed, a replayed program is wrong"),
          ("2", "the call or a file is wrong; the message names file, line and column, what was found and what was expected"),
          ("3", "the machine failed: disk, memory, a port in use")]
CAUTION = ("Mains voltage, the stored energy of a coil and a magnet's pull can hurt and kill. What this program says does not "
           "stand in for local codes and licensed practice, which have the last word.")


def roff(text):
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return "\n".join("\\&" + line if line.startswith((".", "'")) else line for line in text.split("\n"))


def dashed(option):
    return ("-" if len(option["name"]) == 1 else "--") + option["name"]


def options_of(options):
    out = []
    for option in options:
        argument = f" \\fI{roff(option['argument'])}\\fR" if option["argument"] else ""
        out.append(f".TP\n\\fB{roff(dashed(option))}\\fR{argument}\n{roff(option['help'][0].upper() + option['help'][1:])}.")
    return out


def page(name, summary, synopsis, body, also):
    return "\n".join([f'.TH "{name.upper()}" "1" "" "coilwright {table["version"]}" "Coilwright"', ".SH NAME",
                      f"{roff(name)} \\- {roff(summary)}", ".SH SYNOPSIS", synopsis, *body, ".SH EXIT STATUS",
                      *[f".TP\n{code}\n{roff(text)}" for code, text in STATUS], ".SH CAUTION", roff(CAUTION),
                      ".SH SEE ALSO", ", ".join(f"\\fB{roff(other)}\\fR(1)" for other in also)]) + "\n"


def verb_page(verb):
    name = "coilwright-" + verb["name"]
    arguments = f" \\fI{roff(verb['arguments'])}\\fR" if verb["arguments"] else ""
    body = [".SH DESCRIPTION", roff(verb["summary"][0].upper() + verb["summary"][1:]) + "."]
    if verb["details"]:
        body += [".PP\n.nf\n" + roff(verb["details"]) + "\n.fi"]
    body += [".SH OPTIONS", *options_of(verb["options"]), *options_of(COMMON)]
    return name, page(name, verb["summary"], f"\\fBcoilwright {verb['name']}\\fR{arguments} [\\fIoptions\\fR]", body,
                      ["coilwright"])


def main_page():
    body = [".SH DESCRIPTION",
            "From what is left of a dead electromagnet coil to a wound and proven one: what the winding was, what to wind "
            "instead, the former, the program for the machine, the magnet's pull, heat and switching, the acceptance tests "
            "and the papers.", ".SH VERBS"]
    body += [f".TP\n\\fB{verb['name']}\\fR {roff(verb['arguments'])}\n{roff(verb['summary'])}" for verb in VERBS]
    body += [".SH FILES", "A job is a YAML file; \\fBcoilwright new\\fR writes a commented one to fill in."]
    return page("coilwright", "rewinding of electromagnet coils", "\\fBcoilwright\\fR \\fIVERB\\fR [\\fIarguments\\fR] "
                "[\\fIoptions\\fR]", body, ["coilwright-" + verb["name"] for verb in VERBS])


def bash():
    cases = "\n".join(f"        {verb['name']}) options='{' '.join(dashed(o) for o in verb['options'] + COMMON)}' ;;"
                      for verb in VERBS)
    return f"""# SPDX-License-Identifier: GPL-3.0-or-later
# Completion for bash; made by tools/manual.py.
_coilwright()
{{
    local word=${{COMP_WORDS[COMP_CWORD]}} options=''
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W '{' '.join(verb['name'] for verb in VERBS)} --help --version' -- "$word"))
        return
    fi
    case ${{COMP_WORDS[1]}} in
{cases}
    esac
    case $word in
        -*) COMPREPLY=($(compgen -W "$options" -- "$word")) ;;
        *) compopt -o filenames; COMPREPLY=($(compgen -f -- "$word")) ;;
    esac
}}
complete -F _coilwright coilwright
"""


def quoted(text):
    return text.replace("'", "'\\''").replace("[", "\\[").replace("]", "\\]").replace(":", "\\:")


def zsh():
    verbs = "\n".join(f"        '{verb['name']}:{quoted(verb['summary'])}'" for verb in VERBS)
    cases = []
    for verb in VERBS:
        words = [f"'{dashed(o)}[{quoted(o['help'])}]" + (f":{quoted(o['argument'])}:_files'" if o["argument"] else "'")
                 for o in verb["options"] + COMMON]
        cases.append(f"        {verb['name']}) _arguments {' '.join(words)} '*:file:_files' ;;")
    return f"""#compdef coilwright
# SPDX-License-Identifier: GPL-3.0-or-later
# Completion for zsh; made by tools/manual.py.
local -a verbs
if (( CURRENT == 2 )); then
    verbs=(
{verbs}
    )
    _describe verb verbs
else
    local verb=$words[2]
    shift words
    (( CURRENT-- ))
    case $verb in
{chr(10).join(cases)}
    esac
fi
"""


def write(name, text):
    with open(os.path.join(folder, name), "w", encoding="utf-8") as out:
        out.write(text)


os.makedirs(folder, exist_ok=True)
write("coilwright.1", main_page())
for one in VERBS:
    title, text = verb_page(one)
    write(title + ".1", text)
write("coilwright.bash", bash())
write("_coilwright", zsh())
