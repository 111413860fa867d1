"""Whom to see first: the list, what is marked on it, and when something comes back."""
import json
import os

from harness import run


def items(program, env, *more):
    done = run(program, "who", "--all", "--json", *more, **env)
    return [(item["group"], item["code"]) for item in json.loads(done.stdout)["items"]]


def act(program, env, *words):
    return run(program, "who", "ada", *words, **env).returncode


def flow(program, env, early, late):
    problems = []
    day = ["--today", "2026-03-12"]
    for words in (["rider", "add", "Ada Berg"], ["threshold", "ada", "246", "--from", "2026-01-01"],
                  ["max-heart-rate", "ada", "189", "--from", "2026-01-01"],
                  ["import", early, "--rider", "ada"],
                  ["asked", "ada@2026-03-10", "--kind", "vo2max", "--reps", "4x4min", "--target",
                   "106-120"]):
        done = run(program, *words, **env)
        if done.returncode != 0:
            problems.append(f"{words}: {done.stderr.decode()[:200]}")
    first = ("decide this week", "hard-started-too-hard")
    if first not in items(program, env, *day) or items(program, env, *day) != \
            items(program, env, *day):
        problems.append(f"at first {items(program, env, *day)}")
    if act(program, env, "--asked", "--note", "by phone", "--about", first[1], *day) != 0 or \
            ("waiting for an answer", first[1]) not in items(program, env, *day):
        problems.append(f"asked: {items(program, env, *day)}")
    if act(program, env, "--done", "--about", first[1], *day) != 0 or \
            first[1] in [code for _, code in items(program, env, *day)]:
        problems.append(f"done: {items(program, env, *day)}")
    if run(program, "undo", **env).returncode != 0 or \
            ("waiting for an answer", first[1]) not in items(program, env, *day):
        problems.append(f"taken back: {items(program, env, *day)}")
    if act(program, env, "--not-before", "2026-03-14", "--about", first[1], *day) != 0 or \
            first[1] in [code for _, code in items(program, env, *day)]:
        problems.append(f"not before: {items(program, env, *day)}")
    if first[1] not in [code for _, code in items(program, env, "--today", "2026-03-14")]:
        problems.append(f"on its day: {items(program, env, '--today', '2026-03-14')}")
    # Done, and then another such ride: new evidence.
    act(program, env, "--done", "--about", first[1], *day)
    run(program, "import", late, "--rider", "ada", **env)
    for words in (["undo", "--list"], ["who"], ["who", "--json"]):
        if run(program, *words, **env).returncode != 0:
            problems.append(str(words))
    return problems


def refusals(program, env):
    problems = []
    for words, status in ((["ada", "--done", "--asked"], 2), (["--done"], 2), 
                          (["nobody", "--done"], 1), (["ada", "--done", "--about", "x"], 1),
                          (["ada", "--not-before", "soon"], 2)):
        done = run(program, "who", *words, **env)
        if done.returncode != status or done.stderr.count(b"\n") != 1:
            problems.append(f"{words}: exit {done.returncode}, {done.stderr.decode()[:120]}")
    return problems


def whom(tally, program, rides, folder):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "whom.plumbline")}
    early = [ride for ride in rides if "started-too-hard" in ride][0]
    late = [ride for ride in rides if "4x4-done.fit" in ride][0]
    tally.check("who: what is marked goes, waits, and comes back", flow(program, env, early, late))
    tally.check("who: a wrong call is one line", refusals(program, env))
