"""What only a model can answer: critical power, and heart rate against usual."""
import json
import os

from harness import run


def numbers(done):
    return json.loads(done.stdout, parse_constant=lambda word: 1 / 0)


def response(program, env, rides):
    problems = []
    # The demo's rides of an invented rider: enough of them hold power and heart rate.
    words = [["rider", "add", "Ada Berg"], ["threshold", "ada", "246", "--from", "2026-01-01"],
             ["max-heart-rate", "ada", "189", "--from", "2026-01-01"],
             ["import", *rides, "--rider", "ada"]]
    for call in words:
        done = run(program, *call, **env)
        if done.returncode != 0:
            problems.append(f"{call[:2]}: {done.stderr.decode()[:200]}")
    today = ["--today", "2026-12-31"]
    listed = json.loads(run(program, "rides", "ada", "--json", *today, **env).stdout)
    days = sorted(ride["day"] for ride in listed if ride["day"])
    today = ["--today", days[-1]]
    done = run(program, "heart", "ada", "--json", *today, **env)
    answer = numbers(done)
    fit = answer["response"]
    if fit["end"] != "fitted" or len(answer["rides"]) < 10:
        problems.append(f"{fit['end']}, to {len(answer['rides'])} rides")
    elif not fit["gain_low_bpm_per_w"] < fit["gain_bpm_per_w"] < fit["gain_high_bpm_per_w"]:
        problems.append(f"gain {fit}")
    last = numbers(run(program, "heart", f"ada@{days[-1]}/1", "--json", *today, **env))
    if last.get("verdict") not in ("usual", "higher than usual", "lower than usual"):
        problems.append(f"a ride: {last}")
    # Nothing that came later, nor the ride itself, makes its usual.
    second = numbers(run(program, "heart", f"ada@{days[1]}", "--json", *today, **env))
    if second.get("verdict") != "cannot tell" or second["response"]["end"] != "too-few":
        problems.append(f"the second ride: {second}")
    for call in (["heart", "ada"], ["critical", "ada"], ["critical", "ada", "--json"]):
        if run(program, *call, *today, **env).returncode != 0:
            problems.append(str(call))
    critical = numbers(run(program, "critical", "ada", "--json", *today, **env))
    if (critical["cp_w"] is None) != (critical["end"] != "known"):
        problems.append(f"a number without an answer: {critical}")
    taught = numbers(run(program, "teach", "ada", "--json", *today, **env))
    if (taught["end"] == "told") != (len(taught["ways"]) == 2) or not taught["text"]:
        problems.append(f"teach: {taught['end']}, {taught['text']}")
    if critical["end"] != "known" and (taught["end"], taught["expected"]) != ("no-critical-power", None):
        problems.append(f"teach without critical power: {taught['end']}")
    return problems


def withheld(program, env):
    """Under a heart-altering medicine nothing is read."""
    problems = []
    run(program, "rider", "flag", "ada", "heart-medicine", "--from", "2026-01-01", **env)
    shown = run(program, "heart", "ada", "--json", "--today", "2026-03-30", **env)
    answer = numbers(shown)
    if not answer["withheld"] or answer["response"]["gain_bpm_per_w"] is not None:
        problems.append(str(answer))
    return problems


def refusals(program, env):
    problems = []
    for words, status in ((["heart"], 2), (["heart", "nobody"], 1), (["heart", "999999"], 1),
                          (["critical"], 2), (["critical", "nobody"], 1),
                          (["teach"], 2), (["teach", "nobody"], 1),
                          (["teach", "ada", "--reps", "4"], 2)):
        done = run(program, *words, **env)
        if done.returncode != status or done.stderr.count(b"\n") != 1:
            problems.append(f"{words}: exit {done.returncode}, {done.stderr.decode()[:120]}")
    return problems


def answering(tally, program, rides, folder):
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "answering.plumbline")}
    tally.check("heart, critical: numbers with their range, or a reason",
                response(program, env, rides))
    tally.check("heart: nothing under a heart-altering medicine", withheld(program, env))
    tally.check("heart, critical: a wrong call is one line", refusals(program, env))
