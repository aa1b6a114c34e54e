# SPDX-License-Identifier: GPL-3.0-or-later
"""The DXF drawings, read by others than their writer.

1. Pair by pair against the rules of release 12: sections in order, every group code one that its entity may have, every
   layer and linetype in the tables, plain ASCII, everything within the extents.
2. By ezdxf, a general library: same entities, no fault found by its auditor. Skipped, with a sentence, where it is not
   installed.
3. Drawn true: the figures of every linear dimension are the distance of two arrow heads that point along one line, at
   full size; and the bore is a circle of its own diameter.

Speaks TAP. Usage: dxf.py DRAWINGS"""
import math
import os
import re
import subprocess
import sys
import tempfile

DRAWINGS = os.path.abspath(sys.argv[1])
POINT = {10, 20, 30}
# References for interchange, section 1: codes by entity; 8 the layer, 6 linetype and 62 colour are allowed to all.
ALLOWED = {
    "LINE": POINT | {11, 21, 31},
    "CIRCLE": POINT | {40},
    "ARC": POINT | {40, 50, 51},
    "TEXT": POINT | {40, 1, 50, 41, 7, 72, 73, 11, 21, 31},
    "SOLID": {10, 20, 30, 11, 21, 31, 12, 22, 32, 13, 23, 33},
}
REQUIRED = {
    "LINE": POINT | {11, 21, 31},
    "CIRCLE": POINT | {40},
    "ARC": POINT | {40, 50, 51},
    "TEXT": POINT | {40, 1, 72, 11, 21, 31},
    "SOLID": {10, 20, 30, 11, 21, 31, 12, 22, 32, 13, 23, 33},
}


class Fault(Exception):
    pass


def demand(truth, words):
    if not truth:
        raise Fault(words)


def read_pairs(path):
    with open(path, "rb") as stream:
        content = stream.read()
    demand(all(byte < 0x80 for byte in content), "not plain ASCII")
    lines = content.decode("ascii").split("\n")
    demand(lines.pop() == "" and len(lines) % 2 == 0, "lines do not come in pairs")
    pairs = []
    for at in range(0, len(lines), 2):
        demand(re.fullmatch(r" *\d{1,3}", lines[at]), "line %d is no group code" % (at + 1))
        code = int(lines[at])
        demand(code == 999 or code <= 79, "group code %d" % code)
        if 10 <= code <= 59:
            demand(re.fullmatch(r"-?\d+\.\d+", lines[at + 1]), "line %d is no real number" % (at + 2))
        elif 60 <= code <= 79:
            demand(re.fullmatch(r" *-?\d+", lines[at + 1]), "line %d is no whole number" % (at + 2))
        pairs.append((code, lines[at + 1]))
    return pairs


def read_sections(pairs):
    """Name to pairs, in order; comments may stand anywhere."""
    pairs = [pair for pair in pairs if pair[0] != 999]
    sections, at = {}, 0
    while pairs[at] != (0, "EOF"):
        demand(pairs[at] == (0, "SECTION") and pairs[at + 1][0] == 2, "a section was expected")
        end = pairs.index((0, "ENDSEC"), at)
        sections[pairs[at + 1][1]] = pairs[at + 2:end]
        at = end + 1
    demand(at == len(pairs) - 1, "something after EOF")
    demand(list(sections) == ["HEADER", "TABLES", "ENTITIES"], "sections %s" % list(sections))
    return sections


def split(pairs):
    """Runs of pairs that begin with code 0."""
    runs = []
    for pair in pairs:
        if pair[0] == 0:
            runs.append([pair[1]])
        runs[-1].append(pair)
    return [(run[0], run[2:]) for run in runs]


def header_value(header, name, code):
    at = header.index((9, name))
    return next(value for key, value in header[at + 1:] if key == code)


def read_entities(sections):
    tables = split(sections["TABLES"])
    names = {kind: {dict(pairs)[2] for what, pairs in tables if what == kind} for kind in ("LTYPE", "LAYER", "STYLE")}
    for what, pairs in tables:
        if what == "LAYER":
            demand(dict(pairs)[6] in names["LTYPE"], "a layer of unknown linetype")
        if what == "LTYPE":
            dashes = [float(value) for code, value in pairs if code == 49]
            demand(int(dict(pairs)[73]) == len(dashes), "dashes miscounted")
            demand(abs(float(dict(pairs)[40]) - sum(map(abs, dashes))) < 1e-6, "dashes do not sum up")
    header = sections["HEADER"]
    demand(header_value(header, "$ACADVER", 1) == "AC1009", "not release 12")
    entities = []
    for kind, pairs in split(sections["ENTITIES"]):
        fields = dict(pairs)
        demand(kind in ALLOWED, "entity %s" % kind)
        demand(len(fields) == len(pairs), "%s has a group twice" % kind)
        demand(set(fields) <= ALLOWED[kind] | {8, 6, 62}, "%s has groups %s" % (kind, sorted(fields)))
        demand(set(fields) >= REQUIRED[kind] | {8}, "%s lacks groups" % kind)
        demand(fields[8] in names["LAYER"], "layer %s is in no table" % fields[8])
        entities.append((kind, {code: float(value) if 10 <= code <= 59 else value for code, value in fields.items()}))
    judge_places(entities, header)
    return entities


def arc_ends(fields):
    demand(fields[40] > 0, "ARC of no size")
    demand(0 <= fields[50] < 360 and 0 <= fields[51] < 360, "ARC beyond 360 degrees")
    ends = {}
    for code, degrees in ((10, fields[50]), (11, fields[51])):
        ends[code] = fields[10] + fields[40] * math.cos(math.radians(degrees))
        ends[code + 10] = fields[20] + fields[40] * math.sin(math.radians(degrees))
    return ends


def judge_places(entities, header):
    low = float(header_value(header, "$EXTMIN", 10)), float(header_value(header, "$EXTMIN", 20))
    high = float(header_value(header, "$EXTMAX", 10)), float(header_value(header, "$EXTMAX", 20))
    for kind, fields in entities:
        reach = fields[40] if kind == "CIRCLE" else 0
        if kind == "ARC":  # its centre may lie far off
            fields = arc_ends(fields)
        for code in (10, 11, 12, 13):
            if code in fields:
                demand(low[0] <= fields[code] - reach and fields[code] + reach <= high[0], "%s out of bounds" % kind)
                demand(low[1] <= fields[code + 10] - reach and fields[code + 10] + reach <= high[1],
                       "%s out of bounds" % kind)
        if kind in ("CIRCLE", "TEXT"):
            demand(fields[40] > 0, "%s of no size" % kind)


FIGURES = re.compile(r"\(?(?:\d+x )?(?:%%c)?(\d*\.?\d+)(?: %%p\S+| [-+]?[\d.]+/[-+]?[\d.]+)?\)?")


def tips(entities):
    """Points and directions of the arrow heads."""
    found = []
    for kind, f in entities:
        if kind != "SOLID" or f[8].endswith("_DETAIL"):
            continue
        back = (f[11] + f[12]) / 2, (f[21] + f[22]) / 2
        length = math.hypot(f[10] - back[0], f[20] - back[1])
        found.append((f[10], f[20], (f[10] - back[0]) / length, (f[20] - back[1]) / length))
    return found


def drawn_true(entities, words):
    """Level figures stand over a level dimension line, upright ones to the left of an upright one."""
    heads, checked = tips(entities), 0
    for kind, f in entities:
        match = FIGURES.fullmatch(f[1]) if kind == "TEXT" and f[8] == "DIMENSION" else None
        if match is None:
            continue
        line = [head for head in heads if near_line(f, head)]
        if not line:
            continue  # of a note
        axis = 1 if f.get(50) == 90.0 else 0
        reach = [abs(a[axis] - b[axis]) for a in line for b in line
                 if abs(a[1 - axis] - b[1 - axis]) < 1e-4 and a[2 + axis] * b[2 + axis] < -0.99]
        value, step = float(match.group(1)), 10.0 ** -len(match.group(1).partition(".")[2])
        demand(any(abs(r - value) <= 0.5001 * max(step, 1e-2 if "." not in match.group(1) else step) for r in reach),
               "%s: '%s' is drawn as %s" % (words, f[1], sorted(set(round(r, 4) for r in reach))[:6]))
        checked += 1
    return checked


def near_line(text, head):
    """Whether an arrow head lies on the dimension line under these figures, 0.9 mm of a 2.5 mm letter below."""
    below = 0.9 / 2.5 * text[40]
    if text.get(50) == 90.0:
        return abs(head[0] - (text[10] + below)) < 1e-4 and abs(head[3]) > 0.99
    return abs(head[1] - (text[20] - below)) < 1e-4 and abs(head[2]) > 0.99


def has_bore(entities, bore):
    return any(kind == "CIRCLE" and f[8] == "VISIBLE" and abs(2 * f[40] - bore) < 2e-5 for kind, f in entities)


def read_with_library(ezdxf, path, entities):
    document = ezdxf.readfile(path)
    auditor = document.audit()
    demand(document.dxfversion == "AC1009", "read as %s" % document.dxfversion)
    found = [str(entry.message) for entry in auditor.errors + auditor.fixes]
    demand(not found, "%s" % found[:3])
    seen = {}
    for entity in document.modelspace():
        seen[entity.dxftype()] = seen.get(entity.dxftype(), 0) + 1
    own = {}
    for kind, _ in entities:
        own[kind] = own.get(kind, 0) + 1
    demand(seen == own, "the library sees %s, there are %s" % (seen, own))


def tap(number, name, faults, skip=None):
    if skip:
        print("ok %d %s # SKIP %s" % (number, name, skip))
        return
    for fault in faults[:10]:
        print("# %s" % fault)
    print("%s %d %s" % ("not ok" if faults else "ok", number, name))


def main():
    try:
        import ezdxf
    except ImportError:
        ezdxf = None
    print("1..4")
    rules, library, true, bores, checked, files = [], [], [], [], 0, 0
    with tempfile.TemporaryDirectory() as folder:
        said = subprocess.run([DRAWINGS, folder], stdout=subprocess.PIPE, check=True, universal_newlines=True).stdout
        for row in said.splitlines():
            path, bore, shape = row.rsplit(" ", 2)
            name = os.path.basename(path)
            files += 1
            try:
                entities = read_entities(read_sections(read_pairs(path)))
            except Fault as fault:
                rules.append("%s: %s" % (name, fault))
                continue
            try:
                checked += drawn_true(entities, name)
            except Fault as fault:
                true.append(str(fault))
            if name.startswith("former") and shape == "round" and not has_bore(entities, float(bore)):
                bores.append("%s: no circle of %s" % (name, bore))
            try:
                if ezdxf:
                    read_with_library(ezdxf, path, entities)
            except Fault as fault:
                library.append("%s: %s" % (name, fault))
    demand(files > 40, "only %d drawings" % files)
    print("# %d drawings, %d linear dimensions" % (files, checked))
    tap(1, "drawings keep the rules of release 12", rules)
    tap(2, "a general library reads them without a fault", library, None if ezdxf else "python3-ezdxf is not installed")
    tap(3, "figures are the distances drawn", true if checked > 500 else ["only %d dimensions found" % checked])
    tap(4, "the bore is drawn at its own size", bores)
    return 1 if rules or library or true or bores else 0


sys.exit(main())
