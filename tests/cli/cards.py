"""Printed cards, looked at by poppler's pdftotext and pdfinfo, which know nothing of this program:
every word within the margins, none on another, and what a card must say is there."""
import html
import json
import os
import re
import subprocess

from harness import run

PAPERS = {"a6": (297.64, 419.53, 20.0), "a5": (419.53, 595.28, 30.0)}  # ISO 216, and our margin
STOP = "Stop on chest pain, dizziness, faintness or unusual breathlessness"
QUESTIONS = ("1) Effort:", "2) Legs:", "3) Sleep:", "4) Stress:", "5) Soreness:")
DAYS = "2026-12-01"


def begin(program, folder):
    """Three riders: with power, without, and one whose heart rate isn't read."""
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "cards.plumbline"), "LC_ALL": "C.UTF-8"}
    for name in ("Ada Berg", "Bo Lind", "Cy Moor"):
        first = name.split()[0].lower()
        run(program, "rider", "add", name, "--born", "1990-05-31", "--training-since", "2015-01-01",
            **env)
        run(program, "rider", "screening", first, "--no-to-all", "--on", "2026-11-01", **env)
        run(program, "max-heart-rate", first, "190", "--from", "2026-01-10", **env)
        run(program, "rest-heart-rate", first, "50", "--from", "2026-01-10", **env)
    for first in ("ada", "cy"):
        run(program, "threshold", first, "250", "--from", "2026-01-10", **env)
    run(program, "rider", "flag", "cy", "heart-medicine", "--from", "2026-01-10", **env)
    return env


def draft(program, env, first, words, day=DAYS):
    done = run(program, "session", "write", first, day, words, "--why", "One more step.", "--json",
               "--knowingly", "safe_hard_gap_h safe_maximal_days", **env)
    return json.loads(done.stdout) if done.returncode == 0 else None


def boxes(path):
    """[(page, x, y, right, bottom, word)] as poppler sees them, and the pages' sizes."""
    text = subprocess.run(["pdftotext", "-bbox", path, "-"], stdout=subprocess.PIPE,
                          check=False).stdout.decode("utf-8")
    words, sizes = [], []
    for line in text.splitlines():
        page = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', line)
        word = re.search(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" '
                         r'yMax="([\d.-]+)">(.*)</word>', line)
        if page:
            sizes.append(tuple(float(x) for x in page.groups()))
        if word:
            words.append((len(sizes) - 1, *(float(x) for x in word.groups()[:4]),
                          html.unescape(word.group(5))))
    return words, sizes


def laid_out(path, paper):
    """Within the margins; no box on another by more than the leading that fonts claim around their
    letters (a quarter of a box's height)."""
    width, height, margin = PAPERS[paper]
    words, sizes = boxes(path)
    problems = [f"page of {size}" for size in sizes
                if abs(size[0] - width) > 1 or abs(size[1] - height) > 1]
    problems += [] if words and 1 <= len(sizes) <= 2 else [f"{len(words)} words, {len(sizes)} pages"]
    for page, x, y, right, bottom, word in words:
        if x < margin - 1 or right > width - margin + 1 or y < margin - 3 or bottom > height - margin + 3:
            problems.append(f"{word!r} in the margin: {x}, {y}, {right}, {bottom}")
    for i, (page, x, y, right, bottom, word) in enumerate(words):
        for other, x2, y2, right2, bottom2, word2 in words[i + 1:]:
            across = min(right, right2) - max(x, x2)
            down = min(bottom, bottom2) - max(y, y2)
            if page == other and across > 0.3 and down > 0.3 * min(bottom - y, bottom2 - y2):
                problems.append(f"page {page + 1}: {word!r} on {word2!r}")
    return problems


def said(path):
    text = subprocess.run(["pdftotext", path, "-"], stdout=subprocess.PIPE,
                          check=False).stdout.decode("utf-8")
    return re.sub(r"\s+", "", text)


def watts_of(words):
    """The ranges in watts that a threshold of 250 W makes of what the library writes in %."""
    # as round half away from zero; what stands under plan B and note counts too, but for notes
    lines = [line for line in words.split("\n") if not line.startswith("note")]
    found = []
    for low, _, high in re.findall(r"at (\d+)(-(\d+))? %", "\n".join(lines)):
        ends = [int(float(end) * 2.5 + 0.5) for end in (low, high or low)]
        found.append(f"{ends[0]}W" if ends[0] == ends[1] else f"{ends[0]}\u2013{ends[1]}W")
    return found


def library(program, env, folder):
    problems = []
    names = [row["name"] for row in
             json.loads(run(program, "session", "library", "--json", **env).stdout)]
    for name in names:
        for first in ("ada", "bo", "cy"):
            row = draft(program, env, first, name)
            if row is None:
                problems.append(f"{name} of {first}: not drafted")
                continue
            for paper in PAPERS:
                path = os.path.join(folder, f"{name}-{first}-{paper}.pdf")
                done = run(program, "session", "card", first, str(row["number"]), "--page", paper,
                           "--out", path, **env)
                if done.returncode != 0:
                    problems.append(f"{name} of {first}: {done.stderr.decode()}")
                    continue
                where = f"{name} of {first}, {paper}: "
                problems += [where + problem for problem in laid_out(path, paper)]
                text = said(path)
                wanted = [STOP, "One more step.", row["name"], "1 December 2026", *QUESTIONS]
                wanted += watts_of(row["words"]) if first != "bo" else \
                    ["Heart rate comes late: short efforts go by feel."]
                wanted += ["18\u201324 \u00b0C"] if name == "base-test" else []
                problems += [where + f"not said: {words}" for words in wanted
                             if words.replace(" ", "") not in text]
                unwanted = {"ada": [], "bo": ["zone"], "cy": ["Heartrate", "beats", "edicine"]}
                problems += [where + f"said: {words}" for words in unwanted[first] if words in text]
            run(program, "session", "remove", first, str(row["number"]), **env)
    return problems if len(names) >= 13 else problems + [f"library of {len(names)}"]


def week(program, env, folder):
    """All of a week, one after another; what is withdrawn isn't among them."""
    path = os.path.join(folder, "week.pdf")
    for day in ("2026-12-06", "2026-12-08", "2026-12-13"):
        draft(program, env, "ada", "easy", day)
    called_off = draft(program, env, "ada", "45 min at 50 %", "2026-12-10")["number"]
    for act in ("give", "withdraw"):
        run(program, "session", act, "ada", str(called_off), **env)
    done = run(program, "session", "card", "ada", "--week", "2026-12-07", "--page", "a5", "--out",
               path, "--json", **env)
    made = json.loads(done.stdout) if done.returncode == 0 else {"error": done.stderr.decode()}
    info = subprocess.run(["pdfinfo", path], stdout=subprocess.PIPE, check=False).stdout.decode()
    problems = [] if [s["day"] for s in made.get("sessions", [])] == ["2026-12-08", "2026-12-13"] \
        else [f"{made}"]
    problems += [] if re.search(r"^Pages: +2$", info, re.M) and \
        re.search(r"^Tagged: +yes$", info, re.M) else [info]
    return problems + laid_out(path, "a5")


def refusals(program, env, folder):
    path = os.path.join(folder, "none.pdf")
    number = str(json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)[0]["number"])
    problems = []
    for words, status, part in (
            (["ada", number], 2, "--out FILE.pdf"),
            (["ada", number, "--out", os.path.join(folder, "c.png")], 2, "ends in .pdf"),
            (["ada", number, "--page", "a4", "--out", path], 2, "a6 or a5"),
            (["ada", "--out", path], 2, "number of session list, or --week"),
            (["ada", number, "--week", "2026-12-07", "--out", path], 2, "or --week"),
            (["ada", "--week", "2027-01-01", "--out", path], 1, "no session in the seven days"),
            (["ada", "--week", "soon", "--out", path], 2, "no such day"),
            (["ada", "9999", "--out", path], 1, "9999"),
            (["ada", number, "--out", os.path.join(folder, "no", "c.pdf")], 1, "c.pdf")):
        done = run(program, "session", "card", *words, **env)
        text = done.stderr.decode()
        if done.returncode != status or part not in text or text.count("\n") != 1:
            problems.append(f"{words}: exit {done.returncode}: {text!r}")
    return problems + ([] if not os.path.exists(path) else ["a card was written all the same"])


def profiles(program, env, folder):
    number = str(json.loads(run(program, "session", "list", "ada", "--json", **env).stdout)[0]["number"])
    problems = []
    for ending, begins in ((".svg", b"<?xml"), (".png", b"\x89PNG"), (".pdf", b"%PDF"), (".json", b"{")):
        path = os.path.join(folder, "profile" + ending)
        done = run(program, "session", "card", "ada", number, "--profile", path, **env)
        with open(path, "rb") as source:
            first = source.read()
        if done.returncode != 0 or not first.startswith(begins):
            problems.append(f"{ending}: exit {done.returncode}: {done.stderr.decode()}")
    table = json.loads(first)["table"]
    return problems + ([] if table["rows"] and len(table["heads"]) == 3 else [f"{table}"])


def cards(tally, program, folder):
    env = begin(program, folder)
    tally.check("card: each of the library, with power, without, without heart rate",
                library(program, env, folder))
    tally.check("card: a week's, one after another", week(program, env, folder))
    tally.check("card: refusals", refusals(program, env, folder))
    tally.check("card: the profile alone", profiles(program, env, folder))
