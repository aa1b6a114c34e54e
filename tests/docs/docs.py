# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs every command that README.md and docs/ show, and holds what they print against what is shown there.

A block fenced as ```console holds "$ command" lines, each followed by its output; "..." on a line of its own stands for
lines left out. "coilwright" is the program just built. With --update the shown output is replaced by the real one.
Speaks TAP. Usage: docs.py PROGRAM SOURCE_ROOT [--update]"""
import glob
import os
import re
import subprocess
import sys
import tempfile

PROGRAM, ROOT = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
UPDATE = "--update" in sys.argv
FENCE = re.compile(r"```console\n(.*?)```", re.S)


def run(command, folder):
    environment = dict(os.environ, PATH=folder + os.pathsep + os.environ["PATH"])
    done = subprocess.run(["sh", "-c", command], cwd=folder, env=environment, capture_output=True, timeout=60)
    return (done.stdout + done.stderr).decode("utf-8", "replace").rstrip("\n")


def matches(shown, real):
    """Whether the shown lines are the real ones, "..." standing for any number of them."""
    pattern = "\n".join(r"(?:.*\n?)*?" if line == "..." else re.escape(line) for line in shown.split("\n"))
    return re.fullmatch(pattern.replace(r"(?:.*\n?)*?" + "\n", r"(?:.*\n)*?"), real + "\n" if shown.endswith("...") else real) is not None


def commands(block):
    """Pairs of command and shown output."""
    parts = re.split(r"^\$ (.*)\n?", block, flags=re.M)
    return [(parts[i], parts[i + 1].rstrip("\n")) for i in range(1, len(parts) - 1, 2)]


def check(path, folder):
    text = open(path, encoding="utf-8").read()
    wrong = []

    def one(match):
        out = ""
        for command, shown in commands(match.group(1)):
            real = run(command, folder)
            if not matches(shown, real):
                wrong.append(f"{command}\n--- shown\n{shown}\n--- real\n{real}")
            out += f"$ {command}\n" + ((shown if "..." in shown.split("\n") else real) + "\n" if real or shown else "")
        return "```console\n" + out + "```"

    updated = FENCE.sub(one, text)
    if UPDATE and updated != text:
        open(path, "w", encoding="utf-8").write(updated)
    return wrong


paths = [os.path.join(ROOT, name) for name in ("README.md", "CONTRIBUTING.md")] + sorted(
    glob.glob(os.path.join(ROOT, "docs", "**", "*.md"), recursive=True))
paths = [path for path in paths if FENCE.search(open(path, encoding="utf-8").read())]
print(f"1..{len(paths)}")
failed = 0
for number, path in enumerate(paths, 1):
    with tempfile.TemporaryDirectory() as folder:
        os.symlink(PROGRAM, os.path.join(folder, "coilwright"))
        os.symlink(os.path.join(ROOT, "examples"), os.path.join(folder, "examples"))
        os.symlink(os.path.join(ROOT, "docs", "howto", "jobs"), os.path.join(folder, "jobs"))
        wrong = check(path, folder)
    name = os.path.relpath(path, ROOT)
    print(("not ok" if wrong else "ok") + f" {number} - {name} shows what the program prints")
    for text in wrong:
        failed += 1
        print("# " + text.replace("\n", "\n# "))
sys.exit(1 if failed else 0)
