#!/usr/bin/env python3
"""Answers of the server against a file: serve.py BUILD_DIR

Fifty clients ask for one address for three seconds at a time (wrk), in turns: an answer of the API,
and a plain file of the same bytes from nginx.  The ratio is that of the 99th percentiles of the time
to an answer, the median over the turns with its lowest and highest.
"""
import contextlib
import http.client
import json
import os
import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
TURNS = 5
SECONDS = 3
CLIENTS = 50
WANTED = 4.0
PATHS = ("who", "riders/1", "riders/1/weeks", "session")

NGINX = """{user}daemon off; worker_processes 1; pid {folder}/pid; error_log {folder}/error.log;
events {{ worker_connections 256; }}
http {{ access_log off; types {{}} default_type application/json; etag on;
  client_body_temp_path {folder}/b; proxy_temp_path {folder}/p; fastcgi_temp_path {folder}/f;
  uwsgi_temp_path {folder}/u; scgi_temp_path {folder}/s;
  server {{ listen 127.0.0.1:{port}; root {folder}/files; }} }}
"""


def shown(what, seconds):
    """A figure without a peer."""
    middle, low, high = statistics.median(seconds), min(seconds), max(seconds)
    print(f"{'serve':8} {what:44} {middle * 1e3:8.2f} ms  [{low * 1e3:.2f}..{high * 1e3:.2f}]", flush=True)


def row(goal, what, peer, ours, theirs, ratios, wanted):
    """As bench.c has it; without ratios it is ABSENT."""
    verdict = "ABSENT" if not ratios else "met" if statistics.median(ratios) <= wanted else "MISSED"
    middle, low, high = (statistics.median(ratios), min(ratios), max(ratios)) if ratios else (0, 0, 0)
    print(f"{goal:8} {what:44} {ours * 1e3:8.2f} ms  {peer:28} {theirs * 1e3:8.2f} ms  "
          f"{middle:6.2f} [{low:.2f}..{high:.2f}]  <= {wanted:g}  {verdict}", flush=True)
    rows = os.environ.get("PLUMBLINE_BENCH_ROWS")
    if rows:
        with open(rows, "a", encoding="utf-8") as out:
            out.write(f"{goal}\t{what}\t{peer}\t{ours:.6g}\t{theirs:.6g}\ts\t{middle:.5g}\t{low:.5g}\t{high:.5g}"
                      f"\t<=\t{wanted:.5g}\t{verdict}\n")


def p99(address, cookie=None):
    """Seconds."""
    words = ["wrk", "-t1", f"-c{CLIENTS}", f"-d{SECONDS}s", "--latency"]
    done = subprocess.run([*words, *(["-H", f"Cookie: {cookie}"] if cookie else []), address],
                          stdout=subprocess.PIPE, check=True)
    text = done.stdout.decode()
    if "Non-2xx" in text:
        raise RuntimeError(text)
    number, unit = re.search(r"99%\s+([0-9.]+)(us|ms|s)", text).groups()
    return float(number) * {"us": 1e-6, "ms": 1e-3, "s": 1.0}[unit]


def ask(base, path, cookie=None):
    line = http.client.HTTPConnection(base.removeprefix("http://"), timeout=120)
    line.request("GET", path, headers={"Prefer": "wait=30"} | ({"Cookie": cookie} if cookie else {}))
    answer = line.getresponse()
    body = answer.read()
    line.close()
    return answer, body


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def files_server(folder, bodies):
    """nginx with a file for each answer; None if it isn't installed."""
    nginx = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")
    if nginx is None:
        return None, None
    os.makedirs(os.path.join(folder, "files"))
    for number, body in enumerate(bodies):
        with open(os.path.join(folder, "files", str(number)), "wb") as out:
            out.write(body)
    port = free_port()
    conf = os.path.join(folder, "conf")
    with open(conf, "w", encoding="utf-8") as out:
        out.write(NGINX.format(folder=folder, port=port, user="user root; " if os.geteuid() == 0 else ""))
    process = subprocess.Popen([nginx, "-c", conf, "-p", folder], stderr=subprocess.DEVNULL)
    time.sleep(0.5)
    return process, f"http://127.0.0.1:{port}"


def first_after_a_change(base, cookie, program, roster):
    """What the kept answers save: the same asked when the roster has just changed."""
    for path in PATHS:
        seconds = []
        for turn in range(TURNS):
            subprocess.run([program, "weight", "1", f"{60 + turn / 10:.1f}", "--later",
                            "--roster", roster], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            began = time.perf_counter()
            ask(base, f"/api/1/{path}", cookie)
            seconds.append(time.perf_counter() - began)
        shown(f"{path}, the first after a change", seconds)


def wait_until_read(base, cookie):
    """Until no ride waits to be read again."""
    while json.loads(ask(base, "/api/1/jobs", cookie)[1])["rides_being_read_again"] > 0:
        time.sleep(1)


def measure(base, cookie, folder):
    bodies = [ask(base, f"/api/1/{path}", cookie)[1] for path in PATHS]
    peer, files = files_server(folder, bodies)
    try:
        for number, path in enumerate(PATHS):
            what = f"{path}, {len(bodies[number]) / 1000:.1f} kB, p99 of {CLIENTS} clients"
            if files is None or shutil.which("wrk") is None:
                row("serve", what, "a file, by nginx: not installed", 0, 0, [], WANTED)
                continue
            pairs = [(p99(f"{base}/api/1/{path}", cookie), p99(f"{files}/{number}")) for _ in range(TURNS)]
            row("serve", what, "a file of the same bytes, nginx", statistics.median(a for a, _ in pairs),
                statistics.median(b for _, b in pairs), [a / b for a, b in pairs], WANTED)
    finally:
        if peer is not None:
            peer.terminate()
            peer.wait()


@contextlib.contextmanager
def served(build):
    """A server of a copy of the example roster, all of it read: its address, a cookie that may come in,
    the program, the copy, and the folder in which it lies."""
    program = os.path.join(build, "plumbline")
    made = subprocess.run([os.path.join(HERE, "..", "tools", "example_roster.sh"), build], check=True,
                          stdout=subprocess.PIPE)
    with tempfile.TemporaryDirectory(prefix="plumbline-bench-") as folder:
        roster = shutil.copy(made.stdout.decode().strip(), os.path.join(folder, "bench.plumbline"))
        process = subprocess.Popen([program, "serve", "--port", "0", "--roster", roster],
                                   stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        try:
            base, token = process.stdout.readline().decode().strip().split("/?token=")
            cookie = ask(base, f"/?token={token}")[0].headers["Set-Cookie"].split(";")[0]
            wait_until_read(base, cookie)
            yield base, cookie, program, roster, folder
        finally:
            process.terminate()
            process.wait()


def main():
    with served(os.path.abspath(sys.argv[1])) as (base, cookie, program, roster, folder):
        measure(base, cookie, os.path.join(folder, "nginx"))
        first_after_a_change(base, cookie, program, roster)


if __name__ == "__main__":
    main()
