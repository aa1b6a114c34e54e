# SPDX-License-Identifier: GPL-3.0-or-later
"""Every verb's real document against the schema that "coilwright schema" gives of it. Speaks TAP.
Usage: schemas.py PROGRAM SOURCE_ROOT"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

import json_schema

try:
    import jsonschema
except ImportError:
    jsonschema = None

PROGRAM, ROOT = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
JOBS = sorted(glob.glob(os.path.join(ROOT, "examples", "*.yaml")) + glob.glob(os.path.join(ROOT, "docs", "howto", "jobs", "*.yaml")))
EXAMPLES = [job for job in JOBS if os.sep + "examples" + os.sep in job]
results = []


def call(*words):
    done = subprocess.run([PROGRAM, *words], capture_output=True, timeout=120)
    return done.returncode, done.stdout.decode()


def schema(name):
    return json.loads(call("schema", name)[1])


def wrong_in(name, words):
    """What the document of that call has against its schema; a refused call is held against that of errors."""
    status, text = call(*words)
    document = json.loads(text)
    one = schema("error" if status > 1 or "error" in document else name)
    wrong = json_schema.errors(document, one)
    if jsonschema is not None:
        jsonschema.Draft202012Validator.check_schema(one)
        wrong += [error.message for error in jsonschema.Draft202012Validator(one).iter_errors(document)]
    return [" ".join(os.path.basename(word) for word in words) + ": " + line for line in wrong]


def test(name):
    def keep(function):
        try:
            wrong = function()
        except Exception as error:  # a test that cannot run has failed
            wrong = [repr(error)]
        results.append((name, wrong))
    return keep


def refused(value, one, line):
    return [] if any(line in text for text in json_schema.errors(value, one)) else [f"{value} passed"]


@test("the check of schemas finds what is missing, unknown, of another type or out of range")
def _():
    one = {"type": "object", "properties": {"a": {"type": "integer", "minimum": 1}, "b": {"enum": ["x", None]},
                                            "c": {"$ref": "#/$defs/list"}},
           "required": ["a"], "additionalProperties": False, "$defs": {"list": {"type": "array", "items": {"type": "number"}}}}
    return (json_schema.errors({"a": 1, "b": None, "c": [1, 2.5]}, one) + refused({}, one, "a is missing") +
            refused({"a": 1, "d": 2}, one, "d is not in the schema") + refused({"a": True}, one, "is no integer") +
            refused({"a": 0}, one, "is beyond") + refused({"a": 1, "b": "y"}, one, "is none of") +
            refused({"a": 1, "c": ["x"]}, one, "is no number") + refused({"a": 1}, {"pattern": "x"}, "does not know"))


@test("every verb has a schema")
def _():
    verbs = [verb["name"] for verb in json.loads(call("--help", "--json")[1])["verbs"]]
    return [verb for verb in verbs + ["job", "error"] if verb != "schema" and call("schema", verb)[0] != 0]


@test("a word that is no verb has none, and is refused in kind")
def _():
    return wrong_in("error", ["schema", "wheel", "--json"]) + ([] if call("schema", "wheel")[0] == 2 else ["exit status"])


for verb in ["check", "identify", "choose", "lay", "program", "field", "heat", "switch", "prove"]:
    @test(f"what {verb} answers is as its schema says, for every example and how-to")
    def _(verb=verb):
        return [line for job in JOBS for line in wrong_in(verb, [verb, job, "--json"])]


@test("what wire answers is as its schema says")
def _():
    return (wrong_in("wire", ["wire", "24 AWG", "--json"]) +
            wrong_in("wire", ["wire", "0.250 mm", "--build", "grade 2", "--material", "aluminium", "--mass", "1 kg", "--json"]) +
            wrong_in("wire", ["wire", "31 SWG", "--build", "double cotton", "--json"]) +
            wrong_in("wire", ["wire", "30 km", "--json"]))


@test("what choose and lay answer of a user's own choice, taps and sections is as their schemas say")
def _():
    sets = [["--set", "turns=2100"], ["--set", "taps=[500, 1000]"], ["--set", "sections=2", "--set", "partition=1 mm"],
            ["--set", "depth=1 mm"], ["--set", "window.depth=8 mm"]]
    return [line for job in EXAMPLES for words in sets for verb in ["choose", "lay"]
            for line in wrong_in(verb, [verb, job, *words, "--json"])]


@test("what new, program, replay, sheet and run answer is as their schemas say")
def _():
    wrong = wrong_in("new", ["new", "--json"])
    with tempfile.TemporaryDirectory() as folder:
        def at(name):
            return os.path.join(folder, name)
        wrong += wrong_in("new", ["new", "-o", at("new.yaml"), "--json"])
        for job in EXAMPLES:
            wrong += wrong_in("program", ["program", job, "-o", at("w.ngc"), "--json"])
            wrong += wrong_in("replay", ["replay", at("w.ngc"), "--job", job, "--json"])
            wrong += wrong_in("replay", ["replay", at("w.ngc"), "--json"])
            with open(at("w.ngc"), encoding="utf-8") as program, open(at("bad.ngc"), "w", encoding="utf-8") as bad:
                bad.write(re.sub(r"K0\.\d+", "K0.01", program.read(), count=3))
            wrong += wrong_in("replay", ["replay", at("bad.ngc"), "--job", job, "--json"])
            wrong += wrong_in("sheet", ["sheet", job, "-o", at("sheet.pdf"), "--json"])
            wrong += wrong_in("run", ["run", job, "-o", at("out"), "--json"])
    return wrong


@test("what the book answers is as its schema says")
def _():
    job, wrong = EXAMPLES[0], []
    with tempfile.TemporaryDirectory() as folder:
        book = ["--book", os.path.join(folder, "b.book"), "--json"]
        again = os.path.join(folder, "again.yaml")
        for words in [["enter", job, "--without-results"], ["again", "1", "--machine", "second", "-o", again], ["list"],
                      ["find", "machine"], ["show", "1"], ["note", "1", "a note"], ["hours", "1", "2.5"],
                      ["cost", "1", "bought", "12"], ["reading", "1", "coil-resistance", "84.2 ohm"],
                      ["spool", "29 AWG", "--build", "heavy", "--mass", "1 lb"], ["off", "1", "--length", "10 m"],
                      ["weigh", "1", "400 g"], ["shelf"], ["compare", "1", "2"], ["take", "1"], ["mark", "1", "wound"],
                      ["show", "2"], ["export", "1", "-o", os.path.join(folder, "b.zip")],
                      ["import", os.path.join(folder, "b.zip")], ["backup", os.path.join(folder, "copy.book")], ["check"],
                      ["show", "99"]]:
            wrong += wrong_in("book", ["book", *words, *book])
    return wrong


def keys_of(one):
    """Every key that a schema knows anywhere."""
    keys = set()
    if isinstance(one, dict):
        keys |= set(one.get("properties", {}))
        for part in one.values():
            keys |= keys_of(part)
    elif isinstance(one, list):
        for part in one:
            keys |= keys_of(part)
    return keys


@test("the schema of the job file knows every key that the reader knows")
def _():
    known = keys_of(schema("job"))
    rows = open(os.path.join(ROOT, "src", "job", "schema.c"), encoding="utf-8").read()
    magnet = open(os.path.join(ROOT, "src", "job", "magnet.c"), encoding="utf-8").read()
    keys = set(re.findall(r'^ +\{ "(\w+)", &cw_job__', rows, re.M)) | set(re.findall(r'^ +\{ "(\w+)", ROWS', rows, re.M))
    for name in re.findall(r'^ +\{ "([\w.]+)", \w+[\w |]*, CW_KEY', magnet, re.M):
        keys |= set(name.split("."))
    return ([f"only {len(keys)} keys were found in the source"] if len(keys) < 150 else []) + sorted(keys - known)


@test("example and explanation stand beside every key of the job file")
def _():
    def bare(one, place):
        wrong = []
        for key, value in one.get("properties", {}).items():
            inner = value.get("items", value) if value.get("type") == "array" and "properties" in value.get("items", {}) else value
            if "properties" in inner:
                wrong += bare(inner, place + key + ".")
            elif not value.get("description") or not value.get("examples"):
                wrong.append(place + key)
        return wrong
    return bare(schema("job"), "")


print(f"1..{len(results)}")
for number, (name, wrong) in enumerate(results, 1):
    print(("not ok" if wrong else "ok") + f" {number} - {name}")
    for line in wrong[:20]:
        print("# " + line.replace("\n", "\n# "))
sys.exit(1 if any(wrong for _, wrong in results) else 0)
