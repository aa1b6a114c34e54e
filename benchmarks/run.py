# SPDX-License-Identifier: GPL-3.0-or-later
"""Times whole processes, interleaved with a reference in the same run, and writes docs/performance.md.

The reference is a C program that does nothing but start (benchmarks/start.c): what any process costs here at this moment."""
import datetime
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time

program, reference, target = sys.argv[1:4]
JOBS = ["examples/press-brake.yaml", "examples/chuck-plate.yaml"]
folder = tempfile.mkdtemp()
CASES = [("wire", [program, "wire", "31 AWG", "--resistance", "116.5 ohm"], 100)]
for job in JOBS:
    CASES += [(f"{verb} {os.path.basename(job)}", [program, verb, job], 100) for verb in ("identify", "choose", "lay")]
    CASES.append((f"run {os.path.basename(job)}, sheet included", [program, "run", job, "-o", folder], 1000))
long_program = os.path.join(folder, "long.ngc")
subprocess.run([sys.executable, os.path.join(os.path.dirname(__file__), "long_program.py"), "1000000", long_program], check=True)
CASES.append(("replay of 1,000,000 blocks", [program, "replay", long_program], 2000))


pull = os.path.join(os.path.dirname(reference), "bench_field_pull")
for job, points, most in [(JOBS[0], [], 100), (JOBS[0], ["40"], 900), ("examples/tapered-pole.yaml", [], 500)]:
    name = f"{'pull at 40 gaps' if points else 'pull, cold'}, {os.path.basename(job)}"
    CASES.append((name, [pull, job] + points, most))
helpers = os.path.dirname(os.path.abspath(program))


def once(words):
    start = time.perf_counter()
    subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True,
                   env=dict(os.environ, COILWRIGHT_HELPERS=helpers))
    return 1e3 * (time.perf_counter() - start)


times = {name: [] for name, _, _ in CASES}
starts = []
for turn in range(16):
    for name, words, _ in CASES:
        before = once([reference])
        took = once(words)
        if turn > 0:  # the first warms the disk
            starts.append(before)
            times[name].append(took)
base = statistics.median(starts)
lines = ["# Performance", "", "Written by `./bench`; whole processes, warm, medians of 15, interleaved with the reference.",
         f"{datetime.date.today()}, {platform.machine()}, {os.cpu_count()} processors that were also doing other work.", "",
         f"Reference: a C program that only starts, {base:.1f} ms in the same run.", "",
         "| what | median, ms | times the reference | wanted below, ms |", "| --- | --- | --- | --- |"]
for name, _, most in CASES:
    middle = statistics.median(times[name])
    lines.append(f"| {name} | {middle:.0f} | {middle / base:.1f} | {most} |")
lines += ["", "Of the field stage: [field_measured.md](field_measured.md), written by `build/benchmarks/bench_field`. Of the book:"
          " [book_measured.md](book_measured.md)."]
open(target, "w", encoding="utf-8").write("\n".join(lines) + "\n")
print("\n".join(lines))
