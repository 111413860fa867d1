"""What every command keeps, walked along the table that the program prints: `help --json`."""
import json
import os
import resource
import shutil
import signal
import subprocess
import tempfile
import time

from harness import FACTS, SOURCE, run

WIDTH = 80


def one_line(done, status, *words):
    """Problems if the call didn't end with this status and one line that holds the words."""
    text = done.stderr.decode("utf-8", "replace")
    problems = []
    if done.returncode != status:
        problems.append(f"exit {done.returncode}, wanted {status}: {text[:200]}")
    if text.count("\n") != 1 or not text.startswith("plumbline"):
        problems.append(f"not one line: {text[:300]!r}")
    problems += [f"{word!r} isn't in {text!r}" for word in words if word not in text]
    if status == 2 and done.stdout:
        problems.append(f"printed {done.stdout[:80]!r}")
    return problems


def too_wide(done):
    lines = done.stdout.decode("utf-8").splitlines()
    return [f"{len(line)} columns: {line}" for line in lines if len(line) > WIDTH]


def operands(command, ride):
    """(words of a call that works, calls that don't) from the command's usage."""
    usage = command["usage"]
    if usage.startswith("FILE..."):
        return [ride], [[]]
    if usage.startswith("[COMMAND]"):
        return [], [["read", "limits"], ["no-such-command"]]
    if usage.startswith("ACT "):
        return (["library"] if command["name"] == "session" else ["list"],
                [[], ["quite-another", "ada"]])
    if command["name"].startswith("session "):
        return session_operands(command["name"].split()[1])
    if command["name"].startswith("rider "):
        return rider_operands(command["name"].split()[1], usage)
    if usage.startswith("add|edit|list|show"):
        return ["show", "ada"], [[], ["show"], ["list", "ada"], ["drop", "ada"],
                                 ["show", "ada", "berg"]]
    if usage.startswith("[RIDER] DIR"):
        return ["--dictionary"], [[], ["ada"], ["ada", "a", "b"], ["--all", "a", "b"]]
    if command["name"] == "forget":
        return ["ada", "--list"], [[], ["ada", "much"]]
    if usage.startswith("RIDER|RIDE"):
        return ["ada"], [[], ["ada", "much"]]
    if usage.startswith("RIDER | A B"):
        return ["ada"], [[], ["ada", "a", "b"]]
    if usage.startswith(("RIDER [", "RIDER|RIDE [")):
        return ["ada"], [[], ["ada", "much"], ["ada", "60", "61"]]
    if usage.startswith("DIR "):
        return None, [[], ["a", "b"]]
    if usage.startswith("PATH..."):
        return [ride, "--rider", "ada"], [[]]
    if usage.startswith("RIDE "):
        return ["1"], [[], ["1", "2"]]
    if usage.startswith("[CHANGE]"):
        return ["--list"], [["a-word"], ["1", "2"], ["--list", "1"]]
    if usage.startswith("FILE ["):
        more = "--yes" if command["name"] == "backup" else "--look"
        return [os.environ["PLUMBLINE_ROSTER"] + ".backup", more], [[], ["a", "b"]]
    if usage.startswith("[zone [NAME]|record]"):
        return [], [["a-word"], ["zone", "UTC", "UTC"], ["record", "more"]]
    if usage.startswith("[NAME [VALUE]]"):
        return [], [["base_drift_bpm", "1", "2"], ["base_drift_bpm", "much"]]
    if usage.startswith("[RIDER]"):
        return ["ada"], [["ada", "bo"]]
    if command["name"] in ("serve", "password"):
        return None, [["a-word"], ["a-word", "another"]]  # tests/server/run.py has them running
    if usage.startswith("[options]"):
        return [], [["a-word"], ["a-word", "another"]]
    raise ValueError(f"usage {usage!r}: say here how many words it takes")


# What works once only is tried on a copy of the roster each time.
ONCE = (["rider", "add"], ["rider", "ill"], ["rider", "injured"], ["rider", "away"],
        ["rider", "back"])


def fresh(words):
    if words[:2] not in ONCE or "--help" in words:
        return words
    roster = os.environ["PLUMBLINE_ROSTER"]
    copy = tempfile.mktemp(dir=os.path.dirname(roster), suffix=".plumbline")
    shutil.copy(roster, copy)
    return [*words[:2], "--roster", copy, *words[2:]]


def call(program, command, *words):
    """A command, or an act: "rider goal" is two words."""
    return run(program, *fresh([*command["name"].split(), *words]))


def session_operands(act):
    """Of an act of `session`; tests/cli/sessions.py has those running that change something."""
    if act in ("library", "list"):
        return (["vo2max"], []) if act == "library" else (["ada"], [[], ["ada", "much"]])
    if act == "write":
        return None, [[], ["ada"]]
    if act == "keep":
        return None, [[], ["hills"]]
    if act == "drop":
        return None, [[], ["a", "b"]]
    if act == "card":
        return None, [[], ["ada"], ["ada", "1"], ["ada", "1", "2"]]
    return None, [[], ["ada"], ["ada", "1", "2"], ["ada", "much"]]


def rider_operands(act, usage):
    """Of an act of `rider`: most list what they keep when they get no more than the rider."""
    if act == "add":
        return ["Bo"], [[]]
    if act == "list":
        return [], [["ada"]]
    if not usage.startswith("RIDER"):
        raise ValueError(f"usage {usage!r}: say here how many words it takes")
    return ["ada"], [[]] if "WORDS" in usage or "NAME..." in usage or "MINUTES" in usage else \
        [[], ["ada", "2026-01-01", "2026-01-02", "2026-01-03"]]


def help_page(program, command):
    done = call(program, command, "--help")
    text = done.stdout.decode()
    problems = too_wide(done)
    if done.returncode != 0 or done.stderr:
        problems.append(f"exit {done.returncode}: {done.stderr.decode()}")
    for option in command["options"]:
        named = f"--{option['name']}" + (f" {option['value']}" if option["value"] else "")
        if f"  {named}" not in text:
            problems.append(f"{named} isn't listed")
        if " ".join(option["help"].split()) not in " ".join(text.split()):
            problems.append(f"--{option['name']} isn't explained")
    if run(program, "help", *command["name"].split()).stdout != done.stdout:
        problems.append(f"help {command['name']} prints another page")
    return problems


def misspelt(program, command):
    """Every option with a letter too many or too few names the right one."""
    names = [option["name"] for option in command["options"]]
    problems = []
    for name in names:
        for wrong in (name[:-1] + "qq" if len(name) > 6 else name + "q", name[0] + name[2:]):
            if wrong in names or len(wrong) < 4:
                continue
            problems += one_line(call(program, command, f"--{wrong}"), 2, f"--{wrong}",
                                 f"did you mean --{name}?")
    problems += one_line(call(program, command, "-x"), 2, "-x: no such option")
    problems += one_line(call(program, command, "--quite-another-thing=3"), 2,
                         "no such option", "--help")
    return problems


def values(program, command):
    """A value left out, a value too many, words for a number, a number out of its range."""
    problems = []
    for option in command["options"]:
        name = f"--{option['name']}"
        if option["value"] is None:
            problems += one_line(call(program, command, f"{name}=yes"), 2, name,
                                 "takes no value")
            continue
        problems += one_line(call(program, command, name), 2, name, "needs a value",
                             option["value"])
        if "lowest" in option:
            for wrong in ("much", "", "nan", "inf", "0x", "12W"):
                problems += one_line(call(program, command, name, wrong), 2, name,
                                     "not a number")
            for wrong in (option["lowest"] - 1, option["highest"] + 1):
                problems += one_line(call(program, command, name, f"{wrong:g}"), 2, name,
                                     f"must be {option['lowest']:g} to {option['highest']:g}")
    return problems


def valid_json(done):
    try:
        json.loads(done.stdout.decode("utf-8"))
    except ValueError as wrong:
        return [f"not JSON: {wrong}"]
    return [] if done.returncode == 0 else [f"exit {done.returncode}"]


def closed_pipe(program, words):
    """The reader went away before the first byte."""
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = run(program, *fresh(words), stdout=write_end)
    finally:
        os.close(write_end)
    return [] if (done.returncode, done.stderr) == (0, b"") else [f"{done.returncode} "
                                                                  f"{done.stderr!r}"]


def full_device(program, words):
    with open("/dev/full", "wb") as full:
        return one_line(run(program, *fresh(words), stdout=full), 1, "cannot write")


def plain(program, words):
    """Without UTF-8 marks are words, 80 columns hold all the same, and nothing is coloured."""
    problems = []
    for env in ({"LC_ALL": "C"}, {"LC_ALL": "C", "NO_COLOR": "1"}, {"LC_ALL": "C.UTF-8"},
                {"LC_ALL": "C.UTF-8", "NO_COLOR": "1"}, {"LC_ALL": "no_SUCH"}):
        done = run(program, *fresh(words), **env)
        problems += too_wide(done)
        if done.returncode != 0:
            problems.append(f"{env}: exit {done.returncode}")
        if b"\x1b" in done.stdout:
            problems.append(f"{env}: colour though this is no terminal")
        if "UTF-8" not in env["LC_ALL"] and not done.stdout.isascii():
            problems.append(f"{env}: printed more than ASCII")
    return problems


def command_keeps(tally, program, command, ride):
    name = command["name"]
    good, bad = operands(command, ride)
    options = [option["name"] for option in command["options"]]
    tally.check(f"{name} --help: 80 columns, every option", help_page(program, command))
    tally.check(f"{name}: a misspelt option names the nearest", misspelt(program, command))
    tally.check(f"{name}: a wrong value is exit 2 and one line", values(program, command))
    problems = [] if {"json", "help"} <= set(options) else [f"has only {options}"]
    # What makes something new each time has a test of its own.
    if good is not None:
        problems += valid_json(call(program, command, *good, "--json")) if not problems else []
    tally.check(f"{name} --json is JSON", problems)
    problems = []
    for words in bad:
        problems += one_line(call(program, command, *words), 2, "--help" if words[:1] != ["read"]
                             else "one command")
    tally.check(f"{name}: words missing or too many are exit 2 and one line", problems)
    if good is None:
        return
    call_words = name.split()
    outputs = [[*call_words, *good], [*call_words, *good, "--json"], [*call_words, "--help"]]
    tally.check(f"{name}: a closed pipe is quiet",
                [p for words in outputs for p in closed_pipe(program, words)])
    tally.check(f"{name}: a full disk is exit 1 with a line",
                [p for words in outputs for p in full_device(program, words)])
    more = FACTS if name == "read" else []
    tally.check(f"{name}: words fit any terminal", plain(program, [*call_words, *good, *more]))


def interrupted(program, folder):
    """SIGINT while a file is awaited: one line, 130."""
    fifo = os.path.join(folder, "never-written.fit")
    os.mkfifo(fifo)
    with subprocess.Popen([program, "read", fifo], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE) as running:
        # Opening the other end waits until the program has its own: it is at work then.
        writer = os.open(fifo, os.O_WRONLY)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=60)
        os.close(writer)
    if (running.returncode, out, err) != (130, b"", b"plumbline: interrupted\n"):
        return [f"{running.returncode} {out!r} {err!r}"]
    return []


def snapshot(folder):
    found = {}
    for name in sorted(os.listdir(folder)):
        with open(os.path.join(folder, name), "rb") as source:
            found[name] = source.read()
    return found


def writes_whole_or_not(argv, target, status=1, words=("cannot be written",), room=16):
    """A disk that fills up while argv writes `target`: a line, no file, none half written beside
    it; a file that was there before stays as it was.  Point it at any option that writes a file.

    The full disk is a cap on the size of a file (RLIMIT_FSIZE) of `room` bytes."""
    folder = os.path.dirname(target)
    problems = []
    for before in (None, b"what was there before"):
        shutil.rmtree(folder, ignore_errors=True)
        os.makedirs(folder)
        if before is not None:
            with open(target, "wb") as out:
                out.write(before)
        kept = snapshot(folder)
        done = subprocess.run(argv, stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False,
                              timeout=300, preexec_fn=lambda: resource.setrlimit(
                                  resource.RLIMIT_FSIZE, (room, room)), restore_signals=False)
        text = done.stderr.decode("utf-8", "replace")
        if done.returncode != status:
            problems.append(f"exit {done.returncode}, wanted {status}: {text[:200]}")
        problems += [f"{word!r} isn't in {text[:300]!r}" for word in words if word not in text]
        now = snapshot(folder)
        if now != kept:
            changed = sorted(name for name in set(now) | set(kept)
                             if now.get(name) != kept.get(name))
            problems.append(f"left behind or changed: {changed}")
    return problems


def small_roster(program, folder):
    """A roster with one rider, for the commands that need one."""
    os.environ["PLUMBLINE_ROSTER"] = os.path.join(folder, "contract.plumbline")
    done = [run(program, "rider", "add", "Ada Berg", "--note", "rides ± 3 h, likes hills"),
            run(program, "rider", "off", "ada", "2026-01-02"),
            run(program, "threshold", "ada", "246", "--from", "2026-01-10", "--range", "234-258"),
            run(program, "weight", "ada", "61.5", "--from", "2026-01-05"),
            run(program, "backup", os.path.join(folder, "contract.plumbline.backup"))]
    return [one.stderr.decode() for one in done if one.returncode != 0]


def column_meanings(table):
    """`read --column` names the meanings of docs/formats.md, which a test holds against the code."""
    with open(os.path.join(SOURCE, "docs", "formats.md"), encoding="utf-8") as file:
        rows = file.read().split("| meaning | names | units |\n", 1)[1].split("\n\n", 1)[0]
    wanted = [row.split("|")[1].strip() for row in rows.splitlines()[1:]]
    read = next(command for command in table if command["name"] == "read")
    text = next(option["help"] for option in read["options"] if option["name"] == "column")
    named = text.split(": ", 1)[1].split(";", 1)[0].split(", ")
    return [] if len(wanted) > 2 and named == wanted else [f"help {named}, docs {wanted}"]


def contract(tally, program, maker, ride, folder):
    tally.check("a roster is made and filled by commands", small_roster(program, folder))
    table = json.loads(run(program, "help", "--json").stdout)
    overview = run(program, "--help")
    missing = [command["name"] for command in table if " " not in command["name"]
               and f"  plumbline {command['name']} {command['usage']}\n" not in
               overview.stdout.decode()]
    tally.check("the overview lists every command in 80 columns",
                too_wide(overview) + [f"{name} isn't listed" for name in missing] +
                ([] if len(table) >= 3 and overview.returncode == 0 else ["no table"]))
    bare = run(program)
    tally.check("no command at all is exit 2 with the overview",
                [] if (bare.returncode, bare.stdout) == (2, overview.stdout) else
                [f"exit {bare.returncode}"])
    for command in table:
        command_keeps(tally, program, command, ride)
        name = command["name"]
        tally.check(f"{name} misspelt names {name}",
                    one_line(run(program, *(name + "s").split()), 2, f"did you mean {name}?"))
    tally.check("read --column names every meaning that tables have", column_meanings(table))
    spoken = [run(program, "read", ride, *FACTS, LC_ALL=locale).stdout.decode("utf-8")
              for locale in ("C.UTF-8", "C")]
    tally.check("marks are words where UTF-8 is missing",
                [] if "± 9 %" in spoken[0] and "+/- 9 %" in spoken[1] and "±" not in spoken[1] and
                spoken[0].split() == spoken[1].replace("+/-", "±").split()
                else ["± isn't said, or isn't said in words"])
    tally.check("an interrupt is one line and 130", interrupted(program, folder))
    rides = os.path.join(folder, "made")
    first = sorted(os.listdir(os.path.dirname(ride)))[0]
    tally.check("a disk that fills up leaves no file and changes none",
                writes_whole_or_not([maker, rides], os.path.join(rides, first)))
