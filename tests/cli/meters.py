"""Two power meters on one ride, as a coach compares them: the offset that was put in comes out, the
check is kept, carried by what is compared, taken back; JSON by api/roster.schema.json.
"""
import datetime
import json
import os
import random
import sqlite3

import jsonschema

from harness import SOURCE, run

SECONDS = 2700


def table(path, above_pct, later_s, seed=3, seconds=SECONDS, even=False, month=5):
    """The same legs (by seed) through a meter that reads so much above, by a clock that began later."""
    legs = random.Random(seed)
    own = random.Random(seed + 1000 * (1 + later_s) + 10 * above_pct)
    watts = []
    while len(watts) < SECONDS + 100:
        level = 200 if even else legs.uniform(110, 310)
        scatter = 2 if even else 25
        watts += [level + scatter * legs.gauss(0, 1) for _ in range(legs.randrange(60, 240))]
    begin = datetime.datetime(2026, month, 3, 8, 0, 0)
    with open(path, "w", encoding="utf-8") as out:
        out.write("timestamp,power\n")
        for t in range(seconds):
            shown = max(0, round(watts[t + later_s] * (1 + above_pct / 100) + 6 * own.gauss(0, 1)))
            out.write(f"{(begin + datetime.timedelta(seconds=t)).isoformat()}Z,{shown}\n")
    return path


def validators():
    schemas = {}
    for name in ("ride", "roster", "scene"):
        with open(os.path.join(SOURCE, "api", f"{name}.schema.json"), encoding="utf-8") as source:
            schemas[name] = json.load(source)
    names = {f"{name}.schema.json": schema for name, schema in schemas.items()}
    made = {}
    for name in ("meters", "meters_compared"):
        schema = {"$schema": schemas["roster"]["$schema"],
                  "$ref": f"roster.schema.json#/$defs/{name}"}
        made[name] = jsonschema.Draft202012Validator(
            schema, resolver=jsonschema.RefResolver("", schema, store=names))
    return made


def wrong(validator, value):
    return [f"{error.json_path}: {error.message[:160]}"
            for error in list(validator.iter_errors(value))[:3]]


def files(program, env, folder, valid):
    """Files: told, and never kept; what can't be told says why."""
    problems = []
    path = os.path.join(folder, "{}.csv")
    first = table(path.format("first"), 0, 0)
    for name, made, verdict, says in (
            ("same", {"above_pct": 6, "later_s": 7}, "differ", "6."),
            ("near", {"above_pct": 0.4, "later_s": 7}, "no clear difference", "0."),
            ("other", {"above_pct": 6, "later_s": 0, "seed": 4}, "cannot tell", "not one ride"),
            ("short", {"above_pct": 6, "later_s": 0, "seconds": 300}, "cannot tell", "Too short")):
        second = table(path.format(name), **made)
        done = run(program, "meters", first, second, "--json", **env)
        value = json.loads(done.stdout) if done.returncode == 0 else {}
        problems += wrong(valid["meters_compared"], value)
        reading = value.get("readings", [{}])[0]
        if reading.get("verdict") != verdict or says not in reading.get("text", ""):
            problems.append(f"{name}: {reading.get('verdict')} {reading.get('text')}")
        if value.get("kept") is not None:
            problems.append(f"{name} was kept")
    even = [table(path.format(f"even{i}"), i, 0, even=True) for i in range(2)]
    done = run(program, "meters", *even, **env)
    if done.returncode != 0 or b"too even" not in done.stdout:
        problems.append(f"even: {done.stdout.decode()[:200]}")
    return problems


def compared(env, folder, must):
    """Bests of a ride by the crank in March against the pedals in May."""
    must("import", table(os.path.join(folder, "march.csv"), 0, 0, month=3), "--rider", "ada")
    must("recordings", "2", "--main")
    # As devices that record serials would have it.
    store = sqlite3.connect(env["PLUMBLINE_ROSTER"])
    for ride, serial in ((1, 310), (2, 420), (3, 310)):
        store.execute("INSERT INTO sensor (recording, place, kind, serial) VALUES (?, 0, 'power', ?)",
                      (ride, serial))
    store.commit()
    store.close()
    asked = ["bests", "ada", "--from", "2026-05-01", "--against", "2026-03-01..2026-04-01"]
    problems = []
    for step, want in (("checked", True), ("not checked", False)):
        best = next(best for best in json.loads(must(*asked, "--json"))["bests"]
                    if best["duration_s"] == 1200)
        meter = best["against"]["other_meter"]
        if best["ride"] != 2 or not meter or meter["checked"] != want or \
                abs(meter["change_pct"] - (6 if want else 0)) > 0.5 or \
                (want and abs(best["against"]["change_pct"] - 6) > 0.5):
            problems.append(f"{step}: {best}")
        words = " ".join(must(*asked).split())
        if ("by their check of 3 May 2026" if want else "not ridden against each other") not in words:
            problems.append(f"{step}: {words[-300:]}")
        if want:
            kept = json.loads(must("meters", "ada", "--json"))["checks"]
            must("meters", "ada", "--remove", str(kept[0]["check"]), "--later")
            # Ridden with both, and not compared now.
            offered = json.loads(must("meters", "ada", "--json"))["possible"]
            if [meter["ride"] for meter in offered[0]["meters"]] != [2, 1]:
                problems.append(f"offered {offered}")
    # The rides say their meters now.
    if "Kept, check" not in " ".join(must("meters", "1", "2").split()):
        problems.append("not kept by the meters that the rides name")
    return problems


def stored(program, env, folder, valid):
    problems = []

    def must(*words):
        done = run(program, *words, "--today", "2026-06-01", **env)
        if done.returncode != 0:
            problems.append(f"{words}: {done.stderr.decode()[:200]}")
        return done.stdout.decode()

    def checks():
        value = json.loads(must("meters", "ada", "--json") or "{}")
        problems.extend(wrong(valid["meters"], value))
        return value.get("checks", [])

    must("rider", "add", "Ada Berg")
    for name, above, later in (("one", 0, 0), ("two", 6, 7)):
        must("import", table(os.path.join(folder, f"{name}.csv"), above, later), "--rider", "ada")
    for name, serial in (("crank", "310"), ("pedals", "420")):
        must("equipment", "ada", "add", "power-meter", "--name", name, "--serial", serial)
    must("threshold", "ada", "250", "--from", "2026-01-10", "--meter", "crank")
    said = must("meters", "1", "2")
    if "Not kept: recording 1 names no power meter" not in " ".join(said.split()) or checks():
        problems.append(f"nobody said which meters: {said[-200:]}")
    meters = ["--first", "crank", "--second", "pedals"]
    if "Not kept: --look." not in must("meters", "1", "2", *meters, "--look") or checks():
        problems.append("--look kept something")
    # By their day, as by their numbers; a third of that day there isn't, nor a file of that name.
    if "recording 1 of" not in must("meters", "ada@2026-05-03/1", "2", *meters, "--look"):
        problems.append("a ride by its day and place isn't taken")
    value = json.loads(must("meters", "1", "2", *meters, "--json"))
    problems += wrong(valid["meters_compared"], value)
    kept = checks()
    if len(kept) != 1 or value["kept"] != kept[0]["check"] or not \
            5.5 < kept[0]["hard"]["above_pct"] < 6.5 or kept[0]["changed"] is not None:
        problems.append(f"kept {kept}")
    must("equipment", "ada", "change", "2", "--day", "2026-05-20", "--note", "new battery")
    if checks()[0]["changed"] != "2026-05-20" or "check them anew" not in \
            " ".join(must("meters", "ada").split()):
        problems.append("the change isn't said")
    must("undo")
    must("undo")
    if checks():
        problems.append("undo left it")
    must("meters", "1", "2", *meters)
    must("meters", "ada", "--remove", str(checks()[0]["check"]))
    if checks():
        problems.append("--remove left it")
    must("undo")
    problems += compared(env, folder, must)
    must("forget", "ada", "--yes")
    must("check")
    return problems


def refusals(program, env, folder):
    problems = []
    file = os.path.join(folder, "first.csv")
    for words, status, says in (
            (["ada", "--look"], 2, "go with two recordings"),
            (["ada", "--remove", "x"], 2, "--remove"),
            ([file, file, "--first", "crank"], 2, "is a file"),
            (["1", "1"], 2, "one recording"), (["1", "999"], 1, "999"),
            ([file, file + ".gone"], 1, ".gone"), (["nobody"], 1, "no rider's name")):
        done = run(program, "meters", *words, **env)
        text = done.stderr.decode()
        if done.returncode != status or says not in text or text.count("\n") != 1:
            problems.append(f"{words}: {done.returncode} {text}")
    bare = run(program, "equipment", "ada", "change", "1", **env)
    if bare.returncode != 2 or b"say what was changed" not in bare.stderr:
        problems.append(f"change: {bare.stderr}")
    return problems


def two_meters(tally, program, folder):
    """folder: ours."""
    place = os.path.join(folder, "meters")
    os.makedirs(place)
    valid = validators()
    env = {"PLUMBLINE_ROSTER": os.path.join(place, "none.plumbline"), "LC_ALL": "C.UTF-8"}
    tally.check("meters: two files are compared, and why not is said",
                files(program, env, place, valid))
    env["PLUMBLINE_ROSTER"] = os.path.join(place, "meters.plumbline")
    for words in (["rider", "add", "Ada Berg"],
                  ["import", os.path.join(place, "first.csv"), "--rider", "ada"]):
        run(program, *words, **env)
    tally.check("meters: what is no pair is refused in one line", refusals(program, env, place))
    env["PLUMBLINE_ROSTER"] = os.path.join(place, "kept.plumbline")
    tally.check("meters: a check is kept, told, taken back, forgotten",
                stored(program, env, place, valid))
