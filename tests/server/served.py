"""A server of our own for the tests: started, spoken to by hand, stopped."""
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(os.path.dirname(HERE), "cli"))

from harness import Tally, run  # noqa: E402,F401 pylint: disable=wrong-import-position,unused-import


class Served:
    """plumbline serve on a free port, with a browser's cookie."""

    all = []  # that were started: what each said is looked at in the end

    def __init__(self, program, roster, *options, let_in=True):
        self.errors = open(roster + ".log", "w+b")  # pylint: disable=consider-using-with
        self.process = subprocess.Popen(  # pylint: disable=consider-using-with
            [program, "serve", "--port", "0", "--roster", roster, *options],
            stdout=subprocess.PIPE, stderr=self.errors)
        Served.all.append(self)
        self.address = self.process.stdout.readline().decode().strip()
        found = re.fullmatch(r"https?://([0-9.]+|[a-z.]+|\[::1\])(?::(\d+))?/(?:\?token=([0-9a-f]{64}))?",
                             self.address)
        if found is None:
            self.stop()
            raise RuntimeError(f"no address: {self.address!r} {self.log()}")
        self.port = int(found.group(2) or 0)
        self.token = found.group(3)
        self.host = f"127.0.0.1:{self.port}"
        self.origin = f"http://{self.host}"
        self.cookie = None
        if let_in:
            self.let_in()

    def let_in(self):
        answer = self.ask("GET", f"/?token={self.token}")
        self.cookie = answer.headers["Set-Cookie"].split(";")[0]

    def ask(self, method, path, body=None, cookie=True, timeout=30, **headers):
        """One request on a connection of its own; headers with _ for -, None leaves one out."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        try:
            return self.ask_on(connection, method, path, body, cookie, **headers)
        finally:
            connection.close()

    def ask_on(self, connection, method, path, body=None, cookie=True, **headers):
        sent = {"Host": self.host, "Prefer": "wait=30"}
        if cookie and self.cookie:
            sent["Cookie"] = self.cookie
        if method not in ("GET", "HEAD"):
            sent["Origin"] = self.origin
        if isinstance(body, (dict, list)):
            body = json.dumps(body).encode()
            sent["Content-Type"] = "application/json"
        for name, value in headers.items():
            sent[name.replace("_", "-")] = value
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                connection.putheader(name, value)
        if body is not None:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders()
        if body is not None:
            try:
                connection.send(body)
            except (BrokenPipeError, ConnectionResetError):
                pass  # refused before it was all sent: the answer is there all the same
        answer = connection.getresponse()
        answer.body = answer.read()
        return answer

    def raw(self, data, timeout=20):
        """Bytes as they are; what comes back until the server closes, or silence."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=timeout) as line:
            line.sendall(data)
            return read_all(line)

    def line(self, timeout=20):
        return socket.create_connection(("127.0.0.1", self.port), timeout=timeout)

    def upload(self, data, rider=1, name="ride.fit", **headers):
        return self.ask("POST", f"/api/1/imports?name={name}&rider={rider}", data,
                        Content_Type="application/octet-stream", **headers)

    def job(self, number, timeout=60):
        """Waits for it."""
        due = time.monotonic() + timeout
        while time.monotonic() < due:
            job = json.loads(self.ask("GET", f"/api/1/jobs/{number}").body)
            if job["state"] in ("done", "failed", "stopped"):
                return job
            time.sleep(0.05)
        raise RuntimeError("the job doesn't end")

    def listen(self, path="/api/1/events", timeout=20):
        """A stream of events: the socket, and its first bytes with the headers."""
        line = self.line(timeout)
        line.sendall(f"GET {path} HTTP/1.1\r\nHost: {self.host}\r\nCookie: {self.cookie}\r\n\r\n"
                     .encode())
        head = b""
        while b"\r\n\r\n" not in head:
            more = line.recv(4096)
            if not more:
                break
            head += more
        return line, head

    def sanitizer_says(self):
        said = self.log()
        return [said[-1500:]] if "Sanitizer" in said or "runtime error:" in said else []

    def log(self):
        self.errors.seek(0)
        return self.errors.read().decode("utf-8", "replace")

    def stop(self, how=signal.SIGTERM, timeout=30):
        """The exit status."""
        if self.process.poll() is None:
            self.process.send_signal(how)
        try:
            return self.process.wait(timeout)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            return "did not end"


def read_all(line):
    got = b""
    try:
        while True:
            more = line.recv(65536)
            if not more:
                return got
            got += more
    except (socket.timeout, ConnectionResetError):
        return got


def detail(answer):
    """The line of a problem; a test fails loudly where it is none."""
    problem = json.loads(answer.body)
    assert answer.headers["Content-Type"] == "application/problem+json", answer.headers
    assert set(problem) == {"title", "status", "kind", "detail"}, problem
    assert problem["status"] == answer.status, problem
    return problem["detail"]
