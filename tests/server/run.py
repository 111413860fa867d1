#!/usr/bin/env python3
"""The server against those it must stand: run.py PLUMBLINE [--make-rides PROGRAM] [--only TEST]

Every test is a threat of docs/threats.md; the last one holds that page against this file.
"""
import argparse
import glob
import gzip
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time

from served import HERE, Served, Tally, detail, read_all, run

SOURCE = os.path.dirname(os.path.dirname(HERE))
TESTS = []


def threat(function):
    TESTS.append(function)
    return function


class Place:
    """What the tests stand on: a program, rides, and a roster with one of them."""

    def __init__(self, program, maker, folder):
        self.program = program
        self.folder = folder
        rides = os.path.join(folder, "rides")
        os.makedirs(rides)
        run(maker, rides)
        self.rides = sorted(glob.glob(os.path.join(rides, "*.fit")))
        self.kept = os.path.join(folder, "kept.plumbline")
        for words in (["rider", "add", "Ada Berg"], ["threshold", "ada", "246", "--from", "2026-01-01"],
                      ["import", self.rides[0], "--rider", "ada"]):
            done = run(program, *words, "--roster", self.kept)
            assert done.returncode == 0, done.stderr
        self.number = 0

    def roster(self):
        """A fresh copy, alone in its folder."""
        self.number += 1
        folder = os.path.join(self.folder, f"r{self.number}")
        os.makedirs(folder)
        return shutil.copy(self.kept, os.path.join(folder, "team.plumbline"))

    def serve(self, *options, **more):
        return Served(self.program, self.roster(), *options, **more)

    def ride(self, i=1):
        with open(self.rides[i], "rb") as source:
            return source.read()


def wants(problems, what, got, wanted):
    if got != wanted:
        problems.append(f"{what}: {got!r}, wanted {wanted!r}")


# ---- who is let in ----

@threat
def one_time_token(place, server):
    """The printed address lets in once; the cookie is for this site and no script."""
    problems = []
    again = server.ask("GET", f"/?token={server.token}", cookie=False)
    wants(problems, "used again", again.status, 401)
    if b"used before" not in again.body or "Set-Cookie" in again.headers:
        problems.append("the page doesn't say that it was used")
    wants(problems, "used again with the cookie", server.ask("GET", f"/?token={server.token}").status, 303)
    fresh = Served(place.program, place.roster(), let_in=False)
    try:
        for wrong in ("0" * 64, fresh.token[:-1], fresh.token.upper() + "x", ""):
            wants(problems, f"token {wrong[:8]}", fresh.ask("GET", f"/?token={wrong}").status, 401)
        first = fresh.ask("GET", f"/?token={fresh.token}")
        wants(problems, "the token", (first.status, first.headers["Location"]), (303, "/"))
        cookie = first.headers["Set-Cookie"]
        for word in (f"plumbline-{fresh.port}=", "HttpOnly", "SameSite=Strict", "Path=/"):
            if word not in cookie:
                problems.append(f"{word} isn't in {cookie}")
        if fresh.token in cookie:
            problems.append("the token is the key")
    finally:
        fresh.stop()
    return problems


@threat
def no_cookie_no_answer(_place, server):
    """Other users of the machine reach the port, and get nothing."""
    problems = []
    for method, path in (("GET", "/api/1/session"), ("GET", "/api/1/who"), ("GET", "/api/1/no-such"),
                         ("GET", "/api/1/events"), ("DELETE", "/api/1/jobs/1"),
                         ("POST", "/api/1/imports?name=a&rider=1")):
        answer = server.ask(method, path, cookie=False, Content_Type="application/octet-stream")
        wants(problems, f"{method} {path}", answer.status, 401)
        detail(answer)
    for path in ("/", "/riders/1", "/assets/x.js", "/index.html"):
        answer = server.ask("GET", path, cookie=False)
        wants(problems, path, answer.status, 401)
        if b"Ada" in answer.body or b"<script" in answer.body:
            problems.append(f"{path}: told something")
    name, key = server.cookie.split("=")
    for wrong in (key[:-1] + ("0" if key[-1] != "0" else "1"), key.upper(), "", key + "; " + server.cookie):
        wants(problems, f"cookie {wrong[:6]}",
              server.ask("GET", "/api/1/session", cookie=False, Cookie=f"{name}={wrong}").status, 401)
    return problems


@threat
def a_session_can_be_ended(place, server):
    """What was let in can be shut out again; another browser stays."""
    other = Served(place.program, place.roster())
    problems = []
    try:
        wants(problems, "before", other.ask("GET", "/api/1/session").status, 200)
        wants(problems, "end", other.ask("DELETE", "/api/1/session").status, 204)
        wants(problems, "after", other.ask("GET", "/api/1/session").status, 401)
        # The cookie of one server is worth nothing at another.
        wants(problems, "elsewhere", server.ask("GET", "/api/1/session", cookie=False,
                                                Cookie=other.cookie).status, 401)
    finally:
        other.stop()
    return problems


@threat
def beyond_this_machine_only_with_a_password(place, _server):
    """--listen and --name are refused without one; with one the token lets nobody in."""
    problems = []
    roster = place.roster()
    for words in (["--listen", "0.0.0.0", "--name", "coach.example"], ["--name", "coach.example"],
                  ["--listen", "127.0.0.1", "--name", "coach.example"]):
        done = run(place.program, "serve", "--port", "0", "--roster", roster, *words)
        wants(problems, " ".join(words), (done.returncode, done.stdout), (1, b""))
        if b"plumbline password" not in done.stderr:
            problems.append(f"{words}: {done.stderr}")
    secret = "correct horse battery"
    done = subprocess.run([place.program, "password", "--roster", roster], input=secret.encode() + b"\n",
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False)
    wants(problems, "password", done.returncode, 0)
    with open(roster, "rb") as file, open(roster + "-wal", "rb") if os.path.exists(roster + "-wal") \
            else open(os.devnull, "rb") as log:
        if secret.encode() in file.read() + log.read():
            problems.append("the password lies in the roster as it is")
    server = Served(place.program, roster, "--name", "coach.example", let_in=False)
    try:
        # The address is the one that browsers use, without the port it listens on.
        server.port = port_of(server.process.pid)
        server.host, server.origin = "coach.example", "https://coach.example"
        wants(problems, "the page", server.ask("GET", "/").status, 401)
        if b'type="password"' not in server.ask("GET", "/").body:
            problems.append("the page doesn't ask for the password")
        problems += try_passwords(server, secret)
        problems += another_password(place, server, roster)
    finally:
        server.stop()
    return problems


def another_password(place, server, roster):
    """Who was let in by the old one is let in no more."""
    done = subprocess.run([place.program, "password", "--roster", roster], input=b"another one altogether\n",
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False)
    problems = []
    wants(problems, "another password", done.returncode, 0)
    due = time.monotonic() + 10
    status = 200
    while status == 200 and time.monotonic() < due:
        time.sleep(0.1)
        status = server.ask("GET", "/api/1/session").status
    wants(problems, "with the cookie of the old one", status, 401)
    return problems


def port_of(pid):
    """The port a process listens on: its sockets against the kernel's table."""
    own = {os.readlink(path) for path in glob.glob(f"/proc/{pid}/fd/*") if os.path.islink(path)}
    with open("/proc/net/tcp", encoding="ascii") as table:
        for row in table.read().splitlines()[1:]:
            fields = row.split()
            if fields[3] == "0A" and f"socket:[{fields[9]}]" in own:
                return int(fields[1].split(":")[1], 16)
    raise RuntimeError("it listens nowhere")


def try_passwords(server, secret):
    problems = []

    def log_in(words, **headers):
        return server.ask("POST", "/login", b"password=" + words.replace(" ", "+").encode(),
                          Content_Type="application/x-www-form-urlencoded", **headers)

    wants(problems, "another site's form", log_in(secret, Origin="https://evil.example").status, 403)
    right = log_in(secret)
    wants(problems, "the password", right.status, 303)
    if "Secure" not in right.headers.get("Set-Cookie", ""):
        problems.append("the cookie goes without TLS too")
    key = right.headers["Set-Cookie"].split(";")[0]
    server.cookie = key
    wants(problems, "with its cookie", server.ask("GET", "/api/1/session").status, 200)
    statuses = [log_in(f"wrong number {i}").status for i in range(7)]
    if statuses[:4] != [401] * 4 or 429 not in statuses:
        problems.append(f"wrong ones: {statuses}")
    waiting = log_in(secret)
    wants(problems, "the right one while it must wait", waiting.status, 429)
    if int(waiting.headers.get("Retry-After", 0)) < 1:
        problems.append("it doesn't say how long")
    return problems


# ---- which page asks ----

@threat
def other_hosts(_place, server):
    """A name of somebody else's that leads to this machine (DNS rebinding)."""
    problems = []
    for host in ("evil.example", f"evil.example:{server.port}", "127.0.0.1", "127.0.0.1:1",
                 f"127.0.0.1:{server.port}.evil.example", f"user@127.0.0.1:{server.port}", ""):
        for path in ("/", "/api/1/session"):
            answer = server.ask("GET", path, Host=host)
            if answer.status not in (400, 421) or b"Ada" in answer.body:
                problems.append(f"Host {host!r}: {answer.status}")
    twice = server.raw(f"GET /api/1/session HTTP/1.1\r\nHost: {server.host}\r\nHost: evil.example\r\n"
                       f"Cookie: {server.cookie}\r\nConnection: close\r\n\r\n".encode())
    if not twice.startswith(b"HTTP/1.1 400"):
        problems.append(f"two hosts: {twice[:40]!r}")
    none = server.raw(f"GET /api/1/session HTTP/1.1\r\nCookie: {server.cookie}\r\n"
                      "Connection: close\r\n\r\n".encode())
    if not none.startswith(b"HTTP/1.1 400"):
        problems.append(f"no host: {none[:40]!r}")
    wants(problems, "localhost", server.ask("GET", "/api/1/session",
                                            Host=f"localhost:{server.port}").status, 200)
    return problems


@threat
def other_sites_pages(_place, server):
    """A page of another site that makes the coach's browser ask."""
    problems = []
    path = "/api/1/jobs/1"
    for headers in ({"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": None},
                    {"Origin": f"https://127.0.0.1:{server.port}"}, {"Origin": "http://127.0.0.1:1"},
                    {"Sec_Fetch_Site": "cross-site"}, {"Sec_Fetch_Site": "same-site"},
                    {"Sec_Fetch_Site": "none"}):
        answer = server.ask("DELETE", path, **headers)
        wants(problems, str(headers), answer.status, 403)
        detail(answer)
    wants(problems, "a read from elsewhere",
          server.ask("GET", "/api/1/session", Sec_Fetch_Site="cross-site").status, 403)
    answer = server.ask("GET", "/api/1/session", Origin="http://evil.example")
    wants(problems, "a read with another origin", answer.status, 403)
    options = server.ask("OPTIONS", "/api/1/session", Origin="http://evil.example")
    for one in (answer, options):
        if any(name.lower().startswith("access-control") for name in one.headers):
            problems.append("another site is allowed to ask")
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", None):
        wants(problems, f"a file as {kind}",
              server.ask("POST", "/api/1/imports?name=a&rider=1", b"x", Content_Type=kind).status, 415)
    return problems


@threat
def the_page_may_do_little(_place, server):
    """Nothing inline, nothing from elsewhere, in nobody's frame, kept on no disk."""
    problems = []
    for path in ("/", "/api/1/session", "/no-such.js", "/api/1/no-such"):
        headers = server.ask("GET", path).headers
        policy = headers["Content-Security-Policy"] or ""
        for word in ("default-src 'none'", "script-src 'self'", "frame-ancestors 'none'", "base-uri 'none'",
                     "connect-src 'self'", "form-action 'self'"):
            if word not in policy:
                problems.append(f"{path}: {word} isn't in the policy")
        if "unsafe" in policy or "http:" in policy or "https:" in policy or "*" in policy:
            problems.append(f"{path}: {policy}")
        for name, value in (("X-Content-Type-Options", "nosniff"), ("Referrer-Policy", "no-referrer"),
                            ("Cross-Origin-Opener-Policy", "same-origin"),
                            ("Cross-Origin-Resource-Policy", "same-origin")):
            wants(problems, f"{path} {name}", headers[name], value)
        if path.startswith("/api/") and headers["Cache-Control"] != "no-store":
            problems.append(f"{path}: may be kept")
        if "Server" in headers or "X-Powered-By" in headers:
            problems.append(f"{path}: says what serves it")
    return problems


@threat
def the_page_is_part_of_the_program(_place, server):
    """Packed files by their names alone: hashed ones for ever, the page itself asked for again."""
    problems = []
    page = server.ask("GET", "/")
    if b"wasn't built" in page.body:
        return problems  # -Dweb=disabled: that is all there is
    wants(problems, "the page", (page.status, page.headers["Cache-Control"]), (200, "no-cache"))
    for path in ("/riders", "/riders/1", "/rides/7", "/welcome"):
        wants(problems, path, server.ask("GET", path).body, page.body)
    scripts = re.findall(rb'(?:src|href)="(/assets/[^"]+)"', page.body)
    if not scripts:
        problems.append("it asks for nothing")
    for path in (name.decode() for name in scripts):
        plain = server.ask("GET", path)
        packed = server.ask("GET", path, Accept_Encoding="br, gzip")
        wants(problems, path, (plain.status, plain.headers["Content-Encoding"]), (200, None))
        wants(problems, f"{path} packed", packed.headers["Content-Encoding"], "gzip")
        wants(problems, f"{path} unpacked", gzip.decompress(packed.body), plain.body)
        wants(problems, f"{path} Vary", plain.headers["Vary"], "Accept-Encoding")
        if "immutable" not in packed.headers["Cache-Control"]:
            problems.append(f"{path}: {packed.headers['Cache-Control']}")
        again = server.ask("GET", path, If_None_Match=packed.headers["ETag"])
        wants(problems, f"{path} unchanged", (again.status, again.body), (304, b""))
        if re.search(rb"https?://(?!www\.w3\.org/)[a-z]", plain.body) and path.endswith(".css"):
            problems.append(f"{path}: asks for something elsewhere")
    for path in ("/assets/none.js", "/index.htm", "/robots.txt"):
        wants(problems, path, server.ask("GET", path).status, 404)
    return problems


# ---- what is asked for ----

@threat
def paths_lead_nowhere_else(_place, server):
    """Dots, doubled and encoded slashes, zero bytes: no file but the page's own."""
    problems = []
    for path in ("/../../etc/passwd", "/..%2f..%2fetc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/assets/../index.html",
                 "//etc/passwd", "/assets/%2e%2e%2f%2e%2e%2fetc%2fpasswd", "/%c0%ae%c0%ae/etc/passwd",
                 "/etc/passwd%00.js", "/team.plumbline", "/api/1/../../team.plumbline", "/assets/", "/.git/config",
                 "/proc/self/environ", "/api/1/riders/..%2f1", "/index.html%0d%0aX:%20y", "/%", "/\\..\\x"):
        raw = server.raw(f"GET {path} HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
                         "Connection: close\r\n\r\n".encode("latin-1"))
        status = int(raw[9:12]) if raw[:9] == b"HTTP/1.1 " else 0
        body = raw.partition(b"\r\n\r\n")[2]
        if status not in (400, 404) and not (status == 200 and b"<!doctype html>" in body.lower()):
            problems.append(f"{path}: {status}")
        if b"root:" in body or b"SQLite" in body or b"PATH=" in body or b"[core]" in body:
            problems.append(f"{path}: a file came out")
        if b"\r\nX:" in raw:
            problems.append(f"{path}: a header came in")
    return problems


@threat
def malformed_requests(_place, server):
    """What is no HTTP is refused or dropped, and the next request is answered."""
    problems = []
    host = f"Host: {server.host}\r\nCookie: {server.cookie}\r\n"
    post = f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\n{host}Origin: {server.origin}\r\n" \
           "Content-Type: application/octet-stream\r\n"
    for name, data in (("garbage", b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(range(256))),
                       ("zero bytes", b"\x00" * 500), ("no version", b"GET /\r\n\r\n"),
                       ("HTTP/9", b"GET / HTTP/9.9\r\n\r\n"),
                       ("folded", f"GET / HTTP/1.1\r\n{host} folded\r\n\r\n".encode()),
                       ("negative length", (post + "Content-Length: -5\r\n\r\nabc").encode()),
                       ("two lengths", (post + "Content-Length: 3\r\nContent-Length: 5\r\n\r\nabcde").encode()),
                       ("huge length", (post + "Content-Length: 99999999999999999999999\r\n\r\n").encode()),
                       ("bad chunks", (post + "Transfer-Encoding: chunked\r\n\r\nzz\r\nabc\r\n").encode()),
                       ("chunks and length", (post + "Transfer-Encoding: chunked\r\nContent-Length: 3\r\n"
                                              "Connection: close\r\n\r\n3\r\nabc\r\n0\r\n\r\n").encode()),
                       ("unknown method", f"BREW / HTTP/1.1\r\n{host}Connection: close\r\n\r\n".encode())):
        got = server.raw(data, timeout=3)
        if b"HTTP/1.1 2" in got:
            problems.append(f"{name}: {got[:60]!r}")
        if server.ask("GET", "/api/1/session").status != 200:
            problems.append(f"{name}: the next request fails")
            break
    wants(problems, "unknown address", server.ask("GET", "/api/1/no-such").status, 404)
    wants(problems, "unknown version", server.ask("GET", "/api/2/session").status, 404)
    wrong = server.ask("PUT", "/api/1/session", {})
    wants(problems, "another method", wrong.status, 405)
    if "GET" not in (wrong.headers["Allow"] or ""):
        problems.append(f"Allow: {wrong.headers['Allow']}")
    wants(problems, "unknown query", server.ask("GET", "/api/1/session?x=1").status, 400)
    wants(problems, "a body where none is taken",
          server.ask("DELETE", "/api/1/jobs/1", {"a": 1}).status, 400)
    wants(problems, "a body for a job that takes none",
          server.ask("POST", "/api/1/example", {"a": 1}).status, 400)
    return problems


@threat
def nothing_inside_is_told(place, server):
    """No folder, no SQL, no names of the store's own in what goes out, nor names in the log."""
    problems = []
    folder = os.path.dirname(place.kept)
    answers = [server.ask("GET", path) for path in (
        "/api/1/session", "/api/1/jobs", "/api/1/jobs/99999999999999999999", "/api/1/jobs/x",
        "/api/1/riders/99999", "/api/1/riders/%27%20OR%201=1--", "/api/1/rides/0", "/no/such")]
    answers += [server.upload(b"not a ride"), server.upload(b"x", rider="1%27--"), server.upload(b"x", rider=77)]
    time.sleep(0.5)
    answers.append(server.ask("GET", "/api/1/jobs"))
    answers += [server.ask("GET", f"/api/1/jobs/{i}") for i in (1, 2, 3)]
    for answer in answers:
        for word in (folder, "/tmp/", "/proc/", "SELECT", "sqlite", "SQLITE", "rider.name_folded", ".c:"):
            if word.encode() in answer.body:
                problems.append(f"{word} in {answer.body[:200]!r}")
    for word in ("Ada", "Berg", server.token, server.cookie.split("=")[1]):
        if word in server.log():
            problems.append(f"{word} is in the log")
    return problems


# ---- too much, too slow ----

@threat
def large_headers(_place, server):
    """Headers over 16 kB, and addresses over 8 kB."""
    problems = []
    for n, limit in ((15000, 200), (17000, 431), (200000, None)):
        raw = server.raw(f"GET /api/1/session HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
                         f"X: {'a' * n}\r\nConnection: close\r\n\r\n".encode(), timeout=10)
        status = int(raw[9:12]) if raw[:9] == b"HTTP/1.1 " else 0
        if (limit is not None and status != limit) or (limit is None and status == 200):
            problems.append(f"{n} bytes: {status}")
    many = "".join(f"X{i}: 1\r\n" for i in range(5000))
    raw = server.raw(f"GET / HTTP/1.1\r\nHost: {server.host}\r\n{many}\r\n".encode(), timeout=10)
    if raw.startswith(b"HTTP/1.1 2"):
        problems.append("5000 headers are taken")
    address = server.ask("GET", "/api/1/riders/" + "a" * 9000)
    wants(problems, "a long address", address.status, 414)
    wants(problems, "afterwards", server.ask("GET", "/api/1/session").status, 200)
    return problems


@threat
def large_bodies(place, server):
    """256 MB of a file, 1 MB of JSON: refused by length before they come, without one by count."""
    def pieces(head, piece, n, last):
        """A body in chunks, n times the same and a last one (RFC 9112, section 7.1)."""
        return ((head + "Connection: close\r\nTransfer-Encoding: chunked\r\n\r\n").encode() +
                (b"%x\r\n%s\r\n" % (len(piece), piece)) * n + b"%x\r\n%s\r\n0\r\n\r\n" % (len(last), last))

    problems = []
    head = (f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
            f"Origin: {server.origin}\r\nContent-Type: application/octet-stream\r\n")
    raw = server.raw((head + "Content-Length: 256000001\r\n\r\n").encode() + b"x" * 1000, timeout=10)
    if not raw.startswith(b"HTTP/1.1 413"):
        problems.append(f"256 MB and a byte: {raw[:40]!r}")
    raw = server.raw(pieces(head, b"x" * 1000000, 256, b"y"), timeout=60)
    if not raw.startswith(b"HTTP/1.1 413"):
        problems.append(f"256 MB and a byte without a length: {raw[:40]!r}")
    path = "/api/1/who/1/marks"
    answer = server.ask("POST", path, b'{"a":"' + b"x" * 1100000 + b'"}', Content_Type="application/json",
                        If_Match='"1"')
    wants(problems, "1.1 MB of JSON", answer.status, 413)
    raw = server.raw(pieces(f"POST {path} HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
                            f"Origin: {server.origin}\r\nContent-Type: application/json\r\nIf-Match: \"1\"\r\n",
                            b" " * 50000, 21, b" "), timeout=10)
    if not raw.startswith(b"HTTP/1.1 413"):
        problems.append(f"1 MB of JSON without a length: {raw[:40]!r}")
    wants(problems, "files left", leftovers(place, server), [])
    return problems


def leftovers(_place, server):
    """What lies beside the roster that isn't its own."""
    folder = os.path.dirname(server.errors.name)
    return sorted(name for name in os.listdir(folder)
                  if not re.fullmatch(r"team\.plumbline(-wal|-shm|\.log)?", name))


@threat
def slow_requests(place, _server):
    """Headers, bodies and silence, a byte at a time: all are closed, and others are served meanwhile."""
    server = place.serve("--patience", "1")
    problems = []
    began = time.monotonic()
    upload = (f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
              f"Origin: {server.origin}\r\nContent-Type: application/octet-stream\r\nContent-Length: 5000\r\n\r\n")
    starts = {"silence": b"", "headers": f"GET / HTTP/1.1\r\nHost: {server.host}\r\n".encode(),
              "first line": b"GET /", "body": upload.encode()}
    lines = {name: server.line(timeout=0.5) for name in starts}
    try:
        for name, line in lines.items():
            line.sendall(starts[name])
        open_lines = dict(lines)
        while open_lines and time.monotonic() - began < 20:
            time.sleep(0.2)
            for name, line in list(open_lines.items()):
                try:
                    if name != "silence":
                        line.sendall(b"a")
                    line.setblocking(False)
                    if line.recv(1000) == b"":
                        del open_lines[name]
                except BlockingIOError:
                    pass
                except OSError:
                    del open_lines[name]
            if server.ask("GET", "/api/1/session").status != 200:
                problems.append("others wait meanwhile")
                break
        if open_lines:
            problems.append(f"still open after 20 s: {sorted(open_lines)}")
        wants(problems, "files left", leftovers(place, server), [])
    finally:
        for line in lines.values():
            line.close()
        server.stop()
    return problems


@threat
def too_many_connections(_place, server):
    """At most a hundred; when they go, others get in."""
    problems = []
    lines = []
    try:
        for _ in range(130):
            line = server.line(timeout=5)
            line.sendall(b"GET / HT")
            lines.append(line)
        time.sleep(0.5)
        held = sum(1 for path in glob.glob(f"/proc/{server.process.pid}/fd/*")
                   if os.path.islink(path) and os.readlink(path).startswith("socket:"))
        if not 90 < held <= 101:  # and the one that listens
            problems.append(f"{held} connections are held")
    finally:
        for line in lines:
            line.close()
    due = time.monotonic() + 10
    status = 0
    while status != 200 and time.monotonic() < due:
        try:
            status = server.ask("GET", "/api/1/session").status
        except OSError:
            time.sleep(0.1)
    wants(problems, "afterwards", status, 200)
    return problems


@threat
def too_many_uploads(place, server):
    """Two files at once; the third is told to wait, and gets in when one is done."""
    problems = []
    head = (f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
            f"Origin: {server.origin}\r\nContent-Type: application/octet-stream\r\nContent-Length: 100\r\n\r\n")
    lines = [server.line(), server.line()]
    for line in lines:
        line.sendall(head.encode() + b"x" * 10)
    time.sleep(0.3)
    third = server.upload(place.ride())
    wants(problems, "the third", third.status, 503)
    if int(third.headers.get("Retry-After", 0)) < 1:
        problems.append("it doesn't say when to try again")
    for line in lines:
        line.close()
    due = time.monotonic() + 10
    status = 503
    while status == 503 and time.monotonic() < due:
        time.sleep(0.1)
        status = server.upload(place.ride()).status
    wants(problems, "afterwards", status, 202)
    return problems


@threat
def too_many_listeners(_place, server):
    """Eight streams of events; who goes makes room."""
    problems = []
    lines = [server.listen() for _ in range(8)]
    try:
        if any(b"HTTP/1.1 200" not in head for _, head in lines):
            problems.append("eight can't listen")
        ninth = server.ask("GET", "/api/1/events")
        wants(problems, "the ninth", ninth.status, 503)
        lines.pop()[0].close()
        status = 503
        due = time.monotonic() + 10
        while status == 503 and time.monotonic() < due:
            time.sleep(0.1)
            lines.append(server.listen())
            status = int(lines[-1][1][9:12])
            if status != 200:
                lines.pop()[0].close()
        wants(problems, "when one is gone", status, 200)
    finally:
        for line, _ in lines:
            line.close()
    return problems


# ---- what must go right all the same ----

@threat
def uploads_leave_no_file(place, _server):
    """Killed in the middle of an upload: nothing of it is left on the disk."""
    server = place.serve()
    problems = []
    with server.line() as line:
        line.sendall((f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\nHost: {server.host}\r\n"
                      f"Cookie: {server.cookie}\r\nOrigin: {server.origin}\r\n"
                      "Content-Type: application/octet-stream\r\nContent-Length: 5000000\r\n\r\n").encode() +
                     b"x" * 1000000)
        time.sleep(0.3)
        wants(problems, "while it comes", leftovers(place, server), [])
        server.stop(signal.SIGKILL)
    wants(problems, "afterwards", leftovers(place, server), [])
    done = run(place.program, "check", "--roster", os.path.join(os.path.dirname(server.errors.name), "team.plumbline"))
    wants(problems, "the roster", done.returncode, 0)
    return problems


@threat
def an_import_is_a_job(place, _server):
    """A file goes in, its progress is told, and once taken it is known; others' names are clean."""
    server = place.serve()
    problems = []
    try:
        line, head = server.listen()
        answer = server.upload(place.ride(), name="%2e%2e%2fevening%20%3Cb%3E.fit")
        wants(problems, "status", answer.status, 202)
        job = json.loads(answer.body)
        wants(problems, "location", answer.headers["Location"], f"/api/1/jobs/{job['id']}")
        job = server.job(job["id"])
        wants(problems, "counts", job["result"]["counts"]["taken"], 1)
        wants(problems, "name", job["result"]["files"][0]["file"], "evening <b>.fit")
        again = server.job(json.loads(server.upload(place.ride()).body)["id"])
        wants(problems, "again", again["result"]["counts"]["known"], 1)
        broken = server.job(json.loads(server.upload(b"not a ride at all").body)["id"])
        wants(problems, "broken", broken["result"]["counts"]["unreadable"] +
              broken["result"]["counts"]["not-a-recording"], 1)
        nobody = server.job(json.loads(server.upload(place.ride(2), rider=99).body)["id"])
        wants(problems, "nobody's", (nobody["state"], nobody["error"]["kind"]), ("failed", "not-found"))
        time.sleep(1.5)
        line.setblocking(False)
        told = head + line.recv(65536)
        for word in (b"event: hello", b"event: job", b"event: changed", b'"state":"done"'):
            if word not in told:
                problems.append(f"{word!r} wasn't told")
        line.close()
        ended = server.raw(f"GET /api/1/jobs/1/events HTTP/1.1\r\nHost: {server.host}\r\nCookie: {server.cookie}\r\n"
                           "Connection: close\r\n\r\n".encode(), timeout=5)
        if b'"state":"done"' not in ended or not ended.endswith(b"0\r\n\r\n"):
            problems.append(f"a job that is over: {ended[-80:]!r}")
        wants(problems, "no such job", server.ask("GET", "/api/1/jobs/77/events").status, 404)
    finally:
        wants(problems, "exit", server.stop(), 0)
    return problems


@threat
def a_slow_answer_is_a_job(place, _server):
    """A read that isn't there at a glance is a job, one for all who ask; then its answer is there."""
    server = place.serve()
    problems = []
    try:
        path = "/api/1/riders/1/weeks"
        # Nobody waits at all: whatever isn't kept is a job, however fast the machine is.
        first = server.ask("GET", path, Prefer="wait=0")
        wants(problems, "the first", first.status, 202)
        job = json.loads(first.body)
        wants(problems, "kind", job["kind"], "answer")
        wants(problems, "location", first.headers["Location"], f"/api/1/jobs/{job['id']}")
        wants(problems, "its end", server.job(job["id"])["state"], "done")
        # What the server does of itself when it has begun may make the first answer an old one.
        due = time.monotonic() + 30
        then = server.ask("GET", path, Prefer="wait=0")
        while then.status == 202 and time.monotonic() < due:
            server.job(json.loads(then.body)["id"])
            then = server.ask("GET", path, Prefer="wait=0")
        wants(problems, "once it is over", (then.status, then.headers["Content-Type"]), (200, "application/json"))
        told = json.loads(server.ask("GET", "/api/1/jobs").body)["jobs"]
        wants(problems, "jobs told of", {one["kind"] for one in told}, {"answer"})
        wants(problems, "kept", server.ask("GET", path, Prefer="wait=0").status, 200)
        waited = server.ask("GET", "/api/1/who", Prefer="respond-async, wait=30")
        wants(problems, "one who waits", waited.status, 200)
        again = json.loads(server.ask("GET", "/api/1/jobs").body)["jobs"]
        wants(problems, "no job for one who waited", len(again), len(told))
        lost = server.ask("GET", "/api/1/riders/77/weeks")
        wants(problems, "what is wrong is told as ever", lost.status, 404)
    finally:
        server.stop()
    return problems


@threat
def the_example_is_a_file_of_its_own(place, _server):
    """One click shows invented riders; the coach's own roster is as it was, and comes back."""
    server = place.serve()
    problems = []
    folder = os.path.dirname(server.errors.name)
    try:
        own = json.loads(server.ask("GET", "/api/1/session").body)
        making = json.loads(server.ask("POST", "/api/1/example").body)
        time.sleep(0.5)
        server.ask("DELETE", f"/api/1/jobs/{making['id']}")
        wants(problems, "stopped", server.job(making["id"])["state"], "stopped")
        wants(problems, "left of it", [name for name in os.listdir(folder) if "example" in name], [])
        run(place.program, "example", os.path.join(folder, "example"), "--riders", "1")
        shown = server.job(json.loads(server.ask("POST", "/api/1/example").body)["id"])
        wants(problems, "shown", shown["state"], "done")
        session = json.loads(server.ask("GET", "/api/1/session").body)
        wants(problems, "the example's today", session["today"], "2026-08-31")
        back = server.ask("DELETE", "/api/1/example")
        wants(problems, "back", (back.status, json.loads(back.body)), (200, own))
        wants(problems, "own again", json.loads(server.ask("GET", "/api/1/session").body), own)
    finally:
        wants(problems, "exit", server.stop(), 0)
    return problems


@threat
def unchanged_answers_are_304(place, _server):
    """An ETag holds until the roster changes, by whatever program."""
    server = place.serve()
    problems = []
    try:
        path = "/api/1/session"
        first = server.ask("GET", path)
        etag = first.headers["ETag"]
        wants(problems, "weak", etag[:3], 'W/"')
        same = server.ask("GET", path, If_None_Match=etag)
        wants(problems, "unchanged", (same.status, same.body), (304, b""))
        wants(problems, "several", server.ask("GET", path, If_None_Match=f'"x", {etag}').status, 304)
        done = run(place.program, "rider", "add", "Bo", "--roster",
                   os.path.join(os.path.dirname(server.errors.name), "team.plumbline"))
        wants(problems, "the other program", done.returncode, 0)
        changed = server.ask("GET", path, If_None_Match=etag)
        wants(problems, "changed", changed.status, 200)
        head = server.ask("HEAD", path)
        wants(problems, "HEAD", (head.status, head.body, head.headers["ETag"]), (200, b"", changed.headers["ETag"]))
    finally:
        server.stop()
    return problems


@threat
def two_tabs_conflict(place, _server):
    """Who changes what somebody else changed meanwhile overwrites nothing, and undo brings it back."""
    server = place.serve()
    problems = []
    try:
        def seen():
            return json.loads(server.ask("GET", "/api/1/riders/1").body)["thresholds"][0]
        before = seen()
        path = f"/api/1/riders/1/thresholds/{before['number']}"
        tag = f'"{before["version"]}"'
        wants(problems, "no version", server.ask("PUT", path, {"value": 250}).status, 428)
        for wrong in (tag.strip('"'), "*", 'W/"1"', '"-1"', '"1", "2"'):
            wants(problems, f"If-Match {wrong}", server.ask("PUT", path, {"value": 250}, If_Match=wrong).status, 400)
        one = server.ask("PUT", path, {"value": 250}, If_Match=tag)
        wants(problems, "the first tab", one.status, 200)
        two = server.ask("PUT", path, {"value": 260}, If_Match=tag)
        wants(problems, "the second tab", two.status, 412)
        detail(two)
        wants(problems, "what stands", seen()["value"], 250)
        results = []
        tag = f'"{seen()["version"]}"'
        tabs = [threading.Thread(target=lambda value=value: results.append(
            server.ask("PUT", path, {"value": value}, If_Match=tag).status)) for value in range(300, 308)]
        for tab in tabs:
            tab.start()
        for tab in tabs:
            tab.join()
        wants(problems, "eight at once", sorted(results), [200] + [412] * 7)
        wants(problems, "undo", server.ask("POST", f"/api/1/changes/{json.loads(one.body)['change']}/undo", {}).status,
              409)
        tag = f'"{seen()["version"]}"'
        wants(problems, "a key that isn't one", server.ask("PUT", path, {"valve": 1}, If_Match=tag).status, 400)
    finally:
        server.stop()
    return problems


@threat
def rides_are_read_again_meanwhile(place, _server):
    """What another program left to be read again is read while the server runs."""
    server = place.serve()
    problems = []
    roster = os.path.join(os.path.dirname(server.errors.name), "team.plumbline")
    try:
        line, told = server.listen()
        done = run(place.program, "threshold", "ada", "200", "--from", "2026-01-02", "--later", "--roster", roster)
        wants(problems, "the other program", done.returncode, 0)
        line.settimeout(0.5)
        due = time.monotonic() + 30
        while b'"waiting":0' not in told and time.monotonic() < due:
            try:
                told += line.recv(65536)
            except socket.timeout:
                pass
        line.close()
        if b"event: rereading" not in told or b'"waiting":0' not in told:
            problems.append(f"not told: {told[-300:]!r}")
        wants(problems, "what waits", json.loads(run(place.program, "jobs", "--json", "--roster", roster).stdout), [])
    finally:
        server.stop()
    return problems


@threat
def an_end_is_graceful(place, _server):
    """SIGINT and SIGTERM: what is being answered is answered, streams end, the roster is whole."""
    problems = []
    for how in (signal.SIGINT, signal.SIGTERM):
        server = place.serve()
        line, _ = server.listen()
        slow = server.line()
        data = place.ride()
        slow.sendall((f"POST /api/1/imports?name=a&rider=1 HTTP/1.1\r\nHost: {server.host}\r\n"
                      f"Cookie: {server.cookie}\r\nOrigin: {server.origin}\r\n"
                      f"Content-Type: application/octet-stream\r\nContent-Length: {len(data)}\r\n"
                      "Connection: close\r\n\r\n").encode() + data[:1000])
        time.sleep(0.2)
        ending = threading.Thread(target=lambda: problems.append(status) if
                                  (status := server.stop(how)) != 0 else None)
        ending.start()
        time.sleep(0.5)
        slow.sendall(data[1000:])
        answer = read_all(slow)
        if not answer.startswith(b"HTTP/1.1 202"):
            problems.append(f"{how}: {answer[:60]!r}")
        if not read_all(line).endswith(b"0\r\n\r\n"):
            problems.append(f"{how}: the stream has no end")
        ending.join()
        slow.close()
        line.close()
        try:
            server.line(timeout=1).close()
            problems.append(f"{how}: it still listens")
        except OSError:
            pass
        checked = run(place.program, "check", "--roster",
                      os.path.join(os.path.dirname(server.errors.name), "team.plumbline"))
        wants(problems, "the roster", checked.returncode, 0)
    return problems


@threat
def one_line_and_a_port(place, server):
    """One address on stdout; a port that is taken is said; a roster that isn't there too."""
    problems = []
    taken = run(place.program, "serve", "--port", str(server.port), "--roster", place.roster())
    wants(problems, "taken", (taken.returncode, taken.stdout), (1, b""))
    if b"--port 0" not in taken.stderr or taken.stderr.count(b"\n") != 1:
        problems.append(f"taken: {taken.stderr!r}")
    none = run(place.program, "serve", "--roster", os.path.join(place.folder, "none.plumbline"))
    wants(problems, "no roster", none.returncode, 1)
    if b"there is no roster" not in none.stderr:
        problems.append(f"no roster: {none.stderr!r}")
    other = Served(place.program, place.roster(), "--log-json", "--today", "2026-03-14")
    try:
        wants(problems, "today", json.loads(other.ask("GET", "/api/1/session").body)["today"], "2026-03-14")
    finally:
        other.stop()
    for row in other.log().splitlines():
        json.loads(row)
    wants(problems, "more on stdout", other.process.stdout.read(), b"")
    return problems


def page_of_threats(_place, _server):
    """docs/threats.md names every test here, and none that isn't."""
    with open(os.path.join(SOURCE, "docs", "threats.md"), encoding="utf-8") as source:
        text = source.read()
    named = set(re.findall(r"`run\.py: ([a-z0-9_]+)`", text))
    own = {test.__name__ for test in TESTS}
    return [f"{name}: not on the page" for name in sorted(own - named)] + \
           [f"{name}: on the page, but no test" for name in sorted(named - own)]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--make-rides")
    parser.add_argument("--only", action="append")
    args = parser.parse_args()
    maker = args.make_rides or os.path.join(os.path.dirname(args.program), "demo", "make-rides")
    tally = Tally()
    with tempfile.TemporaryDirectory(prefix="plumbline-serve-") as folder:
        place = Place(os.path.abspath(args.program), os.path.abspath(maker), folder)
        server = place.serve("--log-json")
        try:
            for test in [*TESTS, page_of_threats]:
                if args.only and test.__name__ not in args.only:
                    continue
                try:
                    problems = test(place, server)
                except Exception as wrong:  # pylint: disable=broad-except
                    problems = [f"{type(wrong).__name__}: {wrong}"]
                tally.check(f"serve: {' '.join(test.__doc__.split())}", problems)
        finally:
            status = server.stop()
        said = [line for one in Served.all for line in one.sanitizer_says()]
        tally.check("serve: it ends cleanly, with nothing for the sanitizers to say",
                    ([] if status == 0 else [f"exit {status}"]) + said)
    raise SystemExit(tally.total())


if __name__ == "__main__":
    main()
