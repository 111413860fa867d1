#!/usr/bin/env python3
"""Who may include whom: the table of docs/architecture.md, enforced.

Reads every #include of src/ and fails on one that points up or sideways, on GSL outside maths/,
on SQL outside roster/, on drawing outside drawing/, and on sentences' home being bypassed.
"""
import os
import re
import sys

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "src")

MAY = {
    "base": set(),
    "maths": {"base"},
    "limits": set(),
    "recording": {"base", "maths", "limits"},
    "physiology": {"base", "maths", "limits", "recording"},
    "simulated": {"base", "maths", "limits", "recording"},
    "coaching": {"base", "maths", "limits", "recording", "physiology"},
    "drawing": {"base", "maths", "limits", "recording", "physiology", "coaching"},
    "roster": {"base", "maths", "limits", "recording", "physiology", "coaching"},
    "server": {"base", "maths", "limits", "recording", "physiology", "coaching", "drawing",
               "roster"},
    "cli": {"base", "maths", "limits", "recording", "physiology", "simulated", "coaching",
            "drawing", "roster", "server"},
}
# Library headers that belong to one room.
ONLY = [
    (re.compile(r"^gsl/"), {"maths"}),
    (re.compile(r"^(sqlite3|libpq-fe)\.h$"), {"roster"}),
    (re.compile(r"^(cairo|pango)"), {"drawing"}),
    (re.compile(r"^(microhttpd|jansson)"), {"server"}),
]
# No clock and no files below the rooms that own them.
PURE = {"maths", "limits", "recording", "physiology", "coaching", "simulated"}
IMPURE_CALLS = re.compile(r"\b(time|clock_gettime|fopen|open|printf|fprintf|exit|getenv)\s*\(")
INCLUDE = re.compile(r'^\s*#\s*include\s+(["<])([^">]+)[">]')
SQL = re.compile(r'"\s*(SELECT|INSERT INTO|UPDATE|DELETE FROM|CREATE TABLE)\b')


def check_text(room, name, text):
    """The problems of one source text, as lines."""
    problems = []
    for number, line in enumerate(text.splitlines(), 1):
        where = f"src/{name}:{number}"
        match = INCLUDE.match(line)
        if match:
            path = match.group(2)
            if match.group(1) == '"':
                other = path.split("/")[0]
                if "/" not in path or other not in MAY:
                    problems.append(f"{where}: \"{path}\": include by room path")
                elif other != room and other not in MAY[room]:
                    problems.append(f"{where}: {room}/ may not include {other}/")
            for pattern, rooms in ONLY:
                if pattern.match(path) and room not in rooms:
                    problems.append(f"{where}: <{path}> belongs to {'/'.join(sorted(rooms))}/")
        if SQL.search(line) and room != "roster":
            problems.append(f"{where}: SQL outside roster/")
        code = re.sub(r'"(\\.|[^"\\])*"|/\*.*?\*/|//.*', "", line)
        if room in PURE and not line.lstrip().startswith(("*", "/*")) and \
                IMPURE_CALLS.search(code):
            problems.append(f"{where}: {room}/ is pure: {line.strip()}")
    return problems


def self_check():
    """A rule that never fires is no rule."""
    bad = [
        ("base", '#include "maths/summary.h"'),
        ("physiology", '#include "coaching/reading.h"'),
        ("coaching", '#include "simulated/ride.h"'),
        ("recording", "#include <gsl/gsl_vector.h>"),
        ("coaching", 'db(x, "SELECT 1");'),
        ("maths", 'printf("x");'),
        ("base", '#include "arena.h"'),
    ]
    for room, line in bad:
        if not check_text(room, room + "/x.c", line):
            sys.exit(f"check_includes: the rule does not see: {room}: {line}")


def main():
    self_check()
    problems = []
    seen = 0
    for folder, _, names in sorted(os.walk(ROOT)):
        for name in sorted(names):
            if not name.endswith((".c", ".h", ".def")):
                continue
            path = os.path.join(folder, name)
            relative = os.path.relpath(path, ROOT)
            room = relative.split(os.sep)[0]
            if room not in MAY:
                problems.append(f"src/{relative}: no such room")
                continue
            with open(path, encoding="utf-8") as source:
                problems += check_text(room, relative, source.read())
            seen += 1
    for problem in problems:
        print(problem)
    print(f"{seen} files, {len(problems)} problems")
    return 1 if problems or seen == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
