"""THIRD-PARTY against what is carried (npm's lock files, the fonts' list, the page's imports) and
what is loaded (what the linker wrote into the program)."""
import json
import os
import re
import subprocess


def read(*path):
    with open(os.path.join(*path), encoding="utf-8") as file:
        return file.read()


def rows_of(text):
    """{name: the other columns} of the indented rows."""
    rows = [re.split(r" {2,}", line.strip()) for line in text.splitlines() if line.startswith("  ")]
    return {row[0]: row[1:] for row in rows}


def carried_packages(source):
    """{name: (version, licence)} of what npm brings for the page and the fonts, not for the tests."""
    found = {}
    for folder in ("web", "fonts"):
        for path, about in json.loads(read(source, folder, "package-lock.json"))["packages"].items():
            if path and not about.get("dev"):
                found[path.split("node_modules/")[-1]] = (about["version"], about.get("license"))
    return found


def imported(source):
    """Names of the packages that the page's own files import."""
    found = set()
    for folder, _, names in os.walk(os.path.join(source, "web", "src")):
        for name in names:
            if re.search(r"\.(ts|tsx|css)$", name) and not re.search(r"\.test\.tsx?$|^test_", name):
                for words in re.findall(r"""(?:from|import|@import|url\()\s*\(?["']([^"']+)["']""",
                                        read(folder, name)):
                    package = re.match(r"(@[\w.-]+/[\w.-]+|[a-z][\w.-]*)(/|$)", words)
                    if package and ":" not in words:
                        found.add(package[1])
    return found


def fonts_of(source):
    listed = re.search(r"font_names = \[(.*?)\]", read(source, "fonts", "meson.build"), re.S)
    return re.findall(r"'([^']+)'", listed[1])


def libraries_of(program):
    said = subprocess.run(["readelf", "-d", program], stdout=subprocess.PIPE, check=True, text=True,
                          env=dict(os.environ, LC_ALL="C"))
    return set(re.findall(r"\(NEEDED\).*\[(.*)\]", said.stdout))


def unnamed(rows, source, program):
    """What is carried or loaded, and not named as it is."""
    problems = []
    for name, (version, licence) in sorted(carried_packages(source).items()):
        if rows.get(name, [])[:2] != [version, licence]:
            problems.append(f"{name} {version} {licence}: {rows.get(name)}")
    problems += [f"{name} is imported" for name in sorted(imported(source)) if name not in rows]
    problems += [f"{name} is carried" for name in fonts_of(source) if name not in rows]
    problems += [f"{name} is loaded" for name in sorted(libraries_of(program)) if name not in rows]
    return problems


def superfluous(rows, source, program):
    there = {*carried_packages(source), *fonts_of(source), *libraries_of(program)}
    # The program may have been built without a server's store.
    return [f"{name} isn't carried or loaded" for name in rows
            if name not in there and not name.startswith("libpq.")]


def texts_are_there(rows, source):
    named = {row[-1] for row in rows.values() if row[-1].startswith("licences/")}
    there = {"licences/" + name for name in os.listdir(os.path.join(source, "licences"))}
    carried = [*carried_packages(source), *fonts_of(source)]
    return ([f"{name}: its text isn't named" for name in carried if rows[name][-1] not in there] +
            sorted(there - named))


def texts_are_theirs(rows, source):
    """To the byte what the package itself has; skipped packages are those that aren't fetched here."""
    problems, seen = [], 0
    for name in carried_packages(source):
        for folder in ("web", "fonts"):
            for file in ("LICENSE", "LICENSE.md"):
                own = os.path.join(source, folder, "node_modules", name, file)
                if os.path.isfile(own):
                    seen += 1
                    if read(own) != read(source, rows[name][-1]):
                        problems.append(f"{rows[name][-1]} isn't {own}")
    return problems if seen else ["no package is fetched here"]


def own_fonts_licences(source):
    """Inter's and DejaVu's licences, as Debian's packages have them: the sentences that decide."""
    problems = []
    for text, package in (("fontsource-inter", "fonts-inter"), ("dejavu", "fonts-dejavu-core")):
        ours = " ".join(read(source, "licences", text + ".txt").split())
        theirs = " ".join(read("/usr/share/doc", package, "copyright").replace("\n .\n", "\n").split())
        for sentence in ("Permission is hereby granted, free of charge, to any person obtaining a copy",
                         "may be sold by itself"):
            if sentence not in ours or sentence not in theirs:
                problems.append(f"{package}: {sentence!r}")
    return problems


def check_all(tally, source, build):
    program = os.path.join(build, "plumbline")
    rows = rows_of(read(source, "THIRD-PARTY"))
    tally.check("THIRD-PARTY names what is carried and loaded", unnamed(rows, source, program))
    tally.check("THIRD-PARTY names nothing else", superfluous(rows, source, program))
    missed = [name for name in rows
              if not unnamed({other: row for other, row in rows.items() if other != name}, source,
                             program) and not name.startswith("libpq.")]
    tally.check("each row of THIRD-PARTY would be missed", missed)
    tally.check("each carried work has its licence's text", texts_are_there(rows, source))
    tally.check("the texts are the packages' own", texts_are_theirs(rows, source))
    tally.check("the texts of Debian's fonts say what Debian says", own_fonts_licences(source))
