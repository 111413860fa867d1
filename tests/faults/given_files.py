"""kill -9 between the change that gives a session and the renaming of its files.

The state says that it was given: the next command, or the server at its start, puts the files in
their places, whatever folder it is called from, and says so; or it says which is missing.  Nothing is
left beside them.  Killed before the change, what was written is taken away: the state says that
nothing was given.  A file that isn't of the program is never touched."""
import json
import os
import shutil
import sqlite3
import signal
import subprocess

from harness import run
from rosters import must

NAMES = ["a.fit", "b.ics", "c.ics"]


def lines_of(done):
    return [line for line in done.stderr.decode().split("\n") if line]


class Giving:
    def __init__(self, program, killer, folder):
        self.program, self.killer = program, killer
        self.start = os.path.join(folder, "start.plumbline")
        self.place = os.path.join(folder, "given.plumbline")
        self.out = os.path.join(folder, "out")
        self.env = {"PLUMBLINE_ROSTER": self.start, "LC_ALL": "C.UTF-8"}
        must(self.call("rider", "add", "Ada Berg"))
        must(self.call("threshold", "ada", "246", "--from", "2026-01-10"))
        must(self.call("session", "write", "ada", "2027-02-01", "base-ride"))
        self.env["PLUMBLINE_ROSTER"] = self.place

    def call(self, *argv, cwd=None):
        return run(self.program, *argv, cwd=cwd, **self.env)

    def begin(self):
        for end in ("", "-wal", "-shm"):
            if os.path.exists(self.place + end):
                os.remove(self.place + end)
        shutil.copy(self.start, self.place)
        shutil.rmtree(self.out, ignore_errors=True)
        os.makedirs(self.out)

    def give(self, at, *act, by="KILL_AT_RENAME"):
        """Killed just before the at-th renaming, in the folder of the files; False: it wasn't."""
        argv = [self.program, "session", *act, "--fit", NAMES[0]] if act[0] == "give" else \
            [self.program, "session", *act]
        argv += ["--entry", NAMES[1]] if act[0] == "give" else []
        done = subprocess.run([*argv, "--calendar", NAMES[2]], cwd=self.out, timeout=300,
                              check=False, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                              env=dict(os.environ, **self.env, LD_PRELOAD=self.killer,
                                       ASAN_OPTIONS="verify_asan_link_order=0", **{by: str(at)}))
        return done.returncode == -signal.SIGKILL

    def state(self):
        with sqlite3.connect(self.place) as store:
            (state,), = store.execute("SELECT state FROM session")
            (notes,), = store.execute("SELECT COUNT(*) FROM setting WHERE name LIKE 'put in place%' "
                                      "OR name LIKE 'being written%'")
        store.close()
        return state, notes

    def serve(self):
        """What the server says from its start to its end."""
        with subprocess.Popen([self.program, "serve", "--port", "0"], cwd="/", stdout=subprocess.PIPE,
                              stderr=subprocess.PIPE, env=dict(os.environ, **self.env)) as running:
            address = running.stdout.readline()
            running.send_signal(signal.SIGTERM)
            said = running.communicate(timeout=60)[1].decode()
        return said if address.startswith(b"http://") else f"no address: {said}"

    def waiting(self):
        """{place: what is beside it}"""
        return {name.split(".part-")[0]: open(os.path.join(self.out, name), "rb").read()
                for name in os.listdir(self.out) if ".part-" in name}

    def there(self):
        return {name: open(os.path.join(self.out, name), "rb").read()
                for name in os.listdir(self.out)}


def completed(giving, at):
    giving.begin()
    problems = [] if giving.give(at, "give", "ada", "1") else [f"{at}: wasn't killed"]
    waiting = giving.waiting()
    problems += [] if sorted(waiting) == NAMES[at - 1:] else [f"{at}: waiting {sorted(waiting)}"]
    problems += [] if giving.state() == ("given", 1) else [f"{at}: {giving.state()}"]
    done = giving.call("session", "list", "ada", cwd="/")
    there = giving.there()
    said = lines_of(done)
    problems += [] if sorted(there) == NAMES else [f"{at}: {sorted(there)} after it"]
    problems += [f"{at}: {name} isn't what was written" for name, bytes_ in waiting.items()
                 if there.get(name) != bytes_]
    if done.returncode != 0 or len(said) != len(waiting) or \
            not all(f"{os.path.join(giving.out, name)}: put in its place now" in line
                    for name, line in zip(sorted(waiting), said)):
        problems.append(f"{at}: exit {done.returncode}: {said}")
    problems += [] if giving.state() == ("given", 0) else [f"{at}: then {giving.state()}"]
    done = giving.call("session", "list", "ada", cwd="/")
    return problems + ([] if lines_of(done) == [] else [f"{at}: said twice: {lines_of(done)}"])


def missing(giving):
    """What waited was thrown away meanwhile: it is said, and giving again makes it."""
    giving.begin()
    problems = [] if giving.give(2, "give", "ada", "1") else ["wasn't killed"]
    for name in os.listdir(giving.out):
        if name.startswith(NAMES[2] + ".part-"):
            os.remove(os.path.join(giving.out, name))
    said = lines_of(giving.call("session", "list", "ada", cwd="/"))
    if len(said) != 2 or f"{NAMES[1]}: put in its place now" not in said[0] or \
            f"{NAMES[2]}: is missing" not in said[1] or "give the session again" not in said[1]:
        problems.append(f"{said}")
    done = giving.call("session", "give", "ada", "1", "--calendar", NAMES[2], cwd=giving.out)
    problems += [] if done.returncode == 0 else [done.stderr.decode()]
    return problems + ([] if sorted(giving.there()) == NAMES else [f"{sorted(giving.there())}"])


OTHERS = ["a.fit.part-1-0", "c.ics.part-99999-2", "b.ics.part-"]


def put_others(giving):
    """Files with names much like ours, that no note of ours names."""
    for name in OTHERS:
        with open(os.path.join(giving.out, name), "wb") as other:
            other.write(b"somebody's own")


def begun(giving, at):
    """Killed before the change: nothing was given, and nothing is left."""
    giving.begin()
    problems = [] if giving.give(at, "give", "ada", "1", by="KILL_AT_SYNC") else ["wasn't killed"]
    waiting = giving.waiting()
    problems += [] if sorted(waiting) == NAMES[:(at + 1) // 2] else [f"waiting {sorted(waiting)}"]
    problems += [] if giving.state() == ("drafted", 1) else [f"{giving.state()}"]
    put_others(giving)
    said = lines_of(giving.call("session", "list", "ada", cwd="/"))
    if len(said) != len(waiting) or \
            not all(f"{os.path.join(giving.out, name)}: wasn't made, and no session changed" in line
                    for name, line in zip(sorted(waiting), said)):
        problems.append(f"{said}")
    problems += [] if sorted(giving.there()) == sorted(OTHERS) else [f"{sorted(giving.there())}"]
    problems += [] if giving.state() == ("drafted", 0) else [f"then {giving.state()}"]
    said = lines_of(giving.call("session", "list", "ada", cwd="/"))
    problems += [f"said twice: {said}"] if said else []
    done = giving.call("session", "give", "ada", "1", "--calendar", NAMES[2], cwd=giving.out)
    return problems + ([] if done.returncode == 0 else [done.stderr.decode()])


def served(giving):
    """The server does the same at its start; its log names no file."""
    problems = []
    giving.begin()
    put_others(giving)
    problems += [] if giving.give(2, "give", "ada", "1") else ["wasn't killed"]
    said = giving.serve()
    problems += [] if "put in their places, where a program was stopped before: 2\n" in said else [said]
    problems += [] if sorted(giving.there()) == sorted(NAMES + OTHERS) else [f"{sorted(giving.there())}"]
    problems += [] if giving.state() == ("given", 0) else [f"{giving.state()}"]
    giving.begin()
    put_others(giving)
    problems += [] if giving.give(4, "give", "ada", "1", by="KILL_AT_SYNC") else ["wasn't killed"]
    said += giving.serve()
    problems += [] if "that were never given, taken away: 2\n" in said else [said]
    problems += [] if sorted(giving.there()) == sorted(OTHERS) else [f"{sorted(giving.there())}"]
    problems += [] if giving.state() == ("drafted", 0) else [f"{giving.state()}"]
    return problems + [f"names {name}: {said}" for name in NAMES if name in said]


def told_later(giving):
    """What the server can't mend it leaves for who may be told which file it is."""
    giving.begin()
    problems = [] if giving.give(3, "give", "ada", "1") else ["wasn't killed"]
    for name in os.listdir(giving.out):
        if ".part-" in name:
            os.remove(os.path.join(giving.out, name))
    said = giving.serve()
    if "can't be put in their places: 1; plumbline roster says which" not in said or NAMES[2] in said:
        problems.append(said)
    said = lines_of(giving.call("roster", cwd="/"))
    problems += [] if len(said) == 1 and f"{NAMES[2]}: is missing" in said[0] else [f"{said}"]
    return problems + ([] if giving.state() == ("given", 0) else [f"{giving.state()}"])


def withdrawn(giving):
    giving.begin()
    must(giving.call("session", "give", "ada", "1"))
    problems = [] if giving.give(1, "withdraw", "ada", "--all", "--today", "2027-01-01") else \
        ["wasn't killed"]
    problems += [] if giving.state() == ("withdrawn", 1) else [f"{giving.state()}"]
    giving.call("rider", "list", cwd="/")
    there = giving.there()
    if list(there) != [NAMES[2]] or b"STATUS:CANCELLED" not in there[NAMES[2]]:
        problems.append(f"{there}")
    return problems


def undisturbed(giving):
    """Nobody takes what another is at: while one gives, others start (two at once, six times)."""
    problems = []
    for _ in range(6):
        giving.begin()
        argv = [giving.program, "session", "give", "ada", "1"]
        for option, name in zip(("--fit", "--entry", "--calendar"), NAMES):
            argv += [option, os.path.join(giving.out, name)]
        with subprocess.Popen(argv, env=dict(os.environ, **giving.env), stdout=subprocess.DEVNULL,
                              stderr=subprocess.PIPE) as running:
            others = []
            while running.poll() is None:
                others += lines_of(giving.call("rider", "list"))
            said = running.stderr.read().decode()
        if running.returncode != 0 or sorted(giving.there()) != NAMES or others or \
                giving.state() != ("given", 0):
            problems.append(f"exit {running.returncode}: {said}; {others}; {giving.state()}")
    return problems


def given_files(tally, program, killer, folder):
    giving = Giving(program, killer, folder)
    rows = json.loads(giving.call("rider", "list", "--json", "--roster", giving.start).stdout)
    tally.check("given files: the scene", [] if len(rows) == 1 else [f"{rows}"])
    for at in (1, 2, 3):
        tally.check(f"given files: killed before the {at}. is renamed, the next start completes it",
                    completed(giving, at))
    for at in range(1, 7):
        tally.check(f"given files: killed at writing, moment {at}: nothing given, nothing left",
                    begun(giving, at))
    tally.check("given files: the server finishes them at its start", served(giving))
    tally.check("given files: what the server can't mend, the next command names",
                told_later(giving))
    tally.check("given files: what is missing is said, and made by giving again", missing(giving))
    tally.check("given files: killed while withdrawing, the calendar is told all the same",
                withdrawn(giving))
    tally.check("given files: another program that starts meanwhile leaves them alone",
                undisturbed(giving))
