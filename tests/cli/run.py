#!/usr/bin/env python3
"""The command line, tried as a user would: run.py PLUMBLINE [files | rosters]

files: what reads files and keeps nothing, and every command's contract; rosters: what keeps rides.
Neither rests on the other, so both may run at once; without a word, one after the other.

Golden cases are tests/cli/NAME.cmd (a shell line; $PLUMBLINE is the program, the folder holds the
example rides), NAME.out and NAME.err (compared exactly; absent = must be empty), and an optional
"# exit N" line in NAME.cmd.  Everything that `read --json` prints, for every example ride and every
shared recording, is validated by api/ride.schema.json.
"""
import glob
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile

import jsonschema

from contract import contract
from example_roster import example_roster
from figures import figures
from harness import FACTS, HERE, SOURCE, Tally, example_rides, no_nan, run, shared_recordings
from history import history, weights
from keeping import keeping
from kept_rides import kept_rides
from kept_true import kept_true
from meters import two_meters
from odd_riders import odd_riders
from riders import riders
from cards import cards
from sessions import sessions
from watching import watching
from answering import answering
from whom import whom


def golden(tally, program, rides):
    cases = sorted(glob.glob(os.path.join(HERE, "*.cmd")))
    if not cases:
        tally.bad("golden", "no case found")
    for path in cases:
        name = os.path.basename(path)[:-4]
        with open(path, encoding="utf-8") as source:
            text = source.read()
        match = re.search(r"^# exit (\d+)$", text, re.M)
        want_status = int(match.group(1)) if match else 0
        done = subprocess.run(["sh", "-c", text], cwd=rides, stdout=subprocess.PIPE,
                              stderr=subprocess.PIPE, timeout=300, check=False,
                              env=dict(os.environ, PLUMBLINE=program, LC_ALL="C.UTF-8"))
        problems = []
        if done.returncode != want_status:
            problems.append(f"exit {done.returncode}, wanted {want_status}")
        for stream, got in (("out", done.stdout), ("err", done.stderr)):
            want_path = path[:-3] + stream
            want = b""
            if os.path.exists(want_path):
                with open(want_path, "rb") as source:
                    want = source.read()
            if got != want:
                problems.append(f"{stream} differs: got {got[:400]!r}")
        tally.check(f"golden {name}", problems)


def json_of(tally, program, label, files, validator, facts):
    """Every file alone: valid by the schema, whole, the same bytes twice."""
    for path in files:
        name = os.path.basename(path)
        first = run(program, "read", path, "--json", *facts)
        problems = []
        if first.returncode not in (0, 3):
            problems.append(f"exit {first.returncode}: {first.stderr.decode()[-300:]}")
        else:
            text = first.stdout.decode("utf-8")
            problems += no_nan(name, re.sub(r'"(\\.|[^"\\])*"', '""', text))
            try:
                items = json.loads(text)
                for error in validator.iter_errors(items):
                    best = jsonschema.exceptions.best_match([error])
                    problems.append(f"{list(best.absolute_path)}: {best.message[:200]}")
                refused = any("error" in item for item in items)
                if (first.returncode == 3) != refused or not items:
                    problems.append("exit status and JSON disagree")
            except ValueError as wrong:
                problems.append(f"not JSON: {wrong}")
        tally.check(f"json {label} {name}", problems)


def words_of(tally, program, rides):
    done = run(program, "read", *rides, *FACTS, LC_ALL="C.UTF-8")
    lines = done.stdout.decode("utf-8").splitlines()
    problems = [f"{len(line)} columns: {line}" for line in lines if len(line) > 80]
    problems += no_nan("words", done.stdout.decode("utf-8"))
    if done.returncode != 0:
        problems.append(f"exit {done.returncode}")
    if not lines:
        problems.append("nothing printed")
    tally.check("words of every example ride fit 80 columns", problems)


def read_keeps(tally, program, ride, folder):
    version = run(program, "--version").stdout.decode()
    tally.check("--version prints version, commit, methods",
                [] if re.search(r"^plumbline \d+\.\d+\.\d+\ncommit \S+\nmethods( [a-z-]+/\d+)+$",
                                version.strip()) else [repr(version)])
    done = subprocess.run(["sh", "-c", '"$0" read "$1" --bests all | head -n 1', program, ride],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=300, check=False)
    tally.check("a pipe closed half way is quiet", [] if done.stderr == b"" else [done.stderr.decode()])
    one = run(program, "read", ride, "--json", *FACTS).stdout
    two = run(program, "read", ride, "--json", *FACTS).stdout
    tally.check("the same call prints the same bytes", [] if one == two and one else ["differs"])
    packed = os.path.join(folder, "packed.fit.gz")
    subprocess.run(["sh", "-c", 'gzip -c "$0" > "$1"', ride, packed], check=True)
    plain = json.loads(one)
    gz = json.loads(run(program, "read", packed, "--json", *FACTS).stdout)
    for item in plain + gz:
        item.pop("file")
    tally.check("gzip around a file changes nothing", [] if plain == gz else ["differs"])
    renamed = os.path.join(folder, "really-a-ride.csv")
    subprocess.run(["cp", ride, renamed], check=True)
    kind = json.loads(run(program, "read", renamed, "--json").stdout)[0]["recording"]["format"]
    tally.check("the file's kind is told from its content", [] if kind == "fit" else [kind])
    missing = os.path.join(folder, "missing.fit")
    several = run(program, "read", missing, ride, "--json")
    items = json.loads(several.stdout)
    tally.check("a missing file does not hide the others",
                [] if several.returncode == 3 and "error" in items[0] and
                "recording" in items[1] else [several.stdout.decode()[:200]])
    every = json.loads(run(program, "read", ride, "--json", "--bests", "all").stdout)[0]
    durations = [b["duration_s"] for b in every["bests"]]
    tally.check("--bests all gives every second",
                [] if durations == list(range(1, every["recording"]["seconds"] + 2))
                else [f"{len(durations)} bests"])


def help_makes(tally, program):
    """The manual page and the completion, as the programs that take them see them."""
    page = run(program, "help", "--man").stdout
    if shutil.which("groff"):
        done = subprocess.run(["groff", "-man", "-Tascii", "-ww", "-P-cbou"], input=page,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=60,
                              check=False)
        shown = done.stdout.decode("utf-8", "replace")
        tally.check("the manual page is good roff",
                    [line for line in done.stderr.decode().splitlines() if line][:3] +
                    ([] if "--max-heart-rate" in shown and "EXIT STATUS" in shown else ["empty"]))
    else:
        tally.check("the manual page names every option",
                    [] if b"\\-\\-max\\-heart\\-rate" in page and b".SH EXIT STATUS" in page
                    else ["it doesn't"])
        print("# groff is absent: the manual page was not formatted")
    script = run(program, "help", "--completion", "bash").stdout.decode()
    problems = []
    for words, want in ((["li"], "limits"), (["read", "--max"], "--max-heart-rate"),
                        (["help", "--comp"], "--completion")):
        asked = "COMP_WORDS=(plumbline " + " ".join(words) + f"); COMP_CWORD={len(words)}; " \
            "_plumbline; echo \"${COMPREPLY[*]}\""
        done = subprocess.run(["bash", "--norc", "-uec", script + asked], stdout=subprocess.PIPE,
                              stderr=subprocess.PIPE, timeout=60, check=False)
        if done.stdout.decode().strip() != want or done.stderr:
            problems.append(f"{words}: {done.stdout!r} {done.stderr!r}, wanted {want}")
    tally.check("completion for bash completes", problems)


def files(tally, program, maker, rides, folder):
    with open(os.path.join(SOURCE, "api", "ride.schema.json"), encoding="utf-8") as source:
        schema = json.load(source)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    golden(tally, program, os.path.dirname(rides[0]))
    hard = [ride for ride in rides if "vo2max-4x4-started" in ride]
    contract(tally, program, maker, hard[0], folder)
    read_keeps(tally, program, rides[0], folder)
    help_makes(tally, program)
    words_of(tally, program, rides)
    drawn = os.path.join(folder, "drawn")
    os.mkdir(drawn)
    figures(tally, program,
            [ride for ride in rides
             if re.search("started-too-hard|eased-off|cafe|heart-flat", ride)], drawn)
    json_of(tally, program, "example", rides, validator, FACTS)
    recordings = shared_recordings()
    if recordings:
        json_of(tally, program, "shared", recordings, validator, FACTS)
    else:
        tally.skip("shared recordings", "absent (PLUMBLINE_SHARED or ../shared)")


def rosters(tally, program, rides, folder):
    riders(tally, program, folder)
    kept_rides(tally, program, rides, shared_recordings(), folder)
    watching(tally, program, rides, folder)
    cards(tally, program, folder)
    sessions(tally, program, folder)
    whom(tally, program, rides, folder)
    answering(tally, program, rides, folder)
    odd_riders(tally, program, folder)
    two_meters(tally, program, folder)
    kept_true(tally, program, rides, folder)
    history(tally, program, folder)
    weights(tally, program, folder)
    keeping(tally, program, rides, folder)
    example_roster(tally, program, folder)


def main():
    # A shell that starts us in the background has interrupts ignored, and so would have what we start.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    program = os.path.abspath(sys.argv[1])
    parts = sys.argv[2:] or ["files", "rosters"]
    maker = os.path.join(os.path.dirname(program), "demo", "make-rides")
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        rides = example_rides(maker, os.path.join(folder, "rides"))
        if not rides:
            tally.bad("example rides", "none made")
        if rides and "files" in parts:
            files(tally, program, maker, rides, folder)
        if rides and "rosters" in parts:
            rosters(tally, program, rides, folder)
    return tally.total()


if __name__ == "__main__":
    sys.exit(main())
