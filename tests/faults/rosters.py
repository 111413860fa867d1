"""Rosters for the bad days: made by commands, and everything in them as plain rows."""
import os
import sqlite3

from harness import run


def must(done):
    if done.returncode != 0:
        raise RuntimeError(f"{done.args}: exit {done.returncode}: {done.stderr.decode()}")
    return done


def begin(program, roster):
    """Two riders, one with a threshold; the environment that names the roster."""
    env = {"PLUMBLINE_ROSTER": roster, "LC_ALL": "C.UTF-8"}
    for words in (["rider", "add", "Ada Berg", "--zone", "Europe/Berlin"],
                  ["rider", "add", "Ben Lind"],
                  ["threshold", "ada", "246", "--from", "1990-01-01"]):
        must(run(program, *words, **env))
    return env


def write_rides(folder, n, watts=150):
    """n short rides, no two alike, one a day."""
    os.makedirs(folder)
    for i in range(n):
        seed = watts * 100 + i
        rows = ["time,power,heart_rate,cadence"]
        for second in range(90 + i):
            seed = (seed * 1664525 + 1013904223) % 2**32
            rows.append(f"2026-{1 + i // 28:02d}-{1 + i % 28:02d}T08:{second // 60:02d}:"
                        f"{second % 60:02d}Z,{watts + (seed >> 27)},{130 + second // 60},88")
        with open(os.path.join(folder, f"{i:03d}.csv"), "w", encoding="ascii") as out:
            out.write("\n".join(rows) + "\n")


def rows_of(path):
    """{table: rows} of a roster at rest, without the moments at which rows were written: only
    start_utc_s is of the ride."""
    with sqlite3.connect(path) as store:
        names = [name for (name,) in store.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")]
        tables = {}
        for name in names:
            columns = [row[1] for row in store.execute(f'PRAGMA table_info("{name}")')]
            kept = [f'"{column}"' for column in columns
                    if not column.endswith("_utc_s") or column == "start_utc_s"]
            tables[name] = store.execute(
                f'SELECT {", ".join(kept)} FROM "{name}" ORDER BY '
                + ("name" if name == "sqlite_sequence" else "rowid")).fetchall()
    store.close()
    return tables


def differences(got, want):
    return [f"{name} differs: {len(got.get(name, []))} rows, wanted {len(want.get(name, []))}"
            for name in sorted(set(got) | set(want)) if got.get(name) != want.get(name)]


def sound(program, roster):
    """Problems by the program's own check of everything."""
    done = run(program, "check", "--all", "--roster", roster)
    return [] if done.returncode == 0 else [
        f"check: exit {done.returncode}: {(done.stdout + done.stderr).decode()[-300:]}"]
