"""plumbline example: made once with its first rider, then looked at as any roster."""
import json
import os

from example_sessions import of_riders, rider_sessions
from harness import run
from rider_figures import rider_figures


def tests_agree(program, env):
    """Thresholds are 95 % of the best 20 minutes ridden that day: asked of the bests, not of the
    simulator."""
    problems = []
    facts = json.loads(run(program, "threshold", "maren", "--json", **env).stdout)
    for fact in facts:
        day = fact["from"]
        after = f"{day[:8]}{int(day[8:]) + 1:02d}"
        done = run(program, "bests", "maren", "--from", day, "--to", after, "--json", **env)
        best = [one["power_w"] for one in json.loads(done.stdout)["bests"]
                if one["duration_s"] == 1200]
        if not best or abs(0.95 * best[0] - fact["value"]) > 0.01 * fact["value"]:
            problems.append(f"{day}: threshold {fact['value']}, 20 min {best}")
    return problems if len(facts) >= 4 else [f"{len(facts)} thresholds"]


def tests_recognised(program, env):
    """Every threshold of the season stands beside the test that was recognised that day, within a
    watt of it; beside the day of efforts of several lengths none does, and what it makes of critical
    power is within the range that critical gives by all efforts.  No other ride was taken for a
    test."""
    told = json.loads(run(program, "handover", "maren", "--json", **env).stdout)["tests"]
    critical = json.loads(run(program, "critical", "maren", "--json", **env).stdout)
    twenty = [one for one in told if one["recognised"] != "several all-out efforts"]
    efforts = [one for one in told if one["recognised"] == "several all-out efforts"]
    return [f"{one}" for one in twenty if not (one["on_file"] and one["valid"] and
                                               abs(one["estimate_w"] - one["threshold_w"]) <= 1)] + \
        [f"{one} {critical}" for one in efforts if not (
            one["valid"] and not one["on_file"] and critical["end"] == "known" and
            critical["cp_low_w"] <= one["estimate_w"] <= critical["cp_high_w"])] + \
        ([] if len(twenty) >= 4 and len(efforts) == 1 else [f"{len(told)} tests"])


def forms_or_why(program, env):
    """Each of the four forms has its numbers, or a sentence why not, in JSON and in words."""
    told = json.loads(run(program, "critical", "maren", "--json", **env).stdout)
    words = " ".join(run(program, "critical", "maren", **env).stdout.decode().split())
    named = [one["form"] for one in told["forms"] + told["forms_missing"]]
    return ([] if len(set(named)) == len(named) == 4 else [f"{named}"]) + \
        [f"{one}" for one in told["forms_missing"] if one["text"] not in words or
         not one["text"].startswith(f'The form "{one["form"]}" isn\'t fitted: ')] + \
        [f"{one}" for one in told["forms"] if one["cp_w"] is None or one["form"] not in words]


def example_roster(tally, program, folder):
    target = os.path.join(folder, "example")
    done = run(program, "example", target, "--riders", "1", "--json")
    made = json.loads(done.stdout) if done.returncode == 0 else {}
    rides = sorted(os.listdir(os.path.join(target, "rides", "maren-oslund"))) if made else []
    tally.check("example: rides become files, and files a roster",
                [] if made.get("files") == len(rides) and len(rides) > 100 and
                os.path.exists(made["roster"]) else [f"{done.stderr!r} {made}"])
    if not made:
        return
    env = {"PLUMBLINE_ROSTER": made["roster"], "LC_ALL": "C.UTF-8"}
    again = run(program, "example", target)
    tally.check("example: a folder that holds something is refused",
                [] if again.returncode == 1 and b"is not empty" in again.stderr and
                again.stderr.count(b"\n") == 1 else [f"{again.returncode} {again.stderr!r}"])
    listed = run(program, "rides", "maren", "--json", **env)
    tally.check("example: it stands on a today of its own, and says so",
                [] if len(json.loads(listed.stdout)) == len(rides) and
                listed.stderr == b"plumbline: an example of invented riders, with a today of its "
                b"own: 2026-08-31\n" else [f"{listed.stderr!r}"])
    earlier = json.loads(run(program, "threshold", "maren", "--json", "--today", "2026-03-01",
                             **env).stdout)
    tally.check("example: --today is stronger than its own",
                [] if earlier and all(fact["from"] <= "2026-03-01" for fact in earlier)
                else [f"{earlier}"])
    tally.check("example: thresholds are those of the tests that were ridden",
                tests_agree(program, env))
    tally.check("example: its tests are recognised, and nothing else is taken for one",
                tests_recognised(program, env))
    tally.check("example: critical power in four forms, or why not", forms_or_why(program, env))
    of_riders(tally, program, env, rider_sessions(program, env))
    rider_figures(tally, program, env, folder)
