"""--figure of the commands about a rider's weeks, judged as the page of a ride is (figures.py)."""
import json
import os
import re
import xml.etree.ElementTree as ElementTree

from contract import writes_whole_or_not
from figures import output_of, plain, scene_problems
from harness import run

CALLS = (["week", "maren"], ["progress", "maren"], ["progress", "maren", "--against", "last-year"],
         ["load", "maren"], ["load", "maren", "--weeks", "60"], ["bests", "maren"],
         ["bests", "maren", "--from", "2026-06-01", "--against", "before"],
         ["critical", "maren"], ["heart", "maren"], ["heart", "maren@2026-08-27"], ["teach", "maren"])


def sentences(program, words, env):
    """What the page must say: the readings that the JSON of the same call has, or its one text; of
    bests some watts of the ladder, or its two ranges."""
    told = json.loads(run(program, *words, "--json", **env).stdout)
    if words[0] in ("critical", "heart", "teach"):
        return [told["text"]]
    if words[0] != "bests":
        return [reading["text"] for reading in told["readings"] if reading["verdict"] != "no break"]
    if "--against" in words:
        return ["1 June 2026 to 31 August 2026, against 1 March 2026 to 31 May 2026"]
    return [f"{best['power_w']:.0f}" for best in told["bests"] if best["duration_s"] in (1, 60, 1200)]


def drawn(program, words, env, folder):
    problems = []
    path = os.path.join(folder, "out")
    for ending in (".pdf", ".svg", ".json", ".png"):
        for theme in ([], ["--dark"]):
            done = run(program, *words, "--figure", path + ending, *theme, **env)
            if done.returncode != 0 or b"error" in done.stderr:
                problems.append(f"{ending}: exit {done.returncode}: {done.stderr.decode()}")
    if problems:
        return problems
    text = plain(output_of("pdftotext", path + ".pdf", "-"))
    problems = [f"not said: {said}" for said in sentences(program, words, env)
                if plain(said) not in text]
    if not re.search(r"^Tagged: +yes$", output_of("pdfinfo", path + ".pdf"), re.M):
        problems.append("isn't tagged")
    problems += scene_problems(path + ".json")
    title = ElementTree.parse(path + ".svg").getroot().find("{http://www.w3.org/2000/svg}title")
    if title is None or not title.text.startswith("Maren Oslund: "):
        problems.append("no title")
    with open(path + ".json", "rb") as first:
        before = first.read()
    run(program, *words, "--figure", path + ".json", **env)
    with open(path + ".json", "rb") as second:
        if second.read() != before:
            problems.append("another time other bytes")
    return problems


def nothing_yet(program, folder):
    """Of a rider without a ride each page says so, and none fails."""
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "none.plumbline"), "LC_ALL": "C.UTF-8"}
    run(program, "rider", "add", "Bo Berg", **env)
    problems = []
    for words, said in ((["week"], "No base test in these days."), (["load"], "No ride in these weeks."),
                        (["progress"], "No ride with power in these days."),
                        (["bests"], "No ride with power in these days."), (["critical"], "Can't tell"),
                        (["heart"], "Can't tell what is usual"), (["teach"], "Can't")):
        path = os.path.join(folder, "none.pdf")
        done = run(program, *words, "bo", "--figure", path, **env)
        if done.returncode != 0 or plain(said) not in plain(output_of("pdftotext", path, "-")):
            problems.append(f"{words}: exit {done.returncode}: {done.stderr.decode()[:200]}")
    return problems


def refusals(program, env, folder):
    problems = []
    for words, said in ((["--dark"], b"give --figure OUT too"),
                        (["--figure", "week.gif"], b"ends in .svg, .png, .pdf or .json")):
        for command in ("week", "progress", "load", "bests", "critical", "heart", "teach"):
            done = run(program, command, "maren", *words, **env)
            if done.returncode != 2 or said not in done.stderr:
                problems.append(f"{command} {words}: exit {done.returncode}: {done.stderr!r}")
    full = os.path.join(folder, "full")
    os.mkdir(full)
    for name, value in env.items():
        os.environ[name] = value
    # Room for what SQLite keeps beside the roster, none for the picture.
    path = os.path.join(full, "week.png")
    problems += writes_whole_or_not([program, "week", "maren", "--figure", path], path, room=100000)
    for name in env:
        del os.environ[name]
    return problems


def rider_figures(tally, program, env, folder):
    """env: of a roster with the example's first rider; folder: ours."""
    pictures = os.path.join(folder, "rider-figures")
    os.mkdir(pictures)
    for words in CALLS:
        tally.check(f"figure {' '.join(words)}: tagged, titled, says its sentences",
                    drawn(program, words, env, pictures))
    tally.check("figures of a rider without rides", nothing_yet(program, pictures))
    tally.check("figures: a wrong name, and a full disk", refusals(program, env, pictures))
