#!/usr/bin/env python3
"""Runs test programs (TAP), adds them up, and refuses a suite that only seems to pass.

usage: run_tests.py BUILD_DIR [--jobs N] [NAME ...]

A program named test_store_* is run twice, with the arguments "sqlite" and "postgresql"; for the
second a private server is started, and stopped at the end.
"""
import argparse
import concurrent.futures
import os
import re
import signal
import subprocess
import sys
import time

LINE = re.compile(r"^(not ok|ok)\b(.*)$")
PLAN_SKIP = re.compile(r"^1\.\.0 # SKIP (.*)$")


HERE = os.path.dirname(os.path.abspath(__file__))


class PrivateServer:
    """A PostgreSQL of our own, if this machine has one; .address is None otherwise."""

    def __init__(self, wanted):
        self.folder = self.address = None
        if not wanted:
            return
        done = subprocess.run([os.path.join(HERE, "postgres.sh"), "start"], stdout=subprocess.PIPE,
                              check=False)
        lines = done.stdout.decode().splitlines()
        if done.returncode == 0 and len(lines) == 2:
            self.folder, self.address = lines
        elif done.returncode != 3:
            print("# the private PostgreSQL did not start")

    def stop(self):
        if self.folder:
            subprocess.run([os.path.join(HERE, "postgres.sh"), "stop", self.folder], check=False)
            self.folder = None


def run_one(command):
    path = " ".join(command)
    begun = time.monotonic()
    env = dict(os.environ, CMOCKA_MESSAGE_OUTPUT="TAP")
    env.setdefault("ASAN_OPTIONS", "detect_leaks=1:abort_on_error=0")
    env.setdefault("LSAN_OPTIONS", "print_suppressions=0:suppressions=" + os.path.join(
        os.path.dirname(os.path.abspath(__file__)), "leaks-of-others.txt"))
    env.setdefault("UBSAN_OPTIONS", "print_stacktrace=1:halt_on_error=1")
    try:
        done = subprocess.run(command, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                              timeout=900, check=False)
        text = done.stdout.decode("utf-8", "replace")
        code = done.returncode
    except subprocess.TimeoutExpired as late:
        text = (late.stdout or b"").decode("utf-8", "replace") + "\n# took more than 900 s"
        code = 124
    passed = failed = skipped = 0
    for line in text.splitlines():
        if PLAN_SKIP.match(line):
            skipped += 1
        match = LINE.match(line)
        if match:
            if match.group(1) == "ok":
                passed += 1
            else:
                failed += 1
    problems = []
    if passed + failed + skipped == 0:
        problems.append("printed no test")
        failed += 1
    if code != 0 and failed == 0:
        problems.append(f"exit status {code} though no test failed")
        failed += 1
    if code == 0 and failed > 0 and not problems:
        problems.append("exit status 0 though tests failed")
    took = time.monotonic() - begun
    return path, passed, failed, skipped, text, problems, took


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("build")
    parser.add_argument("names", nargs="*")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 2)
    args = parser.parse_args()
    folder = os.path.join(args.build, "tests")
    programs = sorted(
        os.path.join(folder, n) for n in os.listdir(folder)
        if n.startswith("test_") and os.access(os.path.join(folder, n), os.X_OK)
        and os.path.isfile(os.path.join(folder, n)))
    if args.names:
        programs = [p for p in programs if os.path.basename(p) in args.names]
    commands = []
    for path in programs:
        if os.path.basename(path).startswith("test_store_"):
            commands += [[path, "sqlite"], [path, "postgresql"]]
        else:
            commands.append([path])
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    server = PrivateServer(any(len(c) > 1 for c in commands))
    try:
        if server.address:
            os.environ["PLUMBLINE_TEST_POSTGRES"] = server.address
        return report(commands, args.jobs)
    finally:
        server.stop()


def report(commands, jobs):
    """Runs them all; prints a line each, what failed, and the sum."""
    total = [0, 0, 0]
    with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
        for path, passed, failed, skipped, text, problems, took in pool.map(run_one, commands):
            name = os.path.basename(path)
            slow = f" ({took:.0f} s)" if took >= 5 else ""
            print(f"{name}: {passed} passed, {failed} failed, {skipped} skipped{slow}", flush=True)
            if failed or problems:
                print(text.rstrip())
                for problem in problems:
                    print(f"# {name}: {problem}")
            for line in text.splitlines():
                if PLAN_SKIP.match(line):
                    print(f"# {name}: skipped: {PLAN_SKIP.match(line).group(1)}")
                elif line.startswith("# note:"):
                    print(f"  {line}")
            total[0] += passed
            total[1] += failed
            total[2] += skipped
    print(f"TOTAL {total[0]} {total[1]} {total[2]}")
    return 1 if total[1] else 0


if __name__ == "__main__":
    sys.exit(main())
