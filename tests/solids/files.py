# SPDX-License-Identifier: GPL-3.0-or-later
"""The files of former and arbor that the program writes for the examples, read by others: 3MF by Python's zip and XML
and, where it is installed, by lib3mf; STL and STEP by their own bytes, STEP by the kernel's checker where that is
installed; and all against the sizes in the JSON.
Speaks TAP. Usage: files.py PROGRAM SOURCE_ROOT"""
import ctypes
import ctypes.util
import glob
import json
import os
import shutil
import struct
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml
import zipfile

PROGRAM, ROOT = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
PLASTIC = """coilwright: 1
job: {name: "a <former> & more"}
window: {shape: rectangle, inner_size: [60 mm, 40 mm], corner_radius: 5 mm, length: 20 mm, depth: 10 mm}
former: {material: petg, wall: 2 mm, flange: 3 mm, sections: 2, partition: 2 mm, split: yes, fillet: 0.5 mm, pins: 2, tapes: 2}
"""
results = []


def check(name, good, why=""):
    results.append((name, bool(good), why))


def former(job, folder):
    done = subprocess.run([PROGRAM, "former", job, "-o", folder, "--json"], capture_output=True, timeout=120)
    if done.returncode != 0:
        check(f"{os.path.basename(job)}: the program writes its former", False, done.stdout.decode() + done.stderr.decode())
        return None
    return json.loads(done.stdout)


def triangles_of_stl(path):
    data = open(path, "rb").read()
    count = struct.unpack_from("<I", data, 80)[0]
    assert len(data) == 84 + 50 * count and not data.startswith(b"solid")
    for i in range(count):
        values = struct.unpack_from("<12f", data, 84 + 50 * i)
        yield values[3:6], values[6:9], values[9:12]


def volume(triangles):
    total = 0.0
    for a, b, c in triangles:
        total += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2])
                  + a[2] * (b[0] * c[1] - b[1] * c[0])) / 6
    return total


def manifold(faces):
    """Every edge by two triangles in opposite order [3MF core specification, 4.1.4.2]."""
    edges = set()
    for face in faces:
        if len(set(face)) != 3:
            return False
        for i in range(3):
            edge = (face[i], face[(i + 1) % 3])
            if edge in edges:
                return False
            edges.add(edge)
    return all((b, a) in edges for a, b in edges)


def check_3mf(label, path, pieces, title):
    """Returns the volume of all objects."""
    archive = zipfile.ZipFile(path)
    check(f"{label}: three parts, stored, whole",
          sorted(archive.namelist()) == ["3D/3dmodel.model", "[Content_Types].xml", "_rels/.rels"]
          and all(i.compress_type == zipfile.ZIP_STORED for i in archive.infolist()) and archive.testzip() is None)
    types = {e.get("Extension"): e.get("ContentType") for e in xml.fromstring(archive.read("[Content_Types].xml"))}
    check(f"{label}: content types", types == {
        "rels": "application/vnd.openxmlformats-package.relationships+xml",
        "model": "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"}, str(types))
    relation = xml.fromstring(archive.read("_rels/.rels"))[0]
    check(f"{label}: the start part is the model", relation.get("Target") == "/3D/3dmodel.model"
          and relation.get("Type") == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel")
    model = xml.fromstring(archive.read("3D/3dmodel.model"))
    objects = model.findall(f"{CORE}resources/{CORE}object")
    items = [item.get("objectid") for item in model.findall(f"{CORE}build/{CORE}item")]
    check(f"{label}: millimetres, {pieces} objects, all built", model.get("unit") == "millimeter"
          and len(objects) == pieces and items == [o.get("id") for o in objects])
    check(f"{label}: its title is the job's", model.find(f"{CORE}metadata[@name='Title']").text == title)
    total, good = 0.0, True
    for thing in objects:
        points = [tuple(float(v.get(k)) for k in "xyz") for v in thing.iter(f"{CORE}vertex")]
        faces = [tuple(int(t.get(k)) for k in ("v1", "v2", "v3")) for t in thing.iter(f"{CORE}triangle")]
        good = good and manifold(faces) and min(map(min, points)) > -1e-6 and len(set(points)) == len(points)
        total += volume((points[a], points[b], points[c]) for a, b, c in faces)
    check(f"{label}: every object manifold, in the positive octant, no point twice", good)
    return total


def lib3mf():
    name = ctypes.util.find_library("3MF")
    return ctypes.CDLL(name) if name else None


def judge(library, path):
    """Warnings and objects that are not manifold, by lib3mf; None where it cannot read the file."""
    model, reader, walk, thing = (ctypes.c_void_p() for _ in range(4))
    warnings, more, good, count, bad = ctypes.c_uint32(), ctypes.c_int(), ctypes.c_int(), 0, 0
    if library.lib3mf_createmodel(ctypes.byref(model)) or \
            library.lib3mf_model_queryreader(model, b"3mf", ctypes.byref(reader)) or \
            library.lib3mf_reader_readfromfileutf8(reader, path.encode()) or \
            library.lib3mf_reader_getwarningcount(reader, ctypes.byref(warnings)) or \
            library.lib3mf_model_getmeshobjects(model, ctypes.byref(walk)):
        return None
    while not library.lib3mf_resourceiterator_movenext(walk, ctypes.byref(more)) and more.value:
        library.lib3mf_resourceiterator_getcurrent(walk, ctypes.byref(thing))
        library.lib3mf_meshobject_ismanifoldandoriented(thing, ctypes.byref(good))
        count += 1
        bad += not good.value
    return warnings.value, bad, count


def kernel_check(paths):
    """What the kernel's own checker of shapes says of each STEP file; None where its command interpreter is not
    installed (Debian's occt-draw). It looks for its plug-ins by names that only development packages have."""
    draw, library = shutil.which("occt-draw"), ctypes.util.find_library("TKDraw")
    if not draw or not library:
        return None
    with tempfile.TemporaryDirectory() as folder:
        for place in ("/usr/lib", *glob.glob("/usr/lib/*-linux-gnu")):
            for found in glob.glob(os.path.join(place, "libTK*.so.*")):
                link = os.path.join(folder, os.path.basename(found).split(".so.")[0] + ".so")
                if not os.path.lexists(link):
                    os.symlink(found, link)
        script = os.path.join(folder, "check.tcl")
        with open(script, "w", encoding="ascii") as tcl:
            tcl.write("pload MODELING\npload XSDRAW\n")
            for path in paths:
                tcl.write(f"testreadstep {{{path}}} s\nputs \"verdict [checkshape s]\"\n")
            tcl.write("exit\n")
        done = subprocess.run([draw, "-b", "-f", script], capture_output=True, timeout=120,
                              env=dict(os.environ, LD_LIBRARY_PATH=folder))
        verdicts = [line[8:].strip() for line in done.stdout.decode().splitlines() if line.startswith("verdict ")]
        return verdicts if len(verdicts) == len(paths) else None


def size(triangles):
    points = [p for t in triangles for p in t]
    return [max(p[i] for p in points) - min(p[i] for p in points) for i in range(3)]


def check_job(label, job, title, former_pieces, library):
    with tempfile.TemporaryDirectory() as folder:
        document = former(job, folder)
        if document is None:
            return
        wanted = document["former"]["to_ask_for"]
        stl = list(triangles_of_stl(os.path.join(folder, "former.stl")))
        by_3mf = check_3mf(f"{label}, former.3mf", os.path.join(folder, "former.3mf"), former_pieces, title)
        check_3mf(f"{label}, arbor.3mf", os.path.join(folder, "arbor.3mf"), 4, title)
        check(f"{label}: STL, 3MF and description have one volume within 0.1 %",
              all(abs(v * 1e-9 / wanted["volume_m3"] - 1) < 1e-3 for v in (volume(stl), by_3mf)),
              f"{volume(stl)} {by_3mf} {wanted['volume_m3']}")
        if former_pieces == 1:
            expected = [wanted["flange"]["width_m"], wanted["flange"]["breadth_m"], wanted["length_m"]]
            check(f"{label}: the STL is as large as the description within 0.001 mm",
                  all(abs(s - 1e3 * e) < 1e-3 for s, e in zip(size(stl), expected)), f"{size(stl)} {expected}")
        for name in ("former", "arbor"):
            step = open(os.path.join(folder, name + ".step"), encoding="ascii").read()
            check(f"{label}, {name}.step: AP214, no time and no version of a kernel in it",
                  step.startswith("ISO-10303-21;") and "FILE_SCHEMA(('AUTOMOTIVE_DESIGN" in step
                  and "1970-01-01T00:00:00" in step and "Open CASCADE" not in step
                  and step.count("MANIFOLD_SOLID_BREP") == (4 if name == "arbor" else former_pieces)
                  and "GEOMETRIC_CURVE_SET" not in step)
            verdicts = kernel_check([os.path.join(folder, name + ".step")])
            if verdicts is not None:
                check(f"{label}, {name}.step: the kernel's checker finds it valid",
                      verdicts == ["This shape seems to be valid"], str(verdicts))
            if library:
                verdict = judge(library, os.path.join(folder, name + ".3mf"))
                check(f"{label}, {name}.3mf: lib3mf reads it without a warning, every object manifold",
                      verdict == (0, 0, 4 if name == "arbor" else former_pieces), str(verdict))


judge_library = lib3mf()
check_job("press brake", os.path.join(ROOT, "examples", "press-brake.yaml"), "left brake coil", 1, judge_library)
check_job("chuck plate", os.path.join(ROOT, "examples", "chuck-plate.yaml"), "chuck plate, front coil", 1, judge_library)
with tempfile.TemporaryDirectory() as place:
    plastic = os.path.join(place, "plastic.yaml")
    open(plastic, "w", encoding="utf-8").write(PLASTIC)
    check_job("split former", plastic, "a <former> & more", 2, judge_library)
print(f"1..{len(results)}")
if not judge_library:
    print("# lib3mf is not installed: 3MF is judged by zip and XML alone")
for number, (name, good, why) in enumerate(results, 1):
    print(("ok" if good else "not ok") + f" {number} - {name}")
    if not good and why:
        print("# " + why.replace("\n", "\n# "))
sys.exit(0 if all(good for _, good, _ in results) else 1)
