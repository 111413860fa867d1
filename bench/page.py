#!/usr/bin/env python3
"""A rider's page against a blank one: page.py BUILD_DIR

Chromium, without a window and with nothing cached, opens a rider's page of the example roster and
waits until its readings stand there; and a blank page: a small plain answer of the same server.  In
turns; the ratio of the times from the address to the last of them.
"""
import os
import shutil
import statistics
import subprocess
import sys

from serve import HERE, row, served

TURNS = 7


def main():
    what, peer = "a rider's page in Chromium, nothing cached", "a blank page, same server"
    if shutil.which("chromium") is None or not os.path.isdir(
            os.path.join(HERE, "..", "web", "node_modules", "playwright-core")):
        row("page", what, f"{peer}: no Chromium", 0, 0, [], 4.0)
        return
    with served(os.path.abspath(sys.argv[1])) as (base, cookie, _, _, _):
        done = subprocess.run(["node", os.path.join(HERE, "page.mjs"), base, cookie, str(TURNS)],
                              check=True, stdout=subprocess.PIPE)
        pairs = [tuple(float(part) for part in line.split())
                 for line in done.stdout.decode().splitlines()]
        # Shown against what was hoped for: no published peer has such a figure.
        row("page", what, peer, statistics.median(a for a, _ in pairs),
            statistics.median(b for _, b in pairs), [a / b for a, b in pairs], 4.0)


if __name__ == "__main__":
    main()
