#!/usr/bin/env bash
# Makes the example rides and reads them all.
#
#   demo/run.sh BUILD_DIR OUT_DIR
#
# Leaves the rides in OUT_DIR/rides, what Plumbline says of each in OUT_DIR/readings, as words
# (.txt), as JSON (.json) and as a page (.pdf), and prints the words.
set -euo pipefail

[ $# -eq 2 ] || { echo "usage: demo/run.sh BUILD_DIR OUT_DIR" >&2; exit 2; }
build=$1 out=$2
# Marks as themselves wherever the demo runs; a locale of the user's own is kept.
[ -n "${LC_ALL:-}${LC_CTYPE:-}${LANG:-}" ] || export LC_ALL=C.UTF-8
rides=$out/rides readings=$out/readings
mkdir -p "$rides" "$readings"
"$build/demo/make-rides" "$rides"

# What was asked of the rider, by the name of the file: words that `plumbline read` takes.
asked() {
  case "$1" in
    *base-hour*) echo "--kind base-test" ;;
    *vo2max-4x4*) echo "--target 106-120 --kind vo2max --reps 4x4min" ;;
    *short-efforts*) echo "--target 106-120 --kind short-vo2max --reps 20x30s" ;;
    *long-ride*) echo "--kind easy" ;;
    *trainer-held* | *heart-flat* | *heart-above-max*)
      echo "--target 106-120 --kind vo2max --reps 4x4min" ;;
    *fault*) echo "--kind base-test" ;;
  esac
}

status=0
for ride in "$rides"/*.fit; do
  name=$(basename "$ride" .fit)
  words="--threshold 246 --max-heart-rate 189 $(asked "$name")"
  echo
  echo "\$ plumbline read $name.fit $words"
  # The words are options of our own, one a blank.
  # shellcheck disable=SC2086
  "$build/plumbline" read "$ride" $words --figure "$readings/$name.pdf" >"$readings/$name.txt" ||
    status=1
  # shellcheck disable=SC2086
  "$build/plumbline" read "$ride" $words --json >"$readings/$name.json" || status=1
  cat "$readings/$name.txt"
  case "$name" in
    *started-too-hard)
      # The picture of README: docs/pictures/started-too-hard.png is a copy.
      # shellcheck disable=SC2086
      "$build/plumbline" read "$ride" $words --figure "$readings/$name.png" >/dev/null || status=1 ;;
  esac
done
echo
echo "Rides: $rides. Readings as words, JSON and pages: $readings."
exit $status
