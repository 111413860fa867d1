#!/usr/bin/env python3
"""What is shipped: run.py BUILD_DIR [--fast]

THIRD-PARTY against what is really carried and loaded; then the tarball: unpacked, built where there
is neither Node.js nor network, installed, its build tree taken away, and used.  --fast leaves the
building out.
"""
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
SOURCE = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [os.path.join(os.path.dirname(HERE), "cli"), os.path.join(os.path.dirname(HERE), "server")]

from harness import Tally, run  # noqa: E402 pylint: disable=wrong-import-position
from served import Served  # noqa: E402 pylint: disable=wrong-import-position
import third_party  # noqa: E402 pylint: disable=wrong-import-position


def pack(build, out, **changes):
    done = run(sys.executable, os.path.join(SOURCE, "tools", "make_tarball.py"), build, out, **changes)
    return done.stderr.decode().splitlines()


def page_again(build, folder):
    """The page built once more, elsewhere, against the one in the tarball."""
    out = os.path.join(folder, "dist")
    done = run(sys.executable, os.path.join(SOURCE, "tools", "build_web.py"), "build", SOURCE, out,
               out + ".stamp", out + ".d", TZ="Asia/Tokyo")
    if done.returncode != 0:
        return done.stderr.decode().splitlines()[-3:]
    compared = run("diff", "-rq", os.path.join(build, "web", "dist"), out)
    return compared.stdout.decode().splitlines() + compared.stderr.decode().splitlines()


def tarball_is_plain(path):
    """One folder, sorted, nobody's names, one time, nothing but files."""
    problems = []
    with tarfile.open(path) as tar:
        members = tar.getmembers()
    names = [member.name for member in members]
    top = names[0].split("/")[0]
    if not re.fullmatch(r"plumbline-\d+\.\d+\.\d+", top):
        problems.append(f"the folder is {top}")
    if names[1:] != sorted(names[1:]):
        problems.append("not sorted")
    problems += [name for name in names
                 if not name.startswith(top + "/") or "node_modules" in name or ".git/" in name]
    problems += [member.name for member in members
                 if not member.isfile() or member.uid or member.gid or member.uname or member.gname or
                 member.mtime != members[0].mtime or member.mode not in (0o644, 0o755)]
    wanted = {"COMMIT", "LICENSE", "THIRD-PARTY", "do", "meson.build", "web/prebuilt/index.html",
              "web/package-lock.json", "fonts/shipped/DejaVuSans.ttf", "licences/dejavu.txt"}
    return problems + sorted(wanted - {name[len(top) + 1:] for name in names})


TAKEN_AWAY = re.compile(r"(node|nodejs|npm|npx|corepack|git)")


def without_node(folder):
    """PATH, where a folder with Node.js or git is seen through links to all else in it."""
    homes = []
    for home in os.environ["PATH"].split(os.pathsep):
        names = os.listdir(home) if os.path.isdir(home) else []
        if any(TAKEN_AWAY.fullmatch(name) for name in names):
            seen = os.path.join(folder, str(len(homes)))
            os.makedirs(seen)
            for name in names:
                # A compiler's name for ccache works only where it lies.
                ccache = os.path.basename(os.path.realpath(os.path.join(home, name))) == "ccache"
                if not TAKEN_AWAY.fullmatch(name) and (name == "ccache" or not ccache):
                    os.symlink(os.path.join(home, name), os.path.join(seen, name))
            home = seen
        homes.append(home)
    return os.pathsep.join(homes)


def without_network():
    """How a command is started so that it reaches nothing; [] where the machine doesn't let us."""
    for words in (["unshare", "--net"], ["unshare", "--user", "--map-root-user", "--net"]):
        try:
            if subprocess.run([*words, "true"], stderr=subprocess.DEVNULL, check=False).returncode == 0:
                return words
        except FileNotFoundError:
            break
    print("# the network can't be taken away on this machine: it is only pointed nowhere")
    return []


def build_and_install(tree, to, path):
    """Both from the tarball alone; the lines of what failed."""
    if shutil.which("node", path=path) or shutil.which("git", path=path):
        return ["Node.js or git is still there"]
    environment = {"PATH": path, "DESTDIR": to, "http_proxy": "http://127.0.0.1:9",
                   "https_proxy": "http://127.0.0.1:9", "NPM_CONFIG_REGISTRY": "http://127.0.0.1:9"}
    apart = without_network()
    # As a packager does, without what may be left out; then as a coach does, with all of it.
    for words in (["meson", "setup", "small", "-Dweb=enabled", "-Dtests=disabled", "-Dpostgres=disabled"],
                  ["./do", "install", "--prefix", "/usr"]):
        done = subprocess.run([*apart, *words], cwd=tree, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, text=True, timeout=1200, check=False,
                              env=dict(os.environ, **environment))
        if done.returncode != 0:
            return [f"{words[0]} {words[1]}: {line}" for line in done.stdout.splitlines()[-4:]]
    return []


def installed_things(root):
    wanted = ["bin/plumbline", "share/man/man1/plumbline.1", "share/applications/plumbline.desktop",
              "share/bash-completion/completions/plumbline", "share/plumbline/fonts/Inter-Regular.otf",
              "share/icons/hicolor/scalable/apps/plumbline.svg", "share/doc/plumbline/LICENSE",
              "share/doc/plumbline/THIRD-PARTY"]
    wanted += ["share/doc/plumbline/licences/" + name
               for name in sorted(os.listdir(os.path.join(SOURCE, "licences")))]
    return [name + " isn't there" for name in wanted if not os.path.isfile(os.path.join(root, name))]


def desktop_entry(root):
    path = os.path.join(root, "share/applications/plumbline.desktop")
    with open(path, encoding="utf-8") as entry:
        text = entry.read()
    problems = [] if "/usr/bin/plumbline serve" in text and "@" not in text else [text]
    if shutil.which("desktop-file-validate"):
        problems += run("desktop-file-validate", path).stdout.decode().splitlines()
    return problems


def version_of(program, commit):
    said = run(program, "--version").stdout.decode()
    return [] if f"\ncommit {commit}\n" in said else [repr(said)]


def made_by_its_program(root, program):
    problems = []
    for name, words in (("share/man/man1/plumbline.1", ["--man"]),
                        ("share/bash-completion/completions/plumbline", ["--completion", "bash"])):
        with open(os.path.join(root, name), "rb") as found:
            if found.read() != run(program, "help", *words).stdout:
                problems.append(f"{name} isn't what help {words[0]} prints")
    return problems


def finds_its_fonts(program, ride, folder):
    out = os.path.join(folder, "ride.pdf")
    done = run(program, "read", ride, "--figure", out, PLUMBLINE_DATA="")
    if done.returncode != 0 or not os.path.isfile(out):
        return [done.stderr.decode()[-300:]]
    with open(out, "rb") as drawn:
        data = drawn.read()
    return [] if data.startswith(b"%PDF") else ["no page was drawn"]


def shows_its_page(program, folder, page):
    roster = os.path.join(folder, "team.plumbline")
    done = run(program, "rider", "add", "Ada Berg", "--roster", roster)
    if done.returncode != 0:
        return [done.stderr.decode()]
    server = Served(program, roster)
    try:
        with open(os.path.join(page, "index.html"), "rb") as file:
            index = file.read()
        answer = server.ask("GET", "/")
        problems = [] if answer.status == 200 and answer.body == index else [f"/: {answer.status}"]
        for path in re.findall(r'(?:src|href)="(/assets/[^"]+)"', index.decode()):
            with open(os.path.join(page, path[1:]), "rb") as file:
                answer = server.ask("GET", path)
                if answer.status != 200 or answer.body != file.read():
                    problems.append(f"{path}: {answer.status}")
        return problems if b"/assets/" in index else ["the page has no script"]
    finally:
        server.stop()


def tarball_stands_alone(tally, packed, maker, folder):
    with tarfile.open(packed) as tar:
        tar.extractall(folder)
        tree = os.path.join(folder, tar.getnames()[0].split("/")[0])
    with open(os.path.join(tree, "COMMIT"), encoding="utf-8") as commit:
        commit = commit.read().strip()
    page = shutil.copytree(os.path.join(tree, "web", "prebuilt"), os.path.join(folder, "page"))
    problems = build_and_install(tree, os.path.join(folder, "to"), without_node(os.path.join(folder, "bin")))
    tally.check("the tarball builds without Node.js and network, and installs", problems)
    if problems:
        return
    # What was installed must do without it.
    shutil.rmtree(tree)
    root = os.path.join(folder, "to", "usr")
    program = os.path.join(root, "bin", "plumbline")
    rides = os.path.join(folder, "rides")
    os.makedirs(rides)
    run(maker, rides)
    ride = os.path.join(rides, sorted(os.listdir(rides))[0])
    tally.check("everything is installed that belongs beside the program", installed_things(root))
    tally.check("the desktop entry starts what was installed", desktop_entry(root))
    tally.check("the installed program knows its commit", version_of(program, commit))
    tally.check("manual page and completion are the program's own", made_by_its_program(root, program))
    tally.check("the installed program finds its fonts", finds_its_fonts(program, ride, folder))
    tally.check("the installed program shows its page", shows_its_page(program, folder, page))


def main():
    build = os.path.abspath(sys.argv[1])
    tally = Tally()
    third_party.check_all(tally, SOURCE, build)
    if not os.path.exists(os.path.join(SOURCE, ".git")):
        tally.skip("the tarball", "made of a checkout, and this is none")
        return tally.total()
    with tempfile.TemporaryDirectory() as folder:
        tally.check("the page built again is the same bytes", page_again(build, folder))
        packed, again = os.path.join(folder, "one.tar.gz"), os.path.join(folder, "two.tar.gz")
        problems = pack(build, packed) + pack(build, again, TZ="Asia/Tokyo", LC_ALL="C", USER="somebody")
        if not problems:
            with open(packed, "rb") as one, open(again, "rb") as two:
                problems = [] if one.read() == two.read() else ["differs"]
        tally.check("the tarball is the same bytes whenever it is made", problems)
        if not problems:
            tally.check("the tarball is plain: files, sorted, nobody's names", tarball_is_plain(packed))
            if "--fast" not in sys.argv:
                tarball_stands_alone(tally, packed, os.path.join(build, "demo", "make-rides"), folder)
    return tally.total()


if __name__ == "__main__":
    sys.exit(main())
