#!/usr/bin/env python3
"""Bad days of the whole program: run.py PLUMBLINE [PART...]

Parts: odd (files that are no roster of ours), kills (kill -9 at seeded moments), given (kill -9
between a change and the files that are handed over with it), two (two programs at once).
PLUMBLINE_FAULTS_LONG=1 kills ten times as often.
"""
import json
import os
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "cli"))

from given_files import given_files  # noqa: E402
from harness import Tally, example_rides, run  # noqa: E402
from kills import kills  # noqa: E402
from odd_rosters import odd_rosters  # noqa: E402
from two_at_once import two_at_once  # noqa: E402


def main():
    program = os.path.abspath(sys.argv[1])
    parts = sys.argv[2:] or ["odd", "kills", "given", "two"]
    build = os.path.dirname(program)
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        if "odd" in parts:
            rides = example_rides(os.path.join(build, "demo", "make-rides"),
                                  os.path.join(folder, "rides"))
            table = json.loads(run(program, "help", "--json").stdout)
            odd_rosters(tally, program, table, rides[0], folder)
        if "kills" in parts:
            kills(tally, program, os.path.join(build, "tests", "migrate-roster"), folder)
        if "given" in parts:
            own = os.path.join(folder, "given")
            os.mkdir(own)
            given_files(tally, program, os.path.join(build, "tests", "libkill-at-rename.so"), own)
        if "two" in parts:
            two_at_once(tally, program, folder)
    return tally.total()


if __name__ == "__main__":
    sys.exit(main())
