# SPDX-License-Identifier: GPL-3.0-or-later
"""One mesh, one problem: our solver against two general toolkits, whole processes, interleaved, one thread, by processor time,
which a busy machine changes little.

field_mesh.py BENCH_FIELD_MESH: prints the section of docs/field_measured.md, or a sentence where the toolkits (Debian:
python3-dolfinx-real; freefem++, libfreefem++-dev, g++) are not installed. Debian's python3 runs dolfinx."""
import glob
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile

ROUNDS = 3
program, here = os.path.abspath(sys.argv[1]), os.path.dirname(os.path.abspath(__file__))
helpers = os.path.dirname(os.path.dirname(program))
PYTHON, FREEFEM = "/usr/bin/python3", shutil.which("FreeFem++-nw")
environment = dict(os.environ, OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1", FF_LOADPATH="/usr/lib/freefem++;;.")


def processor():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def run(words, folder):
    start = processor()
    done = subprocess.run(words, cwd=folder, env=environment, capture_output=True, text=True)
    took = processor() - start
    rows = [line.split() for line in done.stdout.splitlines()]
    numbers = [row for row in rows if len(row) >= 4 and row[0][:1].isdigit()]
    if done.returncode != 0 or not numbers:
        sys.exit(f"{words[0]} failed:\n{done.stdout}{done.stderr}")
    return took, float(numbers[-1][0]), float(numbers[-1][1]), numbers[-1]


def blas():
    path = os.path.realpath("/etc/alternatives/libblas.so.3-x86_64-linux-gnu")
    return os.path.basename(os.path.dirname(path))


def measure(folder, name, kind):
    subprocess.run([program, kind, folder], check=True, env=dict(os.environ, COILWRIGHT_HELPERS=helpers))
    cases = {"Coilwright": [program, "solve", folder],
             "dolfinx, MUMPS": [PYTHON, f"{here}/field_mesh_dolfinx.py", folder],
             "FreeFEM, MUMPS": [FREEFEM, "-nw", "-v", "0", "field_mesh.edp"]}
    times = {case: [] for case in cases}
    for turn in range(ROUNDS + 1):
        for case, words in cases.items():
            took, linkage, pull, numbers = run(words, folder)
            if turn > 0:  # the first warms the disk and compiles dolfinx's forms
                times[case].append(took)
            if case == "Coilwright":
                ours = linkage, pull
            if abs(linkage / ours[0] - 1) > 1e-6 or abs(pull / ours[1] - 1) > 1e-6:
                sys.exit(f"{case}: {linkage} Wb, {pull} N; ours {ours[0]} Wb, {ours[1]} N.")
            times[case, "apart"] = max(abs(linkage / ours[0] - 1), abs(pull / ours[1] - 1))
            times[case, "steps"] = " + ".join(numbers[2:-1])
            unknowns = numbers[-1]
    base = statistics.median(times["Coilwright"])
    with open(f"{folder}/mesh.msh", encoding="ascii") as file:
        triangles = file.readline().split()[1]
    print(f"{name}: {triangles} triangles of second order, {unknowns} unknowns.\n\n"
          "| | median, s | times ours | Newton steps | linkage and pull apart by |\n| --- | --- | --- | --- | --- |")
    for case in cases:
        middle = statistics.median(times[case])
        print(f"| {case} | {middle:.2f} | {middle / base:.1f} | {times[case, 'steps']} | {times[case, 'apart']:.0e} |")
    print()


def main():
    print("## One mesh, against general toolkits\n")
    have = os.path.exists(PYTHON) and subprocess.run([PYTHON, "-c", "import dolfinx"], capture_output=True).returncode == 0
    if not have or FREEFEM is None or not glob.glob("/usr/include/freefem++/ff++.hpp") or shutil.which("g++") is None:
        print("Not measured: dolfinx and FreeFEM are not both installed here.")
        return
    print(f"A pot magnet deep in saturation, from zero; whole processes, medians of {ROUNDS}, interleaved, one thread, processor time; the "
          f"toolkits' BLAS: {blas()}. The same elements, quadrature points, curve, line search and end of Newton's method; "
          "steps of ours: of first order + of second.\n")
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(f"{here}/field_mesh.edp", folder)
        subprocess.run(["g++", "-shared", "-fPIC", "-O2", "-std=c++14", "-w", "-I/usr/include/freefem++", "-o",
                        f"{folder}/field_mesh_iron.so", f"{here}/field_mesh_iron.cpp"], check=True)
        measure(folder, "A lattice", "write")
        if os.path.exists(f"{helpers}/coilwright-mesher"):
            measure(folder, "Triangles of free shape", "free")


main()
