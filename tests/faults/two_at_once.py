"""Two programs on one roster: both work, or the second waits and says so."""
import json
import os
import shutil
import sqlite3
import subprocess
import threading
import time

from harness import run
from rosters import begin, must, rows_of, sound, write_rides


def at_once(calls, env):
    """Starts all, then waits for all: [(exit, stdout, stderr)]."""
    running = [subprocess.Popen(argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                env=dict(os.environ, **env)) for argv in calls]
    ended = []
    for one in running:
        out, err = one.communicate(timeout=300)
        ended.append((one.returncode, out.decode(), err.decode()))
    return ended


def failed(ended):
    return [f"exit {code}: {err[:200]}" for code, _out, err in ended if code != 0]


def by_bytes(path):
    """What is known of each file, without the numbers that rows got."""
    with sqlite3.connect(path) as store:
        rows = store.execute(
            "SELECT p.name, hex(o.sha256), r.local_day, r.n_seconds, r.work_kj, "
            "(SELECT group_concat(hex(s.content)) FROM (SELECT * FROM series s WHERE s.recording = "
            # What `today` rests on names rides by their numbers.
            "r.id ORDER BY channel) s), (SELECT group_concat(g.question || CASE g.question WHEN "
            "'today' THEN json_array(g.verdict, g.estimate, g.low, g.high, g.day) ELSE "
            "hex(g.basis_hash) END) FROM "
            "(SELECT * FROM reading WHERE subject = r.id ORDER BY question, set_number, rep_number)"
            " g) FROM recording r JOIN rider p ON p.id = r.rider JOIN original o ON o.id = "
            "r.original ORDER BY o.sha256").fetchall()
    store.close()
    return rows


def two_riders(program, folder, ours, theirs):
    """At once, against one after the other."""
    roster = os.path.join(folder, "two-riders.plumbline")
    env = begin(program, roster)
    serial = os.path.join(folder, "one-by-one.plumbline")
    shutil.copy(roster, serial)
    calls = [[program, "import", ours, "--rider", "ada"], [program, "import", theirs, "--rider",
                                                           "ben"]]
    problems = failed(at_once(calls, env))
    for argv in calls:
        must(run(*argv, PLUMBLINE_ROSTER=serial))
    # What one left to the other while rides waited is done by whoever comes next.
    for path in (roster, serial):
        must(run(program, "jobs", "--run", PLUMBLINE_ROSTER=path))
    if by_bytes(roster) != by_bytes(serial):
        problems.append("not the same as one after the other")
    return problems + sound(program, roster)


def one_rider(program, folder, ours):
    """The same files twice at once: each is taken once, and known to the other."""
    roster = os.path.join(folder, "one-rider.plumbline")
    env = begin(program, roster)
    ended = at_once([[program, "import", ours, "--rider", "ada", "--json"]] * 2, env)
    problems = failed(ended)
    if not problems:
        counts = [json.loads(out)["counts"] for _code, out, _err in ended]
        n = len(os.listdir(ours))
        if sum(one["taken"] for one in counts) != n or sum(one["known"] for one in counts) != n:
            problems.append(f"{counts}")
        if len(rows_of(roster)["recording"]) != n:
            problems.append(f"{len(rows_of(roster)['recording'])} recordings of {n} files")
    return problems + sound(program, roster)


def with_edits(program, folder, ours):
    roster = os.path.join(folder, "edits.plumbline")
    env = begin(program, roster)
    with subprocess.Popen([program, "import", ours, "--rider", "ada"], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE, env=dict(os.environ, **env)) as importing:
        edits = [run(program, "weight", "ada", str(60 + day), "--from", f"2026-01-{day:02d}", **env)
                 for day in range(1, 9)]
        _out, err = importing.communicate(timeout=300)
    problems = [one.stderr.decode()[:200] for one in edits if one.returncode != 0]
    if importing.returncode != 0:
        problems.append(f"import: exit {importing.returncode}: {err.decode()[:200]}")
    tables = rows_of(roster)
    if (len(tables["weight"]), len(tables["recording"])) != (8, len(os.listdir(ours))):
        problems.append(f"{len(tables['weight'])} weights, {len(tables['recording'])} recordings")
    return problems + sound(program, roster)


def waits(program, env, seconds, argv):
    """The call while somebody else writes for so long."""
    holder = sqlite3.connect(env["PLUMBLINE_ROSTER"], isolation_level=None,
                             check_same_thread=False)
    holder.execute("BEGIN IMMEDIATE")
    timer = threading.Timer(seconds, lambda: holder.execute("COMMIT"))
    timer.start()
    start = time.monotonic()
    done = run(program, *argv, **env)
    took = time.monotonic() - start
    timer.join()
    holder.close()
    return done, took


def says_that_it_waits(program, folder):
    env = begin(program, os.path.join(folder, "waits.plumbline"))
    line = f"plumbline: waiting for another Plumbline that is writing to " \
           f"{env['PLUMBLINE_ROSTER']}\n"
    problems = []
    for seconds, want in ((3.5, line), (0.3, "")):
        done, took = waits(program, env, seconds, ["weight", "ada", "61", "--from", "2026-02-01"])
        if done.returncode != 0 or done.stderr.decode() != want or took < seconds - 0.2:
            problems.append(f"{seconds} s: exit {done.returncode} after {took:.1f} s: "
                            f"{done.stderr.decode()!r}")
    # Who only reads waits for nobody.
    done, took = waits(program, env, 4, ["rider", "list"])
    if done.returncode != 0 or done.stderr or took > 3:
        problems.append(f"a reader: exit {done.returncode} after {took:.1f} s {done.stderr!r}")
    return problems


def two_at_once(tally, program, folder):
    ours, theirs = os.path.join(folder, "ours"), os.path.join(folder, "theirs")
    write_rides(ours, 55)
    write_rides(theirs, 55, watts=190)
    tally.check("two imports at once for two riders are as one after the other",
                two_riders(program, folder, ours, theirs))
    tally.check("two imports at once of the same files take each once",
                one_rider(program, folder, ours))
    tally.check("facts are edited while an import goes on", with_edits(program, folder, ours))
    tally.check("a writer waits for another and says so once, a reader doesn't wait",
                says_that_it_waits(program, folder))
