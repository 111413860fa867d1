"""Rides in a roster against the same files read without one: import, rides, show, bests."""
import json
import os
import pty
import re
import shutil
import signal
import subprocess
import time

from harness import run

FACTS = ["--threshold", "246", "--max-heart-rate", "189", "--weight", "62"]


def of_file(program, name, *more):
    """What `read --json` says of a file, or of one in a zip, element by element."""
    path = name if os.path.exists(name) else name.split(": ")[0]
    items = json.loads(run(program, "read", path, "--json", *FACTS, *more).stdout)
    return [item for item in items if item["file"] == name and "error" not in item]


def alike(item):
    """Where the threshold is known from is said otherwise by an option than by the roster; what
    rests on the rides before it is said by the roster alone."""
    item = dict(item)
    item.pop("file")
    item.pop("w_prime", None)
    item["readings"] = [one for one in item["readings"] if one["question"] != "today"]
    for reading in item["readings"]:
        reading["basis"].pop("threshold_known_by")
        without_repeats(reading)
    return item


def without_repeats(reading):
    """How base tests repeat in the roster stands beside a base verdict of a stored ride."""
    said = [one for one in reading["because"] if one["code"] in ("test-repeats", "repeat-unknown")]
    for one in said:
        reading["because"].remove(one)
        reading["text"] = reading["text"].replace(f" {one['text']}", "")
        reading["basis"]["limits"].pop("repeat_pairs")


def begin(program, folder, name):
    roster = os.path.join(folder, name)
    env = {"PLUMBLINE_ROSTER": roster, "LC_ALL": "C.UTF-8"}
    for words in (["rider", "add", "Ada Berg", "--zone", "Europe/Berlin"],
                  ["rider", "add", "Ben Lind"],
                  ["threshold", "ada", "246", "--from", "1990-01-01"],
                  ["max-heart-rate", "ada", "189", "--from", "1990-01-01"],
                  ["weight", "ada", "62", "--from", "1990-01-01"]):
        done = run(program, *words, **env)
        if done.returncode != 0:
            raise RuntimeError(done.stderr.decode())
    return env


def is_own(reading):
    """Read by the response that the rides before it gave, which no file alone can (docs/measures.md;
    tests/roster/test_store_usual.c holds those against a twin)."""
    return (reading["basis"].get("response") or "").startswith("the rider's own")


def without_own(shown, read):
    """Both without what rests on the rider's own response, and how many readings that were."""
    own = {i for i, one in enumerate(shown["readings"]) if is_own(one)}
    drift = any(shown["readings"][i]["question"] == "base" for i in own)
    for item in (shown, read):
        if drift:
            item.pop("steady")
        item["readings"] = [one for i, one in enumerate(item["readings"]) if i not in own]
    return len(own)


def shown_as_read(program, env, rides):
    problems = []
    whole = 0
    for ride in rides:
        shown = json.loads(run(program, "show", str(ride["id"]), "--json", **env).stdout)
        parts = [item for item in of_file(program, ride["file"])
                 if item["part"] == shown[0]["part"]]
        if ride["day"] is None:
            continue
        one, other = alike(shown[0]), alike(parts[0])
        whole += without_own(one, other) == 0
        if len(parts) != 1 or one != other:
            problems.append(f"{ride['file']} part {shown[0]['part']} differs")
    return problems if 2 * whole > len(rides) else [*problems, f"{whole} of {len(rides)} whole"]


def words_as_read(program, env, ride):
    """The page too, but for where the threshold is known from."""
    shown = run(program, "show", str(ride["id"]), **env).stdout.decode()
    shown = re.sub(r"\n  Was heart rate as usual\?.*?\n(?=\n  \S)", "", shown, count=1, flags=re.S)
    read = run(program, "read", ride["file"], *FACTS, LC_ALL="C.UTF-8").stdout.decode()
    return [] if shown == read and len(shown) > 500 else [f"{shown[:200]!r}, {read[:200]!r}"]


def page_as_read(program, folder, examples):
    """Of a ride with none before it, so that nothing but the ride itself is read."""
    env = begin(program, folder, "alone.plumbline")
    path = next(path for path in examples if "vo2max-4x4-started" in path)
    run(program, "import", path, "--rider", "ada", **env)
    rides = json.loads(run(program, "rides", "ada", "--json", **env).stdout)
    return words_as_read(program, env, rides[0])


def brute_force(program, rides, first, last):
    """Every second of every ride that counts; of equal power the earlier ride."""
    best = {}
    for ride in sorted(rides, key=lambda one: one["start_utc"] or 0):
        if not ride["ride"] or ride["same_as"] or not ride["day"] or \
                not first <= ride["day"] < last:
            continue
        for item in of_file(program, ride["file"], "--bests", "all"):
            if item["recording"]["start_utc"] != ride["start_utc"]:
                continue
            for one in item["bests"]:
                known = best.get(one["duration_s"])
                if known is None or one["power_w"] > known[0]:
                    best[one["duration_s"]] = (one["power_w"], ride["id"], one["at_least"])
    return best


def bests_hold(program, env, rides, first, last):
    words = ["bests", "ada", "--all", "--json", "--from", first, "--to", last]
    got = json.loads(run(program, *words, **env).stdout)["bests"]
    want = brute_force(program, rides, first, last)
    problems = []
    for one in got:
        mine = (one["power_w"], one["ride"], one["at_least"])
        if want.get(one["duration_s"]) != mine:
            problems.append(f"{one['duration_s']} s: {mine}, wanted {want.get(one['duration_s'])}")
    longest = max(want, default=0)
    durations = [one["duration_s"] for one in got]
    whole = list(range(1, min(longest, 600) + 1))
    if durations[:len(whole)] != whole or (longest and durations[-1] < longest / 1.01):
        problems.append(f"durations {durations[-3:]} of {longest}")
    return problems


def interrupted(program, env, folder, files):
    """SIGINT while it works: what is told as taken is there, and the rest is taken later."""
    many = os.path.join(folder, "many")
    os.makedirs(many)
    for k in range(40):
        for path in files:
            with open(path, "rb") as source, \
                    open(os.path.join(many, f"{k:02d}-{os.path.basename(path)}"), "wb") as out:
                out.write(source.read() + bytes(k + 1))
    with subprocess.Popen([program, "import", many, "--rider", "ben", "--json"],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env=dict(os.environ, **env)) as running:
        time.sleep(0.4)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=120)
    problems = []
    if running.returncode == 130:
        told = json.loads(out)["counts"]["recordings"]
        kept = len(json.loads(run(program, "rides", "ben", "--all", "--json", **env).stdout))
        if err.decode().count("\n") != 1 or told != kept:
            problems.append(f"told {told}, kept {kept}: {err.decode()[:200]}")
    elif running.returncode != 0:
        problems.append(f"exit {running.returncode}: {err.decode()[:200]}")
    else:
        print("# the import was done before the interrupt came")
    again = run(program, "import", many, "--json", **env)
    counts = json.loads(again.stdout)["counts"]
    if again.returncode != 0 or counts["taken"] + counts["known"] != 40 * len(files):
        problems.append(f"then {counts}")
    return problems


def has_bar(program, env, path):
    """On a terminal, and only there, a bar goes by on stderr."""
    main, side = pty.openpty()
    with subprocess.Popen([program, "import", path, "--rider", "ada"], stdout=subprocess.PIPE,
                          stderr=side, env=dict(os.environ, **env)) as running:
        os.close(side)
        out = running.stdout.read().decode()
        bar = b""
        try:
            while True:
                got = os.read(main, 4096)
                if not got:
                    break
                bar += got
        except OSError:
            pass  # the terminal is gone with its program
    os.close(main)
    problems = [] if b"1 of 1" in bar and "1 known" in out else [f"{bar!r} {out!r}"]
    plain = run(program, "import", path, "--rider", "ada", **env)
    return problems + ([] if plain.stderr == b"" else [plain.stderr.decode()])


def kept_rides(tally, program, examples, shared, folder):
    env = begin(program, folder, "kept.plumbline")
    paths = os.path.join(folder, "to-import")
    shutil.copytree(os.path.dirname(examples[0]), paths)
    done = run(program, "import", paths, *shared, "--rider", "ada", "--json", **env)
    files = json.loads(done.stdout)["files"]
    rides = json.loads(run(program, "rides", "ada", "--all", "--json", **env).stdout)
    taken = sum(len(one["rides"]) for one in files if one["outcome"] == "taken")
    tally.check("import takes every example ride and lists what it took",
                [] if done.returncode == 0 and taken == len(rides) >= len(examples)
                else [f"exit {done.returncode}, {taken} taken, {len(rides)} listed"])
    tally.check("show prints what read prints", shown_as_read(program, env, rides))
    tally.check("show's page is read's page", page_as_read(program, folder, examples))
    days = sorted(ride["day"] for ride in rides if ride["day"] and not ride["same_as"])
    for low, high in ((days[0], "2100-01-01"), ("2026-03-01", "2026-04-01"),
                      (days[len(days) // 3], days[len(days) * 2 // 3])):
        tally.check(f"bests from {low} before {high} are those of read --bests all",
                    bests_hold(program, env, rides, low, high))
    both = json.loads(run(program, "bests", "ada", "--json", "--from", "2026-03-01", "--to",
                          "2026-04-01", "--against", "before", **env).stdout)
    alone = json.loads(run(program, "bests", "ada", "--json", "--from", "2026-01-29", "--to",
                           "2026-03-01", **env).stdout)
    pairs = {one["duration_s"]: one["power_w"] for one in alone["bests"]}
    tally.check("bests --against before are those of the days before",
                [str(one) for one in both["bests"]
                 if (one["against"] or {}).get("power_w") != pairs.get(one["duration_s"])] +
                ([] if both["against"]["from"] == "2026-01-29" and both["bests"] else ["empty"]))
    other = run(program, "import", examples[0], "--rider", "ben", **env)
    said = " ".join(other.stdout.decode().split())
    tally.check("another rider's file is a conflict that names both",
                [] if other.returncode == 3 and "is Ada Berg's already" in said and
                "not taken for Ben Lind" in said else [said])
    tally.check("import has a bar on a terminal only", has_bar(program, env, examples[0]))
    tally.check("an interrupted import keeps what it told",
                interrupted(program, env, folder, examples[:3]))
