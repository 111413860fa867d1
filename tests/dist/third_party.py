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


def unused(source):
    """What npm brings for the page and the page doesn't import."""
    asked = json.loads(read(source, "web", "package.json"))["dependencies"]
    return sorted(set(asked) - imported(source))


def fonts_of(source):
    listed = re.search(r"font_names = \[(.*?)\]", read(source, "fonts", "meson.build"), re.S)
    return re.findall(r"'([^']+)'", listed[1])


def libraries_of(program):
    said = subprocess.run(["readelf", "-d", program], stdout=subprocess.PIPE, check=True, text=True,
                          env=dict(os.environ, LC_ALL="C"))
    return set(re.findall(r"\(NEEDED\).*\[(.*)\]", said.stdout))


def there(source, program):
    """{name: version and licence, or []} of all that is carried or loaded."""
    found = {name: [] for name in [*imported(source), *fonts_of(source), *libraries_of(program)]}
    found.update({name: list(about) for name, about in carried_packages(source).items()})
    return found


def unnamed(rows, found):
    """What is carried or loaded, and not named as it is."""
    return [f"{name} {' '.join(about)}: {rows.get(name)}" for name, about in sorted(found.items())
            if name not in rows or about != rows[name][:len(about)]]


def superfluous(rows, found):
    # The program may have been built without a server's store.
    return [f"{name} isn't carried or loaded" for name in rows
            if name not in found and not name.startswith("libpq.")]


def texts_are_there(rows, source):
    named = {row[-1] for row in rows.values() if row[-1].startswith("licences/")}
    texts = {"licences/" + name for name in os.listdir(os.path.join(source, "licences"))}
    carried = [*carried_packages(source), *fonts_of(source)]
    return ([f"{name}: its text isn't named" for name in carried if rows[name][-1] not in texts] +
            sorted(texts - named))


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
        if not os.path.isfile(os.path.join("/usr/share/doc", package, "copyright")):
            print(f"# {package} isn't Debian's here: its licence isn't compared")
            continue
        ours = " ".join(read(source, "licences", text + ".txt").split())
        theirs = " ".join(read("/usr/share/doc", package, "copyright").replace("\n .\n", "\n").split())
        for sentence in ("Permission is hereby granted, free of charge, to any person obtaining a copy",
                         "may be sold by itself"):
            if sentence not in ours or sentence not in theirs:
                problems.append(f"{package}: {sentence!r}")
    return problems


def check_all(tally, source, build):
    rows = rows_of(read(source, "THIRD-PARTY"))
    found = there(source, os.path.join(build, "plumbline"))
    tally.check("THIRD-PARTY names what is carried and loaded", unnamed(rows, found))
    tally.check("THIRD-PARTY names nothing else", superfluous(rows, found))
    tally.check("the page imports every package that is brought for it", unused(source))
    missed = [name for name in found
              if not unnamed({other: row for other, row in rows.items() if other != name}, found)]
    tally.check("each row of THIRD-PARTY would be missed", missed)
    tally.check("each carried work has its licence's text", texts_are_there(rows, source))
    tally.check("the texts are the packages' own", texts_are_theirs(rows, source))
    tally.check("the texts of Debian's fonts say what Debian says", own_fonts_licences(source))
