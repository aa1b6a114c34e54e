# SPDX-License-Identifier: GPL-3.0-or-later
"""The reference out of the program's own tables: reference.py PROGRAM FILE [--check]

Verbs and options come from "coilwright --help --json", keys and documents from "coilwright schema". With --check nothing
is written; exit status 1 where FILE is out of date."""
import json
import subprocess
import sys

program, path = sys.argv[1:3]


def ask(*words):
    return json.loads(subprocess.run([program, *words], check=True, capture_output=True).stdout)


def cell(text):
    return str(text).replace("|", "\\|").replace("\n", " ").replace("<", "&lt;")


def table(heads, rows):
    return ["| " + " | ".join(heads) + " |", "| " + " | ".join("---" for _ in heads) + " |",
            *("| " + " | ".join(cell(one) for one in row) + " |" for row in rows), ""]


def code(text):
    return f"`{text}`" if text != "" else ""


# ---- verbs ------------------------------------------------------------------------------------------------------


def dashed(option):
    return code(("-" if len(option["name"]) == 1 else "--") + option["name"] +
                (" " + option["argument"] if option["argument"] else ""))


def verb_lines(verb):
    words = " ".join(word for word in ["coilwright", verb["name"], verb["arguments"]] if word)
    lines = [f"### {verb['name']}", "", code(words), "", verb["summary"][0].upper() + verb["summary"][1:] + ".", ""]
    if verb["details"]:
        lines += ["```text", verb["details"], "```", ""]
    if verb["options"]:
        lines += table(["option", "what it does"], [(dashed(o), o["help"]) for o in verb["options"]])
    return lines


def actions(verb):
    """Each action's own help, as a block, for a verb that does several things."""
    text = subprocess.run([program, verb["name"], "--help"], check=True, capture_output=True).stdout.decode()
    return ["```text", text.rstrip("\n"), "```", ""]


# ---- the job file -----------------------------------------------------------------------------------------------


def value_words(value):
    """What may stand behind a key."""
    if "enum" in value:
        return ", ".join(code(one) for one in value["enum"] if not isinstance(one, bool))
    if "anyOf" in value:
        return value_words(value["anyOf"][0]) + ", or a list of such" if "enum" in value["anyOf"][0] else value["expected"]
    if "minimum" in value:
        return f"whole number, {value['minimum']} to {value['maximum']}"
    return value.get("expected", "")


def key_rows(schema, prefix=""):
    rows = []
    for key, value in schema["properties"].items():
        if "properties" in value:
            rows += key_rows(value, prefix + key + ".")
            continue
        need = " (needed)" if key in schema.get("required", []) else ""
        rows.append((code(prefix + key) + need, value_words(value), " or ".join(code(e) for e in value["examples"]),
                     value["description"]))
    return rows


def job_lines():
    schema = ask("schema", "job")
    heads = ["key", "value", "as in", "what it is"]
    plain = {key: value for key, value in schema["properties"].items() if "examples" in value}
    lines = ["## The job file", "", schema["description"], "",
             "A key marked needed must be there where its section is. Unknown keys are refused with the nearest known one.", "",
             *table(heads, key_rows({"properties": plain, "required": schema["required"]}))]
    for name, section in schema["properties"].items():
        if name in plain:
            continue
        inner = section.get("items", section)
        lines += [f"### {name}:" + (" (a list)" if inner is not section else ""), "", section["description"], "",
                  *table(heads, key_rows(inner))]
    return lines


# ---- documents --------------------------------------------------------------------------------------------------


def type_words(value, root):
    if "$ref" in value:
        return value["$ref"].split("/")[-1]
    if "anyOf" in value:
        return " or ".join(type_words(one, root) for one in value["anyOf"])
    if "enum" in value:
        return ", ".join(code("null" if one is None else one) for one in value["enum"])
    types = value["type"] if isinstance(value["type"], list) else [value["type"]]
    words = " or ".join(types)
    if types == ["array"]:
        return f"list of {type_words(value['items'], root)}" if value.get("items") else "list"
    return words


def document_rows(schema, root, prefix=""):
    rows = []
    for key, value in schema.get("properties", {}).items():
        may = "" if key in schema.get("required", []) else " (may be absent)"
        inner = value.get("items", value)
        mark = "[]" if inner is not value else ""
        rows.append((code(prefix + key) + may, type_words(value, root), value.get("unit", ""), value.get("description", "")))
        rows += document_rows(inner, root, prefix + key + mark + ".")
    return rows


def document_lines(name):
    schema = ask("schema", name)
    heads = ["key", "type", "unit", "what it is"]
    lines = [f"### {schema['title']}", "", schema["description"], ""]
    if "properties" in schema:
        lines += table(heads, document_rows(schema, schema))
    for part, value in schema.get("$defs", {}).items():
        lines += [f"**{part}**" + (": " + value["description"] if value.get("description") else ""), "",
                  *table(heads, document_rows(value, schema))]
    return lines


def reference():
    help_table = ask("--help", "--json")
    verbs, common = help_table["verbs"], help_table["common"]
    lines = ["<!-- Made by tools/reference.py out of the program's tables; change those, not this. -->", "# Reference", "",
             "Verbs, options, keys of the job file, documents and exit statuses of `coilwright`.", "",
             "## Exit status", "", *table(["status", "means"], [
                 (0, "done"), (1, "done, and the answer is no: nothing fits, a test failed, a replayed program is wrong"),
                 (2, "the call or a file is wrong; the message names file, line, column, what was found and what was expected"),
                 (3, "the machine failed: disk, memory, a port in use")]),
             "## Verbs", "", "Every verb also takes:", "", *table(["option", "what it does"], [(dashed(o), o["help"]) for o in common])]
    for verb in verbs:
        lines += verb_lines(verb) + (actions(verb) if verb["arguments"] == "ACTION" else [])
    lines += job_lines()
    lines += ["## Documents", "",
              "What `--json` prints. Keys end in their unit; numbers are SI. `coilwright schema VERB` prints the same as JSON "
              "Schema (2020-12). Where no document can be given, that of an error is.", ""]
    for name in [verb["name"] for verb in verbs if verb["name"] != "schema"] + ["error"]:
        lines += document_lines(name)
    return "\n".join(lines).rstrip("\n") + "\n"


text = reference()
if "--check" in sys.argv:
    same = open(path, encoding="utf-8").read() == text
    print("1..1")
    print(("ok" if same else "not ok") + " 1 - docs/reference.md is what the program's tables say")
    if not same:
        print("# Write it anew: python3 tools/reference.py build/coilwright docs/reference.md")
    sys.exit(0 if same else 1)
with open(path, "w", encoding="utf-8") as out:
    out.write(text)
