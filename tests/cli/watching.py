"""A watched folder: what falls into it is taken once, whole, and the program ends when told to."""
import json
import os
import shutil
import signal
import subprocess
import threading
import time

from harness import run

WAIT_S = 60  # far more than it takes; machines under load are slow


def until(question):
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        if question():
            return True
        time.sleep(0.2)
    return False


def days(program, env):
    done = run(program, "rides", "ada", "--all", "--json", **env)
    return [ride["day"] for ride in json.loads(done.stdout)] if done.returncode == 0 else []


def copy_slowly(source, target, pieces, pause_s):
    """As over a bad line: with pauses longer than a file must be steady."""
    with open(source, "rb") as one:
        content = one.read()
    step = len(content) // pieces + 1
    with open(target, "wb") as out:
        for k in range(pieces):
            out.write(content[k * step:(k + 1) * step])
            out.flush()
            os.fsync(out.fileno())
            time.sleep(pause_s)


def watched(program, env, folder, rides):
    problems = []
    shutil.copy(rides[0], folder)
    with subprocess.Popen([program, "import", folder, "--watch", "--rider", "ada", "--json"],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env=dict(os.environ, **env)) as running:
        try:
            if not until(lambda: len(days(program, env)) == 1):
                problems.append("what lay there was not taken")
            slow = threading.Thread(target=copy_slowly,
                                    args=(rides[1], os.path.join(folder, "slow.fit"), 4, 2.5))
            slow.start()
            new = os.path.join(folder, "new", "deep")
            os.makedirs(new)
            time.sleep(0.3)
            aside = folder + ".aside.fit"
            shutil.copy(rides[2], aside)
            os.rename(aside, os.path.join(new, "moved.fit"))
            shutil.copy(rides[3], os.path.join(folder, ".hidden.fit"))
            slow.join()
            if not until(lambda: len(days(program, env)) == 3):
                problems.append(f"taken: {days(program, env)}")
            # Longer than a file must be steady: nothing comes twice.
            time.sleep(3)
        finally:
            running.send_signal(signal.SIGTERM)
            out, err = running.communicate(timeout=WAIT_S)
    if running.returncode != 0:
        problems.append(f"exit {running.returncode}: {err.decode()[:200]}")
    calls = [json.loads(line) for line in out.decode().splitlines() if line]
    taken = sum(call["counts"]["taken"] for call in calls)
    told = sum(sum(call["counts"][key] for key in ("taken", "known", "unreadable"))
               for call in calls)
    if taken != 3 or told != 3:
        problems.append(f"told of {told}, taken {taken}")
    return problems


def watching(tally, program, rides, folder):
    here = os.path.join(folder, "watched")
    os.makedirs(here)
    env = {"PLUMBLINE_ROSTER": os.path.join(folder, "watched.plumbline")}
    run(program, "rider", "add", "Ada Berg", **env)
    tally.check("import --watch takes each ride once, whole, and ends when told",
                watched(program, env, here, rides))
    tally.check("import --watch names what is no folder", [] if run(
        program, "import", rides[0], "--watch", "--rider", "ada",
        **env).returncode == 2 else ["exit"])
