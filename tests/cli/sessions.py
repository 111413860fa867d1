"""Sessions: written, held against safe limits, given, withdrawn, taken back."""
import json
import os

from harness import run

VO2MAX = "15 min at 50-65 %, then 5 times (4 min at 106-112 %, 4 min at 50 %), 10 min at 45 %"


def begin(program, folder):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "sessions.plumbline"), "LC_ALL": "C.UTF-8"}
    run(program, "rider", "add", "Ada Berg", "--born", "1996-05-31", **env)
    run(program, "threshold", "ada", "246", "--from", "2026-01-10", **env)
    return env


def refused(done, status, *words):
    text = done.stderr.decode()
    problems = [] if done.returncode == status else [f"exit {done.returncode}: {text}"]
    problems += [] if text.count("\n") == 1 else [f"not one line: {text!r}"]
    return problems + [f"{word!r} isn't in {text!r}" for word in words if word not in text]


def written(program, env):
    """What is written is listed as written, and undo takes it away again."""
    done = run(program, "session", "write", "ada", "2026-12-01", "base-ride", **env)
    problems = [] if done.returncode == 0 else [done.stderr.decode()]
    rows = json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)
    problems += [] if [(r["day"], r["state"], r["kind"]) for r in rows] == \
        [("2026-12-01", "drafted", "easy")] else [f"{rows}"]
    run(program, "undo", **env)
    rows = json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)
    return problems + ([] if rows == [] else [f"still there: {rows}"])


def advice_first(program, env):
    """Without the questions answered nothing hard, and no test, by name or in words."""
    problems = []
    for words in ("vo2max", "test-ramp", VO2MAX, "20 min all out"):
        done = run(program, "session", "write", "ada", "2026-12-02", words, **env)
        problems += refused(done, 1, "Medical advice first")
    done = run(program, "session", "write", "ada", "2026-12-02", "vo2max",
               "--knowingly", "screening", **env)
    problems += refused(done, 1, "Medical advice first")
    run(program, "rider", "screening", "ada", "--no-to-all", "--on", "2026-01-05", **env)
    done = run(program, "session", "write", "ada", "2026-12-02", VO2MAX, "--kind", "vo2max", **env)
    return problems + ([] if done.returncode == 0 else [done.stderr.decode()])


def knowingly(program, env):
    words = ["session", "write", "ada", "2026-12-03", "threshold"]
    problems = refused(run(program, *words, **env), 1, "safe_hard_gap_h")
    done = run(program, *words, "--knowingly", "safe_hard_gap_h", "--json", **env)
    kept = json.loads(done.stdout)["confirmed"] if done.returncode == 0 else done.stderr.decode()
    return problems + ([] if kept == "safe_hard_gap_h" else [kept])


def pointed_at(program, env):
    done = run(program, "session", "write", "ada", "2026-12-10", "15 mn at 50 %", **env)
    return refused(done, 2, "line 1, column 4", 'did you mean "min"?')


def given(program, env, folder):
    """The calendar keeps the entry's UID; it is withdrawn, not taken away, with a higher SEQUENCE."""
    rows = json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)
    number = str(next(r["number"] for r in rows if r["kind"] == "vo2max"))
    fit, ics = os.path.join(folder, "s.fit"), os.path.join(folder, "s.ics")
    seen = []
    problems = []
    for act in (["give", "--fit", fit, "--calendar", ics], ["withdraw", "--calendar", ics]):
        more = ["--knowingly", "safe_hard_gap_h"] if act[0] == "give" else []
        done = run(program, "session", act[0], "ada", number, *act[1:], *more, **env)
        problems += [] if done.returncode == 0 else [done.stderr.decode()]
        with open(ics, encoding="utf-8", newline="") as source:
            lines = source.read().split("\r\n")
        seen.append({key: next((line for line in lines if line.startswith(key)), None)
                     for key in ("UID", "SEQUENCE", "STATUS", "DTSTART")})
        if act[0] == "give":
            problems += refused(run(program, "session", "remove", "ada", number, **env), 1,
                                "withdraw")
    with open(fit, "rb") as source:
        problems += [] if source.read()[8:12] == b".FIT" else ["no FIT file"]
    first, then = seen
    if first["UID"] != then["UID"] or first["DTSTART"] != "DTSTART;VALUE=DATE:20261202":
        problems.append(f"{seen}")
    if (first["STATUS"], then["STATUS"]) != ("STATUS:CONFIRMED", "STATUS:CANCELLED"):
        problems.append(f"{seen}")
    numbers = [int(one["SEQUENCE"].split(":")[1]) for one in seen]
    run(program, "undo", **env)
    run(program, "session", "give", "ada", number, "--calendar", ics, "--knowingly",
        "safe_hard_gap_h", **env)
    with open(ics, encoding="utf-8") as source:
        numbers.append(next(int(line.split(":")[1]) for line in source
                            if line.startswith("SEQUENCE")))
    return problems + ([] if numbers[0] < numbers[1] < numbers[2] else [f"SEQUENCE {numbers}"])


def own(program, env):
    problems = []
    done = run(program, "session", "keep", "mill-hills", "20 min at 50-65 %", "--kind", "easy", **env)
    problems += [] if done.returncode == 0 else [done.stderr.decode()]
    names = [row["name"] for row in
             json.loads(run(program, "session", "library", "--json", **env).stdout)]
    problems += [] if {"mill-hills", "vo2max", "base-test", "test-2x8"} <= set(names) else [f"{names}"]
    done = run(program, "session", "write", "ada", "2026-12-20", "mill-hills", "--json", **env)
    row = json.loads(done.stdout)
    problems += [] if (row["kind"], row["words"]) == ("easy", "20 min at 50-65 %") else [f"{row}"]
    problems += refused(run(program, "session", "keep", "vo2max", "20 min", **env), 1, "library")
    run(program, "session", "drop", "mill-hills", **env)
    return problems + refused(run(program, "session", "drop", "mill-hills", **env), 1, "no session")


def sessions(tally, program, folder):
    env = begin(program, folder)
    tally.check("session: drafted, listed, taken back", written(program, env))
    tally.check("session: medical advice first", advice_first(program, env))
    tally.check("session: a safe limit is gone past only by its name", knowingly(program, env))
    tally.check("session: what isn't understood is pointed at", pointed_at(program, env))
    tally.check("session: given, withdrawn, given again", given(program, env, folder))
    tally.check("session: the coach's own by name", own(program, env))
