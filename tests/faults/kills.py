"""kill -9 at seeded moments of the program's run, over all of its undisturbed time.

After each kill the roster is sound by `check --all`, holds what an undisturbed run had before or
after some transaction, and the same call once more ends row by row where the undisturbed run
ended (but for the moments at which rows were written)."""
import glob
import os
import random
import shutil
import sqlite3
import subprocess
import time

from harness import run
from rosters import begin, differences, must, rows_of, sound, write_rides

RIDES = 60 # more than share a transaction


class Errand:
    """argv works on `place`, which begins as a copy of `start` (None: nothing is there)."""

    def __init__(self, name, argv, place, start, wrong=None, unlike=(), finish=None,
                 left=None):
        self.name, self.argv, self.place, self.start = name, argv, place, start
        self.wrong = wrong or (lambda: [])
        self.unlike = unlike # tables that count the calls
        self.finish = finish # what goes on where it was killed, before argv is tried
        self.left = left # what does the jobs that the killed program holds, after argv
        self.killed = 0
        self.within = 0

    def reset(self):
        for path in glob.glob(glob.escape(self.place) + "*"):
            os.remove(path)
        if self.start:
            shutil.copy(self.start, self.place)

    def undisturbed(self):
        """Its rows before and after, and how long it takes."""
        self.reset()
        self.before = rows_of(self.place) if self.start else {}
        start = time.monotonic()
        must(subprocess.run(self.argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                            timeout=300, check=False))
        self.seconds = time.monotonic() - start
        self.after = rows_of(self.place)
        return self.wrong()

    def kill_at(self, delay):
        """True if it was still running."""
        self.reset()
        with subprocess.Popen(self.argv, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL) as running:
            time.sleep(delay)
            is_running = running.poll() is None
            running.kill()
            running.wait()
        return is_running

    def differs(self):
        def kept(tables):
            return {name: rows for name, rows in tables.items() if name not in self.unlike}
        is_there = os.path.exists(self.place)
        return differences(kept(rows_of(self.place)) if is_there else {}, kept(self.after))

    def counts(self):
        """Rows of each table: none may be more than the undisturbed run has in the end."""
        if not os.path.exists(self.place) or os.path.getsize(self.place) == 0:
            return []
        now = rows_of(self.place)
        return [f"{name}: {len(rows)} rows" for name, rows in now.items()
                if (len(rows) > len(self.after.get(name, [])) and name != "job") or
                (name in self.before and len(rows) < len(self.before[name]))]


def leases_run_out(path):
    """The killed program's jobs are anyone's after ten minutes: as if they were over."""
    with sqlite3.connect(path) as store:
        store.execute("UPDATE job SET lease_until_utc_s = 0")
    store.close()


def survives(program, errand, delay, checks):
    problems = []
    was_running = errand.kill_at(delay)
    errand.killed += 1
    if was_running:
        errand.within += 1
    if os.path.exists(errand.place) and os.path.getsize(errand.place) > 0:
        problems += checks(program, errand.place)
    problems += errand.counts() + errand.wrong()
    if errand.finish and os.path.exists(errand.place) and "job" in rows_of(errand.place):
        leases_run_out(errand.place)
        must(subprocess.run(errand.finish, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                            timeout=300, check=False))
    # What is done already is not said again: it would be another edit.
    if errand.differs() or errand.wrong():
        done = subprocess.run(errand.argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                              timeout=300, check=False)
        if done.returncode != 0:
            problems.append(f"then exit {done.returncode}: {done.stderr.decode()[:300]}")
    if errand.left and errand.differs():
        leases_run_out(errand.place)
        must(subprocess.run(errand.left, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                            timeout=300, check=False))
    problems += errand.differs() + errand.wrong()
    return [f"after {delay:.3f} s of {errand.seconds:.3f}: {problem}" for problem in problems]


def by_rows(_program, path):
    """For a roster that is newer than the program."""
    rows_of(path)
    return []


def sound_if_made(program, path):
    """A roster that was being made may have no table yet."""
    return sound(program, path) if rows_of(path) else []


def whole_copies(pattern, want, sound_of=None):
    """Every file of that name is whole, and is what `want` says."""
    def wrong():
        problems = []
        for path in glob.glob(pattern):
            if not path.endswith((".part", "-wal", "-shm", "-journal")):
                problems += differences(rows_of(path), want())
                problems += sound_of(path) if sound_of else []
        return problems
    return wrong


def kills(tally, program, migrate, folder):
    times = 10 if os.environ.get("PLUMBLINE_FAULTS_LONG") else 1
    rides = os.path.join(folder, "many")
    write_rides(rides, RIDES)
    start = os.path.join(folder, "start.plumbline")
    begin(program, start)
    full = os.path.join(folder, "full.plumbline")
    shutil.copy(start, full)
    must(run(program, "import", rides, "--rider", "ada", PLUMBLINE_ROSTER=full))
    place = os.path.join(folder, "work.plumbline")
    roster = ["--roster", place]
    copy = place + ".copy"
    older = rows_of(full)

    # What a backup writes down of itself.
    record = ("kept_copy", "sqlite_sequence")

    def wrong_backup():
        if not os.path.exists(copy):
            return []
        got, want = rows_of(copy), dict(older)
        for name in record:
            got.pop(name)
            want.pop(name)
        return differences(got, want) + sound(program, copy)

    errands = [
        (20, Errand("import", [program, "import", rides, "--rider", "ada", *roster], place, start,
                    left=[program, "jobs", "--run", *roster]), sound),
        (8, Errand("re-reading", [program, "threshold", "ada", "251", "--from", "2026-01-02",
                                  *roster], place, full, unlike=("sqlite_sequence",),
                    finish=[program, "jobs", "--run", *roster]), sound),
        (8, Errand("migration", [migrate, place], place, full,
                   whole_copies(glob.escape(place) + ".before-schema-*", lambda: older)), by_rows),
        (8, Errand("backup", [program, "backup", copy, "--yes", *roster], place, full,
                   wrong_backup, unlike=record), sound),
        (6, Errand("making a roster", [program, "rider", "add", "Ada Berg", *roster], place, None,
                   unlike=("sqlite_sequence", "setting"), finish=[program, "jobs", "--run", *roster]),
         sound_if_made),
    ]
    chance = random.Random(20260314)
    killed = within = 0
    for n, errand, checks in errands:
        problems = errand.undisturbed()
        for i in range(n * times):
            # One in each n-th of the run, anywhere in it.
            delay = errand.seconds * (i + chance.random()) / (n * times)
            problems += survives(program, errand, delay, checks)
        print(f"# {errand.name}: {errand.killed} kills, {errand.within} while it ran "
              f"({errand.seconds:.2f} s)", flush=True)
        tally.check(f"kill -9 in {errand.name}, {errand.killed} times: sound, and ends the same",
                    problems)
        killed += errand.killed
        within += errand.within
    tally.check(f"{within} of {killed} kills hit the program at work",
                [] if within * 2 > killed else ["too few: the moments are off"])
