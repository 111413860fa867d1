"""Files that are no roster of ours, or can't be used: each is named in one line by every command
that takes --roster, and no byte of it, nor of its folder, changes."""
import ctypes
import hashlib
import os
import shutil
import sqlite3
import subprocess

from contract import operands
from harness import run
from rosters import begin, must

CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH, PR_CAPBSET_DROP = 1, 2, 24
PAGE = 4096


def without_rights():
    """Root may write to what is write-protected: not without these capabilities."""
    if os.geteuid() == 0:
        library = ctypes.CDLL(None)
        for capability in (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH):
            library.prctl(PR_CAPBSET_DROP, capability, 0, 0, 0)


def call(program, name, *words):
    """A command, or an act: "rider goal" is two words."""
    return subprocess.run([program, *name.split(), *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          stdin=subprocess.DEVNULL, timeout=300, check=False,
                          preexec_fn=without_rights)


def snapshot(folder):
    """Every file in it and its bytes."""
    found = {}
    for name in sorted(os.listdir(folder)):
        path = os.path.join(folder, name)
        if os.path.isfile(path):
            with open(path, "rb") as source:
                found[name] = hashlib.sha256(source.read()).hexdigest()
        else:
            found[name] = sorted(os.listdir(path))
    return found


def foreign(path, mode):
    store = sqlite3.connect(path)
    store.execute(f"PRAGMA journal_mode={mode}")
    store.execute("CREATE TABLE shopping (id INTEGER PRIMARY KEY, what TEXT)")
    store.execute("INSERT INTO shopping (what) VALUES ('inner tubes')")
    store.commit()
    store.close()


def newer(path, sound):
    shutil.copy(sound, path)
    store = sqlite3.connect(path)
    store.execute("UPDATE roster_state SET schema_number = 99")
    store.commit()
    store.close()


def damaged(path, sound, page):
    """All of the page but, of the first, what says that this is a database."""
    shutil.copy(sound, path)
    with open(path, "r+b") as out:
        start = 100 if page == 1 else 0
        out.seek((page - 1) * PAGE + start)
        out.write(b"\xff" * (PAGE - start))


def root_page(sound, table):
    store = sqlite3.connect(sound)
    (page,) = store.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?",
                            (table,)).fetchone()
    store.close()
    return page


def make_all(sound, folder):
    """{what: (path, a word that its line must hold)}"""
    odd = {}

    def place(what, word):
        own = os.path.join(folder, what.replace(" ", "-"))
        os.mkdir(own, 0o700)
        path = os.path.join(own, "team.plumbline")
        odd[what] = (path, word)
        return path

    with open(place("a text file", "no roster"), "w", encoding="ascii") as out:
        out.write("seconds,power\n0,150\n1,151\n")
    open(place("an empty file", "roster"), "wb").close()
    os.mkdir(place("a folder", "no file"))
    foreign(place("a file of another program", "no roster of Plumbline"), "DELETE")
    foreign(place("another program's file in WAL", "no roster of Plumbline"), "WAL")
    newer(place("a newer roster", "newer Plumbline"), sound)
    damaged(place("a damaged first page", "damaged"), sound, 1)
    damaged(place("a damaged page of the schema number", "damaged"), sound,
            root_page(sound, "roster_state"))
    damaged(place("a damaged page of riders", "damaged"), sound, root_page(sound, "rider"))
    with open(sound, "rb") as source, open(place("half a roster", "damaged"), "wb") as out:
        out.write(source.read(os.path.getsize(sound) // PAGE // 2 * PAGE))
    path = place("a write-protected file", "permissions")
    shutil.copy(sound, path)
    os.chmod(path, 0o444)
    path = place("a write-protected folder", "permissions")
    shutil.copy(sound, path)
    os.chmod(os.path.dirname(path), 0o555)
    return odd


# restore replaces what is there, example makes a new folder: they don't use the roster as it is.
MAKERS = {"restore", "example"}


def refused(program, name, words, path, word):
    """One line that holds the path and the word; the folder as it was."""
    own = os.path.dirname(path)
    before = snapshot(own)
    done = call(program, name, *words, "--roster", path)
    text = done.stderr.decode("utf-8", "replace")
    problems = []
    if done.returncode not in (1, 2) or text.count("\n") != 1 or path not in text or \
            word not in text:
        problems.append(f"{name}: exit {done.returncode}: {text[:300]!r}")
    if snapshot(own) != before:
        problems.append(f"{name} changed it: {sorted(snapshot(own))}")
    return problems


def at_most_refused(program, name, words, path, sound):
    """Of a page that the command may not need: refused, or what it says of a sound roster."""
    own = os.path.dirname(path)
    before = snapshot(own)
    done = call(program, name, *words, "--roster", path)
    problems = []
    if done.returncode == 0:
        copy = sound + ".copy"
        shutil.copy(sound, copy)
        want = call(program, name, *words, "--roster", copy).stdout
        if done.stdout.replace(path.encode(), b"") != want.replace(copy.encode(), b""):
            problems.append(f"{name} says something else of it, and exits with 0")
    elif done.stderr.count(b"\n") != 1 and name != "check":
        problems.append(f"{name}: exit {done.returncode}: {done.stderr.decode()[:300]!r}")
    now = snapshot(own)
    if done.returncode != 0 and now != before:
        problems.append(f"{name} changed it: {sorted(now)}")
    return problems


def odd_rosters(tally, program, table, ride, folder):
    sound = os.path.join(folder, "sound.plumbline")
    env = begin(program, sound)
    must(run(program, "import", ride, "--rider", "ada", **env))
    os.environ["PLUMBLINE_ROSTER"] = sound
    os.makedirs(os.path.join(folder, "odd"))
    odd = make_all(sound, os.path.join(folder, "odd"))
    nowhere = os.path.join(folder, "nowhere", "team.plumbline")
    calls = []
    for command in table:
        name = command["name"]
        if name in MAKERS or "roster" not in [option["name"] for option in command["options"]]:
            continue
        words = operands(command, ride)[0]
        if words is None:
            continue # it goes on until it is stopped: tests/server has it
        if name == "rider add" or \
                call(program, name, *words, "--roster", nowhere).returncode != 0:
            calls.append((name, words))
    tally.check("commands that need a roster make none", ["made"] if os.path.exists(nowhere) else
                [] if len(calls) > 8 else [f"only {len(calls)} commands were found"])
    for what, (path, word) in odd.items():
        problems = []
        for name, words in calls:
            if what == "an empty file" and name == "rider add":
                continue # an empty file is where a roster is begun
            if what in ("a damaged page of riders", "half a roster"):
                problems += at_most_refused(program, name, words, path, sound)
            elif name == "check" and "damaged" in what:
                problems += at_most_refused(program, name, words, path, sound)
            else:
                problems += refused(program, name, words, path, word)
        tally.check(f"{what} as roster: named in one line by {len(calls)} calls, unchanged",
                    problems)
    os.environ.pop("PLUMBLINE_ROSTER")
    os.chmod(os.path.dirname(odd["a write-protected folder"][0]), 0o755)
