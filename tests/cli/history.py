"""A history of rides: the page after an import, answering it, and the page of a handover."""
import json
import os

from harness import run

LIMIT = 80


def write_ride(folder, name, day, pieces):
    """Seconds at watts; heart rate follows with a time constant of a minute towards 186 at 270 W."""
    bpm, second, seed = 90.0, 0, 7
    with open(os.path.join(folder, name), "w", encoding="utf-8") as out:
        out.write("time,power,heart_rate\n")
        for seconds, watts in pieces:
            for _ in range(seconds):
                seed = (seed * 1664525 + 1013904223) % 2**32
                power = watts + seed // 2**29 - 3.5
                bpm += (70 + min(1, power / 270) * 116 - bpm) / 60
                out.write(f"{day}T{8 + second // 3600:02d}:{second // 60 % 60:02d}:"
                          f"{second % 60:02d}Z,{power:.0f},{bpm:.0f}\n")
                second += 1


def write_history(folder):
    os.makedirs(folder)
    for i in range(20):
        write_ride(folder, f"easy-{i}.csv", f"2026-0{1 + i // 14}-{1 + i % 14 * 2:02d}",
                   [(1500, 150)])
    write_ride(folder, "hard.csv", "2026-03-07", [(900, 140), (480, 285), (600, 120)])
    write_ride(folder, "test.csv", "2026-03-14", [(900, 140), (1200, 275), (600, 100)])
    with open(os.path.join(folder, "notes.md"), "w", encoding="utf-8") as out:
        out.write("# Ada's rides\n")


def too_wide(text):
    return [line for line in text.splitlines() if len(line) > LIMIT]


def answers(program, env, page):
    """Numbers hold for their page; accepting is one change, and undo takes all of it back."""
    problems = []
    review = ["import", "--review", "--rider", "ada"]
    for words, status, said in (
            ([*review, "--accept", "1"], 2, "--page is missing"),
            ([*review, "--accept", "1", "--page", "00000000"], 1, "has changed since"),
            ([*review, "--accept", "99", "--page", page["page"]], 2, "99: the page has"),
            ([*review, "--accept", "one", "--page", page["page"]], 2, "write the numbers"),
            (["import", "--review"], 2, "whose rides?"),
            (["import", "--accept", "1", "."], 2, "go with --review"),
            ([*review, "."], 2, "takes no path")):
        done = run(program, *words, **env)
        if done.returncode != status or said not in done.stderr.decode():
            problems.append(f"{words}: exit {done.returncode} {done.stderr.decode()}")
    done = run(program, *review, "--accept", "all", "--page", page["page"], **env)
    if done.returncode != 0 or "read again" not in done.stderr.decode():
        problems.append(f"accept: exit {done.returncode} {done.stderr.decode()}")
    facts = json.loads(run(program, "threshold", "ada", "--json", **env).stdout)
    if [(one["from"], one["known_by"]) for one in facts] != [("2026-03-14", "20-minute test")]:
        problems.append(f"threshold {facts}")
    after = json.loads(run(program, *review, "--json", **env).stdout)
    if [one for one in after["proposals"] if one["can_accept"]]:
        problems.append(f"proposed again: {after['proposals']}")
    run(program, "undo", **env)
    again = json.loads(run(program, *review, "--json", **env).stdout)
    if again["page"] != page["page"] or \
            json.loads(run(program, "threshold", "ada", "--json", **env).stdout):
        problems.append("undo left something")
    run(program, *review, "--decline", "1", "--page", page["page"], **env)
    less = json.loads(run(program, *review, "--json", **env).stdout)
    if len(less["proposals"]) != len(page["proposals"]) - 1:
        problems.append("decline")
    run(program, "undo", **env)
    return problems


def history(tally, program, folder):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "history.plumbline"), "LC_ALL": "C.UTF-8"}
    rides = os.path.join(folder, "history")
    write_history(rides)
    run(program, "rider", "add", "Ada Berg", **env)
    few = run(program, "import", os.path.join(rides, "easy-0.csv"), "--rider", "ada", **env)
    tally.check("a single ride is imported without a page",
                [] if "What the rides" not in few.stdout.decode() else [few.stdout.decode()])
    done = run(program, "import", rides, "--rider", "ada", "--today", "2026-04-01", **env)
    text = done.stdout.decode()
    tally.check("a history import ends with its page",
                too_wide(text) + ["someone"] * ("someone else" in text) + [word for word in (
                    "21 taken, 1 known, 1 not a recording.", "Not recordings: ",
                    "Thresholds, by tests recognised", "20-minute test, 20 min at 275 W",
                    "Maximal heart rates", "--accept all") if word not in " ".join(text.split())])
    shown = run(program, "import", "--review", "--rider", "ada", "--today", "2026-04-01", **env)
    tally.check("--review shows it again",
                [] if shown.stdout and shown.stdout.decode() in text else [shown.stdout.decode()])
    page = json.loads(run(program, "import", "--review", "--rider", "ada", "--json", **env).stdout)
    tests = [one for one in page["proposals"] if one["kind"] == "threshold"]
    # 0.925 of 275 W, by hand
    tally.check("the page as JSON", [] if len(tests) == 1 and abs(tests[0]["value"] - 254) <= 1 and
                tests[0]["test"]["valid"] and tests[0]["low"] < 240 < 270 < tests[0]["high"]
                else [f"{page}"])
    tally.check("answers hold for their page, and are one change", answers(program, env, page))
    words = run(program, "handover", "ada", "--today", "2026-04-01", **env).stdout.decode()
    tally.check("handover: words", too_wide(words) + [word for word in (
        "2026-02", "Bests 2026", "20-minute test, ride", "not on file", "2026-03-15 to 2026-04-01",
        "What can't be told", "No weight is on file") if word not in words])
    told = json.loads(run(program, "handover", "ada", "--json", "--today", "2026-04-01",
                          **env).stdout)
    # by hand: 14 rides of 1500 s in January
    tally.check("handover: JSON", [] if told["months"][0]["rides"] == 14 and
                abs(told["months"][0]["hours"] - 14 * 1500 / 3600) < 0.01 and
                told["gaps"][-1]["goes_on"] and told["tests"][0]["recognised"] == "20-minute test"
                else [f"{told['months'][0]} {told['gaps']} {told['tests']}"])
