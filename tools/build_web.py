#!/usr/bin/env python3
"""Builds the page that the program serves.

usage: build_web.py can SOURCE                          exit 0 if the page can be built here
       build_web.py fetch SOURCE                        fetches what builds and tests it
       build_web.py build SOURCE OUT STAMP DEPFILE      builds it into OUT

A tarball carries the page built, in web/prebuilt: that is copied, and Node.js isn't needed.  Else
Node.js of at least 20.19 builds it: the machine's own, or the one that ./do put into tools-local;
npm brings what web/package-lock.json names, once.
"""
import contextlib
import fcntl
import filecmp
import os
import re
import shutil
import subprocess
import sys

LEAST_NODE = (20, 19)


class Cannot(Exception):
    pass


def node_folders(source):
    local = os.path.join(source, "tools-local", "node", "node_modules")
    folders = []
    if os.path.isdir(local):
        folders = [os.path.join(local, name, "bin") for name in sorted(os.listdir(local))
                   if name.startswith("node-linux-")]
    return folders + os.environ.get("PATH", "").split(os.pathsep)


def find_node(source):
    """The folder of a Node.js that is new enough."""
    old = None
    for folder in node_folders(source):
        node = os.path.join(folder, "node")
        if not os.access(node, os.X_OK):
            continue
        said = subprocess.run([node, "--version"], capture_output=True, text=True).stdout
        match = re.match(r"v(\d+)\.(\d+)", said)
        if match and (int(match[1]), int(match[2])) >= LEAST_NODE:
            return folder
        old = said.strip()
    raise Cannot(f"Node.js is {old}; 20.19 or newer is needed: ./do build brings it" if old else
                 "no Node.js here; 20.19 or newer is needed: ./do build brings it")


def environment(source):
    env = dict(os.environ)
    env["PATH"] = find_node(source) + os.pathsep + env.get("PATH", "")
    return env


def run(command, folder, env):
    done = subprocess.run(command, cwd=folder, env=env, text=True,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if done.returncode != 0:
        raise Cannot(f"{' '.join(command)} failed in web/:\n{done.stdout}")
    return done.stdout


def fetch_modules(web, env):
    """npm ci, unless what is there is what the lock file says."""
    lock = os.path.join(web, "package-lock.json")
    kept = os.path.join(web, "node_modules", ".installed-from")
    if os.path.isfile(kept) and filecmp.cmp(lock, kept, shallow=False):
        return
    run(["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"], web, env)
    shutil.copyfile(lock, kept)


@contextlib.contextmanager
def alone(web):
    """Two build folders may want the page at once; what they share is in web/."""
    with open(os.path.join(web, ".lock"), "w", encoding="utf-8") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def sources(source):
    """What the page is made of: when one changes, it is built again."""
    web = os.path.join(source, "web")
    found = [os.path.join(source, "src", "drawing", "tokens.def"),
             os.path.join(source, "tools", "tokens_css.py"),
             os.path.abspath(__file__)]
    for name in ("index.html", "package.json", "package-lock.json", "tsconfig.json", "vite.config.ts"):
        found.append(os.path.join(web, name))
    for top in ("src", "tools"):
        for folder, folders, files in os.walk(os.path.join(web, top)):
            folders[:] = sorted(name for name in folders if name != "generated")
            found.append(folder)  # files that come or go
            found += [os.path.join(folder, name) for name in sorted(files)
                      if not re.search(r"\.test\.tsx?$", name)]
    return found


def write_depfile(path, stamp, files):
    def escaped(name):
        return name.replace(" ", "\\ ")
    with open(path, "w", encoding="utf-8") as out:
        out.write(escaped(stamp) + ": " + " \\\n  ".join(escaped(name) for name in files) + "\n")


def build(source, out, stamp, depfile):
    web = os.path.join(source, "web")
    prebuilt = os.path.join(web, "prebuilt")
    if os.path.isfile(os.path.join(prebuilt, "index.html")):
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(prebuilt, out)
        files = [os.path.join(folder, name) for folder, _, names in os.walk(prebuilt)
                 for name in sorted(names)]
    else:
        env = environment(source)
        files = sources(source)
        with alone(web):
            fetch_modules(web, env)
            run(["node", "tools/generate.mjs", "tokens"], web, env)
            run(["node", "node_modules/vite/bin/vite.js", "build", "--logLevel", "warn",
                 "--emptyOutDir", "--outDir", out], web, env)
            run(["node", "tools/check_size.mjs", out], web, env)
    write_depfile(depfile, stamp, files)
    with open(stamp, "w", encoding="utf-8") as done:
        done.write(out + "\n")


def fetch(source):
    web = os.path.join(source, "web")
    with alone(web):
        fetch_modules(web, environment(source))


def can(source):
    if not os.path.isfile(os.path.join(source, "web", "prebuilt", "index.html")):
        fetch(source)


def main():
    try:
        if len(sys.argv) == 3 and sys.argv[1] == "can":
            can(os.path.abspath(sys.argv[2]))
        elif len(sys.argv) == 3 and sys.argv[1] == "fetch":
            fetch(os.path.abspath(sys.argv[2]))
        elif len(sys.argv) == 6 and sys.argv[1] == "build":
            build(os.path.abspath(sys.argv[2]), os.path.abspath(sys.argv[3]), *sys.argv[4:])
        else:
            raise SystemExit(__doc__)
    except Cannot as error:
        raise SystemExit(f"build_web.py: {error}") from None


if __name__ == "__main__":
    main()
