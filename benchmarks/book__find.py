# SPDX-License-Identifier: GPL-3.0-or-later
"""Finding in a book of 100,000 jobs and 1,000,000 readings. Makes the book (by SQL, in the layout that the program gives an
empty one; through the program it would be a million transactions), then times the program's own calls on it.

Writes a table to TARGET, or to standard output. Usage: benchmarks/book__find.py BUILD_DIRECTORY [JOBS [TARGET]]"""
import datetime
import os
import random
import sqlite3
import subprocess
import sys
import tempfile

build, jobs = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 100000
chance = random.Random(4)
with tempfile.TemporaryDirectory() as folder:
    book = os.path.join(folder, "large.book")
    subprocess.run([os.path.join(build, "tests", "book_writer"), "--check", book], check=True)
    database = sqlite3.connect(book)
    machines = jobs // 4
    database.executemany("INSERT INTO machine VALUES (?, ?, NULL)", ((i, f"Press brake {i}") for i in range(1, machines + 1)))
    database.executemany("INSERT INTO coil VALUES (?, ?, ?)", ((i, 1 + i % machines, f"coil {i}") for i in range(1, jobs + 1)))
    database.executemany("INSERT INTO job VALUES (?, ?, ?, ?, ?, 0, ?, ?, NULL)",
                         ((i, f"{i:032x}", i, f"Job {i}", "found open, varnish burnt, core rusty", 10**9 + i,
                           10**9 + chance.randrange(10**8)) for i in range(1, jobs + 1)))
    database.executemany("INSERT INTO version VALUES (?, 1, ?, ?)",
                         ((i, "coilwright: 1\n" + "# a line of a job file\n" * 60, 10**9) for i in range(1, jobs + 1)))
    wires = [f"{n} AWG" for n in range(20, 40)]
    database.executemany("INSERT INTO job_key VALUES (?, ?, 'heavy', 'round', ?, ?, ?, 0.013, ?, ?)",
                         ((i, chance.choice(wires), round(chance.uniform(0.01, 0.1), 4), None, round(chance.uniform(0.02, 0.12), 4),
                           chance.lognormvariate(4.5, 1.2), chance.randrange(200, 9000)) for i in range(1, jobs + 1)))
    database.executemany("INSERT INTO reading (job, kind, value, at_c, unit, source, taken_s) VALUES (?, 'coil-resistance', ?, 21, 'ohm',"
                         " 'typed', 1000000000)", ((1 + i % jobs, chance.uniform(1, 500)) for i in range(10 * jobs)))
    database.execute("INSERT INTO job_text (rowid, words) SELECT j.id, j.name || char(10) || c.name || char(10) || j.note"
                     " FROM job j JOIN coil c ON c.id = j.coil")
    database.commit()
    database.close()
    table = subprocess.run([os.path.join(build, "benchmarks", "bench_book_find"), book, str(jobs)], check=True,
                           capture_output=True, text=True).stdout
    text = f"{jobs:,} jobs, {10 * jobs:,} readings, {os.path.getsize(book) / 1e6:.0f} MB, SQLite {sqlite3.sqlite_version}.\n\n{table}"
    if len(sys.argv) > 3:
        with open(sys.argv[3], "w", encoding="utf-8") as target:
            target.write("# The book, measured\n\nWritten by `./bench`: calls of the library on one open book, 200 of each; wanted are "
                         f"find below 50 ms, open below 20 ms.\n{datetime.date.today()}, {os.cpu_count()} processors that were also "
                         f"doing other work.\n\n{text}")
    print(text)
