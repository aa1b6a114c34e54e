# SPDX-License-Identifier: GPL-3.0-or-later
"""Shares of lines and branches of the library (src/, the command line aside) that the tests ran, room by room:
coverage.py BUILD-FOLDER, after tests of a build with -Db_coverage=true. A line that several programs hold counts as run
where any of them ran it."""
import collections
import gzip
import json
import os
import subprocess
import sys
import tempfile

build = os.path.abspath(sys.argv[1])
root = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
notes = [os.path.join(folder, name) for folder, _, names in os.walk(os.path.join(build, "src")) for name in names
         if name.endswith(".gcno") and ("_" in name)]
lines, branches = collections.defaultdict(dict), collections.defaultdict(dict)


def take(document):
    for source in document["files"]:
        path = os.path.relpath(os.path.join(document["current_working_directory"], source["file"]), root)
        if not path.startswith("src/") or not path.endswith(".c") or path.startswith("src/cli/"):
            continue
        for line in source["lines"]:
            number = line["line_number"]
            lines[path][number] = max(lines[path].get(number, 0), line["count"])
            for at, branch in enumerate(line["branches"]):
                key = (number, at)
                branches[path][key] = max(branches[path].get(key, 0), branch["count"])


with tempfile.TemporaryDirectory() as scratch:
    for start in range(0, len(notes), 40):
        subprocess.run(["gcov", "--json-format", "--branch-probabilities", *notes[start:start + 40]], cwd=scratch,
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
        for name in os.listdir(scratch):
            with gzip.open(os.path.join(scratch, name), "rt", encoding="utf-8") as file:
                take(json.load(file))
            os.remove(os.path.join(scratch, name))


def share(counts):
    return sum(1 for count in counts if count > 0), len(counts)


rooms = collections.defaultdict(lambda: [0, 0, 0, 0])
for path in lines:
    room = rooms[path.split("/")[1]]
    for at, (ran, all_of) in enumerate((share(lines[path].values()), share(branches[path].values()))):
        room[2 * at] += ran
        room[2 * at + 1] += all_of
print(f"{'room':12} {'lines':>8} {'branches':>9}")
for name, (l, ls, b, bs) in sorted(rooms.items()):
    print(f"{name:12} {100 * l / max(ls, 1):7.1f}% {100 * b / max(bs, 1):8.1f}%")
total = [sum(room[i] for room in rooms.values()) for i in range(4)]
print(f"{'all':12} {100 * total[0] / max(total[1], 1):7.1f}% {100 * total[2] / max(total[3], 1):8.1f}%"
      f"   ({total[1]} lines, {total[3]} branches)")
worst = sorted(lines, key=lambda path: sum(1 for count in lines[path].values() if count == 0), reverse=True)[:12]
print("most lines not run: " + ", ".join(f"{path} {sum(1 for c in lines[path].values() if c == 0)}" for path in worst))
