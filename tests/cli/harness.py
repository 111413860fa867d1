"""What the tests of the command line share: counting, running, where things lie."""
import glob
import os
import re
import subprocess

HERE = os.path.dirname(os.path.abspath(__file__))
SOURCE = os.path.dirname(os.path.dirname(HERE))
# With sanitizers: what other libraries keep is no leak of ours.
os.environ.setdefault("LSAN_OPTIONS", "print_suppressions=0:suppressions=" +
                      os.path.join(SOURCE, "tools", "leaks-of-others.txt"))
FACTS = ["--threshold", "246", "--max-heart-rate", "189", "--target", "106-120"]


class Tally:
    def __init__(self):
        self.passed = self.failed = self.skipped = 0

    def ok(self, name):
        self.passed += 1
        print(f"ok: {name}", flush=True)

    def bad(self, name, why):
        self.failed += 1
        print(f"FAILED: {name}: {why}", flush=True)

    def skip(self, name, why):
        self.skipped += 1
        print(f"skipped: {name}: {why}", flush=True)

    def check(self, name, problems):
        if problems:
            self.bad(name, "; ".join(problems[:4]))
        else:
            self.ok(name)

    def total(self):
        """The line that `do` adds up, and the exit status."""
        print(f"TOTAL {self.passed} {self.failed} {self.skipped}")
        return 1 if self.failed else 0


def run(program, *args, cwd=None, stdout=subprocess.PIPE, **changes):
    """One call; changes are environment variables."""
    return subprocess.run([program, *args], stdout=stdout, stderr=subprocess.PIPE, cwd=cwd,
                          timeout=300, check=False, env=dict(os.environ, **changes))


def no_nan(name, text):
    return [f"{name}: NaN or infinity printed"] if re.search(r"\b(nan|inf)\b", text, re.I) else []


def example_rides(maker, folder):
    """The invented rides, made into folder; [] and a line if they can't be."""
    os.makedirs(folder, exist_ok=True)
    made = run(maker, folder)
    rides = sorted(glob.glob(os.path.join(folder, "*.fit")))
    if made.returncode != 0 or not rides:
        print(f"# example rides: {made.stderr.decode()[-300:] or 'none made'}")
        return []
    return rides


def shared_recordings():
    """Real and odd recordings that lie outside the project; [] if absent."""
    shared = os.environ.get("PLUMBLINE_SHARED") or os.path.join(SOURCE, "..", "shared")
    return [os.path.abspath(path) for path in
            sorted(glob.glob(os.path.join(shared, "recordings", "real", "*")) +
                   glob.glob(os.path.join(shared, "recordings", "odd", "*")))]
