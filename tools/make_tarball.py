#!/usr/bin/env python3
"""The release: make_tarball.py BUILD_DIR [OUT]      prints the file

What git keeps, as it lies here, with what is otherwise fetched: the page built (web/prebuilt), the
fonts (fonts/shipped) and the name of the commit.  The same tree gives the same bytes: sorted, the
commit's time, nobody's names.
"""
import gzip
import io
import os
import re
import subprocess
import sys
import tarfile

SOURCE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def git(*words):
    return subprocess.run(["git", *words], cwd=SOURCE, check=True, stdout=subprocess.PIPE).stdout


def version():
    with open(os.path.join(SOURCE, "meson.build"), encoding="utf-8") as build:
        return re.search(r"version: '([^']+)'", build.read())[1]


def below(folder):
    found = {}
    for at, _, names in os.walk(folder):
        for name in names:
            path = os.path.join(at, name)
            found[os.path.relpath(path, folder)] = path
    return found


def contents(build):
    """Where each file of the tarball lies here."""
    found = {name: os.path.join(SOURCE, name)
             for name in os.fsdecode(git("ls-files", "-z")).split("\0") if name}
    fetched = (("web/prebuilt", os.path.join(build, "web", "dist"), "index.html"),
               ("fonts/shipped", os.path.join(build, "fonts"), "DejaVuSans.ttf"))
    for to, folder, sure in fetched:
        files = below(folder)
        if sure not in files:
            sys.exit(f"make_tarball: {folder} has no {sure}: run ./do build")
        found.update({f"{to}/{name}": path for name, path in files.items()
                      if to != "fonts/shipped" or name.endswith((".ttf", ".otf"))})
    return found


def add(tar, name, data, executable, when):
    about = tarfile.TarInfo(name)
    about.size = len(data)
    about.mtime = when
    about.mode = 0o755 if executable else 0o644
    tar.addfile(about, io.BytesIO(data))


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    top = f"plumbline-{version()}"
    out = sys.argv[2] if len(sys.argv) == 3 else os.path.join(sys.argv[1], top + ".tar.gz")
    when = int(git("log", "-1", "--format=%ct"))
    files = contents(sys.argv[1])
    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w", format=tarfile.PAX_FORMAT) as tar:
        add(tar, f"{top}/COMMIT", git("rev-parse", "--short=12", "HEAD"), False, when)
        for name, path in sorted(files.items()):
            with open(path, "rb") as file:
                data = file.read()
            add(tar, f"{top}/{name}", data, os.access(path, os.X_OK) and path.startswith(SOURCE) and
                not name.startswith(("web/prebuilt", "fonts/shipped")), when)
    with open(out + ".part", "wb") as file:
        with gzip.GzipFile("", "wb", 9, file, mtime=0) as zipped:
            zipped.write(packed.getbuffer())
    os.replace(out + ".part", out)
    print(out)


if __name__ == "__main__":
    main()
