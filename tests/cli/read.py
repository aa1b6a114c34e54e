# SPDX-License-Identifier: GPL-3.0-or-later
"""Readings from a meter into a job file and the book, with a meter that answers well, slowly, in pieces, wrongly, and not
at all. Speaks TAP. Usage: read.py PROGRAM SOURCE_ROOT"""
import contextlib
import json
import os
import re
import resource
import subprocess
import sys
import tempfile
import time

PROGRAM, ROOT = os.path.abspath(sys.argv[1]), sys.argv[2]
METER = os.path.join(ROOT, "tests", "cli", "meter.py")
JOB = """coilwright: 1
# mine
job: {name: a,   machine: press}
readings:
  - {kind: turns, value: 1850}   # counted twice

# the wire
stock: []
"""
TESTS = []


def test(function):
    TESTS.append(function)
    return function


@contextlib.contextmanager
def meter(manner, kind="tcp"):
    process = subprocess.Popen([sys.executable, METER, manner, kind], stdout=subprocess.PIPE, text=True)
    try:
        yield process.stdout.readline().strip()
    finally:
        process.kill()
        process.wait()


@contextlib.contextmanager
def folder_with_job(text=JOB):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "job.yaml")
        open(path, "w", encoding="utf-8").write(text)
        yield path


def call(*words):
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=60)
    return done.returncode, done.stdout, done.stderr


def content(path):
    return open(path, encoding="utf-8").read()


def refused(manner, expected, *words, kind="tcp", within="3 s"):
    """The reading is refused with these words, and the job file is untouched."""
    with meter(manner, kind) as address, folder_with_job() as path:
        begin = time.monotonic()
        status, out, err = call("read", path, "--from", address, "--at", "21 °C", "--within", within)
        assert status == expected, (status, err)
        assert out == "", out
        for word in words:
            assert word in err, f"{word!r} is not in {err!r}"
        assert content(path) == JOB
        assert os.listdir(os.path.dirname(path)) == ["job.yaml"]
        return time.monotonic() - begin


@test
def a_reading_goes_behind_the_others_and_nothing_else_is_touched():
    with meter("good") as address, folder_with_job() as path:
        status, out, err = call("read", path, "--from", address, "--of", "sibling", "--at", "72 °F", "--range", "200 ohm")
        assert status == 0, err
        assert "84.2031 ohm" in out and "ACME M7" in out, out
        before, after = JOB.splitlines(), content(path).splitlines()
        assert after[:5] == before[:5] and after[6:] == before[5:]
        assert re.fullmatch(r"  - \{kind: coil-resistance, of: sibling, value: 84.2031 ohm, at: 72 °F\}  "
                            r"# read \d{4}-\d\d-\d\d \d\d:\d\d:\d\dZ by ACME M7, four-wire", after[5]), after[5]
        assert call("check", path)[0] == 0


@test
def undo_takes_the_last_reading_out_to_the_byte():
    with meter("good") as address, folder_with_job() as path:
        assert call("read", path, "--from", address, "--at", "21 °C")[0] == 0
        once = content(path)
        time.sleep(1.1)  # the mark's time has whole seconds
        assert call("read", path, "--from", address, "--test", "winding-resistance", "--at", "21 °C")[0] == 0
        status, out, _ = call("read", path, "--undo")
        assert status == 0 and "winding-resistance" in out, out
        assert content(path) == once
        assert call("read", path, "--undo")[0] == 0
        assert content(path) == JOB
        status, _, err = call("read", path, "--undo")
        assert status == 2 and "nothing to take back" in err
        assert content(path) == JOB


@test
def what_the_user_wrote_meanwhile_stays():
    with meter("good") as address, folder_with_job() as path:
        assert call("read", path, "--from", address, "--at", "21 °C")[0] == 0
        open(path, "a", encoding="utf-8").write("# later\n")
        assert call("read", path, "--undo")[0] == 0
        assert content(path) == JOB + "# later\n"


@test
def a_test_of_the_new_coil_goes_into_the_proof():
    with meter("good") as address, folder_with_job() as path:
        status, _, err = call("read", path, "--from", address, "--test", "winding-resistance", "--thermometer", address,
                              "--two-wire", "--doubt", "0.1 %")
        assert status == 0, err
        assert "proof:\n  - {test: winding-resistance, value: 84.2031 ohm ± 0.1 %, at: 24.1 °C}  # read " in content(path)
        document = json.loads(call("prove", path, "--json")[1])
        test = [t for t in document["tests"] if t["test"] == "winding-resistance"][0]
        assert test["reading"] == 84.2031


@test
def without_a_job_the_reading_is_told():
    with meter("good") as address:
        status, out, _ = call("read", "--from", address, "--at", "unknown", "--json")
        document = json.loads(out)
        assert status == 0 and document["value"] == 84.2031 and document["unit"] == "ohm" and document["at_c"] is None
        assert document["instrument"]["model"] == "M7" and document["question"] == "MEAS:FRES?"


@test
def the_temperature_must_be_told_or_be_said_to_be_unknown():
    with meter("good") as address, folder_with_job() as path:
        status, _, err = call("read", path, "--from", address)
        assert status == 2 and "temperature" in err
        assert content(path) == JOB
        assert call("read", path, "--from", address, "--at", "unknown")[0] == 0
        assert "at:" not in content(path)


@test
def a_coil_that_settles_is_waited_for():
    with meter("settles") as address, folder_with_job() as path:
        status, out, err = call("read", path, "--from", address, "--at", "21 °C", "--json")
        assert status == 0, err
        assert abs(json.loads(out)["value"] / 84.2 - 1) < 1e-3
        assert json.loads(out)["taken"] > 4


@test
def answers_in_pieces_and_late_ones_are_read():
    for manner in ("pieces", "slow"):
        with meter(manner) as address, folder_with_job() as path:
            status, _, err = call("read", path, "--from", address, "--at", "21 °C")
            assert status == 0, (manner, err)
            assert "84.2031 ohm" in content(path)


@test
def a_serial_line_is_read_too():
    with meter("pieces", "pty") as address, folder_with_job() as path:
        status, _, err = call("read", path, "--from", address, "--at", "21 °C")
        assert status == 0, err
        assert "84.2031 ohm" in content(path)


@test
def a_silent_meter_is_given_up_in_its_time():
    taken = refused("silent", 3, "answer")
    assert taken < 8, taken


@test
def wrong_answers_are_refused():
    refused("garbage", 3, "127.0.0.1")
    refused("over-range", 2, "over-range", "open")
    refused("negative", 2, "below zero")
    refused("jumps", 3, "not settled")
    refused("ignorant", 3, "Undefined header")
    refused("hangs-up", 3, "127.0.0.1")


@test
def nobody_at_the_address_is_said():
    with folder_with_job() as path:
        status, _, err = call("read", path, "--from", "tcp:127.0.0.1:1", "--at", "21 °C")
        assert status == 3 and "127.0.0.1" in err, (status, err)
        status, _, err = call("read", path, "--from", "gpib:7", "--at", "21 °C")
        assert status == 2 and "tcp:" in err, err
        assert content(path) == JOB


@test
def a_meter_of_an_odd_name_cannot_break_the_file():
    with meter("odd-name") as address, folder_with_job() as path:
        status, _, err = call("read", path, "--from", address, "--at", "21 °C")
        assert status == 0, err
        assert "# read" in content(path) and "ACME # {x: y} \"M7\"" in content(path)
        assert call("check", path)[0] == 0
        assert call("read", path, "--undo")[0] == 0
        assert content(path) == JOB


@test
def a_job_that_cannot_take_it_is_refused_before_anything_is_measured():
    with meter("good") as address, folder_with_job("{coilwright: 1}\n") as path:
        status, _, err = call("read", path, "--from", address, "--at", "21 °C")
        assert status == 2 and "by hand" in err
        assert content(path) == "{coilwright: 1}\n"
    with meter("good") as address, folder_with_job() as path:
        for words, said in ((("--as", "coil-resistence"), "coil-resistance"), (("--test", "windings"), "no test"),
                            (("--as", "sample-resistance"), "length"), (("--of", "cousin"), "sibling")):
            status, _, err = call("read", path, "--from", address, "--at", "21 °C", *words)
            assert status == 2 and said in err, err
        assert content(path) == JOB


@test
def a_cooling_winding_is_read_in_a_series():
    with meter("cools") as address, folder_with_job() as path:
        status, out, err = call("read", path, "--from", address, "--test", "heat-run", "--every", "1 s", "--for", "2 s",
                                "--time", "20 s", "--ambient", "24 °C", "--json")
        assert status == 0, err
        readings = json.loads(out)["readings"]
        assert [r["value"] for r in readings] == [99, 98, 97]
        assert all(abs(r["time_s"] - 20 - at) < 0.6 for at, r in enumerate(readings)), readings
        assert content(path).count("{test: heat-run, value: ") == 3 and "ambient: 24 °C, time: 20." in content(path)
        assert call("check", path)[0] == 0


@test
def two_at_once_both_get_in():
    with meter("good") as one, meter("good") as other, folder_with_job() as path:
        both = [subprocess.Popen([PROGRAM, "read", path, "--from", address, "--at", "21 °C", "--json"], stdout=subprocess.DEVNULL)
                for address in (one, other)]
        assert [process.wait(60) for process in both] == [0, 0]
        assert content(path).count("# read ") == 2
        for _ in range(2):
            assert call("read", path, "--undo")[0] == 0
        assert content(path) == JOB


@test
def a_full_disk_loses_neither_the_file_nor_the_reading():
    def lower():
        resource.setrlimit(resource.RLIMIT_FSIZE, (64, 64))
    with meter("good") as address, folder_with_job() as path:
        done = subprocess.run([PROGRAM, "read", path, "--from", address, "--at", "21 °C"], capture_output=True, text=True,
                              preexec_fn=lower, timeout=60)
        assert done.returncode == 3 and "84.2031 ohm" in done.stderr and done.stdout == "", done
        assert content(path) == JOB and os.listdir(os.path.dirname(path)) == ["job.yaml"]


@test
def a_captured_heat_run_goes_back_to_switch_off():
    """T = (R2/R1)(234.5 + T1) - 234.5 at the moment of switch-off: (1 + 0.00393 x 80)(254.5) - 234.5 = 100.01 °C, 80.0 K above the
    room. The readings begin 20 s after it, where 65.5 K are left."""
    text = JOB + ("supply: {kind: dc, voltage: 24 V, ambient: 20 °C}\nwanted: {thermal_class: 155}\n"
                  "proof:\n  - {test: winding-resistance, value: 84 ohm, at: 20 °C}\n")
    with meter("winding-cools") as address, folder_with_job(text) as path:
        status, _, err = call("read", path, "--from", address, "--test", "heat-run", "--every", "2 s", "--for", "8 s",
                              "--time", "20 s", "--ambient", "20 °C")
        assert status == 0, err
        heat = [t for t in json.loads(call("prove", path, "--json")[1])["tests"] if t["test"] == "heat-run"][0]
        assert abs(heat["corrected"] - 80.0) < 1.0, heat


@test
def the_book_takes_readings_with_their_meter():
    with meter("good") as address, folder_with_job() as path:
        book = os.path.join(os.path.dirname(path), "shop.book")
        assert call("book", "enter", path, "--book", book, "--without-results")[0] == 0
        status, _, err = call("read", "--from", address, "--thermometer", address, "--job", "1", "--book", book)
        assert status == 0, err
        reading = json.loads(call("book", "show", "1", "--book", book, "--json")[1])["readings"][0]
        assert reading["value"] == 84.2031 and reading["at_c"] == 24.13 and "ACME M7 0042" in reading["source"]
        assert call("read", "--from", address, "--at", "21 °C", "--job", "9", "--book", book)[0] == 2


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
