#!/usr/bin/env python3
"""The colours of src/drawing/tokens.def as CSS custom properties, for the page.

usage: tokens_css.py TOKENS_DEF OUT_CSS

Light holds on :root; dark where the reader's system asks for it, unless the page says data-theme
"light"; and where the page says data-theme "dark".
"""
import os
import re
import sys

ROW = re.compile(r'^COLOUR_TOKEN\((\w+), "([a-z][a-z0-9-]*)", 0x([0-9a-f]{6}), 0x([0-9a-f]{6})\)$')


def rows(source):
    """[(name, light, dark)]; a row that is not as expected is an error, never left out."""
    found = []
    for number, line in enumerate(source.splitlines(), 1):
        if not line.startswith("COLOUR_TOKEN"):
            continue
        match = ROW.match(line)
        if not match:
            raise SystemExit(f"tokens_css.py: line {number}: not a colour: {line}")
        found.append(match.group(2, 3, 4))
    if not found:
        raise SystemExit("tokens_css.py: no colour found")
    return found


def css(colours):
    def properties(indent, theme):
        return "".join(f"{indent}--{colour[0]}: #{colour[theme]};\n" for colour in colours)

    return ("/* Made from src/drawing/tokens.def by tools/tokens_css.py: edit there. */\n"
            ":root {\n  color-scheme: light dark;\n" + properties("  ", 1) + "}\n"
            "@media (prefers-color-scheme: dark) {\n"
            "  :root:not([data-theme=\"light\"]) {\n" + properties("    ", 2) + "  }\n}\n"
            ":root[data-theme=\"light\"] {\n  color-scheme: light;\n}\n"
            ":root[data-theme=\"dark\"] {\n  color-scheme: dark;\n" + properties("  ", 2) + "}\n"
            "@media print {\n"
            "  :root:not([data-theme=\"light\"]),\n  :root[data-theme=\"dark\"] {\n"
            "    color-scheme: light;\n" + properties("    ", 1) + "  }\n}\n")


def main():
    if len(sys.argv) != 3:
        raise SystemExit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as source:
        text = css(rows(source.read()))
    part = sys.argv[2] + ".part"
    with open(part, "w", encoding="utf-8") as out:
        out.write(text)
    os.replace(part, sys.argv[2])


if __name__ == "__main__":
    main()
