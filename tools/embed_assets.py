#!/usr/bin/env python3
"""The built page as part of the program: embed_assets.py DIST OUT.S OUT.c FOLDER

Every file of DIST is packed (gzip, level 9, no date) into FOLDER; OUT.S holds the packed bytes by
.incbin, OUT.c the table asset_table of src/server/assets.h, sorted by path.  The same files give
the same bytes.
"""
import gzip
import hashlib
import os
import re
import sys

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
    ".txt": "text/plain; charset=utf-8",
}
# "index-B4f_2a9x.js": a name that the build made from the bytes.
HASHED = re.compile(r"-[A-Za-z0-9_-]{8,}\.[a-z0-9]+$")


def files_of(dist):
    """Paths as the page asks for them, sorted by bytes, as bsearch wants them."""
    found = []
    for folder, _, names in os.walk(dist):
        for name in names:
            path = os.path.relpath(os.path.join(folder, name), dist)
            found.append("/" + path.replace(os.sep, "/"))
    return sorted(found, key=lambda path: path.encode())


def quoted(text):
    if not re.fullmatch(r"[A-Za-z0-9_./@+ -]+", text):
        sys.exit(f"embed_assets: {text!r}: a name with letters that don't fit")
    return f'"{text}"'


def row(number, path, plain, packed):
    kind = TYPES.get(os.path.splitext(path)[1])
    if kind is None:
        sys.exit(f"embed_assets: {path}: what type is it?  Say so in TYPES")
    etag = hashlib.sha256(plain).hexdigest()[:32]
    hashed = path.startswith("/assets/") and HASHED.search(path) is not None
    return (f'    {{ {quoted(path)}, "{kind}", "W/\\"{etag}\\"", plumbline_asset_{number}, '
            f"{len(packed)}u, {len(plain)}u, {'true' if hashed else 'false'} }},\n")


def main():
    dist, out_s, out_c, folder = sys.argv[1:5]
    paths = files_of(dist)
    if "/index.html" not in paths:
        sys.exit(f"embed_assets: {dist}: there is no index.html; was the page built?")
    os.makedirs(folder, exist_ok=True)
    assembly = ["/* Written by tools/embed_assets.py. */\n", "    .section .rodata\n"]
    names, rows = [], []
    for number, path in enumerate(paths):
        with open(os.path.join(dist, path[1:]), "rb") as source:
            plain = source.read()
        packed = gzip.compress(plain, compresslevel=9, mtime=0)
        kept = os.path.abspath(os.path.join(folder, f"{number}.gz"))
        with open(kept, "wb") as out:
            out.write(packed)
        # The sum makes this file differ when only the bytes do: what is included isn't looked at.
        digest = hashlib.sha256(packed).hexdigest()
        assembly.append(f"    /* {digest} */\n    .globl plumbline_asset_{number}\n"
                        f"    .hidden plumbline_asset_{number}\n    .balign 16\n"
                        f"plumbline_asset_{number}:\n    .incbin \"{kept}\"\n")
        names.append(f"extern const uint8_t plumbline_asset_{number}[];\n")
        rows.append(row(number, path, plain, packed))
    assembly.append('    .section .note.GNU-stack,"",@progbits\n')
    with open(out_s, "w", encoding="utf-8") as out:
        out.write("".join(assembly))
    with open(out_c, "w", encoding="utf-8") as out:
        out.write("/* Written by tools/embed_assets.py. */\n#include \"server/assets.h\"\n\n" +
                  "".join(names) + "\nconst struct asset asset_table[] = {\n" + "".join(rows) +
                  "};\nconst size_t asset_count = sizeof asset_table / sizeof asset_table[0];\n")


if __name__ == "__main__":
    main()
