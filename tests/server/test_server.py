#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Starts the server and asks it, well and badly: test_server.py PROGRAM SOURCE_ROOT. Prints TAP.

The expectations come from RFC 9110 (statuses, Host), RFC 6454 (Origin) and the server's own OpenAPI description."""
import contextlib
import glob
import json
import os
import random
import re
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import threading
import time
import traceback

PROGRAM, ROOT = sys.argv[1], sys.argv[2]
JOB = open(os.path.join(ROOT, "examples/press-brake.yaml"), "rb").read()
YAML = {"Content-Type": "application/yaml"}


class Server:
    def __init__(self, *options, **more):
        # a folder of its own: what is written where it runs is then its own doing, not another test's
        self.folder = tempfile.TemporaryDirectory()
        kept = [] if "--book" in options else ["--no-book"]
        self.process = subprocess.Popen([os.path.abspath(PROGRAM), "serve", "--port", "0", "--quiet", *kept, *options],
                                        stdout=subprocess.PIPE, text=True, cwd=self.folder.name, **more)
        self.address = self.process.stdout.readline().strip()
        self.port = int(re.fullmatch(r"http://127\.0\.0\.1:(\d+)/", self.address).group(1))

    def stop(self):
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(10)

    def connect(self):
        return socket.create_connection(("127.0.0.1", self.port), timeout=30)

    def raw(self, data, wait=30, close=True):
        """Sends bytes, closes this side where nothing is to follow, and gives what comes back until the server closes."""
        with self.connect() as s:
            s.settimeout(wait)
            answer = b""
            try:
                s.sendall(data)
                if close:
                    s.shutdown(socket.SHUT_WR)
                while chunk := s.recv(65536):
                    answer += chunk
            except (ConnectionError, socket.timeout):
                pass
            return answer

    def ask(self, method, path, body=b"", headers=None, host=None):
        """One request; gives status, headers in small letters, body."""
        lines = [f"{method} {path} HTTP/1.1", f"Host: {host or f'127.0.0.1:{self.port}'}", "Connection: close"]
        if body or method == "POST":
            lines.append(f"Content-Length: {len(body)}")
        lines += [f"{key}: {value}" for key, value in (headers or {}).items()]
        answer = self.raw("\r\n".join(lines).encode() + b"\r\n\r\n" + body, close=False)
        head, _, rest = answer.partition(b"\r\n\r\n")
        first, *fields = head.decode("latin-1").split("\r\n")
        return (int(first.split()[1]) if first else 0,
                {k.lower(): v.strip() for k, _, v in (f.partition(":") for f in fields)}, rest)

    def post(self, path, body=JOB, headers=None, **more):
        return self.ask("POST", path, body, {**YAML, **(headers or {})}, **more)

    def post_json(self, path, document, headers=None, **more):
        """Gives status and document."""
        status, _, body = self.ask("POST", path, json.dumps(document).encode(),
                                   {"Content-Type": "application/json", **(headers or {})}, **more)
        return status, json.loads(body)

    def get_json(self, path):
        status, _, body = self.ask("GET", path)
        assert status == 200, (path, status, body[:300])
        return json.loads(body)

    def answers(self):
        begun = time.monotonic()
        status = self.ask("GET", "/")[0]
        assert status == 200, f"status {status} after {time.monotonic() - begun:.1f} s"
        return time.monotonic() - begun


@contextlib.contextmanager
def book_server(folder=None, port=0):
    """A server with a book; killed, not asked, at the end."""
    with tempfile.TemporaryDirectory() as own:
        server = Server("--book", os.path.join(folder or own, "shop.book"))
        try:
            yield server
        finally:
            server.process.kill()
            server.process.wait()


# ---- a reader of as much of JSON Schema as the description uses --------------------------------------------------

NAMES = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None)}


def is_type(value, name):
    if name in ("number", "integer"):
        return not isinstance(value, bool) and isinstance(value, int if name == "integer" else (int, float))
    return isinstance(value, NAMES[name])


def faults(value, schema, document, at="$"):
    """What of a value the schema does not allow."""
    if "$ref" in schema:
        node = document
        for part in schema["$ref"].removeprefix("#/").split("/"):
            node = node[part]
        return faults(value, node, document, at)
    if "anyOf" in schema:
        tries = [faults(value, s, document, at) for s in schema["anyOf"]]
        return [] if any(not t for t in tries) else min(tries, key=len)
    types = schema.get("type", [])
    types = [types] if isinstance(types, str) else types
    if types and not any(is_type(value, t) for t in types):
        return [f"{at} is {type(value).__name__}, not {types}"]
    if "const" in schema and value != schema["const"] or "enum" in schema and value not in schema["enum"]:
        return [f"{at} is {value!r}"]
    found = []
    if isinstance(value, dict):
        found += [f"{at}.{key} is missing" for key in schema.get("required", []) if key not in value]
        for key, inner in schema.get("properties", {}).items():
            if key in value:
                found += faults(value[key], inner, document, f"{at}.{key}")
    if isinstance(value, list) and "items" in schema:
        for i, item in enumerate(value):
            found += faults(item, schema["items"], document, f"{at}[{i}]")
    return found


# ---- what is true ------------------------------------------------------------------------------------------------

def the_description_names_every_route_and_no_other(server):
    document = json.loads(server.ask("GET", "/api/openapi.json")[2])
    table = open(os.path.join(ROOT, "src/server/route.c"), encoding="utf-8").read()
    rows = re.findall(r'^    \{ "(/[^"]*)", CW_SERVER__(\w+)_BODY', table, re.M)
    assert sorted(document["paths"]) == sorted(path for path, _ in rows)
    for path, body in rows:
        (method, operation), = document["paths"][path].items()
        kinds = [*operation["requestBody"]["content"]] if method == "post" else []
        assert kinds == {"NO": [], "YAML": ["application/yaml"], "JSON": ["application/json"]}[body], path


# Bodies in JSON and what stands behind the question mark, good and bad, by the route.
ASKED = {
    "/api/replay": [{"job": JOB.decode(), "program": "G21\nM30\n"}, {}, {"job": "x", "program": ""}],
    "/api/pair": [{"code": "ABCD"}, {}],
    "/api/book/add": [{"yaml": JOB.decode()}, {"yaml": "["}, {"yaml": ""}, {}, {"yaml": JOB.decode(), "based_on": 99}],
    "/api/book/save": [{"job": 1, "on_version": 1, "yaml": "coilwright: 1\n"}, {"job": 1, "on_version": 1, "yaml": "a: 1"},
                       {"job": 99, "on_version": 1, "yaml": "a: 1"}, {"job": 1, "yaml": "a: 1"}, {}],
    "/api/book/state": [{"job": 1, "state": "wound"}, {"job": 99, "state": "wound"}, {"job": 1, "state": "x"}, {}],
    "/api/book/sign": [{"job": 1, "version": 1, "who": "M. Smith", "note": "only for the test bench"},
                       {"job": 1, "version": 1, "who": "M. Smith"}, {"job": 99, "version": 1, "who": "x"}, {}],
    "/api/book/use": [{"spool": 1, "used": "10 g"}, {"spool": 1, "left": "200 g"}, {"spool": 1, "used": "9 t"}, {}],
    "/api/book/job": ["job=1", "job=99", "job=x", ""],
    "/api/book/version": ["job=1&version=1", "job=1&version=99", "job=1", ""],
    "/api/book/jobs": ["", "text=brake", "resistance=84%20ohm", "resistance=84", "state=open", "state=x"],
    "/api/former.stl": ["", "part=print", "part=arbor", "part=wish"],
    "/api/drawing.svg": ["", "part=arbor", "paper=a3&projection=first", "paper=a9", "projection=x"],
    "/api/switch": ["", "suppressor=diode", "suppressor=wish"],
}


def questions(path, method, operation, jobs):
    """Path with question mark, and body."""
    asked = ASKED.get(path, [])
    if method == "post" and "application/json" in operation["requestBody"]["content"]:
        return [(path, json.dumps(a).encode()) for a in asked] + [(path, b"["), (path, b""), (path, b"[1]")]
    if method == "post":
        jobs = jobs if path == "/api/job" else jobs[:1] + jobs[2:]  # the second good one tells nothing new, slowly
        return [(path, job) for job in jobs] + [(f"{path}?{a}", JOB) for a in asked if a]
    return [(f"{path}?{a}" if a else path, b"") for a in asked or [""]]


def check_answers(server, document, jobs):
    seen = {}
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            for target, body in questions(path, method, operation, jobs):
                kind = {} if method == "get" else {"Content-Type": next(iter(operation["requestBody"]["content"]))}
                status, headers, answer = server.ask(method.upper(), target, body, kind)
                described = operation["responses"].get(str(status))
                assert described is not None, f"{method} {target} gave {status}: {answer[:200]}"
                if "$ref" in described:
                    described = document["components"]["responses"]["Refused"]
                media = headers["content-type"].partition(";")[0]
                assert media in described["content"], f"{target} gave {media}"
                if media == "application/json":
                    wrong = faults(json.loads(answer), described["content"][media]["schema"], document)
                    assert not wrong, f"{target}, {status}: {wrong[:5]}"
                seen.setdefault(path, set()).add(status)
    return seen


def every_answer_is_as_described(server):
    document = json.loads(server.ask("GET", "/api/openapi.json")[2])
    jobs = [JOB, open(os.path.join(ROOT, "examples/chuck-plate.yaml"), "rb").read(), b"", b"coilwright: 1\n",
            b"coilwright: 1\nwindow: {inner: 3}\n", JOB.replace(b"machine:\n", b"nachine:\n"), b"\xff\xfe\x00"]
    seen = check_answers(server, document, jobs)
    for path in seen:
        if path.startswith("/api/book/"):
            assert 200 not in seen[path] and 404 in seen[path], (path, seen[path])


def every_answer_about_the_book_is_as_described(_):
    with book_server() as server:
        server.post_json("/api/book/add", {"yaml": JOB.decode()})
        server.post("/api/book/spools")
        document = json.loads(server.ask("GET", "/api/openapi.json")[2])
        document["paths"] = {path: m for path, m in document["paths"].items() if path.startswith("/api/book")}
        seen = check_answers(server, document, [JOB, JOB, b"coilwright: 1\n", b"x"])
        assert all(200 in seen[path] for path in seen if not path.endswith("/sign")), seen  # its version is the last no more
        assert 409 in seen["/api/book/save"] and 422 in seen["/api/book/use"], seen


def every_bad_job_is_answered_with_its_line(server):
    for path in sorted(glob.glob(os.path.join(ROOT, "tests/job/bad/*.yaml"))):
        body = open(path, "rb").read()
        status, _, answer = server.post("/api/job", body)
        expected = open(path.removesuffix(".yaml") + ".error", encoding="utf-8").read()
        assert status == 200, path
        answer = json.loads(answer)
        assert answer["ok"] is False and answer["errors"], path
        place = re.search(r"(\d+):(\d+):", expected)
        if place:
            first = answer["errors"][0]
            assert (first["line"], first["column"]) == (int(place[1]), int(place[2])), path


def the_stages_say_what_the_command_line_says(server):
    for verb in ("identify", "choose", "lay"):
        told = subprocess.run([PROGRAM, verb, "--json", os.path.join(ROOT, "examples/press-brake.yaml")],
                              capture_output=True, check=False).stdout
        assert json.loads(server.post(f"/api/{verb}")[2]) == json.loads(told), verb
        assert json.loads(server.post("/api/job")[2])[verb] == json.loads(told), verb


def the_magnets_stages_say_what_the_command_line_says(server):
    for verb in ("field", "heat", "switch", "prove"):
        told = json.loads(subprocess.run([PROGRAM, verb, "--json", os.path.join(ROOT, "examples/press-brake.yaml")],
                                         capture_output=True, check=False).stdout)
        answer = json.loads(server.post(f"/api/{verb}")[2])
        if verb == "field":  # its sweeps are the table's
            assert answer.pop("curve") == []
            told = {key: value for key, value in told.items() if key != "curve" and not key.startswith("by_")}
        assert answer == told, verb


def solids_come_as_files(server):
    """Binary STL is 84 + 50 n bytes; STEP begins with its name [ISO 10303-21]; a 3MF is a ZIP archive."""
    sizes = json.loads(server.post("/api/former")[2])["former"]["finished"]
    stl = server.post("/api/former.stl?part=former")[2]
    count = struct.unpack_from("<I", stl, 80)[0]
    assert len(stl) == 84 + 50 * count
    corners = [struct.unpack_from("<9f", stl, 84 + 50 * i + 12) for i in range(count)]
    lengths = [z for c in corners for z in c[2::3]]
    assert abs(max(lengths) - min(lengths) - 1000 * sizes["length_m"]) < 0.01
    volume = sum(a[0] * (a[4] * a[8] - a[5] * a[7]) + a[1] * (a[5] * a[6] - a[3] * a[8]) + a[2] * (a[3] * a[7] - a[4] * a[6])
                 for a in corners) / 6  # by the divergence theorem
    assert abs(volume / (1e9 * sizes["volume_m3"]) - 1) < 0.002
    assert server.post("/api/former.step?part=arbor")[2].startswith(b"ISO-10303-21;")
    assert server.post("/api/former.3mf?part=print")[2].startswith(b"PK")
    assert server.post("/api/former.stl?part=wish")[0] == 422
    assert b"<svg" in server.post("/api/drawing.svg")[2][:300]
    assert server.post("/api/drawing.pdf?part=arbor")[2].startswith(b"%PDF-")
    assert b"AC1009" in server.post("/api/drawing.dxf")[2]
    assert os.listdir(server.folder.name) == []


def values_of(document):
    return [None if v < 0 else document["low"] + v * document["step"] for v in document["values"]]


def maps_agree_with_the_stages(server):
    field = json.loads(server.post("/api/field/map")[2])
    density = values_of(field["density_t"])
    assert len(density) == field["density_t"]["columns"] * field["density_t"]["rows"]
    full = max(p["peak_density_t"] for p in json.loads(server.post("/api/field")[2])["parts"])
    assert 0.7 * full < max(density) < 1.1 * full  # a lattice may pass a corner's peak by
    warm = json.loads(server.post("/api/heat/map")[2])["temperature_c"]
    heat = json.loads(server.post("/api/heat")[2])
    found = [v for v in values_of(warm) if v is not None]
    assert abs(max(found) - heat["hot_spot_continuous_c"]) < 0.5, (max(found), heat["hot_spot_continuous_c"])
    assert min(found) > heat["ambient_c"]


def events_of(answer):
    return [(event, json.loads(data)) for event, data in re.findall(r"event: (\w+)\ndata: (.*)\n\n", answer)]


def dechunked(body):
    text = b""
    while body:
        size, _, body = body.partition(b"\r\n")
        text += body[:int(size, 16)]
        body = body[int(size, 16) + 2:]
    return text.decode()


def a_magnet_is_told_as_it_is_computed(server):
    status, headers, body = server.post("/api/magnet/study")
    assert status == 200 and headers["content-type"] == "text/event-stream"
    document = json.loads(server.ask("GET", "/api/openapi.json")[2])
    told = events_of(dechunked(body))
    rows = dict(told)["begun"]["rows"]
    assert [e for e, _ in told] == ["heat", "field", "flux", "warm", "begun"] + ["row"] * rows + ["done"]
    kinds = {"heat": "Heat", "field": "Field", "flux": "FieldMap", "warm": "HeatMap", "begun": "TableHead", "row": "TableRow"}
    for event, data in told[:-1]:
        wrong = faults(data, document["components"]["schemas"][kinds[event]], document)
        assert not wrong, (event, wrong[:3])
    own, head = dict(told)["field"], dict(told)["begun"]
    first = told[5][1]
    pull = first["force_n"][head["gaps_m"].index(head["gap_m"])]
    assert abs(pull / own["force_n"] - 1) < 0.01, (pull, own["force_n"])
    assert first["plate_m"] == head["plate_m"], (first["plate_m"], head["plate_m"])
    assert first["force_n"] == sorted(first["force_n"], reverse=True), (first, head)  # a wider gap pulls less
    told = events_of(dechunked(server.post("/api/magnet/study", b"coilwright: 1\n")[2]))
    assert [e for e, _ in told] == ["heat", "field", "flux", "warm", "done"] and "magnet" in told[1][1]["error"]["text"]
    assert [e for e, _ in events_of(dechunked(server.post("/api/magnet/study", b"[")[2]))] == ["failed"]


def workers_of(server):
    with open(f"/proc/{server.process.pid}/task/{server.process.pid}/children", encoding="ascii") as f:
        return f.read().split()


def whoever_leaves_ends_the_computation(server):
    for path, wait in (("/api/magnet/study", b"event: heat"), ("/api/switch", None)):
        s = server.connect()
        head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/yaml\r\n"
        s.sendall(f"{head}Content-Length: {len(JOB)}\r\n\r\n".encode() + JOB)
        seen = b""
        while wait is not None and wait not in seen:
            seen += s.recv(4096)
        until = time.monotonic() + 5
        while not workers_of(server) and time.monotonic() < until:
            time.sleep(0.005)
        assert workers_of(server), path
        s.close()
        until = time.monotonic() + 2
        while workers_of(server) and time.monotonic() < until:
            time.sleep(0.01)
        assert not workers_of(server), f"{path} is still computed"


def workers_run_within_limits(server):
    """As the kernel has them [proc(5)]: no job can take more of the machine, or write anything."""
    s = server.connect()
    s.sendall(f"POST /api/switch HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/yaml\r\n"
              f"Content-Length: {len(JOB)}\r\n\r\n".encode() + JOB)
    limits, until = {}, time.monotonic() + 10
    while limits.get("Max file size") != "0" and time.monotonic() < until:  # it confines itself first of all
        for pid in workers_of(server):
            try:
                with open(f"/proc/{pid}/limits", encoding="ascii") as f:
                    limits = {m[1]: m[2] for m in re.finditer(r"^(Max [a-z ]+?)\s{2,}(\S+)", f.read(), re.M)}
                files = os.listdir(f"/proc/{pid}/fd")
            except FileNotFoundError:
                pass
    s.close()
    assert limits["Max cpu time"] == "10" and limits["Max file size"] == "0" and limits["Max core file size"] == "0", limits
    assert limits["Max address space"] in (str(2 << 30), "unlimited"), limits  # the latter under a sanitizer
    assert len(files) <= 3, files  # the pipe for its answer, and standard error


def long_computations_leave_room_for_short_ones(server):
    streams = []
    for _ in range(6):
        s = server.connect()
        s.sendall(f"POST /api/magnet/study HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/yaml"
                  f"\r\nContent-Length: {len(JOB)}\r\n\r\n".encode() + JOB)
        streams.append(s)
    time.sleep(0.3)
    assert server.post("/api/job")[0] == 200
    assert len(workers_of(server)) <= 2, "more than two long ones run at once"
    for s in streams:
        s.close()


# ---- the book ----------------------------------------------------------------------------------------------------

def what_was_saved_is_there_after_a_kill(_):
    with tempfile.TemporaryDirectory() as folder:
        with book_server(folder) as server:
            status, job = server.post_json("/api/book/add", {"yaml": JOB.decode()})
            assert status == 200 and job["version"] == 1
            for number in range(2, 12):
                text = JOB.decode() + f"# edit {number}\n"
                status, saved = server.post_json("/api/book/save", {"job": job["job"], "on_version": number - 1, "yaml": text})
                assert status == 200 and saved["version"] == number
        with book_server(folder) as server:  # the one before was killed
            found = server.get_json(f"/api/book/job?job={job['job']}")
            assert found["yaml"] == text and len(found["versions"]) == 11
            assert server.ask("GET", f"/api/book/version?job={job['job']}&version=1")[2] == JOB


def a_save_that_was_sent_is_done_though_its_sender_and_the_server_are_gone(_):
    with tempfile.TemporaryDirectory() as folder:
        with book_server(folder) as server:
            _, job = server.post_json("/api/book/add", {"yaml": JOB.decode()})
            body = json.dumps({"job": job["job"], "on_version": 1, "yaml": "coilwright: 1\n# last words\n"}).encode()
            s = server.connect()
            s.sendall(f"POST /api/book/save HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json"
                      f"\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body)
            until = time.monotonic() + 5
            while not workers_of(server) and time.monotonic() < until:
                time.sleep(0.0005)
            s.close()
        until = time.monotonic() + 10
        while time.monotonic() < until:
            with book_server(folder) as server:
                found = server.get_json(f"/api/book/job?job={job['job']}")
            if len(found["versions"]) == 2:
                break
        assert len(found["versions"]) == 2 and "last words" in found["yaml"]


def two_writers_do_not_overwrite_each_other(_):
    with book_server() as server:
        _, job = server.post_json("/api/book/add", {"yaml": "coilwright: 1\njob: {name: a, machine: press}\n"})
        mine = {"job": job["job"], "on_version": 1, "yaml": "coilwright: 1\njob: {name: b, machine: press}\n"}
        theirs = {**mine, "yaml": "coilwright: 1\njob: {name: c, machine: lathe}\n"}
        assert server.post_json("/api/book/save", theirs)[0] == 200
        status, conflict = server.post_json("/api/book/save", mine)
        assert status == 409 and conflict["version"] == 2 and conflict["yaml"] == theirs["yaml"]
        assert "- " in conflict["differences"] and "name: b" in conflict["differences"]
        assert server.get_json(f"/api/book/job?job={job['job']}")["yaml"] == theirs["yaml"]
        status, saved = server.post_json("/api/book/save", {**mine, "on_version": 2})
        assert status == 200 and saved["version"] == 3
        assert server.get_json("/api/book/jobs?text=press")["jobs"][0]["name"] == "b"
        assert server.get_json("/api/book/jobs?text=lathe")["jobs"] == []  # the name that is no longer its own


def jobs_are_found_by_what_is_known(_):
    with book_server() as server:
        for name in ("press-brake", "chuck-plate"):
            text = open(os.path.join(ROOT, f"examples/{name}.yaml"), encoding="utf-8").read()
            assert server.post_json("/api/book/add", {"yaml": text})[0] == 200
        for query, found in (("", 2), ("text=grinder", 1), ("text=brake", 1), ("resistance=125%20ohm", 1),
                             ("inner=3%20in", 1), ("inner=42%20mm", 0), ("state=wound", 0), ("wire=28%20AWG", 1)):
            assert len(server.get_json(f"/api/book/jobs?{query}")["jobs"]) == found, query
        server.post_json("/api/book/state", {"job": 1, "state": "wound"})
        assert [j["job"] for j in server.get_json("/api/book/jobs?state=wound")["jobs"]] == [1]


def wire_is_booked_off_the_shelf(_):
    with book_server() as server:
        spools = json.loads(server.post("/api/book/spools")[2])["spools"]
        first = next(s for s in spools if s["size"] == "28 AWG")
        assert len(spools) == 3 and abs(first["left_kg"] - 35 * 0.028349523125) < 1e-6  # 2 lb 3 oz
        status, shelf = server.post_json("/api/book/use", {"spool": first["spool"], "used": "100 g"})
        now = next(s for s in shelf["spools"] if s["spool"] == first["spool"])
        assert status == 200 and abs(first["left_kg"] - now["left_kg"] - 0.1) < 1e-6
        assert server.post_json("/api/book/use", {"spool": first["spool"], "used": "5 kg"})[0] == 422
        _, shelf = server.post_json("/api/book/use", {"spool": first["spool"], "left": "400 g"})
        now = next(s for s in shelf["spools"] if s["spool"] == first["spool"])
        assert abs(now["left_kg"] - 0.4) < 1e-6


def a_book_that_is_none_is_refused_at_the_start(_):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "letter.txt")
        with open(path, "w", encoding="ascii") as f:
            f.write("Dear sirs, " * 100)
        done = subprocess.run([PROGRAM, "serve", "--port", "0", "--book", path], capture_output=True, text=True,
                              timeout=10, check=False)
        assert done.returncode == 2 and "letter.txt" in done.stderr, (done.returncode, done.stderr)
        assert open(path, encoding="ascii").read() == "Dear sirs, " * 100


# ---- the shop's network ------------------------------------------------------------------------------------------

def own_numbers():
    """This machine's addresses but loopback, as the kernel has them."""
    with open("/proc/net/fib_trie", encoding="ascii") as f:
        found = re.findall(r"\|-- (\d+\.\d+\.\d+\.\d+)\n\s+/32 host LOCAL", f.read())
    return sorted({n for n in found if not n.startswith("127.")})


class Lan(Server):
    """A server in the network of this machine, asked from outside."""

    def __init__(self):
        super().__init__("--lan", stderr=subprocess.PIPE)
        self.number = None

    def next_code(self):
        for line in self.process.stderr:
            found = re.search(r"http://([\d.]+):(\d+)/pair#([A-Z2-9]{12})\s*$", line)
            if found:
                self.number = found[1]
                return found[3]
        raise AssertionError("no code is shown")

    def connect(self):
        # from the machine's own outer address to the same: its peer is not loopback
        return socket.create_connection((self.number, self.port), timeout=30, source_address=(self.number, 0))

    def ask(self, method, path, body=b"", headers=None, host=None):
        return super().ask(method, path, body, headers, host or f"{self.number}:{self.port}")


def only_paired_devices_are_let_in(_):
    if not own_numbers():
        print("# this machine is in no network: only that is told", flush=True)
        done = subprocess.run([PROGRAM, "serve", "--port", "0", "--no-book", "--lan"], capture_output=True, text=True, timeout=10, check=False)
        assert done.returncode == 3 and "in no network" in done.stderr
        return
    server = Lan()
    try:
        code = server.next_code()
        assert server.number in own_numbers()
        routes = json.loads(Server.ask(LoopbackOf(server.port), "GET", "/api/openapi.json")[2])["paths"]
        for path, methods in routes.items():
            method = next(iter(methods)).upper()
            status = server.ask(method, path, b"{}" if method == "POST" else b"", {"Content-Type": "application/json"})[0]
            open_to_all = path in ("/pair", "/pair.js", "/page.css", "/icon.svg")
            assert status == (200 if open_to_all else 403 if path == "/api/pair" else 401), (path, status)
        assert server.ask("GET", "/nothing")[0] == 401  # not even what there is
        assert server.ask("GET", "/pair", host="example.org")[0] == 421
        assert server.ask("GET", "/pair", host=f"10.255.255.254:{server.port}")[0] == 421
        status, headers, _ = server.ask("POST", "/api/pair", json.dumps({"code": code}).encode(), {"Content-Type": "application/json"})
        cookie = headers["set-cookie"]
        assert status == 200 and "HttpOnly" in cookie and "SameSite=Strict" in cookie
        token = {"Cookie": cookie.split(";")[0]}
        assert server.ask("GET", "/", headers=token)[0] == 200
        assert server.post("/api/job", headers=token)[0] == 200
        own = f"http://{server.number}:{server.port}"
        assert server.post("/api/job", headers={**token, "Origin": own})[0] == 200
        assert server.post("/api/job", headers={**token, "Origin": "http://example.org"})[0] == 403
        assert server.ask("GET", "/", headers={"Cookie": "coilwright=" + "A" * 64})[0] == 401
        assert server.post_json("/api/pair", {"code": code})[0] == 403  # good once
        assert server.next_code() != code
    finally:
        server.process.kill()
        server.process.wait()


class LoopbackOf(Server):
    """The same server, asked from the machine itself."""

    def __init__(self, port):  # pylint: disable=super-init-not-called
        self.port = port


def guessing_a_code_uses_it_up(_):
    if not own_numbers():
        print("# this machine is in no network: no code to guess", flush=True)
        return
    server = Lan()
    try:
        code = server.next_code()
        for _ in range(20):
            assert server.post_json("/api/pair", {"code": "ABCDEFGHJKLM"})[0] == 403
        assert server.next_code() != code
        assert server.post_json("/api/pair", {"code": code})[0] == 403
    finally:
        server.process.kill()
        server.process.wait()


def papers_come_as_files(server):
    assert server.post("/api/sheet.pdf?paper=a4&date=2031-05-17")[2].startswith(b"%PDF-")
    assert b"<svg" in server.post("/api/section.svg")[2][:200]
    assert b"\nG33 " in server.post("/api/program")[2]
    assert b"\nG33 " in server.post("/api/program?dry-run=yes")[2]
    assert server.post("/api/sheet.pdf?paper=a9")[0] == 422
    assert server.post("/api/sheet.pdf?date=tomorrow")[0] == 422


def a_program_is_replayed(server):
    program = server.post("/api/program")[2].decode()
    for text, good in ((program, True), (program.replace("G33 Z1.2427", "G33 Z1.1", 1), False)):
        body = json.dumps({"job": JOB.decode(), "program": text}).encode()
        status, _, answer = server.ask("POST", "/api/replay", body, {"Content-Type": "application/json"})
        assert status == 200 and json.loads(answer)["ok"] is good


def only_its_own_name_is_answered(server):
    for host in ("example.org", f"example.org:{server.port}", "127.0.0.1", "127.0.0.1:1", "", f"127.0.0.1.example.org",
                 f"localhost:{server.port}.example.org", f"127.0.0.1:{server.port}@example.org", "[::1]"):
        status = server.ask("GET", "/", host=host or " ")[0]
        assert status in (400, 421), f"Host {host!r} gave {status}"
    assert server.ask("GET", "/", host=f"localhost:{server.port}")[0] == 200
    assert b" 400 " in server.raw(b"GET / HTTP/1.1\r\n\r\n").split(b"\r\n")[0]  # RFC 9112, 3.2


def other_sites_are_refused(server):
    own = f"http://127.0.0.1:{server.port}"
    for origin in ("http://example.org", "null", "https://127.0.0.1:%d" % server.port, own + ".example.org",
                   "http://127.0.0.1:1", "file://"):
        assert server.post("/api/job", headers={"Origin": origin})[0] == 403, origin
        assert server.ask("GET", "/api/template", headers={"Origin": origin})[0] == 403, origin
    assert server.post("/api/job", headers={"Origin": own})[0] == 200
    assert server.post("/api/job", headers={"Sec-Fetch-Site": "cross-site"})[0] == 403
    assert server.ask("GET", "/page.js", headers={"Sec-Fetch-Site": "cross-site"})[0] == 403
    assert server.ask("GET", "/", headers={"Sec-Fetch-Site": "cross-site"})[0] == 200  # a link to the page


def forms_of_other_sites_cannot_post(server):
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "",
                 "application/yamlx", "application/json"):
        assert server.ask("POST", "/api/job", JOB, {"Content-Type": kind})[0] == 415, kind
    assert server.ask("OPTIONS", "/api/job", headers={"Origin": "http://example.org"})[0] == 403
    assert "access-control-allow-origin" not in server.post("/api/job")[1]


def answers_forbid_what_they_do_not_need(server):
    for path in ("/", "/page.js", "/page.css", "/icon.svg", "/api/openapi.json", "/nothing"):
        headers = server.ask("GET", path)[1]
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'") and "unsafe-eval" not in policy, path
        assert path == "/icon.svg" or "unsafe-inline" not in policy, path
        assert headers["x-content-type-options"] == "nosniff" and headers["cache-control"] == "no-store", path
    assert "script-src 'self'" in server.ask("GET", "/")[1]["content-security-policy"]
    page = server.ask("GET", "/")[2]
    assert not re.search(rb"<script(?![^>]*\bsrc=)|<style|\son\w+=|\sstyle=", page)


def the_page_asks_nobody_else(server):
    for path in ("/", "/page.css"):
        assert not re.search(rb"(?:src|href|url|@import)\W{1,3}(?:https?:)?//", server.ask("GET", path)[2]), path


def no_path_leads_out(server):
    for path in ("/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc/passwd", "//etc/passwd", "/page.js/",
                 "/page.js%00.html", "/PAGE.JS", "/./page.js", "/static/../page.js", "/wire_awg.csv", "/api", "/api/",
                 "/%c0%ae%c0%ae/etc/passwd", "/..\\..\\etc\\passwd", "/" + "a" * 5000):
        status, _, body = server.ask("GET", path)
        assert status == 404 or (status == 200 and b"\0" not in path.encode() and "%00" in path), f"{path} {status}"
        assert b"root:" not in body


def methods_are_kept_to(server):
    for method in ("PUT", "DELETE", "PATCH", "TRACE", "POST", "BREW"):
        status, headers, _ = server.ask(method, "/")
        assert status == 405 and "GET" in headers["allow"], method
    status, headers, _ = server.ask("GET", "/api/job")
    assert status == 405 and headers["allow"] == "POST"
    status, headers, body = server.ask("HEAD", "/")
    assert status == 200 and body == b"" and int(headers["content-length"]) > 0


def large_bodies_are_refused(server):
    head = f"POST /api/job HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/yaml\r\n"
    for length in (3 * 1024 * 1024, "9" * 30):
        answer = server.raw((head + f"Content-Length: {length}\r\n\r\n").encode(), close=False)
        assert answer.startswith(b"HTTP/1.1 413 "), length
    chunk = b"10000\r\n" + b"a" * 0x10000 + b"\r\n"  # in pieces that do not say how many there are
    server.raw((head + "Transfer-Encoding: chunked\r\n\r\n").encode() + chunk * 64 + b"0\r\n\r\n")
    status, _, answer = server.post("/api/job", b"#" * (1024 * 1024 + 1))  # a job may have 1 MB
    assert status == 200 and json.loads(answer)["ok"] is False
    assert server.answers() < 5


def slow_clients_only_lose_their_own(server):
    slow = []
    for _ in range(400):  # more than it takes at once
        s = server.connect()
        s.sendall(f"POST /api/job HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nX-".encode())
        slow.append(s)
        if len(slow) % 100 == 0:
            assert server.answers() < 5
    deadline = time.monotonic() + 25
    left = slow
    while left and time.monotonic() < deadline:  # a byte a second each, never idle
        still = []
        for s in left:
            try:
                s.sendall(b"a")
                s.setblocking(False)
                try:
                    closed = s.recv(4096) == b""
                except BlockingIOError:
                    closed = False
                s.setblocking(True)
                if not closed:
                    still.append(s)
            except OSError:
                pass
        left = still
        assert server.answers() < 5
        time.sleep(1)
    for s in slow:
        s.close()
    assert not left, f"{len(left)} of 400 are still open after 25 s"


def many_at_once_are_all_answered(server):
    results = []

    def ask():
        results.append(server.post("/api/job")[0])

    threads = [threading.Thread(target=ask) for _ in range(40)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert sorted(set(results)) == [200] and len(results) == 40, results


def hostile_request(random_source, port):
    good = f"POST /api/job HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/yaml\r\n".encode()
    kind = random_source.randrange(12)
    noise = bytes(random_source.randrange(256) for _ in range(random_source.randrange(1, 200)))
    if kind == 0:
        return noise
    if kind == 1:
        return b"GET /" + noise.replace(b"\n", b"") + b" HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    if kind == 2:
        return good + b"Content-Length: -1\r\n\r\n"
    if kind == 3:
        return good + b"Content-Length: 100\r\n\r\n" + noise[:50]
    if kind == 4:
        return good + b"Transfer-Encoding: chunked\r\n\r\nFFFFFFFFFFFFFFFFF\r\n" + noise
    if kind == 5:
        return good + b"X: " + b"y" * 40000 + b"\r\n\r\n"
    if kind == 6:
        return good + b"Host: example.org\r\nContent-Length: 0\r\nContent-Length: 5\r\n\r\n"
    if kind == 7:
        return b"GET / HTTP/9.9\r\n" + b"A: b\r\n" * 500 + b"\r\n"
    if kind == 8:
        return good + b"Origin: http://example.org\r\nContent-Length: 3\r\n\r\nabc"
    if kind == 9:
        return b"GET /../../../../etc/passwd HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n" % port
    if kind == 10:
        return b"GET /api/template?kind=" + noise.hex().encode() + b" HTTP/1.0\r\nHost: example.org\r\n\r\n"
    return good[:random_source.randrange(len(good))]


def ten_thousand_hostile_requests_leave_it_standing(server):
    source = random.Random(9)
    for number in range(10_000):
        with server.connect() as s:
            try:
                s.sendall(hostile_request(source, server.port))
            except OSError:
                pass
        if number % 1000 == 999:
            assert server.answers() < 10
    assert server.process.poll() is None
    # the last hostile jobs may still be at work: then the server says that it is busy, and is not for long
    until = time.monotonic() + 20
    status, _, body = server.post("/api/job")
    while status == 503 and time.monotonic() < until:
        time.sleep(0.2)
        status, _, body = server.post("/api/job")
    assert status == 200 and json.loads(body)["ok"] is True, (status, body[:300])
    assert os.listdir(server.folder.name) == []  # nothing was written where it runs


def a_proof_is_signed_and_kept(_):
    with book_server() as server:
        server.post_json("/api/book/add", {"yaml": JOB.decode()})
        assert server.post_json("/api/book/sign", {"job": 1, "version": 1, "who": "M. Smith"})[0] == 422  # no reason
        status, _ = server.post_json("/api/book/sign", {"job": 1, "version": 1, "who": "M. Smith", "note": "for a trial"})
        signature, = server.get_json("/api/book/job?job=1")["signatures"]
        assert status == 200 and signature["who"] == "M. Smith" and signature["sound"] and signature["verdict"] == "open"


def jobs_are_kept_where_the_verb_book_looks(_):
    with tempfile.TemporaryDirectory() as data:
        environment = {**os.environ, "XDG_DATA_HOME": data}
        process = subprocess.Popen([PROGRAM, "serve", "--port", "0", "--quiet"], stdout=subprocess.PIPE, text=True,
                                   env=environment)
        try:
            server = LoopbackOf(int(re.search(r":(\d+)/", process.stdout.readline())[1]))
            assert server.post_json("/api/book/add", {"yaml": JOB.decode()})[0] == 200
            listed = subprocess.run([PROGRAM, "book", "list", "--json"], capture_output=True, env=environment, check=False)
            assert json.loads(listed.stdout) == server.get_json("/api/book/jobs")
        finally:
            process.kill()
            process.wait()


def hostile_save(source, port):
    """A save that would be good, if it came from where it may come from."""
    body = json.dumps({"job": 1, "on_version": 1, "yaml": f"# {source.random()}\n"}).encode()
    wrong = source.choice([
        f"Host: 127.0.0.1:{port}\r\nOrigin: http://example.org\r\nContent-Type: application/json",
        f"Host: 127.0.0.1:{port}\r\nSec-Fetch-Site: cross-site\r\nContent-Type: application/json",
        f"Host: example.org:{port}\r\nContent-Type: application/json",
        f"Host: 127.0.0.1:{port}\r\nContent-Type: text/plain",
        f"Host: 127.0.0.1:{port}\r\nContent-Type: application/x-www-form-urlencoded"])
    method = source.choice(["POST", "POST", "GET", "PUT", "DELETE"])
    if method != "POST":
        wrong = f"Host: 127.0.0.1:{port}\r\nContent-Type: application/json"
    return f"{method} /api/book/save HTTP/1.1\r\n{wrong}\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body


def hostile_requests_change_nothing_in_the_book(_):
    source = random.Random(11)
    with book_server() as server:
        server.post_json("/api/book/add", {"yaml": JOB.decode()})
        for number in range(2000):
            with server.connect() as s:
                try:
                    s.sendall(hostile_save(source, server.port) if number % 2 else hostile_request(source, server.port))
                except OSError:
                    pass
        assert server.answers() < 10
        jobs = server.get_json("/api/book/jobs")["jobs"]
        assert [(j["job"], j["versions"], j["name"]) for j in jobs] == [(1, 1, "left brake coil")]


def hostile_jobs_leave_it_standing(server):
    source = random.Random(10)
    for _ in range(150):
        body = bytearray(JOB)
        for _ in range(source.randrange(1, 30)):
            body[source.randrange(len(body))] = source.randrange(256)
        assert server.post("/api/job", bytes(body))[0] == 200
    for body in (b"[" * 100000, b"&a [*a, *a]", b"a: " * 10000, b"- " * 200000):
        assert server.post("/api/job", body)[0] in (200, 500)
    assert server.answers() < 5


def a_port_in_use_is_said_so(server):
    second = subprocess.run([PROGRAM, "serve", "--no-book", "--port", str(server.port)], capture_output=True, text=True, timeout=10,
                            check=False)
    assert second.returncode == 3 and str(server.port) in second.stderr
    assert subprocess.run([PROGRAM, "serve", "--port", "many"], capture_output=True, check=False).returncode == 2


def main():
    tests = [the_description_names_every_route_and_no_other, every_answer_is_as_described,
             every_bad_job_is_answered_with_its_line, the_stages_say_what_the_command_line_says,
             the_magnets_stages_say_what_the_command_line_says, maps_agree_with_the_stages, solids_come_as_files, a_magnet_is_told_as_it_is_computed,
             whoever_leaves_ends_the_computation, workers_run_within_limits, long_computations_leave_room_for_short_ones,
             every_answer_about_the_book_is_as_described, what_was_saved_is_there_after_a_kill,
             a_save_that_was_sent_is_done_though_its_sender_and_the_server_are_gone,
             two_writers_do_not_overwrite_each_other, jobs_are_found_by_what_is_known, wire_is_booked_off_the_shelf,
             a_proof_is_signed_and_kept, jobs_are_kept_where_the_verb_book_looks,
             a_book_that_is_none_is_refused_at_the_start, only_paired_devices_are_let_in, guessing_a_code_uses_it_up,
             papers_come_as_files,
             a_program_is_replayed, only_its_own_name_is_answered, other_sites_are_refused,
             forms_of_other_sites_cannot_post, answers_forbid_what_they_do_not_need, the_page_asks_nobody_else,
             no_path_leads_out, methods_are_kept_to, large_bodies_are_refused, many_at_once_are_all_answered,
             hostile_jobs_leave_it_standing, ten_thousand_hostile_requests_leave_it_standing,
             hostile_requests_change_nothing_in_the_book, slow_clients_only_lose_their_own, a_port_in_use_is_said_so]
    tests = [t for t in tests if len(sys.argv) < 4 or t.__name__ in sys.argv[3:]]
    server = Server()
    print(f"1..{len(tests) + 1}")
    for number, test in enumerate(tests, 1):
        begun = time.monotonic()
        try:
            test(server)
            print(f"ok {number} - {test.__name__} # {time.monotonic() - begun:.1f} s", flush=True)
        except Exception as trouble:  # any trouble is a failure of this one test
            line = traceback.extract_tb(trouble.__traceback__)[-1].lineno
            print(f"not ok {number} - {test.__name__}\n# line {line}: {type(trouble).__name__}: {trouble}", flush=True)
    status = server.stop()
    print(f"{'ok' if status == 0 else 'not ok'} {len(tests) + 1} - it_ends_when_asked")


main()
