"""Riders from nothing: JSON by api/rider.schema.json, 80 columns whatever the words, and that each
act of a season is taken back by undo until nothing is left."""
import json
import os

import jsonschema

from harness import SOURCE, run

LONG = "a rather long note without end, " * 12 + "über die Brücke hinüber"
ACTS = [
    ["goal", "zoe", "finish the 120 km ride", "--due", "2026-08-01"],
    ["goal", "zoe", LONG[:480]],
    ["event", "zoe", "2026-06-14", "Three Lakes", "--weight", "A", "--note", LONG],
    ["event", "zoe", "2026-04-19", "x" * 80, "--weight", "c"],
    ["block", "zoe", "base", "--until", "2026-04-12", "--note", LONG],
    ["available", "zoe", "mon 60 in, tue 61 out, wed 62, thu 63 in, fri 64 out, sat 65, sun 66 in"],
    ["away", "zoe", "2026-07-01", "2026-07-14", "--note", LONG],
    ["ill", "zoe", "2026-03-12"],
    ["off", "zoe", "2026-12-24", "2026-12-26", "--break"],
    ["screening", "zoe", "--yes",
     "heart-condition,chest-pain,fainting,sudden-death-in-family,medicine,pregnancy,"
     "new-and-over-45", "--note", LONG],
    ["screening", "zoe", "--cleared-by", "Dr " + "L" * 70],
    ["flag", "zoe", "guardian-agreed", "--note", LONG],
    ["consent", "zoe", "studies", LONG[:490], "--by", "E" * 80],
    ["consent", "zoe", "letters"],
    ["contact", "zoe", LONG, "--how", "p" * 80],
    ["back", "zoe"],
    ["goal", "zoe", "--change", "1", "--reached", "2026-03-14"],
    ["event", "zoe", "--remove", "2"],
    ["flag", "zoe", "pregnant", "--until", "2026-03-14"],
    ["consent", "zoe", "letters", "--withdrawn", "2026-03-14"],
    ["available", "zoe", "none", "--from", "2026-03-20"],
    ["available", "zoe", "--remove", "--from", "2026-03-20"],
    ["edit", "zoe", "--sex", "female", "--born", "1970-01-01", "--accepts", "card,fit,calendar",
     "--tests", "20min,10s,15s,1min,5min,10min",
     "--address", LONG[:280], "--note", LONG, "--training-since", "2025-10-01",
     "--power-since", "2025-11-01", "--zone", "Europe/Berlin"],
]
LISTS = {"goal": "goal", "event": "event", "block": "block", "off": "day_off",
         "available": "available", "screening": "screening", "flag": "flag", "consent": "consent",
         "contact": "contact"}


def schema_of(part):
    with open(os.path.join(SOURCE, "api", "rider.schema.json"), encoding="utf-8") as source:
        whole = json.load(source)
    jsonschema.Draft202012Validator.check_schema(whole)
    return {"$ref": f"#/$defs/{part}", "$defs": whole["$defs"]}


def valid(done, schema):
    if done.returncode != 0:
        return [f"exit {done.returncode}: {done.stderr.decode()[:300]}"]
    checker = jsonschema.Draft202012Validator(schema)
    return [f"{list(error.absolute_path)}: {error.message[:200]}"
            for error in checker.iter_errors(json.loads(done.stdout))]


def by_schema(program, roster):
    """`show` and every list of the rider."""
    whole = schema_of("rider")
    problems = valid(rider(program, roster, "show", "zoe", "--json"), whole)
    for act, part in LISTS.items():
        one = schema_of(part)
        array = {"type": "array", "items": {"$ref": one["$ref"]}, "$defs": one["$defs"]}
        problems += [f"{act}: {problem}"
                     for problem in valid(rider(program, roster, act, "zoe", "--json"), array)]
    return problems


def rider(program, roster, *words):
    return run(program, "rider", *words, "--roster", roster, "--today", "2026-03-14",
               LC_ALL="C.UTF-8")


def narrow(done):
    return [f"{len(line)} columns: {line[:90]}" for line in done.stdout.decode().splitlines()
            if len(line) > 80 and " " in line.strip()[20:60]]


def sentence(done):
    """One plain sentence, which begins with a capital and holds no column's name."""
    text = done.stdout.decode()
    if done.returncode != 0:
        return [f"exit {done.returncode}: {done.stderr.decode()[:200]}"]
    return [] if text[:1].isupper() and "_" not in text and "(null)" not in text else [text[:200]]


def riders(tally, program, folder):
    roster = os.path.join(folder, "riders.plumbline")
    rider(program, roster, "add", "Zoë Lind")
    tally.check("a rider without facts is JSON by the schema", by_schema(program, roster))
    shown = [rider(program, roster, "show", "zoe", "--json").stdout]
    for fact, value in (("weight", "61.5"), ("threshold", "246"), ("max-heart-rate", "189"),
                        ("rest-heart-rate", "48")):
        run(program, fact, "zoe", value, "--roster", roster, "--today", "2026-03-14")
    shown[0] = rider(program, roster, "show", "zoe", "--json").stdout
    problems = []
    for words in ACTS:
        done = rider(program, roster, *words)
        problems += [f"{words[:2]}: {p}" for p in sentence(done) + narrow(done)]
        shown.append(rider(program, roster, "show", "zoe", "--json").stdout)
    tally.check("every act says itself in one sentence on 80 columns", problems)
    tally.check("a rider with everything is JSON by the schema", by_schema(program, roster))
    tally.check("rider show fits 80 columns whatever the words",
                narrow(rider(program, roster, "show", "zoe")))
    problems = []
    for words in reversed(ACTS):
        shown.pop()
        done = run(program, "undo", "--roster", roster)
        after = rider(program, roster, "show", "zoe", "--json").stdout
        if done.returncode != 0 or after != shown[-1]:
            problems.append(f"{words[:3]}: {done.stderr.decode()[:200] or 'not as it was before'}")
    tally.check("undo takes the acts back one by one, to the rider as begun", problems)
