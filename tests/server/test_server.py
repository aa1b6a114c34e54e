#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Starts the server and asks it, well and badly: test_server.py PROGRAM SOURCE_ROOT. Prints TAP.

The expectations come from RFC 9110 (statuses, Host), RFC 6454 (Origin) and the server's own OpenAPI description."""
import glob
import json
import os
import random
import re
import signal
import socket
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
    def __init__(self):
        # a folder of its own: what is written where it runs is then its own doing, not another test's
        self.folder = tempfile.TemporaryDirectory()
        self.process = subprocess.Popen([os.path.abspath(PROGRAM), "serve", "--port", "0", "--quiet"],
                                        stdout=subprocess.PIPE, text=True, cwd=self.folder.name)
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

    def answers(self):
        begun = time.monotonic()
        status = self.ask("GET", "/")[0]
        assert status == 200, f"status {status} after {time.monotonic() - begun:.1f} s"
        return time.monotonic() - begun


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
    assert sorted(document["paths"]) == sorted(re.findall(r'^    \{ "(/[^"]*)"', table, re.M))


def every_answer_is_as_described(server):
    document = json.loads(server.ask("GET", "/api/openapi.json")[2])
    jobs = [JOB, open(os.path.join(ROOT, "examples/chuck-plate.yaml"), "rb").read(), b"", b"coilwright: 1\n",
            b"coilwright: 1\nwindow: {inner: 3}\n", JOB.replace(b"machine:\n", b"nachine:\n"), b"\xff\xfe\x00"]
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            if path == "/api/replay":
                bodies = [json.dumps({"job": JOB.decode(), "program": "G21\nM30\n"}).encode(), b"{}", b"[", b"",
                          json.dumps({"job": "x", "program": ""}).encode()]
            else:
                bodies = jobs if method == "post" else [b""]
            for body in bodies:
                kind = {} if method == "get" else {"Content-Type": next(iter(operation["requestBody"]["content"]))}
                status, headers, answer = server.ask(method.upper(), path, body, kind)
                described = operation["responses"].get(str(status))
                assert described is not None, f"{method} {path} gave {status}: {answer[:200]}"
                media = headers["content-type"].partition(";")[0]
                assert media in described["content"], f"{path} gave {media}"
                if media == "application/json":
                    wrong = faults(json.loads(answer), described["content"][media]["schema"], document)
                    assert not wrong, f"{path}, {status}: {wrong[:5]}"


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
    second = subprocess.run([PROGRAM, "serve", "--port", str(server.port)], capture_output=True, text=True, timeout=10,
                            check=False)
    assert second.returncode == 3 and str(server.port) in second.stderr
    assert subprocess.run([PROGRAM, "serve", "--port", "many"], capture_output=True, check=False).returncode == 2


def main():
    tests = [the_description_names_every_route_and_no_other, every_answer_is_as_described,
             every_bad_job_is_answered_with_its_line, the_stages_say_what_the_command_line_says, papers_come_as_files,
             a_program_is_replayed, only_its_own_name_is_answered, other_sites_are_refused,
             forms_of_other_sites_cannot_post, answers_forbid_what_they_do_not_need, the_page_asks_nobody_else,
             no_path_leads_out, methods_are_kept_to, large_bodies_are_refused, many_at_once_are_all_answered,
             hostile_jobs_leave_it_standing, ten_thousand_hostile_requests_leave_it_standing,
             slow_clients_only_lose_their_own, a_port_in_use_is_said_so]
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
