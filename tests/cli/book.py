# SPDX-License-Identifier: GPL-3.0-or-later
"""The book by the real program: a job from its first reading to a signed proof, its wire off the spool, a second machine
that starts from the first; and what must not go wrong. Speaks TAP. Usage: book.py PROGRAM SOURCE_ROOT"""
import io
import json
import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
import threading
import zipfile

PROGRAM, ROOT = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
METER = os.path.join(ROOT, "tests", "cli", "meter.py")
BRAKE = os.path.join(ROOT, "examples", "press-brake.yaml")
CHUCK = os.path.join(ROOT, "examples", "chuck-plate.yaml")
TESTS = []

# An invented job before the first resistance is read: the sibling's is to come from the meter.
JOB = """coilwright: 1
units: metric
job: {name: left brake, machine: turret lathe}   # the one by the door
supply: {kind: dc, voltage: 24 V, ambient: 20 °C}
window: {shape: round, inner: 42 mm, length: 58 mm, depth: 13 mm}
readings:
  - {kind: bare-diameter, value: 0.286 mm}
  - {kind: overall-diameter, value: 0.331 mm}
  - {kind: turns, value: 1850}
wanted: {resistance: same ± 5 %, ampere_turns: same, thermal_class: 155}
"""
PROOF = """  - {test: turns, value: TURNS}
  - {test: earth-bond, value: 0.05 ohm, current: 10 A}
  - {test: insulation-resistance, value: 900 Mohm, at: 21 °C, voltage: 250 V}
  - {test: turn-insulation, value: 18}
  - {test: high-potential, value: 440 V, time: 60 s}
  - {test: heat-run, value: 95.3 ohm, voltage: 24 V, time: -20 min, ambient: 20 °C}
  - {test: heat-run, value: 95.4 ohm, voltage: 24 V, time: 0 s, ambient: 20 °C}
"""


def test(function):
    TESTS.append(function)
    return function


class Shop:
    """A folder with a book in it."""

    def __enter__(self):
        self.folder = tempfile.TemporaryDirectory()
        self.book = self.path("shop.book")
        return self

    def __exit__(self, *trouble):
        self.folder.cleanup()

    def path(self, name):
        return os.path.join(self.folder.name, name)

    def write(self, name, text):
        with open(self.path(name), "w", encoding="utf-8") as out:
            out.write(text)
        return self.path(name)

    def call(self, *words, book=True, limit=None, memory=None, environment=None):
        def lower():
            if limit is not None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            if memory is not None:
                resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
        if book:
            words += ("--book", self.book)
        done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=120, cwd=self.folder.name,
                              preexec_fn=lower, env=environment)
        return done.returncode, done.stdout, done.stderr

    def do(self, *words, **more):
        """A call that must succeed; its text."""
        status, out, err = self.call(*words, **more)
        assert status == 0, (words, status, out[-300:], err)
        return out

    def ask(self, *words):
        """A call that must succeed; its document."""
        return json.loads(self.do(*words, "--json"))

    def enter(self, path, *words):
        """Into the book, the job file alone: quicker where the results are not looked at."""
        return self.do("book", "enter", path, "--without-results", *words)

    def refused(self, status, *words, said, **more):
        got, out, err = self.call(*words, **more)
        assert got == status, (words, got, out, err)
        assert said in out + err, (words, out, err)
        if status >= 2:
            assert out == "", out


# ---- the whole way ----

@test
def a_job_goes_from_reading_to_signed_proof_and_a_second_machine_starts_from_it():
    meter = subprocess.Popen([sys.executable, METER, "good"], stdout=subprocess.PIPE, text=True)
    address = meter.stdout.readline().strip()
    try:
        with Shop() as shop:
            job = shop.write("left.yaml", JOB)
            # the sibling is read, and the job enters the book
            shop.do("read", job, "--from", address, "--of", "sibling", "--thermometer", address, "--range", "200 ohm", book=False)
            assert shop.ask("book", "enter", job) == {"job": 1, "version": 1}
            assert shop.ask("book", "result", "1", "choose")["chosen"]
            spool = shop.ask("book", "spool", "29 AWG", "--build", "heavy", "--mass", "1 lb", "--price", "21.00", "--class", "180")
            before = shop.ask("book", "shelf")["spools"][0]["left_m"]
            # wound, its wire off the spool by what the winding takes
            laid = shop.ask("book", "result", "1", "lay")
            left = shop.ask("book", "off", str(spool["spool"]), "--job", "1")["left_m"]
            assert abs(before - left - laid["wire_length_m"]) < 1e-6 * before
            shop.do("book", "mark", "1", "wound")
            # proved: the meter reads the new coil, the other tests are typed in
            shop.do("read", job, "--from", address, "--test", "winding-resistance", "--at", "23 °C", book=False)
            shop.refused(1, "book", "sign", "1", "--by", "A. Fitter", said="still open")
            open(job, "a", encoding="utf-8").write(PROOF.replace("TURNS", str(laid["turns"])))
            assert shop.ask("book", "enter", job, "--job", "1:1") == {"job": 1, "version": 2}
            signed = shop.ask("book", "sign", "1", "--by", "A. Fitter")
            assert signed == {"job": 1, "version": 2, "verdict": "pass", "who": "A. Fitter"}
            shop.do("book", "cost", "1", "instead", "380.00")
            shop.do("book", "hours", "1", "2.5", "--who", "A. Fitter")
            kept = shop.ask("book", "show", "1")
            assert kept["state"] == "proved" and kept["signatures"][0]["sound"] and kept["signatures"][0]["version"] == 2
            assert shop.ask("book", "result", "1", "prove")["verdict"] == "pass"
            assert kept["yaml"] == open(job, encoding="utf-8").read()
            assert abs(kept["wire_used"][0]["length_m"] - laid["wire_length_m"]) < 1e-6 * before
            assert kept["spent"] > 1 and kept["instead"] == 380 and kept["hours_total"] == 2.5
            # the next of its kind is found by what the meter shows, and starts from this one
            hits = shop.ask("book", "find", "--resistance", "84 ohm at 24 °C", "--inner", "42 mm")["jobs"]
            assert [hit["job"] for hit in hits] == [1]
            out = shop.do("book", "again", "1", "--machine", "turret lathe 2", "--name", "right brake", "-o", "right.yaml")
            assert "- job: {name: left brake, machine: turret lathe}" in out and "turret lathe 2" in out, out
            second = open(shop.path("right.yaml"), encoding="utf-8").read()
            assert "# the one by the door" in second and "proof:" not in second and "name: right brake" in second
            assert shop.call("check", "right.yaml", book=False)[0] == 0
            comparison = shop.ask("book", "compare", "2")
            assert "turret lathe 2" in comparison["differences"]
            turns = [row for row in comparison["figures"] if row["what"] == "turns"][0]
            assert turns["same"] and turns["after"] == str(laid["turns"])
            assert {"what": "proof", "before": "pass", "after": "open", "same": False} in comparison["figures"]
            assert shop.ask("book", "show", "2")["based_on"] == 1
            shop.do("book", "check")
    finally:
        meter.kill()
        meter.wait()


# ---- jobs ----

@test
def every_version_is_kept_and_nobody_overwrites_another():
    with Shop() as shop:
        job = shop.write("a.yaml", JOB)
        assert shop.ask("book", "enter", job) == {"job": 1, "version": 1}
        shop.refused(2, "book", "enter", job, said="--job 1")
        assert shop.ask("book", "enter", job, "--job", "1") == {"job": 1, "version": 1}  # nothing has changed
        shop.write("a.yaml", JOB + "# two\n")
        assert shop.ask("book", "enter", job, "--job", "1:1")["version"] == 2
        shop.write("a.yaml", JOB + "# three\n")
        shop.refused(2, "book", "enter", job, "--job", "1:1", said="somebody else")
        assert shop.do("book", "take", "1:1") == JOB
        assert shop.do("book", "take", "1") == JOB + "# two\n"
        shop.do("book", "take", "1", "-o", "out.yaml")
        shop.refused(2, "book", "take", "1", "-o", "out.yaml", said="there already")
        assert "# two" in shop.do("book", "compare", "1:2", "1:1")
        results = shop.ask("book", "show", "1")["results"]
        assert len({(r["version"], r["verb"]) for r in results}) == len(results)
        assert {"identify", "choose", "lay", "heat", "prove"} <= {r["verb"] for r in results if r["version"] == 1}


@test
def a_job_that_is_wrong_or_not_there_is_refused():
    with Shop() as shop:
        shop.refused(2, "book", "list", said="no such book")
        shop.refused(2, "book", "enter", shop.write("bad.yaml", JOB.replace("42 mm", "42")), said="bad.yaml:5:")
        shop.refused(2, "book", "enter", shop.write("b.yaml", JOB.replace(", machine: turret lathe", "")), said="machine")
        shop.enter("b.yaml", "--machine", "mill")
        for words in (("show", "7"), ("take", "7"), ("take", "1:9"), ("cost", "7", "wire", "3"), ("note", "7", "x"),
                      ("result", "1", "nothing"), ("compare", "1"), ("again", "7", "--name", "x"), ("sign", "7", "--by", "x")):
            shop.refused(2, "book", *words, said="")
        for words, said in ((("show", "one"), "1, 2, 3"), (("cost", "1", "beer", "3"), "instead"), (("mark", "1", "done"), "state"),
                            (("mark", "1", "proved"), "signature"), (("hours", "1", "long"), "hours"), (("sign", "1"), "--by"),
                            (("enter", "b.yaml", "--date", "2031-02-30"), "--date"), (("again", "1"), "--machine"),
                            (("find", "--resistance", "84"), "unit"), (("find", "--resistance", "9 ohm to 8 ohm"), "smaller"),
                            (("lsit",), "list"), ((), "enter"), (("list", "--units", "feet"), "inch")):
            shop.refused(2, "book", *words, said=said, book=bool(words))


@test
def jobs_are_found_by_machine_wire_window_and_resistance():
    with Shop() as shop:
        shop.enter(shop.write("a.yaml", JOB.replace("readings:\n", "readings:\n  - {kind: coil-resistance, of: sibling, "
                                                                                  "value: 84.2 ohm, at: 20 °C}\n")))
        shop.enter(CHUCK)
        shop.enter(BRAKE, "--coil", "left")
        found = {("--resistance", "84 ohm", "--inner", "42 mm"): [1], ("--wire", "0.4 mm"): [2], ("--wire", "28awg"): [3],
                 ("--machine", "LATHE"): [1], ("chuck",): [2], ("left",): [3, 1], ("--resistance", "84 ohm ± 0.1 %"): [],
                 ("--resistance", "100 ohm to 200 ohm"): [3, 2], ("--like", "a.yaml"): [1], ("--turns", "1850"): [1],
                 ("--length", "1.25 in"): [3], ("--state", "wound"): [], ("--machine", "%"): []}
        for words, jobs in found.items():
            status, out, err = shop.call("book", "find", *words, "--json")
            assert [hit["job"] for hit in json.loads(out)["jobs"]] == jobs, (words, out, err)
            assert status == (0 if jobs else 1), words
        assert len(shop.ask("book", "list", "--most", "2")["jobs"]) == 2
        assert shop.ask("book", "list", "--most", "2")["more"]
        assert "3.000 in" in shop.do("book", "list", "--units", "inch")


@test
def the_books_own_folder_is_the_users_folder_for_data():
    with Shop() as shop:
        environment = {**os.environ, "XDG_DATA_HOME": shop.path("data")}
        shop.do("book", "enter", BRAKE, book=False, environment=environment)
        assert os.path.exists(shop.path("data/coilwright/shop.book"))
        assert "left brake coil" in shop.do("book", "list", book=False, environment=environment)


@test
def books_of_every_earlier_layout_are_read():
    for layout in range(1, 5):
        with Shop() as shop:
            database = sqlite3.connect(shop.book)
            with open(os.path.join(ROOT, "tests", "book", f"layout_{layout}.sql"), encoding="utf-8") as dump:
                database.executescript(dump.read())
            database.close()
            assert [hit["job"] for hit in shop.ask("book", "find", "--resistance", "84.2 ohm")["jobs"]] == [1], layout
            shop.do("book", "check")


@test
def photos_notes_and_money_stand_with_the_job():
    with Shop() as shop:
        shop.enter(BRAKE)
        with open(shop.path("a.png"), "wb") as out:
            out.write(b"\x89PNG\r\n\x1a\n" + b"x" * 50)
        shop.do("book", "photo", "1", "a.png", "--caption", "burnt at the start")
        shop.refused(2, "book", "photo", "1", BRAKE, said="no picture")
        assert "burnt at the start" in shop.do("book", "show", "1")
        shop.do("book", "reading", "1", "coil-resistance", "84.2 ohm ± 0.2 ohm", "--at", "75.2 °F", "--note", "sibling")
        shop.do("book", "reading", "1", "turns", "1850")
        shop.refused(2, "book", "reading", "1", "turns", "many", said="unit")
        readings = shop.ask("book", "show", "1")["readings"]
        assert (readings[0]["value"], readings[0]["doubt"], readings[0]["unit"], readings[0]["source"]) == (84.2, 0.2, "ohm", "typed")
        assert abs(readings[0]["at_c"] - 24) < 1e-9 and (readings[1]["value"], readings[1]["unit"]) == (1850, "1")
        shop.do("book", "note", "1", "found open")
        shop.do("book", "cost", "1", "other", "12.50", "--note", "varnish", "--date", "2031-05-17")
        kept = shop.ask("book", "show", "1")
        assert kept["photos"][0]["caption"] == "burnt at the start" and kept["note"] == "found open"
        assert kept["costs"] == [{"kind": "other", "amount": 12.5, "note": "varnish", "time_s": 1936785600}]  # date -u -d "2031-05-17 12:00" +%s


# ---- wire ----

@test
def a_spool_gives_what_is_on_it_and_no_more():
    with Shop() as shop:
        shop.do("book", "spool", "0.4 mm", "--build", "grade 2", "--length", "500 m")
        assert abs(shop.ask("book", "off", "1", "--length", "120 m")["left_m"] - 380) < 1e-9
        shop.refused(2, "book", "off", "1", "--length", "381 m", said="380 m left")
        shop.refused(2, "book", "off", "1", said="--mass or --length")
        shop.refused(2, "book", "off", "2", "--length", "1 m", said="no spool 2")
        weighed = shop.ask("book", "weigh", "1", "400 g")
        assert abs(weighed["left_kg"] - 0.4) < 1e-9
        stock = shop.do("book", "shelf", "--as-stock")
        assert shop.call("check", shop.write("s.yaml", JOB + stock), book=False)[0] == 0, stock
        shop.refused(2, "book", "spool", "29 AWG", "--mass", "1 lb", said="--build")


# ---- out, in, and what goes wrong ----

@test
def an_export_comes_back_to_the_byte_and_a_backup_is_a_book():
    with Shop() as shop, Shop() as other:
        shop.do("book", "enter", BRAKE)
        shop.enter(CHUCK)
        shop.do("book", "export", "-o", "all.zip")
        shop.refused(2, "book", "export", "-o", "all.zip", said="there already")
        assert other.ask("book", "import", shop.path("all.zip")) == {"jobs": 2, "known": 0, "spools": 0, "photos": 0}
        assert other.ask("book", "import", shop.path("all.zip"))["known"] == 2
        other.do("book", "export", "-o", "all.zip")
        assert open(shop.path("all.zip"), "rb").read() == open(other.path("all.zip"), "rb").read()
        shop.do("book", "export", "2", "-o", "one.zip")
        names = zipfile.ZipFile(shop.path("one.zip")).namelist()
        assert sum(name.endswith("record.yaml") for name in names) == 1 and not any("shelf" in name for name in names)
        shop.do("book", "backup", "copy.book")
        shop.book = shop.path("copy.book")
        assert len(shop.ask("book", "list")["jobs"]) == 2
        shop.do("book", "check")


def hostile_zips():
    """Zips that a book never wrote, each with a word that the refusal must hold."""
    uid = "00112233445566778899aabbccddeeff"
    manifest = ("coilwright-book.yaml", b"coilwright_book: 1\n")
    record = f"jobs/{uid}/record.yaml"

    def pack(*entries):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
            for name, content in entries:
                made.writestr(name, content)
        return out.getvalue()

    yield "a bomb", "large", pack(manifest, (record, b"\0" * (1 << 29)))
    yield "a bomb of a manifest", "large", pack(("coilwright-book.yaml", b"\n" * (1 << 28)))
    yield "a bomb within the size of a text", "packed", pack(manifest, (record, b"machine: \"A\"\n" + b"#" * (15 << 20)))
    yield "a path upwards", None, pack(manifest, ("../../evil.yaml", b"x"), ("/etc/evil", b"x"), ("jobs/../../record.yaml", b"x"))
    yield "no zip", "cannot be read", b"PK\x03\x04" + b"x" * 100
    whole = pack(manifest, (record, b'machine: "A"\nversions:\n- {"number": 1}\n'), (f"jobs/{uid}/versions/1.yaml", b"a"))
    yield "cut off", "cannot be read", whole[:-30]
    lies = bytearray(whole)
    at = whole.rfind(b"PK\x01\x02")
    lies[at + 24:at + 28] = (5000).to_bytes(4, "little")  # the last file says that it is longer than it is
    yield "a length that lies", "inside is", bytes(lies)
    yield "an empty file", "cannot be read", b""


@test
def hostile_zips_do_no_harm():
    with Shop() as shop:
        shop.enter(BRAKE)
        before = shop.do("book", "list", "--json")
        # a sanitizer takes more address space than that for itself, and then goes without the limit
        memory = 400_000_000 if shop.call("--version", book=False, memory=400_000_000)[0] == 0 else None
        for name, word, content in hostile_zips():
            with open(shop.path("bad.zip"), "wb") as out:
                out.write(content)
            status, out, err = shop.call("book", "import", "bad.zip", memory=memory)
            if word is None:
                assert status == 0 and "0 jobs" in out, (name, out, err)
            else:
                assert status == 2 and word in err, (name, out, err)
            assert shop.do("book", "list", "--json") == before, name
        assert sorted(os.listdir(shop.folder.name)) == ["bad.zip", "shop.book"], os.listdir(shop.folder.name)
        assert not os.path.exists("/etc/evil") and not os.path.exists(shop.path("../evil.yaml"))
        shop.do("book", "check")


@test
def a_full_disk_and_a_read_only_one_lose_nothing():
    with Shop() as shop:
        shop.do("book", "enter", BRAKE)
        before = shop.do("book", "show", "1", "--json")
        size = os.path.getsize(shop.book)
        shop.refused(3, "book", "enter", CHUCK, limit=size // 2, said="")
        shop.refused(3, "book", "export", "-o", "e.zip", limit=4096, said="")
        shop.refused(3, "book", "backup", "b.book", limit=4096, said="")
        assert not [name for name in os.listdir(shop.folder.name) if name.startswith(("e.zip", "b.book"))]
        assert shop.do("book", "show", "1", "--json") == before
        shop.do("book", "check")
        shop.enter(CHUCK)


@test
def two_at_once_both_get_in():
    with Shop() as shop:
        files = [shop.write(f"{i}.yaml", JOB.replace("left brake", f"brake number {i}")) for i in range(6)]
        ends = []
        threads = [threading.Thread(target=lambda path=path: ends.append(shop.call("book", "enter", path, "--without-results")))
                   for path in files]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert [end[0] for end in ends] == [0] * 6, ends
        assert len(shop.ask("book", "list")["jobs"]) == 6
        shop.do("book", "check")


@test
def a_damaged_book_is_said_and_other_files_are_left_alone():
    with Shop() as shop:
        shop.enter(BRAKE)
        database = sqlite3.connect(shop.book)
        database.execute("PRAGMA foreign_keys = OFF")
        database.execute("INSERT INTO photo VALUES (1, 77, 'x', 'jpg', 1, NULL, 1)")
        database.commit()
        database.close()
        status, _, err = shop.call("book", "check")
        assert status == 3 and err.strip(), (status, err)
        shop.book = shop.write("letter.txt", "dear sir")
        shop.refused(2, "book", "enter", BRAKE, said="no book")
        assert open(shop.book).read() == "dear sir"


print(f"1..{len(TESTS)}")
failed = 0
for number, function in enumerate(TESTS, 1):
    try:
        function()
        print(f"ok {number} - {function.__name__}")
    except Exception as problem:  # noqa: BLE001: a test that breaks in any way has failed
        failed += 1
        print(f"not ok {number} - {function.__name__}")
        print("# " + f"{type(problem).__name__}: {problem}".replace("\n", "\n# ")[:1500])
    sys.stdout.flush()
sys.exit(1 if failed else 0)
