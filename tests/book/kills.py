# SPDX-License-Identifier: GPL-3.0-or-later
"""Nothing acknowledged is ever lost: writers are killed (SIGKILL) at random moments, alone and in pairs, and a disk is
filled under one. After each kill the book must pass SQLite's own integrity check, and every line that a writer had
acknowledged must be in it. What is looked at is read by Python's sqlite3, not by the program.

Speaks TAP. Usage: kills.py WRITER; CW_KILLS=1000 for the long form (40 otherwise), CW_SEED for another course."""
import hashlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time

WRITER = os.path.abspath(sys.argv[1])
KILLS = int(os.environ.get("CW_KILLS", "40"))
SEED = int(os.environ.get("CW_SEED", "8"))


class Acknowledged:
    """What writers were told is saved."""

    def __init__(self):
        self.lines = []

    def take(self, name, output):
        whole = output[:output.rfind(b"\n") + 1]
        for line in whole.decode().splitlines():
            what, job, number = line.split()
            self.lines.append((name, what, int(job), int(number)))


def time_to_first(book, folder, acknowledged):
    """Seconds until a writer has something acknowledged: a slow machine is given more time before the kills."""
    begin = time.monotonic()
    writer = subprocess.Popen([WRITER, book, "1", "first"], stdout=subprocess.PIPE, cwd=folder)
    line = writer.stdout.readline()
    taken = time.monotonic() - begin
    writer.kill()
    acknowledged.take("first", line + writer.communicate(timeout=30)[0])
    return taken


def run_and_kill(book, folder, jobs, seconds, acknowledged):
    """Starts a writer for each of (seed, name), kills them all at one moment, and notes what they had acknowledged."""
    writers = [(name, subprocess.Popen([WRITER, book, str(seed), name], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                       cwd=folder)) for seed, name in jobs]
    time.sleep(seconds)
    for _, writer in writers:
        writer.send_signal(signal.SIGKILL)
    for name, writer in writers:
        output, errors = writer.communicate(timeout=30)
        assert writer.returncode == -signal.SIGKILL, f"the writer ended by itself: {errors.decode()}"
        acknowledged.take(name, output)


def missing(book, acknowledged):
    """The acknowledged lines that are not in the book."""
    database = sqlite3.connect(book)
    assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)], "the integrity check fails"
    assert database.execute("PRAGMA foreign_key_check").fetchall() == [], "a row belongs to nothing"
    if not database.execute("SELECT 1 FROM sqlite_schema WHERE name = 'version'").fetchall():
        return acknowledged.lines  # killed before there were tables: nothing can have been acknowledged
    jobs = {row[0]: row[1] for row in database.execute("SELECT job, length(yaml) FROM version WHERE number = 1")}
    versions = set(database.execute("SELECT job, number FROM version"))
    readings = set(database.execute("SELECT job, source, CAST(value AS INTEGER) FROM reading"))
    uses = set(database.execute("SELECT job, note FROM stock_use"))
    signatures = set(database.execute("SELECT s.job, s.who, s.note FROM signature s JOIN result r ON r.id = s.result"))
    photos = {}
    for job, sha256, kind, length in database.execute("SELECT job, sha256, type, bytes FROM photo"):
        photos.setdefault(job, set()).add(length)
        content = open(f"{book}.photos/{sha256}.{kind}", "rb").read()
        assert hashlib.sha256(content).hexdigest() == sha256 and len(content) == length, "a photo is damaged"
    database.close()
    there = {"job": lambda n, j, k: jobs.get(j) == k, "version": lambda n, j, k: (j, k) in versions,
             "reading": lambda n, j, k: (j, n, k) in readings, "use": lambda n, j, k: (j, str(k)) in uses,
             "signature": lambda n, j, k: (j, n, str(k)) in signatures,
             "photo": lambda n, j, k: k in photos.get(j, ())}
    return [line for line in acknowledged.lines if not there[line[1]](line[0], line[2], line[3])]


def judge(book, acknowledged):
    lost = missing(book, acknowledged)
    assert not lost, f"{len(lost)} acknowledged writes are lost, the first is {lost[0]}"
    done = subprocess.run([WRITER, "--check", book], capture_output=True, timeout=120)
    assert done.returncode == 0, done.stderr.decode()


def killed_writers_lose_nothing(folder):
    chance, acknowledged = random.Random(SEED), Acknowledged()
    most = 0.25 + 2 * time_to_first(os.path.join(folder, "slow.book"), folder, Acknowledged())
    book = os.path.join(folder, "shop.book")
    for kill in range(KILLS):
        names = [f"w{kill}"] if kill % 3 else [f"w{kill}a", f"w{kill}b"]
        run_and_kill(book, folder, [(kill * 2 + at, name) for at, name in enumerate(names)],
                     chance.random() ** 2 * most, acknowledged)
        if kill < 10 or kill % 10 == 9:
            if os.path.exists(book):
                judge(book, acknowledged)
    judge(book, acknowledged)
    assert len(acknowledged.lines) > KILLS, f"only {len(acknowledged.lines)} writes were acknowledged"
    return f"{KILLS} kills, {len(acknowledged.lines)} acknowledged writes, none lost"


def full_disk_loses_nothing(folder):
    """A disk of 600 kB of its own, in a name space of its own. Skipped where that is not allowed."""
    disk = os.path.join(folder, "disk")
    os.mkdir(disk)
    script = (f'mount -t tmpfs -o size=600k tmpfs "{disk}" || exit 99; cd "{disk}"; '
              f'"{WRITER}" shop.book 7 w >"{folder}/ack" '
              f'2>"{folder}/error"; cp -r shop.book* "{folder}/"')
    done = subprocess.run(["unshare", "-m", "sh", "-c", script], capture_output=True, timeout=120)
    if done.returncode == 99 or b"unshare" in done.stderr:
        return None
    acknowledged = Acknowledged()
    acknowledged.take("w", open(os.path.join(folder, "ack"), "rb").read())
    said = open(os.path.join(folder, "error"), encoding="utf-8").read()
    assert "full" in said or "No space" in said, f"what is said is: {said}"
    judge(os.path.join(folder, "shop.book"), acknowledged)
    assert len(acknowledged.lines) > 5, "nothing was written before the disk was full"
    return f"{len(acknowledged.lines)} acknowledged writes, none lost"


def main():
    tests = [killed_writers_lose_nothing, full_disk_loses_nothing]
    print(f"1..{len(tests)}")
    failed = False
    for number, test in enumerate(tests, 1):
        folder = tempfile.mkdtemp(prefix="kills-", dir=os.getcwd())
        name = test.__name__.replace("_", " ")
        try:
            said = test(folder)
            print(f"ok {number} - {name}" + (" # SKIP no disk of its own here" if said is None else ""))
            print(f"# {said}")
            shutil.rmtree(folder)
        except Exception as trouble:  # the folder stays, to be looked at
            failed = True
            print(f"not ok {number} - {name}\n# {trouble!r}\n# see {folder}")
        sys.stdout.flush()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
