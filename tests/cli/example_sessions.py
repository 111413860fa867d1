#!/usr/bin/env python3
"""Weeks of sessions on the example roster, held against the rides that came of them.

usage: example_sessions.py PROGRAM ROSTER      last line: TOTAL passed failed skipped

The words are read here once more, by a reader of this file's own: nothing of the program's.
"""
import datetime
import json
import os
import re
import shutil
import sys
import tempfile

from harness import Tally, run

TODAY = datetime.date(2026, 8, 31)
FACTOR = {"h": 3600, "min": 60, "s": 1}
TOKEN = re.compile(r'\s*("[^"]*"|\(|\)|,|[^\s(),"]+)')
# Limits that a coach may name: docs/sessions.md.
NAMEABLE = "safe_hard_gap_h hard_days_week safe_maximal_days safe_vo2max_s safe_threshold_s " \
    "safe_anaerobic_s"


def steps(words):
    """[(seconds, what is asked)] as they are ridden; plan B and notes left out."""
    text = ", ".join(line for line in words.split("\n") if not re.match(r"plan B|note:", line))
    tokens = TOKEN.findall(text)

    def items(at):
        found = []
        while at < len(tokens) and tokens[at] != ")":
            if tokens[at] == ",":
                at += 1
            elif at + 1 < len(tokens) and tokens[at + 1] == "times":
                inside, end = items(at + 3)
                found += int(tokens[at]) * inside
                at = end + 1
            else:
                end = at
                while end < len(tokens) and tokens[end] not in (",", ")"):
                    end += 1
                part = " ".join(tokens[at:end])
                seconds = sum(int(n) * FACTOR[unit] for n, unit in
                              re.findall(r"(\d+) (h|min|s)\b", part.split(" at ")[0]))
                found.append((seconds, part))
                at = end
        return found, at
    return items(0)[0]


def seconds_of(words):
    return sum(seconds for seconds, _ in steps(words))


def ask(program, env, *words):
    return json.loads(run(program, *words, "--json", **env).stdout)


def rider_sessions(program, env):
    """{first name: sessions}"""
    return {rider["name"].split()[0]: ask(program, env, "session", "list", rider["name"])
            for rider in ask(program, env, "rider", "list")}


def weeks_long(name, sessions):
    weeks = {datetime.date.fromisoformat(one["day"]).isocalendar()[1] for one in sessions
             if one["day"] < TODAY.isoformat()}
    return [] if len(weeks) >= 4 else [f"{name}: {len(weeks)} weeks"]


def named_truly(name, sessions):
    """What the name counts is what the steps hold: "VO2max, 4 x 4 min"."""
    problems = []
    for one in sessions:
        counted = re.search(r", (?:(\d+) x )?(\d+) x ((?:\d+ (?:min|s) ?)+)$", one["name"])
        if counted is None:
            continue
        sets, count, length = counted.groups()
        wanted = int(sets or 1) * int(count)
        seconds = sum(int(n) * FACTOR[unit] for n, unit in re.findall(r"(\d+) (min|s)", length))
        hard = [s for s, part in steps(one["words"])
                if re.search(r"all out|at (8[89]|9\d|1\d\d)-", part)]
        if one["kind"] == "over-unders":
            hard = [wanted and sum(hard) / wanted] * wanted
        if hard != [seconds] * wanted:
            problems.append(f"{name} {one['day']} {one['name']}: {hard}")
    return problems


def fits(asked, ridden):
    """The device's timer stands at junctions, which long rides have; who has a warm-up of seconds is
    asked for minutes; the last rest is asked for and goes over into the way home."""
    return abs(asked - ridden) <= max(420, 0.1 * asked)


def ridden_as_asked(name, sessions, rides):
    """Done is as long as asked, give or take how coaches round and how riders go home; missed is a
    day without a ride.  A ride that came a day late, and plan B, are told apart by the caller."""
    problems, odd = [], []
    for one in sessions:
        ridden = rides.get(one["day"])
        if one["state"] == "done" and ridden is None:
            odd.append("moved")
        elif one["state"] == "done" and not fits(seconds_of(one["words"]), ridden):
            plan_b = "plan B with bad legs" in one["words"]
            if not plan_b:
                problems.append(f"{name} {one['day']} {one['name']}: asked "
                                f"{seconds_of(one['words'])} s, rode {ridden} s")
            else:
                odd.append("plan B")
        elif one["state"] != "done" and one["day"] < TODAY.isoformat() and ridden is not None:
            problems.append(f"{name} {one['day']} {one['name']}: ridden, {one['state']}")
        elif one["state"] == "given" and one["day"] < TODAY.isoformat():
            odd.append("missed")
    return problems, odd


def rides_of(program, env, name):
    return {ride["day"]: ride["timer_s"] for ride in
            ask(program, env, "rides", name, "--from", "2026-07-01")
            if ride["ride"] and ride["same_as"] is None}


def nothing_refused(program, env, name, sessions):
    """Written anew: no limit that can't be gone past; and what is to come needs no more names than
    it has."""
    problems = []
    for one in sessions:
        past = one["day"] < TODAY.isoformat()
        words = ["--knowingly", NAMEABLE] if past else ["--change", str(one["number"])]
        done = run(program, "session", "write", name, one["day"], one["words"], "--kind",
                   one["kind"], "--name", one["name"], "--json", *words, **env)
        if done.returncode != 0:
            problems.append(f"{name} {one['day']} {one['name']}: {done.stderr.decode()[:200]}")
        elif not past and json.loads(done.stdout)["confirmed"] != one["confirmed"]:
            problems.append(f"{name} {one['day']}: {one['confirmed']}")
    return problems


def of_riders(tally, program, env, riders):
    """What holds of every rider; returns what was found odd on the way."""
    odd = []
    tally.check("example sessions: four weeks and more of every rider",
                sum((weeks_long(*item) for item in riders.items()), []))
    tally.check("example sessions: a session is what its name counts",
                sum((named_truly(*item) for item in riders.items()), []))
    problems = []
    for name, sessions in riders.items():
        more, found = ridden_as_asked(name, sessions, rides_of(program, env, name))
        problems += more
        odd += found
    tally.check("example sessions: what is done was ridden, about as long as asked; else not",
                problems)
    with tempfile.TemporaryDirectory() as folder:
        copy = os.path.join(folder, "copy.plumbline")
        shutil.copy(env["PLUMBLINE_ROSTER"], copy)
        other = dict(env, PLUMBLINE_ROSTER=copy)
        tally.check("example sessions: their words are read, and nothing refused is among them",
                    sum((nothing_refused(program, other, *item) for item in riders.items()), []))
    return odd


def proposals_of(program, env, riders):
    """Among the riders whose coming week is free; each with its reason, and what was seen."""
    found, problems = {}, []
    for name in riders:
        answer = ask(program, env, "next", name)
        told = " ".join(answer["evidence"])
        for one in answer["proposals"]:
            session = one["session"]
            kind = "easy" if session is None else session["kind"]
            what = "why not" if session is None or one["rule"].startswith("back-") else \
                kind if kind in ("test", "base-test") else \
                "hard" if session["is_hard"] else "easy"
            found.setdefault(what, set()).add(name)
            problems += [] if len(one["why"]) > 10 and one["source"] else [f"{name}: {one}"]
            problems += [] if told or what == "easy" else [f"{name}: {what}, and no evidence"]
    return problems + [f"nobody has {what}" for what in
                       ("hard", "base-test", "test", "easy", "why not") if what not in found]


def main():
    program, roster = sys.argv[1:]
    tally = Tally()
    env = {"PLUMBLINE_ROSTER": roster, "LC_ALL": "C.UTF-8"}
    riders = rider_sessions(program, env)
    every = sum(riders.values(), [])
    odd = of_riders(tally, program, env, riders)
    tally.check("example sessions: every rider has some",
                [] if len(riders) == 14 and all(riders.values()) else [f"{len(riders)} riders"])
    states = {one["state"] for one in every}
    tally.check("example sessions: every state occurs",
                [] if states == {"drafted", "given", "done", "withdrawn"} else [f"{states}"])
    tally.check("example sessions: missed, moved, changed to plan B, called off when ill, knowingly "
                "past a limit",
                [f"no {what}" for what in ("missed", "moved", "plan B") if what not in odd] +
                ([] if any(one["confirmed"] for one in every) else ["nothing confirmed"]) +
                ([] if any(one["state"] == "withdrawn" and "throat" in (one["why"] or "")
                           for one in every) else ["nobody ill"]))
    tally.check("example sessions: without a meter outdoors by feel",
                [f"{one}" for one in riders["Hanne"] if one["kind"] == "easy" and
                 "at effort" not in one["words"] and one["day"] >= "2026-08-31"])
    items = ask(program, env, "who", "--all")["items"]
    ends = {item["name"].split()[0] for item in items if item["code"] == "plan-ends"}
    given = {name for name, sessions in riders.items()
             if any(one["state"] == "given" and one["day"] >= TODAY.isoformat()
                    for one in sessions)}
    silent = {item["name"].split()[0] for item in items if item["code"] == "not-heard"}
    tally.check("example sessions: who has nothing given for the coming week needs a plan",
                [] if ends and ends == set(riders) - given - silent else
                [f"{ends}, given {given}, silent {silent}"])
    tally.check("example sessions: what next shows hard work, a base test, a test, and why not",
                proposals_of(program, env, riders))
    with tempfile.TemporaryDirectory() as folder:
        again = os.path.join(folder, "again")
        run(program, "example", again, "--riders", "1")
        other = dict(env, PLUMBLINE_ROSTER=os.path.join(again, "example.plumbline"))
        # Numbers of riders and sessions are the roster's own: the rest is the same.
        one, two = ([{key: value for key, value in session.items() if key != "number"}
                     for session in sessions] for sessions in
                    (ask(program, other, "session", "list", "maren"), riders["Maren"]))
        tally.check("example sessions: made again they are the same",
                    [] if one == two else [f"{len(one)} and {len(two)}"])
    return tally.total()


if __name__ == "__main__":
    sys.exit(main())
