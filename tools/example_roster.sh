#!/usr/bin/env bash
# The example roster of a build, made once for as long as the program stays the same.
#
# usage: example_roster.sh BUILD_DIR      prints the file; copy it, never write to it
set -euo pipefail

[ $# -eq 1 ] || { echo "usage: example_roster.sh BUILD_DIR" >&2; exit 2; }
build=$(cd "$1" && pwd)
folder=$build/example-roster
mkdir -p "$folder"
# Two suites may want it at once.
exec 9>"$folder/.lock"
flock 9
sum=$(sha256sum <"$build/plumbline")
if [ "$(cat "$folder/.made-by" 2>/dev/null)" != "$sum" ]; then
  rm -rf "$folder/made" "$folder/.made-by"
  "$build/plumbline" example "$folder/made" >"$folder/example.log" 2>&1 ||
    { cat "$folder/example.log" >&2; exit 1; }
  printf '%s\n' "$sum" >"$folder/.made-by"
fi
echo "$folder/made/example.plumbline"
