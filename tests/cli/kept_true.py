"""Verdicts kept true: what commands say of it, --later and jobs, interrupts, asked, doubles."""
import json
import os
import pty
import re
import signal
import subprocess
import time

from harness import run


def begin(program, folder, name, files):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, name), "LC_ALL": "C.UTF-8"}
    for words in (["rider", "add", "Ada Berg", "--zone", "Europe/Berlin"],
                  ["threshold", "ada", "246", "--from", "2020-01-01"],
                  ["import", *files, "--rider", "ada"]):
        done = run(program, *words, **env)
        if done.returncode != 0:
            raise RuntimeError(done.stderr.decode())
    return env


def rides_of(program, env):
    return json.loads(run(program, "rides", "ada", "--all", "--json", **env).stdout)


def old(rides):
    """Those with a verdict that isn't current: its words must not be told."""
    found = [ride for ride in rides if any(not one["current"] for one in ride["readings"])]
    told = [ride["id"] for ride in found for one in ride["readings"]
            if not one["current"] and one["verdict"] is not None]
    if told:
        raise RuntimeError(f"told as current: {told}")
    return [ride["id"] for ride in found]


def said_once(program, env):
    """A threshold in the middle reads again the rides from its day on, and says how many."""
    problems = []
    wanted = [ride for ride in rides_of(program, env) if (ride["day"] or "") >= "2026-04-01"]
    done = run(program, "threshold", "ada", "260", "--from", "2026-04-01", **env)
    if done.stderr.decode() != f"plumbline threshold: {len(wanted)} rides read again\n":
        problems.append(f"{done.stderr.decode()!r}, wanted {len(wanted)} rides")
    if done.stdout.decode() != "Threshold of Ada Berg: 260 W from 2026-04-01\n":
        problems.append(done.stdout.decode())
    if old(rides_of(program, env)):
        problems.append("some are old")
    back = run(program, "undo", "--json", **env)
    if back.stderr.decode() != f"plumbline undo: {len(wanted)} rides read again\n" or \
            "words" not in json.loads(back.stdout):
        problems.append(back.stderr.decode())
    same = run(program, "weight", "ada", "63", "--from", "2026-01-01", **env)
    return problems + ([] if same.stderr == b"" else [same.stderr.decode()])


def left_for_later(program, env):
    problems = []
    before = rides_of(program, env)
    done = run(program, "threshold", "ada", "240", "--from", "2026-04-10", "--later", **env)
    late = old(rides_of(program, env))
    if done.stderr.decode() != f"plumbline threshold: {len(late)} rides left to be read again: " \
                               "plumbline jobs --run\n" or not late:
        problems.append(f"{done.stderr.decode()!r}: {late}")
    page = run(program, "rides", "ada", **env).stdout.decode()
    if page.count("being read again") != len(late):
        problems.append(page)
    jobs = json.loads(run(program, "jobs", "--json", **env).stdout)
    usual = [job for job in jobs if job["kind"] == "usual"]
    if [(job["subject_kind"], job["rider"]) for job in usual] != [("rider", "Ada Berg")]:
        problems.append(str(usual))
    jobs = [job for job in jobs if job["kind"] == "read"]
    days = [job["day"] for job in jobs]
    if sorted(job["subject"] for job in jobs) != sorted(late) or \
            days != sorted(days, reverse=True) or {job["state"] for job in jobs} != {"waits"}:
        problems.append(str(jobs)[:300])
    ran = run(program, "jobs", "--run", **env).stdout.decode()
    if not ran.startswith(f"{len(late)} rides read again\nNothing waits") or \
            old(rides_of(program, env)):
        problems.append(ran)
    run(program, "undo", **env)
    return problems + ([] if rides_of(program, env) == before else ["not as before"])


def interrupted(program, folder, files):
    """SIGINT in the middle: one line, 130, what is whole is kept, and the rest is done later."""
    many = os.path.join(folder, "to-interrupt")
    os.makedirs(many)
    for k in range(20):
        for path in files:
            name = os.path.join(many, f"{k:02d}-{os.path.basename(path)}")
            with open(path, "rb") as source, open(name, "wb") as out:
                out.write(source.read() + bytes(k + 1))
    env = begin(program, folder, "interrupted.plumbline", [many])
    count = len(rides_of(program, env))
    problems = []
    with subprocess.Popen([program, "threshold", "ada", "250", "--from", "2020-01-01"],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env=dict(os.environ, **env)) as running:
        time.sleep(0.5)
        running.send_signal(signal.SIGINT)
        err = running.communicate(timeout=120)[1].decode()
    left = len(old(rides_of(program, env)))
    if running.returncode == 0:
        print("# the rides were read before the interrupt came")
    elif running.returncode != 130 or "interrupted; the rest waits" not in err.splitlines()[-1]:
        problems.append(f"exit {running.returncode}: {err!r}")
    told = re.search(r"(\d+) rides? read again", err)
    if running.returncode == 130 and (int(told.group(1)) if told else 0) + left != count:
        problems.append(f"{left} of {count} left: {err!r}")
    run(program, "jobs", "--run", **env)
    return problems + ([] if not old(rides_of(program, env)) else ["not finished"])


def has_bar(program, env):
    main, side = pty.openpty()
    with subprocess.Popen([program, "threshold", "ada", "247", "--from", "2020-01-01"],
                          stdout=subprocess.PIPE, stderr=side,
                          env=dict(os.environ, **env)) as running:
        os.close(side)
        running.stdout.read()
        bar = b""
        try:
            while got := os.read(main, 4096):
                bar += got
        except OSError:
            pass  # the terminal is gone with its program
    os.close(main)
    run(program, "undo", **env)
    return [] if re.search(rb"\r\[#* *\] \d+ of \d+ read again", bar) else [repr(bar)]


def asked(program, env, rides):
    """What was asked through the roster is read as --kind and the like are by `read`."""
    problems = []
    ride = [one for one in rides if "vo2max-4x4-started" in one["file"]][0]
    words = ["--kind", "vo2max", "--reps", "4x4min", "--target", "106-120"]
    done = run(program, "asked", str(ride["id"]), *words, **env)
    shown = json.loads(run(program, "show", str(ride["id"]), "--json", **env).stdout)[0]
    read = json.loads(run(program, "read", ride["file"], "--json", "--threshold", "246", *words,
                          ).stdout)[0]
    for item in (shown, read):
        item["readings"] = [one for one in item["readings"] if one["question"] != "today"]
        for reading in item["readings"]:
            reading["basis"].pop("threshold_known_by")
    if shown["readings"] != read["readings"] or done.stderr.decode() != \
            "plumbline asked: 1 ride read again\n":
        problems.append(f"{done.stderr.decode()!r} {str(shown['readings'])[:200]}")
    got = json.loads(run(program, "asked", str(ride["id"]), "--json", **env).stdout)
    if (got["kind"], got["reps"], got["rep_duration_s"], got["low_pct"]) != ("vo2max", 4, 240, 106):
        problems.append(str(got))
    none = run(program, "asked", str(ride["id"]), "--nothing", **env)
    again = run(program, "asked", str(ride["id"]), "--nothing", **env)
    return problems + ([] if none.returncode == 0 and again.returncode == 1 else ["--nothing"])


def doubles(program, env, folder, path):
    """The same ride once more, a byte longer: another file, the same ride."""
    second = os.path.join(folder, "second.fit")
    with open(path, "rb") as source, open(second, "wb") as out:
        out.write(source.read() + b"\0")
    told = json.loads(run(program, "import", second, "--rider", "ada", "--json", **env).stdout)
    new = told["files"][0]["rides"][0]
    pair = json.loads(run(program, "recordings", str(new["id"]), "--json", **env).stdout)
    loser = [one["ride"] for one in pair if not one["main"]][0]
    chosen = json.loads(run(program, "recordings", str(loser), "--main", "--json", **env).stdout)
    split = json.loads(run(program, "recordings", str(loser), "--split", "--json", **env).stdout)
    run(program, "undo", **env)
    run(program, "undo", **env)
    back = json.loads(run(program, "recordings", str(new["id"]), "--json", **env).stdout)
    problems = [] if len(pair) == 2 and back == pair else [f"{pair}, then {back}"]
    if [one["ride"] for one in chosen if one["main"] and one["by_hand"]] != [loser]:
        problems.append(f"--main: {chosen}")
    return problems + ([] if len(split) == 1 else [f"--split: {split}"])


def kept_true(tally, program, examples, folder):
    env = begin(program, folder, "true.plumbline", [os.path.dirname(examples[0])])
    rides = rides_of(program, env)
    tally.check("a threshold reads its rides again, and says how many", said_once(program, env))
    tally.check("--later leaves rides to jobs, marked", left_for_later(program, env))
    tally.check("reading again has a bar on a terminal", has_bar(program, env))
    tally.check("asked is read as the options of read are", asked(program, env, rides))
    tally.check("the recording that counts is chosen, split and taken back",
                doubles(program, env, folder, examples[0]))
    tally.check("interrupted reading again keeps what is whole",
                interrupted(program, folder, examples[:3]))
