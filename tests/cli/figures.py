"""The page that --figure writes, judged by programs that know nothing of this one: poppler's
pdftotext and pdfinfo, Python's XML parser, the header of a PNG (W3C PNG, third edition, 11.2.2), and
a JSON schema.
"""
import json
import os
import re
import struct
import subprocess
import sys
import unicodedata
import xml.etree.ElementTree as ElementTree

import jsonschema

from contract import writes_whole_or_not
from harness import FACTS, SOURCE, run


def plain(text):
    """Words alone: pages break lines where they like, and may join letters."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


def output_of(*words):
    return subprocess.run(words, stdout=subprocess.PIPE, check=True,
                          timeout=60).stdout.decode("utf-8")


def sentences(program, ride):
    """What the page must say: the readings of the whole ride, as JSON has them."""
    rides = json.loads(run(program, "read", ride, "--json", *FACTS).stdout)
    return [reading["text"] for reading in rides[0]["readings"]
            if not reading.get("rep") and not reading.get("set")]


def pdf_problems(program, ride, path):
    text = plain(output_of("pdftotext", path, "-"))
    info = output_of("pdfinfo", path)
    problems = [f"not said: {words}" for words in sentences(program, ride)
                if plain(words) not in text]
    problems += [f"{wanted} isn't in pdfinfo" for wanted in
                 (r"^Tagged: +yes$", r"^Pages: +1$", r"^Title: +\w+ ride, \d+ \w+ 2026$")
                 if not re.search(wanted, info, re.M)]
    fonts = output_of("pdffonts", path)
    for font in ("SourceSerif4", "Inter"):
        if font not in fonts:
            problems.append(f"{font} isn't embedded")
    return problems


def png_problems(path):
    with open(path, "rb") as picture:
        head = picture.read(24)
    width, height = struct.unpack(">II", head[16:24])
    # Two pixels a point, at least A4.
    good = head.startswith(b"\x89PNG\r\n\x1a\n") and width == 1190 and height >= 1684
    return [] if good else [f"{width} x {height}"]


def svg_problems(path):
    root = ElementTree.parse(path).getroot()
    title = root.find("{http://www.w3.org/2000/svg}title")
    problems = [] if root.tag.endswith("}svg") else [root.tag]
    if title is None or " ride, " not in title.text:
        problems.append("no title")
    return problems


def scene_schema():
    with open(os.path.join(SOURCE, "api", "scene.schema.json"), encoding="utf-8") as source:
        schema = json.load(source)
    jsonschema.Draft202012Validator.check_schema(schema)
    return schema


def scene_problems(path):
    """By the schema, and parts open and close in order."""
    with open(path, encoding="utf-8") as source:
        scene = json.load(source)
    problems = []
    for error in jsonschema.Draft202012Validator(scene_schema()).iter_errors(scene):
        best = jsonschema.exceptions.best_match([error])
        problems.append(f"{best.json_path}: {best.message[:200]}")
    parts = []
    for item in scene["items"]:
        if item["kind"] == "begin":
            parts.append(item["role"])
        elif item["kind"] == "end" and (not parts or parts.pop() != item["role"]):
            problems.append("a part ends that didn't begin")
    return problems + [f"{part} doesn't end" for part in parts]


def tokens_problems(folder):
    """The page's colours are those of tokens.def, both themes, and the schema knows every name."""
    path = os.path.join(folder, "tokens.css")
    tokens = os.path.join(SOURCE, "src", "drawing", "tokens.def")
    subprocess.run([sys.executable, os.path.join(SOURCE, "tools", "tokens_css.py"), tokens, path],
                   check=True, timeout=60)
    with open(path, encoding="utf-8") as source:
        css = source.read()
    with open(tokens, encoding="utf-8") as source:
        rows = re.findall(r'"([a-z0-9-]+)", 0x(\w{6}), 0x(\w{6})', source.read())
    os.unlink(path)
    blocks = {}
    for selector, inside in re.findall(r"([^\s{}][^{}]*?) \{([^{}]*)\}", css):
        blocks.setdefault(re.sub(r"^.*\*/\s*", "", selector, flags=re.S), inside)
    problems = []
    for selector, theme in ((":root", 1), (':root:not([data-theme="light"])', 2),
                            (':root[data-theme="dark"]', 2)):
        found = dict(re.findall(r"--([a-z0-9-]+): #(\w{6});", blocks.get(selector, "")))
        if found != {row[0]: row[theme] for row in rows} or not found:
            problems.append(f"{selector}: {found}")
    known = scene_schema()["$defs"]["colour"]["enum"]
    return problems + ([] if known == [row[0] for row in rows] else ["the schema lists others"])


def same_twice(program, ride, folder, ending):
    written = []
    for name in ("one", "two"):
        path = os.path.join(folder, name + ending)
        run(program, "read", ride, "--figure", path, *FACTS)
        with open(path, "rb") as picture:
            written.append(picture.read())
        os.unlink(path)
    return [] if written[0] == written[1] and written[0] else [f"{ending} differs"]


def figures(tally, program, rides, folder):
    """rides: at least one, example rides; folder: empty, ours."""
    words = run(program, "read", rides[0], *FACTS).stdout
    for ride in rides:
        name = os.path.basename(ride)[:-4]
        problems = []
        for theme in ([], ["--dark"]):
            for ending in (".pdf", ".png", ".svg", ".json"):
                path = os.path.join(folder, name + ending)
                done = run(program, "read", ride, "--figure", path, *FACTS, *theme)
                if done.returncode != 0 or done.stderr:
                    problems.append(f"{ending}: exit {done.returncode}: {done.stderr.decode()}")
            problems += pdf_problems(program, ride, os.path.join(folder, name + ".pdf"))
            problems += png_problems(os.path.join(folder, name + ".png"))
            problems += svg_problems(os.path.join(folder, name + ".svg"))
            problems += scene_problems(os.path.join(folder, name + ".json"))
        for left in os.listdir(folder):
            os.unlink(os.path.join(folder, left))
        tally.check(f"figure {name}: tagged, titled, says its sentences", problems)
    for ending in (".pdf", ".png", ".svg", ".json"):
        tally.check(f"two processes write the same {ending}",
                    same_twice(program, rides[0], folder, ending))

    path = os.path.join(folder, "week.svg")
    done = run(program, "read", *rides[:3], "--figure", path, *FACTS)
    tally.check("several recordings get a number each",
                [] if sorted(os.listdir(folder)) == ["week-2.svg", "week-3.svg", "week.svg"]
                else [str(os.listdir(folder))])
    for left in os.listdir(folder):
        os.unlink(os.path.join(folder, left))
    done = run(program, "read", rides[0], "--figure", path, *FACTS)
    tally.check("the words are printed as without a figure",
                [] if done.stdout == words else ["differ"])
    os.unlink(path)

    # The words go through a pipe, which no disk's end stops.
    tally.check("a full disk leaves no figure, nor half of one",
                writes_whole_or_not([program, "read", rides[0], "--figure", path, *FACTS], path))
    tally.check("the page's colours are those of the figures", tokens_problems(folder))
