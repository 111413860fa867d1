"""A roster kept safe: backup, restore, check, export, forget as a coach would call them.

An export is read back by Python's csv and pandas and compared with what the program itself prints.
"""
import csv
import glob
import hashlib
import json
import os
import pty
import shutil
import sqlite3
import subprocess

import pandas

from harness import run

ODD = ["=1+1", "+49 1234", "-5 kg", "@home", "\ttab", "'=x", "''+y", "plain, with \"quotes\"",
       "line\nbreak", "'tis", "Zoë 日本"]


def begin(program, folder, examples):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "kept-safe.plumbline"), "LC_ALL": "C.UTF-8"}
    for words in (["rider", "add", "Ada Berg", "--zone", "Europe/Berlin"],
                  ["rider", "add", "Ben Lind"],
                  ["threshold", "ada", "246", "--from", "2026-01-01"],
                  ["weight", "ada", "61.57", "--from", "2026-01-01"],
                  ["import", *examples[:3], "--rider", "ada"],
                  ["import", examples[3], "--rider", "ben"]):
        done = run(program, *words, **env)
        if done.returncode != 0:
            raise RuntimeError(done.stderr.decode())
    return env


def plain_text(cell):
    """What README.txt says: the apostrophe off again."""
    bare = cell.lstrip("'")
    return cell[1:] if bare != cell and bare[:1] in tuple("=+-@\t\r\n") else cell


def table(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8", newline="") as source:
        return list(csv.DictReader(source, strict=True))


def odd_notes(program, env, folder):
    """Notes that a spreadsheet would run, put in by SQL and read back."""
    with sqlite3.connect(env["PLUMBLINE_ROSTER"]) as store:
        for i, text in enumerate(ODD):
            store.execute("INSERT INTO contact (rider, day, words) VALUES (1, ?, ?)",
                          (f"2026-01-{i + 1:02d}", text))
    store.close()
    out = os.path.join(folder, "odd")
    done = run(program, "export", "ada", out, **env)
    rows = table(out, "contacts.csv")
    problems = [] if done.returncode == 0 else [done.stderr.decode()]
    problems += [f"{row['words']!r} would run" for row in rows
                 if row["words"][:1] in tuple("=+-@\t\r\n")]
    if [plain_text(row["words"]) for row in rows] != ODD:
        problems.append(f"{[row['words'] for row in rows]}")
    with open(os.path.join(out, "contacts.csv"), "rb") as source:
        raw = source.read()
    if b"\r\n" not in raw or raw.count(b"\r\n") != raw.count(b"\n") - 1:  # one text has its own
        problems.append("lines don't end with CR LF")
    return problems


def as_shown(program, env, out):
    """Each ride's JSON is that of show, to the byte; its seconds are those of the JSON's sums."""
    problems = []
    rides = table(out, "rides.csv")
    for ride in rides:
        shown = run(program, "show", ride["id"], "--json", **env).stdout
        with open(os.path.join(out, "rides", f"{ride['id']}.json"), "rb") as source:
            if source.read() != shown:
                problems.append(f"{ride['id']}.json differs from show")
        item = json.loads(shown)[0]
        seconds = pandas.read_csv(os.path.join(out, "rides", f"{ride['id']}.csv"))
        if list(seconds["second"]) != list(range(item["recording"]["seconds"] + 1)):
            problems.append(f"{ride['id']}: {len(seconds)} rows")
        if abs(seconds["power_w"].sum() / 1000 - item["recording"]["work_kj"]) > 0.5:
            problems.append(f"{ride['id']}: {seconds['power_w'].sum()} J")
        if ride["work_kj"] != "" and \
                abs(float(ride["work_kj"]) - item["recording"]["work_kj"]) > 0.05:
            problems.append(f"{ride['id']}: work {ride['work_kj']}")
        paused = seconds["paused"].sum()
        if len(seconds) - paused != item["recording"]["timer_s"]:
            problems.append(f"{ride['id']}: {paused} paused")
        bests = pandas.read_csv(os.path.join(out, "bests.csv"))
        mine = bests[bests["ride"] == int(ride["id"])].set_index("duration_s")["power_w"]
        for one in item["bests"]:
            if one["duration_s"] in mine.index and \
                    abs(mine[one["duration_s"]] - one["power_w"]) > 0.06:
                problems.append(f"{ride['id']}: best {one}")
        channels = set(item["recording"]["channels"]) - set(seconds.columns)
        if channels:
            problems.append(f"{ride['id']}: no {channels}")
    return problems if rides else ["no ride"]


def bytes_as_they_came(out, files):
    wanted = sorted(hashlib.sha256(open(path, "rb").read()).hexdigest() for path in files)
    got = sorted(hashlib.sha256(open(path, "rb").read()).hexdigest()
                 for path in glob.glob(os.path.join(out, "originals", "*")))
    said = sorted(row["sha256"] for row in table(out, "originals.csv"))
    return [] if wanted == got == said else [f"{wanted} {got} {said}"]


def dictionary_is_whole(out):
    """Every file and every column is in the dictionary, and nothing else is."""
    words = table(out, "dictionary.csv")
    known = {(row["file"], row["column"]) for row in words}
    problems = [f"{row['file']} {row['column']}: no meaning" for row in words
                if not row["meaning"] or not row["type"]]
    seen = set()
    for path in glob.glob(os.path.join(out, "**", "*"), recursive=True):
        name = os.path.relpath(path, out)
        if os.path.isdir(path):
            continue
        if name.startswith("rides/"):
            name = "rides/ID" + os.path.splitext(name)[1]
        elif name.startswith("originals/"):
            name = "originals/ID-NAME"
        seen.add((name, ""))
        if name.endswith(".csv") and name != "dictionary.csv":
            with open(path, encoding="utf-8", newline="") as source:
                seen |= {(name, column) for column in next(csv.reader(source))}
    problems += [f"not in the dictionary: {one}" for one in sorted(seen - known)]
    rare = {("rides/ID.csv", name) for name in ("balance_left_pct", "latitude_deg", "altitude_m",
                                                "longitude_deg", "temperature_c", "speed_ms",
                                                "distance_m", "cadence_rpm")}
    problems += [f"not in the export: {one}" for one in sorted(known - seen - rare)]
    return problems


def exports(tally, program, env, folder, examples):
    out = os.path.join(folder, "everybody")
    done = run(program, "export", "--all", out, "--json", **env)
    said = json.loads(done.stdout or b"{}")
    tally.check("export --all writes every ride",
                [] if done.returncode == 0 and said["recordings"] == 4 and said["originals"] == 4
                else [done.stderr.decode() + str(said)])
    tally.check("an export's rides are those of show", as_shown(program, env, out))
    tally.check("an export holds the files as they came", bytes_as_they_came(out, examples[:4]))
    tally.check("an export's dictionary is whole", dictionary_is_whole(out))
    modes = {os.stat(path).st_mode & 0o777 for path in
             glob.glob(os.path.join(out, "**", "*"), recursive=True) if os.path.isfile(path)}
    tally.check("an export is for nobody else",
                [] if modes == {0o600} and os.stat(out).st_mode & 0o777 == 0o700 else [str(modes)])
    one = os.path.join(folder, "of-ben")
    os.mkdir(one)
    alone = run(program, "export", "ben", one + "/", **env)
    names = {row["name"] for row in table(one, "riders.csv")}
    text = b"".join(open(path, "rb").read()
                    for path in glob.glob(os.path.join(one, "**", "*.*"), recursive=True))
    tally.check("an export of a rider holds nobody else",
                [] if alone.returncode == 0 and names == {"Ben Lind"} and b"Ada" not in text
                else [f"{names} {alone.stderr.decode()}"])
    again = run(program, "export", "ben", one, **env)
    os.mkdir(os.path.join(folder, "later.part"))
    part = run(program, "export", "ben", os.path.join(folder, "later"), **env)
    tally.check("an export writes over nothing",
                [] if again.returncode == 1 and b"no empty folder" in again.stderr and
                part.returncode == 1 and b"stopped" in part.stderr else
                [again.stderr.decode() + part.stderr.decode()])
    tally.check("an export's texts don't run, and come back", odd_notes(program, env, folder))


def typed(program, env, words, answer):
    """The command on a terminal, with an answer typed: exit status and what was on the terminal."""
    main, side = pty.openpty()
    with subprocess.Popen([program, *words], stdin=side, stdout=subprocess.PIPE, stderr=side,
                          env=dict(os.environ, **env)) as running:
        os.close(side)
        os.write(main, answer.encode() + b"\n")
        running.stdout.read()
        status = running.wait(timeout=120)
    shown = b""
    try:
        while True:
            got = os.read(main, 4096)
            if not got:
                break
            shown += got
    except OSError:
        pass  # the terminal is gone with its program
    os.close(main)
    return status, shown.decode()


def keeping(tally, program, examples, folder):
    env = begin(program, folder, examples)
    place = env["PLUMBLINE_ROSTER"]
    kept = os.path.join(folder, "kept.backup")
    tally.check("backup, then check, are sound",
                [done.stderr.decode() for done in (run(program, "backup", kept, **env),
                                                   run(program, "check", "--all", **env))
                 if done.returncode != 0])
    shutil.copy(kept, os.path.join(folder, "damaged.plumbline"))
    with sqlite3.connect(os.path.join(folder, "damaged.plumbline")) as store:
        store.execute("UPDATE series SET content = zeroblob(9) WHERE id = 1")
    store.close()
    bad = run(program, "check", "--all", "--roster", os.path.join(folder, "damaged.plumbline"),
              **{"LC_ALL": "C.UTF-8"})
    tally.check("check of a damaged roster is exit 1 with what and what to do",
                [] if bad.returncode == 1 and b"read again: ride" in bad.stdout and
                b"backup" in bad.stdout else [bad.stdout.decode()])
    exports(tally, program, env, folder, examples)
    run(program, "weight", "ada", "60", "--from", "2026-02-01", **env)
    unasked = run(program, "restore", kept, **env)
    status, shown = typed(program, env, ["restore", kept], "no")
    tally.check("restore asks first",
                [] if unasked.returncode == 2 and b"--yes" in unasked.stderr and status == 1 and
                "undo can't take this back" in " ".join(shown.split()) and "not confirmed" in shown
                else [unasked.stderr.decode() + shown])
    done = run(program, "restore", kept, "--yes", "--json", **env)
    left = json.loads(run(program, "weight", "ada", "--json", **env).stdout)
    copies = json.loads(run(program, "roster", "--json", **env).stdout)["copies"]
    tally.check("restore gives what the backup had, and tells of what was there",
                [] if done.returncode == 0 and len(left) == 1 and
                os.path.exists(json.loads(done.stdout)["kept"]) and len(copies) == 2
                else [done.stderr.decode() + str(left) + str(copies)])
    status, shown = typed(program, env, ["forget", "ada"], "yes")
    tally.check("forget wants the rider's name typed",
                [] if status == 1 and "Type Ada Berg" in shown and "not confirmed" in shown
                else [shown])
    status, shown = typed(program, env, ["forget", "ada"], "Ada Berg")
    there = run(program, "rider", "show", "ada", **env)
    with open(place, "rb") as source:
        store_bytes = source.read()
    tally.check("forget leaves nothing in the file",
                [] if status == 0 and there.returncode == 1 and b"Ada Berg" not in store_bytes and
                b"Ben Lind" in store_bytes else [shown])
    kinds = [copy["kind"] for copy in
             json.loads(run(program, "forget", "ben", "--list", "--json", **env).stdout)["copies"]]
    tally.check("forget --list names the copies that hold a rider",
                [] if kinds == ["backup", "backup"] else [str(kinds)])
