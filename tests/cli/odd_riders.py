"""Riders of whom little or nonsense is on file: every command that says something of a rider answers
with words or a reason, its JSON is JSON, its figures are drawn, and no output holds "nan" or "inf"."""
import json
import os
import re

from figures import output_of
from harness import run
from odd_roster import RIDES, TODAY, add_odd_rider, env_of

NOT_A_NUMBER = re.compile(r"(?<![A-Za-z])[-+]?(nan|inf(inity)?)(?![A-Za-z])", re.I)
DRAWN = ("week", "progress", "load", "critical", "heart", "teach", "bests")


def no_constants(word):
    raise ValueError(word)


def say(program, env, words):
    """Problems of what a command says, in words and as JSON; and the JSON."""
    problems = []
    told = None
    for more in ([], ["--json"]):
        done = run(program, *words, *more, "--today", TODAY, **env)
        text = (done.stdout + done.stderr).decode()
        name = " ".join(words + more)
        found = NOT_A_NUMBER.search(text)
        if found:
            problems.append(f"{name}: {text[max(0, found.start() - 60):found.end() + 20]!r}")
        if done.returncode not in (0, 1) or (done.returncode == 1 and
                                             done.stderr.count(b"\n") != 1):
            problems.append(f"{name}: exit {done.returncode} {done.stderr[:200]!r}")
        if more and done.returncode == 0:
            try:
                told = json.loads(done.stdout, parse_constant=no_constants)
            except ValueError as error:
                problems.append(f"{name}: {error}")
    return problems, told


def drawn(program, env, words, folder):
    """Problems of a command's figures: as SVG, as a scene of numbers, and the words of a response's PDF."""
    problems = []
    for ending in (".svg", ".json", *((".pdf",) if words[0] in ("critical", "heart", "teach") else ())):
        path = os.path.join(folder, "odd" + ending)
        done = run(program, *words, "--today", TODAY, "--figure", path, **env)
        name = " ".join(words) + " " + ending
        if done.returncode != 0:
            problems.append(f"{name}: exit {done.returncode} {done.stderr[:200]!r}")
            continue
        if ending == ".pdf":
            text = output_of("pdftotext", path, "-")
        else:
            with open(path, encoding="utf-8") as file:
                text = file.read()
        found = NOT_A_NUMBER.search(text)
        if found:
            problems.append(f"{name}: {text[max(0, found.start() - 60):found.end() + 20]!r}")
        if ending == ".json":
            json.loads(text, parse_constant=no_constants)
        os.remove(path)
    return problems


def commands(program):
    overview = run(program, "--help").stdout.decode()
    return [name for name in ("week", "progress", "load", "critical", "heart", "teach", "handover",
                              "bests", "rides", "next") if f"\n  plumbline {name} " in overview]


def all_of(program, env, rider, names, folder):
    problems = []
    for name in names:
        if name in DRAWN:
            problems += drawn(program, env, [name, rider], folder)
    told = {}
    for name in names:
        more, told[name] = say(program, env, [name, rider])
        problems += more
    heart = told.get("heart")
    if heart and heart["response"]["end"] == "fitted":
        problems.append(f"heart {rider}: fitted")
    if heart and not heart["text"].startswith(("Can't tell", "Not read")):
        problems.append(f"heart {rider}: {heart['text']}")
    critical = told.get("critical")
    if critical and (critical["end"] == "known" or critical["cp_w"] is not None):
        problems.append(f"critical {rider}: {critical['end']}")
    return problems


def refused(program, env):
    """Facts beyond their range never come into the roster."""
    problems = []
    for words in (["weight", "absurd", "0"], ["weight", "absurd", "nan"], ["weight", "absurd", "9000"],
                  ["weight", "absurd", "-70"], ["weight", "absurd", "inf"],
                  ["threshold", "absurd", "nan"], ["max-heart-rate", "absurd", "inf"]):
        done = run(program, *words, "--from", "2026-01-01", **env)
        if done.returncode not in (1, 2) or done.stderr.count(b"\n") != 1:
            problems.append(f"{words}: exit {done.returncode} {done.stderr[:120]!r}")
    return problems


def odd_riders(tally, program, folder):
    env = env_of(folder)
    names = commands(program)
    run(program, "rider", "add", "Nobody Yet", **env)
    tally.check("odd riders: no rides at all", all_of(program, env, "nobody", names, folder))
    run(program, "rider", "add", "Absurd Weight", **env)
    tally.check("odd riders: absurd facts are refused", refused(program, env))
    for number, what in enumerate(RIDES):
        rider, problems = add_odd_rider(program, folder, number, what)
        problems += all_of(program, env, rider, names, folder)
        for more in (["show", f"{rider}@2026-03-12"], ["heart", f"{rider}@2026-03-20"]):
            problems += say(program, env, more)[0]
        tally.check(f"odd riders: {what}", problems)
    problems = []
    for words in (["who"], ["roster", "record"]):
        problems += say(program, env, words)[0]
    tally.check("odd riders: the roster as a whole", problems)
