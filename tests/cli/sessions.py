"""Sessions: written, held against safe limits, given, withdrawn, taken back."""
import datetime
import json
import os
import resource
import subprocess

import jsonschema

from harness import SOURCE, run

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


def valid():
    """The shape of api/roster.schema.json."""
    with open(os.path.join(SOURCE, "api", "roster.schema.json"), encoding="utf-8") as source:
        schema = json.load(source)
    return jsonschema.Draft202012Validator(
        {"$schema": schema["$schema"], "$ref": "roster.schema.json#/$defs/rider_session"},
        resolver=jsonschema.RefResolver("", schema, store={"roster.schema.json": schema}))


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


# Rows of limits that say what counts as hard, and for whom: nothing to go past.
WHAT_COUNTS = {"safe_hard_pct", "safe_hard_s", "safe_beginner_years"}
HARD = "4 times (4 min at 106-112 %, 4 min)"
# One session past each limit, and what stands about it (days before it).
PAST_LIMITS = {
    "safe_threshold_s": ("50 min at 95 %", "threshold", []),
    "safe_vo2max_s": ("6 times (4 min at 110 %, 4 min)", "vo2max", []),
    "safe_anaerobic_s": ("12 times (45 s at 140 %, 4 min)", "anaerobic", []),
    "safe_hard_gap_h": (HARD, "vo2max", [(1, HARD, "vo2max")]),
    "hard_days_week": (HARD, "vo2max", [(5, HARD, "vo2max"), (2, HARD, "vo2max")]),
    "safe_maximal_days": ("20 min all out", "test", [(13, "8 min all out", "test")]),
}


def past_limits(program, env):
    """Every safe limit: refused by name when written and when given, gone past by that name alone."""
    run(program, "rider", "add", "Cy Holt", "--born", "1990-01-01", "--training-since", "2026-10-01",
        **env)
    run(program, "threshold", "cy", "200", "--from", "2026-10-10", **env)
    run(program, "rider", "screening", "cy", "--no-to-all", "--on", "2026-10-05", **env)
    rows = json.loads(run(program, "limits", "--json", **env).stdout)
    names = {row["name"] for row in rows if row["name"].startswith("safe_")
             or row["name"] == "hard_days_week"} - WHAT_COUNTS
    problems = [] if names == set(PAST_LIMITS) else [f"not tried: {names ^ set(PAST_LIMITS)}"]
    others = set(PAST_LIMITS)
    for name, (words, kind, before) in PAST_LIMITS.items():
        day = datetime.date(2027, 3, 10)
        for ago, other, of in before:
            done = run(program, "session", "write", "cy",
                       (day - datetime.timedelta(ago)).isoformat(), other, "--kind", of, **env)
            problems += [] if done.returncode == 0 else [f"{name}: {done.stderr.decode()}"]
        write = ["session", "write", "cy", day.isoformat(), words, "--kind", kind]
        wrong = " ".join(sorted(others - {name}) + [name + "x", "x" + name])
        problems += refused(run(program, *write, **env), 1, name)
        problems += refused(run(program, *write, "--knowingly", wrong, **env), 1, name)
        done = run(program, *write, "--knowingly", name, "--json", **env)
        if done.returncode != 0:
            problems.append(f"{name}: {done.stderr.decode()}")
            continue
        row = json.loads(done.stdout)
        problems += [] if row["confirmed"] == name else [f"{name}: {row['confirmed']} is kept"]
        give = ["session", "give", "cy", str(row["number"])]
        problems += refused(run(program, *give, "--knowingly", wrong, **env), 1, name)
        done = run(program, *give, "--knowingly", name, "--json", **env)
        problems += [] if done.returncode == 0 and json.loads(done.stdout)["confirmed"] == name \
            else [f"{name}: given: {done.stderr.decode()}"]
        run(program, "session", "withdraw", "cy", "--from", "2027-01-01", **env)
    return problems


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


def foretold(program, env, folder):
    """Warned before it is given: what it will bring, and what can't be told with what would tell."""
    problems = []
    done = run(program, "session", "write", "ada", "2027-01-04", VO2MAX, "--kind", "vo2max", **env)
    told = done.stdout.decode()
    problems += [f"{word!r} isn't in {told}" for word in
                 ("What it would bring: 1 h 5 min, about", "By zone: 30 min recovery, 15 min endurance, 20 min VO2max.", "All-out efforts of", "Heart rate can't be foretold")
                 if word not in " ".join(told.split())]
    rows = json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)
    number = str(next(r["number"] for r in rows if r["day"] == "2027-01-04"))
    told = json.loads(run(program, "session", "show", "ada", number, "--json", **env).stdout)
    problems += [f"{error.json_path}: {error.message[:160]}"
                 for error in list(valid().iter_errors(told))[:3]]
    outlook = told.get("outlook") or {}
    # By hand, at 246 W: 15 min at 57.5 %, 5 x (4 min at 109 % and 4 at 50 %), 10 at 45 %.
    wanted = 0.246 * (900 * .575 + 1200 * 1.09 + 1200 * .5 + 600 * .45)
    if abs(outlook.get("work_kj", 0) - wanted) > 0.5 or outlook.get("verdict") != "unknown":
        problems.append(f"{outlook}")
    zones = {row["name"]: row["seconds"] for row in outlook.get("zones", [])}
    if zones.get("VO2max") != 1200 or sum(zones.values()) != 3900:
        problems.append(f"{zones}")
    entry = os.path.join(folder, "one.ics")
    for act, method in (("give", "METHOD:PUBLISH"), ("withdraw", "METHOD:CANCEL")):
        done = run(program, "session", act, "ada", number, "--entry", entry, **env)
        problems += [] if done.returncode == 0 else [done.stderr.decode()]
        with open(entry, encoding="utf-8", newline="") as source:
            lines = source.read().split("\r\n")
        problems += [] if method in lines and lines.count("BEGIN:VEVENT") == 1 else [f"{lines}"]
    return problems


def test_ride(path):
    """Three all-out efforts on the hyperbola of 250 W and 20 kJ, with half an hour between."""
    at = datetime.datetime(2026, 11, 20, 8)
    with open(path, "w", encoding="ascii") as out:
        out.write("time,power,heart_rate\n")
        for seconds, watts in ((900, 130), (180, 250 + 20000 / 180), (1800, 120),
                               (420, 250 + 20000 / 420), (1800, 120), (720, 250 + 20000 / 720),
                               (600, 110)):
            for i in range(seconds):
                out.write(f"{at.isoformat()}Z,{watts + i % 3 - 1:.0f},{100 + watts / 4:.0f}\n")
                at += datetime.timedelta(seconds=1)
    return path


def too_much(program, env, folder):
    """Critical power from a marked test; 4 min at 320 W take about 17 of about 19 kJ, 3 min at 120 W
    bring back about 12: by hand, the second effort can't be finished.  It is given all the same."""
    problems = []
    ride = test_ride(os.path.join(folder, "test.csv"))
    run(program, "rider", "add", "Bo Lund", "--born", "1990-01-01", **env)
    run(program, "threshold", "bo", "246", "--from", "2026-01-10", **env)
    run(program, "rider", "screening", "bo", "--no-to-all", "--on", "2026-11-05", **env)
    run(program, "import", ride, "--rider", "bo", **env)
    run(program, "mark", "bo@2026-11-20", "--test", **env)
    done = run(program, "session", "write", "bo", "2026-12-02",
               "10 min at 60 %, 5 times (4 min at 320 W, 3 min at 120 W)", "--knowingly",
               "safe_anaerobic_s", "--json", **env)
    if done.returncode != 0:
        return [done.stderr.decode()]
    row = json.loads(done.stdout)
    problems += [f"{error.message[:160]}" for error in list(valid().iter_errors(row))[:3]]
    if row["outlook"]["verdict"] != "likely-not" or not 9000 < row["outlook"]["efforts"][0][
            "cost_j"] < 20000:
        problems.append(f"{row['outlook']}")
    done = run(program, "session", "give", "bo", str(row["number"]), **env)
    told = " ".join(done.stdout.decode().split())
    if done.returncode != 0 or "Likely not to be finished as asked: efforts 2 to 5." not in told:
        problems.append(f"exit {done.returncode}: {told}")
    # Medicine that alters heart rate: nothing of heart rate is foretold.
    run(program, "rider", "flag", "bo", "heart-medicine", "--from", "2026-12-01", **env)
    done = run(program, "session", "show", "bo", str(row["number"]), "--json", **env)
    outlook = json.loads(done.stdout)["outlook"]
    if outlook["heart"] != "withheld" or any(one["heart_rate_bpm"] for one in outlook["minutes"]):
        problems.append(f"heart rate is foretold: {outlook['heart']}")
    return problems


def full_disk(program, env, folder):
    """A disk that fills up at any size (RLIMIT_FSIZE): given with all its files, or neither."""
    run(program, "session", "write", "ada", "2027-02-01", "base-ride", **env)
    rows = json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)
    number = str(next(r["number"] for r in rows if r["day"] == "2027-02-01"))
    place = os.path.join(folder, "hand-over")
    os.makedirs(place)
    names = ["a.fit", "b.ics", "c.ics"]
    paths = [os.path.join(place, name) for name in names]
    argv = [program, "session", "give", "ada", number, "--fit", paths[0], "--entry", paths[1],
            "--calendar", paths[2]]
    whole = os.path.getsize(env["PLUMBLINE_ROSTER"])
    seen = set()
    problems = []
    for room in [0, 100, 300, 600, 700, 900, 1200, 1600, 2400, 4000, 8192, 30000, whole // 2,
                 whole - 4096, whole, 1 << 26]:
        done = subprocess.run(argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False,
                              timeout=300, env=dict(os.environ, **env), restore_signals=False,
                              preexec_fn=lambda room=room: resource.setrlimit(
                                  resource.RLIMIT_FSIZE, (room, room)))
        one = json.loads(run(program, "session", "show", "ada", number, "--json", **env).stdout)
        there = sorted(os.listdir(place))
        seen.add(one["state"])
        if (one["state"], there) != (("given", names) if done.returncode == 0 else ("drafted", [])):
            problems.append(f"room {room}: exit {done.returncode}, {one['state']}, {there}: "
                            f"{done.stderr.decode()[:200]}")
        if done.returncode == 0:
            run(program, "undo", **env)
            for path in paths:
                os.remove(path)
    problems += [] if seen == {"given", "drafted"} else [f"only {seen} was met"]
    # A folder that isn't there, named last: the first file isn't left either.
    done = run(program, *argv[1:-1], os.path.join(place, "none", "c.ics"), **env)
    one = json.loads(run(program, "session", "show", "ada", number, "--json", **env).stdout)
    problems += refused(done, 1, "cannot be written") if done.returncode else ["was given"]
    if one["state"] != "drafted" or os.listdir(place):
        problems.append(f"{one['state']}, {os.listdir(place)}")
    done = run(program, *argv[1:-1], paths[0], **env)
    return problems + refused(done, 2, "named for two files")


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


def came_back(program, env, folder):
    """A session given is compared with the ride of its day; the ride is read with what it asked."""
    path = os.path.join(folder, "came-back.csv")
    with open(path, "w", encoding="utf-8") as out:
        out.write("time,power,heart_rate,cadence\n")
        for t in range(600 + 4 * 480):
            watts = 140 if t < 600 else 268 if (t - 600) % 480 < 240 else 123
            out.write(f"2026-02-10T{9 + t // 3600:02}:{t // 60 % 60:02}:{t % 60:02}Z,"
                      f"{watts + t % 7 - 3},{140 + watts // 20},88\n")
    run(program, "import", path, "--rider", "ada", **env)
    done = run(program, "session", "write", "ada", "2026-02-10", "10 min at 50-60 %, 4 times (4 min at "
               "106-112 %, rest 4 min at 50 %)", "--kind", "vo2max", "--knowingly", "safe_hard_gap_h",
               "--json", **env)
    number = str(json.loads(done.stdout)["number"])
    run(program, "session", "give", "ada", number, "--knowingly", "safe_hard_gap_h", **env)
    shown = json.loads(run(program, "session", "show", "ada", number, "--json", **env).stdout)
    came = shown.get("came_back", {})
    problems = [] if (came.get("outcome"), len(came.get("steps", []))) == ("ridden", 9) else [f"{came}"]
    problems += [] if {s["verdict"] for s in came.get("steps", [])} == {"in"} else [f"{came}"]
    words = run(program, "session", "show", "ada", number, **env).stdout.decode()
    problems += [] if "Ridden: all 4 efforts whole, 16 of 16 min of hard work." in words else [words]
    words = run(program, "session", "list", "ada", "--today", "2026-02-12", **env).stdout.decode()
    problems += [] if "(given, ridden)" in words and "Of 1 session given in 4 weeks 1 was ridden." in words \
        else [words]
    words = " ".join(run(program, "show", "ada@2026-02-10", **env).stdout.decode().split())
    problems += [] if "If these were meant" not in words else [words]
    line = ". Ridden: all 4 efforts whole, 16 of 16 min of hard work."
    problems += [] if "What came back 2026-02-10 " in words and line in words else [words]
    ride = json.loads(run(program, "show", "ada@2026-02-10", "--json", **env).stdout)[0]
    hard = [one for one in ride["readings"] if one["question"] == "hard work"]
    problems += [] if ride["came_back"]["session"] == int(number) and ride["came_back"]["outcome"] == "ridden" \
        and ride["came_back"]["text"].endswith(line[2:]) else [f"{ride.get('came_back')}"]
    problems += [] if {one["basis"]["efforts_by"] for one in hard} == {"the session's steps, laid along power"} \
        else ["by what its efforts were found"]
    words = " ".join(run(program, "week", "ada", "--today", "2026-02-12", **env).stdout.decode().split())
    problems += [] if line in words and "Of 1 session given in 4 weeks 1 was ridden." in words else [words]
    week = json.loads(run(program, "week", "ada", "--today", "2026-02-12", "--json", **env).stdout)
    problems += [] if [one["outcome"] for one in week["came_back"]["sessions"]] == ["ridden"] and \
        week["came_back"]["weeks"] else [f"{week['came_back']}"]
    run(program, "session", "withdraw", "ada", number, **env)
    words = " ".join(run(program, "show", "ada@2026-02-10", **env).stdout.decode().split())
    return problems + ([] if "If these were meant" in words else [words])


def stands(program, env):
    rows = json.loads(run(program, "session", "list", "nils", "--json", **env).stdout)
    return [(row["day"], row["state"]) for row in rows]


def proposed(program, env, *more):
    return json.loads(run(program, "next", "nils", "--json", *more, **env).stdout)


def whats_next(program, env):
    """Of a rider with nothing on file: easy rides by feel, what was assumed is said; drafted and
    called off in one change each."""
    env = {**env}
    run(program, "rider", "add", "Nils Holm", **env)
    day = ["--today", "2026-11-23"]
    answer = proposed(program, env, *day)
    items = [one for one in answer["proposals"] if one["session"] is not None]
    problems = [] if items and all(one["session"]["kind"] == "easy" and "effort" in
                                   one["session"]["words"] for one in items) else [f"{items}"]
    problems += [] if any("90 min" in text for text in answer["assumed"]) else ["time assumed unsaid"]
    problems += [] if answer["cannot_tell"] else ["nothing on file, and all can be told"]
    if "medical-advice-first" not in [one["rule"] for one in answer["proposals"]]:
        problems.append("unscreened, and no medical advice first")
    for wrong in ("0", "x", "1,", "99", "1 2"):
        problems += refused(run(program, "next", "nils", "--draft", wrong, *day, **env), 2, "--draft")
    problems += [] if stands(program, env) == [] else ["written without being asked"]
    run(program, "next", "nils", "--draft", "all", *day, **env)
    problems += [] if stands(program, env) == [(one["day"], "drafted") for one in items] else \
        [f"{stands(program, env)}"]
    if any(one["session"] for one in proposed(program, env, *day)["proposals"]):
        problems.append("proposed once more")
    run(program, "undo", **env)
    problems += [] if stands(program, env) == [] else ["one undo doesn't take all back"]
    return problems


def called_off(program, env):
    """In illness what was given is offered for withdrawal; one act, one undo."""
    day = ["--today", "2026-11-23"]
    run(program, "next", "nils", "--draft", "all", *day, **env)
    rows = json.loads(run(program, "session", "list", "nils", "--json", **env).stdout)
    run(program, "session", "give", "nils", str(rows[0]["number"]), **env)
    before = stands(program, env)
    run(program, "rider", "ill", "nils", "2026-11-22", **env)
    answer = proposed(program, env, *day)
    problems = [] if {one["unfit"] for one in answer["stands"]} == {"ill"} else [f"{answer['stands']}"]
    problems += [] if [one["rule"] for one in answer["proposals"]] == ["ill"] else \
        [f"{answer['proposals']}"]
    run(program, "session", "withdraw", "nils", "--all", *day, **env)
    problems += [] if stands(program, env) == [(before[0][0], "withdrawn")] else \
        [f"{stands(program, env)}"]
    run(program, "undo", **env)
    problems += [] if stands(program, env) == before else ["one undo doesn't bring all back"]
    for words in (["--from", "someday"], ["1", "--all"], []):
        done = run(program, "session", "withdraw", "nils", *words, **env)
        problems += refused(done, 2)
    done = run(program, "session", "withdraw", "nils", "--from", "2030-01-01", **env)
    return problems + refused(done, 1, "nothing given")


def sessions(tally, program, folder):
    env = begin(program, folder)
    tally.check("next: proposed, drafted at the coach's word, taken back", whats_next(program, env))
    tally.check("next: called off in illness", called_off(program, env))
    tally.check("session: drafted, listed, taken back", written(program, env))
    tally.check("session: medical advice first", advice_first(program, env))
    tally.check("session: a safe limit is gone past only by its name", knowingly(program, env))
    tally.check("session: each safe limit is gone past by its own name alone",
                past_limits(program, env))
    tally.check("session: what isn't understood is pointed at", pointed_at(program, env))
    tally.check("session: given, withdrawn, given again", given(program, env, folder))
    tally.check("session: what it will bring, and its entry alone", foretold(program, env, folder))
    tally.check("session: too much is said, and given all the same", too_much(program, env, folder))
    tally.check("session: a full disk leaves it drafted and no file", full_disk(program, env, folder))
    tally.check("session: the coach's own by name", own(program, env))
    tally.check("session: what came back", came_back(program, env, folder))
