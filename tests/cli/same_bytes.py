#!/usr/bin/env python3
"""The same input, limits and version print the same bytes.

same_bytes.py REFERENCE [--quick] [LABEL=PROGRAM ...]

REFERENCE (build/plumbline) reads every example ride and every shared recording with `--json`, asked
in several ways.  Every other build must print the same bytes on stdout and stderr; so must the
reference itself when the mathematics library may not use what this processor has (it chooses its
exp, log and pow at run time), beside other runs, in another time zone and locale, with its
memory filled with rubbish, and with the files in another order.

--quick takes the example rides only.  A LABEL that ends in "-v3" needs a processor with x86-64-v3;
without one it is skipped, and said.
"""
import concurrent.futures
import json
import os
import re
import subprocess
import sys
import tempfile

from harness import FACTS, Tally, example_rides, run, shared_recordings

# Several ways to ask, so that every question, every best and every parameter of a verdict is hit.
ASKED = [
    [],
    FACTS,
    ["--threshold", "211.5", "--max-heart-rate", "178", "--rest-heart-rate", "52", "--weight",
     "62.3", "--kind", "vo2max", "--reps", "4x4min", "--target", "225-245W", "--bests", "all"],
    ["--threshold", "280", "--kind", "base-test", "--indoors", "--day", "hot,caffeine"],
]

# What an older x86-64 lacks, as glibc names it (sysdeps/x86/cpu-tunables.c, glibc 2.36).
NO_FMA = {"GLIBC_TUNABLES": "glibc.cpu.hwcaps=-FMA,-FMA4,-AVX2,-AVX"}

# The dynamic loader, at the place the x86-64 psABI gives it; its --help says what the processor has.
LOADER = "/lib64/ld-linux-x86-64.so.2"

# A hash over results of the mathematics library, to see that NO_FMA reaches it.
PROBE = """
import hashlib, math, struct
x = [0.01 + i * 1.37e-3 for i in range(20000)]
print(hashlib.sha256(b"".join(struct.pack("3d", math.exp(v), math.log(v), math.pow(v, 0.37))
                              for v in x)).hexdigest())
"""


def has_v3():
    """Whether this processor has x86-64-v3: AVX2, FMA and the rest."""
    try:
        return b"x86-64-v3 (supported" in run(LOADER, "--help").stdout
    except OSError:
        return False


def halves(files):
    """Two shares of about the same number of bytes: the machine has two cores."""
    shares, sizes = ([], []), [0, 0]
    for path in sorted(files, key=lambda p: (-os.path.getsize(p), p)):
        least = 0 if sizes[0] <= sizes[1] else 1
        shares[least].append(path)
        sizes[least] += os.path.getsize(path)
    return [share for share in shares if share]


def read_all(program, files, **changes):
    """{(way, share): (status, stdout, stderr)}: every file once for each way to ask."""
    calls = [(way, share) for way in range(len(ASKED)) for share in range(len(halves(files)))]
    shares = halves(files)

    def one(call):
        done = run(program, "read", "--json", *shares[call[1]], *ASKED[call[0]], **changes)
        return call, (done.returncode, done.stdout, done.stderr)
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        return dict(pool.map(one, calls))


def first_difference(want, got, path="$"):
    """The path of the first value that differs, with both values; None if equal."""
    if isinstance(want, dict) and isinstance(got, dict):
        if list(want) != list(got):
            return f"{path}: keys {sorted(set(want) ^ set(got)) or 'in another order'}"
        parts = [(f"{path}.{key}", want[key], got[key]) for key in want]
    elif isinstance(want, list) and isinstance(got, list):
        parts = [(f"{path}[{i}]", a, b) for i, (a, b) in enumerate(zip(want, got))]
        if len(want) != len(got):
            parts.append((f"{path}.length", len(want), len(got)))
    else:
        return None if want == got and isinstance(want, type(got)) else f"{path}: {want!r} / {got!r}"
    for part in parts:
        found = first_difference(part[1], part[2], part[0])
        if found:
            return found
    return None


def explain(want, got):
    """In which file and where two outputs part."""
    if want[0] != got[0]:
        return f"exit {want[0]} / {got[0]}: {got[2][-300:]!r}"
    if want[1] != got[1]:
        try:
            items, others = json.loads(want[1]), json.loads(got[1])
        except ValueError as wrong:
            return f"not JSON: {wrong}"
        for item, other in zip(items, others):
            found = first_difference(item, other)
            if found:
                return f"{os.path.basename(item['file'])}: {found}"
        if len(items) != len(others):
            return f"{len(items)} / {len(others)} recordings"
        return "the same values, other bytes"
    for line, other in zip(want[2].splitlines(), got[2].splitlines()):
        if line != other:
            return f"stderr: {line!r} / {other!r}"
    return f"stderr: {len(want[2])} / {len(got[2])} bytes"


def compare(want, got):
    problems = []
    for call in want:
        if want[call] != got[call]:
            asked = " ".join(ASKED[call[0]]) or "nothing else asked"
            problems.append(f"{explain(want[call], got[call])} ({asked})")
    return problems


def sees_a_digit(want):
    """Whether this comparison would notice: one digit of one mean changed, by hand."""
    changed = dict(want)
    status, out, err = changed[(1, 0)]
    digit = re.search(rb'"mean":\d+\.(\d)', out)
    other = b"1" if digit.group(1) != b"1" else b"2"
    changed[(1, 0)] = (status, out[:digit.start(1)] + other + out[digit.end(1):], err)
    found = compare(want, changed)
    return [] if len(found) == 1 and ".mean: " in found[0] else [f"found {found}"]


def together(reference, files, want):
    """Four runs at once over the same files."""
    shares = halves(files)
    calls = [(1, share) for share in range(len(shares))] * 4
    running = [subprocess.Popen([reference, "read", "--json", *shares[share], *ASKED[way]],
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE)
               for way, share in calls]
    with concurrent.futures.ThreadPoolExecutor(len(running)) as pool:
        outs = list(pool.map(lambda process: process.communicate(timeout=300), running))
    problems = []
    for call, process, (out, err) in zip(calls, running, outs):
        got = (process.returncode, out, err)
        if got != want[call]:
            problems.append(explain(want[call], got))
    return problems


def other_order(reference, files, want):
    """No file's reading depends on the files before it."""
    def by_file(text):
        items = {}
        for item in json.loads(text):
            items.setdefault(item["file"], []).append(item)
        return items
    problems = []
    for i, share in enumerate(halves(files)):
        done = run(reference, "read", "--json", *reversed(share), *ASKED[1])
        there, back = by_file(want[(1, i)][1]), by_file(done.stdout)
        for path in share:
            found = first_difference(there.get(path), back.get(path))
            if found:
                problems.append(f"{os.path.basename(path)}: {found}")
    return problems


def without_fma(tally, label, reference, files, want, v3):
    name = f"same bytes: without AVX2 and FMA, {label}"
    if not v3:
        tally.skip(name, "this processor lacks them anyway")
        return
    plain, changed = (run("/usr/bin/python3", "-c", PROBE, **env).stdout for env in ({}, NO_FMA))
    if plain == changed:
        tally.bad(name, f"{NO_FMA['GLIBC_TUNABLES']} changes nothing in the mathematics library")
        return
    tally.check(name, compare(want, read_all(reference, files, **NO_FMA)))


def judge(tally, label, reference, variants, files):
    v3 = has_v3()
    want = read_all(reference, files)
    printed = sum(len(json.loads(out)) for _, out, _ in want.values())
    print(f"# {label}: {len(files)} files, {len(ASKED)} ways of asking, {printed} recordings printed")
    tally.check(f"same bytes: every {label} file gives an element",
                [] if printed >= len(files) * len(ASKED) else [f"{printed} recordings"])
    tally.check(f"same bytes: one digit changed in {label} output is named", sees_a_digit(want))
    for variant, program in variants:
        name = f"same bytes: {variant}, {label}"
        if variant.endswith("-v3") and not v3:
            tally.skip(name, "this processor lacks x86-64-v3")
            continue
        tally.check(name, compare(want, read_all(program, files)))
    without_fma(tally, label, reference, files, want, v3)
    tally.check(f"same bytes: another time zone and locale, rubbish in fresh memory, {label}",
                compare(want, read_all(reference, files, TZ="Pacific/Chatham", LC_ALL="C",
                                       MALLOC_PERTURB_="165")))
    tally.check(f"same bytes: four runs at once, {label}", together(reference, files, want))
    tally.check(f"same bytes: files in another order, {label}",
                other_order(reference, files, want))


def main():
    quick = "--quick" in sys.argv
    words = [word for word in sys.argv[1:] if word != "--quick"]
    if not words or any("=" not in word for word in words[1:]):
        print(__doc__.splitlines()[0], file=sys.stderr)
        return 2
    reference = os.path.abspath(words[0])
    variants = [(label, os.path.abspath(program)) for label, program in
                (word.split("=", 1) for word in words[1:])]
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        maker = os.path.join(os.path.dirname(reference), "demo", "make-rides")
        rides = example_rides(maker, folder)
        if rides:
            judge(tally, "example", reference, variants, rides)
        else:
            tally.bad("same bytes: example rides", "none made")
    shared = [] if quick else shared_recordings()
    if quick:
        print("# --quick: shared recordings left out")
    elif shared:
        judge(tally, "shared", reference, variants, shared)
    else:
        tally.skip("same bytes: shared recordings", "absent (PLUMBLINE_SHARED or ../shared)")
    return tally.total()


if __name__ == "__main__":
    sys.exit(main())
