"""Printed cards, looked at by poppler's pdftotext and pdfinfo, which know nothing of this program:
every word within the margins, none on another, and what a card must say is there."""
import datetime
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


def answered(folder, k):
    """A ride whose heart rate follows power through a lag of 50 s, at 0.35 beats a watt."""
    at = datetime.datetime(2026, 11, 2 + 4 * k, 8)
    path = os.path.join(folder, f"answered-{k}.csv")
    lag = 120.0
    with open(path, "w", encoding="ascii") as out:
        out.write("time,power,heart_rate,cadence\n")
        for i in range(3000):
            watts = (120, 200, 150, 240, 110)[(i // 300 + k) % 5] + (i * 7919 + k) % 11 - 5
            lag += (watts - lag) / 50
            beats = 72 + .35 * lag + 2 * ((i // 30 * 7 + k) % 5 - 2) / 2
            out.write(f"{at.isoformat()}Z,{watts},{beats:.0f},{86 + i % 5}\n")
            at += datetime.timedelta(seconds=1)
    return path


def begin(program, folder):
    """Three riders: with power, without, and one whose heart rate isn't read; the first and the last
    have ridden."""
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
    rides = [answered(folder, k) for k in range(6)]
    for first in ("ada", "cy"):
        run(program, "import", *rides, "--rider", first, **env)
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


def phrases(parts):
    """What a card may say of heart rate, built from the parts of the outlook's JSON: of each part that
    is ridden several times the first and the last, the widest range, the latest that it reads low."""
    groups = {}
    for part in parts:
        if part["heart_end_bpm"] is not None:
            groups.setdefault((part["duration_s"], part["power_w"]), []).append(part)
    made = set()
    for (lasts, _), same in groups.items():
        last = same[-1]["heart_end_bpm"]
        low = min(part["heart_low_bpm"] for part in same)
        high = max(part["heart_high_bpm"] for part in same)
        usual = f"(usual days {low:.0f}\u2013{high:.0f})"
        late = max((part["reads_low_s"] for part in same if part["reads_low_s"] is not None),
                   default=None)
        until = None if late is None else int(5 * int(late / 5 + .5))
        behind = {""} if late is None or until < 20 else set()
        if late is not None:
            behind.add("; reads low all the way: don\u2019t chase it" if late >= lasts else
                       f"; reads low until about {until // 60}:{until % 60:02}: don\u2019t chase it")
        for words in behind | {""}:
            first = same[0]["heart_settled_bpm"]
            if first is None:
                first = same[0]["heart_end_bpm"]
                made.add(f"Heart rate at its end about {first}, the last time {last} {usual}{words}.")
                made.add(f"Heart rate at its end about {first} {usual}{words}.")
            else:
                made.add(f"Heart rate about {first}, {last} by its end {usual}{words}.")
                made.add(f"Heart rate about {last} {usual}{words}.")
    return {words.replace(" ", "") for words in made}


def same_numbers(program, env, folder):
    """The card says what the outlook's JSON says, number for number, and nothing else of heart rate;
    of a test it says which parts it can't tell."""
    problems = []
    for name, told in (("vo2max", 1), ("threshold", 1), ("base-test", 1), ("over-unders", 1),
                       ("base-ride", 1), ("test-20-min", 0), ("sweet-spot", 1)):
        row = draft(program, env, "ada", name)
        path = os.path.join(folder, "same.pdf")
        run(program, "session", "card", "ada", str(row["number"]), "--page", "a5", "--out", path, **env)
        outlook = row["outlook"]
        text = said(path)
        found = re.findall(r"Heartrate(?:atitsend)?about.*?\(usualdays\d+\u2013\d+\).*?\.", text)
        allowed = phrases(outlook["parts"])
        problems += [] if outlook["heart"] == "told" and len(found) >= told else \
            [f"{name}: {outlook['heart']}, {len(found)} told"]
        problems += [f"{name}: {words!r} isn't in the outlook" for words in found
                     if words not in allowed]
        dark = [one["words"] for one in outlook["missing"] if one["name"] == "heart-parts"]
        problems += [f"{name}: not said: {words}" for words in dark
                     if words.replace(" ", "").replace("'", "\u2019") not in text]
        problems += [f"{name}: {dark}"] if (name == "test-20-min") != bool(dark) else []
        run(program, "session", "remove", "ada", str(row["number"]), **env)
    return problems


def pictures(program, env, folder):
    """PNG: a page each, of two pixels a point (the PNG's own header)."""
    row = draft(program, env, "ada", "test-20-min")
    first = os.path.join(folder, "card.png")
    done = run(program, "session", "card", "ada", str(row["number"]), "--out", first, "--json", **env)
    run(program, "session", "remove", "ada", str(row["number"]), **env)
    pages = json.loads(done.stdout)["pages"] if done.returncode == 0 else 0
    problems = [] if pages >= 1 else [done.stderr.decode()]
    for page in range(1, pages + 2):
        path = first if page == 1 else os.path.join(folder, f"card-{page}.png")
        if os.path.exists(path) != (page <= pages):
            problems.append(f"page {page} of {pages}")
        elif page <= pages:
            with open(path, "rb") as source:
                head = source.read(24)
            size = (int.from_bytes(head[16:20], "big"), int.from_bytes(head[20:24], "big"))
            if not head.startswith(b"\x89PNG") or abs(size[0] - 595) > 2 or abs(size[1] - 839) > 2:
                problems.append(f"page {page}: {size}")
    return problems


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
            (["ada", number, "--out", os.path.join(folder, "c.svg")], 2, "ends in .pdf or .png"),
            (["ada", "--week", "2026-12-07", "--out", os.path.join(folder, "c.png")], 2,
             "one FILE.pdf"),
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
    tally.check("card: the outlook's numbers", same_numbers(program, env, folder))
    tally.check("card: as pictures", pictures(program, env, folder))
    tally.check("card: a week's, one after another", week(program, env, folder))
    tally.check("card: refusals", refusals(program, env, folder))
    tally.check("card: the profile alone", profiles(program, env, folder))
